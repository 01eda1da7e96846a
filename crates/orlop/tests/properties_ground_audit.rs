//! What the audit of the ground graph finds on boats in order and out of order, and what it refuses.

#[path = "ground/graphs.rs"]
mod graphs;

use graphs::{flow, graph, path, point, si};
use orlop::network::ground::{
    Audit, Carries, Flow, FlowKind, GroundGraph, Path, PathKind, Point, ReturnSystem, Role, audit,
    audit_recorded,
};
use orlop::{Error, Range, Severity, Verdict, Working};
use orlop_units::{Quantity, Resistance, amperes, ohms};

/// The demo survey's finding of two negative paths: 168 A of a thruster, 3.4 A of it in the strap. Worked by hand: main
/// negative 0.40 mohm; strap 15 mohm and engine cable 4.37 mohm behind each other: 168 x 0.40/(0.40 + 19.37) = 3.399 A.
#[test]
fn the_strap_of_the_old_boat() {
    let found = old_boat(&[]);
    let strap = found.forbidden.iter().find(|c| c.path == "STRAP" && c.kind == FlowKind::Return).unwrap();
    assert!((strap.current.high().unwrap().si() - 3.399).abs() < 5e-4);
    assert_eq!(strap.current, Range::exactly(strap.current.low().unwrap()));
    assert_eq!(found.cuts.iter().map(|c| c.path.as_str()).collect::<Vec<_>>(), ["STRAP"]);
    let failed = |rule: &str, case: &str| {
        found
            .judgements
            .iter()
            .find(|j| j.rule == rule && j.case == case && j.verdict == Verdict::Fail)
            .unwrap()
    };
    assert!(
        failed("forbidden-share", "thruster").what.contains("3.4 A"),
        "{:?}",
        failed("forbidden-share", "thruster")
    );
    assert_eq!(failed("forbidden-share", "thruster").severity, Severity::B);
    assert!(failed("negative-paths", "").to_do.contains("take out STRAP"));
}

fn old_boat(more: &[Path]) -> Audit {
    let mut paths = vec![
        path("MAIN", "BUS", "BAT", PathKind::NegativeCable, 4e-4, 4e-4),
        path("STRAP", "BUS", "ENGINE", PathKind::Strap, 15e-3, 15e-3),
        path("CABLE", "ENGINE", "BAT", PathKind::NegativeCable, 4.37e-3, 4.37e-3).carries(Carries::Starter),
    ];
    paths.extend_from_slice(more);
    let graph = graph(
        &[
            point("BAT", Role::BatteryNegative),
            point("BUS", Role::NegativeBus),
            point("ENGINE", Role::Engine),
        ],
        &paths,
    );
    let flows = [
        Flow::new("thruster", FlowKind::Return, "BUS", "BAT", amperes(168.0)).unwrap(),
        Flow::new("starter", FlowKind::Starter, "ENGINE", "BAT", amperes(400.0)).unwrap(),
    ];
    audit(&graph, &flows).unwrap()
}

#[test]
fn starter_current_in_a_thin_path_is_severe_and_without_a_size_nothing_is_said() {
    let found =
        old_boat(&[path("THIN", "ENGINE", "BUS", PathKind::Bond, 1e-3, 1e-3).ampacity(Some(amperes(5.0)))]);
    let of = |path: &str| {
        found
            .judgements
            .iter()
            .find(|j| j.rule == "forbidden-share" && j.subject == path && j.case == "starter")
            .unwrap()
    };
    assert_eq!((of("THIN").severity, of("THIN").verdict), (Severity::A, Verdict::Fail));
    assert!(of("STRAP").what.contains("size is not stated"), "{}", of("STRAP").what);
    // The main negative may carry return current, but no starter current either.
    assert_eq!(of("MAIN").verdict, Verdict::Fail);
}

