//! What a cell was asked, and the answer.

use super::Cell;
use crate::asked::Asked;
use crate::convert::out_si;
use crate::html::sheet;
use crate::range::Range;
use crate::run::run;
use crate::working::Working;
use orlop::cell::ageing::{AgeingModel, Duty, life_recorded};
use orlop::cell::{self, FaultConditions, Method, StateOfCharge};
use orlop::{Error, Recorder, Silent};
use orlop_units::{Charge, Current, Fraction, Kind, Quantity, Temperature, Time, Voltage, show, show_si};
use pyo3::prelude::*;
use pyo3::types::PyTuple;

/// What a cell was asked, with what is known of the answer.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> cell = orlop.Cell("lfp", capacity="100 Ah")
/// >>> rest = cell.charge_from_rest(voltage="3.30 V", meter="5 mV", temperature="25 degC")
/// >>> rest
/// CellAnswer(charge at rest: 40.4 % to 69.7 %)
/// >>> print(rest.flags[0])
/// rest voltages after charge lie 5 to 25 mV above those after discharge
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct CellAnswer {
    cell: Cell,
    ask: Ask,
    answer: Answer,
    asked: Asked,
}

/// The questions.
#[derive(Clone, PartialEq)]
pub(super) enum Ask {
    OpenCircuit { curve: Option<String>, charge: StateOfCharge, temperature: Temperature },
    FromRest { voltage: Voltage, meter: Voltage, temperature: Temperature },
    Resistance { method: Method, charge: StateOfCharge, temperature: Temperature },
    Fault(FaultConditions),
    Life { calendar: AgeingModel, cycles: AgeingModel, duty: Duty, lost: Fraction },
    CapacityAt { current: Current, ratings: Vec<(Charge, Time)> },
    Heat { current: Current, charge: StateOfCharge, temperature: Temperature },
}

#[derive(Clone, Default, PartialEq)]
struct Answer {
    value: Option<(Kind, f64)>,
    range: Option<Range>,
    flags: Vec<String>,
    sentence: String,
}

fn value<Q: Quantity>(q: Q) -> Option<(Kind, f64)> {
    Some((Q::KIND, q.si()))
}

impl CellAnswer {
    /// Asks it.
    pub(super) fn new(cell: &Bound<'_, Cell>, ask: Ask, asked: Asked) -> PyResult<Self> {
        let py = cell.py();
        let cell = cell.get().clone();
        let answer = run(py, || ask.answer(&cell.inner, &mut Silent))?;
        Ok(Self { cell, ask, answer, asked })
    }
}

impl Ask {
    /// The Python method that asks it, and its name for people.
    fn names(&self) -> (&'static str, &'static str) {
        match self {
            Self::OpenCircuit { .. } => ("open_circuit", "rested voltage"),
            Self::FromRest { .. } => ("charge_from_rest", "charge at rest"),
            Self::Resistance { .. } => ("resistance", "resistance"),
            Self::Fault(_) => ("fault_current", "fault current"),
            Self::Life { .. } => ("life", "life"),
            Self::CapacityAt { .. } => ("capacity_at", "charge that comes out"),
            Self::Heat { .. } => ("heat", "heat"),
        }
    }

    fn answer(&self, cell: &cell::Cell, rec: &mut impl Recorder) -> Result<Answer, Error> {
        let chemistry = cell.chemistry();
        Ok(match self {
            Self::OpenCircuit { curve, charge, temperature } => {
                let rest = chemistry.open_circuit_recorded(curve.as_deref(), *charge, *temperature, rec)?;
                let range = Some(rest.spread.into());
                Answer { value: value(rest.voltage), range, flags: rest.flags, sentence: String::new() }
            }
            Self::FromRest { voltage, meter, temperature } => {
                let rest = chemistry.charge_from_rest_recorded(*voltage, *meter, *temperature, rec)?;
                Answer { range: Some(rest.charge.into()), flags: rest.flags, ..Answer::default() }
            }
            Self::Resistance { method, charge, temperature } => {
                let r = cell.resistance_recorded(*method, *charge, *temperature, rec)?;
                Answer { range: Some(r.value.into()), flags: r.flags, ..Answer::default() }
            }
            Self::Fault(conditions) => {
                let ends = cell.fault_recorded(*conditions, rec)?;
                Answer { range: Some(ends.current.into()), flags: ends.flags, ..Answer::default() }
            }
            Self::Life { calendar, cycles, duty, lost } => {
                let life = life_recorded(*calendar, *cycles, duty, *lost, rec)?;
                let sentence = life.sentence();
                Answer { value: value(life.time), range: None, flags: life.flags, sentence }
            }
            Self::CapacityAt { current, ratings } => {
                let out = cell.deliverable_recorded(*current, ratings, rec)?;
                let sentence = format!("{} flow for {}", show(*current), out.time);
                Answer { value: None, range: Some(out.charge.into()), flags: out.flags, sentence }
            }
            Self::Heat { current, charge, temperature } => {
                let heat = cell.heat_recorded(*current, *charge, *temperature, rec)?;
                let sentence =
                    format!("{} of the resistance and {} of the entropy", heat.ohmic, heat.reversible);
                Answer { value: None, range: Some(heat.total.into()), flags: heat.flags, sentence }
            }
        })
    }
}

#[pymethods]
impl CellAnswer {
    /// The cell that was asked.
    #[getter]
    fn cell(&self) -> Cell {
        self.cell.clone()
    }
    /// The one value, or None where only bounds are known.
    #[getter]
    fn value(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        self.answer.value.map(|(kind, si)| out_si(py, kind, si)).transpose()
    }
    /// The bounds, or None where there is one value.
    #[getter]
    fn range(&self) -> Option<Range> {
        self.answer.range
    }
    /// What a reader must know.
    #[getter]
    fn flags<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, &self.answer.flags)
    }
    /// The verdict in a sentence, or "".
    #[getter]
    fn sentence(&self) -> &str {
        &self.answer.sentence
    }

    /// How the answer was found.
    fn explain(&self, py: Python<'_>) -> PyResult<Working> {
        let title = format!("{} of {}", self.ask.names().1, self.cell.__repr__());
        run(py, || {
            let mut working = orlop::Working::new(title);
            self.ask.answer(&self.cell.inner, &mut working)?;
            Ok(working)
        })
        .map(Working::from)
    }

    fn __repr__(&self) -> String {
        format!("CellAnswer({}: {})", self.ask.names().1, self.text())
    }
    fn _repr_html_(&self) -> String {
        let rows = [("answer", self.text()), ("verdict", self.answer.sentence.clone())];
        sheet(&format!("{} of {}", self.ask.names().1, self.cell.__repr__()), &rows, &self.answer.flags)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let cell = self.cell.clone().into_pyobject(py)?.into_any();
        self.asked.reduce(py, Some(cell), self.ask.names().0)
    }
}

impl CellAnswer {
    fn text(&self) -> String {
        let value = self.answer.value.map(|(kind, si)| {
            if kind == Kind::Time {
                format!("{} years", orlop_units::significant(si / 31_557_600.0, 3))
            } else {
                show_si(kind, si)
            }
        });
        let range = self.answer.range.map(|r| r.to_string());
        value.into_iter().chain(range).collect::<Vec<_>>().join("; ")
    }
}
