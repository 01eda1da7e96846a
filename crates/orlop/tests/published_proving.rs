//! Outside truth about proving: every `tests/published/proving_*.toml`.
//!
//! `cargo test -p orlop --test published_proving -- --nocapture` prints one line per source.

#[path = "published/case.rs"]
mod case;
#[path = "published/report.rs"]
mod report;

use case::{Answer, Inputs};
use orlop::Error;
use orlop::solve::{Grubbs, LeastSquares};

macro_rules! published {
    ($($file:ident),* $(,)?) => {
        const FILES: &[&str] = &[$(stringify!($file)),*];
        $(#[test] fn $file() { case::run(stringify!($file), |q, i| question(stringify!($file), q, i)); })*
    };
}

published! {
    proving_grubbs,
    proving_gum_h3,
    proving_nist_longley,
    proving_nist_noint1,
    proving_nist_norris,
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
