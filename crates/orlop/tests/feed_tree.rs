//! Feed trees in lengths, currents and permitted drops: loads summed by Kirchhoff's law, drops as a solved network has them.

use orlop::network::least::{Drum, FeedRun, FeedTree, ListedSize, Objective, Offer};
use orlop::network::{Corner, Demand, Load, Network, Part, RETURN, Source};
use orlop::{Error, Range};
use orlop_units::{
    ConductorSize, OneWay, Quantity, ResistancePerLength, amperes, kilograms_per_metre, metres, ohms, volts,
};
use proptest::prelude::*;

const AREAS: [u32; 5] = [4, 6, 10, 16, 25];

/// Parent (taken modulo the place), length, current drawn in two scenarios.
type Plain = Vec<(usize, f64, [f64; 2])>;

fn plain() -> impl Strategy<Value = Plain> {
    prop::collection::vec((any::<usize>(), 0.5..6.0f64, [0.1..8.0f64, 0.1..8.0f64]), 1..12)
}

fn parent(plain: &Plain, at: usize) -> Option<usize> {
    (at > 0).then(|| plain[at].0 % at)
}

fn tree(plain: &Plain) -> FeedTree {
    let size = |mm2: u32| ListedSize {
        size: ConductorSize::Metric(100 * mm2),
        resistance: ResistancePerLength::ohms_per_metre(0.0178 / f64::from(mm2)),
        mass: kilograms_per_metre(0.0093 * f64::from(mm2) + 0.02),
        price: None,
        ampacity: None,
    };
    let run = |(at, (_, length, drawn)): (usize, &(usize, f64, [f64; 2]))| FeedRun {
        id: format!("r{at}"),
        parent: parent(plain, at).map(|p| format!("r{p}")),
        one_way: OneWay(metres(*length)),
        currents: drawn.map(amperes).to_vec(),
        permitted: vec![Some(volts(2.0)); 2],
        size: None,
    };
    FeedTree {
        scenarios: vec!["day".into(), "night".into()],
        runs: plain.iter().enumerate().map(run).collect(),
        offer: Offer::Listed(AREAS.map(size).to_vec()),
        objective: Objective::Mass,
        at_most_sizes: None,
    }
}

proptest! {
    /// The network obeys Kirchhoff's laws by a method of its own: its currents and voltages are the outside truth here.
    #[test]
    fn currents_and_drops_are_those_of_a_network(plain in plain(), scenario in 0..2_usize) {
        let summed = tree(&plain).with_loads_summed().unwrap();
        let Ok(best) = summed.solve() else { return Ok(()) };
        let mut net = Network::new();
        let bank = Source { emf: Range::exactly(volts(24.0)), resistance: Range::exactly(ohms(0.0)), may_open: false };
        net.source("bank", "bank", RETURN, bank).unwrap();
        for (at, (_, length, drawn)) in plain.iter().enumerate() {
            let ConductorSize::Metric(hundredths) = best.taken[at].size else { panic!("a metric list") };
            let resistance = ohms(2.0 * length * 0.0178 / (f64::from(hundredths) / 100.0));
            let from = parent(&plain, at).map_or("bank".into(), |p| format!("r{p}"));
            let end = format!("r{at}");
            net.branch(&format!("run {at}"), &from, &end, Part::Resistance(Range::exactly(resistance))).unwrap();
            let load = Load::new(Demand::Current(amperes(drawn[scenario])));
            net.load(&format!("load {at}"), &end, RETURN, load).unwrap();
        }
        let point = net.solve(Corner::Low).unwrap();
        for at in 0..plain.len() {
            let through = point.current(&format!("run {at}")).unwrap().si();
            let said = summed.runs[at].currents[scenario].si();
            prop_assert!((through - said).abs() <= 1e-9 * through, "{through} and {said}");
            let end = format!("r{at}");
            let lost = 24.0 - point.voltage(&end).unwrap().unwrap().si();
            let said = best.drop(&end, Some(["day", "night"][scenario])).unwrap().si();
            prop_assert!((lost - said).abs() <= 1e-9 * lost, "{lost} and {said}");
        }
    }

    #[test]
    fn more_load_or_length_never_weighs_less(plain in plain(), at in any::<prop::sample::Index>(), by in 1.0..2.0f64) {
        let at = at.index(plain.len());
        let Ok(before) = tree(&plain).with_loads_summed().unwrap().solve() else { return Ok(()) };
        let mut more = plain.clone();
        more[at].2 = more[at].2.map(|i| i * by);
        if let Ok(after) = tree(&more).with_loads_summed().unwrap().solve() {
            prop_assert!(after.mass.si() >= before.mass.si() * (1.0 - 1e-9));
        }
        let mut longer = plain.clone();
        longer[at].1 *= by;
        if let Ok(after) = tree(&longer).with_loads_summed().unwrap().solve() {
            prop_assert!(after.mass.si() >= before.mass.si() * (1.0 - 1e-9));
        }
    }
}

