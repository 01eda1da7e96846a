//! Logs in memory, as columns.

use crate::columns::Columns;
use crate::errors::raise;
use crate::run::run;
use orlop::Error;
use orlop::proving::capacity::{Chunk, Log, LogFormat, Sampling, Sign, evaluate_log};
use orlop_units::seconds;
use pyo3::prelude::*;

/// Names that the time column may have, with the seconds of its unit; dates have none.
const TIMES: [(&str, Option<f64>); 6] = [
    ("time_s", Some(1.0)),
    ("time_ms", Some(1e-3)),
    ("time_min", Some(60.0)),
    ("time_h", Some(3600.0)),
    ("time_d", Some(86400.0)),
    ("time", None),
];

/// The log of a table, and the names of its cells.
pub fn evaluate(columns: &Bound<'_, PyAny>, sign: Sign, mean_since: bool) -> PyResult<(Log, Vec<String>)> {
    let py = columns.py();
    let table = Columns::borrow(columns, "log")?;
    let names: Vec<&str> = table.all().iter().map(|(name, _)| name.as_str()).collect();
    let is_cell = |n: &&&str| n.starts_with("cell_") && n.ends_with("_v");
    let cells: Vec<String> = names.iter().filter(is_cell).map(ToString::to_string).collect();
    let mut known: Vec<&str> = TIMES.iter().map(|t| t.0).collect();
    known.extend(["current_a", "voltage_v", "temperature_degc", "indicated_percent"]);
    known.extend(cells.iter().map(String::as_str));
    table.only(py, &known)?;
    let given: Vec<_> = TIMES.iter().filter(|t| names.contains(&t.0)).collect();
    let [(time_name, unit)] = given[..] else {
        let got = if given.is_empty() { "no time column" } else { "several time columns" };
        let expected = "one of time_s, time_ms, time_min, time_h, time_d, or time with dates";
        return Err(raise(py, &Error::input("log", got, expected)));
    };
    let dates = if unit.is_none() { table.moments(py, time_name)? } else { None };
    let time = match &dates {
        Some(seconds) => seconds,
        None => table.numbers(py, time_name)?.unwrap_or_default(),
    };
    let Some(current) = table.numbers(py, "current_a")? else {
        return Err(raise(py, &Error::input("log", "no column 'current_a'", "the current in amperes")));
    };
    let volts: Vec<&[f64]> =
        cells.iter().map(|c| Ok(table.numbers(py, c)?.unwrap_or_default())).collect::<PyResult<_>>()?;
    let chunk = Chunk {
        time,
        current,
        voltage: table.numbers(py, "voltage_v")?,
        cells: &volts,
        temperature: table.numbers(py, "temperature_degc")?,
        indicated: table.numbers(py, "indicated_percent")?,
    };
    let sampling = if mean_since { Sampling::MeanSince { start: 0.0 } } else { Sampling::AtTheMoment };
    let format = LogFormat { time_unit: seconds(unit.unwrap_or(1.0)), sign, sampling };
    let log = run(py, || evaluate_log(&chunk, format))?;
    Ok((log, cells))
}
