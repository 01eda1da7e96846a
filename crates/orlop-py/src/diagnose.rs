//! Looking for a fault: symptoms and readings in, causes and the next measurement out.

use crate::asked::{SCHEMA, check_schema};
use crate::boat::{Boat, Design};
use crate::convert::{short, text};
use crate::errors::{OrRaise, raise};
use crate::html::escape;
use crate::run::run;
use crate::table::Table;
use crate::working::Working;
use orlop::Error;
use orlop_boat::diagnose::{self, Asked};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyMapping, PyString, PyTuple};
use std::sync::Arc;

/// What is the matter with a boat, as far as it can be told: causes in their order, and what to measure next.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> boat = orlop.demo_boat("dunlin")
/// >>> fault = boat.find_fault(symptoms=["weak load.F1"], readings=["voltage panel.FWD = 24.6 V", "voltage load.F1 = 21.9 V",
/// ...     "drop circuit.F1 negative = 2.52 V", "drop circuit.F1 end-negative = 2.39 V"])
/// >>> fault.decided
/// True
/// >>> fault.table("causes").to_dicts()[0]["what"]
/// 'negative joint at the far end of Fridge compressor (F1)'
#[pyclass(frozen, module = "orlop")]
#[derive(Clone)]
pub struct Diagnosis {
    design: Design,
    asked: Asked,
    inner: Arc<diagnose::Diagnosis>,
}

impl Diagnosis {
    /// Reads the arguments and looks for the fault.
    pub fn find(
        py: Python<'_>,
        design: Design,
        symptoms: Option<&Bound<'_, PyAny>>,
        readings: Option<&Bound<'_, PyAny>>,
        odds: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<Self> {
        let symptoms = lines(symptoms, "symptoms", "a list such as ['weak load.F1']")?;
        let readings = lines(readings, "readings", "a list such as ['voltage load.F1 = 21.9 V']")?;
        let odds = factors(odds)?;
        let asked = Asked::parse(&symptoms, &readings, &odds).or_raise(py)?;
        Self::look(py, design, asked)
    }

    fn look(py: Python<'_>, design: Design, asked: Asked) -> PyResult<Self> {
        let inner = run(py, || diagnose::find_fault(design.sized(), &asked))?;
        Ok(Self { design, asked, inner: Arc::new(inner) })
    }

    fn odds(&self) -> Vec<(&'static str, f64)> {
        self.asked.odds.iter().map(|(kind, factor)| (kind.word(), *factor)).collect()
    }
}

/// Lines of text, or mappings in the form of a boat file's `found` sections.
fn lines(list: Option<&Bound<'_, PyAny>>, field: &str, expected: &str) -> PyResult<Vec<String>> {
    let Some(list) = list.filter(|l| !l.is_none()) else { return Ok(Vec::new()) };
    let wrong = |got: &Bound<'_, PyAny>| -> PyResult<PyErr> {
        Ok(raise(list.py(), &Error::input(field, short(got)?, expected)))
    };
    if list.is_instance_of::<PyString>() || list.is_instance_of::<PyDict>() {
        return Err(wrong(list)?);
    }
    let Ok(each) = list.try_iter() else { return Err(wrong(list)?) };
    each.map(|one| {
        let one = one?;
        match one.cast::<PyMapping>() {
            Ok(mapping) if field == "readings" => from_mapping(mapping),
            _ => text(&one, field, expected),
        }
    })
    .collect()
}

fn from_mapping(reading: &Bound<'_, PyMapping>) -> PyResult<String> {
    let py = reading.py();
    const KEYS: [&str; 6] = ["what", "at", "part", "when", "value", "uncertainty"];
    for key in reading.keys()?.iter() {
        let key = text(&key, "reading", "a key")?;
        if !KEYS.contains(&key.as_str()) {
            let expected = format!("keys of {}", KEYS.join(", "));
            return Err(raise(py, &Error::input("reading", format!("the key '{key}'"), expected)));
        }
    }
    let get = |key: &str| -> PyResult<Option<String>> {
        if !reading.contains(key)? {
            return Ok(None);
        }
        let value = reading.get_item(key)?;
        if value.is_none() { Ok(None) } else { text(&value, key, "text").map(Some) }
    };
    let must = |key: &str| -> PyResult<String> {
        get(key)?
            .ok_or_else(|| raise(py, &Error::input("reading", format!("no {key}"), "what, at and value")))
    };
    let mut line = format!("{} {}", must("what")?, must("at")?);
    for key in ["part", "when"] {
        if let Some(word) = get(key)? {
            line += &format!(" {word}");
        }
    }
    line += &format!(" = {}", must("value")?);
    if let Some(half) = get("uncertainty")? {
        line += &format!(" +- {half}");
    }
    Ok(line)
}

fn factors(odds: Option<&Bound<'_, PyAny>>) -> PyResult<Vec<(String, f64)>> {
    let Some(odds) = odds.filter(|o| !o.is_none()) else { return Ok(Vec::new()) };
    let expected = "factors by kind of cause, such as {'joint': 2.0}";
    let wrong = |got: String| raise(odds.py(), &Error::input("odds", got, expected));
    let Ok(mapping) = odds.cast::<PyMapping>() else { return Err(wrong(short(odds)?)) };
    let mut out = Vec::new();
    for key in mapping.keys()?.iter() {
        let value = mapping.get_item(&key)?;
        let Ok(factor) = value.extract::<f64>() else { return Err(wrong(short(&value)?)) };
        out.push((text(&key, "odds", expected)?, factor));
    }
    out.sort_by(|a, b| a.0.cmp(&b.0));
    Ok(out)
}

