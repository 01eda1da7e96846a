//! The sized boat as one network: by hand where a hand can follow, by laws everywhere else.

use orlop::conductor::Duty;
use orlop::{Severity, Verdict};
use orlop_boat::demand::CaseKind;
use orlop_boat::network::{BoatNetwork, CaseAnswer, DropPart};
use orlop_boat::{Design, document, explain, size, tables};
use orlop_units::{Quantity, Temperature, amperes};

const DUNLIN: &str = include_str!("../../../python/orlop/boats/dunlin.toml");
const TEAL: &str = include_str!("../../../python/orlop/boats/teal.toml");

/// A panel, a winch and a plotter on it, and a pump straight from the bank. No growth, joints of 0.1 milliohm.
const SMALL: &str = r#"
format = 1
[boat]
name = "Small"
nominal = "12 V"
rules = "iso-small-craft"
sizes = "metric"
insulation = "105 degC"
families = ["iso8820-3-blade", "iso8820-5-strip", "iec60269-gg"]
[rules]
joint = "0.1 mohm"
[space.cabin]
ambient = "30 degC"
winter = "0 degC"
boxes = [["0, -2, -1 m", "10, 2, 2 m"]]
[place.BATTERY]
at = "2, 0, 0 m"
[bank.BANK]
place = "BATTERY"
nominal = "12.8 V"
lowest = "12 V"
highest = "14.4 V"
string_resistance = { low = "4 mohm", high = "9 mohm" }
[panel.PANEL]
[load.WINCH]
run = "20 A"
start = "90 A"
start_time = "0.4 s"
[load.PLOTTER]
run = "24 W"
minimum = "10 V"
drop_class = "critical"
[load.PUMP]
run = "4 A"
stall = "8 A"
unattended = true
[circuit.MAIN]
from = "BANK"
panel = "PANEL"
one_way = "2 m"
spaces = ["cabin"]
size = "16 mm2"
[circuit.WINCH]
from = "PANEL"
loads = ["WINCH"]
one_way = "5 m"
spaces = ["cabin"]
size = "10 mm2"
[circuit.PLOTTER]
from = "PANEL"
loads = ["PLOTTER"]
one_way = "4 m"
spaces = ["cabin"]
size = "2.5 mm2"
[circuit.PUMP]
from = "BANK"
loads = ["PUMP"]
one_way = "3 m"
spaces = ["cabin"]
size = "2.5 mm2"
[scenario.sailing]
run = ["PLOTTER", "WINCH"]
[scenario.quiet]
run = ["PLOTTER", "PUMP"]
"#;

fn design(text: &str) -> Design {
    size(&document::read(text, "boat.toml").unwrap_or_else(|e| panic!("{e}"))).unwrap()
}

fn changed(text: &str, from: &str, to: &str) -> String {
    assert!(text.contains(from), "{from}");
    text.replacen(from, to, 1)
}

fn case<'a>(network: &'a BoatNetwork, id: &str) -> &'a CaseAnswer {
    network.cases.iter().find(|c| c.case == id).unwrap_or_else(|| panic!("no case {id}"))
}

fn at(design: &Design, case: &CaseAnswer, node: &str) -> f64 {
    case.volts[design.network.node(node).unwrap()].unwrap().si()
}

/// One circuit of SMALL in service at a temperature: both legs, four joints, the device.
fn ohms(design: &Design, id: &str, metal: Temperature) -> f64 {
    let sized = design.circuit(id).unwrap();
    let wire = sized.conductor.resistance_per_length(metal).si() * 2.0 * sized.one_way.0.si();
    let device =
        sized.device.as_ref().and_then(|d| d.resistance()).and_then(|r| r.high()).map_or(0.0, |r| r.si());
    wire + 4.0 * 1e-4 + device
}

fn metal(design: &Design, case: &CaseAnswer, id: &str) -> Temperature {
    case.temperatures[design.boat.circuits.iter().position(|c| c.id == id).unwrap()]
}

