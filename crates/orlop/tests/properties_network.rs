//! Laws that hold for every network: Kirchhoff and Ohm, superposition, reciprocity, the high root, and what
//! `definitions` calls the radial law.

use orlop::network::{Corner, Demand, Load, Network, Operating, Part, RETURN, Source};
use orlop::units::{Quantity, amperes, ohms, volts, watts};
use orlop::{Error, Range};
use proptest::prelude::*;

/// A source with an exact value.
fn source(emf: f64, resistance: f64) -> Source {
    Source { emf: Range::exactly(volts(emf)), resistance: Range::exactly(ohms(resistance)), may_open: false }
}
fn resistor(r: f64) -> Part {
    Part::Resistance(Range::exactly(ohms(r)))
}
fn solve(net: &Network) -> Operating {
    net.solve(Corner::Low).unwrap_or_else(|e| panic!("{e}"))
}
fn volts_of(point: &Operating, node: &str) -> f64 {
    point.voltage(node).unwrap().unwrap().si()
}

/// A network on one rail, as numbers, so that it can be drawn in any order.
#[derive(Clone, Debug)]
struct Drawn {
    sources: Vec<(usize, f64, f64)>,
    branches: Vec<(usize, usize, f64)>,
    loads: Vec<(usize, u8, f64)>,
}

impl Drawn {
    fn network(&self, order: &dyn Fn(usize) -> usize, nodes: usize) -> Network {
        let mut net = Network::new();
        for v in 0..nodes {
            net.node(&format!("n{}", order(v))).unwrap();
        }
        for (k, (node, emf, r)) in self.sources.iter().enumerate() {
            net.source(&format!("s{k}"), &format!("n{node}"), RETURN, source(*emf, *r)).unwrap();
        }
        for (k, (a, b, r)) in self.branches.iter().enumerate() {
            net.branch(&format!("b{k}"), &format!("n{a}"), &format!("n{b}"), resistor(*r)).unwrap();
        }
        for (k, (node, kind, size)) in self.loads.iter().enumerate() {
            let demand = match kind {
                0 => Demand::Current(amperes(*size)),
                1 => Demand::Power(watts(12.0 * size)),
                _ => Demand::Resistance(ohms(12.0 / size.max(1e-3))),
            };
            net.load(&format!("l{k}"), &format!("n{node}"), RETURN, Load::new(demand)).unwrap();
        }
        net
    }
    fn nodes(&self) -> usize {
        self.branches.iter().map(|b| b.0.max(b.1) + 1).max().unwrap_or(1)
    }
    fn plain(&self) -> Network {
        self.network(&|v| v, self.nodes())
    }
}

/// Networks of 2 to 40 nodes, with up to three sources and some loops, small enough loads to be fed.
fn drawn(kinds: u8, most_sources: usize, chords: bool) -> impl Strategy<Value = Drawn> {
    (2..40_usize).prop_flat_map(move |n| {
        let sources = proptest::collection::vec((0..n, 12.0..13.5_f64, 0.001..0.02_f64), 1..=most_sources);
        let tree = proptest::collection::vec((any::<u32>(), 0.0005..0.02_f64), n - 1);
        let more = if chords { n / 4 } else { 0 };
        let loops = proptest::collection::vec((0..n, 0..n, 0.0005..0.05_f64), more);
        let loads = proptest::collection::vec((0..n, 0..kinds, 0.0..20.0 / n as f64), 1..n);
        (sources, tree, loops, loads).prop_map(|(sources, tree, loops, loads)| {
            let mut branches: Vec<_> =
                tree.into_iter().enumerate().map(|(k, (up, r))| (up as usize % (k + 1), k + 1, r)).collect();
            branches.extend(loops.into_iter().filter(|(a, b, _)| a != b));
            Drawn { sources, branches, loads }
        })
    })
}