#[test]
fn of_an_unknown_resistance_the_worst_counts_and_it_is_said() {
    let found = old_boat(&[Path::new("X", "BUS", "ENGINE", PathKind::Incidental)]);
    let of =
        |path: &str| found.forbidden.iter().find(|c| c.path == path && c.kind == FlowKind::Return).unwrap();
    let high = |path: &str| of(path).current.high().unwrap().si();
    // By hand: X as good as shorted, X as good as open.
    assert!((high("X") - 168.0 * 0.4 / (0.4 + 0.01 + 4.37)).abs() < 0.02, "{}", high("X"));
    assert!((high("STRAP") - 3.399).abs() < 1e-3, "{}", high("STRAP"));
    assert!(!of("X").known && !of("STRAP").known);
    assert_eq!(of("X").heat, None);
    let said = found.judgements.iter().find(|j| j.subject == "X" && j.rule == "forbidden-share").unwrap();
    assert!(
        said.verdict == Verdict::Fail && said.what.contains("not known: the worst counts"),
        "{}",
        said.what
    );
    assert_eq!(found.cuts.len(), 2);
    // Off every loop nothing need be known.
    let sound = with(|_, p| p.iter_mut().for_each(|p| p.resistance = Range::from_bounds(None, None)));
    assert_eq!(failures(&sound), []);
}

/// A boat in order: shunt at the battery, one bond to the engine, bonding behind it, a permitted bypass.
fn sound() -> (Vec<Point>, Vec<Path>) {
    let points = vec![
        point("BAT", Role::BatteryNegative),
        point("BUS", Role::NegativeBus),
        point("LAMP", Role::LoadNegative),
        point("BMS", Role::LoadNegative),
        point("HF", Role::LoadNegative),
        point("PLATE", Role::RadioGround),
        point("ENGINE", Role::Engine),
        point("START", Role::BatteryNegative),
        point("BONDING", Role::BondingBus),
        point("SHAFT", Role::UnderwaterMetal),
        point("EARTH", Role::ShoreEarth),
    ];
    let cable = PathKind::NegativeCable;
    let paths = vec![
        path("SHUNT", "BAT", "BUS", PathKind::Shunt, 5e-5, 1e-4).bypass(["BMS"]),
        path("N-LAMP", "LAMP", "BUS", cable, 0.02, 0.03),
        path("N-BMS", "BMS", "BAT", cable, 0.02, 0.03),
        path("N-HF", "HF", "BUS", cable, 2e-3, 3e-3),
        path("FOIL", "HF", "PLATE", PathKind::Strap, 0.01, 0.02),
        path("BOND", "BUS", "ENGINE", PathKind::Bond, 1e-3, 2e-3),
        path("START", "START", "ENGINE", cable, 2e-4, 4e-4).carries(Carries::Starter),
        path("BONDING", "ENGINE", "BONDING", PathKind::Bond, 2e-3, 4e-3),
        path("SHAFT", "BONDING", "SHAFT", PathKind::Bond, 2e-3, 4e-3),
        path("EARTH", "BONDING", "EARTH", PathKind::ShoreEarth, 2e-3, 4e-3),
    ];
    (points, paths)
}

fn flows() -> Vec<Flow> {
    vec![
        Flow::new("starter", FlowKind::Starter, "ENGINE", "START", amperes(450.0)).unwrap(),
        Flow::new("radio", FlowKind::Return, "HF", "BAT", amperes(14.0)).unwrap(),
        Flow::new("lamp", FlowKind::Return, "LAMP", "BAT", amperes(2.0)).unwrap(),
    ]
}

fn with(change: impl Fn(&mut Vec<Point>, &mut Vec<Path>)) -> Audit {
    let (mut points, mut paths) = sound();
    change(&mut points, &mut paths);
    audit(&graph(&points, &paths), &flows()).unwrap()
}

fn failures(found: &Audit) -> Vec<(&'static str, &str)> {
    found
        .judgements
        .iter()
        .filter(|j| j.verdict != Verdict::Pass)
        .map(|j| (j.rule, j.subject.as_str()))
        .collect()
}

#[test]
fn a_boat_in_order_passes_everything() {
    let found = with(|_, _| {});
    assert_eq!(failures(&found), []);
    assert_eq!(found.engines[0].ways, [["BOND"]]);
    assert_eq!(found.negatives[0].bonds, ["BOND"]);
    assert_eq!(found.negatives[1].bonds, ["START"]);
    assert_eq!(found.shunts[0].branches[0].points, ["BMS"]);
    assert!(found.caution.contains("shore-earth"));
    let bonds = found.judgements.iter().filter(|j| j.rule == "forbidden-share");
    assert!(bonds.clone().count() >= 8 && bonds.into_iter().all(|j| j.verdict == Verdict::Pass));
}

