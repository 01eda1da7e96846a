//! Capacity tests of one bank over the years.

use super::measured::{Measured, relation_named};
use super::{Any, CapacityTest, probability};
use crate::asked::Asked;
use crate::convert::{self, exact_text, out, out_option};
use crate::errors::{OrRaise, raise};
use crate::html::sheet;
use crate::range::Range;
use crate::run::run;
use crate::working::Working;
use orlop::Error;
use orlop::cell::Rate;
use orlop::cell::ageing::{AgeingModel, Cycling, Storage};
use orlop::proving::follow::{self, Ageing, DatedTest, Tests, Trend, state_of_health};
use orlop::proving::uncertainty::{Budget, Relation};
use orlop_units::{Charge, Current, Fraction, Quantity, Temperature, Time, seconds, show};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyTuple};

const YEAR_S: f64 = 365.25 * 86400.0;
const P95: Fraction = Fraction::new(0.95);

/// Capacity tests of one bank over time: how healthy, how fast it fades, how sure that is, when to test again.
///
/// Parameters
/// ----------
/// times : sequence of str or quantity
///     Time of each test since the bank was new: "0.02 years", "400 d".
/// tests : sequence of CapacityTest or Measured
///     The tests, in the order of time.
/// full_cycles : sequence of float, optional
///     Full equivalent cycles until each test; none without.
/// relation : {"same-instrument", "same-procedure", "independent"}
///     What the tests share: errors of a shared instrument or procedure do not look like fading.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> def test(capacity):
/// ...     return orlop.Measured(capacity, {"gain": ("1.2 Ah", "instrument"), "offset": "0.4 Ah", "empty": "0.3 Ah"})
/// >>> history = orlop.TestHistory(["0.1 years", "1.1 years", "2.1 years"], [test("234.8 Ah"), test("233.1 Ah"), test("231.9 Ah")])
/// >>> history
/// TestHistory(3 tests over 2 years: -1.5 Ah a year, give or take 0.4 Ah: significant)
/// >>> history.health[-1]
/// Measured(98.8 % +- 0.335 % (95 %))
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct TestHistory {
    inner: Tests,
    given: Vec<Measured>,
    relation: Relation,
}

/// When a capacity is reached, by tests and ageing models together: made by ``TestHistory.forecast``.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> def test(capacity):
/// ...     return orlop.Measured(capacity, {"gain": ("1.2 Ah", "instrument"), "offset": "0.4 Ah", "empty": "0.3 Ah"})
/// >>> history = orlop.TestHistory(["0.1 years", "1.1 years", "2.1 years"], [test("234.8 Ah"), test("233.1 Ah"), test("231.9 Ah")])
/// >>> history.forecast("184 Ah", models="schmalstieg-2014", charge="60 %", temperature="20 degC", depth="60 %", current="36 A",
/// ...                  full_cycles_a_year=40)
/// Forecast(23.8 years to 55.9 years)
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct Forecast {
    inner: follow::Forecast,
    working: orlop::Working,
    history: TestHistory,
    asked: Asked,
}

/// The name of a pair of models.
fn pair(m: &follow::ByModel) -> String {
    let (calendar, cycles) = (m.calendar.word(), m.cycles.word());
    if calendar == cycles { calendar.to_string() } else { format!("{calendar}+{cycles}") }
}

fn relation_word(relation: Relation) -> &'static str {
    match relation {
        Relation::SameInstrument => "same-instrument",
        Relation::SameProcedure => "same-procedure",
        Relation::Independent => "independent",
    }
}

impl TestHistory {
    fn trend_of(&self, py: Python<'_>, coverage: Any<'_, '_>) -> PyResult<Trend> {
        self.inner.trend(probability(coverage)?).or_raise(py)
    }
}

