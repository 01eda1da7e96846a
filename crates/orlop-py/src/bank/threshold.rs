//! Who acts first: every threshold of a bank on one axis of volts per cell.

use super::answer::{all, findings};
use crate::asked::Asked;
use crate::cell::cell_of;
use crate::columns::Columns;
use crate::convert;
use crate::errors::{OrRaise, raise};
use crate::html::sheet;
use crate::range::Range;
use crate::table::Table;
use crate::working::Working;
use orlop::cell::{Method, StateOfCharge};
use orlop::pack::threshold::{Discharge, Ladder, Role, Rung};
use orlop::{Error, Judgement};
use orlop_units::{Current, Quantity, Temperature, Time, amperes, ohms, volts};
use pyo3::prelude::*;
use pyo3::types::PyTuple;

const COLUMNS: &[&str] =
    &["threshold", "role", "setting_v", "cells", "tolerance_mv", "spread_mv", "cable_mohm", "current_a"];

/// The thresholds of a bank in order: made by ``orlop.threshold_ladder``.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> ladder = orlop.threshold_ladder({
/// ...     "threshold": ["cut-off", "alarm"], "role": ["low-cut-off", "low-alarm"],
/// ...     "setting_v": [2.8, 25.0], "cells": [1, 8], "tolerance_mv": [5, 50]})
/// >>> ladder
/// ThresholdLadder(2 thresholds, 4 findings)
/// >>> cell = orlop.Cell("lfp", capacity="230 Ah", resistance_dc="0.55 mohm")
/// >>> lead = ladder.lead_time("alarm", "cut-off", cell=cell, current="100 A", temperature="25 degC", parallel=2)
/// >>> 0 < lead.low.m_as("min") < lead.high.m_as("min") < 60
/// True
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct ThresholdLadder {
    inner: Ladder,
    judgements: Vec<Judgement>,
    asked: Asked,
}

/// The thresholds of a bank on one axis of volts per cell: chargers, alarms, stops, cut-offs, limits of the cell.
///
/// A threshold that reads the whole bank through a cable does not see the cells: charging, they lie between
/// ``(U - dU - I R)/n`` and ``(U + dU)/n``, one of them above that by the spread; discharging, between ``(U - dU)/n``, one below
/// that by the spread, and ``(U + dU + I R)/n``.
///
/// Parameters
/// ----------
/// table : Arrow stream or dict of columns
///     ``threshold`` (a name), ``role``, ``setting_v``, ``cells`` (cells in series that it reads: 1 for a manager that reads each);
///     where known ``tolerance_mv``, ``spread_mv`` (how far one cell may stand from the mean), ``cable_mohm`` (both legs) and
///     ``current_a`` (the most in it when it acts). Roles, the lowest first: ``low-limit``, ``low-cut-off``, ``load-stop``,
///     ``low-alarm``, ``charge-target``, ``high-alarm``, ``charge-stop``, ``high-cut-off``, ``high-limit``.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> ladder = orlop.threshold_ladder({
/// ...     "threshold": ["shore charger", "manager"], "role": ["charge-target", "high-cut-off"],
/// ...     "setting_v": [28.4, 3.6], "cells": [8, 1],
/// ...     "tolerance_mv": [80, 5], "spread_mv": [20, 0], "cable_mohm": [10, 0], "current_a": [50, 0]})
/// >>> for row in ladder.table().to_dicts():
/// ...     print(f"{row['threshold']}: {row['low_v']:.3f} to {row['high_v']:.3f} V a cell")
/// shore charger: 3.478 to 3.580 V a cell
/// manager: 3.595 to 3.605 V a cell
/// >>> ladder.judgements[0].verdict
/// 'pass'
#[pyfunction]
#[pyo3(signature = (table))]
pub fn threshold_ladder(table: &Bound<'_, PyAny>) -> PyResult<ThresholdLadder> {
    let py = table.py();
    let columns = Columns::read(table, "table")?;
    columns.only(py, COLUMNS)?;
    let names = columns.needed(py, columns.texts(py, "threshold")?, "threshold")?;
    let roles = columns.needed(py, columns.texts(py, "role")?, "role")?;
    let settings = columns.needed(py, columns.numbers(py, "setting_v")?, "setting_v")?;
    let cells = columns.needed(py, columns.numbers(py, "cells")?, "cells")?;
    let others: Vec<Option<&[f64]>> =
        COLUMNS[4..].iter().map(|name| columns.numbers(py, name)).collect::<PyResult<_>>()?;
    let mut rungs = Vec::with_capacity(columns.rows());
    for (row, name) in names.iter().enumerate() {
        let role = Role::parse(&roles[row], &format!("role of {name}")).or_raise(py)?;
        let at = |column: usize| others[column].map(|c| c[row]).filter(|x| !x.is_nan()).unwrap_or(0.0);
        let make = || -> Result<Rung, Error> {
            Rung::new(name, role, volts(settings[row]), count(cells[row], name)?)?
                .with_tolerance(volts(at(0) * 1e-3))?
                .with_spread(volts(at(1) * 1e-3))?
                .with_cable(ohms(at(2) * 1e-3), amperes(at(3)))
        };
        rungs.push(make().or_raise(py)?);
    }
    let mut asked = Asked::default();
    asked.table("table", &columns);
    let inner = Ladder::new(rungs).or_raise(py)?;
    let judgements = inner.judgements();
    Ok(ThresholdLadder { inner, judgements, asked })
}

fn count(number: f64, name: &str) -> Result<u32, Error> {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    if number >= 1.0 && number <= f64::from(u32::MAX) && number.fract() == 0.0 {
        return Ok(number as u32);
    }
    Err(Error::input(&format!("cells of {name}"), number.to_string(), "a whole number of 1 or more"))
}