/// Ohm's law at every element, Kirchhoff's at every node, and the balance of powers.
fn check_laws(net: &Network, point: &Operating) {
    let v = point.volts();
    let mut leaving = vec![0.0; v.len()];
    let mut gross = 1.0_f64;
    let mut add = |from: usize, to: usize, amps: f64| {
        gross += amps.abs();
        leaving[from] += amps;
        leaving[to] -= amps;
    };
    for (b, amps) in net.branches().iter().zip(point.branch_amperes()) {
        let Part::Resistance(r) = b.part else { panic!("no diodes here") };
        assert!((v[b.from] - v[b.to] - amps * r.low().unwrap().si()).abs() < 1e-12 * 13.0 * 4.0);
        add(b.from, b.to, *amps);
    }
    for (s, amps) in net.sources().iter().zip(point.source_amperes()) {
        let (emf, r) = (s.part.emf.low().unwrap().si(), s.part.resistance.low().unwrap().si());
        assert!((v[s.from] - v[s.to] - (emf - amps * r)).abs() < 1e-11);
        add(s.to, s.from, *amps);
    }
    for (l, amps) in net.loads().iter().zip(point.load_amperes()) {
        let across = v[l.from] - v[l.to];
        match l.part.demand {
            Demand::Current(i) => assert_eq!(i.si(), *amps),
            Demand::Power(p) => assert!((across * amps - p.si()).abs() <= 1e-12 * p.si().max(1.0)),
            Demand::Resistance(r) => assert!((across - amps * r.si()).abs() < 1e-11),
        }
        add(l.from, l.to, *amps);
    }
    for left in leaving {
        assert!(left.abs() <= 1e-10 * gross, "{left} of {gross}");
    }
    let (delivered, drawn, lost) = (point.delivered().si(), point.drawn().si(), point.losses().si());
    let scale: f64 = point.source_amperes().iter().map(|i| i.abs() * 13.0).sum::<f64>().max(1e-9);
    assert!((delivered - drawn - lost).abs() <= 1e-9 * scale, "{delivered} {drawn} {lost}");
}

fn relabelled(n: usize, seed: u64) -> Vec<usize> {
    let mut order: Vec<usize> = (0..n).collect();
    let mut state = seed | 1;
    for k in (1..n).rev() {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        order.swap(k, (state >> 33) as usize % (k + 1));
    }
    order
}

