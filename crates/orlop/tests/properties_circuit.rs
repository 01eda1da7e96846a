//! What must hold for any circuit.

use orlop::circuit::{CircuitQuestion, Supply, size_circuit};
use orlop::conductor::equivalent_area_order;
use orlop::rules::RuleSetId;
use orlop::{Error, Range, Verdict};
use orlop_units::{Fraction, OneWay, Quantity, SizeSystem, Temperature, amperes, metres, volts};
use proptest::prelude::*;
use std::cmp::Ordering;

fn families() -> Vec<String> {
    ["iso8820-3-blade", "iso8820-3-high-current", "ul248-15-class-t", "iec60269-gg"]
        .map(String::from)
        .to_vec()
}

fn question(
    current: f64,
    one_way: f64,
    ambient: f64,
    bundled: u32,
    rules: RuleSetId,
    fault: Option<(f64, f64)>,
) -> CircuitQuestion {
    let sizes = if rules == RuleSetId::UsSmallCraft { SizeSystem::Awg } else { SizeSystem::Metric };
    let mut supply = Supply::nominal(volts(12.0)).unwrap();
    if let Some((low, high)) = fault {
        supply.fault = Range::new(amperes(low), amperes(high));
    }
    let mut q = CircuitQuestion::new(
        amperes(current),
        OneWay(metres(one_way)).there_and_back(),
        rules,
        sizes,
        supply,
    );
    q.ambient = Some(Temperature::celsius(ambient));
    q.bundled = bundled;
    q.families = families();
    q.permit(Fraction::new(0.1), volts(12.0), volts(0.0)).unwrap()
}

fn rule_sets() -> impl Strategy<Value = RuleSetId> {
    prop_oneof![Just(RuleSetId::UsSmallCraft), Just(RuleSetId::IsoSmallCraft)]
}

proptest! {
    #[test]
    fn a_size_never_shrinks_when_the_load_grows(
        current in 0.1..120.0f64, more in 1.0..3.0f64, one_way in 0.3..25.0f64, ambient in 20.0..60.0f64,
        bundled in 1..8u32, rules in rule_sets(), low in 60.0..3000.0f64, ratio in 1.0..4.0f64, known in any::<bool>(),
    ) {
        let fault = known.then_some((low, low * ratio));
        let small = size_circuit(&question(current, one_way, ambient, bundled, rules, fault));
        let large = size_circuit(&question(current * more, one_way, ambient, bundled, rules, fault));
        if let (Ok(small), Ok(large)) = (small, large) {
            let order = equivalent_area_order(&small.taken.conductor.size(), &large.taken.conductor.size());
            // Where the larger load finds no device at all, nothing is asked of its conductor by protection.
            if large.no_device.is_none() {
                prop_assert!(order != Ordering::Greater, "{} for {current} A, {} for {} A",
                    small.taken.conductor.size(), large.taken.conductor.size(), current * more);
            }
        }
    }

    #[test]
    fn the_size_taken_meets_every_criterion_and_the_next_smaller_does_not(
        current in 0.5..100.0f64, one_way in 0.3..20.0f64, rules in rule_sets(),
    ) {
        let q = question(current, one_way, 40.0, 2, rules, Some((900.0, 900.0)));
        let Ok(answer) = size_circuit(&q) else { return Ok(()) };
        let failed: Vec<_> = answer
            .judgements
            .iter()
            .filter(|j| j.verdict == Verdict::Fail)
            .map(|j| (j.rule, j.what.clone()))
            .collect();
        prop_assert!(failed.is_empty() || answer.no_device.is_some(), "{failed:?}");
        for margin in &answer.margins {
            if let (Some(room), Some(_)) = (margin.margin, margin.asks_for) {
                prop_assert!(room >= -1e-9, "{margin:?}");
            }
        }
        // Every criterion asks for at most the size taken, and the governing one asks for just that.
        let taken = answer.taken.conductor.size();
        let governing = answer.margins.iter().find(|m| m.criterion == answer.governed_by).unwrap();
        prop_assert_eq!(governing.asks_for, Some(taken));
    }

    #[test]
    fn a_longer_run_never_gets_a_smaller_conductor(
        current in 0.5..100.0f64, one_way in 0.3..15.0f64, more in 1.0..3.0f64, rules in rule_sets(),
    ) {
        let near = size_circuit(&question(current, one_way, 30.0, 2, rules, Some((800.0, 900.0))));
        let far = size_circuit(&question(current, one_way * more, 30.0, 2, rules, Some((800.0, 900.0))));
        if let (Ok(near), Ok(far)) = (near, far)
            && far.no_device.is_none()
        {
            let order = equivalent_area_order(&near.taken.conductor.size(), &far.taken.conductor.size());
            prop_assert!(order != Ordering::Greater);
        }
    }
}

#[test]
fn what_cannot_be_computed_is_refused() {
    for (current, one_way) in [
        (0.0, 1.0),
        (-1.0, 1.0),
        (f64::NAN, 1.0),
        (f64::INFINITY, 1.0),
        (1.0, 0.0),
        (1.0, -3.0),
        (1.0, f64::NAN),
    ] {
        let mut q = question(5.0, 2.0, 30.0, 2, RuleSetId::UsSmallCraft, None);
        q.current = amperes(current);
        q.run = OneWay(metres(one_way)).there_and_back();
        assert!(matches!(size_circuit(&q), Err(Error::Input { .. })), "{current} A, {one_way} m");
    }
}

#[test]
fn an_impossible_drop_says_what_the_largest_size_would_do() {
    let mut q = question(100.0, 20.0, 30.0, 2, RuleSetId::UsSmallCraft, None);
    q = q.permit(Fraction::new(0.005), volts(12.0), volts(0.0)).unwrap();
    let error = size_circuit(&q).unwrap_err();
    assert_eq!(error.code(), "no-solution");
    assert!(error.to_string().contains("4/0 AWG"), "{error}");
}

#[test]
fn the_published_example_of_the_circular_mil_formula() {
    // Worked example of three trade copies: 10 A, 21 ft round trip, 12 V, 3 %: 6271 circular mils, so 12 AWG (6530).
    let supply = Supply::nominal(volts(12.0)).unwrap();
    let run = orlop_units::Loop(metres(21.0 * 0.3048));
    for (sizes, expected) in [(SizeSystem::Awg, "12 AWG"), (SizeSystem::Sae, "SAE 10")] {
        let mut q = CircuitQuestion::new(amperes(10.0), run, RuleSetId::UsSmallCraft, sizes, supply);
        q = q.permit(Fraction::new(0.03), volts(12.0), volts(0.0)).unwrap();
        let answer = size_circuit(&q).unwrap();
        let by_formula = q.rules.drop_formula().value * run.0.si() * 10.0 / 0.36;
        assert!(
            (by_formula / (std::f64::consts::FRAC_PI_4 * 0.0254 * 0.0254) - 6270.8).abs() < 1.0,
            "{by_formula}"
        );
        // Fine-stranded tinned wire at its temperature drops more than the formula's copper at 29 degC: physics may ask for one size more.
        let least = orlop::units::ConductorSize::parse(expected, "size").unwrap();
        assert_ne!(equivalent_area_order(&answer.taken.conductor.size(), &least), Ordering::Less);
    }
}
