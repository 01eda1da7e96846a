//! What a pack was asked, and what is left of it.

use super::bank::Pack;
use crate::asked::Asked;
use crate::convert::out;
use crate::html::sheet;
use crate::range::Range;
use crate::run::run;
use crate::working::Working;
use orlop::cell::{FaultConditions, Method, StateOfCharge};
use orlop::{Error, Recorder, Silent, pack};
use orlop_units::{Temperature, Voltage, show};
use pyo3::prelude::*;
use pyo3::types::PyTuple;

/// What a pack was asked, with what is known of the answer.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> cell = orlop.Cell("lfp", capacity="230 Ah", resistance_1khz="0.18 mohm", resistance_dc="0.55 mohm")
/// >>> pack = orlop.Pack(cell, series=8, parallel=2, order="series-first", link="0.06 mohm", parts="0.66 mohm")
/// >>> pack.resistance("1khz", charge="50 %", temperature="25 degC")
/// PackAnswer(resistance: 1.26 mohm)
/// >>> pack.equalising(difference="1 V", charge="50 %", temperature="25 degC")
/// PackAnswer(equalising current at closing: 198 A)
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct PackAnswer {
    pack: Pack,
    ask: Ask,
    range: Range,
    more: Vec<(&'static str, Range)>,
    flags: Vec<String>,
    asked: Asked,
}

/// What is left of a pack after one part has failed.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> pack = orlop.Pack(orlop.Cell("lfp", capacity="230 Ah"), series=8, parallel=2, order="parallel-first")
/// >>> left = pack.without_one_cell()
/// >>> left
/// Remains(cell-open: 50 %)
/// >>> print(f"{left.capacity:~P}")
/// 230.0 A·h
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct Remains {
    inner: pack::Remains,
    pack: Pack,
    asked: Asked,
}

/// The questions.
#[derive(Clone, PartialEq)]
pub enum Ask {
    Resistance(Method, StateOfCharge, Temperature),
    Fault(FaultConditions),
    Equalising(Voltage, StateOfCharge, Temperature),
}

type Ranges = (Range, Vec<(&'static str, Range)>, Vec<String>);

impl Ask {
    /// The Python method that asks it, and its name for people.
    fn names(&self) -> (&'static str, &'static str) {
        match self {
            Self::Resistance(..) => ("resistance", "resistance"),
            Self::Fault(_) => ("fault_current", "fault current"),
            Self::Equalising(..) => ("equalising", "equalising current at closing"),
        }
    }

    fn answer(&self, pack: &pack::Pack, rec: &mut impl Recorder) -> Result<Ranges, Error> {
        Ok(match *self {
            Self::Resistance(method, charge, temperature) => {
                let r = pack.resistance_recorded(method, charge, temperature, rec)?;
                (r.value.into(), vec![("one string", r.string.into())], r.flags)
            }
            Self::Fault(conditions) => {
                let fault = pack.fault_current_recorded(conditions, rec)?;
                let mut more = vec![
                    ("all strings closed", fault.all_closed.into()),
                    ("one string's own", fault.own.into()),
                ];
                more.extend(fault.from_others.map(|i| ("from the other strings into one", i.into())));
                (fault.current.into(), more, fault.flags)
            }
            Self::Equalising(difference, charge, temperature) => {
                let flow = pack.equalising_recorded(difference, charge, temperature, rec)?;
                (flow.closing.into(), vec![("after ten seconds", flow.sustained.into())], flow.flags)
            }
        })
    }
}

impl PackAnswer {
    pub fn of(py: Python<'_>, pack: Pack, ask: Ask, asked: Asked) -> PyResult<Self> {
        let (range, more, flags) = run(py, || ask.answer(pack.inner(), &mut Silent))?;
        Ok(Self { pack, ask, range, more, flags, asked })
    }
}

impl Remains {
    pub fn of(inner: pack::Remains, pack: Pack, asked: Asked) -> Self {
        Self { inner, pack, asked }
    }
}

#[pymethods]
impl PackAnswer {
    /// The pack that was asked.
    #[getter]
    fn pack(&self) -> Pack {
        self.pack.clone()
    }
    /// The bounds.
    #[getter]
    fn range(&self) -> Range {
        self.range
    }
    /// What belongs to it, by name: other states, other times.
    #[getter]
    fn more(&self) -> Vec<(&'static str, Range)> {
        self.more.clone()
    }
    /// What a reader must know.
    #[getter]
    fn flags<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, &self.flags)
    }
    /// How the answer was found.
    fn explain(&self, py: Python<'_>) -> PyResult<Working> {
        let title = format!("{} of {}", self.ask.names().1, self.pack.line());
        run(py, || {
            let mut working = orlop::Working::new(title);
            self.ask.answer(self.pack.inner(), &mut working)?;
            Ok(working)
        })
        .map(Working::from)
    }
    fn __repr__(&self) -> String {
        format!("PackAnswer({}: {})", self.ask.names().1, self.range)
    }
    fn _repr_html_(&self) -> String {
        let mut rows = vec![("answer", self.range.to_string())];
        rows.extend(self.more.iter().map(|(name, range)| (*name, range.to_string())));
        sheet(&format!("{} of {}", self.ask.names().1, self.pack.line()), &rows, &self.flags)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let pack = self.pack.clone().into_pyobject(py)?.into_any();
        self.asked.reduce(py, Some(pack), self.ask.names().0)
    }
}

#[pymethods]
impl Remains {
    /// What failed.
    #[getter]
    fn failure(&self) -> &'static str {
        self.inner.failure.word()
    }
    /// Capacity in service.
    #[getter]
    fn capacity(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.capacity)
    }
    /// The same as a share of the whole.
    #[getter]
    fn share(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.share)
    }
    /// How many times its own current each cell that is left carries at the same load, or None.
    #[getter]
    fn burden(&self) -> Option<f64> {
        self.inner.burden
    }
    /// Current that the neighbours send into a short, or None.
    #[getter]
    fn short_current(&self) -> Option<Range> {
        self.inner.short_current.map(Range::from)
    }
    /// What was assumed for that current.
    #[getter]
    fn flags<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, &self.inner.flags)
    }
    /// What happens.
    #[getter]
    fn what(&self) -> &str {
        &self.inner.what
    }
    fn __str__(&self) -> String {
        self.inner.to_string()
    }
    fn __repr__(&self) -> String {
        format!("Remains({}: {})", self.inner.failure.word(), show(self.inner.share))
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let pack = self.pack.clone().into_pyobject(py)?.into_any();
        self.asked.reduce(py, Some(pack), "after")
    }
}