proptest! {
    #[test]
    fn laws_of_ohm_and_kirchhoff_hold(drawn in drawn(3, 3, true)) {
        let net = drawn.plain();
        check_laws(&net, &solve(&net));
    }

    #[test]
    fn permuting_nodes_changes_nothing(drawn in drawn(3, 3, true), seed in any::<u64>()) {
        let n = drawn.nodes();
        let order = relabelled(n, seed);
        let (plain, other) = (drawn.plain(), drawn.network(&|v| order[v], n));
        let (a, b) = (solve(&plain), solve(&other));
        for v in 0..n {
            let name = format!("n{v}");
            prop_assert!((volts_of(&a, &name) - volts_of(&b, &name)).abs() < 1e-9);
        }
        for k in 0..drawn.branches.len() {
            let id = format!("b{k}");
            let (x, y) = (a.current(&id).unwrap().si(), b.current(&id).unwrap().si());
            prop_assert!((x - y).abs() < 1e-9 * (1.0 + x.abs()), "{x} {y}");
        }
    }

    #[test]
    fn linear_loads_superpose(drawn in drawn(1, 3, true)) {
        // Drops under all loads are the sum of the drops under each, against the voltages without any.
        let net = drawn.plain();
        let mut prepared = net.prepare(Corner::Low).unwrap();
        let none = vec![None; net.loads().len()];
        let open = prepared.solve(&none).unwrap();
        let all = prepared.solve(&net.demands()).unwrap();
        let mut sum = vec![0.0; open.volts().len()];
        for (k, demand) in net.demands().into_iter().enumerate() {
            let mut one = none.clone();
            one[k] = demand;
            let alone = prepared.solve(&one).unwrap();
            for (v, total) in sum.iter_mut().enumerate() {
                *total += open.volts()[v] - alone.volts()[v];
            }
        }
        for (v, total) in sum.iter().enumerate() {
            prop_assert!((open.volts()[v] - all.volts()[v] - total).abs() < 1e-9);
        }
    }

    #[test]
    fn transfer_resistances_are_reciprocal(drawn in drawn(1, 3, true)) {
        let net = drawn.plain();
        let seen = net.thevenin(Corner::Low).unwrap();
        let columns: Vec<Vec<f64>> = (0..net.nodes().len()).map(|v| seen.transfers(v)).collect();
        for (a, column) in columns.iter().enumerate() {
            prop_assert!((column[a] - seen.ohms()[a]).abs() < 1e-12 + 1e-9 * column[a]);
            for (b, z) in column.iter().enumerate() {
                prop_assert!((z - columns[b][a]).abs() < 1e-12 + 1e-9 * z.abs());
                // No node sees another better than itself.
                prop_assert!(*z <= column[a] * (1.0 + 1e-9) + 1e-12);
            }
        }
    }

    #[test]
    fn a_tree_solved_as_a_mesh_is_the_same(drawn in drawn(3, 1, false)) {
        let net = drawn.plain();
        let tree = solve(&net);
        prop_assert_eq!(tree.method().word(), "tree");
        let mut prepared = net.prepare(Corner::Low).unwrap();
        prepared.set_mesh(true);
        let mesh = prepared.solve(&net.demands()).unwrap();
        prop_assert_eq!(mesh.method().word(), "mesh");
        for (a, b) in tree.volts().iter().zip(mesh.volts()) {
            prop_assert!((a - b).abs() < 1e-11);
        }
    }

    #[test]
    fn a_warm_start_ends_where_a_cold_one_does(
        drawn in drawn(3, 2, true),
        factors in proptest::collection::vec(0.0..1.5_f64, 40),
        warmer in 1.0..1.5_f64,
    ) {
        let net = drawn.plain();
        let mut prepared = net.prepare(Corner::Low).unwrap();
        prepared.solve(&net.demands()).unwrap();
        let scaled: Vec<Option<Demand>> = net
            .demands()
            .into_iter()
            .enumerate()
            .map(|(k, demand)| match demand {
                Some(Demand::Current(i)) => Some(Demand::Current(i * factors[k])),
                Some(Demand::Power(p)) if k % 5 != 4 => Some(Demand::Power(p * factors[k])),
                _ => None,
            })
            .collect();
        for (k, branch) in drawn.branches.iter().enumerate() {
            prepared.set_resistance(k, ohms(branch.2 * warmer)).unwrap();
        }
        let warm = prepared.solve(&scaled).unwrap();
        let mut hot = drawn.clone();
        hot.branches.iter_mut().for_each(|b| b.2 *= warmer);
        let cold = hot.plain().prepare(Corner::Low).unwrap().solve(&scaled).unwrap();
        for (a, b) in warm.volts().iter().zip(cold.volts()) {
            prop_assert!((a - b).abs() < 1e-10, "{a} {b}");
        }
    }

    /// `definitions` 20: on a radial feed with constant-current loads a larger conductor never lowers a voltage.
    #[test]
    fn on_a_radial_feed_a_larger_conductor_lowers_no_voltage(
        drawn in drawn(1, 1, false), which in any::<prop::sample::Index>(), larger in 1.0..10.0_f64,
    ) {
        let mut drawn = drawn;
        drawn.sources[0].0 = 0;
        let net = drawn.plain();
        let before = solve(&net);
        let k = which.index(drawn.branches.len());
        drawn.branches[k].2 /= larger;
        let after = solve(&drawn.plain());
        for (a, b) in before.volts().iter().zip(after.volts()) {
            prop_assert!(*b >= a - 1e-12);
        }
    }

    #[test]
    fn bolted_faults_agree_with_a_tiny_resistance(drawn in drawn(1, 3, true), at in any::<prop::sample::Index>()) {
        let mut drawn = drawn;
        drawn.loads.clear();
        let node = at.index(drawn.nodes());
        let net = drawn.plain();
        let seen = net.thevenin(Corner::Low).unwrap();
        let name = format!("n{node}");
        let k = net.node_at(&name).unwrap();
        let bolted = seen.bolted(k).unwrap();
        let mut shorted = net.clone();
        shorted.branch("fault", &name, RETURN, resistor(1e-9)).unwrap();
        let point = solve(&shorted);
        let close = |a: f64, b: f64| (a - b).abs() <= 1e-5 * bolted.total;
        prop_assert!(close(bolted.total, point.current("fault").unwrap().si()));
        prop_assert!(close(bolted.total, seen.fault_current(&name).unwrap().unwrap().si()));
        for (a, b) in bolted.branch.iter().zip(point.branch_amperes()) {
            prop_assert!(close(*a, *b));
        }
        for (a, b) in bolted.source.iter().zip(point.source_amperes()) {
            prop_assert!(close(*a, *b));
        }
    }

    #[test]
    fn currents_through_every_branch_for_faults_at_its_ends(drawn in drawn(1, 3, true)) {
        let mut drawn = drawn;
        drawn.loads.clear();
        let net = drawn.plain();
        let seen = net.thevenin(Corner::Low).unwrap();
        for (k, through) in seen.throughs().into_iter().enumerate() {
            let branch = &net.branches()[k];
            let (to, from) = (seen.bolted(branch.to).unwrap(), seen.bolted(branch.from).unwrap());
            let close = |a: f64, b: f64, total: f64| (a - b).abs() <= 1e-7 * total;
            prop_assert!(close(through.forward.unwrap(), to.branch[k], to.total));
            prop_assert!(close(through.backward.unwrap(), -from.branch[k], from.total));
            // Without its own resistance: the same network, the branch taken out, a fault where it began.
            let mut without = drawn.clone();
            let (a, b, _) = without.branches.remove(k);
            for (node, bare) in [(a, through.forward_bare), (b, through.backward_bare)] {
                let net = without.network(&|v| v, drawn.nodes());
                let seen = net.thevenin(Corner::Low).unwrap();
                let alone = seen.fault_current(&format!("n{node}")).unwrap().map_or(0.0, Quantity::si);
                prop_assert!(close(bare.unwrap(), alone, alone.max(to.total)), "{bare:?} {alone}");
            }
        }
    }
}

