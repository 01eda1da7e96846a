//! Capacity tests: a log of a discharge, and what it proves.

pub mod change;
mod definitions;
mod file;
pub mod history;
pub mod measured;
pub mod monitor;
pub mod plan;
pub mod readings;
mod state;
mod table;

use crate::asked::Asked;
use crate::convert::{self, out, out_option, out_si};
use crate::errors::{OrRaise, raise};
use crate::html::sheet;
use crate::judgement::Judgement;
use crate::range::Range;
use crate::run::run;
use crate::working::Working;
use definitions::Definitions;
use measured::Measured;
use orlop::Error;
use orlop::proving::capacity::{self, Log, Outcome, Sign, compare};
use orlop::proving::log_file::FileFormat;
use orlop_units::{Charge, Fraction, Kind, Quantity, show};
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyDict, PyTuple};

type Any<'a, 'py> = Option<&'a Bound<'py, PyAny>>;

const P95: Fraction = Fraction::new(0.95);
/// A log of a discharge: what it shows, and what was wrong with it.
///
/// Columns carry their unit in the name: ``time_s`` (or ``_ms``, ``_min``, ``_h``, ``_d``) since any moment, or ``time`` with dates as text or as
/// an array of dates; ``current_a``; and where there are any ``voltage_v``, ``temperature_degc``, ``indicated_percent`` (a monitor's state of
/// charge) and one ``cell_..._v`` for each cell. Nothing (None, NaN) stands for a missing value. Rows may be in any order; repeated, missing and
/// late rows are counted in ``notes``.
///
/// Parameters
/// ----------
/// columns : dict or Arrow table
///     Arrays are read from their memory, of any type of number; doubles in a row are not even copied.
/// sign : {"detect", "discharge-positive", "charge-positive"}
///     Which sign a discharge has. Volts that say otherwise are an error.
/// mean_since_start : bool
///     Each row's current is the mean since the row before, and the first since time zero; otherwise it is the current at the
///     moment of the row.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> log = orlop.DischargeLog({"time_h": [0, 1, 2, 3], "current_a": [-20, -20, -20, -20], "voltage_v": [13.2, 13.1, 12.9, 10.4]})
/// >>> log
/// DischargeLog(60 Ah in 3 h, 4 rows)
/// >>> log.sign
/// 'discharge negative: the volts fall over the log'
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct DischargeLog {
    log: Log,
    cells: Vec<String>,
    /// What reading a file found.
    told: Vec<String>,
}

/// A capacity test, evaluated: a capacity with its interval, or a lower bound only.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> log = orlop.DischargeLog({"time_h": [0, 2, 4, 5], "current_a": [36, 36, 36, 36], "cell_1_v": [3.3, 3.26, 3.22, 2.79]})
/// >>> test = log.capacity_test(rated="175 Ah", full="0.4 %", stop_cell="2.8 V", gain="0.5 %", offset="50 mA", cell_meter="5 mV")
/// >>> test
/// CapacityTest(180 Ah +- 1.4 Ah (95 %), 103 % of the rated 175 Ah)
/// >>> test.smallest_cell
/// 'cell_1_v'
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct CapacityTest {
    test: capacity::CapacityTest,
    log: DischargeLog,
    asked: Asked,
}

fn sign_named(text: &str, field: &str) -> Result<Sign, Error> {
    match text {
        "detect" => Ok(Sign::Detect),
        "discharge-positive" => Ok(Sign::DischargePositive),
        "charge-positive" => Ok(Sign::ChargePositive),
        other => {
            Err(Error::input(field, format!("'{other}'"), "detect, discharge-positive or charge-positive"))
        }
    }
}

fn stated_sign(sign: Any<'_, '_>) -> PyResult<Sign> {
    let Some(s) = sign else { return Ok(Sign::Detect) };
    let text = convert::text(s, "sign", "detect, discharge-positive or charge-positive")?;
    sign_named(&text, "sign").or_raise(s.py())
}

#[pymethods]
impl DischargeLog {
    #[new]
    #[pyo3(signature = (columns, *, sign=None, mean_since_start=false))]
    fn new(columns: &Bound<'_, PyAny>, sign: Any<'_, '_>, mean_since_start: bool) -> PyResult<Self> {
        let (log, cells) = table::evaluate(columns, stated_sign(sign)?, mean_since_start)?;
        Ok(Self { log, cells, told: Vec::new() })
    }

