//! What must hold for tests that are repeated over the years; and one year of a bank, worked beforehand.

use orlop::cell::ageing::{AgeingModel, Cycling, Storage};
use orlop::cell::{Rate, StateOfCharge};
use orlop::proving::follow::{Ageing, ChangePoint, DatedTest, Line, Monitor, Sync, Tests, state_of_health};
use orlop::proving::uncertainty::{Budget, Common, Relation, Term};
use orlop::units::{Charge, Fraction, Quantity, Temperature, Time, ampere_hours, amperes, seconds};
use orlop::{Error, Verdict};
use proptest::prelude::*;

const P95: Fraction = Fraction::new(0.95);
const YEAR: f64 = 365.25 * 86400.0;
/// Eleven readings over a year: month, ampere-hours of imbalance at the top, milliohms of the string at 20 degC.
const MONTHS: [f64; 10] = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 10.0, 11.0, 12.0];
const IMBALANCE: [f64; 10] = [0.6, 0.7, 0.7, 0.9, 1.0, 1.2, 1.3, 1.9, 2.0, 2.1];
const MILLIOHMS: [f64; 10] = [5.03, 5.04, 5.02, 5.06, 5.05, 5.08, 5.10, 5.38, 5.41, 5.39];

fn months(m: f64) -> Time {
    seconds(m * YEAR / 12.0)
}

fn text<T: std::fmt::Debug>(answer: Result<T, Error>) -> String {
    answer.unwrap_err().to_string()
}

/// A test with a shared and an own part, in percent.
fn budget(ah: f64, shared: f64, own: f64) -> Budget<Charge> {
    let value = ampere_hours(ah);
    let term = |name: &str, percent: f64, common| {
        Term::normal(name, Fraction::new(percent / 100.0), value.si(), common)
    };
    Budget::new(value, vec![term("gain", shared, Common::Instrument), term("offset", own, Common::Own)])
        .unwrap()
}

fn dated(m: f64, cycles: f64, capacity: Budget<Charge>) -> DatedTest {
    DatedTest { time: months(m), full_cycles: cycles, capacity }
}

fn year(relation: Relation) -> Tests {
    let test = |ah: f64| budget(ah, 0.48, 0.12);
    let tests =
        vec![dated(0.0, 1.0, test(234.8)), dated(6.0, 33.0, test(233.9)), dated(12.0, 45.0, test(231.9))];
    Tests::new(tests, relation).unwrap()
}

fn ageing() -> Ageing {
    let half = StateOfCharge::new(0.5).unwrap();
    let mild = Temperature::celsius(15.0);
    Ageing {
        storage: Storage { charge: half, temperature: mild },
        cycling: Cycling {
            depth: Fraction::new(0.7),
            rate: Rate::new(0.2).unwrap(),
            middle: half,
            temperature: mild,
        },
        full_cycles_a_year: 44.0,
    }
}

const MODELS: [(AgeingModel, AgeingModel); 2] =
    [(AgeingModel::Naumann, AgeingModel::Naumann), (AgeingModel::LargeLfp, AgeingModel::LargeLfp)];

#[test]
fn the_year_of_the_bank_comes_out_as_worked() {
    let independent = year(Relation::Independent).trend(P95).unwrap();
    assert!(!independent.significant, "{}", independent.sentence());
    assert!(independent.sentence().ends_with("not yet significant"));
    assert!((independent.per_year.out() + 2.9).abs() < 0.1);
    let same = year(Relation::SameInstrument).trend(P95).unwrap();
    assert!(same.significant, "{}", same.sentence());
    // A link or stud loosened in winter: a step between months 6 and 10.
    let times: Vec<Time> = MONTHS.iter().map(|m| months(*m)).collect();
    let change = ChangePoint::find(&times, &MILLIOHMS, 0.01, Fraction::new(0.05)).unwrap();
    assert!(change.significant, "{change:?}");
    assert_eq!((change.after, change.before), (months(6.0), months(10.0)));
    assert!((change.between_neighbours - 0.28).abs() < 1e-9);
    assert!(change.step > 0.2 && change.step < 0.35, "{change:?}");
    // Imbalance grows steadily by 0.12 Ah a month and reaches 5 Ah after about three years.
    let steady = ChangePoint::find(&times, &IMBALANCE, 0.1, Fraction::new(0.05)).unwrap();
    assert!(!steady.significant, "{steady:?}");
    let line = Line::fit(&times, &IMBALANCE).unwrap();
    assert!((line.per_year() / 12.0 - 0.12).abs() < 0.015, "{}", line.per_year() / 12.0);
    let reached = line.reaches(5.0, P95).unwrap();
    let (low, high) = (reached.low().unwrap().si() / YEAR, reached.high().unwrap().si() / YEAR);
    assert!(low > 2.3 && low < 3.0 && high < 3.5 && high > 2.7, "{low} {high}");
}