/// A steady discharge with the least and the most resistance that the cell may have.
fn discharges(
    cell: &Bound<'_, PyAny>,
    current: &Bound<'_, PyAny>,
    temperature: &Bound<'_, PyAny>,
    parallel: u32,
) -> PyResult<Vec<Discharge>> {
    let py = cell.py();
    let own = cell_of(cell)?;
    if parallel == 0 {
        return Err(raise(py, &Error::input("parallel", "0", "a whole number of 1 or more")));
    }
    let current: Current = convert::quantity(current, "current")?;
    let temperature: Temperature = convert::quantity(temperature, "temperature")?;
    let make = || -> Result<Vec<Discharge>, Error> {
        let cell = own.inner;
        let half = StateOfCharge::new(0.5)?;
        let ends = cell.resistance(Method::TenSeconds, half, temperature)?;
        let p = f64::from(parallel);
        [ends.low(), ends.high()]
            .into_iter()
            .map(|r| {
                let curve = cell.chemistry().curve_at(None, temperature)?;
                Discharge::new(curve, cell.capacity() * p, r / p, current)
            })
            .collect()
    };
    make().or_raise(py)
}

#[pymethods]
impl ThresholdLadder {
    /// Whether neighbours stand in the right order, and which thresholds are missing.
    #[getter]
    fn judgements<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        all(py, &self.judgements)
    }
    /// Those that failed or could not be decided.
    #[getter]
    fn findings<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        findings(py, &self.judgements)
    }
    /// The table ``thresholds``: each with its setting per cell, and between which voltages a cell is when it acts.
    fn table(&self) -> Table {
        self.inner.table().into()
    }
    /// Time between a warning and a cut-off under a steady current, from the worst to the best combination of their errors.
    ///
    /// ``current`` is that of ``parallel`` such cells side by side; the cell's resistance counts from its least to its most.
    #[pyo3(signature = (warning, cut_off, *, cell, current, temperature, parallel=1))]
    #[allow(clippy::too_many_arguments)]
    fn lead_time(
        &self,
        py: Python<'_>,
        warning: &str,
        cut_off: &str,
        cell: &Bound<'_, PyAny>,
        current: &Bound<'_, PyAny>,
        temperature: &Bound<'_, PyAny>,
        parallel: u32,
    ) -> PyResult<Range> {
        let cases = discharges(cell, current, temperature, parallel)?;
        let times = cases.iter().map(|of| self.inner.lead_time(warning, cut_off, of));
        let times = times.collect::<Result<Vec<_>, _>>().or_raise(py)?;
        let end = |of: fn(orlop::Range<Time>) -> Option<Time>, pick: fn(f64, f64) -> f64| {
            times.iter().copied().filter_map(of).map(Quantity::si).reduce(pick).map(Time::from_si)
        };
        let (low, high) = (end(orlop::Range::low, f64::min), end(orlop::Range::high, f64::max));
        Ok(orlop::Range::from_bounds(low, high).into())
    }
    /// How ``lead_time`` was found: worst and best of their errors, first with the least resistance of the cell, then with the most.
    #[pyo3(signature = (warning, cut_off, *, cell, current, temperature, parallel=1))]
    #[allow(clippy::too_many_arguments)]
    fn explain(
        &self,
        py: Python<'_>,
        warning: &str,
        cut_off: &str,
        cell: &Bound<'_, PyAny>,
        current: &Bound<'_, PyAny>,
        temperature: &Bound<'_, PyAny>,
        parallel: u32,
    ) -> PyResult<Working> {
        let mut working = orlop::Working::new(format!("time from {warning} to {cut_off}"));
        for of in &discharges(cell, current, temperature, parallel)? {
            self.inner.lead_time_recorded(warning, cut_off, of, &mut working).or_raise(py)?;
        }
        Ok(working.into())
    }
    /// Whether every low alarm leaves so much time before every low cut-off.
    #[pyo3(signature = (wanted, *, cell, current, temperature, parallel=1))]
    fn warned_in_time<'py>(
        &self,
        py: Python<'py>,
        wanted: &Bound<'_, PyAny>,
        cell: &Bound<'_, PyAny>,
        current: &Bound<'_, PyAny>,
        temperature: &Bound<'_, PyAny>,
        parallel: u32,
    ) -> PyResult<Bound<'py, PyTuple>> {
        let wanted: Time = convert::quantity(wanted, "wanted")?;
        let cases = discharges(cell, current, temperature, parallel)?;
        let mut worst: Vec<Judgement> = Vec::new();
        for of in &cases {
            let judged = self.inner.warned_in_time(wanted, of).or_raise(py)?;
            if worst.is_empty() {
                worst = judged;
                continue;
            }
            for (kept, new) in worst.iter_mut().zip(judged) {
                if new.margin < kept.margin {
                    *kept = new;
                }
            }
        }
        all(py, &worst)
    }
    fn __len__(&self) -> usize {
        self.inner.rungs().len()
    }
    fn __repr__(&self) -> String {
        let findings = self.judgements.iter().filter(|j| j.is_finding()).count();
        format!("ThresholdLadder({} thresholds, {findings} findings)", self.inner.rungs().len())
    }
    fn _repr_html_(&self) -> String {
        let rungs = self.inner.rungs().iter();
        let rows: Vec<(&str, String)> =
            rungs.map(|r| (r.id(), format!("{}, cells at {}", r.role().word(), r.at_cell()))).collect();
        let remarks: Vec<String> =
            self.judgements.iter().filter(|j| j.is_finding()).map(|j| j.what.clone()).collect();
        sheet("thresholds per cell", &rows, &remarks)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        self.asked.reduce(py, None, "threshold_ladder")
    }
}
