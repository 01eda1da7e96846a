//! What must hold for any conductor, whatever the tables say.

use orlop::conductor::busbar::FlatBar;
use orlop::conductor::{
    AmpacityQuestion, Conductor, Duty, Material, SpaceKind, equivalent_area_order, standard_sizes,
};
use orlop::rules::{RuleOptions, RuleSetId};
use orlop::units::{
    ConductorSize, Current, Length, Loop, Quantity, SizeSystem, Temperature, TemperatureRise, amperes,
    metres, millimetres, parse, seconds,
};
use orlop::{Error, Sense, meets};
use proptest::prelude::*;

fn size() -> impl Strategy<Value = ConductorSize> {
    let mut all: Vec<_> = [SizeSystem::Awg, SizeSystem::Sae, SizeSystem::Metric]
        .into_iter()
        .flat_map(|s| standard_sizes(s).iter().copied())
        .collect();
    all.extend([ConductorSize::Awg(3), ConductorSize::Awg(5)]);
    prop::sample::select(all)
}

prop_compose! {
    fn wire()(size in size(), rating in 60.0..200.0_f64, tinned: bool) -> Conductor {
        Conductor::new(size, Temperature::celsius(rating), Material::Copper, tinned).unwrap()
    }
}

prop_compose! {
    fn aluminium()(size in size(), rating in 60.0..120.0_f64) -> Conductor {
        Conductor::new(size, Temperature::celsius(rating), Material::Aluminium, false).unwrap()
    }
}

prop_compose! {
    fn question()(
        iso: bool,
        engine: bool,
        bundled in 1_u32..40,
        ambient in prop::option::of(-20.0..55.0_f64),
    ) -> AmpacityQuestion {
        AmpacityQuestion {
            rules: if iso { RuleSetId::IsoSmallCraft } else { RuleSetId::UsSmallCraft },
            options: RuleOptions::default(),
            space: if engine { SpaceKind::Engine } else { SpaceKind::Outside },
            bundled,
            ambient: ambient.map(Temperature::celsius),
        }
    }
}

/// The corrected ampacity; nothing where the table does not reach.
fn ampacity(wire: &Conductor, q: &AmpacityQuestion) -> Option<f64> {
    match wire.ampacity(q) {
        Ok(answer) => Some(answer.current.si()),
        Err(Error::OutOfTable { .. }) => None,
        Err(other) => panic!("{other}"),
    }
}