#[test]
fn a_second_strap_a_case_bonded_source_and_an_aerial_ground_are_loops() {
    let strap = with(|_, p| p.push(path("STRAP", "BUS", "ENGINE", PathKind::Strap, 1e-3, 2e-3)));
    assert_eq!(failures(&strap), [("negative-paths", "ENGINE"), ("one-bond", "BAT")]);
    assert_eq!(strap.cuts[0].path, "STRAP");

    // An alternator with its own negative cable and its case on the engine.
    let cased = with(|points, p| {
        points.push(point("ALT", Role::SourceNegative));
        p.push(path("N-ALT", "ALT", "BUS", PathKind::NegativeCable, 1e-3, 2e-3));
        p.push(path("CASE", "ALT", "ENGINE", PathKind::Incidental, 1e-3, 2e-3));
    });
    assert_eq!(failures(&cased), [("negative-paths", "ENGINE"), ("one-bond", "BAT")]);
    assert_eq!(cased.cuts[0].path, "CASE");

    // The radio's foil on the bonding: part of its return goes there, all of it when its own negative is lost.
    let foil = with(|_, p| p.push(path("TIE", "PLATE", "BONDING", PathKind::Strap, 1e-3, 2e-3)));
    let failed = failures(&foil);
    assert!(failed.contains(&("forbidden-share", "FOIL")) && failed.contains(&("forbidden-share", "TIE")));
    assert!(failed.contains(&("forbidden-share", "BOND")), "{failed:?}");
    let lost = with(|_, p| {
        p.push(path("TIE", "PLATE", "BONDING", PathKind::Strap, 1e-3, 2e-3));
        p.retain(|p| p.id != "N-HF");
    });
    let tie = lost.forbidden.iter().find(|c| c.path == "TIE" && c.kind == FlowKind::Return).unwrap();
    assert!((tie.current.low().unwrap().si() - 14.0).abs() < 1e-9);
}

#[test]
fn what_does_not_pass_the_shunt_is_found() {
    let wrong = with(|_, p| {
        let lamp = p.iter_mut().find(|p| p.id == "N-LAMP").unwrap();
        lamp.to = "BAT".into();
    });
    assert_eq!(failures(&wrong), [("shunt-bypass", "N-LAMP")]);
    let round = with(|_, p| p.push(path("ROUND", "ENGINE", "BAT", PathKind::NegativeCable, 1e-3, 2e-3)));
    let said = round.judgements.iter().find(|j| j.rule == "shunt-bypass").unwrap();
    assert!(said.what.contains("a way round SHUNT to BAT: ROUND"), "{}", said.what);
    let apart = with(|points, p| {
        points.push(point("BUS2", Role::NegativeBus));
        p.retain(|p| p.id != "SHUNT");
        p.push(path("MAIN", "BAT", "BUS2", PathKind::NegativeCable, 1e-4, 1e-4));
        p.push(path("SHUNT", "BUS2", "BUS", PathKind::Shunt, 1e-4, 1e-4));
    });
    assert!(failures(&apart).contains(&("shunt-bypass", "SHUNT")));
}

#[test]
fn what_hangs_on_nothing_is_found_with_the_bond_to_add() {
    let loose = with(|_, p| p.retain(|p| p.id != "SHAFT"));
    assert_eq!(failures(&loose), [("missing-bond", "SHAFT")]);
    assert_eq!((loose.missing[0].add.from.as_str(), loose.missing[0].add.to.as_str()), ("SHAFT", "BONDING"));
    // A load without a negative gets a cable to the bus, not a bond.
    let lamp = with(|_, p| p.retain(|p| p.id != "N-LAMP"));
    assert_eq!(lamp.missing[0].add.kind, PathKind::NegativeCable);
    assert_eq!(lamp.missing[0].add.to, "BUS");
    assert!(failures(&lamp).contains(&("forbidden-share", "LAMP")));
    assert_eq!(lamp.without_way, [("lamp".to_string(), "LAMP".to_string(), "BAT".to_string())]);
}

