//! What must hold for any test of a bank, whatever was logged.

#[path = "proving/simulated.rs"]
mod simulated;

use orlop::proving::capacity::{
    CapacityTest, Chunk, Evaluation, Log, LogFormat, Outcome, Procedure, Sampling, Sign, Stop, TestPlan,
    compare, evaluate_log,
};
use orlop::proving::uncertainty::{Budget, Common, Relation, Term};
use orlop::solve::{ErrorSum, LeastSquares};
use orlop::units::{Fraction, Number, Quantity, ampere_hours, amperes, seconds, volts};
use orlop::{Error, Verdict, Working};
use proptest::prelude::*;
use simulated::{Bank, Columns, instrument, procedure};

const P95: Fraction = Fraction::new(0.95);

fn read(columns: &Columns) -> Log {
    columns.with(|c| evaluate_log(c, LogFormat::default())).unwrap()
}

fn test(columns: &Columns) -> CapacityTest {
    CapacityTest::new(read(columns), instrument(), procedure()).unwrap()
}

fn text<T: std::fmt::Debug>(answer: Result<T, Error>) -> String {
    answer.unwrap_err().to_string()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(16))]

    /// A steady load is summed several rows at once; rests, other loads, charging and what loggers do to a log come between.
    #[test]
    fn many_rows_at_once_give_the_bits_of_row_by_row(
        parts in prop::collection::vec((1usize..40_000, prop::sample::select(vec![36.0, 45.0, 0.0, 0.5, -0.2])), 3..8),
        sign in prop::sample::select(vec![1.0, -1.0]),
        piece in 100usize..250,
        noise in prop::sample::select(vec![0.0, 1e-3, 0.1]),
        faults in prop::collection::vec((0usize..1_000_000, 0u8..5), 0..6),
    ) {
        let mut log = Columns { cells: vec![Vec::new()], ..Columns::default() };
        let steady = [(70_000, 36.0)].into_iter().chain(parts);
        for current in steady.flat_map(|(rows, current)| std::iter::repeat_n(current, rows)) {
            let k = log.time.len();
            let wave = (k as f64 * 0.7).sin();
            let current: f64 = current + noise * wave;
            log.time.push(0.25 * k as f64 + 0.005 * wave);
            log.current.push(sign * current);
            log.voltage.push(26.4 - 1e-6 * k as f64 - 4e-3 * current);
            log.cells[0].push(3.3 - 1e-3 * current);
            log.temperature.push(20.0 + 1e-5 * k as f64);
            log.indicated.push(90.0);
        }
        let rows = log.time.len();
        for (place, fault) in faults {
            let k = place % (rows - 1);
            match fault {
                0 => log.voltage[k] = f64::NAN,
                1 => log.temperature[k] = f64::NAN,
                2 => log.time[k + 1..].iter_mut().for_each(|t| *t += 30.0),
                3 => log.current[k] = 80.0 * sign,
                _ => log.each(|c| c.swap(k, k + 1)),
            }
        }
        let mut short = Evaluation::new(LogFormat::default()).unwrap();
        for begin in (0..rows).step_by(piece) {
            log.slice(begin, (begin + piece).min(rows), |c| short.push(c)).unwrap();
        }
        // Where what loggers do to it makes it no discharge, both say so in the same words.
        let whole = log.with(|c| evaluate_log(c, LogFormat::default()));
        prop_assert_eq!(format!("{:?}", short.finish()), format!("{whole:?}"));
    }
}