#[test]
fn volts_of_a_small_boat_by_hand() {
    let design = design(SMALL);
    let sailing = case(&design.network, "sailing@low");
    let r = |id: &str| ohms(&design, id, metal(&design, sailing, id));
    assert_eq!(at(&design, sailing, "bank.BANK"), 12.0);
    // The plotter's 24 W at the volts it gets: I (V - I R) = 24 W, the high root, with the winch's 20 A beside it in MAIN.
    let open = 12.0 - 20.0 * r("MAIN");
    let own = r("MAIN") + r("PLOTTER");
    let volts = 0.5 * (open + (open * open - 4.0 * own * 24.0).sqrt());
    assert!((at(&design, sailing, "circuit.PLOTTER") - volts).abs() < 1e-9, "{volts}");
    let panel = 12.0 - (20.0 + 24.0 / volts) * r("MAIN");
    assert!((at(&design, sailing, "panel.PANEL") - panel).abs() < 1e-9);
    assert!((at(&design, sailing, "circuit.WINCH") - (panel - 20.0 * r("WINCH"))).abs() < 1e-9);
    assert!((at(&design, sailing, "circuit.PUMP") - 12.0).abs() < 1e-12, "the pump is off");
}

#[test]
fn temperatures_are_those_at_which_conductors_settle_under_the_currents_found() {
    for text in [SMALL, DUNLIN, TEAL] {
        let design = design(text);
        for case in &design.network.cases {
            assert!(case.rounds < 20, "{}: {} rounds", case.case, case.rounds);
            for (at, sized) in design.circuits.iter().enumerate() {
                let circuit = &design.boat.circuits[at];
                let sharing = if circuit.alone { 1.0 } else { f64::from(circuit.runs) };
                let amps = case.currents[at].si().abs() / sharing;
                if amps == 0.0 || circuit.duty != Duty::Continuous {
                    continue;
                }
                let settled =
                    sized.conductor.steady_state(amperes(amps), sized.ambient, sized.bundled).unwrap();
                let off = settled.temperature.si() - case.temperatures[at].si();
                assert!(off.abs() < 1e-3, "{} in {}: {off} K", sized.id, case.case);
            }
        }
    }
}

#[test]
fn what_leaves_a_node_has_come_to_it_and_every_branch_obeys_its_resistance() {
    for text in [SMALL, DUNLIN, TEAL] {
        let design = design(text);
        let network = &design.network;
        for case in &network.cases {
            for (at, sized) in design.circuits.iter().enumerate() {
                let (from, to) = network.ends[at];
                let (Some(a), Some(b)) = (case.volts[from], case.volts[to]) else { continue };
                let circuit = &design.boat.circuits[at];
                let sharing = if circuit.alone { 1.0 } else { f64::from(circuit.runs) };
                let wire = sized.conductor.resistance_per_length(case.temperatures[at]).si()
                    * 2.0
                    * sized.one_way.0.si();
                let device = sized.device.as_ref().and_then(|d| d.resistance()).and_then(|r| r.high());
                let joints = design.boat.joint.high().si() * 4.0;
                let extra = circuit.extra_resistance.map_or(0.0, |r| r.si());
                let all = wire + device.map_or(0.0, |r| r.si()) + joints + extra;
                let drop = case.currents[at].si() * all / sharing;
                assert!((a.si() - b.si() - drop).abs() < 1e-9, "{} in {}", sized.id, case.case);
            }
            // A panel passes on what it gets: the sum over its circuits is the current of its feeder.
            for (n, node) in network.nodes.iter().enumerate().filter(|(_, n)| n.id.starts_with("panel.")) {
                let feeder = case.currents[node.circuit.unwrap()].si();
                let starts = network.ends.iter().zip(&case.currents).filter(|((from, _), _)| *from == n);
                let sum: f64 = starts.map(|(_, i)| i.si()).sum();
                assert!((sum - feeder).abs() < 1e-9 * feeder.abs().max(1.0), "{} in {}", node.id, case.case);
            }
        }
    }
}

#[test]
fn fault_currents_of_the_network_are_those_that_devices_were_chosen_by() {
    for text in [SMALL, DUNLIN, TEAL] {
        let design = design(text);
        for (sized, device) in design.circuits.iter().zip(&design.network.devices) {
            let close = |a: f64, b: f64| (a - b).abs() <= 1e-6 * b.abs();
            let (ours, theirs) = (sized.fault_end.unwrap().si(), device.through.low().unwrap().si());
            assert!(close(ours, theirs), "{}: {ours} A by its circuit, {theirs} A by the network", sized.id);
            let (used, found) = (sized.fault_start.high().unwrap().si(), device.through.high().unwrap().si());
            assert!(found <= used * (1.0 + 1e-9), "{}: {found} A, chosen for {used} A", sized.id);
            assert!(device.through.low() <= device.through.high());
        }
    }
}

