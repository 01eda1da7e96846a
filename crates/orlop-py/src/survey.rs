//! The survey of a boat as it was found.

use crate::asked::{SCHEMA, check_schema};
use crate::boat::{Boat, Design, written};
use crate::convert::out_si;
use crate::errors::raise;
use crate::html::escape;
use crate::judgement::interned;
use crate::range::{kind_name, kind_named};
use crate::resurvey::Resurvey;
use crate::table::Table;
use crate::working::confidence_named;
use orlop::{Error, Sense, Severity, Verdict};
use orlop_boat::found::Evidence;
use orlop_boat::survey::{self, NoteKind};
use orlop_units::AnyQuantity;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyTuple};
use std::sync::Arc;

/// One finding of a survey: a deficiency that stands alone.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> survey = orlop.demo_boat("dunlin_as_found").survey()
/// >>> print(survey.findings[0].severity, survey.findings[0].readings)
/// A ('AF-01',)
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct SurveyFinding(survey::SurveyFinding);

#[pymethods]
impl SurveyFinding {
    /// Its number in the report.
    #[getter]
    fn number(&self) -> usize {
        self.0.number
    }
    /// "A" act before use, "B" soon, "C" good practice.
    #[getter]
    fn severity(&self) -> &'static str {
        self.0.severity.word()
    }
    /// "fail" or "undecided".
    #[getter]
    fn verdict(&self) -> &'static str {
        self.0.verdict.word()
    }
    /// The rule that leads.
    #[getter]
    fn rule(&self) -> &'static str {
        self.0.rule
    }
    /// What it is about: "circuit.D1".
    #[getter]
    fn subject(&self) -> &str {
        &self.0.subject
    }
    /// The same for people.
    #[getter]
    fn place(&self) -> &str {
        &self.0.place
    }
    /// "measured", "seen" or "inferred".
    #[getter]
    fn evidence(&self) -> &'static str {
        self.0.evidence.word()
    }
    /// What is wrong.
    #[getter]
    fn deficiency(&self) -> &str {
        &self.0.deficiency
    }
    /// What may come of it.
    #[getter]
    fn risk(&self) -> &str {
        &self.0.risk
    }
    /// What must be true afterwards.
    #[getter]
    fn correction(&self) -> &str {
        &self.0.correction
    }
    /// Document and clause, or the practice.
    #[getter]
    fn standard(&self) -> &str {
        &self.0.standard
    }
    /// How far our copy of that can be trusted.
    #[getter]
    fn confidence(&self) -> &'static str {
        self.0.confidence.word()
    }
    /// The value, or None.
    #[getter]
    fn value(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        any(py, self.0.value.as_ref())
    }
    /// Half the width of the interval that holds the true value with 95 %, or None.
    #[getter]
    fn uncertainty(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        any(py, self.0.uncertainty.as_ref())
    }
    /// Which side of the limit is good: "at most" or "at least".
    #[getter]
    fn sense(&self) -> &'static str {
        self.0.sense.word()
    }
    /// The limit, or None.
    #[getter]
    fn limit(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        any(py, self.0.limit.as_ref())
    }
    /// Room left over the limit, as a share of it; below zero is short of it.
    #[getter]
    fn margin(&self) -> Option<f64> {
        self.0.margin
    }
    /// Ids of the readings that it rests on.
    #[getter]
    fn readings<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, &self.0.readings)
    }
    /// Other judgements on the same matter: rule and what it says.
    #[getter]
    fn beside<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, &self.0.beside)
    }

    /// As a dict of plain values; quantities as text.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let f = &self.0;
        let text = |q: &Option<AnyQuantity>| q.as_ref().map(ToString::to_string);
        let dict = PyDict::new(py);
        dict.set_item("number", f.number)?;
        for (key, word) in self.words() {
            dict.set_item(key, word)?;
        }
        dict.set_item("value", text(&f.value))?;
        dict.set_item("uncertainty", text(&f.uncertainty))?;
        dict.set_item("limit", text(&f.limit))?;
        dict.set_item("margin", f.margin)?;
        dict.set_item("readings", &f.readings)?;
        Ok(dict)
    }

    fn __repr__(&self) -> String {
        let f = &self.0;
        let readings = if f.readings.is_empty() { "" } else { " on " };
        format!(
            "SurveyFinding({} {} {}{readings}{}: {})",
            f.number,
            f.severity,
            f.subject,
            f.readings.join(", "),
            f.rule
        )
    }
    fn _repr_html_(&self) -> String {
        let f = &self.0;
        format!(
            "<p><strong>{} {}</strong> {} <em>{}</em> {} ({})</p>",
            f.number,
            f.severity,
            escape(&f.deficiency),
            escape(&f.risk),
            escape(&f.correction),
            escape(&f.standard)
        )
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let f = &self.0;
        let plain = |q: &Option<AnyQuantity>| q.as_ref().map(|q| (kind_name(q.kind).to_string(), q.si));
        let words = self.words().map(|(_, word)| word);
        let numbers = (plain(&f.value), plain(&f.limit), plain(&f.uncertainty), f.margin, f.number);
        let make = py.import("orlop._orlop")?.getattr("_survey_finding")?;
        (make, (SCHEMA, words, numbers, f.readings.clone(), f.beside.clone())).into_pyobject(py)
    }
}

