//! Coordination of devices: worked cases from outside, laws of the selectivity matrix, the bar of a circuit, remedies in numbers.

use orlop::conductor::{Conductor, Material};
use orlop::network::{Network, Part, RETURN, Source};
use orlop::protection::{
    Device, Edge, FarEnd, InSeries, Need, Placed, ProtectableWindow, Remedy, SelectivityMatrix, choose,
    coordinate, coordinate_shared, families, judge_breaking, judge_clearing, remedies_in_numbers,
    selectivity_matrix,
};
use orlop::units::{
    ConductorSize, Fraction, LetThrough, Loop, Quantity, Temperature, amperes, metres, ohms, seconds, volts,
};
use orlop::{Range, Severity, Verdict};
use proptest::prelude::*;
use proptest::sample::Index;

fn device(family: &str, rating: f64) -> Device {
    Device::new(family, amperes(rating)).unwrap()
}

fn placed(id: &str, family: &str, rating: f64, load: f64) -> Placed {
    Placed { id: id.into(), device: device(family, rating), load: amperes(load) }
}

fn wire(r: f64) -> Part {
    Part::Resistance(Range::exactly(ohms(r)))
}

fn string() -> Source {
    Source {
        emf: Range::new(volts(25.6), volts(26.8)),
        resistance: Range::new(ohms(2.52e-3), ohms(5.53e-3)),
        may_open: true,
    }
}

/// Two strings, a feeder, two branches.
fn boat() -> Network {
    let mut net = Network::new();
    for s in ["A", "B"] {
        net.source(&format!("string {s}"), &format!("bank {s}"), RETURN, string()).unwrap();
        net.branch(&format!("fuse {s}"), &format!("bank {s}"), "bus", wire(1e-4)).unwrap();
    }
    net.branch("feeder", "bus", "panel", Part::Resistance(Range::new(ohms(2e-3), ohms(3e-3)))).unwrap();
    net.branch("F1", "panel", "pump", Part::Resistance(Range::new(ohms(0.16), ohms(0.19)))).unwrap();
    net.branch("F2", "panel", "lamp", Part::Resistance(Range::new(ohms(0.34), ohms(0.41)))).unwrap();
    net
}

fn devices() -> Vec<Placed> {
    vec![
        placed("fuse A", "iec60269-gg", 200.0, 60.0),
        placed("fuse B", "iec60269-gg", 200.0, 60.0),
        placed("feeder", "iso8820-3-high-current", 60.0, 20.0),
        placed("F1", "iso8820-3-blade", 10.0, 5.0),
        placed("F2", "iso8820-3-blade", 3.0, 1.0),
    ]
}

#[test]
fn the_matrix_knows_who_stands_above_whom() {
    let matrix = boat().selectivity(&devices()).unwrap();
    let pairs: Vec<_> = matrix.pairs.iter().map(|p| (p.upstream.as_str(), p.downstream.as_str())).collect();
    assert_eq!(
        pairs,
        [
            ("fuse B", "fuse A"), // the back-feed into string A
            ("fuse A", "fuse B"),
            ("fuse A", "feeder"),
            ("fuse B", "feeder"),
            ("fuse A", "F1"),
            ("fuse B", "F1"),
            ("feeder", "F1"),
            ("fuse A", "F2"),
            ("fuse B", "F2"),
            ("feeder", "F2"),
        ]
    );
    // Like fuses in two strings cannot be selective in the back-feed.
    assert_eq!(matrix.pair("fuse B", "fuse A").unwrap().at_high, Some(false));
    // One string alone carries the whole of a fault.
    let pair = matrix.pair("fuse A", "F1").unwrap();
    assert!((pair.share.value() - 1.0).abs() < 1e-9, "{}", pair.share.value());
    assert_eq!(pair.at_low, Some(true));
    // The fault current is that through the device for a short behind it: at the end of its own branch.
    let levels = boat().fault_levels();
    assert_eq!(pair.fault, levels.through("F1").unwrap().forward);
    for judgement in matrix.judge() {
        assert_eq!((judgement.rule, judgement.severity), ("device-selective", Severity::C));
        assert!(!judgement.what.is_empty());
    }
}