    /// Reads a log file: delimited text with a head, of any length; what it holds is never all in memory.
    ///
    /// The head tells what a column holds and in which unit: ``time_s``, ``Time (min)``, ``Timestamp``, ``Current [A]``,
    /// ``Cell 3 voltage (mV)``, ``SOC (%)``. Dates, times of day, quotes, decimal commas, either end of line and a byte-order mark are
    /// understood. What was taken for what stands in ``notes``; rows count from the first below the head.
    ///
    /// Parameters
    /// ----------
    /// path : str or path
    ///     The file, or "-" for standard input.
    /// columns : dict, optional
    ///     Columns by name, where their names do not tell: time, date, current, voltage, temperature, indicated, cell (one name or
    ///     several). A unit in brackets may follow the name: ``{"current": "I [mA]"}``.
    /// separator, decimal : str, optional
    ///     The mark between columns and the mark of decimals, where they should not be found out.
    /// sign : {"detect", "discharge-positive", "charge-positive"}
    /// mean_since_start : bool
    ///     As above; where times are dates the first row has no mean.
    ///
    /// Examples
    /// --------
    /// >>> import orlop, pathlib, tempfile
    /// >>> path = pathlib.Path(tempfile.mkdtemp()) / "log.csv"
    /// >>> _ = path.write_text("Time (h);I batt\\n0;36,0\\n5;36,0\\n")
    /// >>> log = orlop.DischargeLog.read(path, columns={"current": "I batt [A]"})
    /// >>> log
    /// DischargeLog(180 Ah in 5 h, 2 rows)
    /// >>> log.notes[0]
    /// "columns parted by ';', decimals by ','"
    #[staticmethod]
    #[pyo3(signature = (path, *, columns=None, separator=None, decimal=None, sign=None, mean_since_start=false))]
    fn read(
        path: &Bound<'_, PyAny>,
        columns: Any<'_, '_>,
        separator: Any<'_, '_>,
        decimal: Any<'_, '_>,
        sign: Any<'_, '_>,
        mean_since_start: bool,
    ) -> PyResult<Self> {
        let py = path.py();
        let path = py.import("os")?.getattr("fspath")?.call1((path,))?;
        let path = convert::text(&path, "path", "the name of a file")?;
        let format = FileFormat {
            separator: file::mark(separator, "separator", "a comma, a semicolon, a tab or a bar")?,
            decimal: file::mark(decimal, "decimal", "a point or a comma")?,
            columns: file::choices(columns)?,
            sign: stated_sign(sign)?,
            mean_since: mean_since_start,
        };
        let read = file::read(py, &path, format)?;
        Ok(Self { log: read.log, cells: read.cells, told: read.notes })
    }

