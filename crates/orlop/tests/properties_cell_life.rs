//! How cells age, how long they last, and what that costs.

use orlop::cell::ageing::{
    AgeingModel, CycleLife, Cycling, Decides, Duty, StatedLife, Storage, full_cycles, life, rainflow,
};
use orlop::cell::{Choice, Rate, StateOfCharge, capital_recovery, compare};
use orlop::units::{Fraction, Quantity, Temperature, joules, parse, seconds};
use proptest::prelude::*;

const BAD: [f64; 4] = [f64::NAN, f64::INFINITY, 0.0, -1.0];

fn celsius(t: f64) -> Temperature {
    Temperature::celsius(t)
}

fn soc(share: f64) -> StateOfCharge {
    StateOfCharge::new(share).unwrap()
}

proptest! {
    #[test]
    fn rainflow_uses_every_turn_once(record in prop::collection::vec(-5..5_i32, 0..200)) {
        let record: Vec<f64> = record.into_iter().map(f64::from).collect();
        let cycles = rainflow(&record).unwrap();
        // Reversals less one is the number of half cycles, and their ranges make up the whole way.
        let mut turns: Vec<f64> = record.clone();
        turns.dedup();
        let between = turns.windows(3).filter(|w| (w[1] > w[0]) != (w[2] > w[1])).count();
        let reversals = between + turns.len().min(2);
        let halves: f64 = cycles.iter().map(|c| 2.0 * c.count).sum();
        prop_assert_eq!(halves, reversals.saturating_sub(1) as f64);
        let way: f64 = record.windows(2).map(|w| (w[1] - w[0]).abs()).sum();
        prop_assert!((2.0 * full_cycles(&cycles) - way).abs() < 1e-9);
        prop_assert!(cycles.iter().all(|c| c.range > 0.0 && (c.count == 0.5 || c.count == 1.0)));
        // The widest range is that of the whole record.
        let widest = cycles.iter().map(|c| c.range).fold(0.0, f64::max);
        let span = record.iter().copied().fold(f64::NEG_INFINITY, f64::max) - record.iter().copied().fold(f64::INFINITY, f64::min);
        prop_assert!(record.is_empty() || widest == span);
    }

    #[test]
    fn ageing_grows(
        model in prop::sample::select(AgeingModel::ALL.to_vec()), s in 0.0..=1.0_f64, depth in 0.1..=1.0_f64,
        rate in 0.1..1.0_f64, t in 15.0..45.0_f64, x in 10.0..2000.0_f64,
    ) {
        let storage = Storage { charge: soc(s), temperature: celsius(t) };
        let cycling = Cycling { depth: Fraction::new(depth), rate: Rate::new(rate).unwrap(), middle: soc(s), temperature: celsius(t) };
        for law in [model.calendar(&storage), model.cycling(&cycling)].into_iter().flatten() {
            prop_assert!(law.after(x).unwrap() < law.after(1.5 * x).unwrap());
            // Until is after the other way round.
            let lost = law.after(x).unwrap();
            if lost.value() > 0.0 && lost.value() < 1.0 {
                prop_assert!((law.until(lost).unwrap().unwrap() / x - 1.0).abs() < 1e-9);
            }
        }
        // On the calendar every model ages faster when warmer.
        if let Ok(law) = model.calendar(&storage) {
            let warmer = model.calendar(&Storage { temperature: celsius(t + 5.0), ..storage }).unwrap();
            prop_assert!(warmer.factor > law.factor, "{} {} {}", model.word(), warmer.factor, law.factor);
        }
    }

    #[test]
    fn life_shortens_with_cycles_and_warmth(
        a_year in 0.0..400.0_f64, s in 0.3..0.9_f64, depth in 0.3..0.9_f64, t in 15.0..40.0_f64,
        model in prop::sample::select(vec![AgeingModel::Naumann, AgeingModel::Schmalstieg2014]),
    ) {
        let duty = Duty {
            storage: Storage { charge: soc(s), temperature: celsius(t) },
            cycling: Cycling { depth: Fraction::new(depth), rate: Rate::new(0.2).unwrap(), middle: soc(s), temperature: celsius(t) },
            full_cycles_a_year: a_year,
        };
        let lost = Fraction::new(0.2);
        let answer = life(model, model, &duty, lost).unwrap();
        let ends = [answer.by_calendar, answer.by_cycles];
        prop_assert!(ends.into_iter().flatten().all(|alone| answer.time.si() <= alone.si() * (1.0 + 1e-9)));
        prop_assert!(answer.twice_the_cycles.si() >= answer.time.si() * (1.0 - 1e-9));
        prop_assert!(answer.ten_kelvins_cooler >= answer.time);
        let harder = Duty { full_cycles_a_year: a_year + 50.0, ..duty };
        prop_assert!(life(model, model, &harder, lost).unwrap().time < answer.time);
        // The two losses at the end add up to the loss asked for.
        let days = answer.time.si() / 86_400.0;
        let calendar = model.calendar(&duty.storage).unwrap().after(days).unwrap().value();
        let cycles = model.cycling(&duty.cycling).unwrap().after(a_year * days / 365.25).unwrap().value();
        prop_assert!((calendar + cycles - 0.2).abs() < 1e-9);
        prop_assert_eq!(answer.decides == Decides::Calendar, calendar >= cycles);
    }

    #[test]
    fn deeper_cycles_are_fewer(kind in prop::sample::select(CycleLife::ALL.to_vec()), a in 0.05..0.5_f64, b in 0.05..0.5_f64) {
        let n = |d: f64| kind.cycles(Fraction::new(d)).unwrap().cycles;
        prop_assert!(n(a.min(b)) >= n(a.max(b)));
    }
}

