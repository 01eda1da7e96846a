//! What must hold for any boat.

use crate::common::*;
use orlop::conductor::SpaceKind;
use orlop_boat::Boat;
use orlop_boat::demand::work_out;
use orlop_boat::model::{Demand, Feeds, LoadState, Point, Run, SourceKind, Value};
use orlop_boat::route::{CircuitRoute, Routes, measure};
use orlop_units::{Fraction, Quantity, amperes, ohms, watts};
use proptest::prelude::*;

// ------------------------------------------------------------- boats with trunks

fn corner() -> impl Strategy<Value = Point> {
    (0.0..10.0, -2.0..2.0, -1.0..1.0).prop_map(|(x, y, z)| point(x, y, z))
}

/// Nodes, trunks between neighbouring numbers of them (so that all are joined) and some more, each with corners of its
/// own; a circuit along the whole chain, one by the shortest way from end to end, one along each trunk.
fn net() -> impl Strategy<Value = Boat> {
    let nodes = prop::collection::vec(corner(), 2..5);
    let extra = prop::collection::vec((0..8_usize, 0..8_usize, prop::collection::vec(corner(), 0..3)), 0..4);
    let between = prop::collection::vec(prop::collection::vec(corner(), 0..3), 5);
    (nodes, extra, between).prop_map(|(nodes, extra, between)| {
        let mut boat = boat();
        boat.spaces = vec![
            space("aft", (-1.0, 4.0), 35.0, SpaceKind::Outside),
            space("engine", (4.0, 7.0), 60.0, SpaceKind::Engine),
            space("fore", (7.0, 11.0), 30.0, SpaceKind::Outside),
        ];
        boat.places.clear();
        for (i, at) in nodes.iter().enumerate() {
            let mut place = place(&format!("P{i}"), *at);
            place.space = "aft".into();
            boat.places.push(place);
        }
        let mut add = |id: String, a: usize, b: usize, middle: Vec<Point>| {
            let ends = [vec![nodes[a]], middle, vec![nodes[b]]];
            boat.trunks.push(trunk(&id, &ends.concat()));
        };
        let last = nodes.len() - 1;
        for (i, middle) in between.into_iter().enumerate().take(last) {
            add(format!("c{i}"), i, i + 1, middle);
        }
        for (i, (a, b, middle)) in extra.into_iter().enumerate() {
            let (a, b) = (a % nodes.len(), b % nodes.len());
            if a != b {
                add(format!("e{i}"), a, b, middle);
            }
        }
        let chain: Vec<String> = (0..last).map(|i| format!("c{i}")).collect();
        let mut runs = vec![
            Run::Trunks { path: chain, tail: None },
            Run::Shortest { from: "P0".into(), to: format!("P{last}"), tail: None },
        ];
        runs.extend(boat.trunks.iter().map(|t| along(&[&t.id])));
        for (i, run) in runs.into_iter().enumerate() {
            add_load(&mut boat, "BANK", load(&format!("L{i}"), power(24.0)));
            boat.circuits[i].run = run;
        }
        boat
    })
}

/// Every circuit takes the same trunks, as far along them.
fn same_ways(a: &Routes, b: &Routes) -> bool {
    let length = |c: &CircuitRoute| c.one_way.0.si();
    a.circuits.iter().all(|x| {
        b.circuit(&x.circuit).is_some_and(|y| x.path == y.path && (length(x) - length(y)).abs() < 1e-9)
    })
}

/// Lengths, ambients and bundles are the same, circuit by circuit.
fn same_routes(a: &Boat, b: &Boat) -> Result<(), TestCaseError> {
    let (a, b) = (measure(a).unwrap(), measure(b).unwrap());
    for x in &a.circuits {
        let y = b.circuit(&x.circuit).unwrap();
        let gap = (x.one_way.0.si() - y.one_way.0.si()).abs();
        prop_assert!(gap < 1e-9, "{}: {} and {}", x.circuit, x.one_way.0.si(), y.one_way.0.si());
        // Of equal ways another may be taken, through other spaces and beside others.
        if same_ways(&a, &b) {
            prop_assert_eq!((&x.space, x.space_kind, x.bundled), (&y.space, y.space_kind, y.bundled));
        }
    }
    Ok(())
}