    /// Charge drawn, what was charged back in between subtracted.
    #[getter]
    fn charge(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.log.charge)
    }
    /// Energy drawn, or None without volts.
    #[getter]
    fn energy(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        out_option(py, self.log.energy)
    }
    /// Time from the first row to the last.
    #[getter]
    fn duration(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.log.duration)
    }
    /// Mean current, discharge positive.
    #[getter]
    fn mean_current(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.log.mean_current)
    }
    /// Mean temperature weighted by the current, or None.
    #[getter]
    fn mean_temperature(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        out_option(py, self.log.mean_temperature)
    }
    /// Which sign a discharge has in the log, and how that is known.
    #[getter]
    fn sign(&self) -> String {
        let word = if self.log.discharge_positive { "positive" } else { "negative" };
        format!("discharge {word}: {}", self.log.sign_known_by)
    }
    /// Names of the cells' columns.
    #[getter]
    fn cells<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, &self.cells)
    }
    /// The course of the discharge in at most 1024 points, as columns by name: ``time_s``, ``drawn_ah``, ``current_a`` (discharge
    /// positive), ``voltage_v``, ``temperature_degc``, ``indicated_percent`` and those of the cells; None where nothing stands.
    #[getter]
    fn course<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let dict = PyDict::new(py);
        let course = &self.log.course;
        let column = |of: &dyn Fn(&capacity::Point) -> Option<f64>| course.iter().map(of).collect::<Vec<_>>();
        dict.set_item("time_s", column(&|p| Some(p.time_s)))?;
        dict.set_item("drawn_ah", column(&|p| Some(p.drawn_c / 3600.0)))?;
        dict.set_item("current_a", column(&|p| Some(p.current_a)))?;
        dict.set_item("voltage_v", column(&|p| p.voltage_v))?;
        dict.set_item("temperature_degc", column(&|p| p.temperature_c))?;
        dict.set_item("indicated_percent", column(&|p| p.indicated_percent))?;
        for (k, name) in self.cells.iter().enumerate() {
            dict.set_item(name, column(&|p| p.cells_v.get(k).copied().flatten()))?;
        }
        Ok(dict)
    }
    /// What was wrong with the log and how it was dealt with.
    #[getter]
    fn notes<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.sentences())
    }

    /// The capacity that the log proves, by what is known of the instrument and by the definitions of the test.
    ///
    /// Parameters
    /// ----------
    /// rated : str or quantity
    ///     Rated capacity.
    /// full : str or quantity, optional
    ///     How far "full" may have been off, as a share. Without a definition of full there is a lower bound only.
    /// stop_cell, stop_bank, stop_indicated : str or quantity, optional
    ///     What ended the discharge: a cell's volts, the bank's volts, or the monitor's percentage.
    /// gain, offset, clock, thermometer, cell_meter : str or quantity, optional
    ///     Limits of error of the instrument, each to both sides; none means no error.
    /// empty : str or quantity, optional
    ///     How far "empty" may have been off; by default what the cell meter means at the slope of the end.
    /// temperature_coefficient, coefficient_within, reference : str or quantity, optional
    ///     Capacity per kelvin, its limits, and the temperature that the result is stated at (25 degC).
    /// instrument : str
    ///     Its name: tests with the same name and limits are taken to be made with the same instrument.
    #[pyo3(signature = (*, rated, full=None, stop_cell=None, stop_bank=None, stop_indicated=None, gain=None, offset=None,
                        clock=None, thermometer=None, cell_meter=None, empty=None, temperature_coefficient=None,
                        coefficient_within=None, reference=None, instrument=None))]
    #[allow(clippy::too_many_arguments)]
    fn capacity_test(
        slf: &Bound<'_, Self>,
        rated: &Bound<'_, PyAny>,
        full: Any<'_, '_>,
        stop_cell: Any<'_, '_>,
        stop_bank: Any<'_, '_>,
        stop_indicated: Any<'_, '_>,
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
    ) -> PyResult<CapacityTest> {
        let py = slf.py();
        let mut asked = Asked::default();
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
        let log = slf.get().clone();
        let inner = log.log.clone();
        let test = run(py, || capacity::CapacityTest::new(inner, meter, procedure))?;
        Ok(CapacityTest { test, log, asked })
    }

    fn __repr__(&self) -> String {
        let log = &self.log;
        format!("DischargeLog({} in {}, {} rows)", show(log.charge), show(log.duration), log.care.rows)
    }
    fn _repr_html_(&self) -> String {
        let log = &self.log;
        sheet(
            "log of a discharge",
            &[
                ("charge", show(log.charge)),
                ("energy", log.energy.map(show).unwrap_or_default()),
                ("duration", show(log.duration)),
                ("mean current", show(log.mean_current)),
                ("mean temperature", log.mean_temperature.map(show).unwrap_or_default()),
                ("sign", self.sign()),
            ],
            &self.sentences(),
        )
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let make = py.import("orlop._orlop")?.getattr("_discharge_log")?;
        let bytes = PyBytes::new(py, &state::write(&self.log, &self.cells, &self.told));
        (make, (crate::asked::SCHEMA, bytes)).into_pyobject(py)
    }
}

/// Remakes a pickled log.
#[pyfunction(name = "_discharge_log")]
pub fn rebuild(py: Python<'_>, schema: u32, bytes: &[u8]) -> PyResult<DischargeLog> {
    crate::asked::check_schema(py, schema)?;
    let (log, cells, told) = state::read(bytes).or_raise(py)?;
    Ok(DischargeLog { log, cells, told })
}

impl DischargeLog {
    fn sentences(&self) -> Vec<String> {
        self.told.iter().cloned().chain(self.log.care.sentences()).collect()
    }
}