#[test]
fn a_record_of_charge_becomes_a_duty() {
    // A day down by 30 % and up again, for a year: 109.5 full cycles of that depth.
    let mut record = Vec::new();
    for _ in 0..365 {
        record.extend([0.9, 0.6]);
    }
    record.push(0.9);
    let year = parse("365 days", "span").unwrap();
    let duty = Duty::from_record(&record, year, Rate::new(0.1).unwrap(), celsius(20.0)).unwrap();
    assert!((duty.full_cycles_a_year - 109.5 * 365.2425 / 365.0).abs() < 0.1);
    assert!((duty.cycling.depth.value() - 0.3).abs() < 1e-9);
    assert!((duty.cycling.middle.share() - 0.75).abs() < 1e-9);
    let used = CycleLife::LfpPack.used(&rainflow(&record).unwrap()).unwrap();
    // 365 cycles of 30 % against 5000 of 50 %, the same charge in all: 8333.
    assert!((used.value() - 365.0 / (5000.0 * 0.5 / 0.3)).abs() < 1e-9);
}

fn lead() -> Choice {
    bank("lead", 900.0, 900.0, "2.4 kWh", 500.0, "5 years")
}

fn lithium(cycles: f64, calendar: &str) -> Choice {
    bank("lithium", 3900.0, 1900.0, "9.4 kWh", cycles, calendar)
}

fn bank(name: &str, first: f64, renewal: f64, usable: &str, cycles: f64, calendar: &str) -> Choice {
    Choice {
        name: name.into(),
        first_cost: first,
        renewal_cost: renewal,
        usable: parse(usable, "usable").unwrap(),
        life: StatedLife::new(cycles, parse(calendar, "calendar").unwrap()).unwrap(),
    }
}

fn years(text: &str) -> orlop::units::Time {
    parse(text, "years").unwrap()
}

// An invented boat: 480 kWh a year; figures worked out by hand.
#[test]
fn the_calendar_decides_and_doubling_the_cycles_changes_nothing() {
    let (demand, horizon) = (parse("480 kWh", "demand").unwrap(), years("12 years"));
    let close = |a: f64, b: f64| (a - b).abs() < 0.005;
    let old = lead().cost(demand, horizon).unwrap();
    assert_eq!((old.decides, old.sets, old.total), (Decides::Cycles, 5, 4500.0));
    assert!(close(old.per_kilowatt_hour, 0.78));
    let new = lithium(4000.0, "12 years").cost(demand, horizon).unwrap();
    assert_eq!((new.decides, new.sets, new.total), (Decides::Calendar, 1, 3900.0));
    assert!(close(new.per_kilowatt_hour, 0.68) && close(new.cycles_a_year, 51.06));
    assert_eq!(lithium(8000.0, "12 years").cost(demand, horizon).unwrap(), new);
    // Eight years instead of twelve need a second set of cells, and the order turns.
    let short = lithium(4000.0, "8 years").cost(demand, horizon).unwrap();
    assert_eq!((short.sets, short.total), (2, 5800.0));
    let verdict = compare(&lithium(4000.0, "12 years"), &lead(), demand, horizon).unwrap();
    assert!((verdict.break_even.unwrap().si() / years("10 years").si() - 1.0).abs() < 1e-4);
    for said in [
        "lithium costs 0.68",
        "0.78 of lead",
        "in year 10",
        "doubling its cycles changes nothing",
        "reverses the order",
    ] {
        assert!(verdict.sentence.contains(said), "{said}: {}", verdict.sentence);
    }
    let turned = compare(&lead(), &lithium(4000.0, "12 years"), demand, horizon).unwrap();
    assert_eq!((turned.break_even, turned.sentence), (verdict.break_even, verdict.sentence));
    let never = compare(&lithium(4000.0, "8 years"), &lead(), demand, horizon).unwrap();
    assert_eq!(never.break_even, None);
}

// Panneerselvam, Engineering Economics: example 3.6, and the factor of 5 % over ten years.
#[test]
fn capital_recovery_by_the_textbook() {
    let close = |a: f64, b: f64| (a / b - 1.0).abs() < 5e-6;
    assert!(close(capital_recovery(1e6, 0.18, 15.0).unwrap(), 196_403.0));
    assert!(close(capital_recovery(1.0, 0.05, 10.0).unwrap(), 0.129_504_575));
    // Example 6.2: 600 000 at 20 % over 15 years and 150 000 a year.
    assert!(close(capital_recovery(600_000.0, 0.20, 15.0).unwrap() + 150_000.0, 278_329.272));
    assert!(close(capital_recovery(1200.0, 1e-12, 12.0).unwrap(), 100.0));
    assert_eq!(capital_recovery(1200.0, 0.0, 12.0).unwrap(), 100.0);
}

#[test]
fn bad_choices_have_no_cost() {
    let (demand, horizon) = (parse("480 kWh", "demand").unwrap(), years("12 years"));
    for x in BAD {
        assert!(lead().cost(joules(x), horizon).is_err() && lead().cost(demand, seconds(x)).is_err());
        assert!(Choice { usable: joules(x), ..lead() }.cost(demand, horizon).is_err());
        assert!(capital_recovery(1.0, 0.1, x).is_err());
    }
    for x in [-1.0, f64::NAN, f64::INFINITY] {
        assert!(Choice { first_cost: x, ..lead() }.cost(demand, horizon).is_err());
        assert!(Choice { renewal_cost: x, ..lead() }.cost(demand, horizon).is_err());
        assert!(capital_recovery(x, 0.1, 1.0).is_err() && capital_recovery(1.0, x, 1.0).is_err());
    }
    let tiny = Choice { usable: joules(1.0), ..lead() };
    assert_eq!(tiny.cost(demand, horizon).unwrap_err().code(), "no-solution");
}