#[test]
fn the_order_of_the_question_changes_nothing() {
    let (net, all) = (boat(), devices());
    let there = net.selectivity(&all).unwrap();
    let back = net.selectivity(&all.iter().rev().cloned().collect::<Vec<_>>()).unwrap();
    assert_eq!(there.pairs.len(), back.pairs.len());
    for pair in &there.pairs {
        assert_eq!(back.pair(&pair.upstream, &pair.downstream), Some(pair));
    }
    let alone = net.selectivity(&all[2..4]).unwrap();
    assert_eq!(alone.pair("feeder", "F1"), there.pair("feeder", "F1"));
}

#[test]
fn bad_questions_are_refused() {
    let net = boat();
    let twice = [placed("F1", "iso8820-3-blade", 10.0, 5.0), placed("F1", "iso8820-3-blade", 10.0, 5.0)];
    assert!(net.selectivity(&twice).unwrap_err().to_string().contains("twice"));
    assert!(net.selectivity(&[placed("nowhere", "iso8820-3-blade", 10.0, 5.0)]).is_err());
    assert!(net.selectivity(&[placed("F1", "iso8820-3-blade", 10.0, -5.0)]).is_err());
    assert_eq!(net.selectivity(&[]).unwrap(), SelectivityMatrix::default());
    let pair = |upstream, downstream, share, low| InSeries {
        upstream,
        downstream,
        fault: Range::new(amperes(low), amperes(100.0)),
        share: Fraction::new(share),
    };
    let all = devices();
    for bad in [
        pair(0, 0, 1.0, 10.0),
        pair(0, 9, 1.0, 10.0),
        pair(0, 1, 0.0, 10.0),
        pair(0, 1, f64::NAN, 10.0),
        pair(0, 1, 1.0, -1.0),
    ] {
        assert!(selectivity_matrix(&all, &[bad]).is_err(), "{bad:?}");
    }
    // A fault current that is not known is not tested, and never passes.
    let unknown = InSeries { fault: Range::from_bounds(Some(amperes(20.0)), None), ..pair(2, 4, 1.0, 10.0) };
    let matrix = selectivity_matrix(&all, &[unknown]).unwrap();
    assert_eq!((matrix.pairs[0].at_low, matrix.pairs[0].at_high), (Some(true), None));
    assert_eq!(matrix.judge()[0].verdict, Verdict::NotTested);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, ..ProptestConfig::default() })]

    /// Within one family a larger upstream device is selective up to no less.
    #[test]
    fn a_larger_upstream_device_is_no_less_selective(
        family in any::<Index>(), small in any::<Index>(), large in any::<Index>(),
        below in any::<Index>(), rating in any::<Index>(), m in 2.0..200.0, share in 0.1..1.0, load in 0.0..0.8,
    ) {
        let family = family.get(families());
        let (a, b) = (*small.get(&family.ratings), *large.get(&family.ratings));
        let (a, b) = if a < b { (a, b) } else { (b, a) };
        let below = below.get(families());
        let down = Device::new(&below.id, *rating.get(&below.ratings)).unwrap();
        let fault = down.rating() * m;
        let load = a * load;
        let ask = |r| {
            let up = Device::new(&family.id, r).unwrap();
            coordinate_shared(&up, &down, fault, load, Fraction::new(share)).unwrap()
        };
        let (small, large) = (ask(a), ask(b));
        let up_to = |c: &orlop::protection::Coordination| c.selective_up_to.map_or(0.0, Quantity::si);
        prop_assert!(up_to(&large) >= up_to(&small) * (1.0 - 1e-6), "{a:?} {small:?} {b:?} {large:?}");
        prop_assert!(large.selective || !small.selective);
    }

    /// The less of the current an upstream device carries, the further it is selective; with all of it, it is `coordinate`.
    #[test]
    fn a_smaller_share_is_no_less_selective(
        up in any::<Index>(), r in any::<Index>(), below in any::<Index>(), rating in any::<Index>(),
        m in 2.0..200.0, x in 0.1..1.0, y in 0.1..1.0,
    ) {
        let (up, below) = (up.get(families()), below.get(families()));
        let up = Device::new(&up.id, *r.get(&up.ratings)).unwrap();
        let down = Device::new(&below.id, *rating.get(&below.ratings)).unwrap();
        let ask = |s| coordinate_shared(&up, &down, down.rating() * m, amperes(0.0), Fraction::new(s)).unwrap();
        let (less, more) = (f64::min(x, y), f64::max(x, y));
        prop_assert!(ask(less).selective || !ask(more).selective);
        prop_assert_eq!(ask(1.0), coordinate(&up, &down, down.rating() * m, amperes(0.0)).unwrap());
    }
}

