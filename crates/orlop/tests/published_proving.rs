//! Outside truth about proving: every `tests/published/proving_*.toml`.
//!
//! `cargo test -p orlop --test published_proving -- --nocapture` prints one line per source.

#[path = "published/case.rs"]
mod case;
#[path = "published/report.rs"]
mod report;

use case::{Answer, Inputs};
use orlop::Error;
use orlop::proving::capacity::{
    CapacityTest, Chunk, Instrument, LogFormat, Procedure, Stop, TemperatureCorrection, evaluate_log,
    share_of_rated_time,
};
use orlop::proving::diagnose::{Ask, Belief, Hypothesis, Model, Point, Seen};
use orlop::proving::follow::Monitor;
use orlop::proving::resistance::{Drain, InsulationTest, Joint, Pulse, Step};
use orlop::proving::uncertainty::{Budget, Common, Readings, Term};
use orlop::solve::{Grubbs, LeastSquares};
use orlop::units::{
    Fraction, Length, Quantity, Temperature, TemperatureRise, ampere_hours, amperes, metres, seconds, volts,
};

macro_rules! published {
    ($($file:ident),* $(,)?) => {
        const FILES: &[&str] = &[$(stringify!($file)),*];
        $(#[test] fn $file() { case::run(stringify!($file), |q, i| question(stringify!($file), q, i)); })*
    };
}

published! {
    proving_bayes,
    proving_counter_drift,
    proving_grubbs,
    proving_gum_h1,
    proving_gum_h2,
    proving_gum_h3,
    proving_information,
    proving_insulation,
    proving_joint,
    proving_nist_longley,
    proving_nist_noint1,
    proving_nist_norris,
    proving_pulse,
    proving_rated_time,
    proving_resting_drain,
    proving_temperature_form,
}

const DIR: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/published");

#[test]
fn every_file_about_proving_is_asked() {
    let mut found: Vec<String> = std::fs::read_dir(DIR)
        .expect("tests/published")
        .map(|entry| entry.expect("readable").file_name().to_string_lossy().into_owned())
        .filter_map(|name| Some(name.strip_suffix(".toml")?.to_string()))
        .filter(|name| name.starts_with("proving_"))
        .collect();
    found.sort();
    assert_eq!(found, FILES);
}

fn question(file: &str, question: &str, q: &Inputs) -> Result<Answer, Error> {
    match question {
        "regression" => regression(file, q),
        "pulse" => pulse(q),
        "bayes" => two_causes(q, "hit", "alarm", |belief| {
            belief.see(Seen::Answer { of: 0, yes: true })?;
            Ok(Answer::of(Fraction::new(belief.probabilities()[0])))
        }),
        "information" => {
            two_causes(q, "one", "other", |belief| Ok(Answer::Number(belief.information(Ask::Answer(0)))))
        }
        "joint" => {
            let (u, i) = (q.get("across"), q.get("current"));
            let joint = Joint::measured(u, volts(0.001), i, amperes(0.1), metres(0.02))?;
            Ok(match q.text("what").unwrap() {
                "resistance" => Answer::of(joint.resistance),
                _ => Answer::of(joint.heat(i, i)?.power),
            })
        }
        "resting-drain" => {
            let drain = Drain { current: q.get("current"), standard: amperes(0.0) };
            match q.text("what").unwrap() {
                "a-day" => drain.in_time(seconds(86400.0)).map(Answer::of),
                _ => drain.time_to_take(q.get("charge")).map(Answer::of),
            }
        }
        "counter-drift" => Monitor { capacity: q.get("capacity"), syncs: vec![] }
            .error_after(q.get("offset"), q.get("time"))
            .map(Answer::of),
        "end-gauge" => end_gauge(q),
        "impedance" => impedance(q),
        "insulation" => {
            let test = InsulationTest::of(q.get("nominal"))?;
            Ok(match q.text("what").unwrap() {
                "test-voltage" => Answer::of(test.test_voltage),
                _ => Answer::of(test.least),
            })
        }
        "rated-time" => share_of_rated_time(q.get("actual"), q.get("rated")).map(Answer::of),
        "temperature-form" => temperature_form(q),
        "grubbs" => {
            let values = list(q.text("values").unwrap());
            let test = Grubbs::new(&values, q.text("false_alarm").unwrap().parse().unwrap())?;
            Ok(Answer::Number(match q.text("what").unwrap() {
                "statistic" => test.statistic,
                "critical" => test.critical,
                _ => (test.place + 1) as f64,
            }))
        }
        other => panic!("question '{other}'"),
    }
}

/// Two causes with their chances of yes, asked something.
fn two_causes(
    q: &Inputs,
    one: &str,
    other: &str,
    ask: impl Fn(&mut Belief<'_>) -> Result<Answer, Error>,
) -> Result<Answer, Error> {
    let number = |name: &str| -> f64 { q.text(name).unwrap().parse().unwrap() };
    let cause = |odds: f64, chance: &str| Hypothesis {
        odds,
        points: vec![Point { chances: vec![number(chance)], ..Point::default() }],
    };
    let prior = number("prior");
    let model = Model::new(0, vec![cause(prior, one), cause(1.0 - prior, other)])?;
    ask(&mut Belief::new(&model))
}

fn list(text: &str) -> Vec<f64> {
    text.split(',').map(|x| x.trim().parse().unwrap()).collect()
}

/// A data set of the file: the observations and the columns, with ones before them unless there is a column `x0`.
fn data(file: &str, set: &str) -> (Vec<f64>, usize, Vec<f64>, bool) {
    let text = std::fs::read_to_string(format!("{DIR}/{file}.toml")).expect("readable");
    let whole: toml::Table = text.parse().expect("TOML");
    let set = whole["data"][set].as_table().expect("a table");
    let column = |name: &str| -> Option<Vec<f64>> {
        let values = set.get(name)?.as_array().expect("an array");
        Some(values.iter().map(|v| v.as_float().expect("a number")).collect())
    };
    let y = column("y").expect("y");
    let through_origin = column("x0").is_some();
    let first = column("x0").unwrap_or_else(|| vec![1.0; y.len()]);
    let columns: Vec<Vec<f64>> =
        std::iter::once(first).chain((1..).map_while(|k| column(&format!("x{k}")))).collect();
    let x = (0..y.len()).flat_map(|row| columns.iter().map(move |c| c[row])).collect();
    (x, columns.len(), y, !through_origin)
}

fn regression(file: &str, q: &Inputs) -> Result<Answer, Error> {
    let (x, columns, y, intercept) = data(file, q.text("set").unwrap());
    let fit = LeastSquares::new(&x, columns, &y)?;
    let what = q.text("what").unwrap();
    let s = fit.deviation().unwrap();
    let mean = if intercept { y.iter().sum::<f64>() / y.len() as f64 } else { 0.0 };
    let total: f64 = y.iter().map(|v| (v - mean).powi(2)).sum();
    let index = |digits: &str| digits.parse::<usize>().unwrap();
    Ok(Answer::Number(match what {
        "s" => s,
        "r2" => 1.0 - fit.residual_sum() / total,
        "f" => (total - fit.residual_sum()) / (columns - 1) as f64 / (s * s),
        "r01" => fit.covariance(0, 1, s) / (fit.standard_error(0).unwrap() * fit.standard_error(1).unwrap()),
        "at10" => fit.coefficients[0] + 10.0 * fit.coefficients[1],
        "u10" => {
            let c = |i, j| fit.covariance(i, j, s);
            (c(0, 0) + 20.0 * c(0, 1) + 100.0 * c(1, 1)).sqrt()
        }
        _ if what.starts_with("sd") => fit.standard_error(index(&what[2..])).unwrap(),
        _ => fit.coefficients[index(&what[1..])],
    }))
}

/// The parts of example H.1, in nanometres (held as metres), with their degrees of freedom.
fn end_gauge(q: &Inputs) -> Result<Answer, Error> {
    let part = |name: &str, u: f64, freedom: f64| {
        Term::normal(name, metres(u), 1.0, Common::Own).with_degrees_of_freedom(freedom)
    };
    let parts = vec![
        part("standard", 25.0, 18.0),
        part("mean of five", 5.8, 24.0),
        part("comparator, random", 3.9, 5.0),
        part("comparator, systematic", 6.7, 8.0),
        // Half-widths 1e-6/K and 0.05 K, times 50 mm and -0.1 K, 11.5e-6/K: 2.887 nm and 16.599 nm.
        part("difference of expansion", 0.1 * 50.0e6 * 1e-6 / 3.0_f64.sqrt(), 50.0),
        part("difference of temperature", 50.0e6 * 11.5e-6 * 0.05 / 3.0_f64.sqrt(), 2.0),
    ];
    let budget = Budget::<Length>::new(metres(50_000_838.0), parts)?;
    Ok(Answer::Number(match q.text("what").unwrap() {
        "combined" | "unrounded" => budget.combined().si(),
        "freedom" => budget.effective_degrees_of_freedom().floor(),
        _ => budget.half_width(Fraction::new(0.99))?.si(),
    }))
}

fn impedance(q: &Inputs) -> Result<Answer, Error> {
    let column = |name: &str| list(q.text(name).unwrap());
    let (v, i, phase) = (column("volts"), column("milliamperes"), column("phase"));
    let read = Readings::new(&[&v, &i, &phase])?;
    let z = read.derive(|m| {
        let size = m[0] / (1e-3 * m[1]);
        vec![size * m[2].cos(), size * m[2].sin(), size]
    });
    let place = |c: char| "RXZ".find(c).unwrap();
    let what: Vec<char> = q.text("what").unwrap().chars().collect();
    let digit = |c: char| c.to_digit(10).map(|d| d as usize);
    Ok(Answer::Number(match (what[0], what.last().copied().and_then(digit)) {
        ('m', Some(k)) => read.mean(k),
        ('u', Some(k)) => read.standard(k),
        ('r', Some(k)) => read.correlation(digit(what[1]).unwrap(), k),
        ('u', None) => z.standard(place(what[1])),
        ('r', None) => z.correlation(place(what[1]), place(what[2])),
        (c, _) => z.values[place(c)],
    }))
}

fn temperature_form(q: &Inputs) -> Result<Answer, Error> {
    let number = |name: &str| q.text(name).unwrap().parse::<f64>().unwrap();
    let (end, i, t) = (number("hours"), number("current"), number("temperature"));
    let log = Chunk {
        time: &[0.0, end],
        current: &[i, i],
        voltage: Some(&[12.6, 10.8]),
        temperature: Some(&[t, t]),
        ..Chunk::default()
    };
    let hours = LogFormat { time_unit: seconds(3600.0), ..LogFormat::default() };
    let meter = Instrument {
        name: "meter".into(),
        gain: Fraction::new(0.0),
        offset: amperes(0.0),
        clock: Fraction::new(0.0),
        thermometer: TemperatureRise::kelvins(0.0),
        cell_voltage: volts(0.0),
    };
    let correction = TemperatureCorrection {
        per_kelvin: number("per_kelvin"),
        half_width: 0.0,
        reference: Temperature::celsius(25.0),
    };
    let procedure = Procedure {
        rated: ampere_hours(200.0),
        full: Some(Fraction::new(0.0)),
        empty: None,
        stop: Stop::Bank(volts(10.8)),
        temperature: Some(correction),
        rate: None,
    };
    let test = CapacityTest::new(evaluate_log(&log, hours)?, meter, procedure)?;
    Ok(Answer::of(test.capacity().expect("a capacity").value()))
}

fn pulse(q: &Inputs) -> Result<Answer, Error> {
    let pulse = Pulse {
        first: Step { voltage: q.get("u1"), current: q.get("i1") },
        second: Step { voltage: q.get("u2"), current: q.get("i2") },
        volt_noise: volts(0.0),
        current_noise: amperes(0.0),
        gain: Fraction::new(0.0),
        rest_fell: (volts(0.0), volts(0.0)),
    };
    match q.optional("rest") {
        None => pulse.resistance().map(|r| Answer::of(r.value())),
        Some(rest) => pulse.power(rest, q.get("lowest")).map(Answer::of),
    }
}
