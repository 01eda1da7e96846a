//! What lengths, spaces and bundles come to.

use super::demand::dunlin;
use crate::common::*;
use orlop::conductor::SpaceKind;
use orlop::{Error, Working};
use orlop_boat::Boat;
use orlop_boat::model::{Feeds, LoadState, Point, Run};
use orlop_boat::route::{CircuitRoute, Routes, measure, measure_recorded};
use orlop_units::{Quantity, metres, millimetres};

/// The trunk table of the demo boat's description: polyline, and with 8 % slack and 0.3 m of terminations.
#[test]
fn trunks_of_dunlin() {
    let routes = measure(&dunlin()).unwrap();
    let table = [
        ("bat-dcl", 2.15, 2.62),
        ("dcl-hlm", 6.50, 7.32),
        ("dcl-fwd", 7.79, 8.71),
        ("dcl-aft", 4.42, 5.08),
        ("dcl-thruster", 7.78, 8.70),
        ("dcl-windlass", 8.18, 9.13),
        ("dcl-inverter", 0.74, 1.10),
        ("hlm-conv", 0.37, 0.70),
        ("alternator-dcl", 2.68, 3.19),
        ("solar-dcl", 5.15, 5.86),
        ("bat-pump1", 2.65, 3.16),
        ("bat-pump2", 3.60, 4.18),
        ("bat-pump3", 5.94, 6.71),
    ];
    assert_eq!(routes.trunks.len(), table.len());
    for (id, polyline, with_slack) in table {
        let trunk = routes.trunk(id).unwrap();
        near(id, trunk.polyline.si(), polyline, 0.01);
        near(id, trunk.with_slack.si(), with_slack, 0.01);
        assert!(trunk.segments.iter().all(|s| s.in_no_space.is_none()), "{id} leaves the spaces");
    }
    // 7.78 m at 0.3 m.
    assert_eq!(routes.trunk("dcl-thruster").unwrap().supports, 26);
    assert_eq!(routes.trunk("bat-dcl").unwrap().circuits, ["MAIN"]);
}

#[test]
fn ways_of_dunlin() {
    let routes = measure(&dunlin()).unwrap();
    let b3 = routes.circuit("B3").unwrap();
    near("B3", b3.one_way.0.si(), 6.71, 0.01);
    assert_eq!((b3.space.as_str(), b3.space_kind), ("engine", SpaceKind::Engine));
    assert_eq!(b3.ambient.degrees_celsius(), 60.0);
    // As stated, without slack.
    near("H1", routes.circuit("H1").unwrap().one_way.0.si(), 9.6, 1e-12);
    // Two runs of battery cable, both of them carrying.
    assert_eq!(routes.circuit("MAIN").unwrap().bundled, 4);
    assert_eq!(routes.circuit("MAIN").unwrap().bundle_where, "trunk bat-dcl, corners 1 to 4");
    // The thruster's trunk leaves the DC locker with that of the console, which carries current, too.
    assert_eq!(routes.circuit("D1").unwrap().bundled, 4);
    assert_eq!(routes.circuit("D1").unwrap().bundle_scenario, "thruster");
}

#[test]
fn every_demo_boat_can_be_measured() {
    for text in [
        include_str!("../../../../python/orlop/boats/dunlin.toml"),
        include_str!("../../../../python/orlop/boats/teal.toml"),
    ] {
        let boat = orlop_boat::document::read(text, "demo").unwrap_or_else(|e| panic!("{e}"));
        let routes = measure(&boat).unwrap_or_else(|e| panic!("{}: {e}", boat.name));
        assert!(routes.circuits.iter().all(|c| c.flags.is_empty()), "{}", boat.name);
    }
}

fn p(x: f64, y: f64) -> Point {
    point(x, y, 0.0)
}

/// Loads `L0`, `L1`, ... of 24 W from the bank, each with its run.
fn with_runs(runs: &[Run]) -> Boat {
    let mut boat = boat();
    for (i, run) in runs.iter().enumerate() {
        add_load(&mut boat, "BANK", load(&format!("L{i}"), power(24.0)));
        boat.circuits[i].run = run.clone();
    }
    boat
}

fn first(boat: &Boat) -> CircuitRoute {
    measure(boat).unwrap().circuits.swap_remove(0)
}

