//! Which cycles are in a record of charge.

use super::answer::{BankAnswer, Value};
use crate::asked::Asked;
use crate::columns::Columns;
use crate::errors::raise;
use crate::run::run;
use orlop::cell::ageing::{cycles_table, full_cycles, rainflow_recorded};
use orlop::{Error, Working};
use orlop_units::Fraction;
use pyo3::prelude::*;

/// The cycles in a record of charge, however they are nested, by rainflow counting (ASTM E1049, 5.4.4): how deep, how many.
///
/// ``full_cycles`` is what `Cell.life` asks for, for the time that the record lasts; a cycle that never closes counts half.
///
/// Parameters
/// ----------
/// record : Arrow stream or dict of columns
///     ``charge_percent`` in the order of time; other columns are not asked.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> week = orlop.count_cycles({"charge_percent": [90, 60, 75, 40, 90, 55, 95]})
/// >>> week.table.to_dicts()[0]
/// {'depth_percent': 55.0, 'middle_percent': 67.5, 'count': 0.5}
/// >>> f"{week['full_cycles']:.2f} full cycles, the deepest {week['deepest'].m_as('percent'):.0f} %"
/// '1.02 full cycles, the deepest 55 %'
#[pyfunction]
pub fn count_cycles(record: &Bound<'_, PyAny>) -> PyResult<BankAnswer> {
    let py = record.py();
    let columns = Columns::read(record, "record")?;
    let percent = columns.needed(py, columns.numbers(py, "charge_percent")?, "charge_percent")?;
    if let Some(row) = percent.iter().position(|p| !(0.0..=100.0).contains(p)) {
        let got = format!("{} in row {}", percent[row], row + 1);
        return Err(raise(py, &Error::input("charge_percent", got, "0 to 100 in every row")));
    }
    if percent.len() < 2 {
        let got = format!("{} rows", percent.len());
        return Err(raise(py, &Error::input("record", got, "two rows or more, in the order of time")));
    }
    let share: Vec<f64> = percent.iter().map(|p| p / 100.0).collect();
    let mut working = Working::new("cycles in a record of charge");
    let cycles = run(py, || rainflow_recorded(&share, &mut working))?;
    let mut asked = Asked::default();
    asked.table("record", &columns);
    let (full, deepest) = (full_cycles(&cycles), cycles.iter().map(|c| c.range).fold(0.0, f64::max));
    let values = vec![
        ("full_cycles", Value::Number(full)),
        ("deepest", Value::of(Fraction::new(deepest))),
        ("counted", Value::Number(cycles.iter().map(|c| c.count).sum())),
    ];
    Ok(BankAnswer::new("count_cycles", "full_cycles", asked)
        .values(values)
        .with_table(cycles_table(&cycles))
        .worked(working))
}