#[test]
fn what_is_no_tree_is_refused() {
    let plain: Plain = vec![(0, 2.0, [1.0, 2.0]), (0, 2.0, [1.0, 2.0])];
    let refused = |tree: FeedTree, words: &str| match tree.with_loads_summed().and_then(|t| t.solve()) {
        Err(error @ Error::Input { .. }) => assert!(error.to_string().contains(words), "{error}"),
        other => panic!("{words}: {other:?}"),
    };
    let mut ring = tree(&plain);
    ring.runs[0].parent = Some("r1".into());
    refused(ring, "ring");
    let mut twins = tree(&plain);
    twins.runs[1].id = "r0".into();
    refused(twins, "twice");
    let mut short = tree(&plain);
    short.runs[1].currents.pop();
    refused(short, "one for each scenario");
    let mut nothing = tree(&plain);
    nothing.runs.iter_mut().for_each(|run| run.permitted = vec![None, None]);
    refused(nothing, "permitted drop");
    for bad in [f64::NAN, f64::INFINITY, -1.0] {
        let mut wrong = tree(&plain);
        wrong.runs[1].currents[0] = amperes(bad);
        refused(wrong, "r1: current in day");
        let mut wrong = tree(&plain);
        wrong.runs[1].one_way = OneWay(metres(bad));
        refused(wrong, "r1: one_way");
        let mut wrong = tree(&plain);
        wrong.runs[1].permitted[1] = Some(volts(bad));
        refused(wrong, "r1: permitted drop");
    }
}

fn drum(mm2: u32, length: f64, price: f64) -> Drum {
    Drum { size: ConductorSize::Metric(100 * mm2), length: metres(length), price }
}

/// Money for a metre in the proportion of copper, and a little for the drum itself: long drums are cheaper by the metre.
fn drums(lengths: &[f64]) -> Vec<Drum> {
    let all = AREAS
        .iter()
        .flat_map(|a| lengths.iter().map(|l| drum(*a, *l, l * (0.3 * f64::from(*a) + 0.5) + 4.0)));
    all.collect()
}