#[pymethods]
impl Diagnosis {
    /// The boat.
    #[getter]
    fn boat(&self) -> Boat {
        self.design.of()
    }
    /// Symptoms as they were read.
    #[getter]
    fn symptoms<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, &self.inner.symptoms)
    }
    /// Readings as they were read.
    #[getter]
    fn readings<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, &self.inner.readings)
    }
    /// What is to be switched on, and all else off, for readings that say "on".
    #[getter]
    fn switched_on(&self) -> &str {
        &self.inner.switched_on
    }
    /// In one or two sentences.
    #[getter]
    fn verdict(&self) -> &str {
        &self.inner.verdict
    }
    /// Whether one cause has at least 95 % and explains the readings.
    #[getter]
    fn decided(&self) -> bool {
        self.inner.decided
    }
    /// Probability of a misfit at least as large as that of the cause that explains the readings best; 1 when nothing was read.
    #[getter]
    fn explained(&self) -> f64 {
        self.inner.explained
    }
    /// Bits that are still missing to know the cause.
    #[getter]
    fn missing_bits(&self) -> f64 {
        self.inner.missing_bits
    }
    /// What to know before probes are held anywhere.
    #[getter]
    fn cautions<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, &self.inner.cautions)
    }
    /// Names of its tables.
    #[getter]
    fn tables<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, diagnose::SCHEMAS.iter().map(|s| s.name))
    }

    /// "causes", the most probable first, or "next_measurements", one row per outcome.
    fn table(&self, name: &Bound<'_, PyAny>) -> PyResult<Table> {
        let py = name.py();
        let name = text(name, "table", "causes or next_measurements")?;
        run(py, || diagnose::table(&self.inner, &name)).map(Table::from)
    }

    /// How each symptom and reading moved the probabilities.
    fn explain(&self) -> Working {
        self.inner.working.clone().into()
    }

    /// Looks again with one more reading.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> fault = orlop.demo_boat("dunlin").find_fault(symptoms=["dead load.F1"])
    /// >>> fault.with_reading("look circuit.F1 = open").table("causes").to_dicts()[0]["cause"]
    /// 'device-open'
    fn with_reading(&self, reading: &Bound<'_, PyAny>) -> PyResult<Self> {
        let py = reading.py();
        let one = PyTuple::new(py, [reading])?;
        let more = lines(Some(one.as_any()), "readings", "text such as 'voltage load.F1 = 21.9 V'")?;
        let parsed = Asked::parse(&[], &more, &[]).or_raise(py)?;
        let mut asked = self.asked.clone();
        asked.readings.extend(parsed.readings);
        Self::look(py, self.design.clone(), asked)
    }

    fn __repr__(&self) -> String {
        format!(
            "Diagnosis({}: {} symptoms, {} readings; {} {:.0} %)",
            self.design.sized().boat.name,
            self.inner.symptoms.len(),
            self.inner.readings.len(),
            self.inner.causes[0].what,
            100.0 * self.inner.causes[0].probability
        )
    }
    fn __str__(&self) -> &str {
        &self.inner.verdict
    }
    fn _repr_html_(&self) -> String {
        let d = &self.inner;
        let mut html = format!("<p><strong>{}</strong></p><ol>", escape(&d.verdict));
        for c in d.causes.iter().take(6) {
            html += &format!("<li>{} ({:.0} %)</li>", escape(&c.what), 100.0 * c.probability);
        }
        html += "</ol>";
        for n in &d.next {
            html += &format!("<p>Next: {} ({:.2} bits, {} min)</p><ul>", escape(&n.how), n.bits, n.minutes);
            for o in &n.outcomes {
                html += &format!(
                    "<li>{}: {} ({:.0} %)</li>",
                    escape(&o.outcome),
                    escape(&o.means),
                    100.0 * o.probability
                );
            }
            html += "</ul>";
        }
        html
    }
    fn __eq__(&self, other: &Bound<'_, PyAny>) -> bool {
        other.cast::<Self>().is_ok_and(|other| {
            let other = other.get();
            self.design.same(&other.design) && self.asked == other.asked
        })
    }
    fn __hash__(&self) -> u64 {
        self.design.hashed().rotate_left(2)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let make = py.import("orlop._orlop")?.getattr("_diagnosis")?;
        let (symptoms, readings) = (self.inner.symptoms.clone(), self.exact());
        (make, (SCHEMA, self.design.clone(), symptoms, readings, self.odds())).into_pyobject(py)
    }
}

impl Diagnosis {
    /// Readings as text that reads back to the same bits.
    fn exact(&self) -> Vec<String> {
        self.asked.readings.iter().map(diagnose::FaultReading::exact).collect()
    }
}

/// A pickled search: it is done again.
#[pyfunction(name = "_diagnosis")]
pub fn rebuild(
    py: Python<'_>,
    schema: u32,
    design: &Bound<'_, Design>,
    symptoms: Vec<String>,
    readings: Vec<String>,
    odds: Vec<(String, f64)>,
) -> PyResult<Diagnosis> {
    check_schema(py, schema)?;
    let asked = Asked::parse(&symptoms, &readings, &odds).or_raise(py)?;
    Diagnosis::look(py, design.get().clone(), asked)
}