#[test]
fn fault_currents_of_a_small_boat_by_hand() {
    let design = design(SMALL);
    let network = &design.network;
    let hot = |id: &str| ohms(&design, id, Temperature::celsius(105.0));
    let cold = |id: &str| {
        let device = design.circuit(id).unwrap().device.as_ref().and_then(|d| d.resistance());
        let (low, high) = device.map_or((0.0, 0.0), |r| (r.low().unwrap().si(), r.high().unwrap().si()));
        ohms(&design, id, Temperature::celsius(0.0)) - high + low
    };
    let level = |id: &str| network.level(network.node(id).unwrap()).unwrap().total;
    let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-6 * b, "{a} {b}");
    // The pump runs on and feeds 8 A, its stall, into a fault; nothing charges.
    close(level("panel.PANEL").high().unwrap().si(), 14.4 / (4e-3 + cold("MAIN")) + 8.0);
    close(level("panel.PANEL").low().unwrap().si(), 12.0 / (9e-3 + hot("MAIN")));
    close(level("circuit.WINCH").low().unwrap().si(), 12.0 / (9e-3 + hot("MAIN") + hot("WINCH")));
    let device = &network.devices[1].through;
    close(device.low().unwrap().si(), 12.0 / (9e-3 + hot("MAIN") + hot("WINCH")));
    close(device.high().unwrap().si(), 14.4 / (4e-3 + cold("MAIN")) + 8.0);
    assert_eq!(network.devices[3].back.map(|b| b.si()), Some(8.0), "the pump's own current flows back");
}

#[test]
fn a_waterfall_begins_at_the_source_and_ends_at_the_load() {
    for text in [SMALL, DUNLIN, TEAL] {
        let design = design(text);
        let network = &design.network;
        assert_eq!(network.waterfalls.len(), design.boat.loads.len());
        for w in &network.waterfalls {
            let lost: f64 = w.steps.iter().map(|s| s.drop.si()).sum();
            assert!((w.from.si() - lost - w.at_load.si()).abs() < 1e-9);
            assert!((w.steps.last().unwrap().left.si() - w.at_load.si()).abs() < 1e-9);
            assert!(w.steps.iter().any(|s| s.part == DropPart::Conductor));
            let load = &design.boat.loads[w.load];
            assert_eq!(design.load(&load.id).unwrap().lowest_voltage, Some(w.at_load));
            let lower = network.cases.iter().filter(|c| c.feeds(w.load));
            let node = network.of_load[w.load].unwrap();
            assert!(lower.clone().all(|c| c.volts[node].unwrap().si() >= w.at_load.si() - 1e-12));
        }
    }
}

#[test]
fn every_promised_drop_is_kept_on_the_network() {
    for text in [SMALL, DUNLIN, TEAL] {
        let design = design(text);
        let network = &design.network;
        for w in &network.waterfalls {
            let load = design.load(&design.boat.loads[w.load].id).unwrap();
            let most = load.nominal.si() * load.limit.value();
            if load.drop.si() <= most {
                let drop = w.from.si() - w.at_load.si();
                assert!(drop <= most * (1.0 + 1e-9), "{}: {drop} V of {most} V", load.id);
            }
        }
    }
}

#[test]
fn a_winch_dims_the_plotter_by_what_they_share() {
    let design = design(SMALL);
    let network = &design.network;
    let dip = network.dips.iter().find(|d| d.cause == 0 && d.victim == 1).unwrap();
    let sailing = case(network, "sailing@low");
    let r = |id: &str| ohms(&design, id, metal(&design, sailing, id));
    // Terminals at 12 V with all running; then 70 A more through the bank's 9 milliohms and MAIN.
    let before = at(&design, sailing, "circuit.PLOTTER");
    assert!((dip.before.si() - before).abs() < 1e-12);
    let drawn = 20.0 + 24.0 / before;
    let open = 12.0 + drawn * 9e-3 - 90.0 * (9e-3 + r("MAIN"));
    let own = 9e-3 + r("MAIN") + r("PLOTTER");
    let during = 0.5 * (open + (open * open - 4.0 * own * 24.0).sqrt());
    assert!((dip.during.unwrap().si() - during).abs() < 1e-9, "{:?} {during}", dip.during);
    let in_bank = (90.0 + 24.0 / during - drawn) * 9e-3;
    assert!((dip.in_bank.si() - in_bank).abs() < 1e-9);
    let passes = |d: &Design| {
        let j = d.judgements.iter().find(|j| j.rule == "brown-out" && j.subject == "load.PLOTTER").unwrap();
        (j.verdict, j.severity, j.case.clone())
    };
    assert_eq!(passes(&design), (Verdict::Pass, Severity::B, "sailing@low".into()));
    let picky = changed(SMALL, "minimum = \"10 V\"", "minimum = \"11.4 V\"");
    assert_eq!(passes(&self::design(&picky)).0, Verdict::Fail);
    // More than the network can carry at all: no volts, and a finding.
    let absurd = changed(SMALL, "start = \"90 A\"", "start = \"9000 A\"");
    let absurd = self::design(&absurd);
    assert!(absurd.network.dips.iter().any(|d| d.cause == 0 && d.during.is_none()));
    assert_eq!(passes(&absurd).0, Verdict::Fail);
}