proptest! {
    /// Whatever is bought holds every leg in one piece, costs no less than the bound, and no more than a drum for each leg.
    #[test]
    fn drums_hold_every_leg_and_cost_no_less_than_their_bound(
        plain in plain(),
        lengths in prop::collection::vec(6.0..60.0f64, 1..4),
    ) {
        let tree = tree(&plain).with_loads_summed().unwrap();
        let sale = drums(&lengths);
        let Ok(bought) = tree.buy(&sale) else {
            prop_assert!(tree.solve().is_err());
            return Ok(());
        };
        prop_assert!(bought.cost >= bought.bound * (1.0 - 1e-9), "{} below {}", bought.cost, bought.bound);
        let sum: f64 = bought.drums.iter().map(|b| b.drum.price).sum();
        prop_assert!((sum - bought.cost).abs() < 1e-9 * sum);
        for one in &bought.drums {
            prop_assert!(sale.contains(&one.drum) && !one.cuts.is_empty());
            prop_assert!(one.used().si() <= one.drum.length.si() * (1.0 + 1e-9));
        }
        for (at, (_, length, _)) in plain.iter().enumerate() {
            let id = format!("r{at}");
            let cuts = bought.drums.iter().flat_map(|b| b.cuts.iter().map(move |c| (b.drum.size, c)));
            let own: Vec<_> = cuts.filter(|(_, (run, _))| *run == id).collect();
            prop_assert_eq!(own.len(), 2);
            for (size, (_, leg)) in own {
                prop_assert_eq!(Some(size), bought.sizes.size(&id));
                prop_assert!((leg.si() - length).abs() < 1e-12);
            }
        }
        // A drum for each leg alone is one way to buy the same sizes.
        let alone: f64 = plain.iter().enumerate().map(|(at, (_, length, _))| {
            let size = bought.sizes.size(&format!("r{at}")).unwrap();
            let holds = sale.iter().filter(|d| d.size == size && d.length.si() >= *length);
            2.0 * holds.map(|d| d.price).fold(f64::INFINITY, f64::min)
        }).sum();
        prop_assert!(bought.cost <= alone * (1.0 + 1e-9));
    }

    /// One or two runs on drums of two lengths: every way to cut is tried, for every choice of sizes that keeps the drops.
    #[test]
    fn the_bound_and_the_cost_stand_on_both_sides_of_the_least(
        plain in prop::collection::vec((any::<usize>(), 2.0..6.0f64, [1.0..8.0f64, 1.0..8.0f64]), 1..3),
        lengths in (6.0..9.0f64, 12.0..30.0f64),
    ) {
        let tree = tree(&plain).with_loads_summed().unwrap();
        let sale = drums(&[lengths.0, lengths.1]);
        let Ok(bought) = tree.buy(&sale) else { return Ok(()) };
        let mut least = f64::INFINITY;
        for code in 0..AREAS.len().pow(u32::try_from(plain.len()).unwrap()) {
            let sizes: Vec<u32> =
                (0..plain.len()).map(|r| AREAS[code / AREAS.len().pow(u32::try_from(r).unwrap()) % AREAS.len()]).collect();
            let mut fixed = tree.clone();
            for (run, mm2) in fixed.runs.iter_mut().zip(&sizes) {
                run.size = Some(ConductorSize::Metric(100 * mm2));
            }
            if fixed.solve().is_err() {
                continue;
            }
            let mut cost = 0.0;
            for area in AREAS {
                let legs: Vec<f64> = sizes.iter().zip(&plain).filter(|(s, _)| **s == area).flat_map(|(_, p)| [p.1, p.1]).collect();
                cost += fewest(&legs, &mut Vec::new(), &sale.iter().filter(|d| d.size == ConductorSize::Metric(100 * area)).copied().collect::<Vec<_>>());
            }
            least = least.min(cost);
        }
        prop_assert!(bought.bound <= least * (1.0 + 1e-9), "bound {} above {least}", bought.bound);
        prop_assert!(bought.cost >= least * (1.0 - 1e-9), "cost {} below {least}", bought.cost);
    }
}

/// Least money for legs, by trying every open drum and every new one.
fn fewest(legs: &[f64], open: &mut Vec<f64>, drums: &[Drum]) -> f64 {
    let Some((leg, rest)) = legs.split_first() else { return 0.0 };
    let mut best = f64::INFINITY;
    for at in 0..open.len() {
        if open[at] >= *leg {
            open[at] -= leg;
            best = best.min(fewest(rest, open, drums));
            open[at] += leg;
        }
    }
    for d in drums.iter().filter(|d| d.length.si() >= *leg) {
        open.push(d.length.si() - leg);
        best = best.min(d.price + fewest(rest, open, drums));
        open.pop();
    }
    best
}

#[test]
fn fewer_sizes_may_cost_less_on_drums() {
    // Two runs of 10 m; by the metre 4 and 6 mm2 together are cheapest, but one drum of 6 mm2 holds all four legs.
    let plain: Plain = vec![(0, 10.0, [9.0, 9.0]), (0, 10.0, [2.0, 2.0])];
    let mut tree = tree(&plain).with_loads_summed().unwrap();
    for run in &mut tree.runs {
        run.permitted = vec![Some(volts(1.2)); 2];
    }
    let sale: Vec<Drum> = AREAS.iter().map(|a| drum(*a, 50.0, 50.0 * f64::from(*a))).collect();
    let bought = tree.buy(&sale).unwrap();
    assert_eq!(bought.drums.len(), 1, "{:?}", bought.table());
    assert!(bought.bound < bought.cost);
}

#[test]
fn drums_that_cannot_be_meant_are_refused() {
    let plain: Plain = vec![(0, 10.0, [9.0, 9.0])];
    let tree = tree(&plain).with_loads_summed().unwrap();
    let told = |drums: &[Drum]| tree.buy(drums).unwrap_err();
    assert!(matches!(told(&[]), Error::Input { .. }));
    for (length, price) in [(0.0, 1.0), (-5.0, 1.0), (f64::NAN, 1.0), (10.0, 0.0), (10.0, f64::INFINITY)] {
        assert!(matches!(told(&[drum(10, length, price)]), Error::Input { .. }), "{length} {price}");
    }
    // A leg of 10 m, drums of 8 m.
    let short = told(&drums(&[8.0]));
    assert!(matches!(short, Error::NoSolution { .. }) && short.to_string().contains("10 m"), "{short}");
}
