//! Negative and bonding of a whole boat: what must be found when it is planted, and nothing else.

use orlop::network::ground::FlowKind;
use orlop::{Severity, Verdict};
use orlop_boat::check::ground::{Ground, ground};
use orlop_boat::{Design, document, size, tables};
use orlop_units::Quantity;

const DUNLIN: &str = include_str!("../../../python/orlop/boats/dunlin.toml");
const TEAL: &str = include_str!("../../../python/orlop/boats/teal.toml");
const RULES: [&str; 5] = ["negative-paths", "one-bond", "missing-bond", "shunt-bypass", "forbidden-share"];

fn design(text: &str) -> Design {
    size(&document::read(text, "boat.toml").unwrap_or_else(|e| panic!("{e}"))).unwrap()
}

fn found(text: &str) -> Ground {
    ground(&design(text)).unwrap().unwrap()
}

fn failed(design: &Design) -> Vec<(&'static str, String)> {
    let ours = design.judgements.iter().filter(|j| RULES.contains(&j.rule) && j.verdict != Verdict::Pass);
    ours.map(|j| (j.rule, j.subject.clone())).collect()
}

fn changed(text: &str, from: &str, to: &str) -> String {
    assert!(text.contains(from), "{from}");
    text.replacen(from, to, 1)
}

const STRAP: &str = "
[bond.STRAP]
name = \"Braid from the battery locker to the gearbox\"
from = \"NEG\"
to = \"ENGINE\"
kind = \"strap\"
size = \"6 mm2\"
piece = \"2 m\"
";

#[test]
fn the_demo_boat_passes_every_rule() {
    let design = design(DUNLIN);
    assert_eq!(failed(&design), []);
    for rule in RULES {
        assert!(design.judgements.iter().any(|j| j.rule == rule && j.verdict == Verdict::Pass), "{rule}");
    }
    let ground = found(DUNLIN);
    assert_eq!(ground.audit.negatives[0].bonds, ["bond.ENGINE"]);
    assert_eq!(ground.audit.negatives[0].points[0], "bank.BANK");
    assert_eq!(ground.audit.engines[0].ways.len(), 1);
    assert!(ground.audit.loops.is_empty() && ground.audit.cuts.is_empty());
    assert_eq!(ground.audit.bridges.len(), ground.graph.paths().len());
}

#[test]
fn every_part_of_the_boat_is_in_the_graph() {
    let (design, ground) = (design(DUNLIN), found(DUNLIN));
    let boat = &design.boat;
    let points =
        boat.banks.len() + boat.panels.len() + boat.sources.len() + boat.loads.len() + boat.grounds.len();
    assert_eq!(ground.graph.points().len(), points);
    assert_eq!(ground.graph.paths().len(), boat.circuits.len() + boat.bonds.len());
    // The shunt sees what the feeder and always-on circuits draw: the kettle's scenario by hand is the sum of both.
    let of = |id: &str| ground.graph.paths().iter().position(|p| p.id == id).unwrap();
    let high = |id: &str| ground.most[of(id)].returns.as_ref().unwrap().current.high().unwrap().si();
    let case = &ground.most[of("bond.SHUNT")].returns.as_ref().unwrap().flow;
    let main = design.demand.circuit("MAIN").unwrap().current_in(case).si();
    let always = design.demand.circuit("ALWAYS").unwrap().current_in(case).si();
    let own = design.demand.circuit("B4").unwrap().current_in(case).si();
    assert!((high("bond.SHUNT") - (main + always - own)).abs() < 1e-9 * main);
    // Starter current stays where it belongs.
    for (path, most) in ground.graph.paths().iter().zip(&ground.most) {
        let starter = most.starter.as_ref().unwrap().current.high().unwrap().si();
        assert_eq!(starter, if path.id == "bond.START" { 450.0 } else { 0.0 }, "{}", path.id);
    }
}

