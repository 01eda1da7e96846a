//! Packs as networks, at an instant and over time, against plain equations of all nodes and branches; and the laws of all networks.
//!
//! The reference knows nothing of ladders, grids or lanes: it writes Kirchhoff's and Ohm's laws for every node and every piece of metal
//! into one dense matrix and eliminates it, each step anew.

use orlop::Range;
use orlop::cell::{Cell, ChemistryId, CircuitState, CurveAt, EquivalentCircuit, Pair, StateOfCharge};
use orlop::pack::{Joined, Order, Pack, PackSharing, TakeOff, Tie, Wired, Wiring};
use orlop::units::{
    Current, Fraction, Quantity, Temperature, ampere_hours, amperes, farads, ohms, seconds, volts,
};
use proptest::prelude::*;

/// A piece of metal or a cell between two nodes; its current flows from the first to the second.
struct Piece {
    from: usize,
    to: usize,
    r: f64,
    cell: Option<usize>,
}

/// All pieces of a pack, in the order cells, bars or rails, series links, managers, and its terminals.
struct Plain {
    nodes: usize,
    pieces: Vec<Piece>,
    positive: usize,
    negative: usize,
}

impl Plain {
    fn node(&mut self) -> usize {
        self.nodes += 1;
        self.nodes - 1
    }

    fn piece(&mut self, from: usize, to: usize, r: f64, cell: Option<usize>) {
        self.pieces.push(Piece { from, to, r, cell });
    }

    fn row(&mut self, count: usize, r: f64) -> Vec<usize> {
        let nodes: Vec<usize> = (0..count).map(|_| self.node()).collect();
        nodes.windows(2).for_each(|w| self.piece(w[0], w[1], r, None));
        nodes
    }

    fn of(w: &Wiring) -> Self {
        let (rail, link, manager) = (w.rail_link.si(), w.series_link.si(), w.manager.si());
        let (tp, tn) = w.take_off.cells(w.parallel).unwrap();
        let mut own = Self { nodes: 0, pieces: Vec::new(), positive: 0, negative: 0 };
        match (w.order, w.joined) {
            (Order::SeriesFirst, _) => {
                let (minus, plus) = (own.row(w.parallel, rail), own.row(w.parallel, rail));
                for string in 0..w.parallel {
                    let mut at = minus[string];
                    for k in 0..w.series {
                        let next = own.node();
                        own.piece(at, next, 0.0, Some(string * w.series + k));
                        let after = if k + 1 < w.series { own.node() } else { plus[string] };
                        own.piece(next, after, if k + 1 < w.series { link } else { manager }, None);
                        at = after;
                    }
                }
                (own.negative, own.positive) = (minus[tn - 1], plus[tp - 1]);
            }
            (Order::ParallelFirst, joined) => {
                let mut below: Option<Vec<usize>> = None;
                for g in 0..w.series {
                    let minus = match (&below, joined) {
                        (Some(bar), Joined::EveryCell) => bar.clone(),
                        _ => own.row(w.parallel, rail),
                    };
                    if let (Some(before), Joined::Lead) = (&below, joined) {
                        own.piece(before[tp - 1], minus[tn - 1], link, None);
                    }
                    let plus = own.row(w.parallel, rail);
                    for k in 0..w.parallel {
                        let joint = if joined == Joined::EveryCell && g + 1 < w.series { link } else { 0.0 };
                        let post = own.node();
                        own.piece(minus[k], post, 0.0, Some(g * w.parallel + k));
                        own.piece(post, plus[k], joint, None);
                    }
                    if g == 0 {
                        own.negative = minus[tn - 1];
                    }
                    own.positive = plus[tp - 1];
                    below = Some(plus);
                }
                let terminal = own.node();
                own.piece(own.positive, terminal, manager, None);
                own.positive = terminal;
            }
        }
        own
    }