/// A thruster as in the boat's own data: 17.4 m loop of 50 mm2 far from the bank, stalled at 640 A.
fn thruster() -> Need {
    Need {
        fault_low: Some(amperes(2500.0)),
        fault_high: Some(amperes(3600.0)),
        inrush: vec![(amperes(640.0), seconds(2.0))],
        ..Need::new(amperes(160.0), amperes(260.0), volts(28.8), Temperature::celsius(25.0))
    }
}

#[test]
fn the_bar_of_a_circuit_is_in_order_or_says_where_it_is_not() {
    let fuse = device("iec60269-gg", 200.0).declared(volts(80.0), amperes(20_000.0)).unwrap();
    let bar = ProtectableWindow::of_device(&thruster(), &fuse).unwrap();
    let order: Vec<_> = bar.marks.iter().map(|m| m.edge).collect();
    assert_eq!(order.first(), Some(&Edge::Design));
    assert_eq!(order.last(), Some(&Edge::Breaking));
    assert!(bar.marks.windows(2).all(|w| w[0].at <= w[1].at));
    // The ratio of fault to stall in the boat's data: 3.9, comfortable.
    let at = |edge| bar.marks.iter().find(|m| m.edge == edge).unwrap().at.si();
    assert!((at(Edge::FaultLow) / at(Edge::Held) - 3.9).abs() < 0.01);
    let rules: Vec<_> = bar.crossings.iter().map(|c| c.rule).collect();
    let judged = bar.judge("circuit.thruster").unwrap();
    for crossing in &bar.crossings {
        assert!(crossing.ratio > 1.0, "{crossing}");
        assert!(judged.iter().any(|j| j.rule == crossing.rule && j.is_finding()), "{crossing}");
    }
    // And every finding of the device's own place stands in the bar.
    for finding in judged.iter().filter(|j| j.is_finding()) {
        let own = ["device-carries", "device-protects", "device-clears", "device-breaking", "device-window"];
        assert!(!own.contains(&finding.rule) || rules.contains(&finding.rule), "{}", finding.rule);
    }
}

#[test]
fn a_start_as_large_as_the_fault_leaves_no_room() {
    // The far-end fault 700 A against a stall of 640 A still leaves room; 600 A does not.
    let fuse = device("iec60269-gg", 200.0);
    let at = |low| {
        let need = Need { fault_low: Some(amperes(low)), ..thruster() };
        let bar = ProtectableWindow::of_device(&need, &fuse).unwrap();
        let judged = bar.judge("circuit.thruster").unwrap();
        let own = judged.into_iter().find(|j| j.rule == "device-window").unwrap();
        (bar.crossings.iter().any(|c| c.rule == "device-window"), own.verdict)
    };
    assert_eq!(at(700.0), (false, Verdict::Pass));
    assert_eq!(at(600.0), (true, Verdict::Fail));
    let unknown = Need { fault_low: None, ..thruster() };
    let bar = ProtectableWindow::of_device(&unknown, &fuse).unwrap();
    assert!(
        bar.judge("x").unwrap().iter().any(|j| j.rule == "device-window" && j.verdict == Verdict::NotTested)
    );
    // No stated breaking capacity counts as zero and is told as such.
    let strip = device("iso8820-5-strip", 200.0);
    let bar = ProtectableWindow::of_device(&thruster(), &strip).unwrap();
    assert!(bar.crossings.iter().any(|c| c.rule == "device-breaking"));
    // Without a device the ratings themselves.
    let family = families().iter().find(|f| f.id == "iec60269-gg").unwrap();
    let narrow = Need { conductor_limit: amperes(150.0), ..thruster() };
    let bar = ProtectableWindow::of_family(&narrow, family).unwrap();
    assert_eq!(bar.judge("x").unwrap()[0].verdict, Verdict::Fail);
    assert_eq!(
        bar.crossings[0].to_string(),
        "1.25 x design current 200 A is above largest rating allowed 150 A (1.33 times)"
    );
    let bad = Need { fault_low: Some(amperes(f64::NAN)), ..thruster() };
    assert!(ProtectableWindow::of_device(&bad, &fuse).is_err());
}