proptest! {
    #[test]
    fn turning_a_trunk_round_changes_nothing(boat in net(), which in 0..8_usize) {
        let mut turned = boat.clone();
        let at = which % turned.trunks.len();
        turned.trunks[at].points.reverse();
        same_routes(&boat, &turned)?;
    }

    #[test]
    fn a_corner_more_on_a_straight_piece_changes_nothing(boat in net(), which in 0..8_usize, share in 0.05..0.95) {
        let mut divided = boat.clone();
        let at = which % divided.trunks.len();
        let points = &mut divided.trunks[at].points;
        let (a, b) = (points[0], points[1]);
        let mix = |p: f64, q: f64| p + share * (q - p);
        points.insert(1, point(mix(a.x, b.x), mix(a.y, b.y), mix(a.z, b.z)));
        divided.trunks[at].places.push(None);
        let (x, y) = (measure(&boat).unwrap(), measure(&divided).unwrap());
        for (p, q) in x.circuits.iter().zip(&y.circuits) {
            // One more corner may join another trunk that passes there, so that the shortest way may get shorter.
            let (p_si, q_si) = (p.one_way.0.si(), q.one_way.0.si());
            if matches!(boat.circuit(&p.circuit).unwrap().run, Run::Shortest { .. }) {
                prop_assert!(q_si <= p_si + 1e-9);
            } else {
                prop_assert!((p_si - q_si).abs() < 1e-9);
                prop_assert_eq!((&p.space, p.space_kind), (&q.space, q.space_kind));
                prop_assert!(p.bundled == q.bundled || !same_ways(&x, &y));
            }
        }
    }

    #[test]
    fn no_path_is_shorter_than_the_shortest_way(boat in net()) {
        let routes = measure(&boat).unwrap();
        let last = boat.places.len() - 1;
        let whole = routes.circuits[0].one_way.0;
        let best = routes.circuits[1].one_way.0;
        prop_assert!(best.si() <= whole.si() + 1e-8, "{} > {}", best.si(), whole.si());
        // Nor is a single trunk from end to end.
        for t in &boat.trunks {
            let ends = [t.points[0], t.points[t.points.len() - 1]];
            if [0, last].iter().all(|p| ends.contains(&boat.places[*p].at)) {
                prop_assert!(best.si() <= routes.trunk(&t.id).unwrap().with_slack.si() + 1e-8);
            }
        }
        // And no way is shorter than the straight line.
        let straight = boat.places[0].at.distance(boat.places[last].at).si();
        prop_assert!(best.si() >= straight * 1.08 + 0.3 - 1e-9);
    }

    #[test]
    fn the_order_in_the_file_decides_nothing_about_routes(
        (boat, order, trunk_order) in net().prop_flat_map(|boat| {
            let circuits: Vec<usize> = (0..boat.circuits.len()).collect();
            let trunks: Vec<usize> = (0..boat.trunks.len()).collect();
            (Just(boat), Just(circuits).prop_shuffle(), Just(trunks).prop_shuffle())
        })
    ) {
        let mut other = boat.clone();
        other.circuits = order.iter().map(|i| boat.circuits[*i].clone()).collect();
        other.trunks = trunk_order.iter().map(|i| boat.trunks[*i].clone()).collect();
        let (a, b) = (measure(&boat).unwrap(), measure(&other).unwrap());
        for x in &a.circuits {
            prop_assert_eq!(Some(x), b.circuit(&x.circuit));
        }
    }
}

// ------------------------------------------------------------- boats with loads

fn demand() -> impl Strategy<Value = Demand> {
    (1.0..500.0, 1.0..2.0, 0..3).prop_map(|(x, spread, kind)| match kind {
        0 => Demand::Power(Value { range: Some((watts(x), watts(x * spread))), ..Value::stated(watts(x)) }),
        1 => Demand::Current(Value::stated(amperes(x / 25.0))),
        _ => Demand::Resistance(Value::stated(ohms(576.0 / x))),
    })
}

