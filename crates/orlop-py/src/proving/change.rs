//! Whether a reading jumped.

use super::Any;
use super::measured::{any, difference_kind};
use crate::convert::{self, exact_text, out, out_si};
use crate::errors::{OrRaise, raise};
use crate::html::sheet;
use crate::range::Range;
use crate::run::run;
use crate::working::Working;
use orlop::Error;
use orlop::proving::follow;
use orlop_units::{Fraction, Kind, Quantity, Time, exact, show, show_range, show_si, significant};
use pyo3::prelude::*;
use pyo3::types::PyTuple;

const YEAR_S: f64 = 365.25 * 86400.0;

/// The likeliest step in a series of readings that may also drift: did a resistance jump, did the cells drift apart at once.
///
/// Parameters
/// ----------
/// times : sequence of str or quantity
///     Time of each reading, rising: "3 months", "410 d".
/// readings : sequence of str or quantity, or None
///     The readings, all of one kind; None where one is missing. Six or more.
/// resolution : str or quantity
///     The least difference that the instrument shows: scatter below it is not believed.
/// false_alarm : str or quantity, optional
///     Probability of a step found where there is none (5 %).
///
/// Examples
/// --------
/// >>> import orlop
/// >>> months = [f"{m} months" for m in range(8)]
/// >>> milliohms = [5.03, 5.04, 5.02, 5.06, 5.05, 5.38, 5.41, 5.39]
/// >>> change = orlop.ChangePoint(months, [f"{r} mohm" for r in milliohms], resolution="0.01 mohm")
/// >>> change.significant
/// True
/// >>> change.sentence
/// 'a step of 330 uohm (279 uohm to 381 uohm) between 4 months and 5 months: significant'
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct ChangePoint {
    inner: follow::ChangePoint,
    kind: Kind,
    times: Vec<Time>,
    /// In the base unit; none where one is missing.
    readings: Vec<Option<f64>>,
    resolution: f64,
    false_alarm: Fraction,
}

#[pymethods]
impl ChangePoint {
    #[new]
    #[pyo3(signature = (times, readings, *, resolution, false_alarm=None))]
    fn new(
        times: &Bound<'_, PyAny>,
        readings: &Bound<'_, PyAny>,
        resolution: &Bound<'_, PyAny>,
        false_alarm: Any<'_, '_>,
    ) -> PyResult<Self> {
        let py = times.py();
        let times: Vec<Time> =
            times.try_iter()?.map(|t| convert::quantity(&t?, "times")).collect::<PyResult<_>>()?;
        let resolution = any(resolution, "resolution", None)?;
        let kind = resolution.kind;
        let readings = readings
            .try_iter()?
            .map(|r| {
                let r = r?;
                if r.is_none() { Ok(None) } else { Ok(Some(any(&r, "readings", Some(kind))?.si)) }
            })
            .collect::<PyResult<Vec<_>>>()?;
        if kind == Kind::Temperature {
            let got = show_si(kind, resolution.si);
            return Err(raise(py, &Error::input("resolution", got, "a difference, such as '0.1 K'")));
        }
        let false_alarm =
            false_alarm.map_or(Ok(Fraction::new(0.05)), |p| convert::quantity(p, "false_alarm"))?;
        Self::find(kind, times, readings, resolution.si, false_alarm).or_raise(py)
    }