impl SurveyFinding {
    fn words(&self) -> [(&'static str, String); 12] {
        let f = &self.0;
        [
            ("severity", f.severity.word().into()),
            ("verdict", f.verdict.word().into()),
            ("rule", f.rule.into()),
            ("subject", f.subject.clone()),
            ("place", f.place.clone()),
            ("evidence", f.evidence.word().into()),
            ("deficiency", f.deficiency.clone()),
            ("risk", f.risk.clone()),
            ("correction", f.correction.clone()),
            ("standard", f.standard.clone()),
            ("confidence", f.confidence.word().into()),
            ("sense", f.sense.word().into()),
        ]
    }
}

fn any(py: Python<'_>, q: Option<&AnyQuantity>) -> PyResult<Option<Py<PyAny>>> {
    q.map(|q| out_si(py, q.kind, q.si)).transpose()
}

type Plain = Option<(String, f64)>;

/// A pickled finding.
#[pyfunction(name = "_survey_finding")]
pub fn rebuild_finding(
    py: Python<'_>,
    schema: u32,
    words: [String; 12],
    numbers: (Plain, Plain, Plain, Option<f64>, usize),
    readings: Vec<String>,
    beside: Vec<(String, String)>,
) -> PyResult<SurveyFinding> {
    check_schema(py, schema)?;
    let [
        severity,
        verdict,
        rule,
        subject,
        place,
        evidence,
        deficiency,
        risk,
        correction,
        standard,
        confidence,
        sense,
    ] = words;
    let strange =
        |field: &str, word: &str| raise(py, &Error::input(field, format!("'{word}'"), "a word of orlop"));
    let quantity = |plain: Plain| -> PyResult<Option<AnyQuantity>> {
        plain
            .map(|(kind, si)| Ok(AnyQuantity { kind: kind_named(py, &kind)?, si, as_written: None }))
            .transpose()
    };
    let (value, limit, uncertainty, margin, number) = numbers;
    Ok(SurveyFinding(survey::SurveyFinding {
        number,
        severity: [Severity::A, Severity::B, Severity::C]
            .into_iter()
            .find(|s| s.word() == severity)
            .ok_or_else(|| strange("severity", &severity))?,
        rule: interned(&rule),
        verdict: [Verdict::Fail, Verdict::Undecided]
            .into_iter()
            .find(|v| v.word() == verdict)
            .ok_or_else(|| strange("verdict", &verdict))?,
        subject,
        place,
        evidence: [Evidence::Measured, Evidence::Seen, Evidence::Inferred]
            .into_iter()
            .find(|e| e.word() == evidence)
            .ok_or_else(|| strange("evidence", &evidence))?,
        deficiency,
        risk,
        correction,
        standard,
        confidence: confidence_named(&confidence),
        value: quantity(value)?,
        uncertainty: quantity(uncertainty)?,
        sense: [Sense::AtMost, Sense::AtLeast]
            .into_iter()
            .find(|s| s.word() == sense)
            .ok_or_else(|| strange("sense", &sense))?,
        limit: quantity(limit)?,
        margin,
        readings,
        beside: beside.into_iter().map(|(rule, what)| (interned(&rule), what)).collect(),
    }))
}

/// What a survey reports on a boat.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> survey = orlop.demo_boat("dunlin_as_found").survey()
/// >>> print(survey)
/// Dunlin, as found: findings A 5 B 8 C 2, undecided 0
/// >>> survey.not_opened[0]
/// 'Lazarette: the steering pedestal could not be opened without dismantling'
#[pyclass(frozen, module = "orlop")]
pub struct Survey {
    design: Design,
    inner: Arc<survey::Survey>,
}

impl Survey {
    pub fn of(design: Design) -> Self {
        let inner = Arc::new(survey::of(design.sized()));
        Self { design, inner }
    }

    /// What was worked out on the boat.
    pub fn sized(&self) -> Arc<orlop_boat::Design> {
        Arc::clone(self.design.sized())
    }
    /// Same file, same method.
    pub fn same(&self, other: &Self) -> bool {
        self.design.same(&other.design)
    }
    /// The hash of its file.
    pub fn hashed(&self) -> u64 {
        self.__hash__()
    }