/// Loads by panel, scenarios by load; `B`, the last panel but one, may lie behind a converter.
fn tree() -> impl Strategy<Value = Boat> {
    let loads = prop::collection::vec((0..4_usize, demand(), prop::option::of(demand())), 1..12);
    let scenarios = prop::collection::vec(prop::collection::vec(0..6_usize, 12), 0..4);
    (loads, scenarios, any::<bool>(), 0.0..0.3).prop_map(|(loads, scenarios, converter, growth)| {
        let mut boat = boat();
        boat.growth = Fraction::new(growth);
        add_panel(&mut boat, "BANK", "MAIN");
        add_panel(&mut boat, "MAIN", "A");
        if converter {
            boat.sources.push(source("N12", SourceKind::Converter, 30.0));
            boat.circuits.push(circuit("CONV", "A", Feeds::Converter("N12".into())));
        }
        add_panel(&mut boat, if converter { "N12" } else { "A" }, "B");
        add_panel(&mut boat, "B", "C");
        for (i, (panel, run, peak)) in loads.into_iter().enumerate() {
            let mut load = load(&format!("L{i}"), run);
            load.demand.extend(peak.map(|d| (LoadState::Peak, d)));
            add_load(&mut boat, ["MAIN", "A", "B", "C"][panel], load);
        }
        for (s, states) in scenarios.into_iter().enumerate() {
            let ids: Vec<String> = boat.loads.iter().map(|l| l.id.clone()).collect();
            let on: Vec<_> = ids
                .iter()
                .zip(states)
                .filter_map(|(id, state)| Some((id.as_str(), *LoadState::ALL.get(state)?)))
                .collect();
            boat.scenarios.push(scenario(&format!("s{s}"), &on));
        }
        boat
    })
}

proptest! {
    #[test]
    fn a_feeder_carries_at_least_what_each_branch_does(boat in tree()) {
        let demand = work_out(&boat);
        for child in &demand.circuits {
            let Some(parent) = demand.tree.parent(&child.circuit).and_then(|id| demand.circuit(id)) else { continue };
            if parent.supply.id != child.supply.id {
                continue;
            }
            prop_assert!(parent.design.si() >= child.design.si() * (1.0 - 1e-12));
            for (case, current) in &child.in_scenario {
                prop_assert!(parent.current_in(case).si() >= current.si() * (1.0 - 1e-12));
            }
        }
    }

    #[test]
    fn every_load_can_run_on_its_circuit(boat in tree()) {
        let demand = work_out(&boat);
        for load in &demand.loads {
            let circuit = demand.circuit(&load.circuit).unwrap();
            prop_assert!(circuit.design.si() >= load.continuous.si() * (1.0 - 1e-12));
            prop_assert!(load.run.si() >= load.nominal.si() * (1.0 - 1e-12));
        }
        for circuit in &demand.circuits {
            for (case, current) in &circuit.at_nominal {
                prop_assert!(circuit.current_in(case).si() >= current.si() * (1.0 - 1e-12));
            }
        }
    }

    #[test]
    fn the_order_of_circuits_decides_nothing_about_demand(
        (boat, order) in tree().prop_flat_map(|boat| {
            let circuits: Vec<usize> = (0..boat.circuits.len()).collect();
            (Just(boat), Just(circuits).prop_shuffle())
        })
    ) {
        let mut other = boat.clone();
        other.circuits = order.iter().map(|i| boat.circuits[*i].clone()).collect();
        let (a, b) = (work_out(&boat), work_out(&other));
        prop_assert_eq!(&a.cases, &b.cases);
        prop_assert_eq!(&a.loads, &b.loads);
        prop_assert_eq!(&a.converters, &b.converters);
        for x in &a.circuits {
            prop_assert_eq!(Some(x), b.circuit(&x.circuit));
        }
    }

    #[test]
    fn a_load_more_never_lowers_a_current(
        boat in tree(),
        run in demand(),
        panel in 0..4_usize,
        own in any::<bool>(),
        state in 0..6_usize,
    ) {
        let mut more = boat.clone();
        let new = load("NEW", run);
        let shared = more.circuits.iter().position(|c| matches!(c.feeds, Feeds::Loads(_))).unwrap();
        if own {
            add_load(&mut more, ["MAIN", "A", "B", "C"][panel], new);
        } else if let Feeds::Loads(list) = &mut more.circuits[shared].feeds {
            list.push("NEW".into());
            more.loads.push(new);
        }
        if let (Some(scenario), Some(state)) = (more.scenarios.first_mut(), LoadState::ALL.get(state)) {
            scenario.on.push(("NEW".into(), *state));
        }
        let (before, after) = (work_out(&boat), work_out(&more));
        for x in &before.circuits {
            let y = after.circuit(&x.circuit).unwrap();
            prop_assert!(y.design.si() >= x.design.si() * (1.0 - 1e-12), "{}", x.circuit);
            for s in &boat.scenarios {
                prop_assert!(y.current_in(&s.id).si() >= x.current_in(&s.id).si() * (1.0 - 1e-12));
            }
        }
    }
}
