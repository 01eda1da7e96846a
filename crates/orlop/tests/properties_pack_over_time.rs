//! Packs of unequal cells over time: balances, scaling, the knee, what opens and what stops.

use orlop::Range;
use orlop::cell::{ChemistryId, CircuitState, CurveAt, EquivalentCircuit, Pair, StateOfCharge};
use orlop::pack::{Course, Order, TakeOff, Why, Wired, Wiring};
use orlop::units::{Fraction, Quantity, Temperature, ampere_hours, amperes, farads, ohms, seconds, volts};
use proptest::prelude::*;

fn near(a: f64, b: f64, scale: f64) -> bool {
    (a - b).abs() <= 1e-9 * scale.max(1e-12)
}

fn curve() -> CurveAt {
    ChemistryId::Lfp.chemistry().curve_at(Some("lfp-prismatic-52ah"), Temperature::celsius(25.0)).unwrap()
}

fn circuit(held: f64, r: f64, pairs: usize) -> EquivalentCircuit {
    let all = [
        Pair::new(ohms(0.4 * r), farads(40.0 / r)).unwrap(),
        Pair::new(ohms(0.3 * r), farads(900.0 / r)).unwrap(),
    ];
    EquivalentCircuit::new(curve(), ampere_hours(held), Fraction::new(1.0), ohms(r), &all[..pairs]).unwrap()
}

fn rested(cells: usize, share: f64) -> Vec<CircuitState> {
    vec![CircuitState::rested(StateOfCharge::new(share).unwrap()).unwrap(); cells]
}

fn tied(series: usize, parallel: usize, order: Order) -> Wiring {
    Wiring {
        take_off: TakeOff::SameEnd,
        rail_link: ohms(0.05e-3),
        series_link: ohms(0.03e-3),
        manager: ohms(0.2e-3),
        ..Wiring::new(series, parallel, order)
    }
}

fn unequal(count: usize, seed: &[f64], pairs: usize) -> Vec<EquivalentCircuit> {
    (0..count).map(|k| circuit(90.0 + 20.0 * seed[k], 0.5e-3 + 0.5e-3 * seed[count + k], pairs)).collect()
}

fn order() -> impl Strategy<Value = Order> {
    prop::sample::select(Order::ALL.to_vec())
}

/// Energy that left the open-circuit curves, and charge that left the cells.
fn drawn(cells: &[EquivalentCircuit], from: f64, states: &[CircuitState]) -> (f64, f64) {
    let mut sums = (0.0, 0.0);
    for (cell, state) in cells.iter().zip(states) {
        let to = state.charge().share();
        sums.0 += cell.capacity().si() * (cell.curve().integral(from) - cell.curve().integral(to));
        sums.1 += cell.capacity().si() * (from - to);
    }
    sums
}