proptest! {
    /// What a device holds for a time is the largest such current.
    #[test]
    fn holds_for_is_the_inverse_of_the_fastest_edge(family in any::<Index>(), rating in any::<Index>(), t in 1e-3..1e4_f64) {
        let family = family.get(families());
        let device = Device::new(&family.id, *rating.get(&family.ratings)).unwrap();
        if let Some(held) = device.holds_for(seconds(t)) {
            let fastest = |c| device.opening_time(c).unwrap().low();
            prop_assert!(fastest(held).is_none_or(|f| f.si() >= t), "{device} {held:?}");
            prop_assert!(fastest(held * 1.000_001).is_some_and(|f| f.si() < t * (1.0 + 1e-9)), "{device} {held:?}");
        }
    }
}

#[test]
fn breaking_and_clearing_say_what_they_do_not_know() {
    let strip = device("iso8820-5-strip", 150.0);
    let through = boat().fault_levels().through("fuse A").unwrap().through;
    let breaking = judge_breaking("bank.A", &strip, through.high());
    assert_eq!((breaking.verdict, breaking.severity), (Verdict::Fail, Severity::A));
    let silent =
        families().iter().find(|f| f.breaking.is_none()).expect("a family without a stated capacity");
    let silent = Device::new(&silent.id, silent.ratings[0]).unwrap();
    let judgement = judge_breaking("x", &silent, Some(amperes(1.0)));
    assert_eq!(judgement.verdict, Verdict::Fail);
    assert!(judgement.what.contains("counts as zero"), "{}", judgement.what);
    assert_eq!(judge_breaking("x", &strip, None).verdict, Verdict::NotTested);
    // Behind a converter of 30 A a 20 A blade fuse need not open in time.
    let blade = device("iso8820-3-blade", 20.0);
    assert_eq!(
        judge_clearing("x", &blade, Some(amperes(30.0)), seconds(5.0)).unwrap().verdict,
        Verdict::Fail
    );
    assert_eq!(judge_clearing("x", &blade, Some(amperes(0.0)), seconds(5.0)).unwrap().verdict, Verdict::Fail);
    assert_eq!(
        judge_clearing("x", &device("iso8820-3-blade", 10.0), Some(amperes(30.0)), seconds(5.0))
            .unwrap()
            .verdict,
        Verdict::Pass
    );
    assert_eq!(judge_clearing("x", &blade, None, seconds(5.0)).unwrap().verdict, Verdict::NotTested);
    for bad in [f64::NAN, -1.0] {
        assert!(judge_clearing("x", &blade, Some(amperes(bad)), seconds(5.0)).is_err());
        assert!(judge_clearing("x", &blade, Some(amperes(9.0)), seconds(bad)).is_err());
    }
}

#[test]
fn a_need_takes_the_current_through_its_device() {
    let through = boat().fault_levels().through("F1").unwrap().through;
    let need =
        Need::new(amperes(5.0), amperes(20.0), volts(28.8), Temperature::celsius(25.0)).through(through);
    assert_eq!((need.fault_low, need.fault_high), (through.low(), through.high()));
}

fn far_end(size: u32) -> FarEnd {
    let warm = Temperature::celsius(70.0);
    FarEnd {
        emf: volts(25.6),
        others: ohms(5.53e-3 / 2.0),
        conductor: Conductor::new(ConductorSize::Metric(size), warm, Material::Copper, true).unwrap(),
        run: Loop(metres(19.2)),
        temperature: warm,
    }
}