#[test]
fn trunks_join_end_to_end_in_any_direction_with_tail_slack_and_termination() {
    let mut boat = with_runs(&[Run::Trunks { path: vec!["a".into(), "b".into()], tail: Some(metres(0.5)) }]);
    boat.trunks.push(trunk("a", &[p(0.0, 0.0), p(3.0, 0.0)]));
    boat.trunks.push(trunk("b", &[p(3.0, 4.0), p(3.0, 0.0)]));
    let way = first(&boat);
    near("polyline", way.polyline.unwrap().si(), 7.0, 1e-12);
    near("one way", way.one_way.0.si(), 7.5 * 1.08 + 0.3, 1e-12);
    assert_eq!((way.segments[1].from.y, way.segments[1].to.y), (0.0, 4.0), "the second is walked backwards");
    // 2 to a trunk of ISO battery spacing 0.3 m: 3 / 0.3 = 10, 4 / 0.3 = 13.3.
    assert_eq!(way.supports, 10 + 14);
    // Apart by more than 0.1 m.
    boat.trunks[1].points[1] = p(3.0, 0.2);
    let error = measure(&boat).unwrap_err().to_string();
    assert!(error.contains("circuit.L0.path: got 'a' then 'b', whose ends are 0.2 m apart"), "{error}");
}

fn crossing() -> Boat {
    // A trunk along x; another leaves it at x = 4; a place lies beside it at x = 2.
    let mut boat = with_runs(&[]);
    boat.places.push(place("MID", p(2.0, 0.05)));
    boat.places.push(place("UP", p(4.0, 3.0)));
    boat.places.push(place("FAR", p(10.0, 2.5)));
    boat.trunks.push(trunk("keel", &[p(0.0, 0.0), p(10.0, 0.0)]));
    boat.trunks.push(trunk("branch", &[p(4.0, 3.0), p(4.0, 0.0)]));
    boat
}

fn way(boat: &mut Boat, run: Run) -> Result<CircuitRoute, Error> {
    boat.circuits.clear();
    boat.loads.clear();
    add_load(boat, "BANK", load("L", power(24.0)));
    boat.circuits[0].run = run;
    measure(boat).map(|mut r| r.circuits.swap_remove(0))
}

#[test]
fn the_shortest_way_takes_branches_and_places_on_the_way() {
    let mut boat = crossing();
    let found = way(&mut boat, shortest("BAT", "UP")).unwrap();
    near("along", found.polyline.unwrap().si(), 7.0, 1e-12);
    assert_eq!(found.path, ["keel", "branch"]);
    let found = way(&mut boat, shortest("MID", "UP")).unwrap();
    near("from the middle of a trunk", found.polyline.unwrap().si(), 5.0, 1e-12);
    near("the place is 50 mm away", found.outside.si(), 0.05, 1e-12);
    near("wire", found.one_way.0.si(), 5.05 * 1.08 + 0.3, 1e-12);
    // A stated tail takes the place of the 50 mm, and a short one does not.
    let tailed = |tail| Run::Shortest { from: "MID".into(), to: "UP".into(), tail: Some(metres(tail)) };
    near("tail", way(&mut boat, tailed(0.4)).unwrap().one_way.0.si(), 5.4 * 1.08 + 0.3, 1e-12);
    let short = way(&mut boat, tailed(0.01)).unwrap();
    near("short tail", short.outside.si(), 0.05, 1e-12);
    assert_eq!(short.flags.len(), 1);
    // Nothing to go along.
    let none = way(&mut boat, shortest("UP", "UP")).unwrap();
    near("no way", none.one_way.0.si(), 0.3, 1e-12);
    assert_eq!(none.space, "hull");
}

#[test]
fn what_no_trunk_reaches_is_named_with_its_distance() {
    let mut boat = crossing();
    let error = way(&mut boat, shortest("BAT", "FAR")).unwrap_err().to_string();
    assert!(error.contains("no trunk reaches place 'FAR'; the nearest, 'keel', is 2.5 m away"), "{error}");
    // A long enough tail reaches it.
    let run = Run::Shortest { from: "BAT".into(), to: "FAR".into(), tail: Some(metres(2.5)) };
    near("tail", way(&mut boat, run).unwrap().one_way.0.si(), 12.5 * 1.08 + 0.3, 1e-12);
    let error = way(&mut boat, shortest("BAT", "NONE")).unwrap_err().to_string();
    assert!(error.contains("'NONE'"), "{error}");
    // A branch that ends 0.2 m short of the keel does not join it.
    boat.trunks[1].points[1] = p(4.0, 0.2);
    let error = way(&mut boat, shortest("BAT", "UP")).unwrap_err().to_string();
    assert!(error.contains("no trunks lead from place 'BAT' to place 'UP'"), "{error}");
    boat.trunks.clear();
    let error = way(&mut boat, shortest("BAT", "UP")).unwrap_err().to_string();
    assert!(error.contains("the boat has none"), "{error}");
}