#[test]
fn few_tests_leave_the_models_and_many_overrule_them() {
    let ah = |t: &Tests| t.tests()[0].capacity.value().out();
    let end = ampere_hours(0.8 * 230.0);
    let tests = year(Relation::SameInstrument);
    let forecast = tests.forecast(end, &MODELS, &ageing(), P95).unwrap();
    assert!(ah(&tests) > end.out());
    let low = forecast.band.low().unwrap().si() / YEAR;
    assert!(low > 1.5, "{low}");
    assert!(forecast.band.high().is_none_or(|h| h.si() / YEAR > low));
    assert!(forecast.sentence().contains("by tests and models together"));
    // Ten years of tests that follow a model three times as fast.
    let (q, law) = (234.0, AgeingModel::Naumann.calendar(&ageing().storage).unwrap());
    let cycles = AgeingModel::Naumann.cycling(&ageing().cycling).unwrap();
    let long: Vec<DatedTest> = (0..=10)
        .map(|y| {
            let (days, full) = (365.25 * f64::from(y), 44.0 * f64::from(y));
            let lost = law.after(days).unwrap().value() + cycles.after(full).unwrap().value();
            dated(12.0 * f64::from(y), full, budget(q * (1.0 - 3.0 * lost), 0.3, 0.1))
        })
        .collect();
    let long = Tests::new(long, Relation::SameInstrument).unwrap();
    let fitted = long.forecast(end, &MODELS[..1], &ageing(), P95).unwrap();
    let (factor, spread) = fitted.by_model[0].factor;
    assert!((factor - 3.0).abs() < 0.15 && spread < 0.1, "{factor} {spread}");
    let start = long.tests()[0].capacity.value().out();
    let wanted = (start - end.out()) / start;
    let true_year = (1..20_000)
        .map(|k| f64::from(k) / 200.0)
        .find(|y| {
            3.0 * (law.after(365.25 * y).unwrap().value() + cycles.after(44.0 * y).unwrap().value()) >= wanted
        })
        .unwrap();
    let (low, high) = (fitted.band.low().unwrap().si() / YEAR, fitted.band.high().unwrap().si() / YEAR);
    assert!(low < true_year && true_year < high && high - low < 0.3 * true_year, "{low} {true_year} {high}");
}

#[test]
fn the_next_test_settles_it() {
    let tests = year(Relation::Independent);
    let apart = tests.next_test(Relation::Independent, P95).unwrap();
    let same = tests.next_test(Relation::SameInstrument, P95).unwrap();
    assert!(same.detection_limit < apart.detection_limit && same.time < apart.time);
    assert!((apart.detection_limit.out() - 3.2).abs() < 0.2, "{}", apart.detection_limit.out());
    // At that date the fade is beyond the limit.
    let years = apart.time.unwrap().si() / YEAR;
    assert!(2.9 * years > apart.detection_limit.out() && years < 3.0, "{years}");
    let rising = vec![dated(0.0, 0.0, budget(230.0, 0.3, 0.1)), dated(12.0, 40.0, budget(231.0, 0.3, 0.1))];
    let rising = Tests::new(rising, Relation::Independent).unwrap();
    assert_eq!(rising.next_test(Relation::Independent, P95).unwrap().time, None);
}

#[test]
fn a_drifting_monitor_is_found() {
    let sync = |days: f64, percent: f64| Sync {
        since_last: seconds(86400.0 * days),
        jump: Fraction::new(percent / 100.0),
    };
    let syncs = vec![sync(7.0, 5.3), sync(14.0, 11.2), sync(10.0, 7.6), sync(21.0, 16.6)];
    let drift = Monitor { capacity: ampere_hours(460.0), syncs }.drift().unwrap();
    assert!(drift.significant && (drift.offset.si() - 0.15).abs() < 0.01, "{drift:?}");
    assert_eq!(drift.judge_sync().verdict, Verdict::Fail);
    let quiet = Monitor {
        capacity: ampere_hours(460.0),
        syncs: vec![sync(7.0, 0.3), sync(9.0, -0.4), sync(8.0, 0.2)],
    };
    let quiet = quiet.drift().unwrap();
    assert!(!quiet.significant && quiet.judge_sync().verdict == Verdict::Pass);
}

