//! A capacity test before it is made.

use super::Any;
use super::definitions::Definitions;
use super::measured::Measured;
use crate::asked::Asked;
use crate::convert::out;
use crate::errors::OrRaise;
use crate::html::sheet;
use crate::range::Range;
use crate::working::Working;
use orlop::proving::capacity;
use orlop_units::{Current, Temperature, show};
use pyo3::prelude::*;
use pyo3::types::PyTuple;

/// A capacity test before it is made: how long it takes, how sure it will be, what to improve, what to watch.
///
/// Parameters
/// ----------
/// load : str or quantity
///     The current, held constant.
/// rated : str or quantity
///     Rated capacity.
/// full : str or quantity
///     How far "full" may be off, as a share of the capacity: by cell volts and tail current.
/// stop_cell, stop_bank : str or quantity
///     What ends the discharge, one of them: the first cell's volts, or the bank's. A percentage (``stop_indicated``) is refused.
/// temperature : str or quantity, optional
///     Of the cells during the test (25 degC).
/// gain, offset, clock, thermometer, cell_meter, empty, temperature_coefficient, coefficient_within, reference, instrument
///     As of ``DischargeLog.capacity_test``.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> plan = orlop.TestPlan(load="36 A", rated="230 Ah", full="0.4 %", stop_cell="2.8 V", gain="0.5 %", offset="50 mA")
/// >>> plan
/// TestPlan(36 A for 5.11 h to 7.03 h, to 230 Ah +- 1.65 Ah (95 %))
/// >>> plan.advice
/// 'calibrate the shunt against a better one, or use the same one in every test'
/// >>> plan.watch[2]
/// 'stop when the first cell is at 2.8 V under load'
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct TestPlan {
    plan: capacity::TestPlan,
    working: orlop::Working,
    asked: Asked,
}

#[pymethods]
impl TestPlan {
    #[new]
    #[pyo3(signature = (*, load, rated, full=None, stop_cell=None, stop_bank=None, stop_indicated=None, temperature=None,
                        gain=None, offset=None, clock=None, thermometer=None, cell_meter=None, empty=None, temperature_coefficient=None,
                        coefficient_within=None, reference=None, instrument=None))]
    #[allow(clippy::too_many_arguments)]
    fn new(
        load: &Bound<'_, PyAny>,
        rated: &Bound<'_, PyAny>,
        full: Any<'_, '_>,
        stop_cell: Any<'_, '_>,
        stop_bank: Any<'_, '_>,
        stop_indicated: Any<'_, '_>,
        temperature: Any<'_, '_>,
        gain: Any<'_, '_>,
        offset: Any<'_, '_>,
        clock: Any<'_, '_>,
        thermometer: Any<'_, '_>,
        cell_meter: Any<'_, '_>,
        empty: Any<'_, '_>,
        temperature_coefficient: Any<'_, '_>,
        coefficient_within: Any<'_, '_>,
        reference: Any<'_, '_>,
        instrument: Any<'_, '_>,
    ) -> PyResult<Self> {
        let mut asked = Asked::default();
        let current: Current = asked.quantity("load", load)?;
        let at: Option<Temperature> = asked.optional("temperature", temperature)?;
        let definitions = Definitions {
            rated,
            full,
            stop_cell,
            stop_bank,
            stop_indicated,
            gain,
            offset,
            clock,
            thermometer,
            cell_meter,
            empty,
            temperature_coefficient,
            coefficient_within,
            reference,
            instrument,
        };
        let (meter, procedure) = definitions.read(&mut asked)?;
        let at = at.unwrap_or(Temperature::celsius(25.0));
        let mut working = orlop::Working::new("capacity test, planned");
        let plan = capacity::TestPlan::new_recorded(current, at, &meter, &procedure, &mut working)
            .or_raise(load.py())?;
        Ok(Self { plan, working, asked })
    }

    /// The load.
    #[getter]
    fn load(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.plan.load)
    }
    /// How long it takes: for 80 % to 110 % of the rated capacity.
    #[getter]
    fn hours(&self) -> Range {
        self.plan.hours.into()
    }
    /// What a bank of just the rated capacity would give, with its causes of error.
    #[getter]
    fn expected(&self) -> Measured {
        Measured::from(&self.plan.expected)
    }
    /// What to do about the largest cause of error.
    #[getter]
    fn advice(&self) -> &'static str {
        self.plan.advice
    }
    /// How the time and the uncertainty to be expected were found.
    fn explain(&self) -> Working {
        self.working.clone().into()
    }
    /// What the people at the test do and watch for, in order.
    #[getter]
    fn watch<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, &self.plan.watch)
    }

    fn __repr__(&self) -> String {
        let expected = self.expected();
        format!("TestPlan({} for {}, to {})", show(self.plan.load), self.hours(), expected.with_interval())
    }
    fn _repr_html_(&self) -> String {
        let rows = [
            ("load", show(self.plan.load)),
            ("how long", self.hours().to_string()),
            ("to be expected", self.expected().with_interval()),
            ("to improve", self.plan.advice.to_string()),
        ];
        sheet("capacity test, planned", &rows, &self.plan.watch)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        self.asked.reduce(py, None, "TestPlan")
    }
}