/// A bridge where `definitions` 20 does not hold: two feeds of different voltage join in the middle, and a larger conductor
/// between them draws one of their loads down.
#[test]
fn in_a_mesh_a_larger_conductor_can_lower_a_voltage() {
    let bridge = |r: f64| {
        let mut net = Network::new();
        net.source("A", "a", RETURN, source(12.0, 0.0)).unwrap();
        for (id, from, to, r) in [("f1", "a", "p", 0.01), ("f2", "a", "q", 0.05), ("tie", "p", "q", r)] {
            net.branch(id, from, to, resistor(r)).unwrap();
        }
        net.load("lp", "p", RETURN, Load::new(Demand::Current(amperes(5.0)))).unwrap();
        net.load("lq", "q", RETURN, Load::new(Demand::Current(amperes(40.0)))).unwrap();
        let point = solve(&net);
        (volts_of(&point, "p"), volts_of(&point, "q"))
    };
    let (thin, thick) = (bridge(1.0), bridge(0.01));
    assert!(thick.0 < thin.0 - 0.1, "the load at p loses: {thin:?} {thick:?}");
    assert!(thick.1 > thin.1, "the load at q gains");
}

/// Two nodes: V = (E + sqrt(E² - 4 R P)) / 2, and nothing beyond P = E²/4R. Algebra.
#[test]
fn the_high_root_is_found_and_the_boundary_is_sharp() {
    for (emf, r) in [(12.0, 0.02), (12.8, 0.05), (24.0, 0.1), (48.0, 0.05)] {
        let largest = emf * emf / (4.0 * r);
        let two = |p: f64| {
            let mut net = Network::new();
            net.source("bank", "bank", RETURN, source(emf, 0.0)).unwrap();
            net.branch("run", "bank", "bow", resistor(r)).unwrap();
            net.load("thruster", "bow", RETURN, Load::new(Demand::Power(watts(p)))).unwrap();
            net
        };
        for share in [1e-6, 0.1, 0.5, 0.9, 0.99, 0.999, 0.999_999] {
            let p = share * largest;
            let v = volts_of(&solve(&two(p)), "bow");
            let high = 0.5 * (emf + (emf * emf - 4.0 * r * p).sqrt());
            assert!((v - high).abs() < 1e-7, "{share}: {v} {high}");
            assert!(v > 0.5 * emf);
        }
        for share in [1.000_001, 1.001, 2.0, 100.0] {
            let error = two(share * largest).solve(Corner::Low).unwrap_err();
            let Error::NoSolution { what, hint } = error else { panic!("{error}") };
            assert!(what.starts_with("load thruster at bow asks for"), "{what}");
            let most = orlop::units::show(watts(largest));
            assert!(what.contains(&format!("at most {most}")), "{what}: {most}");
            assert!(hint.contains("conductors"));
        }
        let net = two(1.0);
        let found = net.prepare(Corner::Low).unwrap().largest_power(0, &net.demands()).unwrap().unwrap();
        assert!((found.si() / largest - 1.0).abs() < 1e-8, "{found:?} {largest}");
    }
}