proptest! {
    #[test]
    fn the_unit_of_time_does_not_matter(step in -1.0..1.0_f64, drift in -0.1..0.1_f64, at in 2usize..8) {
        let values: Vec<f64> = (0..10)
            .map(|k| 5.0 + drift * f64::from(k) + if k as usize >= at { step } else { 0.0 } + 0.01 * f64::from(k * k * 7 % 5))
            .collect();
        let find = |unit: f64| {
            let times: Vec<Time> = (0..10).map(|k| seconds(unit * f64::from(k))).collect();
            ChangePoint::find(&times, &values, 0.01, Fraction::new(0.05)).unwrap()
        };
        let (a, b) = (find(1.0), find(86400.0));
        prop_assert!((a.step - b.step).abs() < 1e-9 && (a.chance - b.chance).abs() < 1e-9);
        prop_assert!((a.drift - 86400.0 * b.drift).abs() < 1e-9);
        if step.abs() > 0.5 {
            prop_assert!(a.significant && (a.step - step).abs() < 0.1);
            prop_assert_eq!(a.before.si(), at as f64);
        }
    }

    #[test]
    fn health_needs_no_scale(c1 in 50.0..500.0_f64, ratio in 0.7..1.05_f64, shared in 0.1..1.0_f64, own in 0.05..0.5_f64) {
        let (a, b) = (budget(c1, shared, own), budget(c1 * ratio, shared, own));
        let same = state_of_health(&a, &b, Relation::SameInstrument).unwrap();
        let apart = state_of_health(&a, &b, Relation::Independent).unwrap();
        prop_assert!((same.value().value() - ratio).abs() < 1e-12);
        // A gain in common cancels in a ratio, whole: what is left are the two own errors.
        prop_assert!((same.combined().value() / (ratio * own / 100.0 * 2.0_f64.sqrt()) - 1.0).abs() < 1e-6);
        prop_assert!((apart.combined().value() / (ratio / 100.0 * (2.0 * (own * own + shared * shared)).sqrt()) - 1.0).abs() < 1e-6);
    }

    #[test]
    fn a_shared_gain_moves_no_trend(gain in -0.02..0.02_f64, slope in -10.0..2.0_f64) {
        let trend = |factor: f64| {
            let tests = (0..5).map(|k| {
                let y = f64::from(k);
                dated(12.0 * y, 40.0 * y, budget(factor * (230.0 + slope * y), 0.5, 0.1))
            });
            Tests::new(tests.collect(), Relation::SameInstrument).unwrap().trend(P95).unwrap()
        };
        let (a, b) = (trend(1.0), trend(1.0 + gain));
        prop_assert!((a.per_year.out() - slope).abs() < 1e-6);
        prop_assert!((b.per_year.out() / a.per_year.out() - 1.0 - gain).abs() < 1e-6);
        prop_assert_eq!(a.significant, slope.abs() > a.per_year_half_width.out());
    }
}

#[test]
fn scatter_beyond_the_budgets_widens_the_interval() {
    let half = |values: [f64; 4]| {
        let tests = values
            .iter()
            .enumerate()
            .map(|(k, q)| dated(12.0 * k as f64, 0.0, budget(*q, 0.0, 0.1)))
            .collect();
        let trend = Tests::new(tests, Relation::Independent).unwrap().trend(P95).unwrap();
        (trend.per_year_half_width.out(), trend.fits.unwrap().value())
    };
    let (calm, fits) = half([230.0, 229.0, 228.1, 227.0]);
    let (wild, misfits) = half([230.0, 227.0, 231.0, 226.0]);
    assert!(wild > 5.0 * calm && fits > 0.05 && misfits < 1e-6, "{calm} {wild} {fits} {misfits}");
}

#[test]
fn bad_series_are_refused() {
    let t = |m: f64, c: f64| dated(m, c, budget(230.0, 0.3, 0.1));
    assert!(text(Tests::new(vec![t(0.0, 0.0)], Relation::Independent)).contains("two capacity tests"));
    assert!(text(Tests::new(vec![t(6.0, 0.0), t(0.0, 1.0)], Relation::Independent)).contains("test 2"));
    assert!(
        text(Tests::new(vec![t(0.0, 9.0), t(6.0, 1.0)], Relation::Independent))
            .contains("cycles that do not fall")
    );
    let shared = dated(12.0, 1.0, budget(230.0, 0.3, 0.0));
    assert!(
        text(Tests::new(vec![t(0.0, 0.0), shared], Relation::SameInstrument)).contains("error of its own")
    );
    assert!(text(year(Relation::Independent).trend(Fraction::new(0.0))).contains("between 0 % and 100 %"));
    assert!(
        text(year(Relation::Independent).forecast(ampere_hours(184.0), &[], &ageing(), P95))
            .contains("models")
    );
    let times: Vec<Time> = (0..6).map(|k| seconds(f64::from(k))).collect();
    let alarm = Fraction::new(0.05);
    assert!(text(ChangePoint::find(&times[..5], &[1.0; 5], 0.1, alarm)).contains("six readings"));
    assert!(text(ChangePoint::find(&times, &[1.0; 5], 0.1, alarm)).contains("one reading for each time"));
    assert!(text(ChangePoint::find(&times, &[1.0; 6], 0.0, alarm)).contains("resolution"));
    let back: Vec<Time> = times.iter().rev().copied().collect();
    assert!(text(ChangePoint::find(&back, &[1.0; 6], 0.1, alarm)).contains("at place 2"));
    assert!(text(Line::fit(&times[..2], &[1.0, 2.0])).contains("three readings"));
    let bare = Monitor { capacity: ampere_hours(0.0), syncs: vec![] };
    assert!(text(bare.error_after(amperes(0.1), seconds(1.0))).contains("capacity"));
    assert!(text(Monitor { capacity: ampere_hours(1.0), ..bare }.drift()).contains("two returns"));
}