fn stored(cells: &[EquivalentCircuit], states: &[CircuitState]) -> f64 {
    let of = |(cell, state): (&EquivalentCircuit, &CircuitState)| -> f64 {
        let pair =
            |(k, p): (usize, &Pair)| 0.5 * p.capacitance().si() * state.pair_voltage(k).unwrap().si().powi(2);
        cell.pairs().iter().enumerate().map(pair).sum()
    };
    cells.iter().zip(states).map(of).sum()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn charge_and_energy_balance(
        series in 1..4_usize, parallel in 1..5_usize, order in order(), pairs in 0..=2_usize,
        seed in prop::collection::vec(0.0..1.0_f64, 24), load in -120.0..120.0_f64,
    ) {
        let cells = unequal(series * parallel, &seed, pairs);
        let pack = Wired::new(tied(series, parallel, order), &cells).unwrap();
        let load = load * parallel as f64;
        let loads: Vec<f64> = (0..900).map(|k| if k / 300 == 1 { -0.5 * load } else { load }).collect();
        let course = pack.simulate(&rested(cells.len(), 0.5), &loads, seconds(1.0), 300).unwrap();
        prop_assert!(course.stopped.is_none());
        let (energy, charge) = drawn(&cells, 0.5, &course.states);
        // Every cell of a row passes the whole charge.
        let passed: f64 = loads.iter().sum();
        prop_assert!((charge - passed * series as f64).abs() < 1e-6 * (1.0 + passed.abs()), "{charge} {passed}");
        let heat = course.cell_heat_j.iter().sum::<f64>() + course.link_heat.si();
        let left = energy - course.delivered.si() - heat - stored(&cells, &course.states);
        // The trapezium under a curve that bends within a step, and the first second of the pairs.
        prop_assert!(left.abs() < 2e-3 * heat + 1e-6 * energy.abs() + 1e-6, "{left} of {energy}, heat {heat}");
    }

    #[test]
    fn rates_scale(
        order in order(), seed in prop::collection::vec(0.0..1.0_f64, 12), load in 50.0..300.0_f64, factor in 0.1..10.0_f64,
    ) {
        let run = |k: f64| {
            let cells: Vec<_> = (0..6).map(|c| circuit(k * (90.0 + 20.0 * seed[c]), (0.5e-3 + 0.5e-3 * seed[6 + c]) / k, 1)).collect();
            let wiring = Wiring {
                take_off: TakeOff::Diagonal, rail_link: ohms(0.05e-3 / k), series_link: ohms(0.03e-3 / k), manager: ohms(0.0),
                ..Wiring::new(2, 3, order)
            };
            Wired::new(wiring, &cells).unwrap().simulate(&rested(6, 0.6), &[k * load; 600], seconds(1.0), 100).unwrap()
        };
        let (one, scaled) = (run(1.0), run(factor));
        for (a, b) in one.voltage_v.iter().zip(&scaled.voltage_v) {
            prop_assert!(near(*a, *b, 10.0));
        }
        for (a, b) in one.branch_current_a.iter().flatten().zip(scaled.branch_current_a.iter().flatten()) {
            prop_assert!((a * factor - b).abs() < 1e-7 * factor * load, "{a} {b}");
        }
    }

    #[test]
    fn the_order_of_groups_is_nothing(seed in prop::collection::vec(0.0..1.0_f64, 24), load in -100.0..300.0_f64) {
        let run = |cells: &[EquivalentCircuit]| {
            Wired::new(tied(4, 3, Order::ParallelFirst), cells).unwrap().simulate(&rested(12, 0.5), &[load; 300], seconds(2.0), 50).unwrap()
        };
        let cells = unequal(12, &seed, 1);
        let turned: Vec<_> = cells.chunks(3).rev().flatten().cloned().collect();
        for (a, b) in run(&cells).voltage_v.iter().zip(&run(&turned).voltage_v) {
            prop_assert!(near(*a, *b, 10.0));
        }
    }

    #[test]
    fn with_ideal_links_members_may_change_places(seed in prop::collection::vec(0.0..1.0_f64, 24), load in 10.0..300.0_f64, order in order()) {
        let run = |cells: &[EquivalentCircuit]| -> Course {
            Wired::new(Wiring::new(3, 4, order), cells).unwrap().simulate(&rested(12, 0.5), &[load; 300], seconds(2.0), 50).unwrap()
        };
        let cells = unequal(12, &seed, 0);
        let each = if order == Order::ParallelFirst { 4 } else { 12 };
        let turned: Vec<_> = cells.chunks(each).flat_map(|part| part.iter().rev()).cloned().collect();
        // Strings reversed as a whole change places, and so do the cells within each: the voltage stays.
        for (a, b) in run(&cells).voltage_v.iter().zip(&run(&turned).voltage_v) {
            prop_assert!(near(*a, *b, 10.0));
        }
    }

    #[test]
    fn a_pack_of_equal_cells_is_one_cell(series in 1..4_usize, parallel in 1..4_usize, order in order(), load in -80.0..80.0_f64) {
        let cell = circuit(100.0, 0.6e-3, 2);
        let cells = vec![cell.clone(); series * parallel];
        let loads = vec![load * parallel as f64; 600];
        let pack = Wired::new(Wiring::new(series, parallel, order), &cells).unwrap();
        let course = pack.simulate(&rested(cells.len(), 0.5), &loads, seconds(1.0), 1).unwrap();
        let alone = cell.simulate(&rested(1, 0.5)[0], &[load; 600], seconds(1.0)).unwrap();
        for (a, b) in course.voltage_v[1..].iter().zip(&alone.voltage_v) {
            prop_assert!(near(*a, b * series as f64, 10.0), "{a} {b}");
        }
    }

    #[test]
    fn half_steps_bring_a_quarter_of_the_error(seed in prop::collection::vec(0.0..1.0_f64, 8)) {
        // A straight curve, so that no point of it lies within a step.
        let straight = CurveAt::from_points(&[(0.0, 3.0), (1.0, 4.0)]).unwrap();
        let cells: Vec<_> = (0..4)
            .map(|k| {
                let (r, held) = (ohms(0.5e-3 + 1e-3 * seed[k]), ampere_hours(20.0 + 5.0 * seed[4 + k]));
                EquivalentCircuit::new(straight.clone(), held, Fraction::new(1.0), r, &[]).unwrap()
            })
            .collect();
        let pack = Wired::new(tied(1, 4, Order::ParallelFirst), &cells).unwrap();
        let run = |steps: usize| {
            let loads = vec![100.0; steps];
            pack.simulate(&rested(4, 0.9), &loads, seconds(480.0 / steps as f64), steps / 8).unwrap().branch_current_a
        };
        let fine = run(7680);
        let off = |steps: usize| {
            let of = run(steps);
            of.iter().flatten().zip(fine.iter().flatten()).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
        };
        let (coarse, half) = (off(16), off(32));
        prop_assert!(half < 0.35 * coarse + 1e-7, "{coarse} {half}");
    }
}

