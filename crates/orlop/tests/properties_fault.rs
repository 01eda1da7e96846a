//! Laws of fault currents, on random networks: trees, rings, several strings, converters, diodes.
//!
//! The second way is a plain nodal analysis written here: the network with a tiny resistance as the fault, by Gaussian elimination.

use orlop::network::{Converter, Corner, Demand, Load, Network, Part, RETURN, Source};
use orlop::units::{Current, Fraction, Quantity, Resistance, Voltage, amperes, farads, ohms, volts};
use orlop::{Range, Working};
use proptest::prelude::*;

/// What a random network is made from: every branch leads from a new node to an older one; chords close rings.
#[derive(Clone, Debug)]
struct Plan {
    tree: Vec<(usize, f64, f64)>,
    chords: Vec<(usize, usize, f64, f64)>,
    sources: Vec<(usize, f64, f64, bool)>,
    emf: (f64, f64),
}

fn span(base: f64, wide: f64) -> Range<Resistance> {
    Range::new(ohms(base), ohms(base * (1.0 + wide)))
}

fn name(node: usize) -> String {
    format!("n{node}")
}

impl Plan {
    fn build(&self) -> Network {
        let mut net = Network::new();
        net.node("n0").unwrap();
        for (k, (older, r, wide)) in self.tree.iter().enumerate() {
            let part = Part::Resistance(span(*r, *wide));
            net.branch(&format!("t{k}"), &name(older % (k + 1)), &name(k + 1), part).unwrap();
        }
        let count = self.tree.len() + 1;
        for (k, (a, b, r, wide)) in self.chords.iter().enumerate() {
            let (a, b) = (a % count, b % count);
            if a != b {
                let part = Part::Resistance(span(*r, *wide));
                net.branch(&format!("c{k}"), &name(a), &name(b), part).unwrap();
            }
        }
        for (k, (at, r, wide, may_open)) in self.sources.iter().enumerate() {
            let source = Source {
                emf: Range::new(volts(self.emf.0), volts(self.emf.0 * (1.0 + self.emf.1))),
                resistance: span(*r, *wide),
                may_open: *may_open,
            };
            net.source(&format!("s{k}"), &name(at % count), RETURN, source).unwrap();
        }
        net
    }
}

fn resistance() -> impl Strategy<Value = f64> {
    (1e-5_f64.ln()..0.5_f64.ln()).prop_map(f64::exp)
}

fn plans(chords: usize) -> impl Strategy<Value = Plan> {
    (
        proptest::collection::vec((any::<usize>(), resistance(), 0.0..1.0), 1..14),
        proptest::collection::vec((any::<usize>(), any::<usize>(), resistance(), 0.0..1.0), 0..=chords),
        proptest::collection::vec((any::<usize>(), 1e-3..2e-2, 0.0..2.0, any::<bool>()), 1..5),
        (10.0..50.0, 0.0..0.2),
    )
        .prop_map(|(tree, chords, sources, emf)| Plan { tree, chords, sources, emf })
}

/// Nodal analysis, dense: volts by node for conductances, and emf behind conductances; some nodes held at zero.
fn nodal(
    net: &Network,
    corner: Corner,
    closed: &[bool],
    shorted: &[usize],
    tiny: Option<usize>,
    skip: Option<usize>,
) -> Vec<f64> {
    let n = net.nodes().len();
    let mut g = vec![vec![0.0; n + 1]; n];
    let mut stamp = |a: usize, b: usize, s: f64, e: f64| {
        g[a][a] += s;
        g[b][b] += s;
        g[a][b] -= s;
        g[b][a] -= s;
        g[a][n] += s * e;
        g[b][n] -= s * e;
    };
    for (k, b) in net.branches().iter().enumerate() {
        let Part::Resistance(r) = b.part else { continue };
        if skip != Some(k) {
            stamp(b.from, b.to, 1.0 / corner.ohms(r).unwrap().si(), 0.0);
        }
    }
    for (s, _) in net.sources().iter().zip(closed).filter(|(_, c)| **c) {
        let r = corner.ohms(s.part.resistance).unwrap().si();
        stamp(s.from, s.to, 1.0 / r, corner.volts(s.part.emf).unwrap().si());
    }
    if let Some(node) = tiny {
        stamp(node, 0, 1.0 / TINY, 0.0);
    }
    // Nodes that nothing ties to zero get a path of no weight.
    (0..n).for_each(|k| g[k][k] += 1e-12);
    for held in shorted.iter().chain([&0]) {
        g.iter_mut().for_each(|row| row[*held] = 0.0);
        g[*held] = vec![0.0; n + 1];
        g[*held][*held] = 1.0;
    }
    for k in 0..n {
        for r in 0..n {
            if r == k || g[r][k] == 0.0 {
                continue;
            }
            let f = g[r][k] / g[k][k];
            let pivot = g[k].clone();
            g[r].iter_mut().zip(&pivot).for_each(|(x, p)| *x -= f * p);
        }
    }
    (0..n).map(|k| g[k][n] / g[k][k]).collect()
}

