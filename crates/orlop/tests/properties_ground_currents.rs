//! Currents through the ground graph: Kirchhoff's laws, and shares worked out by hand.

#[path = "ground/graphs.rs"]
mod graphs;

use graphs::{Plan, flow, graph, path, point, si};
use orlop::network::ground::{PathKind, Point, ReturnSystem, Role, audit};
use orlop_units::{Quantity, Resistance, amperes, ohms};
use proptest::prelude::*;

/// A joined graph with resistances, and two points of it.
fn resistive() -> impl Strategy<Value = (Plan, Vec<f64>)> {
    let edge = (any::<usize>(), any::<usize>());
    (2usize..8, proptest::collection::vec(edge, 0..8)).prop_flat_map(|(n, extra)| {
        let points: Vec<Point> = (0..n)
            .map(|i| point(&format!("P{i}"), if i == 0 { Role::BatteryNegative } else { Role::LoadNegative }))
            .collect();
        // A tree, then chords.
        let mut ends: Vec<(usize, usize)> = (1..n).map(|i| (i * 7 % i, i)).collect();
        ends.extend(extra.iter().map(|(a, s)| (a % n, (a % n + 1 + s % (n - 1)) % n)));
        let m = ends.len();
        proptest::collection::vec(-4.0..0.5f64, m).prop_map(move |tens| {
            let ohm: Vec<f64> = tens.iter().map(|t| 10f64.powf(*t)).collect();
            let paths = ends.iter().enumerate().map(|(i, (a, b))| {
                path(
                    &format!("E{i:02}"),
                    &format!("P{a}"),
                    &format!("P{b}"),
                    PathKind::NegativeCable,
                    ohm[i],
                    ohm[i] * 1.5,
                )
            });
            (
                Plan { system: ReturnSystem::OneBond, points: points.clone(), paths: paths.collect() },
                ohm.clone(),
            )
        })
    })
}