/// With unequal resistances the better cell leads on the flat, is empty first, and near the knee the other takes over.
#[test]
fn near_the_knee_the_sharing_reverses() {
    let cells = [circuit(100.0, 0.5e-3, 0), circuit(100.0, 0.8e-3, 0)];
    let pack = Wired::new(Wiring::new(1, 2, Order::ParallelFirst), &cells).unwrap();
    let course = pack.simulate(&rested(2, 1.0), &[100.0; 7200], seconds(1.0), 60).unwrap();
    let lead: Vec<f64> = course.branch_current_a.iter().map(|i| i[0] - i[1]).collect();
    assert!(lead[5] > 5.0, "{lead:?}");
    assert!(lead.iter().any(|d| *d < -5.0), "{lead:?}");
    let at = |k: usize| course.charge[k][1] - course.charge[k][0];
    assert!(at(course.charge.len() / 2) > 0.0);
}

/// A string whose weak cell is empty opens, and the others take its part; all the current is always carried.
#[test]
fn a_string_opens_and_the_others_go_on() {
    let mut cells = vec![circuit(100.0, 0.6e-3, 1); 12];
    cells[5] = circuit(60.0, 0.6e-3, 1);
    let window = Some(Range::new(volts(2.8), volts(3.65)));
    let wiring = Wiring { window, ..tied(4, 3, Order::SeriesFirst) };
    let pack = Wired::new(wiring, &cells).unwrap();
    let course = pack.simulate(&rested(12, 0.9), &[150.0; 7200], seconds(1.0), 30).unwrap();
    assert_eq!((course.opened[0].manager, course.opened[0].cell), (2, 6));
    assert!(matches!(course.opened[0].why, Why::Empty | Why::Low));
    assert_eq!(course.opened.len(), 3, "{:?}", course.opened);
    assert!(course.stopped.is_some() && course.stopped.unwrap() > course.opened[0].at);
    for (t, i) in course.time_s.iter().zip(&course.branch_current_a) {
        assert!((i.iter().sum::<f64>() - 150.0).abs() < 1e-9);
        assert_eq!(i[1] == 0.0, *t > course.opened[0].at.si(), "{t}");
    }
    // Parallel first the same cells stop all together.
    let pairs = Wired::new(Wiring { window, ..tied(4, 3, Order::ParallelFirst) }, &cells).unwrap();
    let course = pairs.simulate(&rested(12, 0.9), &[150.0; 7200], seconds(1.0), 30).unwrap();
    assert_eq!(course.opened.len(), 1);
    assert_eq!(Some(course.opened[0].at), course.stopped);
}