/// Current into a node from everything that leads to it, but one branch.
fn into(net: &Network, corner: Corner, closed: &[bool], v: &[f64], node: usize, skip: Option<usize>) -> f64 {
    let mut amps = 0.0;
    for (_, b) in net.branches().iter().enumerate().filter(|(k, _)| skip != Some(*k)) {
        let Part::Resistance(r) = b.part else { continue };
        let s = 1.0 / corner.ohms(r).unwrap().si();
        amps += if b.to == node { (v[b.from] - v[node]) * s } else { 0.0 };
        amps += if b.from == node { (v[b.to] - v[node]) * s } else { 0.0 };
    }
    for (s, _) in net.sources().iter().zip(closed).filter(|(s, c)| **c && s.from == node) {
        amps +=
            (corner.volts(s.part.emf).unwrap().si() - v[node]) / corner.ohms(s.part.resistance).unwrap().si();
    }
    amps
}

/// Every state of the sources with at least one left.
fn states(net: &Network) -> Vec<Vec<bool>> {
    let p = net.sources().len();
    let allowed = |bits: usize| {
        let closed: Vec<bool> = (0..p).map(|k| bits >> k & 1 == 1).collect();
        let stays = net.sources().iter().zip(&closed).all(|(s, c)| *c || s.part.may_open);
        (stays && closed.contains(&true)).then_some(closed)
    };
    (0..1 << p).filter_map(allowed).collect()
}

const TINY: f64 = 1e-9;

fn fault_current(net: &Network, corner: Corner, closed: &[bool], node: usize) -> f64 {
    nodal(net, corner, closed, &[], Some(node), None)[node] / TINY
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 2e-5 * a.abs().max(b.abs())
}