#[test]
fn with_an_insulated_return_negative_meets_metal_nowhere() {
    let (points, paths) = sound();
    let graph = GroundGraph::new(ReturnSystem::Insulated, points.clone(), paths.clone()).unwrap();
    let found = audit(&graph, &[]).unwrap();
    assert_eq!(found.cuts.iter().map(|c| c.path.as_str()).collect::<Vec<_>>(), ["BOND"]);
    let failed = failures(&found);
    assert!(
        failed.contains(&("negative-paths", "ENGINE")) && failed.contains(&("one-bond", "BAT")),
        "{failed:?}"
    );
    // The start battery on the block may not be cut: it stays a finding.
    assert!(failed.contains(&("one-bond", "START")));
    let apart: Vec<Path> = paths.into_iter().filter(|p| p.id != "BOND" && p.id != "START").collect();
    let points: Vec<Point> = points.into_iter().filter(|p| p.id != "START").collect();
    let graph = GroundGraph::new(ReturnSystem::Insulated, points, apart).unwrap();
    assert_eq!(failures(&audit(&graph, &[]).unwrap()), []);
}

#[test]
fn a_loop_of_paths_that_must_stay_is_named_and_not_cut() {
    let found = with(|_, p| p.push(path("EARTH2", "ENGINE", "EARTH", PathKind::ShoreEarth, 1e-3, 2e-3)));
    // The bonding conductor is the only path of that loop that may go; the shore earths stay.
    assert_eq!(found.cuts.iter().map(|c| c.path.as_str()).collect::<Vec<_>>(), ["BONDING"]);
    let fixed = with(|_, p| {
        p.push(path("EARTH2", "ENGINE", "EARTH", PathKind::ShoreEarth, 1e-3, 2e-3));
        p.iter_mut().find(|p| p.id == "BONDING").unwrap().may_cut = false;
    });
    assert!(fixed.cuts.is_empty());
    assert_eq!(fixed.loops[0].cut, None);
    let said =
        fixed.judgements.iter().find(|j| j.rule == "negative-paths" && j.verdict == Verdict::Fail).unwrap();
    assert!(said.to_do.contains("none of these paths may be cut"), "{}", said.to_do);
}

#[test]
fn beyond_the_ranges_that_can_be_tried_the_answer_is_a_bound_and_says_so() {
    // A ladder of 8 rungs: 22 paths with a range each.
    let mut points = vec![point("BAT", Role::BatteryNegative)];
    let mut paths = Vec::new();
    let name =
        |side: &str, i: usize| if side == "L" && i == 0 { "BAT".to_string() } else { format!("{side}{i}") };
    for i in 0..8 {
        for side in ["L", "R"] {
            if name(side, i) != "BAT" {
                points.push(point(&name(side, i), Role::LoadNegative));
            }
            if i > 0 {
                let id = format!("{side}-{i}");
                paths.push(path(
                    &id,
                    &name(side, i - 1),
                    &name(side, i),
                    PathKind::NegativeCable,
                    1e-3,
                    2e-3,
                ));
            }
        }
        paths.push(path(
            &format!("X-{i}"),
            &name("L", i),
            &name("R", i),
            PathKind::NegativeCable,
            1e-3,
            2e-3,
        ));
    }
    let graph = graph(&points, &paths);
    let through = flow("R7", "BAT", 50.0);
    let bounds = graph.carried(&through).unwrap();
    let low: Vec<Resistance> = graph.paths().iter().map(|p| p.resistance.low().unwrap()).collect();
    for (bound, i) in bounds.iter().zip(si(graph.currents(&through, &low).unwrap())) {
        assert!(!bound.exact);
        assert!(i.abs() <= bound.current.high().unwrap().si());
    }
}

#[test]
fn the_working_names_its_sources() {
    let mut working = Working::new("ground");
    let (points, mut paths) = sound();
    paths.push(path("STRAP", "BUS", "ENGINE", PathKind::Strap, 1e-3, 2e-3));
    let graph = graph(&points, &paths);
    let recorded = audit_recorded(&graph, &flows(), &mut working).unwrap();
    assert_eq!(recorded, audit(&graph, &flows()).unwrap());
    assert!(working.steps.iter().filter(|s| s.source.is_some()).count() >= 5, "{working}");
    let listed: Vec<String> = orlop::sources().into_iter().map(|c| c.id.to_string()).collect();
    for source in working.steps.iter().filter_map(|s| s.source.as_ref()) {
        assert!(listed.contains(&source.id.to_string()), "{}", source.id);
    }
}