#[pymethods]
impl CapacityTest {
    /// The log that was tested.
    #[getter]
    fn log(&self) -> DischargeLog {
        self.log.clone()
    }
    /// The capacity, at the reference temperature where one was asked for; None when there is a lower bound only.
    #[getter]
    fn capacity(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        out_option(py, self.test.capacity().map(|b| b.value()))
    }
    /// The capacity with its causes of error; None when there is a lower bound only.
    #[getter]
    fn measured(&self) -> Option<Measured> {
        self.test.capacity().map(Measured::from)
    }
    /// Standard uncertainty of the capacity, or of the charge drawn when there is a lower bound only.
    #[getter]
    fn uncertainty(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.budget_of().combined())
    }
    /// Why there is a lower bound only, or "".
    #[getter]
    fn why(&self) -> &str {
        match &self.test.outcome {
            Outcome::Capacity(_) => "",
            Outcome::AtLeast { why, .. } => why,
        }
    }
    /// Each cause of error and what its standard uncertainty does to the result.
    #[getter]
    fn budget<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let dict = PyDict::new(py);
        for term in self.budget_of().terms() {
            dict.set_item(&term.name, out_si(py, Kind::Charge, term.effect.abs())?)?;
        }
        Ok(dict)
    }
    /// The cell that reached its knee first, or None: the smallest, where all were full at the start.
    #[getter]
    fn smallest_cell(&self) -> Option<&str> {
        self.test.weakness.knees.first().map(|k| self.log.cells[k.cell].as_str())
    }
    /// Cells in the order in which they reached their knees; the first is the smallest, where all were full at the start.
    #[getter]
    fn knees<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.test.weakness.knees.iter().map(|k| self.log.cells[k.cell].as_str()))
    }
    /// The cell that sags most under load, or None.
    #[getter]
    fn most_resistive_cell(&self) -> Option<&str> {
        self.test.weakness.most_resistive.map(|(k, _)| self.log.cells[k].as_str())
    }
    /// Capacity that the monitor's percentage is computed from, or None where it is not.
    #[getter]
    fn monitor_setting(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        out_option(py, self.test.indicated.filter(|i| i.repeats_setting).map(|i| i.implied))
    }
    /// What a reader must know.
    #[getter]
    fn flags<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, &self.test.flags)
    }
    /// The answer in one sentence.
    #[getter]
    fn sentence(&self, py: Python<'_>) -> PyResult<String> {
        self.test.sentence(P95).or_raise(py)
    }

    /// Bounds of the capacity with a probability; a lower bound only has no upper end.
    #[pyo3(signature = (coverage=None))]
    fn bounds(&self, py: Python<'_>, coverage: Any<'_, '_>) -> PyResult<Range> {
        Ok(self.test.bounds(probability(coverage)?).or_raise(py)?.into())
    }

    /// Whether the bank keeps a share of its rated capacity (80 % by practice), with a probability.
    #[pyo3(signature = (share=None, *, coverage=None))]
    fn against_rated(
        &self,
        py: Python<'_>,
        share: Any<'_, '_>,
        coverage: Any<'_, '_>,
    ) -> PyResult<Judgement> {
        let share = share.map_or(Ok(Fraction::new(0.8)), |s| convert::quantity(s, "share"))?;
        Ok(Judgement(self.test.against_rated(share, probability(coverage)?).or_raise(py)?))
    }

    /// Two sentences on the change to a later test: by the instruments that were used, and as if they were independent.
    #[pyo3(signature = (later, *, coverage=None))]
    fn compare(&self, py: Python<'_>, later: &Self, coverage: Any<'_, '_>) -> PyResult<(String, String)> {
        let seen = compare(&self.test, &later.test, probability(coverage)?).or_raise(py)?;
        Ok((seen.as_tested.sentence(), seen.independent.sentence()))
    }

    /// How the answer was found.
    fn explain(&self, py: Python<'_>) -> PyResult<Working> {
        let test = self.test.clone();
        run(py, || {
            let mut working = orlop::Working::new("capacity test");
            capacity::CapacityTest::new_recorded(test.log, test.instrument, test.procedure, &mut working)?;
            Ok(working)
        })
        .map(Working::from)
    }

    fn __repr__(&self) -> String {
        let answer = self.test.sentence(P95).unwrap_or_default();
        // Why there is a lower bound only is told by `why`.
        format!("CapacityTest({})", answer.split(": ").next().unwrap_or_default())
    }
    fn _repr_html_(&self) -> String {
        let budget = self.budget_of().terms().iter().filter(|t| t.effect != 0.0);
        let parts: Vec<(String, String)> =
            budget.map(|t| (t.name.clone(), show(Charge::from_si(t.effect.abs())))).collect();
        let rows: Vec<(&str, String)> = parts.iter().map(|(n, v)| (n.as_str(), v.clone())).collect();
        sheet(&self.test.sentence(P95).unwrap_or_default(), &rows, &self.test.flags)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let log = self.log.clone().into_pyobject(py)?.into_any();
        self.asked.reduce(py, Some(log), "capacity_test")
    }
}

impl CapacityTest {
    /// The capacity for a comparison over the years.
    pub fn dated(&self, py: Python<'_>) -> PyResult<Measured> {
        self.measured().ok_or_else(|| {
            let expected = "a test that ended at a cell's or the bank's end voltage";
            raise(py, &Error::input("test", "a lower bound only", expected))
        })
    }

    fn budget_of(&self) -> &orlop::proving::uncertainty::Budget<Charge> {
        match &self.test.outcome {
            Outcome::Capacity(budget) => budget,
            Outcome::AtLeast { drawn, .. } => drawn,
        }
    }
}

fn probability(coverage: Any<'_, '_>) -> PyResult<Fraction> {
    coverage.map_or(Ok(P95), |c| convert::quantity(c, "coverage"))
}