fn low(r: Range<Current>) -> f64 {
    r.low().unwrap().si()
}
fn high(r: Range<Current>) -> f64 {
    r.high().unwrap().si()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    /// Thevenin against the network solved with the fault in it, over every state.
    #[test]
    fn two_ways_agree_at_nodes(plan in plans(3)) {
        let net = plan.build();
        let levels = net.fault_levels();
        let all = vec![true; net.sources().len()];
        for node in 1..net.nodes().len() {
            let total = levels.nodes[node].total;
            prop_assert!(close(high(total), fault_current(&net, Corner::High, &all, node)));
            let least = states(&net)
                .iter()
                .map(|s| fault_current(&net, Corner::Low, s, node))
                .fold(f64::INFINITY, f64::min);
            prop_assert!(close(low(total), least), "{} against {least}", low(total));
            prop_assert!(low(total) <= high(total));
            let one = net.fault_at(&net.nodes()[node]).unwrap();
            prop_assert_eq!(&one, &levels.nodes[node]);
            let sum: f64 = one.contributions.iter().map(|c| c.upper.unwrap().si()).sum();
            prop_assert!(close(sum, high(total)));
            let sum: f64 = one.contributions.iter().map(|c| c.lower.unwrap().si()).sum();
            prop_assert!(close(sum, low(total)));
        }
    }

    /// Three ways: the Thevenin numbers of the network, and its operating point with a nearly bolted load as the fault.
    #[test]
    fn thevenin_and_operating_point_agree(plan in plans(3), at in any::<usize>()) {
        let net = plan.build();
        let node = 1 + at % (net.nodes().len() - 1);
        let name = &net.nodes()[node];
        let level = net.fault_at(name).unwrap();
        let thevenin = net.thevenin(Corner::High).unwrap();
        let ohms_there = thevenin.resistance(name).unwrap().unwrap().si();
        prop_assert!((level.resistance.low().unwrap().si() / ohms_there - 1.0).abs() < 1e-9);
        prop_assert!((high(level.total) / thevenin.fault_current(name).unwrap().unwrap().si() - 1.0).abs() < 1e-9);
        let mut faulted = net.clone();
        faulted.load("fault", name, RETURN, Load::new(Demand::Resistance(ohms(ohms_there * 1e-6)))).unwrap();
        let volts = faulted.solve(Corner::High).unwrap().voltage(name).unwrap().unwrap().si();
        prop_assert!((volts / (ohms_there * 1e-6) / high(level.total) - 1.0).abs() < 2e-6);
    }

    /// Through a branch: the current from its near end into a fault at its far end, in every state and corner.
    #[test]
    fn two_ways_agree_through_branches(plan in plans(2)) {
        let net = plan.build();
        let levels = net.fault_levels();
        for (e, branch) in net.branches().iter().enumerate() {
            let Part::Resistance(own) = branch.part else { unreachable!() };
            for (a, b, found) in [
                (branch.from, branch.to, levels.through[e].forward),
                (branch.to, branch.from, levels.through[e].backward),
            ] {
                let (mut least, mut most) = (f64::INFINITY, 0.0_f64);
                for state in states(&net) {
                    for corner in [Corner::Low, Corner::High] {
                        let v = nodal(&net, corner, &state, &[b], None, None);
                        let amps = (v[a] - v[b]) / corner.ohms(own).unwrap().si();
                        if amps > 1e-6 {
                            least = least.min(amps);
                        }
                    }
                    // Both ends short, the branch gone: its own resistance left out.
                    for corner in [Corner::Low, Corner::High] {
                        let v = nodal(&net, corner, &state, &[a, b], None, Some(e));
                        most = most.max(into(&net, corner, &state, &v, a, Some(e)));
                    }
                }
                let least = if least.is_finite() { least } else { 0.0 };
                prop_assert!((low(found) - least).abs() <= 1e-7 * least + 1e-6, "{} least {} against {least}", branch.id, low(found));
                prop_assert!((high(found) - most).abs() <= 1e-5 * most + 1e-6, "{} most {} against {most}", branch.id, high(found));
            }
        }
    }

    /// For a fault anywhere, the current through any branch is that of the network solved with the fault in it.
    #[test]
    fn two_ways_agree_at_a_distance(plan in plans(2), at in any::<usize>(), which in any::<usize>()) {
        let net = plan.build();
        let (node, e) = (1 + at % (net.nodes().len() - 1), which % net.branches().len());
        let branch = &net.branches()[e];
        let Part::Resistance(own) = branch.part else { unreachable!() };
        let found = net.fault_through(&branch.id, &net.nodes()[node]).unwrap();
        let mut least = f64::INFINITY;
        for state in states(&net) {
            for corner in [Corner::Low, Corner::High] {
                let v = nodal(&net, corner, &state, &[node], None, None);
                let amps = ((v[branch.from] - v[branch.to]) / corner.ohms(own).unwrap().si()).abs();
                if amps > 1e-6 {
                    least = least.min(amps);
                }
                prop_assert!(amps <= high(found) * (1.0 + 1e-6) + 1e-6, "{amps} A above {found}");
            }
        }
        if least.is_finite() {
            prop_assert!((low(found) - least).abs() <= 1e-7 * least + 1e-6, "{found} against {least}");
        }
    }

    /// Any values inside the ranges stay inside the bounds.
    #[test]
    fn inner_values_stay_inside(plan in plans(3), mix in proptest::collection::vec(0.0..1.0, 40)) {
        let net = plan.build();
        let levels = net.fault_levels();
        let at = |k: usize| mix[k % mix.len()];
        let inside = |r: Range<Resistance>, k: usize| Range::exactly(ohms(low_of(r) + at(k) * (high_of(r) - low_of(r))));
        let mut inner = Network::new();
        inner.node("n0").unwrap();
        for (k, b) in net.branches().iter().enumerate() {
            let Part::Resistance(r) = b.part else { unreachable!() };
            inner.branch(&b.id, &net.nodes()[b.from], &net.nodes()[b.to], Part::Resistance(inside(r, k))).unwrap();
        }
        for (k, s) in net.sources().iter().enumerate() {
            let e = s.part.emf;
            let emf = Range::exactly(volts(e.low().unwrap().si() + at(k + 7) * (e.high().unwrap() - e.low().unwrap()).si()));
            let source = Source { emf, resistance: inside(s.part.resistance, k + 17), may_open: s.part.may_open };
            inner.source(&s.id, &net.nodes()[s.from], RETURN, source).unwrap();
        }
        for node in &net.nodes()[1..] {
            let (outer, inner) = (levels.node(node).unwrap().total, inner.fault_at(node).unwrap().total);
            prop_assert!(low(outer) <= low(inner) * (1.0 + 1e-9) && high(inner) <= high(outer) * (1.0 + 1e-9));
        }
    }

    /// One more source lowers no total; more resistance raises none.
    #[test]
    fn sources_add_and_resistance_takes(plan in plans(3), at in any::<usize>(), which in any::<usize>(), factor in 1.0..10.0) {
        let before = plan.build().fault_levels();
        let mut more = plan.clone();
        more.sources.push((at, 5e-3, 0.5, true));
        let after = more.build().fault_levels();
        for node in &before.nodes[1..] {
            let now = after.node(&node.node).unwrap().total;
            prop_assert!(high(now) >= high(node.total) * (1.0 - 1e-9));
        }
        // What stays whatever opens: as another source that never opens the lower bound does not fall either.
        let mut firm = plan.clone();
        firm.sources.push((at, 5e-3, 0.5, false));
        for node in &before.nodes[1..] {
            let now = firm.build().fault_at(&node.node).unwrap().total;
            prop_assert!(high(now) >= high(node.total) * (1.0 - 1e-9));
        }
        let mut longer = plan.clone();
        let k = which % longer.tree.len();
        longer.tree[k].1 *= factor;
        let longer = longer.build().fault_levels();
        for (a, b) in before.nodes[1..].iter().zip(&longer.nodes[1..]) {
            prop_assert!(high(b.total) <= high(a.total) * (1.0 + 1e-9) && low(b.total) <= low(a.total) * (1.0 + 1e-9));
        }
    }

    /// A fault inside one of p like strings draws the other p - 1 through its device.
    #[test]
    fn back_feed_is_the_other_strings(p in 2..9_usize, emf in 10.0..50.0, r in 1e-3..1e-2, device in 1e-5..1e-3) {
        let mut net = Network::new();
        for k in 0..p {
            let source = Source { emf: Range::exactly(volts(emf)), resistance: span(r, 1.0), may_open: true };
            net.source(&format!("s{k}"), &format!("string{k}"), RETURN, source).unwrap();
            net.branch(&format!("f{k}"), &format!("string{k}"), "bus", Part::Resistance(span(device, 0.5))).unwrap();
        }
        let levels = net.fault_levels();
        for k in 0..p {
            let through = levels.through(&format!("f{k}")).unwrap();
            let one = emf / (r + device);
            prop_assert!(close(high(through.backward), (p - 1) as f64 * one));
            prop_assert!(close(high(through.forward), emf / r));
            // One other string alone, aged, through both devices.
            prop_assert!(close(low(through.backward), emf / (2.0 * r + 2.0 * device * 1.5)));
            prop_assert!(close(low(through.forward), emf / (2.0 * r + device * 1.5)));
        }
        prop_assert!(close(high(levels.node("bus").unwrap().total), p as f64 * emf / (r + device)));
    }
}