proptest! {
    #[test]
    fn splitting_a_log_changes_nothing(cut in 1usize..380, noise in 0.0..5.0_f64) {
        let log = Bank { noise, ..Bank::sound() }.run();
        let (rows, mut parts) = (log.time.len(), Evaluation::new(LogFormat::default()).unwrap());
        let cut = cut.min(rows - 1);
        log.slice(0, cut, |c| parts.push(c)).unwrap();
        log.slice(cut, rows, |c| parts.push(c)).unwrap();
        prop_assert_eq!(parts.finish().unwrap(), read(&log));
    }

    /// Pieces too short to be summed from their columns against a log that is summed in long blocks, with what loggers do to it.
    #[test]
    fn short_pieces_and_long_blocks_give_the_same_bits(
        piece in 1usize..250,
        faults in prop::collection::vec((0usize..20_000, 0u8..7), 0..12),
        noise in 0.0..5.0_f64,
    ) {
        let mut log = Bank { noise, step: 1.2, ..Bank::sound() }.run();
        let rows = log.time.len();
        prop_assert!(rows > 15_000, "{}", rows);
        for (place, fault) in faults {
            let k = place % (rows - 1);
            match fault {
                0 => log.current[k] = f64::NAN,
                1 => log.voltage[k] = f64::NAN,
                2 => log.cells[1][k] = f64::INFINITY,
                3 => log.temperature[k] = f64::NAN,
                4 => log.time[k + 1] = log.time[k],
                5 => log.each(|c| c.swap(k, k + 1)),
                _ => log.each(|c| c[k + 1] = c[k]),
            }
        }
        let mut short = Evaluation::new(LogFormat::default()).unwrap();
        for begin in (0..rows).step_by(piece) {
            log.slice(begin, (begin + piece).min(rows), |c| short.push(c)).unwrap();
        }
        prop_assert_eq!(format!("{:?}", short.finish().unwrap()), format!("{:?}", read(&log)));
    }

    #[test]
    fn the_unit_of_time_is_irrelevant(unit in prop::sample::select(vec![1e-3, 1.0, 60.0, 3600.0, 86400.0])) {
        let mut log = Bank::sound().run();
        let there = read(&log);
        log.time.iter_mut().for_each(|t| *t /= unit);
        let format = LogFormat { time_unit: seconds(unit), ..LogFormat::default() };
        let other = log.with(|c| evaluate_log(c, format)).unwrap();
        for (a, b) in [
            (there.charge.si(), other.charge.si()),
            (there.energy.unwrap().si(), other.energy.unwrap().si()),
            (there.duration.si(), other.duration.si()),
            (there.integration.si(), other.integration.si()),
            (there.usual_step.si(), other.usual_step.si()),
        ] {
            prop_assert!((a / b - 1.0).abs() < 1e-9, "{} {}", a, b);
        }
    }

    #[test]
    fn a_reversed_sign_is_detected(noise in 0.0..5.0_f64) {
        let mut log = Bank { noise, ..Bank::sound() }.run();
        let there = read(&log);
        log.current.iter_mut().for_each(|i| *i = -*i);
        let turned = read(&log);
        prop_assert!(there.discharge_positive && !turned.discharge_positive);
        prop_assert_eq!(there.charge, turned.charge);
        prop_assert_eq!(&there.cell_resistances, &turned.cell_resistances);
        let format = LogFormat { sign: Sign::DischargePositive, ..LogFormat::default() };
        let refused = text(log.with(|c| evaluate_log(c, format)));
        prop_assert!(refused.contains("turn the sign convention round"), "{}", refused);
    }

    #[test]
    fn noise_widens_the_interval(low in 0.0..4.0_f64, more in 1.0..8.0_f64) {
        let half = |noise| {
            let columns = Bank { noise, ..Bank::sound() }.run();
            test(&columns).capacity().unwrap().half_width(P95).unwrap()
        };
        prop_assert!(half(low + more) > half(low));
    }

    #[test]
    fn disorder_and_repeats_change_nothing(place in 0usize..300, far in 1usize..200) {
        let straight = Bank::sound().run();
        let mut mixed = straight.clone();
        mixed.each(|c| {
            let value = c.remove(place);
            c.insert(place + far.min(c.len() - place), value);
            c.push(c[place]);
        });
        let (a, b) = (read(&straight), read(&mixed));
        prop_assert!((a.charge.si() / b.charge.si() - 1.0).abs() < 1e-12);
        prop_assert_eq!(b.care.repeated.rows, 1);
        prop_assert!(b.care.out_of_order.rows >= 1);
        // Any order at all, where the whole log is in memory.
        let mut turned = straight.clone();
        turned.each(|c| c.reverse());
        let turned = turned.with(|c| evaluate_log(c, LogFormat::default())).unwrap();
        prop_assert_eq!(turned.charge, a.charge);
        prop_assert_eq!(turned.course, a.course);
    }

    #[test]
    fn the_smallest_and_the_most_resistive_cell_are_found(
        small in 0usize..4, stiff in 0usize..4, least in 215.0..229.0_f64, extra in 0.3e-3..2e-3_f64,
    ) {
        let mut bank = Bank { step: 20.0, ..Bank::sound() };
        bank.capacities[small] = least;
        bank.resistances = vec![0.5e-3; 4];
        bank.resistances[stiff] += extra;
        let weak = test(&bank.run()).weakness;
        prop_assert_eq!(weak.knees[0].cell, small);
        prop_assert_eq!(weak.most_resistive, Some((stiff, true)));
    }

    #[test]
    fn a_percentage_tests_nothing(left in 0.05..0.5_f64, capacity in 231.0..400.0_f64) {
        let mut bank = Bank::sound();
        bank.capacities = vec![capacity; 4];
        let mut log = bank.run();
        let stop = log.indicated.iter().position(|p| *p <= 100.0 * left).unwrap();
        log.each(|c| c.truncate(stop + 1));
        let by_percent = Procedure { stop: Stop::Indicated(Fraction::new(left)), ..procedure() };
        let answer = CapacityTest::new(read(&log), instrument(), by_percent).unwrap();
        prop_assert!(answer.capacity().is_none());
        let implied = answer.indicated.unwrap();
        prop_assert!(implied.repeats_setting && (implied.implied.out() - 230.0).abs() < 0.5);
        // The lower bound repeats the setting, whatever the true capacity is.
        let Outcome::AtLeast { drawn, why } = &answer.outcome else { panic!() };
        prop_assert!((drawn.value().out() / (230.0 * (1.0 - left)) - 1.0).abs() < 0.01);
        prop_assert!(why.contains("repeat that setting"), "{}", why);
        prop_assert_eq!(answer.bounds(P95).unwrap().high(), None);
        prop_assert!(answer.against_rated(Fraction::new(1.0), P95).unwrap().verdict != Verdict::Fail);
    }

    #[test]
    fn a_test_that_stopped_early_is_a_lower_bound(part in 0.2..0.95_f64) {
        let mut log = Bank::sound().run();
        let keep = (part * log.time.len() as f64) as usize;
        log.each(|c| c.truncate(keep));
        let answer = test(&log);
        prop_assert!(answer.capacity().is_none());
        prop_assert!(answer.weakness.knees.is_empty());
        prop_assert!(answer.sentence(P95).unwrap().contains("no estimate"));
    }

    #[test]
    fn a_shared_error_cancels(gain in 0.001..0.02_f64, own in 0.0001..0.01_f64, first in 200.0..250.0_f64, ratio in 0.95..1.0_f64) {
        let budget = |q: f64| {
            let terms = vec![
                Term::tolerance("gain", Fraction::new(gain), 3600.0 * q, Common::Instrument),
                Term::normal("own", Fraction::new(own), 3600.0 * q, Common::Own),
            ];
            Budget::new(ampere_hours(q), terms).unwrap()
        };
        let (a, b) = (budget(first), budget(first * ratio));
        let same = a.difference(&b, Relation::SameInstrument).combined();
        let apart = a.difference(&b, Relation::Independent).combined();
        prop_assert!(same < apart);
        let left = 3600.0 * first * own * (1.0 + ratio * ratio).sqrt();
        let gain_left = 3600.0 * first * gain * (1.0 - ratio) / 3.0_f64.sqrt();
        prop_assert!((same.si() - left.hypot(gain_left)).abs() < 1e-9 * same.si());
        prop_assert!((apart.si().powi(2) - a.combined().si().powi(2) - b.combined().si().powi(2)).abs() < 1e-9 * apart.si().powi(2));
    }

    #[test]
    fn the_interval_of_a_sum_lies_between_its_limits(
        normal in 0.0..3.0_f64, widths in prop::collection::vec(0.0..3.0_f64, 0..6), p in 0.5..0.999_f64,
    ) {
        prop_assume!(normal > 0.01 || widths.iter().any(|a| *a > 0.01));
        let sum = ErrorSum::new(normal, &widths);
        let half = sum.half_width(p);
        // Chebyshev's bound for any distribution of this deviation, and all rectangles at their ends.
        prop_assert!(half <= sum.deviation() / (1.0 - p).sqrt() * 1.0001);
        prop_assert!(half <= widths.iter().sum::<f64>() + 9.0 * normal);
        prop_assert!(sum.half_width(p - 0.1) < half);
    }

    #[test]
    fn least_squares_leave_nothing_along_a_column(values in prop::collection::vec(-10.0..10.0_f64, 24), y in prop::collection::vec(-10.0..10.0_f64, 8)) {
        let Ok(fit) = LeastSquares::new(&values, 3, &y) else { return Ok(()) };
        for j in 0..3 {
            let dot: f64 = (0..8).map(|i| values[3 * i + j] * fit.residuals[i]).sum();
            prop_assert!(dot.abs() < 1e-9, "{}", dot);
        }
    }
}