#[test]
fn of_equal_ways_the_one_with_fewest_changes_is_taken() {
    let mut boat = crossing();
    // Beside the keel up to x = 4, in pieces.
    boat.trunks.push(trunk("a1", &[p(0.0, 0.0), p(2.0, 0.0)]));
    boat.trunks.push(trunk("a2", &[p(2.0, 0.0), p(4.0, 0.0)]));
    assert_eq!(way(&mut boat, shortest("BAT", "UP")).unwrap().path, ["keel", "branch"]);
}

#[test]
fn the_hottest_space_on_the_way_governs() {
    let mut boat = with_runs(&[along(&["a"])]);
    boat.spaces = vec![
        space("cool", (0.0, 2.0), 30.0, SpaceKind::Outside),
        space("engine", (2.0, 4.0), 60.0, SpaceKind::Engine),
        space("deck", (4.0, 6.0), 70.0, SpaceKind::Outside),
    ];
    // To the face of the engine space and no farther.
    boat.trunks.push(trunk("a", &[p(0.0, 0.0), p(2.0, 0.0)]));
    assert_eq!(first(&boat).space, "cool");
    // In its face: both spaces count, the hotter governs.
    boat.trunks[0].points = vec![p(2.0, 0.0), p(2.0, 3.0)];
    assert_eq!(first(&boat).space, "engine");
    // Through it without a corner in it; a corner that is there twice does not matter.
    boat.trunks[0].points = vec![p(1.0, 0.0), p(1.0, 0.0), p(5.0, 0.0)];
    let found = first(&boat);
    assert_eq!((found.space.as_str(), found.space_kind), ("deck", SpaceKind::Engine));
    near("length", found.polyline.unwrap().si(), 4.0, 1e-12);
    // A space named for the trunk wins.
    boat.trunks[0].space = Some("cool".into());
    assert_eq!(first(&boat).space_kind, SpaceKind::Outside);
}

#[test]
fn a_corner_or_piece_in_no_space_is_an_error_and_a_gap_a_remark() {
    let mut boat = with_runs(&[along(&["a"])]);
    boat.spaces = vec![
        space("hull", (0.0, 2.0), 30.0, SpaceKind::Outside),
        space("fore", (2.5, 5.0), 30.0, SpaceKind::Outside),
    ];
    boat.trunks.push(trunk("a", &[p(1.0, 0.0), p(2.2, 0.0), p(3.0, 0.0)]));
    let error = measure(&boat).unwrap_err().to_string();
    assert!(error.contains("trunk.a.path: got corner 2 at 2.2, 0, 0 m, in no space"), "{error}");
    assert!(error.contains("the nearest space is 'hull', 0.20 m away"), "{error}");
    boat.trunks[0].points.remove(1);
    let found = first(&boat);
    assert_eq!(found.flags.len(), 1, "{:?}", found.flags);
    near("gap", found.segments[0].in_no_space.unwrap().si(), 0.5, 1e-6);
}

fn bundles(boat: &Boat) -> Vec<u32> {
    measure(boat).unwrap().circuits.iter().map(|c| c.bundled).collect()
}

#[test]
fn conductors_bundle_in_one_trunk_and_in_trunks_beside_each_other() {
    let mut boat = with_runs(&[along(&["a"]), along(&["a"]), along(&["b"])]);
    boat.trunks.push(trunk("a", &[p(0.0, 0.0), p(4.0, 0.0)]));
    // 30 mm beside a for 1 m, then away.
    boat.trunks.push(trunk("b", &[p(4.0, 0.03), p(3.0, 0.03), p(3.0, 3.0)]));
    let all = [("L0", LoadState::Run), ("L1", LoadState::Run), ("L2", LoadState::Run)];
    boat.scenarios.push(scenario("all", &all));
    assert_eq!(bundles(&boat), [6, 6, 6]);
    boat.trunks[1].apart = true;
    assert_eq!(bundles(&boat), [4, 4, 2]);
    boat.trunks[1].apart = false;
    // Not in the file, in b: they count in b and where a lies beside it.
    boat.trunks[1].others = 3;
    assert_eq!(bundles(&boat), [9, 9, 9]);
    boat.trunks[1].others = 0;
    // Two runs are four conductors.
    boat.circuits[2].runs = 2;
    assert_eq!(bundles(&boat), [8, 8, 8]);
    // What the file says counts.
    boat.circuits[0].bundled = Some(3);
    assert_eq!(bundles(&boat), [3, 8, 8]);
    // 60 mm away they are no bundle.
    boat.trunks[1].points = vec![p(4.0, 0.06), p(3.0, 0.06), p(3.0, 3.0)];
    assert_eq!(bundles(&boat), [3, 4, 4]);
}