fn low_of(r: Range<Resistance>) -> f64 {
    r.low().unwrap().si()
}
fn high_of(r: Range<Resistance>) -> f64 {
    r.high().unwrap().si()
}

fn battery(may_open: bool) -> Source {
    Source { emf: Range::new(volts(24.0), volts(28.8)), resistance: span(4e-3, 1.0), may_open }
}

fn converter(limit: f64, shuts_down: bool) -> Converter {
    Converter {
        output: volts(13.8),
        limit: amperes(limit),
        efficiency: Fraction::new(0.9),
        minimum: None,
        shuts_down,
        capacitor: None,
        runs: true,
    }
}

fn wire(r: f64) -> Part {
    Part::Resistance(Range::exactly(ohms(r)))
}

/// A 24 V bank, its bus, a converter to a 12 V bus with a load.
fn boat(limit: f64, shuts_down: bool) -> Network {
    let mut net = Network::new();
    net.source("bank", "bank", RETURN, battery(false)).unwrap();
    net.branch("main", "bank", "bus", wire(1e-3)).unwrap();
    net.converter("dcdc", "b12", RETURN, Some(("bus", RETURN)), converter(limit, shuts_down)).unwrap();
    net.branch("f1", "b12", "plotter", wire(0.05)).unwrap();
    net
}