fn resistances(ohm: &[f64]) -> Vec<Resistance> {
    ohm.iter().map(|r| ohms(*r)).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, ..ProptestConfig::default() })]

    #[test]
    fn kirchhoff_holds(given in resistive(), from in any::<usize>(), step in any::<usize>()) {
        let (plan, ohm) = given;
        let n = plan.points.len();
        let (a, b) = (from % n, (from % n + 1 + step % (n - 1)) % n);
        let graph = plan.graph();
        let through = flow(&format!("P{a}"), &format!("P{b}"), 100.0);
        let i = si(graph.currents(&through, &resistances(&ohm)).unwrap());
        // Each point: what comes in goes out; the shares at both ends add up to the whole.
        for (at, p) in plan.points.iter().enumerate() {
            let out: f64 = plan.paths.iter().zip(&i).map(|(e, i)| match &p.id {
                id if *id == e.from => *i,
                id if *id == e.to => -*i,
                _ => 0.0,
            }).sum();
            let wanted = if at == a { 100.0 } else if at == b { -100.0 } else { 0.0 };
            prop_assert!((out - wanted).abs() < 1e-7, "{}: {out}", p.id);
        }
        // Each loop: the voltages add up to nothing.
        for one in audit(&graph, &[]).unwrap().loops {
            let edge = |id: &String| plan.paths.iter().position(|p| p.id == *id).unwrap();
            let mut here = plan.paths[edge(&one.paths[0])].from.clone();
            let (mut sum, mut size) = (0.0, 0.0);
            for id in &one.paths {
                let e = edge(id);
                let forward = plan.paths[e].from == here;
                let volts = i[e] * ohm[e];
                sum += if forward { volts } else { -volts };
                size += volts.abs();
                here = if forward { &plan.paths[e].to } else { &plan.paths[e].from }.clone();
            }
            prop_assert_eq!(&here, &plan.paths[edge(&one.paths[0])].from);
            prop_assert!(sum.abs() <= 1e-9 * size + 1e-11, "{sum} of {size}");
        }
    }

    #[test]
    fn transfer_is_reciprocal_and_flows_add_up(given in resistive(), e in any::<usize>(), f in any::<usize>()) {
        let (plan, ohm) = given;
        let (graph, r) = (plan.graph(), resistances(&ohm));
        let (e, f) = (e % ohm.len(), f % ohm.len());
        let across = |k: usize| flow(&plan.paths[k].from, &plan.paths[k].to, 1.0);
        let (by_e, by_f) = (si(graph.currents(&across(e), &r).unwrap()), si(graph.currents(&across(f), &r).unwrap()));
        let (one, other) = (by_e[f] * ohm[f], by_f[e] * ohm[e]);
        prop_assert!((one - other).abs() <= 1e-9 * (ohm[e] * ohm[f]).sqrt(), "{one} {other}");
        let both = across(e).and(&plan.paths[f].from, &plan.paths[f].to, amperes(1.0)).unwrap();
        for (k, i) in si(graph.currents(&both, &r).unwrap()).into_iter().enumerate() {
            prop_assert!((i - by_e[k] - by_f[k]).abs() < 1e-8);
        }
    }

    #[test]
    fn every_choice_of_resistances_lies_between_the_ends_and_the_ends_are_reached(
        given in resistive(), from in any::<usize>(), step in any::<usize>(), picks in proptest::collection::vec(0.0..=1.0f64, 16),
    ) {
        let (plan, ohm) = given;
        let n = plan.points.len();
        let through = flow(&format!("P{}", from % n), &format!("P{}", (from % n + 1 + step % (n - 1)) % n), 100.0);
        let graph = plan.graph();
        let bounds = graph.carried(&through).unwrap();
        let at = |share: &dyn Fn(usize) -> f64| {
            let r: Vec<f64> = ohm.iter().enumerate().map(|(k, o)| o * (1.0 + 0.5 * share(k))).collect();
            let i = si(graph.currents(&through, &resistances(&r)).unwrap());
            (r, i)
        };
        let ends = |k: usize| {
            let range = bounds[k].current;
            (range.low().unwrap().si(), range.high().unwrap().si())
        };
        let (r, i) = at(&|k| picks[k % picks.len()]);
        for k in 0..ohm.len() {
            let (low, high) = ends(k);
            prop_assert!(bounds[k].exact || ohm.len() > orlop::network::ground::MOST_RANGES);
            prop_assert!(low <= i[k].abs() + 1e-7 && i[k].abs() <= high + 1e-7, "{}: {low} {} {high}", k, i[k]);
            prop_assert!(i[k] * i[k] * r[k] <= bounds[k].heat.unwrap().si() * (1.0 + 1e-7) + 1e-9);
        }
        // The corners of all paths by themselves, without any thought of which move together.
        if ohm.len() <= 9 {
            let mut top = vec![0f64; ohm.len()];
            for corner in 0u32..1 << ohm.len() {
                let (_, i) = at(&|k| f64::from(corner >> k & 1));
                for k in 0..ohm.len() {
                    top[k] = top[k].max(i[k].abs());
                }
            }
            for (k, highest) in top.into_iter().enumerate() {
                prop_assert!((highest - ends(k).1).abs() < 1e-6, "{k}: {highest} {}", ends(k).1);
            }
        }
    }
}

/// Worked by hand. Two straps beside each other, 1 to 2 ohm and 3 to 6 ohm, 100 A: the first takes at most
/// 100 x 6/(1 + 6) = 85.714 A and at least 100 x 3/(2 + 3) = 60 A; it is hottest at 2 ohm beside 6 ohm:
/// (100 x 6/8)^2 x 2 = 11250 W. A strap of 1 to 10 ohm beside 3 ohm is hottest at 3 ohm: 50^2 x 3 = 7500 W.
#[test]
fn two_straps_by_hand() {
    let points = [point("BAT", Role::BatteryNegative), point("ENGINE", Role::Engine)];
    let straps = |a: (f64, f64), b: (f64, f64)| {
        graph(
            &points,
            &[
                path("A", "ENGINE", "BAT", PathKind::Strap, a.0, a.1),
                path("B", "ENGINE", "BAT", PathKind::Strap, b.0, b.1),
            ],
        )
    };
    let through = flow("ENGINE", "BAT", 100.0);
    let both = straps((1.0, 2.0), (3.0, 6.0)).carried(&through).unwrap();
    let a = both[0].current;
    assert!((a.high().unwrap().si() - 600.0 / 7.0).abs() < 1e-9);
    assert!((a.low().unwrap().si() - 60.0).abs() < 1e-9);
    assert!((both[0].heat.unwrap().si() - 11_250.0).abs() < 1e-6);
    let wide = straps((1.0, 10.0), (3.0, 3.0)).carried(&through).unwrap();
    assert!((wide[0].heat.unwrap().si() - 7_500.0).abs() < 1e-6);
}