#[test]
fn a_second_engine_strap_is_found_with_its_share_and_the_one_cut() {
    let text = format!("{DUNLIN}{STRAP}");
    let design = design(&text);
    let failed = failed(&design);
    for wanted in [
        ("negative-paths", "ground.ENGINE"),
        ("one-bond", "bank.BANK"),
        ("forbidden-share", "bond.STRAP"),
        ("forbidden-share", "bond.ENGINE"),
    ] {
        assert!(failed.contains(&(wanted.0, wanted.1.to_string())), "{wanted:?} not in {failed:?}");
    }
    assert_eq!(failed.len(), 4, "{failed:?}");
    let ground = found(&text);
    assert_eq!(ground.audit.cuts.iter().map(|c| c.path.as_str()).collect::<Vec<_>>(), ["bond.STRAP"]);
    // By hand at given resistances: strap and bond behind each other, beside the two main negatives.
    let of = |id: &str| ground.graph.paths().iter().find(|p| p.id == id).unwrap().resistance;
    let ends = |id: &str| (of(id).low().unwrap().si(), of(id).high().unwrap().si());
    let (main, strap, bond) = (ends("circuit.MAIN"), ends("bond.STRAP"), ends("bond.ENGINE"));
    let is = |c: &&orlop::network::ground::Carried| c.path == "bond.STRAP" && c.kind == FlowKind::Return;
    let carried = ground.audit.forbidden.iter().find(is).unwrap();
    let whole = design.demand.circuit("MAIN").unwrap().current_in(&carried.flow).si();
    let by_hand = whole * main.1 / (main.1 + strap.0 + bond.0);
    let high = carried.current.high().unwrap().si();
    assert!((high / by_hand - 1.0).abs() < 1e-9, "{high} {by_hand}");
    let said =
        design.judgements.iter().find(|j| j.subject == "bond.STRAP" && j.rule == "forbidden-share").unwrap();
    assert!(
        said.to_do.contains("take out STRAP") && said.to_do.contains("never a shore earth"),
        "{}",
        said.to_do
    );
    assert_eq!(said.severity, Severity::B);
}

#[test]
fn a_load_on_the_wrong_side_of_the_shunt_is_found() {
    let text = changed(DUNLIN, "[circuit.F1]\n", "[circuit.F1]\nnegative = \"BANK\"\n");
    let design = design(&text);
    assert_eq!(failed(&design), [("shunt-bypass", "circuit.F1".to_string())]);
    let said = design.findings().find(|j| j.rule == "shunt-bypass").unwrap();
    assert!(
        said.what.contains("F1 (Fridge compressor)") && said.what.contains("without passing SHUNT"),
        "{}",
        said.what
    );
    // Both at once: the strap and the load.
    let both = failed_of(&format!("{text}{STRAP}"));
    assert!(both.contains(&("shunt-bypass", "circuit.F1".into())), "{both:?}");
    assert!(both.contains(&("negative-paths", "ground.ENGINE".into())), "{both:?}");
    // Listed, it is permitted.
    let listed = changed(&text, "bypass = [\"B4\"]", "bypass = [\"B4\", \"F1\"]");
    assert_eq!(failed_of(&listed), []);
}

fn failed_of(text: &str) -> Vec<(&'static str, String)> {
    failed(&design(text))
}

#[test]
fn a_thin_jumper_that_cranks_the_engine_is_severe() {
    // The start battery moved: its negative goes to the main bus by a thin jumper, the starter's return with it.
    let text = changed(
        DUNLIN,
        "to = \"ENGINE\"\nkind = \"negative-cable\"\nsize = \"70 mm2\"\npiece = \"1.2 m\"\ncarries = \"starter\"",
        "to = \"DCL\"\nkind = \"negative-cable\"\nsize = \"10 mm2\"\npiece = \"2 m\"",
    );
    let design = design(&text);
    let severe: Vec<_> = design
        .findings()
        .filter(|j| j.rule == "forbidden-share" && j.severity == Severity::A)
        .map(|j| (j.subject.as_str(), j.case.as_str()))
        .collect();
    assert_eq!(severe, [("bond.ENGINE", "ENGINE cranking"), ("bond.START", "ENGINE cranking")]);
}