#[test]
fn bad_logs_are_refused_with_their_rows() {
    let ask = |time: &[f64], current: &[f64]| {
        text(evaluate_log(&Chunk { time, current, ..Chunk::default() }, LogFormat::default()))
    };
    assert!(text(Evaluation::new(LogFormat::default()).unwrap().finish()).contains("two rows or more"));
    assert!(ask(&[], &[]).contains("0 usable rows"));
    assert!(ask(&[1.0], &[1.0]).contains("1 usable row"));
    assert!(ask(&[1.0, 2.0], &[1.0]).contains("1 rows in current, 2 in time"));
    assert!(ask(&[0.0, 1.0, 2.0], &[1.0, f64::NAN, f64::NAN]).contains("the first is row 2"));
    assert!(ask(&[0.0, 1.0, 2.0], &[0.0; 3]).contains("a discharge with"));
    // A clock that starts again interleaves two courses; no order is right.
    let time: Vec<f64> = (0..600).chain(0..500).map(f64::from).collect();
    let current: Vec<f64> = (0..1100).map(|k| 10.0 + 0.001 * f64::from(k)).collect();
    assert!(ask(&time, &current).contains("a clock that starts again in row 601"));
    let mut streamed = Evaluation::new(LogFormat::default()).unwrap();
    let refused = text(streamed.push(&Chunk { time: &time, current: &current, ..Chunk::default() }));
    assert!(refused.contains("row 601") && refused.contains("sorts it"), "{refused}");
    let other = Chunk { time: &[1.0], current: &[1.0], voltage: Some(&[1.0]), ..Chunk::default() };
    assert!(text(streamed.push(&other)).contains("other columns"));
}