/// Without a window the run stops just when the first cell is empty.
#[test]
fn the_run_stops_when_the_first_cell_is_empty() {
    let cells = [circuit(100.0, 0.6e-3, 0), circuit(80.0, 0.6e-3, 0)];
    let pack = Wired::new(Wiring::new(2, 1, Order::SeriesFirst), &cells).unwrap();
    let course = pack.simulate(&rested(2, 0.5), &[100.0; 3600], seconds(7.0), 1000).unwrap();
    assert!((course.stopped.unwrap().si() - 0.5 * 80.0 * 36.0).abs() < 1e-6, "{:?}", course.stopped);
    assert_eq!(course.states[1].charge(), StateOfCharge::EMPTY);
    assert!((course.states[0].charge().share() - 0.1).abs() < 1e-9);
}

/// Cells at different charge even out at no load, and lose nothing on the way.
#[test]
fn cells_even_out_at_no_load() {
    let straight = CurveAt::from_points(&[(0.0, 3.0), (1.0, 3.5)]).unwrap();
    let cell =
        EquivalentCircuit::new(straight, ampere_hours(100.0), Fraction::new(1.0), ohms(1e-3), &[]).unwrap();
    let pack = Wired::new(Wiring::new(1, 2, Order::ParallelFirst), &[cell.clone(), cell]).unwrap();
    let states = [rested(1, 0.8)[0], rested(1, 0.2)[0]];
    // 0.3 V over 2 mohm at closing.
    let i = pack.currents(&states, amperes(0.0)).unwrap();
    assert!((i[0].si() - 150.0).abs() < 1e-9 && (i[1].si() + 150.0).abs() < 1e-9);
    let course = pack.simulate(&states, &[0.0; 20_000], seconds(1.0), 1000).unwrap();
    for state in &course.states {
        assert!((state.charge().share() - 0.5).abs() < 1e-5, "{:?}", course.states);
    }
    // The time constant is R Q/(2 a) with both resistances: exp(-t 2 a/(2 R Q)).
    let tau: f64 = 2e-3 * 360_000.0 / (2.0 * 0.5);
    let expected = 150.0 * (-1000.0 / tau).exp();
    assert!((course.branch_current_a[1][0] - expected).abs() < 1e-3, "{expected}");
}

#[test]
fn bad_networks_are_refused() {
    let cells = vec![circuit(100.0, 1e-3, 0); 4];
    let wiring = Wiring::new(2, 2, Order::ParallelFirst);
    assert!(Wired::new(wiring, &cells[..3]).unwrap_err().to_string().contains("2 x 2 cells"));
    for bad in [
        Wiring { series: 0, ..wiring },
        Wiring { parallel: 0, ..wiring },
        Wiring { rail_link: ohms(-1.0), ..wiring },
        Wiring { series_link: ohms(f64::NAN), ..wiring },
        Wiring { manager: ohms(f64::INFINITY), ..wiring },
        Wiring { take_off: TakeOff::At { positive: 3, negative: 1 }, ..wiring },
        Wiring { window: Some(Range::new(volts(-1.0), volts(3.6))), ..wiring },
    ] {
        assert_eq!(Wired::new(bad, &cells).unwrap_err().code(), "input", "{bad}");
    }
    let pack = Wired::new(wiring, &cells).unwrap();
    let start = rested(4, 0.5);
    assert!(pack.simulate(&start[..3], &[1.0], seconds(1.0), 1).is_err());
    assert!(
        pack.simulate(&start, &[1.0, f64::NAN], seconds(1.0), 1).unwrap_err().to_string().contains("place 1")
    );
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(pack.simulate(&start, &[1.0], seconds(bad), 1).is_err());
    }
    assert!(pack.simulate(&start, &[1.0], seconds(1.0), 0).is_err());
    assert!(pack.currents(&start, amperes(f64::NAN)).is_err());
    assert_eq!(pack.simulate(&start, &[], seconds(1.0), 1).unwrap().time_s, [0.0]);
    for points in [
        &[][..],
        &[(0.0, 3.0)][..],
        &[(0.0, 3.0), (0.5, 3.2)][..],
        &[(0.0, 3.0), (0.5, 3.2), (0.5, 3.3), (1.0, 3.4)][..],
        &[(0.0, 3.2), (1.0, 3.1)][..],
        &[(0.0, f64::NAN), (1.0, 3.1)][..],
        &[(0.0, -3.0), (1.0, 3.1)][..],
    ] {
        assert_eq!(CurveAt::from_points(points).unwrap_err().code(), "input", "{points:?}");
    }
}