#[test]
fn only_conductors_with_current_in_the_same_scenario_count() {
    let mut boat = with_runs(&[along(&["a"]), along(&["a"]), along(&["a"])]);
    boat.trunks.push(trunk("a", &[p(0.0, 0.0), p(4.0, 0.0)]));
    let on = LoadState::Run;
    boat.scenarios.push(scenario("one", &[("L0", on)]));
    boat.scenarios.push(scenario("two", &[("L1", on), ("L0", on)]));
    // L0 carries the same in both: the larger count. L2 is in none: everything beside it counts.
    let routes = measure(&boat).unwrap();
    assert_eq!(bundles(&boat), [4, 4, 6]);
    assert_eq!(routes.circuits[0].bundle_scenario, "two");
    assert_eq!(routes.circuits[2].bundle_scenario, "every circuit");
    assert_eq!(routes.circuits[2].bundle_where, "trunk a, corners 1 to 2");
    // Without any scenario nothing is known about what runs together.
    boat.scenarios.clear();
    assert_eq!(bundles(&boat), [6, 6, 6]);
}

#[test]
fn a_conduit_knows_what_shares_it() {
    let mut boat = with_runs(&[along(&["a"]), shortest("BAT", "END")]);
    boat.places.push(place("END", p(2.0, 0.0)));
    boat.trunks.push(trunk("a", &[p(0.0, 0.0), p(4.0, 0.0)]));
    boat.trunks[0].conduit = Some(millimetres(32.0));
    let routes = measure(&boat).unwrap();
    assert_eq!(routes.trunks[0].circuits, ["L0", "L1"]);
    assert_eq!(routes.trunks[0].conduit, Some(millimetres(32.0)));
    near("half of it", routes.circuits[1].polyline.unwrap().si(), 2.0, 1e-12);
    assert_eq!(routes.circuits[1].bundle_where, "trunk a, corners 1 to 2");
}

#[test]
fn the_working_tells_trunk_slack_ambient_and_bundle() {
    let mut working = Working::new("circuit.D1.one_way");
    let found = measure_recorded(&dunlin(), "D1", &mut working).unwrap();
    let text = working.to_string();
    for part in [
        "L_dcl-thruster = 7.78 m",
        "one_way = (L + L_tail) (1 + slack) + termination",
        "one_way = 8.7 m",
        "ambient of the hottest space on the way: T_a = 45 degC",
        "circuits here = HLM",
    ] {
        assert!(text.contains(part), "{part} is not in\n{text}");
    }
    assert_eq!(Some(&found), measure(&dunlin()).unwrap().circuit("D1"));
    let mut working = Working::new("circuit.H1.one_way");
    measure_recorded(&dunlin(), "H1", &mut working).unwrap();
    assert!(working.to_string().contains("spaces = wheelhouse, mast"));
    assert!(measure_recorded(&dunlin(), "NONE", &mut working).is_err());
}

/// A thousand circuits, half of them in one trunk, half in trunks of their own beside it, with as many scenarios as a
/// large file has.
#[test]
fn a_thousand_circuits_take_no_time() {
    let mut boat = boat();
    let corners: Vec<Point> = (0..6).map(|i| p(f64::from(i), f64::from(i % 2))).collect();
    boat.trunks.push(trunk("main", &corners));
    add_panel(&mut boat, "BANK", "BUS");
    boat.circuits[0].run = along(&["main"]);
    for i in 0..1000 {
        let id = format!("L{i}");
        add_load(&mut boat, "BUS", load(&id, power(1.0 + f64::from(i))));
        let circuit = boat.circuits.last_mut().unwrap();
        circuit.run = if i % 2 == 0 {
            along(&["main"])
        } else {
            let own = format!("t{i}");
            boat.trunks.push(trunk(&own, &corners));
            Run::Trunks { path: vec![own], tail: None }
        };
    }
    let names: Vec<String> = (0..900).map(|i| format!("L{i}")).collect();
    for s in 0..20 {
        let on: Vec<_> = names.iter().skip(s).step_by(3).map(|id| (id.as_str(), LoadState::Run)).collect();
        boat.scenarios.push(scenario(&format!("s{s}"), &on));
    }
    let begin = std::time::Instant::now();
    let routes: Routes = measure(&boat).unwrap();
    let took = begin.elapsed();
    assert_eq!(routes.circuits.len(), 1001);
    // L999 is in no scenario: every pair counts, 1000 of loads and the feeder's.
    assert_eq!(routes.circuit("L999").unwrap().bundled, 2002);
    assert!(took.as_secs_f64() < 5.0, "{took:?}");
    assert!(matches!(boat.circuits[0].feeds, Feeds::Panel(_)));
}