#[test]
fn a_load_that_cannot_be_fed_is_a_finding_and_the_rest_goes_on() {
    let text = changed(SMALL, "run = \"24 W\"", "run = \"5 kW\"");
    let design = design(&text);
    let plotter = design.load("PLOTTER").unwrap();
    assert_eq!(plotter.lowest_voltage, None);
    let sailing = case(&design.network, "sailing@low");
    assert_eq!(sailing.unfed, [1]);
    assert!(at(&design, sailing, "circuit.WINCH") > 11.0, "the winch is fed all the same");
    let told = design.findings().find(|j| j.rule == "load-voltage" && j.subject == "load.PLOTTER").unwrap();
    assert_eq!((told.verdict, told.value.is_none()), (Verdict::Fail, true));
    for schema in tables::SCHEMAS {
        tables::table(&design, schema.name).unwrap();
    }
}

#[test]
fn a_converter_with_too_little_input_leaves_its_loads_dark() {
    let converter = r#"
[source.CONV]
kind = "converter"
nominal = "5 V"
rating = "10 A"
efficiency = "90 %"
minimum = "11.99 V"
[load.TABLET]
run = "10 W"
[circuit.CONV]
from = "PANEL"
converter = "CONV"
one_way = "3 m"
spaces = ["cabin"]
size = "2.5 mm2"
[circuit.TABLET]
from = "CONV"
loads = ["TABLET"]
one_way = "1 m"
spaces = ["cabin"]
size = "1.5 mm2"
"#;
    let text = changed(SMALL, "run = [\"PLOTTER\", \"WINCH\"]", "run = [\"PLOTTER\", \"WINCH\", \"TABLET\"]");
    let design = design(&(text.clone() + converter));
    let sailing = case(&design.network, "sailing@low");
    assert_eq!(sailing.unfed, [3]);
    assert!(sailing.volts[design.network.node("source.CONV").unwrap()].is_none());
    let rules: Vec<_> = design.findings().map(|j| (j.rule, j.subject.as_str())).collect();
    assert!(rules.contains(&("load-voltage", "load.TABLET")), "{rules:?}");
    assert!(rules.contains(&("converter-input", "source.CONV")), "{rules:?}");
    // With a lower least input it works, and takes its power from the panel.
    let text = changed(&(text + converter), "minimum = \"11.99 V\"", "minimum = \"9 V\"");
    let design = self::design(&text);
    let sailing = case(&design.network, "sailing@low");
    assert!(sailing.unfed.is_empty());
    let (input, output) = (at(&design, sailing, "circuit.CONV"), at(&design, sailing, "source.CONV"));
    assert_eq!(output, 5.0);
    let of = |id: &str| sailing.currents[design.boat.circuits.iter().position(|c| c.id == id).unwrap()].si();
    assert!((of("CONV") * input * 0.9 - of("TABLET") * 5.0).abs() < 1e-6);
}

