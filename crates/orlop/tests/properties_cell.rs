//! What must hold for any cell, whatever the tables say.

use orlop::cell::ageing::{AgeingModel, CycleLife, Cycling, Duty, StatedLife, Storage, life, rainflow};
use orlop::cell::{
    Cell, Chemistry, ChemistryId, CircuitState, EquivalentCircuit, FaultConditions, KineticModel, Method,
    Pair, Permission, Peukert, Rate, Size, StateOfCharge, TwoPairs,
};
use orlop::units::{
    Fraction, Quantity, Temperature, ampere_hours, amperes, coulombs, farads, joules, kilograms, millimetres,
    ohms, seconds, volts,
};
use orlop::{Range, Silent, Working};
use proptest::prelude::*;

fn id() -> impl Strategy<Value = ChemistryId> {
    prop::sample::select(ChemistryId::ALL.to_vec())
}

fn celsius(t: f64) -> Temperature {
    Temperature::celsius(t)
}

fn soc(share: f64) -> StateOfCharge {
    StateOfCharge::new(share).unwrap()
}

/// A temperature at which every curve of the chemistry is known.
fn mild() -> impl Strategy<Value = f64> {
    -9.0..45.0_f64
}

fn circuit(chemistry: ChemistryId, pairs: usize) -> EquivalentCircuit {
    let curve = chemistry.chemistry().curve_at(None, celsius(25.0)).unwrap();
    let all =
        [Pair::new(ohms(0.2e-3), farads(150_000.0)).unwrap(), Pair::new(ohms(0.15e-3), farads(6e6)).unwrap()];
    EquivalentCircuit::new(curve, ampere_hours(100.0), Fraction::new(1.0), ohms(0.3e-3), &all[..pairs])
        .unwrap()
}