proptest! {
    #[test]
    fn drop_grows_with_length_current_and_temperature(
        wire in wire(),
        current in 0.1..500.0_f64,
        loop_m in 0.1..60.0_f64,
        t in -20.0..150.0_f64,
        more in 1.001..3.0_f64,
    ) {
        let drop = |i, l, t| wire.voltage_drop(amperes(i), Loop(metres(l)), Temperature::celsius(t)).si();
        let base = drop(current, loop_m, t);
        prop_assert!(base.is_finite() && base > 0.0);
        prop_assert!(drop(current * more, loop_m, t) > base);
        prop_assert!(drop(current, loop_m * more, t) > base);
        prop_assert!(drop(current, loop_m, t + 10.0 * more) > base);
        for rules in RuleSetId::ALL {
            let rule = |i, l| wire.rule_drop(*rules, amperes(i), Loop(metres(l))).si();
            prop_assert!(rule(current * more, loop_m) > rule(current, loop_m));
            prop_assert!(rule(current, loop_m * more) > rule(current, loop_m));
        }
    }

    #[test]
    fn drop_is_the_same_in_any_unit(wire in wire(), feet in 1.0..100.0_f64, current in 0.1..300.0_f64) {
        let at = Temperature::celsius(20.0);
        let length = |text: String| Loop(parse::<Length>(&text, "loop").unwrap());
        let kilo: Current = parse(&format!("{} kA", current / 1000.0), "current").unwrap();
        let a = wire.voltage_drop(amperes(current), length(format!("{feet} ft")), at).si();
        let b = wire.voltage_drop(kilo, length(format!("{} cm", feet * 30.48)), at).si();
        prop_assert!((a / b - 1.0).abs() < 1e-12);
        let fahrenheit: Temperature = parse("68 degF", "at").unwrap();
        let c = wire.voltage_drop(kilo, length(format!("{} in", feet * 12.0)), fahrenheit).si();
        prop_assert!((a / c - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_larger_conductor_has_less_resistance_and_more_mass(a in size(), b in size(), t in -20.0..150.0_f64) {
        let make = |size| Conductor::new(size, Temperature::celsius(105.0), Material::Copper, true).unwrap();
        let (a, b) = if equivalent_area_order(&a, &b).is_le() { (a, b) } else { (b, a) };
        let (small, large) = (make(a), make(b));
        let same_series = a.system() == b.system();
        let r = |w: &Conductor| w.resistance_per_length(Temperature::celsius(t)).si();
        if same_series && a != b {
            prop_assert!(r(&small) > r(&large));
            prop_assert!(small.mass_per_length().si() < large.mass_per_length().si());
            prop_assert!(small.outside_diameter().si() < large.outside_diameter().si());
            prop_assert!(small.bend_radius().si() < large.bend_radius().si());
        }
    }

    // Three gauge steps double the area to 0.5 percent: 92^(6/39) = 2.005.
    #[test]
    fn three_gauge_steps_halve_the_resistance(gauge in 0_i8..=20, t in -20.0..150.0_f64) {
        let r = |g| {
            let rating = Temperature::celsius(105.0);
            let wire = Conductor::new(ConductorSize::Awg(g), rating, Material::Copper, true).unwrap();
            wire.resistance_per_length(Temperature::celsius(t)).si()
        };
        prop_assert!((r(gauge) / r(gauge - 3) - 92.0_f64.powf(6.0 / 39.0)).abs() < 1e-9);
        prop_assert!((r(gauge) / r(gauge - 3) - 2.0).abs() < 0.01);
    }

    #[test]
    fn ampacity_never_rises_with_bundle_ambient_or_engine(
        wire in wire(),
        q in question(),
        more in 1_u32..30,
        warmer in 0.1..30.0_f64,
    ) {
        if let Some(base) = ampacity(&wire, &q) {
            prop_assert!(base.is_finite() && base > 0.0);
            let fuller = AmpacityQuestion { bundled: q.bundled + more, ..q.clone() };
            prop_assert!(ampacity(&wire, &fuller).unwrap() <= base);
            let outside = AmpacityQuestion { space: SpaceKind::Outside, ..q.clone() };
            prop_assert!(ampacity(&wire, &outside).unwrap() >= base);
            if let Some(air) = q.ambient {
                let air = Temperature::celsius((air.degrees_celsius() + warmer).min(59.0));
                let hotter = AmpacityQuestion { ambient: Some(air), ..q.clone() };
                prop_assert!(ampacity(&wire, &hotter).unwrap() <= base * (1.0 + 1e-12));
            }
        }
    }

    #[test]
    fn place_factor_is_the_smaller_and_never_the_product(wire in wire(), q in question()) {
        if let Ok(a) = wire.ampacity(&q) {
            let smaller = a.ambient_factor.map_or(a.rule_factor, |f| f.min(a.rule_factor));
            prop_assert_eq!(a.place_factor, smaller);
            prop_assert!(a.place_factor <= 1.0 && a.bundle_factor <= 1.0);
            let product = a.table.si() * a.place_factor * a.bundle_factor;
            prop_assert!((a.current.si() / product - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn ampacity_never_falls_with_area_or_insulation(
        wire in wire(),
        other in size(),
        q in question(),
        hotter in 0.0..60.0_f64,
    ) {
        // 5 and 3 AWG are scaled down from a far larger metric row and may fall below 6 and 4 AWG.
        let sold = |size: ConductorSize| standard_sizes(size.system()).contains(&size);
        if wire.size().system() == other.system() && sold(wire.size()) && sold(other) {
            let other = Conductor::new(other, wire.insulation(), Material::Copper, wire.tinned()).unwrap();
            if let (Some(a), Some(b)) = (ampacity(&wire, &q), ampacity(&other, &q)) {
                prop_assert_eq!(a < b, equivalent_area_order(&wire.size(), &other.size()).is_lt());
            }
        }
        if let Some(base) = ampacity(&wire, &q) {
            let rating = Temperature::celsius(wire.insulation().degrees_celsius() + hotter);
            let better = Conductor::new(wire.size(), rating, Material::Copper, wire.tinned()).unwrap();
            prop_assert!(ampacity(&better, &q).unwrap() >= base * (1.0 - 1e-12));
        }
    }

    #[test]
    fn heat_balance_agrees_both_ways(
        wire in wire(),
        air in -20.0..60.0_f64,
        rise in 1.0..150.0_f64,
        bundled in 1_u32..20,
    ) {
        let (ambient, reaches) = (Temperature::celsius(air), Temperature::celsius(air + rise));
        let range = match wire.steady_current(reaches, ambient, bundled) {
            Err(Error::OutOfTable { .. }) => return Ok(()), // a bundle wider than the law is for
            other => other.unwrap(),
        };
        let state = wire.steady_state(range.low().unwrap(), ambient, bundled).unwrap();
        prop_assert!((state.temperature.degrees_celsius() - (air + rise)).abs() < 1e-6 * rise);
        let state = wire.steady_state(range.high().unwrap(), ambient, bundled).unwrap();
        prop_assert!((state.band.low().unwrap().degrees_celsius() - (air + rise)).abs() < 1e-6 * rise);
        prop_assert!(state.heat.si().is_finite() && state.heat.si() > 0.0);
    }

    #[test]
    fn temperature_grows_with_current_and_ambient_and_bundle(
        wire in prop_oneof![wire(), aluminium()],
        air in -20.0..60.0_f64,
        rise in 1.0..100.0_f64,
        more in 1.001..1.2_f64,
        bundled in 1_u32..8,
    ) {
        let (ambient, reaches) = (Temperature::celsius(air), Temperature::celsius(air + rise));
        let current = wire.steady_current(reaches, ambient, bundled).unwrap().low().unwrap();
        let at = |i, a, n| wire.steady_state(i, Temperature::celsius(a), n).map(|s| s.temperature.si());
        let base = at(current, air, bundled).unwrap();
        prop_assert!(base > air);
        for hotter in [at(current * more, air, bundled), at(current, air + 5.0, bundled), at(current, air, bundled + 1)] {
            match hotter {
                Ok(t) => prop_assert!(t > base),
                Err(e) => prop_assert_eq!(e.code(), "no-solution"),
            }
        }
    }

    #[test]
    fn warming_lies_between_air_and_steady_state(
        wire in wire(),
        rise in 1.0..100.0_f64,
        on in 1.0..7200.0_f64,
        off in prop::option::of(0.0..7200.0_f64),
        bundled in 1_u32..6,
    ) {
        let (ambient, reaches) = (Temperature::celsius(30.0), Temperature::celsius(30.0 + rise));
        let current = wire.steady_current(reaches, ambient, bundled).unwrap().low().unwrap();
        let at = |on, off: Option<f64>| {
            let duty = Duty::Intermittent { on: seconds(on), off: off.map(seconds) };
            wire.warming(current, ambient, bundled, duty).unwrap().temperature.si()
        };
        let base = at(on, off);
        prop_assert!(base >= 30.0 && base <= 30.0 + rise * (1.0 + 1e-9));
        prop_assert!(at(2.0 * on, off) >= base - 1e-9);
        prop_assert!(at(on, None) <= base + 1e-9);
    }

    #[test]
    fn withstand_time_falls_with_current_start_and_rises_with_area(
        wire in wire(),
        fault in 50.0..20_000.0_f64,
        start in -20.0..130.0_f64,
        more in 1.001..3.0_f64,
    ) {
        let time = |i: f64, t| wire.withstand_time(amperes(i), Temperature::celsius(t)).unwrap().time.si();
        let base = time(fault, start);
        prop_assert!(base.is_finite() && base > 0.0);
        prop_assert!(time(fault * more, start) < base);
        prop_assert!(time(fault, start + more) < base);
        let survives = wire.withstand_let_through(Temperature::celsius(start)).unwrap().si();
        prop_assert!((fault * fault * base / survives - 1.0).abs() < 1e-9);
        let answer = wire.withstand_time(amperes(fault), Temperature::celsius(start)).unwrap();
        prop_assert_eq!(answer.within_five_seconds, meets(base, Sense::AtMost, 5.0));
    }

    #[test]
    fn bars_agree_both_ways_and_grow(
        width in 10.0..120.0_f64,
        thickness in 2.0..12.0_f64,
        rise in 1.0..100.0_f64,
        air in -10.0..60.0_f64,
        more in 1.001..2.0_f64,
    ) {
        let bar = |w, t| FlatBar::new(millimetres(w), millimetres(t), Material::Copper).unwrap();
        let ambient = Temperature::celsius(air);
        let current = |w, t, r| bar(w, t).current(TemperatureRise::kelvins(r), ambient).unwrap();
        let base = current(width, thickness, rise);
        let back = bar(width, thickness).rise(base, ambient).unwrap().in_kelvins();
        prop_assert!((back / rise - 1.0).abs() < 1e-6);
        prop_assert!(current(width * more, thickness, rise) > base);
        prop_assert!(current(width, thickness * more, rise) > base);
        prop_assert!(current(width, thickness, rise * more) > base);
    }

    #[test]
    fn what_is_no_positive_number_is_an_error(
        wire in wire(),
        bad in prop::sample::select(vec![0.0, -1.0, -1e-9, f64::NAN, f64::INFINITY, f64::NEG_INFINITY]),
    ) {
        let air = Temperature::celsius(30.0);
        let input = |e: Error| e.code() == "input";
        prop_assert!(input(wire.steady_state(amperes(bad), air, 1).unwrap_err()));
        prop_assert!(input(wire.withstand_time(amperes(bad), air).unwrap_err()));
        let duty = Duty::Intermittent { on: seconds(bad), off: None };
        prop_assert!(input(wire.warming(amperes(1.0), air, 1, duty).unwrap_err()));
        prop_assert!(input(FlatBar::new(millimetres(bad), millimetres(5.0), Material::Copper).unwrap_err()));
        let bar = FlatBar::new(millimetres(20.0), millimetres(5.0), Material::Copper).unwrap();
        prop_assert!(input(bar.current(TemperatureRise::kelvins(bad), air).unwrap_err()));
        prop_assert!(input(bar.rise(amperes(bad), air).unwrap_err()));
    }

    #[test]
    fn what_is_no_temperature_is_an_error(
        wire in wire(),
        bad in prop::sample::select(vec![f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -300.0]),
        mut q in question(),
    ) {
        let bad = Temperature::celsius(bad);
        let input = |e: Error| e.code() == "input";
        prop_assert!(input(wire.steady_state(amperes(5.0), bad, 1).unwrap_err()));
        prop_assert!(input(wire.steady_current(bad, Temperature::celsius(30.0), 1).unwrap_err()));
        prop_assert!(input(wire.withstand_let_through(bad).unwrap_err()));
        prop_assert!(input(Conductor::new(wire.size(), bad, Material::Copper, true).unwrap_err()));
        q.ambient = Some(bad);
        if let Err(e) = wire.ampacity(&q) {
            prop_assert!(matches!(e.code(), "input" | "out-of-table"));
        } else {
            prop_assert!(false, "an ampacity in air of {bad:?}");
        }
    }
}
