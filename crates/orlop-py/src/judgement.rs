//! A value against its limit.

use crate::asked::{SCHEMA, check_schema};
use crate::convert::out_si;
use crate::errors::raise;
use crate::html::escape;
use crate::range::{kind_name, kind_named};
use crate::working::confidence_named;
use orlop::{Error, Sense, Severity, Verdict};
use orlop_units::AnyQuantity;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyTuple};
use std::collections::BTreeSet;
use std::sync::Mutex;

/// What one rule says about one subject in one case.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> answer = orlop.size_circuit(current="25 A", one_way="6 m", nominal="12 V", max_drop="3 %", rules="us-small-craft",
/// ...                             sizes="awg", insulation="105 degC")
/// >>> answer.judgements[0].verdict
/// 'pass'
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct Judgement(pub orlop::Judgement);

#[pymethods]
impl Judgement {
    /// Id of the rule.
    #[getter]
    fn rule(&self) -> &str {
        self.0.rule
    }
    /// Address of the subject: "circuit.F5".
    #[getter]
    fn subject(&self) -> &str {
        &self.0.subject
    }
    /// The worst case, "scenario@corner", or "".
    #[getter]
    fn case(&self) -> &str {
        &self.0.case
    }
    /// "pass", "fail", "undecided", "not-tested" or "not-applicable".
    #[getter]
    fn verdict(&self) -> &'static str {
        self.0.verdict.word()
    }
    /// The value, or None.
    #[getter]
    fn value(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        any(py, self.0.value.as_ref())
    }
    /// Its limit, or None.
    #[getter]
    fn limit(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        any(py, self.0.limit.as_ref())
    }
    /// "at most" or "at least".
    #[getter]
    fn sense(&self) -> &'static str {
        self.0.sense.word()
    }
    /// Room left over the limit as a share of it; positive is good.
    #[getter]
    fn margin(&self) -> Option<f64> {
        self.0.margin
    }
    /// Standard uncertainty of the value, or None.
    #[getter]
    fn uncertainty(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        any(py, self.0.uncertainty.as_ref())
    }
    /// Clause or practice that sets the limit.
    #[getter]
    fn clause(&self) -> &str {
        &self.0.clause
    }
    /// "A" act before use, "B" act soon, "C" good practice.
    #[getter]
    fn severity(&self) -> &'static str {
        self.0.severity.word()
    }
    /// What is the matter, in one sentence.
    #[getter]
    fn what(&self) -> &str {
        &self.0.what
    }
    /// What to do about it, or "".
    #[getter]
    fn to_do(&self) -> &str {
        &self.0.to_do
    }
    /// The weakest source it rests on.
    #[getter]
    fn confidence(&self) -> &'static str {
        self.0.confidence.word()
    }
    /// Whether it failed or could not be decided.
    #[getter]
    fn is_finding(&self) -> bool {
        self.0.is_finding()
    }

    /// The judgement as a dict of plain values; quantities as text with their unit.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let j = &self.0;
        let dict = PyDict::new(py);
        dict.set_item("rule", j.rule)?;
        dict.set_item("subject", &j.subject)?;
        dict.set_item("case", &j.case)?;
        dict.set_item("verdict", j.verdict.word())?;
        dict.set_item("severity", j.severity.word())?;
        dict.set_item("value", j.value.as_ref().map(ToString::to_string))?;
        dict.set_item("sense", j.sense.word())?;
        dict.set_item("limit", j.limit.as_ref().map(ToString::to_string))?;
        dict.set_item("margin", j.margin)?;
        dict.set_item("clause", &j.clause)?;
        dict.set_item("confidence", j.confidence.word())?;
        dict.set_item("what", &j.what)?;
        dict.set_item("to_do", &j.to_do)?;
        Ok(dict)
    }

    fn __repr__(&self) -> String {
        let j = &self.0;
        let compared = match (&j.value, &j.limit) {
            (Some(value), Some(limit)) => format!(": {value} {} {limit}", j.sense),
            _ => String::new(),
        };
        let on = if j.subject.is_empty() { String::new() } else { format!(" on {}", j.subject) };
        format!("Judgement({} {}{on}{compared})", j.rule, j.verdict)
    }

    fn _repr_html_(&self) -> String {
        let j = &self.0;
        format!(
            "<p><strong>{}</strong> ({}, {}) {}: {}{}</p>",
            escape(j.verdict.word()),
            escape(j.rule),
            escape(&j.clause),
            escape(&j.subject),
            escape(&j.what),
            if j.to_do.is_empty() { String::new() } else { format!(" <em>{}</em>", escape(&j.to_do)) }
        )
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let j = &self.0;
        let plain = |q: &Option<AnyQuantity>| q.as_ref().map(|q| (kind_name(q.kind).to_string(), q.si));
        let words = [
            j.rule,
            &j.subject,
            &j.case,
            j.verdict.word(),
            j.sense.word(),
            j.severity.word(),
            &j.clause,
            &j.what,
            &j.to_do,
            j.confidence.word(),
        ]
        .map(ToString::to_string);
        let numbers = (plain(&j.value), plain(&j.limit), plain(&j.uncertainty), j.margin);
        let make = py.import("orlop._orlop")?.getattr("_judgement")?;
        (make, (SCHEMA, words, numbers)).into_pyobject(py)
    }
}