#[test]
fn behind_a_converter_flows_its_limit_and_no_more() {
    let levels = boat(30.0, false).fault_levels();
    for node in ["b12", "plotter"] {
        let level = levels.node(node).unwrap();
        assert_eq!(level.total, Range::exactly(amperes(30.0)));
        assert!(level.limited);
    }
    let through = levels.through("f1").unwrap();
    assert_eq!(
        (through.forward, through.backward),
        (Range::exactly(amperes(30.0)), Range::exactly(amperes(0.0)))
    );
    assert!(through.limited && !levels.through("main").unwrap().limited);
    // One that stops on a short leaves nothing that a device could open on.
    let stops = boat(30.0, true).fault_levels();
    assert_eq!(stops.node("plotter").unwrap().total, Range::new(amperes(0.0), amperes(30.0)));
    // And nothing of it comes back into the 24 V side.
    assert_eq!(levels.node("bus"), stops.node("bus"));
    let alone = boat(30.0, false).fault_through("f1", "plotter").unwrap();
    assert_eq!(alone, Range::exactly(amperes(30.0)));
}

#[test]
fn chargers_and_motors_raise_the_upper_bound_only() {
    let plain = boat(30.0, false);
    let mut more = plain.clone();
    let charger = Converter { output: volts(28.8), limit: amperes(50.0), ..converter(1.0, false) };
    more.converter("charger", "bus", RETURN, None, charger).unwrap();
    let motor = Load { motor: Some(amperes(280.0)), ..Load::new(Demand::Power(orlop::units::watts(800.0))) };
    more.branch("f2", "bus", "windlass", wire(0.01)).unwrap();
    more.load("windlass", "windlass", RETURN, motor).unwrap();
    let (a, b) = (plain.fault_at("bus").unwrap().total, more.fault_at("bus").unwrap());
    assert!((high(b.total) - high(a) - 330.0).abs() < 1e-6, "{} and {a}", b.total);
    assert!(close(low(b.total), low(a)));
    assert_eq!(b.open, ["charger"]);
    let ids: Vec<_> = b.contributions.iter().map(|c| c.id.as_str()).collect();
    assert_eq!(ids, ["bank", "charger", "windlass"]);
    // Into a fault at the bus the motor drives its current backward through its own device.
    let through = more.fault_levels().through("f2").unwrap().clone();
    assert_eq!(through.backward, Range::new(amperes(0.0), amperes(280.0)));
    assert!((high(through.forward) - (high(a) + 50.0)).abs() < 1e-6);
}

#[test]
fn a_converter_beside_a_battery_adds_what_reaches_the_fault() {
    // 12 V bus with a battery and a converter of 30 A beside it.
    let mut net = boat(30.0, false);
    let start =
        Source { emf: Range::exactly(volts(12.0)), resistance: Range::exactly(ohms(0.01)), may_open: false };
    net.source("start", "b12", RETURN, start).unwrap();
    let far = net.fault_at("plotter").unwrap();
    // By hand: 12 V behind 0.01 ohm and 30 A beside it, into 0.05 ohm: (12/0.01 + 30)/(100 + 20) x 20.
    let by_hand = (1200.0 + 30.0) / 120.0 * 20.0;
    assert!((low(far.total) - by_hand).abs() < 1e-9, "{}", far.total);
    // The upper bound adds the whole limit.
    assert!((high(far.total) - (12.0 / 0.06 + 30.0)).abs() < 1e-6);
    // Through the device, the same, and a second fault location agrees.
    assert!((low(net.fault_levels().through("f1").unwrap().forward) - by_hand).abs() < 1e-9);
    // A converter that holds its voltage because the fault is far delivers less than its limit: nothing is promised.
    let mut weak = net.clone();
    weak.branch("f9", "plotter", "lamp", wire(100.0)).unwrap();
    let lamp = weak.fault_at("lamp").unwrap();
    assert!((low(lamp.total) - (12.0 + 0.3) / 100.06).abs() < 0.01);
}

#[test]
fn capacitors_are_a_pulse_beside_it() {
    let mut net = boat(30.0, false);
    net.branch("f3", "bus", "inverter", wire(1e-3)).unwrap();
    let load = Load {
        capacitor: Some((farads(12e-3), ohms(5e-3))),
        ..Load::new(Demand::Power(orlop::units::watts(2000.0)))
    };
    net.load("inverter", "inverter", RETURN, load).unwrap();
    let level = net.fault_at("inverter").unwrap();
    // At its own terminals: charged to the highest voltage, behind its own resistance.
    assert!((level.pulse.unwrap().si() - 28.8 / 5e-3).abs() < 1e-3);
    assert!((high(level.total) - 28.8 / 6e-3).abs() < 1e-3);
    let bus = net.fault_at("bus").unwrap();
    assert!((bus.pulse.unwrap().si() - 28.8 / 6e-3).abs() < 1e-3);
    assert_eq!(net.fault_at("plotter").unwrap().pulse, None);
}