    fn listed<'py>(&self, py: Python<'py>, kind: NoteKind) -> PyResult<Bound<'py, PyTuple>> {
        let all = self.inner.notes.iter().chain(&self.inner.confirmations).filter(|n| n.kind == kind);
        PyTuple::new(py, all.map(|n| format!("{}: {}", n.place, n.text)).collect::<Vec<_>>())
    }
}

#[pymethods]
impl Survey {
    /// The boat with everything that was worked out on it.
    #[getter]
    fn design(&self) -> Design {
        self.design.clone()
    }
    /// The boat.
    #[getter]
    fn boat(&self) -> Boat {
        self.design.of()
    }
    /// Deficiencies, the most urgent first.
    #[getter]
    fn findings<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.inner.findings.iter().cloned().map(SurveyFinding))
    }
    /// What is nearer to its limit than it is known, or could not be worked out.
    #[getter]
    fn undecided<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.inner.undecided.iter().cloned().map(SurveyFinding))
    }
    /// What was seen and has no limit to judge it by.
    #[getter]
    fn observations<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        self.listed(py, NoteKind::Observation)
    }
    /// What could not be opened or reached.
    #[getter]
    fn not_opened<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        self.listed(py, NoteKind::NotOpened)
    }
    /// What was there and was not tested or stated.
    #[getter]
    fn not_tested<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        self.listed(py, NoteKind::NotTested)
    }
    /// What was looked at and is in order.
    #[getter]
    fn confirmations<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        self.listed(py, NoteKind::InOrder)
    }
    /// One of the tables of its design: "survey", "survey_notes", "found", "tests" are the survey's own.
    fn table(&self, name: &Bound<'_, PyAny>) -> PyResult<Table> {
        self.design.table(name)
    }

    /// What has changed since an earlier survey of the same vessel.
    ///
    /// Findings are matched by what they are about; values count as changed where they differ by more than the uncertainty of both.
    /// Raises ``InputError`` for two vessels, a visit without a date, or visits in the wrong order.
    fn compared_with(slf: &Bound<'_, Self>, earlier: &Bound<'_, PyAny>) -> PyResult<Resurvey> {
        let py = slf.py();
        let Ok(earlier) = earlier.cast::<Self>() else {
            return Err(raise(
                py,
                &Error::input("earlier", crate::convert::short(earlier)?, "the survey of the earlier visit"),
            ));
        };
        Resurvey::of(py, earlier.clone().unbind(), slf.clone().unbind())
    }

    /// What goes to an insurer, as a table: vessel, inspection, bank, protection, open findings of severity A and B, what is in order.
    fn insurer_extract(&self) -> Table {
        let lines = survey::extract(self.design.sized(), None);
        orlop_boat::tables::insurer_extract(&lines).into()
    }

    /// Writes the report and the extract for an insurer, with their tables; returns their paths.
    #[pyo3(signature = (folder, *, date=None))]
    fn papers<'py>(&self, folder: &Bound<'py, PyAny>, date: Option<&str>) -> PyResult<Bound<'py, PyAny>> {
        written(folder, || orlop_paper::survey_papers(self.design.sized(), None, date))
    }

    fn __repr__(&self) -> String {
        format!("Survey({})", self.__str__())
    }
    fn __str__(&self) -> String {
        let s = &self.inner;
        format!(
            "{}: findings A {} B {} C {}, undecided {}",
            self.design.sized().boat.name,
            s.count(Severity::A),
            s.count(Severity::B),
            s.count(Severity::C),
            s.undecided.len()
        )
    }
    fn _repr_html_(&self) -> String {
        let mut html = format!("<p><strong>{}</strong></p><ol>", escape(&self.__str__()));
        for f in &self.inner.findings {
            html += &format!("<li>{} {}</li>", f.severity, escape(&f.deficiency));
        }
        html + "</ol>"
    }
    fn __eq__(&self, other: &Bound<'_, PyAny>) -> bool {
        other.cast::<Self>().is_ok_and(|other| self.design.same(&other.get().design))
    }
    fn __hash__(&self) -> u64 {
        self.design.hashed().rotate_left(1)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let make = py.import("orlop._orlop")?.getattr("_survey")?;
        (make, (SCHEMA, self.design.of())).into_pyobject(py)
    }
}

/// A pickled survey: the boat is surveyed again.
#[pyfunction(name = "_survey")]
pub fn rebuild(py: Python<'_>, schema: u32, boat: &Bound<'_, Boat>) -> PyResult<Survey> {
    check_schema(py, schema)?;
    boat.get().survey(py)
}