    /// Current of each piece and the voltage between the terminals: all nodes and all branches in one system.
    fn solve(&self, cell: impl Fn(usize) -> (f64, f64), load: f64) -> (Vec<f64>, f64) {
        let (nodes, pieces) = (self.nodes, self.pieces.len());
        let n = nodes + pieces;
        let mut a = vec![vec![0.0; n + 1]; n];
        for (k, p) in self.pieces.iter().enumerate() {
            let (e, r) = p.cell.map_or((0.0, p.r), &cell);
            // V_from + e - r i = V_to
            a[nodes + k][p.from] += 1.0;
            a[nodes + k][p.to] -= 1.0;
            a[nodes + k][nodes + k] = -r;
            a[nodes + k][n] = -e;
            a[p.from][nodes + k] += 1.0;
            a[p.to][nodes + k] -= 1.0;
        }
        a[self.positive][n] -= load;
        a[self.negative] = vec![0.0; n + 1];
        a[self.negative][self.negative] = 1.0;
        let x = eliminated(a);
        (x[nodes..].to_vec(), x[self.positive])
    }

    fn cells(&self) -> Vec<usize> {
        let mut found: Vec<(usize, usize)> =
            self.pieces.iter().enumerate().filter_map(|(at, p)| Some((p.cell?, at))).collect();
        found.sort_unstable();
        found.into_iter().map(|f| f.1).collect()
    }
}

/// Elimination with the largest pivot of each column.
fn eliminated(mut a: Vec<Vec<f64>>) -> Vec<f64> {
    let n = a.len();
    for k in 0..n {
        let best = (k..n).max_by(|x, y| a[*x][k].abs().total_cmp(&a[*y][k].abs())).unwrap();
        a.swap(k, best);
        let pivot = a[k].clone();
        for row in a.iter_mut().skip(k + 1).filter(|row| row[k] != 0.0) {
            let factor = row[k] / pivot[k];
            for (x, p) in row[k..].iter_mut().zip(&pivot[k..]) {
                *x -= factor * p;
            }
        }
    }
    let mut x = vec![0.0; n];
    for k in (0..n).rev() {
        x[k] = (a[k][n] - (k + 1..n).map(|j| a[k][j] * x[j]).sum::<f64>()) / a[k][k];
    }
    x
}

/// One step after another with the currents that hold in the middle of each; charge of all cells, currents of all cells in the last step.
fn plainly(wired: &Wired, start: f64, loads: &[f64], h: f64) -> (Vec<f64>, Vec<f64>) {
    let (plain, cells) = (Plain::of(wired.wiring()), wired.cells());
    let points: Vec<Vec<(f64, f64)>> = cells.iter().map(|c| c.curve().points().collect()).collect();
    let mut z = vec![start; cells.len()];
    let mut v = vec![[0.0; 2]; cells.len()];
    let mut i = Vec::new();
    let places = plain.cells();
    for &load in loads {
        let behind = |c: usize| {
            let cell = &cells[c];
            let at = points[c].windows(2).find(|w| z[c] <= w[1].0).unwrap();
            let slope = (at[1].1 - at[0].1) / (at[1].0 - at[0].0);
            let mut e = at[0].1 + slope * (z[c] - at[0].0);
            let mut r = cell.r0().si() + 0.5 * slope * h / cell.capacity().si();
            for (pair, v) in cell.pairs().iter().zip(&v[c]) {
                let left = (-0.5 * h / pair.time_constant().si()).exp();
                e -= v * left;
                r += pair.resistance().si() * (1.0 - left);
            }
            (e, r)
        };
        let all = plain.solve(behind, load).0;
        i = places.iter().map(|p| all[*p]).collect();
        for (c, cell) in cells.iter().enumerate() {
            let felt = if i[c] < 0.0 { i[c] * cell.coulombic_efficiency().value() } else { i[c] };
            z[c] -= felt * h / cell.capacity().si();
            for (pair, v) in cell.pairs().iter().zip(&mut v[c]) {
                let settled = i[c] * pair.resistance().si();
                *v = settled + (*v - settled) * (-h / pair.time_constant().si()).exp();
            }
        }
    }
    (z, i)
}

fn curve() -> CurveAt {
    ChemistryId::Lfp.chemistry().curve_at(Some("lfp-prismatic-52ah"), Temperature::celsius(25.0)).unwrap()
}