#[pymethods]
impl TestHistory {
    #[new]
    #[pyo3(signature = (times, tests, full_cycles=None, relation="same-instrument"))]
    fn new(
        times: &Bound<'_, PyAny>,
        tests: &Bound<'_, PyAny>,
        full_cycles: Option<Vec<f64>>,
        relation: &str,
    ) -> PyResult<Self> {
        let py = times.py();
        let relation = relation_named(relation, "relation").or_raise(py)?;
        let times: Vec<Time> =
            times.try_iter()?.map(|t| convert::quantity(&t?, "times")).collect::<PyResult<_>>()?;
        let mut given = Vec::new();
        for test in tests.try_iter()? {
            let test = test?;
            let measured = if let Ok(measured) = test.extract::<PyRef<'_, Measured>>() {
                measured.clone()
            } else if let Ok(test) = test.extract::<PyRef<'_, CapacityTest>>() {
                test.dated(py)?
            } else {
                let expected = "an orlop.CapacityTest or an orlop.Measured";
                return Err(raise(py, &Error::input("tests", convert::short(&test)?, expected)));
            };
            given.push(measured);
        }
        let cycles = full_cycles.unwrap_or_else(|| vec![0.0; times.len()]);
        if times.len() != given.len() || cycles.len() != given.len() {
            let got =
                format!("{} times, {} tests, {} counts of cycles", times.len(), given.len(), cycles.len());
            return Err(raise(
                py,
                &Error::input("tests", got, "as many times, and cycles where given, as tests"),
            ));
        }
        let mut dated = Vec::new();
        for ((time, full_cycles), test) in times.into_iter().zip(cycles).zip(&given) {
            dated.push(DatedTest { time, full_cycles, capacity: test.typed("tests").or_raise(py)? });
        }
        Ok(Self { inner: Tests::new(dated, relation).or_raise(py)?, given, relation })
    }

    /// State of health at each test: its capacity over that of the first, what they share cancelled.
    #[getter]
    fn health(&self, py: Python<'_>) -> PyResult<Vec<Measured>> {
        let tests = self.inner.tests();
        let first: &Budget<Charge> = &tests[0].capacity;
        tests[1..]
            .iter()
            .map(|t| Ok(Measured::from(&state_of_health(first, &t.capacity, self.relation).or_raise(py)?)))
            .collect()
    }
    /// The verdict on the change in one sentence.
    #[getter]
    fn sentence(&self, py: Python<'_>) -> PyResult<String> {
        Ok(self.trend_of(py, None)?.sentence())
    }
    /// Whether the change is told from none (95 %).
    #[getter]
    fn significant(&self, py: Python<'_>) -> PyResult<bool> {
        Ok(self.trend_of(py, None)?.significant)
    }
    /// Change of the capacity in a year, as an interval.
    #[pyo3(signature = (coverage=None))]
    fn per_year(&self, py: Python<'_>, coverage: Any<'_, '_>) -> PyResult<Range> {
        let trend = self.trend_of(py, coverage)?;
        let (rate, half) = (trend.per_year, trend.per_year_half_width);
        Ok(orlop::Range::new(rate - half, rate + half).into())
    }
    /// How the line through the tests was found, and its interval.
    #[pyo3(signature = (*, coverage=None))]
    fn explain(&self, py: Python<'_>, coverage: Any<'_, '_>) -> PyResult<Working> {
        let coverage = probability(coverage)?;
        run(py, || {
            let mut working = orlop::Working::new(self.__repr__());
            self.inner.trend_recorded(coverage, &mut working)?;
            Ok(working)
        })
        .map(Working::from)
    }
    /// When the line through the tests falls to a capacity; a bound beyond a hundred years is None.
    #[pyo3(signature = (capacity, *, coverage=None))]
    fn reaches(&self, py: Python<'_>, capacity: &Bound<'_, PyAny>, coverage: Any<'_, '_>) -> PyResult<Range> {
        let capacity = convert::quantity(capacity, "capacity")?;
        Ok(self.trend_of(py, coverage)?.reaches(capacity).into())
    }
    /// The line through the tests with its interval, as columns: ``time_years``, ``capacity_ah``, ``low_ah``, ``high_ah``.
    #[pyo3(signature = (years, *, coverage=None))]
    fn line<'py>(
        &self,
        py: Python<'py>,
        years: Vec<f64>,
        coverage: Any<'_, '_>,
    ) -> PyResult<Bound<'py, PyDict>> {
        let trend = self.trend_of(py, coverage)?;
        let at: Vec<(f64, f64)> = years
            .iter()
            .map(|y| {
                let (line, half) = trend.at(seconds(y * YEAR_S));
                (line.out(), half.out())
            })
            .collect();
        let dict = PyDict::new(py);
        dict.set_item("time_years", years)?;
        dict.set_item("capacity_ah", at.iter().map(|p| p.0).collect::<Vec<_>>())?;
        dict.set_item("low_ah", at.iter().map(|p| p.0 - p.1).collect::<Vec<_>>())?;
        dict.set_item("high_ah", at.iter().map(|p| p.0 + p.1).collect::<Vec<_>>())?;
        Ok(dict)
    }
    /// The tests as columns: ``time_years``, ``full_cycles``, ``capacity_ah``, ``low_ah``, ``high_ah`` (95 %).
    #[getter]
    fn tests<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let tests = self.inner.tests();
        let halves: Vec<f64> = tests
            .iter()
            .map(|t| Ok(t.capacity.half_width(P95).or_raise(py)?.out()))
            .collect::<PyResult<_>>()?;
        let values: Vec<f64> = tests.iter().map(|t| t.capacity.value().out()).collect();
        let with = |sign: f64| values.iter().zip(&halves).map(|(v, h)| v + sign * h).collect::<Vec<_>>();
        let dict = PyDict::new(py);
        dict.set_item("time_years", tests.iter().map(|t| t.time.si() / YEAR_S).collect::<Vec<_>>())?;
        dict.set_item("full_cycles", tests.iter().map(|t| t.full_cycles).collect::<Vec<_>>())?;
        dict.set_item("low_ah", with(-1.0))?;
        dict.set_item("high_ah", with(1.0))?;
        dict.set_item("capacity_ah", values)?;
        Ok(dict)
    }
    /// When the next test would settle it: time since new (None when there is no fade to show within a hundred years), and the change since
    /// the first test that would be told from none.
    #[pyo3(signature = (*, relation=None, coverage=None))]
    fn next_test(
        &self,
        py: Python<'_>,
        relation: Option<&str>,
        coverage: Any<'_, '_>,
    ) -> PyResult<(Option<Py<PyAny>>, Py<PyAny>)> {
        let relation = relation.map_or(Ok(self.relation), |r| relation_named(r, "relation")).or_raise(py)?;
        let next = self.inner.next_test(relation, probability(coverage)?).or_raise(py)?;
        Ok((out_option(py, next.time)?, out(py, next.detection_limit)?))
    }

    /// When the capacity falls to an end, as a band from tests and ageing models together.
    ///
    /// Parameters
    /// ----------
    /// capacity : str or quantity
    ///     The end, such as 80 % of the rating.
    /// models : str or sequence of str
    ///     Ageing models, each fitted to the tests by a factor: "naumann", or one of the calendar and one of the cycles,
    ///     "naumann+wang-2011".
    /// charge, temperature : str or quantity
    ///     How the bank is kept.
    /// depth, current, full_cycles_a_year : str or quantity, and float
    ///     How it is cycled.
    #[pyo3(signature = (capacity, *, models, charge, temperature, depth, current, full_cycles_a_year, coverage=None))]
    #[allow(clippy::too_many_arguments)]
    fn forecast(
        slf: &Bound<'_, Self>,
        capacity: &Bound<'_, PyAny>,
        models: &Bound<'_, PyAny>,
        charge: &Bound<'_, PyAny>,
        temperature: &Bound<'_, PyAny>,
        depth: &Bound<'_, PyAny>,
        current: &Bound<'_, PyAny>,
        full_cycles_a_year: &Bound<'_, PyAny>,
        coverage: Any<'_, '_>,
    ) -> PyResult<Forecast> {
        let py = slf.py();
        let history = slf.get().clone();
        let mut asked = Asked::default();
        let end: Charge = asked.quantity("capacity", capacity)?;
        let words = asked.words("models", Some(models), "the name of an ageing model, or several")?;
        let mut pairs = Vec::new();
        for word in words.unwrap_or_default() {
            // One model, or one of the calendar and one of the cycles.
            let (calendar, cycles) = word.split_once('+').unwrap_or((&word, &word));
            let model = |word: &str| AgeingModel::parse(word.trim(), "models").or_raise(py);
            pairs.push((model(calendar)?, model(cycles)?));
        }
        let charge = crate::cell::charge(&mut asked, "charge", charge)?;
        let temperature: Temperature = asked.quantity("temperature", temperature)?;
        let depth = asked.quantity("depth", depth)?;
        let current: Current = asked.quantity("current", current)?;
        let rate = Rate::of(current, history.inner.tests()[0].capacity.value()).or_raise(py)?;
        let full_cycles_a_year = crate::cell::number(&mut asked, "full_cycles_a_year", full_cycles_a_year)?;
        let p: Fraction = asked.optional("coverage", coverage)?.unwrap_or(P95);
        let ageing = Ageing {
            storage: Storage { charge, temperature },
            cycling: Cycling { depth, rate, middle: charge, temperature },
            full_cycles_a_year,
        };
        let tests = history.inner.clone();
        let mut working = orlop::Working::new(format!("when the bank falls to {}", show(end)));
        let inner = run(py, || tests.forecast_recorded(end, &pairs, &ageing, p, &mut working))?;
        Ok(Forecast { inner, working, history, asked })
    }

    fn __len__(&self) -> usize {
        self.given.len()
    }
    fn __repr__(&self) -> String {
        let tests = self.inner.tests();
        let span = (tests[tests.len() - 1].time - tests[0].time).si() / YEAR_S;
        let said = self.inner.trend(P95).map(|t| t.sentence()).unwrap_or_default();
        format!("TestHistory({} tests over {} years: {said})", tests.len(), orlop_units::significant(span, 2))
    }
    fn _repr_html_(&self) -> String {
        let rows: Vec<(String, String)> = self
            .inner
            .tests()
            .iter()
            .zip(&self.given)
            .map(|(t, _)| {
                (show(t.time), format!("{} +- {}", show(t.capacity.value()), show(t.capacity.combined())))
            })
            .collect();
        let rows: Vec<(&str, String)> = rows.iter().map(|(a, b)| (a.as_str(), b.clone())).collect();
        sheet(&self.__repr__(), &rows, &[])
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let make = py.import("orlop._orlop")?.getattr("TestHistory")?;
        let times: Vec<String> = self.inner.tests().iter().map(|t| exact_text(t.time)).collect();
        let cycles: Vec<f64> = self.inner.tests().iter().map(|t| t.full_cycles).collect();
        (make, (times, self.given.clone(), cycles, relation_word(self.relation))).into_pyobject(py)
    }
}