fn any(py: Python<'_>, q: Option<&AnyQuantity>) -> PyResult<Option<Py<PyAny>>> {
    q.map(|q| out_si(py, q.kind, q.si)).transpose()
}

type Plain = Option<(String, f64)>;

/// A pickled judgement.
#[pyfunction(name = "_judgement")]
pub fn rebuild(
    py: Python<'_>,
    schema: u32,
    words: [String; 10],
    numbers: (Plain, Plain, Plain, Option<f64>),
) -> PyResult<Judgement> {
    check_schema(py, schema)?;
    let [rule, subject, case, verdict, sense, severity, clause, what, to_do, confidence] = words;
    let strange =
        |field: &str, word: &str| raise(py, &Error::input(field, format!("'{word}'"), "a word of orlop"));
    let verdict =
        [Verdict::Pass, Verdict::Fail, Verdict::Undecided, Verdict::NotTested, Verdict::NotApplicable]
            .into_iter()
            .find(|v| v.word() == verdict)
            .ok_or_else(|| strange("verdict", &verdict))?;
    let severity = [Severity::A, Severity::B, Severity::C]
        .into_iter()
        .find(|s| s.word() == severity)
        .ok_or_else(|| strange("severity", &severity))?;
    let sense = [Sense::AtMost, Sense::AtLeast]
        .into_iter()
        .find(|s| s.word() == sense)
        .ok_or_else(|| strange("sense", &sense))?;
    let quantity = |plain: Plain| -> PyResult<Option<AnyQuantity>> {
        plain
            .map(|(kind, si)| Ok(AnyQuantity { kind: kind_named(py, &kind)?, si, as_written: None }))
            .transpose()
    };
    let (value, limit, uncertainty, margin) = numbers;
    Ok(Judgement(orlop::Judgement {
        rule: interned(&rule),
        subject,
        case,
        verdict,
        value: quantity(value)?,
        limit: quantity(limit)?,
        sense,
        margin,
        uncertainty: quantity(uncertainty)?,
        clause,
        severity,
        what,
        to_do,
        confidence: confidence_named(&confidence),
    }))
}

/// The one copy of a rule's id that lives as long as the process; there are as many as rules.
pub(crate) fn interned(rule: &str) -> &'static str {
    static RULES: Mutex<BTreeSet<&'static str>> = Mutex::new(BTreeSet::new());
    let mut rules = RULES.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    if let Some(known) = rules.get(rule) {
        return known;
    }
    let kept: &'static str = Box::leak(rule.to_string().into_boxed_str());
    rules.insert(kept);
    kept
}