fn unequal(count: usize, seed: &[f64], pairs: usize, efficiency: f64) -> Vec<EquivalentCircuit> {
    (0..count)
        .map(|k| {
            let r = 0.5e-3 + 0.5e-3 * seed[count + k];
            let all = [
                Pair::new(ohms(0.4 * r), farads(40.0 / r)).unwrap(),
                Pair::new(ohms(0.3 * r), farads(900.0 / r)).unwrap(),
            ];
            let held = ampere_hours(9.0 + 2.0 * seed[k]);
            EquivalentCircuit::new(curve(), held, Fraction::new(efficiency), ohms(r), &all[..pairs]).unwrap()
        })
        .collect()
}

fn rested(cells: usize, share: f64) -> Vec<CircuitState> {
    vec![CircuitState::rested(StateOfCharge::new(share).unwrap()).unwrap(); cells]
}

/// All three ways to tie, with links of every size, ideal ones included.
fn wiring(most: usize) -> impl Strategy<Value = Wiring> {
    let kind = prop::sample::select(vec![
        (Order::SeriesFirst, Joined::Lead),
        (Order::ParallelFirst, Joined::Lead),
        (Order::ParallelFirst, Joined::EveryCell),
    ]);
    let link = || prop_oneof![Just(0.0), 1e-6..0.3e-3_f64];
    (1..=most, 1..=5_usize, kind, (0..5_usize, 0..5_usize), (link(), link(), link())).prop_map(
        |(series, parallel, (order, joined), (positive, negative), (rail, link, manager))| Wiring {
            take_off: TakeOff::At { positive: positive % parallel + 1, negative: negative % parallel + 1 },
            joined,
            rail_link: ohms(rail),
            series_link: ohms(link),
            manager: ohms(manager),
            ..Wiring::new(series, parallel, order)
        },
    )
}

fn si(values: &[Current]) -> Vec<f64> {
    values.iter().map(|v| v.si()).collect()
}