#[pymethods]
impl Forecast {
    /// The tests it rests on.
    #[getter]
    fn history(&self) -> TestHistory {
        self.history.clone()
    }
    /// From the earliest of the models to the latest, time since new; a bound beyond a hundred years is None.
    #[getter]
    fn band(&self) -> Range {
        self.inner.band.into()
    }
    /// How each of its dates was found.
    fn explain(&self) -> Working {
        self.working.clone().into()
    }
    /// By the straight line through the tests alone.
    #[getter]
    fn by_tests(&self) -> Range {
        self.inner.by_tests.into()
    }
    /// By each model, fitted to the tests.
    #[getter]
    fn by_model<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let dict = PyDict::new(py);
        for m in &self.inner.by_model {
            dict.set_item(pair(m), Range::from(m.reached))?;
        }
        Ok(dict)
    }
    /// The band in one sentence.
    #[getter]
    fn sentence(&self) -> String {
        self.inner.sentence()
    }
    fn __repr__(&self) -> String {
        let year =
            |t: Option<Time>| t.map_or("no known date".into(), |t| format!("{:.1} years", t.si() / YEAR_S));
        format!("Forecast({} to {})", year(self.inner.band.low()), year(self.inner.band.high()))
    }
    fn _repr_html_(&self) -> String {
        let models =
            self.inner.by_model.iter().map(|m| (m.calendar.word(), Range::from(m.reached).to_string()));
        let rows: Vec<(&str, String)> = models.collect();
        sheet(&self.sentence(), &rows, &[])
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let history = self.history.clone().into_pyobject(py)?.into_any();
        self.asked.reduce(py, Some(history), "forecast")
    }
}
