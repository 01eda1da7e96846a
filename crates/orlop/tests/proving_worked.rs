//! One bank's commissioning test, worked through by hand beforehand: half-hour means of a string of eight cells.
//!
//! The example was made for this house, the arithmetic apart from this code.

use orlop::proving::capacity::{
    CapacityTest, Chunk, Instrument, LogFormat, Outcome, Procedure, Sampling, Stop, TemperatureCorrection,
    compare_budgets, evaluate_log,
};
use orlop::proving::uncertainty::{Budget, Common, Relation, Term};
use orlop::units::{Charge, Fraction, Quantity, TemperatureRise, ampere_hours, amperes, seconds, volts};

const P95: Fraction = Fraction::new(0.95);
const HOURS: [f64; 13] = [0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 4.5, 5.0, 5.5, 6.0, 6.45];
const AMPERES: [f64; 13] = [36.2, 35.8, 36.6, 36.1, 41.9, 36.0, 35.7, 36.3, 35.9, 28.4, 36.2, 36.0, 35.8];
const VOLTS: [f64; 13] =
    [26.48, 26.43, 26.39, 26.32, 26.12, 26.11, 26.07, 25.98, 25.84, 25.74, 25.48, 25.12, 22.78];
const DEGREES: [f64; 13] = [17.5, 17.9, 18.2, 18.5, 18.8, 19.2, 19.5, 19.8, 20.2, 20.5, 20.8, 21.2, 21.5];
const LOWEST: [f64; 13] =
    [3.305, 3.299, 3.294, 3.285, 3.259, 3.259, 3.253, 3.242, 3.224, 3.214, 3.179, 3.133, 2.789];
const HIGHEST: [f64; 13] =
    [3.313, 3.306, 3.301, 3.293, 3.267, 3.266, 3.261, 3.250, 3.232, 3.220, 3.188, 3.144, 2.890];

fn meter() -> Instrument {
    Instrument {
        name: "shunt monitor, string A".into(),
        gain: Fraction::new(0.005),
        offset: amperes(0.05),
        clock: Fraction::new(0.0),
        thermometer: TemperatureRise::kelvins(0.0),
        cell_voltage: volts(0.005),
    }
}

fn by_the_book() -> Procedure {
    Procedure {
        rated: ampere_hours(230.0),
        full: Some(Fraction::new(0.004)),
        // A standard uncertainty of 0.09 % as half of a rectangle.
        empty: Some(Fraction::new(0.0009 * 3.0_f64.sqrt())),
        stop: Stop::Cell(volts(2.80)),
        temperature: Some(TemperatureCorrection::lfp()),
        rate: None,
    }
}

fn commissioning(rows: usize, procedure: Procedure) -> CapacityTest {
    // The log names only the lowest cell of each row: D12 all the way down, D11 at the end; the highest stands for the rest.
    let mut d12 = LOWEST;
    d12[12] = f64::NAN;
    let mut d11 = [f64::NAN; 13];
    d11[12] = LOWEST[12];
    let cells: [&[f64]; 3] = [&d11[..rows], &d12[..rows], &HIGHEST[..rows]];
    let log = Chunk {
        time: &HOURS[..rows],
        current: &AMPERES[..rows],
        voltage: Some(&VOLTS[..rows]),
        cells: &cells,
        temperature: Some(&DEGREES[..rows]),
        indicated: None,
    };
    let format = LogFormat {
        time_unit: seconds(3600.0),
        sampling: Sampling::MeanSince { start: 0.0 },
        ..LogFormat::default()
    };
    CapacityTest::new(evaluate_log(&log, format).unwrap(), meter(), procedure).unwrap()
}