#[test]
fn diodes_pass_current_toward_the_fault_only() {
    let mut net = Network::new();
    let diode = Part::Diode { forward: volts(0.5), slope: ohms(2e-3) };
    for bank in ["a", "b"] {
        net.source(bank, bank, RETURN, battery(false)).unwrap();
        net.branch(&format!("d{bank}"), bank, "bus", diode).unwrap();
    }
    net.branch("f", "bus", "lamp", wire(0.1)).unwrap();
    let levels = net.fault_levels();
    let (hi, lo) = (28.8 / 6e-3, 23.5 / 10e-3);
    let bus = levels.node("bus").unwrap();
    assert!(close(high(bus.total), 2.0 * hi) && close(low(bus.total), 2.0 * lo), "{}", bus.total);
    // A fault at one bank is fed by that bank alone.
    assert!(close(high(levels.node("a").unwrap().total), 28.8 / 4e-3));
    let through = levels.through("da").unwrap();
    assert_eq!(through.backward, Range::exactly(amperes(0.0)));
    assert!(close(high(through.forward), 28.8 / 4e-3) && close(low(through.forward), lo));
    // At a distance: each diode carries half, and the parts add up.
    let lamp = levels.node("lamp").unwrap();
    let half = net.fault_through("da", "lamp").unwrap();
    assert!(close(2.0 * low(half), low(lamp.total)), "{half} of {}", lamp.total);
    assert!(close(high(net.fault_through("f", "lamp").unwrap()), 28.8 / 3e-3));
    let sum: f64 = lamp.contributions.iter().map(|c| c.lower.unwrap().si()).sum();
    assert!(close(sum, low(lamp.total)));
}

#[test]
fn a_diode_in_a_ring_errs_to_both_sides() {
    let mut net = Network::new();
    net.source("a", "a", RETURN, battery(false)).unwrap();
    net.branch("d", "a", "bus", Part::Diode { forward: volts(0.5), slope: ohms(1e-3) }).unwrap();
    net.branch("w", "a", "bus", wire(1e-3)).unwrap();
    let bus = net.fault_at("bus").unwrap();
    assert!(close(high(bus.total), 28.8 / 4.5e-3) && close(low(bus.total), 24.0 / 9e-3), "{}", bus.total);
    assert!(bus.flags[0].contains("ring"), "{:?}", bus.flags);
}

/// Reads two of three resistances only at one end.
fn partly_known(source: Range<Resistance>, lead: Range<Resistance>, emf: Range<Voltage>) -> Network {
    let mut net = Network::new();
    net.source("bank", "bank", RETURN, Source { emf, resistance: source, may_open: false }).unwrap();
    net.branch("lead", "bank", "bus", Part::Resistance(lead)).unwrap();
    net
}

#[test]
fn what_is_not_known_is_never_guessed() {
    let known = span(4e-3, 1.0);
    let emf = Range::new(volts(24.0), volts(28.8));
    // A lone lower end: the upper bound stands, the lower one is not known.
    let bus = partly_known(Range::from_bounds(Some(ohms(4e-3)), None), known, emf).fault_at("bus").unwrap();
    assert!(bus.total.low().is_none() && close(high(bus.total), 28.8 / 8e-3));
    assert!(
        bus.flags.iter().any(|f| f.contains("largest resistance of bank is not known")),
        "{:?}",
        bus.flags
    );
    // A lone upper end of the source: nothing limits the current at its terminals; behind the lead the lead does.
    let net = partly_known(Range::from_bounds(None, Some(ohms(8e-3))), known, emf);
    let (bank, bus) = (net.fault_at("bank").unwrap(), net.fault_at("bus").unwrap());
    assert!(bank.total.high().is_none() && close(low(bank.total), 24.0 / 8e-3));
    assert!(close(high(bus.total), 28.8 / 4e-3));
    // The lead's least resistance not known: it counts as none.
    let lead = Range::from_bounds(None, Some(ohms(8e-3)));
    let net = partly_known(known, lead, emf);
    assert!(close(high(net.fault_at("bus").unwrap().total), 28.8 / 4e-3));
    assert!(close(high(net.fault_levels().through("lead").unwrap().through), 28.8 / 4e-3));
    // The lead's largest resistance not known: nothing is promised behind it.
    let net = partly_known(known, Range::from_bounds(Some(ohms(4e-3)), None), emf);
    assert!(net.fault_at("bus").unwrap().total.low().is_none());
    assert!(net.fault_levels().through("lead").unwrap().through.low().is_none());
    assert!(close(low(net.fault_at("bank").unwrap().total), 24.0 / 8e-3));
    // Voltages.
    let net = partly_known(known, known, Range::from_bounds(None, Some(volts(28.8))));
    let bus = net.fault_at("bus").unwrap();
    assert!(bus.total.low().is_none() && bus.total.high().is_some());
    // An ideal source: no bound at its terminals.
    let net = partly_known(Range::exactly(ohms(0.0)), known, emf);
    assert_eq!(net.fault_at("bank").unwrap().total, Range::from_bounds(None, None));
    assert!(close(high(net.fault_at("bus").unwrap().total), 28.8 / 4e-3));
}