// ---------------------------------------------------------------- bad input

#[test]
fn bad_input_is_a_named_error() {
    let made = |change: &dyn Fn(&mut Vec<Point>, &mut Vec<Path>)| {
        let (mut points, mut paths) = sound();
        change(&mut points, &mut paths);
        GroundGraph::new(ReturnSystem::OneBond, points, paths).unwrap_err().to_string()
    };
    let bond =
        |r: f64| move |_: &mut Vec<Point>, p: &mut Vec<Path>| p[5].resistance = Range::exactly(ohms(r));
    let cases: Vec<(String, &str)> = vec![
        (made(&bond(0.0)), "resistance of path BOND: got 0 ohm, expected a resistance above zero"),
        (made(&bond(-1.0)), "resistance of path BOND"),
        (made(&bond(f64::NAN)), "resistance of path BOND"),
        (made(&bond(f64::INFINITY)), "resistance of path BOND"),
        (made(&|_, p| p[5].to = "ENGIN".into()), "path BOND: got 'ENGIN', expected the id of a point"),
        (made(&|_, p| p[5].to = "BUS".into()), "path BOND: got both ends at 'BUS'"),
        (made(&|_, p| p[5].effort = f64::NAN), "effort of path BOND"),
        (made(&|_, p| p[5].effort = 0.0), "effort of path BOND"),
        (made(&|_, p| p[5].ampacity = Some(amperes(-3.0))), "ampacity of path BOND"),
        (made(&|_, p| p[9].may_cut = true), "it is a safety conductor"),
        (made(&|_, p| p[0].bypass = vec!["BMX".into()]), "path SHUNT: got 'BMX'"),
        (made(&|_, p| p[5].bypass = vec!["BMS".into()]), "bypasses on shunts only"),
        (made(&|_, p| p[5].id = "SHUNT".into()), "paths: got 'SHUNT' twice"),
        (made(&|p, _| p[1].id = "BAT".into()), "points: got 'BAT' twice"),
        (made(&|p, _| p[1].id = " ".into()), "points: got an empty id"),
        (made(&|p, _| p.retain(|p| p.role != Role::BatteryNegative)), "points: got no battery's negative"),
        (
            made(&|p, paths| {
                p.clear();
                paths.clear();
            }),
            "points: got no battery's negative",
        ),
    ];
    for (got, wanted) in cases {
        assert!(got.contains(wanted), "{got}\nlacks: {wanted}");
    }
}

#[test]
fn bad_flows_are_named_errors() {
    let (points, paths) = sound();
    let graph = graph(&points, &paths);
    for current in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(
            Flow::new("F", FlowKind::Return, "BUS", "BAT", amperes(current)),
            Err(Error::Input { .. })
        ));
        let mut slipped = flow("BUS", "BAT", 1.0);
        slipped.parts[0].current = amperes(current);
        assert!(audit(&graph, &[slipped.clone()]).is_err());
        assert!(graph.carried(&slipped).is_err());
    }
    assert!(Flow::new("F", FlowKind::Return, "BUS", "BUS", amperes(1.0)).is_err());
    assert!(audit(&graph, &[flow("BUSS", "BAT", 1.0)]).unwrap_err().to_string().contains("'BUSS'"));
    assert!(audit(&graph, &[flow("BUS", "BAT", 1.0), flow("BUS", "BAT", 2.0)]).is_err());
    let r: Vec<Resistance> = vec![ohms(1.0); graph.paths().len()];
    assert!(graph.currents(&flow("BUS", "BAT", 1.0), &r[1..]).is_err());
    let mut zero = r.clone();
    zero[3] = ohms(0.0);
    assert!(graph.currents(&flow("BUS", "BAT", 1.0), &zero).is_err());
    let mut islands = paths;
    islands.retain(|p| p.id != "N-LAMP");
    let apart = GroundGraph::new(ReturnSystem::OneBond, points, islands).unwrap();
    let error = apart.currents(&flow("LAMP", "BAT", 1.0), &r[1..]).unwrap_err();
    assert_eq!(error.code(), "no-solution");
}
