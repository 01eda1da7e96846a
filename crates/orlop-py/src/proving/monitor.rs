//! How far a charge counter drifts, and how well it is kept in step.

use crate::convert::{self, exact_text, out};
use crate::errors::OrRaise;
use crate::html::sheet;
use crate::judgement::Judgement;
use crate::range::Range;
use crate::run::run;
use crate::working::Working;
use orlop::proving::follow::{Drift, Monitor, Sync};
use orlop_units::show;
use pyo3::prelude::*;
use pyo3::types::PyTuple;

/// How a battery monitor drifts between full charges, found from how far its percentage jumped each time it was set to full.
///
/// Parameters
/// ----------
/// capacity : str or quantity
///     Capacity that stands for 100 % in the monitor.
/// since_last : sequence of str or quantity
///     For each return to full, the time since the one before: "9 d".
/// jumps : sequence of str or quantity
///     For each, by how much the percentage jumped: positive when the monitor had shown too little.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> drift = orlop.MonitorDrift("460 Ah", ["7 d", "14 d", "10 d", "21 d"], ["5.4 %", "11.1 %", "7.7 %", "16.3 %"])
/// >>> drift
/// MonitorDrift(0.149 A, give or take 2.86 mA: significant)
/// >>> print(f"{drift.error_after('30 d'):.1f~P}")
/// 23.4 %
/// >>> drift.judge_sync().verdict
/// 'fail'
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct MonitorDrift {
    monitor: Monitor,
    drift: Drift,
}

#[pymethods]
impl MonitorDrift {
    #[new]
    fn new(
        capacity: &Bound<'_, PyAny>,
        since_last: &Bound<'_, PyAny>,
        jumps: &Bound<'_, PyAny>,
    ) -> PyResult<Self> {
        let py = capacity.py();
        let since: Vec<orlop_units::Time> =
            since_last.try_iter()?.map(|t| convert::quantity(&t?, "since_last")).collect::<PyResult<_>>()?;
        let jumps: Vec<orlop_units::Fraction> =
            jumps.try_iter()?.map(|j| convert::quantity(&j?, "jumps")).collect::<PyResult<_>>()?;
        if since.len() != jumps.len() {
            let got = format!("{} times and {} jumps", since.len(), jumps.len());
            let error = orlop::Error::input("jumps", got, "one jump for each return to full");
            return Err(crate::errors::raise(py, &error));
        }
        let syncs =
            since.into_iter().zip(jumps).map(|(since_last, jump)| Sync { since_last, jump }).collect();
        let monitor = Monitor { capacity: convert::quantity(capacity, "capacity")?, syncs };
        let drift = monitor.drift().or_raise(py)?;
        Ok(Self { monitor, drift })
    }

    /// Offset of the current that explains the jumps: positive when the monitor counts too much discharge.
    #[getter]
    fn offset(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.drift.offset)
    }
    /// Interval of the offset (95 %).
    #[getter]
    fn bounds(&self) -> Range {
        let (offset, half) = (self.drift.offset, self.drift.half_width);
        orlop::Range::new(offset - half, offset + half).into()
    }
    /// Whether the offset is told from none.
    #[getter]
    fn significant(&self) -> bool {
        self.drift.significant
    }
    /// The longest time between two full charges.
    #[getter]
    fn longest(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.drift.longest)
    }
    /// By how much the percentage is off after a time without a full charge.
    fn error_after(&self, py: Python<'_>, time: &Bound<'_, PyAny>) -> PyResult<Py<PyAny>> {
        let time = convert::quantity(time, "time")?;
        out(py, self.monitor.error_after(self.drift.offset, time).or_raise(py)?)
    }
    /// Time after which the percentage is off by a limit.
    fn time_to_error(&self, py: Python<'_>, limit: &Bound<'_, PyAny>) -> PyResult<Py<PyAny>> {
        let limit = convert::quantity(limit, "limit")?;
        out(py, self.monitor.time_to_error(self.drift.offset, limit).or_raise(py)?)
    }
    /// How the offset was found.
    fn explain(&self, py: Python<'_>) -> PyResult<Working> {
        run(py, || {
            let mut working = orlop::Working::new(self.__repr__());
            self.monitor.drift_recorded(&mut working)?;
            Ok(working)
        })
        .map(Working::from)
    }
    /// Whether the bank is brought to full often enough for the monitor (every two weeks, by practice).
    fn judge_sync(&self) -> Judgement {
        Judgement(self.drift.judge_sync())
    }

    fn __len__(&self) -> usize {
        self.monitor.syncs.len()
    }
    fn __repr__(&self) -> String {
        let word = if self.drift.significant { "significant" } else { "not told from none" };
        let half = show(self.drift.half_width);
        format!("MonitorDrift({}, give or take {half}: {word})", show(self.drift.offset))
    }
    fn _repr_html_(&self) -> String {
        let rows = [
            ("offset", format!("{} ({})", show(self.drift.offset), self.bounds())),
            ("longest without full", show(self.drift.longest)),
            ("returns to full", self.__len__().to_string()),
        ];
        sheet("drift of the monitor", &rows, &[])
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let make = py.import("orlop._orlop")?.getattr("MonitorDrift")?;
        let since: Vec<String> = self.monitor.syncs.iter().map(|s| exact_text(s.since_last)).collect();
        let jumps: Vec<String> = self.monitor.syncs.iter().map(|s| exact_text(s.jump)).collect();
        (make, (exact_text(self.monitor.capacity), since, jumps)).into_pyobject(py)
    }
}