#[test]
fn nothing_flows_where_no_source_reaches() {
    let mut net = boat(30.0, false);
    net.branch("x", "shore", "socket", wire(0.1)).unwrap();
    let level = net.fault_at("socket").unwrap();
    assert_eq!(level.total, Range::exactly(amperes(0.0)));
    assert!(level.contributions.is_empty() && !level.limited);
    assert_eq!(net.fault_levels().through("x").unwrap().through, Range::exactly(amperes(0.0)));
    // A floating source drives nothing into a fault to return.
    let mut floating = Network::new();
    floating.source("s", "plus", "minus", battery(false)).unwrap();
    floating.branch("w", "plus", "lamp", wire(0.1)).unwrap();
    assert_eq!(floating.fault_at("lamp").unwrap().total, Range::exactly(amperes(0.0)));
    assert!(Network::new().fault_levels().through.is_empty());
}

#[test]
fn sources_in_series_add_up_and_are_flagged() {
    let mut net = Network::new();
    let half =
        Source { emf: Range::exactly(volts(12.0)), resistance: Range::exactly(ohms(2e-3)), may_open: false };
    net.source("low", "mid", RETURN, half).unwrap();
    net.source("high", "top", "mid", half).unwrap();
    net.branch("w", "top", "bus", wire(4e-3)).unwrap();
    let bus = net.fault_at("bus").unwrap();
    assert!(close(high(bus.total), 24.0 / 8e-3) && close(low(bus.total), 24.0 / 8e-3), "{}", bus.total);
    assert!(bus.flags[0].contains("series"));
    // A return that is drawn takes its share of the resistance.
    let mut drawn = Network::new();
    drawn.source("s", "plus", RETURN, half).unwrap();
    drawn.branch("p", "plus", "lamp", wire(0.01)).unwrap();
    drawn.branch("n", "lamp minus", RETURN, wire(0.01)).unwrap();
    assert!(close(high(drawn.fault_at("lamp").unwrap().total), 1000.0));
    assert_eq!(drawn.fault_at("lamp minus").unwrap().total, Range::exactly(amperes(0.0)));
}

#[test]
fn more_than_six_strings_are_flagged_and_still_bound_the_nodes() {
    let mut net = Network::new();
    for k in 0..8 {
        net.source(&format!("s{k}"), "bus", RETURN, battery(true)).unwrap();
    }
    let bus = net.fault_at("bus").unwrap();
    assert!(close(high(bus.total), 8.0 * 28.8 / 4e-3) && close(low(bus.total), 24.0 / 8e-3));
    assert!(bus.flags[0].contains("8 sources may be absent"), "{:?}", bus.flags);
    assert_eq!(bus.open.len(), 7);
}

#[test]
fn a_working_tells_corners_states_and_feeders() {
    let mut net = boat(30.0, false);
    net.source("second", "bank", RETURN, battery(true)).unwrap();
    let mut working = Working::new("fault at the bus");
    let level = net.fault_at_recorded("bus", &mut working).unwrap();
    assert_eq!(level, net.fault_at("bus").unwrap());
    let text = working.to_string();
    for part in ["corner high", "corner low", "open: second", "of bank", "V/R"] {
        assert!(text.contains(part), "{part} in {text}");
    }
    let mut working = Working::new("through main");
    let through = net.through_recorded("main", &mut working).unwrap();
    assert_eq!(&through, net.fault_levels().through("main").unwrap());
    assert!(working.to_string().contains("own resistance left out"));
}

