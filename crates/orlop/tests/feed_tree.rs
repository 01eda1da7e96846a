//! Feed trees in lengths, currents and permitted drops: loads summed by Kirchhoff's law, drops as a solved network has them.

use orlop::network::least::{FeedRun, FeedTree, ListedSize, Objective, Offer};
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