fn every_curve(check: impl Fn(&'static Chemistry, &str)) {
    for &id in ChemistryId::ALL {
        for curve in id.chemistry().curves() {
            check(id.chemistry(), curve.id());
        }
    }
}

#[test]
fn every_chemistry_is_whole() {
    for &id in ChemistryId::ALL {
        let c = id.chemistry();
        let window = c.voltage_window();
        assert!(
            window.low() < Some(c.nominal_voltage.low()) && Some(c.nominal_voltage.high()) < window.high()
        );
        assert!(c.charge_from.high() < c.charge_to.low() && c.discharge_from.high() < c.discharge_to.low());
        for share in [&c.coulombic_efficiency, &c.energy_efficiency] {
            assert!(share.low().value() > 0.5 && share.high().value() <= 1.0, "{}", id.word());
        }
        assert!(c.energy_efficiency.high() <= c.coulombic_efficiency.high());
        assert!(c.ten_seconds_over_1khz.low().get() >= 1.0 && c.aged_resistance.low().get() >= 1.0);
        assert!(c.peukert.low().get() >= 1.0);
        assert!(!c.gas.is_empty());
        assert!(!c.curves().is_empty());
    }
}

#[test]
fn published_points_come_back() {
    every_curve(|chemistry, curve| {
        let own = chemistry.curve(curve).unwrap().measured().low().unwrap();
        let at = chemistry.curve_at(Some(curve), own).unwrap();
        assert_eq!(at.points().next().unwrap().0, 0.0, "{curve}");
        assert_eq!(at.points().last().unwrap().0, 1.0, "{curve}");
        for (s, v) in at.points() {
            let rest = chemistry.open_circuit_recorded(Some(curve), soc(s), own, &mut Silent).unwrap();
            assert!((rest.voltage.si() - v).abs() < 1e-12, "{curve} at {s}");
        }
    });
}

proptest! {
    #[test]
    fn every_curve_rises_with_charge(a in 0.0..1.0_f64, b in 0.0..1.0_f64, t in mild()) {
        every_curve(|chemistry, curve| {
            let at = chemistry.curve_at(Some(curve), celsius(t)).unwrap();
            let (low, high) = (a.min(b), a.max(b));
            assert!(at.voltage(low) <= at.voltage(high), "{curve} {t} {low} {high}");
            assert!(at.slope(low) >= 0.0, "{curve}");
        });
    }

    #[test]
    fn between_temperatures_the_voltage_is_between(s in 0.0..=1.0_f64, w in 0.0..1.0_f64) {
        let lfp = ChemistryId::Lfp.chemistry();
        let at = |t: f64| lfp.open_circuit(soc(s), celsius(t)).unwrap().voltage.si();
        for pair in [-10.0, 0.0, 10.0, 15.0, 25.0, 35.0, 45.0].windows(2) {
            let (a, b) = (at(pair[0]), at(pair[1]));
            let middle = at(pair[0] + w * (pair[1] - pair[0]));
            prop_assert!(middle >= a.min(b) - 1e-12 && middle <= a.max(b) + 1e-12);
        }
    }

    #[test]
    fn the_spread_holds_every_curve(id in id(), s in 0.0..=1.0_f64, t in mild()) {
        let c = id.chemistry();
        let rest = c.open_circuit(soc(s), celsius(t)).unwrap();
        let (low, high) = (rest.spread.low().unwrap(), rest.spread.high().unwrap());
        for curve in c.curves() {
            let (from, to) = (curve.measured().low().unwrap(), curve.measured().high().unwrap());
            if celsius(t) >= from && celsius(t) <= to {
                let v = c.open_circuit_recorded(Some(curve.id()), soc(s), celsius(t), &mut Silent).unwrap().voltage;
                prop_assert!(low.si() <= v.si() + 1e-12 && v.si() <= high.si() + 1e-12);
            }
        }
    }

    #[test]
    fn the_charge_of_a_rested_voltage_holds_the_charge_that_showed_it(
        id in id(), s in 0.0..=1.0_f64, t in mild(), off in -1.0..1.0_f64, meter in 0.0..0.02_f64,
    ) {
        let c = id.chemistry();
        let shown = c.open_circuit(soc(s), celsius(t)).unwrap().voltage.si() + off * meter;
        let found = c.charge_from_rest(volts(shown), volts(meter), celsius(t)).unwrap().charge;
        prop_assert!(found.low().unwrap().share() <= s + 1e-9);
        prop_assert!(s <= found.high().unwrap().share() + 1e-9);
        let wider = c.charge_from_rest(volts(shown), volts(meter + 0.01), celsius(t)).unwrap().charge;
        prop_assert!(wider.low() <= found.low() && wider.high() >= found.high());
    }

    #[test]
    fn two_parts_of_a_step_are_the_step(
        id in id(), pairs in 0..=2_usize, start in 0.4..0.6_f64, i in -100.0..100.0_f64,
        t in 1.0..1000.0_f64, cut in 0.01..0.99_f64, before in -100.0..100.0_f64,
    ) {
        let cell = circuit(id, pairs);
        let rested = CircuitState::rested(soc(start)).unwrap();
        let warm = cell.after(&rested, amperes(before), seconds(50.0)).unwrap();
        let once = cell.after(&warm, amperes(i), seconds(t)).unwrap();
        let part = cell.after(&warm, amperes(i), seconds(cut * t)).unwrap();
        let twice = cell.after(&part, amperes(i), seconds((1.0 - cut) * t)).unwrap();
        prop_assert!((once.charge().share() - twice.charge().share()).abs() < 1e-12);
        for k in 0..2 {
            let (a, b) = (once.pair_voltage(k).unwrap().si(), twice.pair_voltage(k).unwrap().si());
            prop_assert!((a - b).abs() < 1e-12);
        }
    }

    #[test]
    fn with_no_current_the_voltage_settles_on_the_curve(id in id(), start in 0.3..0.7_f64, i in -80.0..80.0_f64) {
        let cell = circuit(id, 2);
        let loaded = cell.after(&CircuitState::rested(soc(start)).unwrap(), amperes(i), seconds(600.0)).unwrap();
        let trace = cell.simulate(&loaded, &[0.0; 40], seconds(600.0)).unwrap();
        let curve = id.chemistry().curve_at(None, celsius(25.0)).unwrap();
        prop_assert_eq!(trace.charge[39], loaded.charge().share());
        prop_assert!((trace.voltage_v[39] - curve.voltage(trace.charge[39])).abs() < 1e-8);
        let gap = |k: usize| (trace.voltage_v[k] - curve.voltage(trace.charge[k])).abs();
        prop_assert!((1..40).all(|k| gap(k) <= gap(k - 1)));
    }

    #[test]
    fn charge_and_energy_balance(id in id(), pairs in 0..=2_usize, i in prop::collection::vec(-60.0..60.0_f64, 1..60)) {
        let cell = circuit(id, pairs);
        let start = CircuitState::rested(soc(0.5)).unwrap();
        // Small steps, so that sums over steps stand for integrals.
        let (hold, dt) = (200, 0.05);
        let currents: Vec<f64> = i.iter().flat_map(|i| std::iter::repeat_n(*i, hold)).collect();
        let trace = cell.simulate(&start, &currents, seconds(dt)).unwrap();
        prop_assert!(trace.stopped.is_none());
        let moved: f64 = currents.iter().sum::<f64>() * dt / 360_000.0;
        prop_assert!((0.5 - trace.state.charge().share() - moved).abs() < 1e-9);
        let mut out = 0.0;
        let mut heat = 0.0;
        let mut chemical = 0.0;
        let curve = id.chemistry().curve_at(None, celsius(25.0)).unwrap();
        for (k, i) in currents.iter().enumerate() {
            out += trace.voltage_v[k] * i * dt;
            heat += trace.heat_w[k] * dt;
            chemical += curve.voltage(trace.charge[k]) * i * dt;
        }
        let stored: f64 = cell
            .pairs()
            .iter()
            .enumerate()
            .map(|(k, p)| 0.5 * p.capacitance().si() * trace.state.pair_voltage(k).unwrap().si().powi(2))
            .sum();
        // What the cell gives up is what comes out, what is heat, and what sits in the capacitances.
        let scale = currents.iter().map(|i| i.abs()).sum::<f64>() * dt * 3.0 + 1.0;
        prop_assert!((chemical - out - heat - stored).abs() < 2e-4 * scale, "{chemical} {out} {heat} {stored}");
    }

    #[test]
    fn a_round_trip_gives_back_less(id in id(), pairs in 0..=2_usize, i in 2.0..24.0_f64, eta in 0.8..1.0_f64) {
        let curve = id.chemistry().curve_at(None, celsius(25.0)).unwrap();
        let model = circuit(id, pairs);
        let cell = EquivalentCircuit::new(curve, ampere_hours(100.0), Fraction::new(eta), model.r0(), model.pairs()).unwrap();
        let start = CircuitState::rested(soc(0.3)).unwrap();
        let n = 1000;
        let up = cell.simulate(&start, &vec![-i; n], seconds(10.0)).unwrap();
        prop_assert!(up.stopped.is_none());
        let into: f64 = up.voltage_v.iter().sum::<f64>() * i * 10.0;
        // Down to the charge it started from.
        let down_steps = ((up.state.charge().share() - 0.3) * 360_000.0 / (i * 10.0)).floor() as usize;
        let down = cell.simulate(&up.state, &vec![i; down_steps], seconds(10.0)).unwrap();
        let out: f64 = down.voltage_v.iter().sum::<f64>() * i * 10.0;
        prop_assert!(out <= into * eta, "{out} of {into}");
    }

    #[test]
    fn simulate_is_after_in_a_row(id in id(), i in prop::collection::vec(-50.0..50.0_f64, 1..40)) {
        let cell = circuit(id, 2);
        let mut state = CircuitState::rested(soc(0.5)).unwrap();
        let trace = cell.simulate(&state, &i, seconds(30.0)).unwrap();
        for (k, i) in i.iter().enumerate() {
            state = cell.after(&state, amperes(*i), seconds(30.0)).unwrap();
            prop_assert_eq!(trace.voltage_v[k], cell.voltage(&state, amperes(*i)).si());
            prop_assert_eq!(trace.heat_w[k], cell.heat(&state, amperes(*i)).si());
        }
        prop_assert_eq!(trace.state, state);
    }

    #[test]
    fn a_run_stops_when_the_charge_is_gone(i in 50.0..400.0_f64, start in 0.05..0.2_f64) {
        let cell = circuit(ChemistryId::Lfp, 2);
        let trace = cell.simulate(&CircuitState::rested(soc(start)).unwrap(), &[i; 400], seconds(60.0)).unwrap();
        let stop = trace.stopped.unwrap().si();
        prop_assert!((stop - start * 360_000.0 / i).abs() < 1e-6);
        prop_assert_eq!(trace.voltage_v.len(), (stop / 60.0).floor() as usize);
        prop_assert_eq!(trace.state.charge(), StateOfCharge::EMPTY);
        let full = cell.simulate(&CircuitState::rested(soc(1.0 - start)).unwrap(), &[-i; 400], seconds(60.0)).unwrap();
        prop_assert_eq!(full.state.charge(), StateOfCharge::FULL);
    }

    #[test]
    fn a_scaled_cell_answers_a_scaled_current_alike(ah in 1.0..500.0_f64, s in 0.1..0.9_f64, t in 6.0..37.0_f64) {
        let small = TwoPairs::lfp_26650(orlop::cell::Direction::Discharge, soc(s), celsius(t)).unwrap();
        let large = small.scaled_to(ampere_hours(ah)).unwrap();
        let k = ah / 2.3;
        prop_assert!((large.r0.si() * k / small.r0.si() - 1.0).abs() < 1e-12);
        for (a, b) in small.pairs.iter().zip(large.pairs) {
            prop_assert!((b.time_constant().si() / a.time_constant().si() - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn resistance_falls_with_temperature_and_holds_what_was_given(
        id in id(), s in 0.0..=1.0_f64, t in mild(), r in 0.1..1.0_f64, ratio in 1.25..3.0_f64,
    ) {
        let cell = Cell::new(id, ampere_hours(200.0)).unwrap()
            .with_resistance_1khz(Range::exactly(ohms(r * 1e-3))).unwrap()
            .with_resistance_dc(Range::exactly(ohms(ratio * r * 1e-3))).unwrap();
        for (method, given) in [(Method::OneKilohertz, r), (Method::TenSeconds, ratio * r)] {
            let known = cell.resistance(method, soc(0.5), celsius(25.0)).unwrap();
            prop_assert!((known.low().si() - given * 1e-3).abs() < 1e-12);
            prop_assert!((known.high().si() - given * 1e-3).abs() < 1e-12);
            let here = cell.resistance(method, soc(0.5), celsius(t)).unwrap();
            prop_assert!(here.low() <= here.high());
            if t < 40.0 {
                let warmer = cell.resistance(method, soc(0.5), celsius(t + 5.0)).unwrap();
                prop_assert!(warmer.low() <= here.low() && warmer.high() <= here.high());
            }
        }
        let fast = cell.resistance(Method::OneKilohertz, soc(s), celsius(t)).unwrap();
        prop_assert_eq!(fast, cell.resistance(Method::OneKilohertz, soc(0.5), celsius(t)).unwrap());
    }

    #[test]
    fn knowing_less_never_narrows_the_ends(id in id(), cold in -9.0..20.0_f64, more in 0.0..25.0_f64, q in 10.0..400.0_f64) {
        let conditions = FaultConditions {
            warmest: Some(celsius(cold + more)), coldest: Some(celsius(cold)), least_charge: Some(soc(0.2)),
            ..FaultConditions::default()
        };
        let bare = Cell::new(id, ampere_hours(q)).unwrap();
        // A sheet value in the middle of what the chemistry permits.
        let sheet = id.chemistry().resistance_capacity.middle().get() * 1e-3 / q;
        let maximum = bare.with_resistance_1khz(Range::from_bounds(None, Some(ohms(sheet)))).unwrap();
        let measured = bare.with_resistance_1khz(Range::exactly(ohms(0.8 * sheet))).unwrap();
        let ends = [bare, maximum, measured].map(|c| c.fault(conditions).unwrap());
        for pair in ends.windows(2) {
            prop_assert!(pair[0].current.low() <= pair[1].current.low());
            prop_assert!(pair[0].current.high() >= pair[1].current.high());
        }
        for end in &ends {
            prop_assert!(end.current.low() < end.current.high());
            prop_assert!(!end.flags.is_empty());
        }
        let wider = FaultConditions { coldest: Some(celsius(cold - 0.5)), ..conditions };
        prop_assert!(measured.fault(wider).unwrap().current.low() <= ends[2].current.low());
    }

    #[test]
    fn peukert_gives_less_the_faster_and_never_more_than_rated(k in 1.0..1.6_f64, a in 0.1..500.0_f64, b in 0.1..500.0_f64) {
        let law = Peukert::new(ampere_hours(100.0), seconds(72_000.0), k).unwrap();
        let q = |i: f64| law.capacity(amperes(i)).unwrap().out();
        prop_assert!(q(a.max(b)) <= q(a.min(b)) * (1.0 + 1e-12));
        prop_assert!(q(a) <= 100.0 * (1.0 + 1e-12));
    }

    #[test]
    fn kinetic_wells_keep_their_charge(
        c in 0.1..0.9_f64, k in 0.05..3.0_f64, s in 0.3..0.9_f64, i in -5.0..10.0_f64, t in 60.0..3600.0_f64, cut in 0.05..0.95_f64,
    ) {
        let model = KineticModel::new(c, k, ampere_hours(150.0)).unwrap();
        let wells = model.rested(soc(s));
        let Ok(once) = model.after(wells, amperes(i), seconds(t)) else { return Ok(()) };
        prop_assert!((wells.total().si() - once.total().si() - i * t).abs() < 1e-6);
        let part = model.after(wells, amperes(i), seconds(cut * t)).unwrap();
        let twice = model.after(part, amperes(i), seconds((1.0 - cut) * t)).unwrap();
        prop_assert!((once.available.si() - twice.available.si()).abs() < 1e-6);
        // Rest only moves charge from one well to the other.
        let rested = model.after(once, amperes(0.0), seconds(1e7)).unwrap();
        prop_assert!((rested.available.si() - c * once.total().si()).abs() < 1e-3);
    }

    #[test]
    fn a_kinetic_battery_is_empty_when_it_says(c in 0.1..0.9_f64, k in 0.05..3.0_f64, i in 1.0..400.0_f64) {
        let model = KineticModel::new(c, k, ampere_hours(150.0)).unwrap();
        let full = model.rested(StateOfCharge::FULL);
        let t = model.time(full, amperes(i)).unwrap();
        let drawn = i * t.si();
        prop_assert!((model.deliverable(t).unwrap().si() / drawn - 1.0).abs() < 1e-9);
        prop_assert!((model.largest_current(full, t).unwrap().si() / i - 1.0).abs() < 1e-9);
        let end = model.after(full, amperes(i), t).unwrap();
        prop_assert!(end.available.si() < 1e-6 * full.total().si());
        prop_assert!(model.after(full, amperes(i * 1.01), t).is_err());
    }

    #[test]
    fn three_ratings_of_a_kinetic_battery_give_it_back(c in 0.2..0.8_f64, k in 0.1..2.0_f64) {
        let model = KineticModel::new(c, k, ampere_hours(120.0)).unwrap();
        let rating = |h: f64| (model.deliverable(seconds(3600.0 * h)).unwrap(), seconds(3600.0 * h));
        let again = KineticModel::from_ratings([rating(1.0), rating(10.0), rating(20.0)]).unwrap();
        for h in [0.5, 1.0, 3.0, 10.0, 20.0, 50.0] {
            let (a, b) = (model.deliverable(seconds(3600.0 * h)).unwrap(), again.deliverable(seconds(3600.0 * h)).unwrap());
            prop_assert!((a.si() / b.si() - 1.0).abs() < 1e-4, "{h} {a:?} {b:?}");
        }
    }
}

#[test]
fn limits_by_temperature_follow_the_sources() {
    let lfp = ChemistryId::Lfp.chemistry();
    // No charging below 0 degC: several sheets.
    assert!(matches!(lfp.charging_at(celsius(-0.1)).unwrap(), Permission::No(_)));
    assert!(lfp.charging_at(celsius(0.0)).unwrap().granted());
    // Sheets of packs stop at 45 degC, the cell's own at 60 degC.
    assert!(matches!(lfp.charging_at(celsius(50.0)).unwrap(), Permission::SourcesDiffer(_)));
    assert!(matches!(lfp.discharging_at(celsius(-25.0)).unwrap(), Permission::SourcesDiffer(_)));
    assert!(matches!(lfp.discharging_at(celsius(61.0)).unwrap(), Permission::No(_)));
    assert!(lfp.charging_at(celsius(f64::NAN)).is_err());
    assert!(lfp.discharge_rate_permitted(Rate::new(1.0).unwrap()).granted());
    assert!(!lfp.discharge_rate_permitted(Rate::new(1.1).unwrap()).granted());
    assert!(!lfp.charge_rate_permitted(Rate::new(0.7).unwrap()).granted());
}

#[test]
fn questions_show_their_working() {
    let mut working = Working::new("cell");
    let lfp = ChemistryId::Lfp.chemistry();
    lfp.open_circuit_recorded(None, soc(0.5), celsius(25.0), &mut working).unwrap();
    lfp.charge_from_rest_recorded(volts(3.3), volts(0.002), celsius(25.0), &mut working).unwrap();
    let cell = Cell::new(ChemistryId::Lfp, ampere_hours(230.0)).unwrap();
    cell.resistance_recorded(Method::TenSeconds, soc(0.5), celsius(5.0), &mut working).unwrap();
    let storage = Storage { charge: soc(0.5), temperature: celsius(25.0) };
    AgeingModel::Naumann.calendar_recorded(&storage, &mut working).unwrap();
    assert!(working.steps.len() > 10);
    assert!(working.steps.iter().filter(|s| s.source.is_some()).count() > 8);
    assert!(working.to_string().contains("curve lfp-prismatic-52ah"));
}

const BAD: [f64; 4] = [f64::NAN, f64::INFINITY, 0.0, -1.0];

#[test]
fn bad_input_has_no_answer() {
    let lfp = ChemistryId::Lfp;
    let cell = Cell::new(lfp, ampere_hours(100.0)).unwrap();
    let r = |x: f64| Range::exactly(ohms(x));
    let pair = Pair::new(ohms(1e-3), farads(1e4)).unwrap();
    let curve = lfp.chemistry().curve_at(None, celsius(25.0)).unwrap();
    let full = Fraction::new(1.0);
    for x in BAD {
        assert!(Cell::new(lfp, ampere_hours(x)).is_err());
        assert!(cell.with_mass(kilograms(x)).is_err());
        assert!(cell.with_resistance_1khz(r(x)).is_err());
        assert!(cell.with_resistance_dc(r(x)).is_err());
        assert!(Size::new(millimetres(x), millimetres(1.0), millimetres(1.0)).is_err());
        assert!(lfp.chemistry().charge_from_rest(volts(x), volts(0.0), celsius(25.0)).is_err());
        assert!(Pair::new(ohms(x), farads(1.0)).is_err() && Pair::new(ohms(1.0), farads(x)).is_err());
        assert!(EquivalentCircuit::new(curve.clone(), ampere_hours(x), full, ohms(1e-3), &[pair]).is_err());
        assert!(EquivalentCircuit::new(curve.clone(), ampere_hours(1.0), full, ohms(x), &[pair]).is_err());
        assert!(
            EquivalentCircuit::new(curve.clone(), ampere_hours(1.0), Fraction::new(x), ohms(1e-3), &[])
                .is_err()
        );
        assert!(Peukert::new(ampere_hours(x), seconds(1.0), 1.2).is_err());
        assert!(Peukert::new(ampere_hours(1.0), seconds(x), 1.2).is_err());
        assert!(Peukert::new(ampere_hours(1.0), seconds(1.0), x).is_err());
        let law = Peukert::new(ampere_hours(100.0), seconds(72_000.0), 1.2).unwrap();
        assert!(law.time(amperes(x)).is_err());
        assert!(KineticModel::new(x, 0.5, ampere_hours(100.0)).is_err());
        assert!(KineticModel::new(0.5, x, ampere_hours(100.0)).is_err());
        assert!(KineticModel::new(0.5, 0.5, ampere_hours(x)).is_err());
        let model = KineticModel::new(0.5, 0.5, ampere_hours(100.0)).unwrap();
        let wells = model.rested(StateOfCharge::FULL);
        assert!(model.deliverable(seconds(x)).is_err() && model.time(wells, amperes(x)).is_err());
        assert!(model.after(wells, amperes(1.0), seconds(x)).is_err());
        assert!(StatedLife::new(x, seconds(1.0)).is_err() && StatedLife::new(1.0, seconds(x)).is_err());
        assert!(StatedLife::cycles_a_year(joules(1.0), joules(x)).is_err());
        assert!(CycleLife::Agm.cycles(Fraction::new(x)).is_err());
        assert!(
            TwoPairs::lfp_26650(orlop::cell::Direction::Charge, soc(0.5), celsius(25.0))
                .unwrap()
                .scaled_to(ampere_hours(x))
                .is_err()
        );
        assert!(Duty::from_record(&[0.1, 0.5], seconds(x), Rate::new(1.0).unwrap(), celsius(20.0)).is_err());
    }
    assert!(cell.with_resistance_1khz(Range::from_bounds(None, None)).is_err());
    assert!(cell.with_resistance_1khz(r(2e-3)).unwrap().with_resistance_dc(r(1e-3)).is_err());
    assert!(EquivalentCircuit::new(curve.clone(), ampere_hours(1.0), full, ohms(1e-3), &[pair; 3]).is_err());
    assert!(cell.simple_circuit(celsius(25.0)).is_err());

    let circuit = EquivalentCircuit::new(curve, ampere_hours(100.0), full, ohms(1e-3), &[pair]).unwrap();
    let half = CircuitState::rested(soc(0.5)).unwrap();
    assert!(circuit.after(&half, amperes(f64::NAN), seconds(1.0)).is_err());
    assert!(circuit.after(&half, amperes(1.0), seconds(-1.0)).is_err());
    assert_eq!(circuit.after(&half, amperes(100.0), seconds(3600.0)).unwrap_err().code(), "no-solution");
    assert!(circuit.simulate(&half, &[1.0, f64::NAN], seconds(1.0)).is_err());
    assert!(circuit.simulate(&half, &[1.0], seconds(0.0)).is_err());
    assert!(circuit.simulate(&half, &[], seconds(1.0)).unwrap().voltage_v.is_empty());
    assert!(CircuitState::rested(StateOfCharge::from_si(f64::NAN)).is_err());
}

#[test]
fn bad_conditions_have_no_answer() {
    let lfp = ChemistryId::Lfp;
    let c = lfp.chemistry();
    let wild = StateOfCharge::from_si(1.5);
    assert!(c.open_circuit(wild, celsius(25.0)).is_err());
    assert_eq!(c.open_circuit(soc(0.5), celsius(50.0)).unwrap_err().code(), "out-of-table");
    assert_eq!(c.open_circuit(soc(0.5), celsius(-36.0)).unwrap_err().code(), "out-of-table");
    assert!(c.open_circuit(soc(0.5), celsius(f64::NAN)).is_err());
    assert_eq!(c.curve("none").unwrap_err().code(), "input");
    assert_eq!(c.charge_from_rest(volts(12.8), volts(0.0), celsius(25.0)).unwrap_err().code(), "no-solution");
    assert!(c.charge_from_rest(volts(3.3), volts(-0.1), celsius(25.0)).is_err());
    let cell = Cell::new(lfp, ampere_hours(100.0)).unwrap();
    assert_eq!(
        cell.resistance(Method::TenSeconds, soc(0.5), celsius(80.0)).unwrap_err().code(),
        "out-of-table"
    );
    assert!(cell.resistance(Method::TenSeconds, wild, celsius(25.0)).is_err());
    let good = FaultConditions {
        warmest: Some(celsius(40.0)),
        coldest: Some(celsius(0.0)),
        least_charge: Some(soc(0.2)),
        highest_voltage: None,
        lowest_voltage: None,
    };
    assert!(cell.fault(good).is_ok());
    assert!(cell.fault(FaultConditions { coldest: Some(celsius(41.0)), ..good }).is_err());
    assert!(cell.fault(FaultConditions { highest_voltage: Some(volts(1.0)), ..good }).is_err());
    assert!(cell.fault(FaultConditions { lowest_voltage: Some(volts(-1.0)), ..good }).is_err());
    assert!(cell.fault(FaultConditions { least_charge: Some(wild), ..good }).is_err());
    for t in [4.9, 38.1, f64::NAN] {
        let asked = TwoPairs::lfp_26650(orlop::cell::Direction::Discharge, soc(0.5), celsius(t));
        assert_eq!(asked.unwrap_err().code(), "out-of-table");
    }
    assert_eq!(CycleLife::LfpPack.cycles(Fraction::new(0.81)).unwrap_err().code(), "out-of-table");
    assert!(c.reversible_heat(amperes(f64::NAN), soc(0.5), celsius(25.0)).is_err());

    let storage = Storage { charge: soc(0.5), temperature: celsius(25.0) };
    let m = AgeingModel::Wang2011;
    assert!(m.calendar(&storage).unwrap_err().to_string().contains("naumann"));
    assert!(AgeingModel::Naumann.calendar(&Storage { temperature: celsius(f64::NAN), ..storage }).is_err());
    assert!(AgeingModel::Naumann.calendar(&Storage { temperature: celsius(-300.0), ..storage }).is_err());
    assert!(AgeingModel::Naumann.calendar(&Storage { charge: wild, ..storage }).is_err());
    let below = Storage { temperature: celsius(-5.0), ..storage };
    assert_eq!(AgeingModel::Swierczynski2015.calendar(&below).unwrap_err().code(), "out-of-table");
    assert!(!AgeingModel::Naumann.calendar(&below).unwrap().flags.is_empty());
    let cycling = Cycling {
        depth: Fraction::new(0.8),
        rate: Rate::new(0.2).unwrap(),
        middle: soc(0.5),
        temperature: celsius(25.0),
    };
    assert!(m.cycling(&cycling).unwrap().flags[0].contains("below 0.5C"));
    assert!(m.cycling(&Cycling { rate: Rate::new(11.0).unwrap(), ..cycling }).is_err());
    for depth in [0.0, -0.1, 1.1, f64::NAN] {
        assert!(m.cycling(&Cycling { depth: Fraction::new(depth), ..cycling }).is_err());
    }
    let law = AgeingModel::Naumann.calendar(&storage).unwrap();
    for x in [-1.0, f64::NAN, f64::INFINITY] {
        assert!(law.after(x).is_err());
        assert!(law.until(Fraction::new(x)).is_err());
    }
    let duty = Duty { storage, cycling, full_cycles_a_year: 50.0 };
    let n = AgeingModel::Naumann;
    for lost in [0.0, 1.0, -0.2, f64::NAN] {
        assert!(life(n, n, &duty, Fraction::new(lost)).is_err());
    }
    for a_year in [-1.0, f64::NAN, f64::INFINITY] {
        assert!(life(n, n, &Duty { full_cycles_a_year: a_year, ..duty }, Fraction::new(0.2)).is_err());
        assert!(StatedLife::new(100.0, seconds(1e8)).unwrap().under(a_year).is_err());
    }
    assert_eq!(rainflow(&[0.0, f64::NAN]).unwrap_err().code(), "input");
    assert!(rainflow(&[]).unwrap().is_empty() && rainflow(&[1.0, 1.0]).unwrap().is_empty());
    let rate = Rate::new(1.0).unwrap();
    for record in [&[][..], &[0.5], &[0.5, 0.5], &[0.5, 1.5], &[0.5, f64::NAN]] {
        assert!(Duty::from_record(record, seconds(1e6), rate, celsius(20.0)).is_err());
    }
    let h = |q: f64, h: f64| (ampere_hours(q), seconds(3600.0 * h));
    for ratings in [
        [h(60.0, 1.0), h(50.0, 10.0), h(100.0, 20.0)],
        [h(60.0, 10.0), h(93.0, 1.0), h(100.0, 20.0)],
        [h(5.0, 1.0), h(93.0, 10.0), h(100.0, 20.0)],
    ] {
        assert!(KineticModel::from_ratings(ratings).is_err());
    }
    assert!(Peukert::from_ratings(h(100.0, 20.0), h(100.0, 20.0)).is_err());
    assert!(Peukert::from_ratings(h(100.0, 20.0), h(110.0, 5.0)).is_err());
    let model = KineticModel::new(0.5, 0.5, ampere_hours(100.0)).unwrap();
    let over = orlop::cell::Wells { available: coulombs(1e9), bound: coulombs(0.0) };
    assert!(model.after(over, amperes(1.0), seconds(1.0)).is_err());
    let full = model.rested(StateOfCharge::FULL);
    assert_eq!(model.after(full, amperes(500.0), seconds(3600.0)).unwrap_err().code(), "no-solution");
    assert_eq!(model.after(full, amperes(-1.0), seconds(3600.0)).unwrap_err().code(), "no-solution");
}

#[test]
fn what_is_not_given_of_a_fault_is_taken_at_its_worst_and_said() {
    for &id in ChemistryId::ALL {
        let cell = Cell::new(id, ampere_hours(100.0)).unwrap();
        let Ok(bare) = cell.fault(FaultConditions::default()) else { continue };
        let assumed = |f: &&String| f.contains("temperature given") || f.contains("charge given");
        assert_eq!(bare.flags.iter().filter(assumed).count(), 3);
        let (cold, warm) = (id.chemistry().discharge_from.low(), id.chemistry().discharge_to.high());
        for (coldest, warmest, charge) in [(cold, warm, 0.2), (celsius(20.0), celsius(30.0), 0.0)] {
            let some = FaultConditions {
                warmest: Some(warmest),
                coldest: Some(coldest),
                least_charge: Some(soc(charge)),
                ..FaultConditions::default()
            };
            let asked = cell.fault(some).unwrap();
            assert!(!asked.flags.iter().any(|f| assumed(&f)));
            assert!(bare.current.low() <= asked.current.low() && bare.current.high() >= asked.current.high());
        }
    }
}