#[test]
fn bad_questions_are_refused() {
    let net = boat(30.0, false);
    for node in ["nowhere", "", RETURN] {
        let error = net.fault_at(node).unwrap_err();
        assert_eq!(error.code(), "input");
        assert!(net.fault_through("main", node).is_err());
    }
    assert!(net.fault_through("nothing", "bus").unwrap_err().to_string().contains("branch"));
    assert!(net.through_recorded("nothing", &mut Working::new("")).is_err());
    // Numbers that overflow give no bound and never panic.
    let tiny = Source {
        emf: Range::exactly(volts(1e308)),
        resistance: Range::exactly(ohms(1e-300)),
        may_open: false,
    };
    let mut net = Network::new();
    net.source("s", "a", RETURN, tiny).unwrap();
    net.branch("w", "a", "b", wire(1e300)).unwrap();
    for level in &net.fault_levels().nodes[1..] {
        assert!(level.total.high().is_none_or(|c| c.si().is_finite()), "{level:?}");
    }
}

proptest! {
    /// A motor or charger that gives no more than its limit, and never a higher voltage than it has, stays within the upper bound at
    /// every node and through every bridge: here each is an electromotive force behind `E/I`.
    #[test]
    fn limits_and_voltages_bound_what_motors_and_chargers_feed(
        plan in plans(3),
        motors in proptest::collection::vec((any::<usize>(), 1.0..800.0_f64), 1..5),
        chargers in proptest::collection::vec((any::<usize>(), 1.0..200.0_f64), 0..3),
    ) {
        let mut bounds = plan.build();
        let mut real = plan.build();
        let count = plan.tree.len() + 1;
        let highest = plan.emf.0 * (1.0 + plan.emf.1);
        for (k, (at, amps)) in motors.iter().chain(&chargers).enumerate() {
            let node = name(at % count);
            if k < motors.len() {
                let load = Load { demand: Demand::Current(amperes(0.0)), motor: Some(amperes(*amps)), capacitor: None };
                bounds.load(&format!("m{k}"), &node, RETURN, load).unwrap();
            } else {
                let charger = Converter { output: volts(highest), runs: false, ..converter(*amps, false) };
                bounds.converter(&format!("m{k}"), &node, RETURN, None, charger).unwrap();
            }
            let resistance = Range::exactly(ohms(highest / amps));
            let source = Source { emf: Range::exactly(volts(highest)), resistance, may_open: false };
            real.source(&format!("m{k}"), &node, RETURN, source).unwrap();
        }
        let (upper, truth) = (bounds.fault_levels(), real.fault_levels());
        let alone = plan.build().fault_levels();
        let sum: f64 = motors.iter().chain(&chargers).map(|(_, a)| a).sum();
        for ((u, t), a) in upper.nodes.iter().zip(&truth.nodes).zip(&alone.nodes).skip(1) {
            prop_assert!(high(u.total) >= high(t.total) * (1.0 - 1e-6), "{}: {} {}", u.node, u.total, t.total);
            prop_assert!(high(u.total) <= (high(a.total) + sum) * (1.0 + 1e-9));
        }
        for (u, t) in upper.through.iter().zip(&truth.through).filter(|(u, _)| u.branch.starts_with('t')) {
            if plan.chords.is_empty() {
                prop_assert!(high(u.through) >= high(t.through) * (1.0 - 1e-6), "{}", u.branch);
            }
        }
    }
}

#[test]
fn a_long_thin_cable_limits_what_all_motors_together_can_feed() {
    // 29 V behind 2.5 milliohms; motors of 1 kA on the bus; a lamp at the end of 0.5 ohms.
    let mut net = Network::new();
    let exact = |r: f64| Range::exactly(ohms(r));
    let source = Source { emf: Range::exactly(volts(29.0)), resistance: exact(2.5e-3), may_open: false };
    net.source("bank", "bus", RETURN, source).unwrap();
    net.branch("lamp", "bus", "mast", wire(0.5)).unwrap();
    let load = Load { demand: Demand::Current(amperes(0.0)), motor: Some(amperes(1000.0)), capacitor: None };
    net.load("thruster", "bus", RETURN, load).unwrap();
    let levels = net.fault_levels();
    assert!((high(levels.node("bus").unwrap().total) - (29.0 / 2.5e-3 + 1000.0)).abs() < 1e-3);
    assert!(
        (high(levels.node("mast").unwrap().total) - 29.0 / 0.5).abs() < 1e-3,
        "29 V through 0.5 ohm, not 1 kA"
    );
}