#[test]
fn the_commissioning_test_comes_out_as_worked() {
    let test = commissioning(13, by_the_book());
    assert!((test.log.charge.out() - 231.7).abs() < 0.06, "{}", test.log.charge.out());
    let rate = test.log.mean_current.si() / 230.0;
    assert!((rate - 0.157).abs() < 0.001, "{rate}");
    // The mean of the rows is 19.5 degC; weighted by the charge between them it is a little less.
    assert!((test.log.mean_temperature.unwrap().degrees_celsius() - 19.5).abs() < 0.3);
    let capacity = test.capacity().unwrap();
    assert!((capacity.value().out() - 234.8).abs() < 0.25, "{}", capacity.value().out());
    let percent = |name: &str| {
        let term = capacity.terms().iter().find(|t| t.name == name).unwrap();
        100.0 * term.effect.abs() / capacity.value().si()
    };
    for (name, worked) in [
        ("gain", 0.29),
        ("offset", 0.08),
        ("definition of full", 0.23),
        ("temperature coefficient", 0.32),
        ("definition of empty", 0.09),
    ] {
        assert!((percent(name) - worked).abs() < 0.015, "{name}: {}", percent(name));
    }
    // 0.50 % worked with 5.5 K; weighted by charge the bank was 5.7 K below the reference.
    let relative = 100.0 * capacity.relative().unwrap().value();
    assert!((relative - 0.50).abs() < 0.015, "{relative}");
    // Two standard uncertainties are 2.3 Ah; the joint distribution of mostly rectangles is a little narrower.
    let twice = 2.0 * capacity.combined().out();
    assert!((twice - 2.3).abs() < 0.12, "{twice}");
    let half = capacity.half_width(P95).unwrap().out();
    assert!(half < twice && half > 0.93 * twice, "{half}");
    assert_eq!(capacity.largest().unwrap().0.name, "temperature coefficient");
    let sentence = test.sentence(P95).unwrap();
    assert!(sentence.starts_with("235 Ah +- 2.3 Ah (95 %), 102 %"), "{sentence}");
}

#[test]
fn two_different_weaknesses_are_told_apart() {
    let weak = commissioning(13, by_the_book()).weakness;
    assert_eq!(weak.knees[0].cell, 0, "D11 is the smallest");
    assert_eq!(weak.most_resistive, Some((1, false)), "D12 sags most, inferred from its plateau");
}

#[test]
fn stopped_at_twenty_percent_it_says_lower_bound_only() {
    let procedure = Procedure { stop: Stop::Indicated(Fraction::new(0.20)), ..by_the_book() };
    let test = commissioning(10, procedure);
    let Outcome::AtLeast { drawn, why } = &test.outcome else { panic!("an estimate") };
    assert!((drawn.value().out() - 179.4).abs() < 0.1, "{}", drawn.value().out());
    assert!(why.contains("the result would repeat that setting"), "{why}");
    assert!(test.sentence(P95).unwrap().starts_with("lower bound 179.4 Ah, no estimate"));
}

#[test]
fn the_year_is_not_yet_significant_for_independent_meters() {
    // 234.8 and 231.9 Ah, each with the terms of the commissioning test, the cells at about the same temperature.
    let test = |ampere_hours_: f64| {
        let value: Charge = ampere_hours(ampere_hours_);
        let share = |name: &str, percent: f64, common| {
            Term::normal(name, Fraction::new(percent / 100.0), value.si(), common)
        };
        let terms = vec![
            share("gain", 0.29, Common::Instrument),
            share("offset", 0.08, Common::Own),
            share("definition of full", 0.23, Common::Procedure),
            share("temperature coefficient", 0.32, Common::Procedure),
            share("definition of empty", 0.09, Common::Procedure),
        ];
        Budget::new(value, terms).unwrap()
    };
    let seen = compare_budgets(&test(234.8), &test(231.9), Relation::SameInstrument, P95).unwrap();
    assert!((seen.independent.difference.value().out() + 2.9).abs() < 1e-9);
    assert!((seen.independent.detection_limit.out() - 3.3).abs() < 0.1, "{}", seen.independent.sentence());
    assert!(!seen.independent.significant && seen.as_tested.significant);
    assert!(seen.independent.sentence().ends_with("not yet significant"), "{}", seen.independent.sentence());
}