#[test]
fn what_hangs_on_nothing_and_a_case_bonded_source_are_found() {
    let loose = changed(DUNLIN, "[bond.SKIN]", "[bond.OTHER]");
    let loose = changed(&loose, "from = \"BONDING\"\nto = \"SKIN\"", "from = \"BONDING\"\nto = \"SHAFT\"");
    let failed = failed_of(&loose);
    assert!(failed.contains(&("missing-bond", "ground.SKIN".into())), "{failed:?}");
    // Two bonds to the shaft bracket are a loop of their own.
    assert_eq!(failed.iter().filter(|f| f.0 == "negative-paths").count(), 1, "{failed:?}");
    let cased = format!(
        "{DUNLIN}\n[bond.CASE]\nfrom = \"ALTERNATOR\"\nto = \"ENGINE\"\nkind = \"incidental\"\nresistance = \"1 mohm\"\n"
    );
    let failed = failed_of(&cased);
    assert!(failed.contains(&("forbidden-share", "bond.CASE".into())), "{failed:?}");
    assert_eq!(found(&cased).audit.cuts[0].path, "bond.CASE");
}

#[test]
fn a_boat_that_says_nothing_of_it_is_not_tested() {
    let design = design(TEAL);
    assert!(ground(&design).is_none());
    let ours: Vec<_> = design.judgements.iter().filter(|j| RULES.contains(&j.rule)).collect();
    assert_eq!(ours.len(), 1);
    assert_eq!((ours[0].rule, ours[0].verdict), ("negative-paths", Verdict::NotTested));
    assert_eq!(tables::table(&design, "bonding").unwrap().rows(), 0);
}

#[test]
fn a_cranking_circuit_is_a_starter_too() {
    // Teal's starter returns to the house bank by its own cable; engine and a thin bond beside it.
    let text = format!(
        "{TEAL}\n[rules]\nnegative = \"one-bond\"\n\n[ground.ENGINE]\nrole = \"engine\"\n\n[bond.BOND]\nfrom = \"HOUSE\"\nto = \"ENGINE\"\nkind = \"bond\"\n\
         resistance = \"2 mohm\"\n\n[bond.CASE]\nfrom = \"STARTER\"\nto = \"ENGINE\"\nkind = \"incidental\"\n\
         resistance = \"0.1 mohm\"\n"
    );
    let failed = failed_of(&text);
    assert!(failed.contains(&("forbidden-share", "bond.BOND".into())), "{failed:?}");
    let found = found(&text);
    let bond = found.audit.forbidden.iter().find(|c| c.path == "bond.BOND").unwrap();
    assert_eq!(bond.flow, "STARTER cranking");
}

#[test]
fn the_table_has_a_row_for_each_path() {
    let design = design(&format!("{DUNLIN}{STRAP}"));
    let table = tables::table(&design, "bonding").unwrap();
    assert_eq!(table.rows(), design.boat.circuits.len() + design.boat.bonds.len());
    let at = |name: &str| table.columns.iter().position(|c| c.schema.name == name).unwrap();
    let row = (0..table.rows()).find(|r| table.text(*r, at("id")) == "bond.STRAP").unwrap();
    assert_eq!(table.text(row, at("take_out")), "yes");
    assert_eq!(table.text(row, at("bridge")), "no");
    assert!(!table.text(row, at("heat_w")).is_empty() && !table.text(row, at("ampacity_a")).is_empty());
    let foil = (0..table.rows()).find(|r| table.text(*r, at("id")) == "bond.FOIL").unwrap();
    assert_eq!(table.text(foil, at("highest_ohm")), "");
    assert_eq!(table.text(foil, at("return_a")), "0");
}

#[test]
fn the_order_of_grounds_and_bonds_changes_nothing() {
    let boat = document::read(&format!("{DUNLIN}{STRAP}"), "boat.toml").unwrap();
    let mut turned = boat.clone();
    turned.grounds.reverse();
    turned.bonds.rotate_left(3);
    let judged = |boat| -> Vec<_> {
        let design = size(boat).unwrap();
        design.judgements.iter().filter(|j| RULES.contains(&j.rule)).cloned().collect()
    };
    assert_eq!(judged(&boat), judged(&turned));
}