#[test]
fn remedies_tell_what_they_would_do() {
    let far = far_end(100);
    let need = Need {
        fault_low: Some(far.fault().unwrap()),
        ..Need::new(amperes(24.0), amperes(40.0), volts(29.2), Temperature::celsius(25.0))
    };
    let families = ["iso8820-3-blade".to_string()];
    let none = choose(&need, &families).unwrap_err();
    let told = remedies_in_numbers(&none, &need, &families, Some(&far)).unwrap();
    let larger: Vec<_> = told.iter().filter(|r| matches!(r, Remedy::LargerConductor { .. })).collect();
    let Remedy::LargerConductor { size, now, then, at_least, .. } = larger[0] else { unreachable!() };
    assert_eq!(*size, ConductorSize::Metric(150));
    // The effect is the fault current of the circuit with that conductor: nothing else changes.
    assert!((then.si() - far_end(150).fault().unwrap().si()).abs() < 1e-9);
    assert_eq!(*now, far.fault().unwrap());
    let Remedy::LargerConductor { size, then, .. } = larger.last().unwrap() else { unreachable!() };
    assert!(
        then >= at_least
            && far_end(match size {
                ConductorSize::Metric(h) => *h,
                _ => 0,
            })
            .fault()
            .unwrap()
                >= *at_least
    );
    // With what each promises, the same choice succeeds.
    let enough = Need { fault_low: Some(*then), ..need.clone() };
    assert!(choose(&enough, &families).is_ok());
    let battery = told.iter().find_map(|r| match r {
        Remedy::LocalBattery { at_most, gives } => Some((*at_most, *gives)),
        _ => None,
    });
    let (at_most, gives) = battery.unwrap();
    assert!((25.6 / at_most.si() - gives.si()).abs() < 1e-9 && gives == *at_least);
    for remedy in &told {
        if let Remedy::OtherFamily { device } = remedy {
            assert!(choose(&need, &[device.family().id.clone()]).is_ok_and(|c| c.device == **device));
        }
        assert!(!remedy.to_string().is_empty());
    }
    assert!(told.iter().any(|r| matches!(r, Remedy::MoreFaultCurrent { .. })));
    // Impossible circuits are refused.
    for bad in [
        FarEnd { emf: volts(0.0), ..far.clone() },
        FarEnd { run: Loop(metres(-1.0)), ..far.clone() },
        FarEnd { others: ohms(f64::NAN), ..far },
    ] {
        assert!(bad.fault().is_err() && remedies_in_numbers(&none, &need, &families, Some(&bad)).is_err());
    }
}

// IEC 60364-5-54 as worked in application notes: 12 kA for 20 ms at k 143 asks for 11.9 mm2, so 16 mm2; and 650 A for 10 ms at
// k 115 for 0.565 mm2. Both printed without their temperatures: k 143 is 90 to 250 degC, k 115 is 70 to 160 degC.
#[test]
fn adiabatic_worked_examples() {
    for (amps, time, start, end, k, printed) in
        [(12_000.0, 0.02, 90.0, 250.0, 143.0, 11.87), (650.0, 0.01, 70.0, 160.0, 115.0, 0.565)]
    {
        let exact = orlop::conductor::withstand::adiabatic_k(
            Material::Copper,
            Temperature::celsius(start),
            Temperature::celsius(end),
        )
        .unwrap();
        assert!((exact - k).abs() < 0.6, "{exact}");
        let area = amps * f64::sqrt(time) / k;
        assert!((area - printed).abs() < 5e-3 * printed, "{area}");
    }
    // And through a device: the let-through at the lower current against the conductor, one place of the rules.
    let wire = far_end(150).conductor;
    let bears = wire.withstand_let_through(Temperature::celsius(70.0)).unwrap();
    assert!((bears.in_ampere_squared_seconds() - (115.0_f64 * 1.5).powi(2)).abs() < 0.02 * 29_756.0);
    let fuse = device("iso8820-3-blade", 10.0);
    let slowest = fuse.let_through(amperes(131.0)).unwrap().high().unwrap();
    assert!(slowest < bears && slowest > LetThrough::ampere_squared_seconds(0.0));
}