    /// Time of the last reading before the step.
    #[getter]
    fn after(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.after)
    }
    /// Time of the first reading after the step.
    #[getter]
    fn before(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.before)
    }
    /// Size of the step, apart from the steady drift.
    #[getter]
    fn step(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out_si(py, self.kind, self.inner.step)
    }
    /// Interval of the size (95 %), the moment taken as known.
    #[getter]
    fn bounds(&self) -> Range {
        let (step, half) = (self.inner.step, self.inner.half_width);
        Range::from_ends((self.kind, Some(step - half), Some(step + half)))
    }
    /// Difference of the two readings next to the step.
    #[getter]
    fn between_neighbours(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out_si(py, self.kind, self.inner.between_neighbours)
    }
    /// Drift in a year, apart from the step.
    #[getter]
    fn drift_a_year(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out_si(py, self.kind, self.inner.drift * YEAR_S)
    }
    /// Probability of a step as clear as this by chance, wherever it might have been.
    #[getter]
    fn chance(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, Fraction::new(self.inner.chance))
    }
    /// Whether that is below the probability of a false alarm.
    #[getter]
    fn significant(&self) -> bool {
        self.inner.significant
    }
    /// How the step was found and tested.
    fn explain(&self, py: Python<'_>) -> PyResult<Working> {
        let values: Vec<f64> = self.readings.iter().map(|r| r.unwrap_or(f64::NAN)).collect();
        let shown = |si: f64| show_si(self.kind, si);
        run(py, || {
            let mut working = orlop::Working::new(self.__repr__());
            follow::ChangePoint::find_recorded(
                &self.times,
                &values,
                self.resolution,
                self.false_alarm,
                shown,
                &mut working,
            )?;
            Ok(working)
        })
        .map(Working::from)
    }
    /// The answer in one sentence.
    #[getter]
    fn sentence(&self) -> String {
        let c = &self.inner;
        let (after, before) = (show(c.after), show(c.before));
        let step = show_si(self.kind, c.step);
        if c.significant {
            return format!("a step of {step} ({}) between {after} and {before}: significant", self.bounds());
        }
        let chance = significant(100.0 * c.chance, 2);
        format!(
            "no step told from scatter: the likeliest, {step} between {after} and {before}, comes by chance in {chance} % of such series"
        )
    }

    fn __repr__(&self) -> String {
        let word = if self.inner.significant { "significant" } else { "not significant" };
        let when = show_range(Kind::Time, Some(self.inner.after.si()), Some(self.inner.before.si()));
        format!("ChangePoint({} in {when}: {word})", show_si(self.kind, self.inner.step))
    }
    fn _repr_html_(&self) -> String {
        let rows = [
            ("step", format!("{} ({})", show_si(self.kind, self.inner.step), self.bounds())),
            ("drift in a year", show_si(self.kind, self.inner.drift * YEAR_S)),
            ("chance", show(Fraction::new(self.inner.chance))),
        ];
        sheet(&self.sentence(), &rows, &[])
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let make = py.import("orlop._orlop")?.getattr("_change_point")?;
        let state = (
            crate::asked::SCHEMA,
            crate::range::kind_name(self.kind),
            self.times.iter().map(|t| exact_text(*t)).collect::<Vec<_>>(),
            self.readings.clone(),
            self.resolution,
            exact(Kind::Fraction, self.false_alarm.si()),
        );
        (make, state).into_pyobject(py)
    }
}

impl ChangePoint {
    fn find(
        kind: Kind,
        times: Vec<Time>,
        readings: Vec<Option<f64>>,
        resolution: f64,
        false_alarm: Fraction,
    ) -> Result<Self, Error> {
        let values: Vec<f64> = readings.iter().map(|r| r.unwrap_or(f64::NAN)).collect();
        let inner = follow::ChangePoint::find(&times, &values, resolution, false_alarm)?;
        let kind = difference_kind(kind);
        Ok(Self { inner, kind, times, readings, resolution, false_alarm })
    }
}

/// Remakes a pickled change.
#[pyfunction(name = "_change_point")]
pub fn rebuild(
    py: Python<'_>,
    schema: u32,
    kind: &str,
    times: Vec<String>,
    readings: Vec<Option<f64>>,
    resolution: f64,
    false_alarm: &str,
) -> PyResult<ChangePoint> {
    crate::asked::check_schema(py, schema)?;
    let kind = crate::range::kind_named(py, kind)?;
    let time = |t: &String| orlop_units::parse(t, "times").map_err(Error::from).or_raise(py);
    let times = times.iter().map(time).collect::<PyResult<_>>()?;
    let false_alarm = orlop_units::parse(false_alarm, "false_alarm").map_err(Error::from).or_raise(py)?;
    ChangePoint::find(kind, times, readings, resolution, false_alarm).or_raise(py)
}