#[test]
fn a_log_read_twice_counts_once() {
    let straight = Bank::sound().run();
    let mut twice = straight.clone();
    twice.each(|c| c.extend_from_within(..));
    let log = read(&twice);
    assert_eq!(log.charge, read(&straight).charge);
    assert_eq!(log.care.repeated.rows as usize, straight.time.len());
}

#[test]
fn a_gap_is_told_and_paid_for() {
    let mut log = Bank::sound().run();
    log.each(|c| drop(c.drain(100..160)));
    let with_gap = read(&log);
    assert_eq!((with_gap.gap_count, with_gap.gaps[0].before_row), (1, 101));
    assert!((with_gap.gap_time.si() - 61.0 * 60.0).abs() < 1e-6);
    let test = CapacityTest::new(with_gap, instrument(), procedure()).unwrap();
    assert!(test.flags.iter().any(|f| f.contains("before row 101")), "{:?}", test.flags);
    assert!(test.log.in_gaps > ampere_hours(1.0));
}

#[test]
fn missing_values_are_counted_not_guessed() {
    let mut log = Bank::sound().run();
    log.current[50] = f64::NAN;
    log.current[51] = f64::INFINITY;
    log.voltage[70] = f64::NAN;
    log.cells[2][80] = f64::NAN;
    let read = read(&log);
    assert_eq!(
        (read.care.missing.rows, read.care.missing.first, read.care.missing.longest_run),
        (2, Some(51), 2)
    );
    assert_eq!((read.care.missing_voltage.rows, read.care.missing_voltage.first), (1, Some(71)));
    assert!(read.charge.si().is_finite() && read.energy.unwrap().si().is_finite());
}

#[test]
fn means_and_moments_are_integrated_each_in_their_way() {
    let log = Chunk { time: &[1.0, 2.0, 3.0], current: &[10.0, 20.0, 30.0], ..Chunk::default() };
    let hours = LogFormat { time_unit: seconds(3600.0), ..LogFormat::default() };
    assert!((evaluate_log(&log, hours).unwrap().charge.out() - 40.0).abs() < 1e-12);
    let means = LogFormat { sampling: Sampling::MeanSince { start: 0.0 }, ..hours };
    assert!((evaluate_log(&log, means).unwrap().charge.out() - 60.0).abs() < 1e-12);
}

#[test]
fn tests_with_the_same_meter_see_more() {
    let (new, mut old) = (Bank::sound(), Bank::sound());
    old.capacities.iter_mut().for_each(|c| *c *= 0.99);
    let (first, later) = (test(&new.run()), test(&old.run()));
    let seen = compare(&first, &later, P95).unwrap();
    assert_eq!(seen.as_tested.relation, Relation::SameInstrument);
    assert!(seen.as_tested.significant && !seen.independent.significant, "{}", seen.independent.sentence());
    assert!(seen.independent.sentence().ends_with("not yet significant"));
}