#[test]
fn one_string_of_two_and_one_run_of_two() {
    let two = changed(SMALL, "string_resistance", "strings = 2\nstring_resistance");
    let (one, two) = (design(SMALL), design(&two));
    let level = |d: &Design| d.network.level(0).unwrap().clone();
    let (a, b) = (level(&one), level(&two));
    // Upper: both strings; lower: one string alone, the other open.
    let high = |l: &orlop::network::fault::FaultLevel| l.total.high().unwrap().si() - 8.0;
    assert!((high(&b) / high(&a) - 2.0).abs() < 1e-9);
    assert_eq!(a.total.low(), b.total.low());
    assert_eq!(b.open.len(), 1);
    let dark = |d: &Design, part: &str| {
        let f = d.network.failures.iter().find(|f| f.part == part).unwrap();
        (f.kind.word(), f.dark.clone())
    };
    assert_eq!(dark(&two, "bank.BANK"), ("one string", vec![]));
    assert_eq!(dark(&one, "bank.BANK"), ("bank", vec![0, 1, 2]));
    assert_eq!(dark(&one, "circuit.MAIN"), ("circuit", vec![0, 1]));
    let runs = changed(SMALL, "panel = \"PANEL\"\n", "panel = \"PANEL\"\nruns = 2\nalone = true\n");
    let runs = design(&runs);
    assert_eq!(dark(&runs, "circuit.MAIN"), ("one run", vec![]));
    // A fault at the panel: each run's device sees its share, U/(2 R_source + R_run).
    let hot = ohms(&runs, "MAIN", Temperature::celsius(105.0));
    let low = runs.network.devices[0].through.low().unwrap().si();
    assert!((low - 12.0 / (2.0 * 9e-3 + hot)).abs() < 1e-6 * low);
}

#[test]
fn a_second_source_must_share_no_part() {
    let spare = r#"
[load.SPARE]
run = "24 W"
[circuit.SPARE]
from = "PANEL"
loads = ["SPARE"]
one_way = "4 m"
spaces = ["cabin"]
size = "2.5 mm2"
"#;
    let text = changed(SMALL, "run = \"24 W\"", "run = \"24 W\"\nsecond_source = \"SPARE\"") + spare;
    let judged = |text: &str| {
        let design = design(text);
        let j = design.judgements.iter().find(|j| j.rule == "second-source").unwrap().clone();
        (j.verdict, j.what)
    };
    let (verdict, what) = judged(&text);
    assert_eq!(verdict, Verdict::Fail);
    assert!(
        what.contains("panel.PANEL") && what.contains("circuit.MAIN") && what.contains("bank.BANK"),
        "{what}"
    );
    // From the bank past the panel: only the bank itself is left, until it has two strings.
    let text =
        changed(&text, "from = \"PANEL\"\nloads = [\"SPARE\"]", "from = \"BANK\"\nloads = [\"SPARE\"]");
    assert!(judged(&text).1.ends_with("bank.BANK"), "{}", judged(&text).1);
}

#[test]
fn a_stalled_pump_that_nobody_sees_is_severity_a() {
    let judged = |text: &str| {
        let design = design(text);
        let j =
            design.judgements.iter().find(|j| j.rule == "device-stall" && j.subject == "load.PUMP").unwrap();
        (j.verdict, j.severity)
    };
    let (verdict, severity) = judged(SMALL);
    assert!(verdict == Verdict::Fail || verdict == Verdict::Undecided);
    assert_eq!(severity, Severity::A);
    let guarded = changed(SMALL, "stall = \"8 A\"", "stall = \"8 A\"\nthermal_protection = true");
    assert_eq!(judged(&guarded).0, Verdict::Pass);
    let seen = changed(SMALL, "unattended = true\n", "");
    assert_eq!(judged(&seen).1, Severity::B);
}

#[test]
fn a_start_near_the_far_end_fault_leaves_no_room_for_a_device() {
    let long = changed(
        SMALL,
        "one_way = \"5 m\"\nspaces = [\"cabin\"]\nsize = \"10 mm2\"",
        "one_way = \"30 m\"\nspaces = [\"cabin\"]\nsize = \"10 mm2\"",
    );
    let room = |text: &str| {
        let design = design(text);
        let j = design.judgements.iter().find(|j| j.rule == "device-window" && j.subject == "circuit.WINCH");
        j.map(|j| j.verdict)
    };
    assert_eq!(room(SMALL), Some(Verdict::Pass));
    // 60 m of loop at 10 mm2: a short at the far end draws less than the 90 A that must be held.
    let far = design(&long).circuit("WINCH").unwrap().fault_end.unwrap().si();
    assert!(far < 90.0, "{far}");
    assert!(matches!(room(&long), Some(Verdict::Fail) | None));
}