fn equal_cells(w: Wiring, load: f64) -> PackSharing {
    let count = w.series * w.parallel;
    let cell = unequal(1, &[0.5, 0.5], 0, 1.0);
    Wired::new(w, &vec![cell[0].clone(); count]).unwrap().share(&rested(count, 0.5), amperes(load)).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn an_instant_is_the_solution_of_all_nodes(
        w in wiring(4), seed in prop::collection::vec(0.0..1.0_f64, 60), load in -200.0..200.0_f64,
    ) {
        let count = w.series * w.parallel;
        let cells = unequal(count, &seed, 0, 1.0);
        let states: Vec<CircuitState> = (0..count).map(|k| rested(1, 0.2 + 0.6 * seed[2 * count.min(20) + k % 20])[0]).collect();
        let wired = Wired::new(w, &cells).unwrap();
        let shared = wired.share(&states, amperes(load)).unwrap();
        let plain = Plain::of(&w);
        let (all, voltage) = plain.solve(|c| (cells[c].curve().voltage(states[c].charge().share()), cells[c].r0().si()), load);
        prop_assert!((shared.voltage.si() / voltage - 1.0).abs() < 1e-9);
        let each = if w.order == Order::SeriesFirst { w.series } else { 1 };
        let currents = si(&shared.currents);
        for (c, at) in plain.cells().into_iter().enumerate() {
            prop_assert!((all[at] - currents[c / each]).abs() < 1e-7, "{} {}", all[at], currents[c / each]);
        }
        // Every piece of metal carries what it carries in the plain network, and heats as it does there.
        let heat: f64 = plain.pieces.iter().zip(&all).filter(|(p, _)| p.cell.is_none()).map(|(p, i)| i * i * p.r).sum();
        prop_assert!((shared.link_heat_w.total() - heat).abs() < 1e-9 * (1.0 + heat), "{} {heat}", shared.link_heat_w.total());
        let mut metal: Vec<f64> = plain.pieces.iter().zip(&all).filter(|(p, _)| p.cell.is_none() && p.r > 0.0).map(|(_, i)| i.abs()).collect();
        let resistance = |name: &str| match name { "series" => w.series_link, "manager" => w.manager, _ => w.rail_link };
        let mut ours: Vec<f64> = shared.link_current_a.lists().iter()
            .filter(|(name, _)| resistance(name).si() > 0.0)
            .flat_map(|(_, list)| list.iter().map(|i| i.abs())).collect();
        metal.sort_by(f64::total_cmp);
        ours.sort_by(f64::total_cmp);
        prop_assert_eq!(metal.len(), ours.len());
        for (a, b) in metal.iter().zip(&ours) {
            prop_assert!((a - b).abs() < 1e-7, "{a} {b}");
        }
    }

    #[test]
    fn what_the_cells_give_is_delivered_or_heat(
        w in wiring(6), seed in prop::collection::vec(0.0..1.0_f64, 90), load in -200.0..200.0_f64,
    ) {
        let count = w.series * w.parallel;
        let cells = unequal(count, &seed, 0, 1.0);
        let states: Vec<CircuitState> = (0..count).map(|k| rested(1, 0.1 + 0.8 * seed[60 + k])[0]).collect();
        let shared = Wired::new(w, &cells).unwrap().share(&states, amperes(load)).unwrap();
        let each = if w.order == Order::SeriesFirst { w.series } else { 1 };
        let given: f64 = (0..count)
            .map(|c| cells[c].curve().voltage(states[c].charge().share()) * shared.currents[c / each].si())
            .sum();
        let used = shared.voltage.si() * load + shared.heat().si();
        prop_assert!((given - used).abs() < 1e-9 * (1.0 + given.abs() + shared.heat().si()), "{given} {used}");
    }

    #[test]
    fn with_ideal_bars_equal_cells_share_equally(w in wiring(6), load in 1.0..300.0_f64) {
        let shared = equal_cells(Wiring { rail_link: ohms(0.0), ..w }, load);
        for i in &shared.currents {
            prop_assert!((i.si() * w.parallel as f64 / load - 1.0).abs() < 1e-9);
        }
        prop_assert!(shared.excess(w.parallel).unwrap().value().abs() < 1e-9);
    }

    #[test]
    fn what_is_symmetric_shares_symmetrically(w in wiring(6), load in 1.0..300.0_f64) {
        let (order, p) = (w.order, w.parallel);
        // Leads in the middle of an odd row mirror it; on the diagonal the pack is turned half round, ends and all.
        let middle = equal_cells(Wiring { parallel: p | 1, take_off: TakeOff::Middle, ..w }, load);
        for row in middle.currents.chunks(p | 1) {
            for (a, b) in row.iter().zip(row.iter().rev()) {
                prop_assert!((a.si() - b.si()).abs() < 1e-9 * load);
            }
        }
        // Turned so, a joint between a cell and the bar above it would lie below the cell: here without joints.
        let diagonal = equal_cells(Wiring { take_off: TakeOff::Diagonal, series_link: ohms(0.0), ..w }, load);
        let turned: Vec<Current> = diagonal.currents.iter().rev().copied().collect();
        for (a, b) in diagonal.currents.iter().zip(&turned) {
            prop_assert!((a.si() - b.si()).abs() < 1e-9 * load, "{order:?}");
        }
    }

    #[test]
    fn many_bars_never_share_worse_than_one_lead(series in 1..6_usize, parallel in 1..6_usize, rail in 1e-6..0.3e-3_f64) {
        let w = |joined| Wiring {
            take_off: TakeOff::SameEnd, joined, rail_link: ohms(rail), ..Wiring::new(series, parallel, Order::ParallelFirst)
        };
        let excess = |joined| equal_cells(w(joined), 100.0).excess(parallel).unwrap().value();
        prop_assert!(excess(Joined::EveryCell) <= excess(Joined::Lead) + 1e-12);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// To 1e-9 of what the cells hold and carry, through points of the curve, charge and discharge.
    #[test]
    fn a_run_is_what_plain_steps_come_to(
        w in wiring(9), seed in prop::collection::vec(0.0..1.0_f64, 90), load in 5.0..25.0_f64, pairs in 0..=2_usize,
        efficiency in 0.95..1.0_f64,
    ) {
        let w = Wiring { parallel: w.parallel.min(3), take_off: TakeOff::At { positive: 1, negative: w.parallel.min(3) }, ..w };
        let count = w.series * w.parallel;
        let wired = Wired::new(w, &unequal(count, &seed, pairs, efficiency)).unwrap();
        let loads: Vec<f64> = (0..60).map(|k| load * w.parallel as f64 * if k % 20 < 12 { 1.0 } else { -0.7 }).collect();
        let (z, i) = plainly(&wired, 0.62, &loads, 20.0);
        let course = wired.simulate(&rested(count, 0.62), &loads, seconds(20.0), 60).unwrap();
        prop_assert!(course.stopped.is_none());
        for (a, b) in course.charge.last().unwrap().iter().zip(&z) {
            prop_assert!((a - b).abs() < 1e-9, "{a} {b}");
        }
        // Charge that moved within the last step is the current that was taken in it.
        let before = wired.simulate(&rested(count, 0.62), &loads[..59], seconds(20.0), 59).unwrap();
        for (c, i) in i.iter().enumerate() {
            let moved = before.charge.last().unwrap()[c] - course.charge.last().unwrap()[c];
            let felt = if *i < 0.0 { i * efficiency } else { *i };
            prop_assert!((moved * wired.cells()[c].capacity().si() / 20.0 - felt).abs() < 1e-6 * load, "{c}");
        }
    }

    #[test]
    fn a_run_keeps_charge_and_energy(
        w in wiring(6), seed in prop::collection::vec(0.0..1.0_f64, 90), load in 5.0..15.0_f64,
    ) {
        let count = w.series * w.parallel;
        let cells = unequal(count, &seed, 0, 1.0);
        let wired = Wired::new(w, &cells).unwrap();
        let course = wired.simulate(&rested(count, 0.6), &vec![load * w.parallel as f64; 600], seconds(1.0), 600).unwrap();
        let states = cells.iter().zip(&course.states);
        let energy: f64 = states
            .map(|(cell, s)| cell.capacity().si() * (cell.curve().integral(0.6) - cell.curve().integral(s.charge().share())))
            .sum();
        let heat = course.cell_heat_j.iter().sum::<f64>() + course.link_heat_j.total();
        prop_assert!((energy - course.delivered.si() - heat).abs() < 2e-3 * heat + 1e-7 * energy);
        prop_assert_eq!(course.link_heat.si(), course.link_heat_j.total());
        let sizes = course.link_heat_j.lists().map(|(_, list)| list.len());
        let (s, p) = (w.series, w.parallel);
        prop_assert_eq!(sizes, match (w.order, w.joined) {
            (Order::SeriesFirst, _) => [p - 1, p - 1, 0, p * (s - 1), p],
            (_, Joined::Lead) => [s * (p - 1), s * (p - 1), 0, s - 1, 1],
            (_, Joined::EveryCell) => [0, 0, (s + 1) * (p - 1), p * (s - 1), 1],
        });
    }
}

/// Groups that are solved side by side, with and without a place that stays idle.
#[test]
fn any_number_of_groups_goes_side_by_side() {
    for series in [4, 8, 9, 12, 15, 16, 17, 23] {
        let wiring = Wiring {
            take_off: TakeOff::At { positive: 2, negative: 1 },
            rail_link: ohms(0.05e-3),
            series_link: ohms(0.04e-3),
            ..Wiring::new(series, 2, Order::ParallelFirst)
        };
        let seed: Vec<f64> = (0..4 * series).map(|k| 0.5 + 0.5 * (1.3 * k as f64).sin()).collect();
        let wired = Wired::new(wiring, &unequal(2 * series, &seed, 1, 0.99)).unwrap();
        let loads = [20.0, 30.0, -25.0, 10.0, 40.0, 35.0];
        let (z, _) = plainly(&wired, 0.62, &loads, 60.0);
        let course = wired.simulate(&rested(2 * series, 0.62), &loads, seconds(60.0), 6).unwrap();
        for (a, b) in course.charge.last().unwrap().iter().zip(&z) {
            assert!((a - b).abs() < 1e-9, "{series}: {a} {b}");
        }
    }
}

fn bank(order: Order) -> Pack {
    let cell = Cell::new(ChemistryId::Lfp, ampere_hours(230.0))
        .unwrap()
        .with_resistance_1khz(Range::exactly(ohms(0.18e-3)))
        .unwrap()
        .with_resistance_dc(Range::exactly(ohms(0.55e-3)))
        .unwrap();
    Pack::new(cell, 4, 3, order).unwrap().with_link(Range::exactly(ohms(0.06e-3))).unwrap()
}

/// One group alone is a row of cells, however groups would be joined: the ladder checked by published values.
#[test]
fn a_group_alone_is_a_ladder() {
    let half = StateOfCharge::new(0.5).unwrap();
    let warm = Temperature::celsius(25.0);
    let cell = *bank(Order::ParallelFirst).cell();
    let link = Range::exactly(ohms(0.08e-3));
    let pack = Pack::new(cell, 1, 4, Order::ParallelFirst).unwrap().with_link(link).unwrap();
    let row =
        orlop::pack::share_current(&[cell; 4], link, TakeOff::SameEnd, amperes(200.0), half, warm).unwrap();
    for joined in Joined::ALL {
        let shared = pack.share(&[], Tie::new(TakeOff::SameEnd, joined), amperes(200.0), half, warm).unwrap();
        for (whole, part) in [(&shared.closing, &row.closing), (&shared.sustained, &row.sustained)] {
            for (a, b) in whole.currents.iter().zip(&part.currents) {
                assert!((a.si() - b.si()).abs() < 1e-9);
            }
            assert!((whole.heat().si() - part.heat().si()).abs() < 1e-9);
        }
    }
}

/// Managers watch a grid as they watch groups: the first group that leaves the window stops all.
#[test]
fn a_manager_stops_a_grid() {
    let mut cells = unequal(12, &[0.5; 24], 1, 1.0);
    cells[7] = unequal(1, &[-2.0, 0.5], 1, 1.0).remove(0);
    let wiring = Wiring {
        joined: Joined::EveryCell,
        rail_link: ohms(0.02e-3),
        window: Some(Range::new(volts(2.8), volts(3.65))),
        ..Wiring::new(4, 3, Order::ParallelFirst)
    };
    let course = Wired::new(wiring, &cells)
        .unwrap()
        .simulate(&rested(12, 0.9), &[30.0; 7200], seconds(1.0), 100)
        .unwrap();
    assert_eq!((course.opened.len(), course.opened[0].manager), (1, 1));
    assert_eq!(Some(course.opened[0].at), course.stopped);
    // The group of the small cell (the third) or that cell itself.
    assert!([3, 8].contains(&course.opened[0].cell), "{:?}", course.opened);
}

#[test]
fn bad_ties_are_refused() {
    let state = (StateOfCharge::new(0.5).unwrap(), Temperature::celsius(25.0));
    let ask = |pack: &Pack, tie: Tie, amps: f64| pack.share(&[], tie, amperes(amps), state.0, state.1);
    let every = Tie::new(TakeOff::Diagonal, Joined::EveryCell);
    let strings = ask(&bank(Order::SeriesFirst), every, 10.0).unwrap_err().to_string();
    assert!(strings.contains("joined") && strings.contains("buses"), "{strings}");
    let groups = bank(Order::ParallelFirst);
    assert!(ask(&groups, every, f64::NAN).is_err());
    let nowhere = Tie::new(TakeOff::At { positive: 4, negative: 1 }, Joined::EveryCell);
    assert!(ask(&groups, nowhere, 10.0).unwrap_err().to_string().contains("from 1 to 3"));
    for bad in [-1e-6, f64::NAN, f64::INFINITY] {
        assert_eq!(every.with_bar(ohms(bad)).unwrap_err().code(), "input");
    }
    let few = groups.share(&[*groups.cell(); 5], every, amperes(1.0), state.0, state.1);
    assert!(few.unwrap_err().to_string().contains("12"));
    let unknown = Pack::new(*groups.cell(), 2, 2, Order::ParallelFirst).unwrap();
    assert!(ask(&unknown, every, 1.0).unwrap_err().to_string().contains("link"));
    assert!(Joined::parse("nowhere", "joined").unwrap_err().to_string().contains("every-cell"));
}