#[test]
fn a_clock_that_starts_again_many_times_is_no_disorder() {
    let time: Vec<f64> = (0..10 * 400).map(|k| f64::from(k % 400)).collect();
    let current: Vec<f64> = (0..10 * 400).map(|k| 10.0 + 1e-4 * f64::from(k)).collect();
    let log = Chunk { time: &time, current: &current, ..Chunk::default() };
    assert!(text(evaluate_log(&log, LogFormat::default())).contains("a clock that starts again in row 401"));
}

/// Common practice: a new bank tests a few percent above its rating and settles within its first year. The verdict calls the one no proof of good
/// wiring and the other no fault.
#[test]
fn more_than_the_rating_is_no_proof_and_settling_no_fault() {
    let bank = |share: f64| {
        let mut bank = Bank::sound();
        bank.capacities.iter_mut().for_each(|c| *c *= share);
        test(&bank.run())
    };
    // 235 Ah of the smallest cell are 2 % above the rated 230 Ah; a year later it holds 1.5 % less.
    let (new, settled) = (bank(1.0), bank(0.985));
    for test in [&new, &settled] {
        let kept = test.against_rated(Fraction::new(0.8), P95).unwrap();
        assert_eq!(kept.verdict, Verdict::Pass, "{}", kept.what);
    }
    let said = new.against_rated(Fraction::new(0.8), P95).unwrap().what;
    assert!(
        said.contains("usual for new cells") && said.contains("proves nothing about sharing or joints"),
        "{said}"
    );
    let seen = compare(&new, &settled, P95).unwrap();
    assert!(seen.as_tested.significant && !seen.independent.significant);
    for change in [&seen.as_tested, &seen.independent] {
        let said = change.sentence();
        assert!(!["fault", "fail", "defect", "bad"].iter().any(|w| said.contains(w)), "{said}");
    }
}

#[test]
fn rests_do_not_count_for_the_rate() {
    let log = Chunk { time: &[0.0, 10.0, 10.1, 100.0], current: &[30.0, 30.0, 0.0, 0.0], ..Chunk::default() };
    let log = evaluate_log(&log, LogFormat::default()).unwrap();
    assert!((log.load_current.si() / 30.0 - 1.0).abs() < 0.01 && log.mean_current.si() < 4.0);
}

#[test]
fn the_working_names_every_part() {
    let mut working = Working::new("capacity");
    let log = read(&Bank::sound().run());
    let test = CapacityTest::new_recorded(log, instrument(), procedure(), &mut working).unwrap();
    let text = working.to_string();
    for part in ["charge drawn", "at the reference temperature", "uncertainty: gain", "capacity"] {
        assert!(text.contains(part), "{part} in {text}");
    }
    assert_eq!(test, self::test(&Bank::sound().run()));
}

#[test]
fn a_plan_foresees_the_budget() {
    let done = test(&Bank::sound().run());
    let at = done.log.mean_temperature.unwrap();
    let plan = TestPlan::new(amperes(40.0), at, &instrument(), &procedure()).unwrap();
    let foreseen = plan.expected.combined().si() / done.capacity().unwrap().combined().si();
    assert!((0.7..1.1).contains(&foreseen), "{foreseen}");
    let by_percent = Procedure { stop: Stop::Indicated(Fraction::new(0.2)), ..procedure() };
    assert!(
        text(TestPlan::new(amperes(40.0), at, &instrument(), &by_percent))
            .contains("repeats the monitor's setting")
    );
    assert!(text(TestPlan::new(amperes(0.0), at, &instrument(), &procedure())).contains("load"));
}

#[test]
fn bad_definitions_are_refused() {
    let log = || read(&Bank::sound().run());
    let with = |p: Procedure| text(CapacityTest::new(log(), instrument(), p));
    assert!(with(Procedure { rated: ampere_hours(0.0), ..procedure() }).contains("rated"));
    assert!(with(Procedure { stop: Stop::Cell(volts(f64::NAN)), ..procedure() }).contains("stop"));
    assert!(with(Procedure { full: Some(Fraction::new(-0.1)), ..procedure() }).contains("full"));
    let mut meter = instrument();
    meter.offset = amperes(-1.0);
    assert!(text(CapacityTest::new(log(), meter, procedure())).contains("offset"));
    let mut cold = Bank::sound().run();
    cold.temperature.iter_mut().for_each(|t| *t = f64::NAN);
    let refused = text(CapacityTest::new(read(&cold), instrument(), procedure()));
    assert!(refused.contains("without temperatures"), "{refused}");
    assert!(text(Budget::new(Number::of(f64::NAN), vec![])).contains("finite"));
    assert!(text(test(&Bank::sound().run()).bounds(Fraction::new(1.0))).contains("between 0 % and 100 %"));
}