#[test]
fn charging_flows_back_to_the_bank_and_no_case_charges_unasked() {
    let design = design(DUNLIN);
    let network = &design.network;
    let charging: Vec<_> = design.demand.cases.iter().filter(|c| c.kind == CaseKind::Charging).collect();
    assert_eq!(charging.len(), 1);
    let full = case(network, &format!("{}@high", charging[0].id));
    let of = |id: &str| full.currents[design.boat.circuits.iter().position(|c| c.id == id).unwrap()].si();
    let rated = |id: &str| design.boat.source(id).unwrap().rating.si();
    assert!((of("ALT") + rated("ALTERNATOR")).abs() < 1e-6);
    assert!((of("MAIN") + rated("ALTERNATOR") + rated("SOLAR") + rated("SHORE")).abs() < 1e-6);
    let bank = network.node("bank.BANK").unwrap();
    assert!(
        network.cases.iter().all(|c| c.currents.len() == design.circuits.len() && c.volts[bank].is_some())
    );
}

#[test]
fn the_order_of_the_file_changes_no_volt_and_no_fault() {
    let plain = document::read(DUNLIN, "boat.toml").unwrap();
    let mut turned = plain.clone();
    turned.circuits.reverse();
    turned.loads.rotate_left(7);
    turned.panels.reverse();
    let (a, b) = (size(&plain).unwrap(), size(&turned).unwrap());
    for (n, node) in a.network.nodes.iter().enumerate() {
        let m = b.network.node(&node.id).unwrap();
        for case in &a.network.cases {
            let other = b.network.cases.iter().find(|c| c.case == case.case).unwrap();
            let (x, y) = (case.volts[n].unwrap().si(), other.volts[m].unwrap().si());
            assert!((x - y).abs() < 1e-4, "{} in {}: {x} {y}", node.id, case.case);
        }
        let (x, y) = (a.network.level(n).unwrap(), b.network.level(m).unwrap());
        for (p, q) in [(x.total.low(), y.total.low()), (x.total.high(), y.total.high())] {
            let (p, q) = (p.unwrap().si(), q.unwrap().si());
            assert!((p - q).abs() <= 1e-9 * p, "{}: {p} {q}", node.id);
        }
    }
}

#[test]
fn nodes_drops_and_faults_have_a_working() {
    let design = design(DUNLIN);
    for address in
        ["load.F5.voltage", "circuit.F5.fault", "panel.DCL.fault", "bank.BANK.fault", "source.N12.fault"]
    {
        let working = explain(&design, address).unwrap();
        assert!(!working.steps.is_empty(), "{address}");
    }
}

#[test]
fn a_device_that_does_not_clear_is_told_what_would_make_it() {
    // 30 m of 1.5 mm2 with a fuse of 30 A in a drawer: the far end draws too little for it.
    let text = changed(SMALL, "one_way = \"3 m\"\nspaces = [\"cabin\"]\nsize = \"2.5 mm2\"\n", "");
    let text = changed(
        &text,
        "loads = [\"PUMP\"]\n",
        "loads = [\"PUMP\"]\none_way = \"30 m\"\nspaces = [\"cabin\"]\nsize = \"1.5 mm2\"\ndevice = { family = \"iec60269-gg\", rating = \"32 A\" }\n",
    );
    let design = design(&text);
    let told =
        design.judgements.iter().find(|j| j.rule == "device-clears" && j.subject == "circuit.PUMP").unwrap();
    assert_eq!(told.verdict, Verdict::Fail);
    // The next size up with what a short then draws, the first that is enough, a battery nearby.
    assert!(told.to_do.contains("2.5 mm2 instead of 1.5 mm2"), "{}", told.to_do);
    assert!(told.to_do.contains("battery"), "{}", told.to_do);
}

#[test]
fn a_bank_of_unknown_resistance_gives_no_fault_current_but_everything_else() {
    let text = changed(SMALL, "string_resistance = { low = \"4 mohm\", high = \"9 mohm\" }\n", "");
    let design = design(&text);
    let network = &design.network;
    let level = network.level(network.node("panel.PANEL").unwrap()).unwrap();
    // Upper: a bank without resistance behind the cold conductor of MAIN; lower: nothing is known.
    assert_eq!(level.total.low(), None);
    assert_eq!(network.level(0).unwrap().total.high(), None);
    assert!(!level.flags.is_empty());
    assert!(design.judgements.iter().any(|j| j.rule == "device-clears" && j.verdict == Verdict::NotTested));
    assert!(design.judgements.iter().all(|j| j.rule != "device-clears" || j.verdict != Verdict::Pass));
    assert!(case(network, "sailing@low").unfed.is_empty());
    assert!(network.dips.iter().all(|d| d.in_bank.si().abs() < 1e-12), "no resistance, no dip in the bank");
    for schema in tables::SCHEMAS {
        tables::table(&design, schema.name).unwrap();
    }
}
