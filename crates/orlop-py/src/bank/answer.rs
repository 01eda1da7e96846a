//! The one form in which these questions are answered: values by name, judgements, a table where there is one.

use crate::asked::Asked;
use crate::cell::Cell;
use crate::conductor::Conductor;
use crate::convert::out_si;
use crate::errors::raise;
use crate::html::sheet;
use crate::judgement::Judgement;
use crate::range::Range;
use crate::table::Table;
use crate::working::Working;
use orlop::Error;
use orlop_units::{Kind, Quantity, show_si, significant};
use pyo3::IntoPyObjectExt;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyTuple};

/// What a question about a bank comes to: values by name, and judgements.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> filling = orlop.pre_charge(voltage="25.6 V", capacitance="12 mF", resistor="15 ohm", survives="50 J")
/// >>> filling
/// BankAnswer(pre_charge: peak 1.71 A)
/// >>> list(filling.values)[:3]
/// ['resistor', 'peak', 'time_constant']
/// >>> print(f"{filling['time_constant']:~P}")
/// 0.18 s
/// >>> [judgement.verdict for judgement in filling.judgements]
/// ['pass', 'pass']
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct BankAnswer {
    question: &'static str,
    values: Vec<(&'static str, Value)>,
    first: &'static str,
    judgements: Vec<orlop::Judgement>,
    table: Option<orlop::Table>,
    sentence: String,
    flags: Vec<String>,
    working: Option<orlop::Working>,
    asked: Asked,
    objects: Vec<(&'static str, Object)>,
}

/// One value of an answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A quantity by its kind and base unit.
    Quantity(Kind, f64),
    /// Bounds.
    Range(RangeOf),
    /// A plain number.
    Number(f64),
    /// A count.
    Count(u32),
    /// A word.
    Word(&'static str),
}

/// Bounds with their text.
pub type RangeOf = (Kind, Option<f64>, Option<f64>);

impl Value {
    /// A quantity.
    pub fn of<Q: Quantity>(q: Q) -> Self {
        Self::Quantity(Q::KIND, q.si())
    }
    /// Bounds.
    pub fn bounds<Q: Quantity>(range: orlop::Range<Q>) -> Self {
        Self::Range((Q::KIND, range.low().map(Q::si), range.high().map(Q::si)))
    }
    fn text(&self) -> String {
        match self {
            Self::Quantity(kind, si) => show_si(*kind, *si),
            Self::Range(ends) => Range::from_ends(*ends).to_string(),
            Self::Number(x) => significant(*x, 4),
            Self::Count(n) => n.to_string(),
            Self::Word(word) => (*word).to_string(),
        }
    }
    fn out<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        match self {
            Self::Quantity(kind, si) => Ok(out_si(py, *kind, *si)?.into_bound(py)),
            Self::Range(ends) => Range::from_ends(*ends).into_bound_py_any(py),
            Self::Number(x) => x.into_bound_py_any(py),
            Self::Count(n) => n.into_bound_py_any(py),
            Self::Word(word) => word.into_bound_py_any(py),
        }
    }
}

/// An argument that is an object of ours.
#[derive(Clone, PartialEq)]
pub enum Object {
    /// A cell.
    Cell(Box<Cell>),
    /// A conductor.
    Conductor(Conductor),
}

impl BankAnswer {
    /// An answer to the function of that name.
    pub fn new(question: &'static str, first: &'static str, asked: Asked) -> Self {
        Self {
            question,
            first,
            asked,
            values: Vec::new(),
            judgements: Vec::new(),
            table: None,
            sentence: String::new(),
            flags: Vec::new(),
            working: None,
            objects: Vec::new(),
        }
    }
    /// The same with its values.
    pub fn values(self, values: Vec<(&'static str, Value)>) -> Self {
        Self { values, ..self }
    }
    /// The same with judgements.
    pub fn judged(self, judgements: Vec<orlop::Judgement>) -> Self {
        Self { judgements, ..self }
    }
    /// The same with a table.
    pub fn with_table(self, table: orlop::Table) -> Self {
        Self { table: Some(table), ..self }
    }
    /// The same with a verdict in a sentence.
    pub fn saying(self, sentence: String) -> Self {
        Self { sentence, ..self }
    }
    /// The same with what a reader must know.
    pub fn flagged(self, flags: Vec<String>) -> Self {
        Self { flags, ..self }
    }
    /// The same with its steps, where there are any.
    pub fn worked(self, working: orlop::Working) -> Self {
        Self { working: (!working.steps.is_empty()).then_some(working), ..self }
    }
    /// The same with an argument that is an object.
    pub fn asked_with(mut self, name: &'static str, object: Object) -> Self {
        self.objects.push((name, object));
        self
    }

    fn find(&self, name: &str) -> Option<&Value> {
        self.values.iter().find(|(n, _)| *n == name).map(|(_, v)| v)
    }
}

fn tuple<'py>(
    py: Python<'py>,
    judgements: impl Iterator<Item = orlop::Judgement>,
) -> PyResult<Bound<'py, PyTuple>> {
    PyTuple::new(py, judgements.map(Judgement).collect::<Vec<_>>())
}

/// All judgements as Python sees them.
pub fn all<'py>(py: Python<'py>, judgements: &[orlop::Judgement]) -> PyResult<Bound<'py, PyTuple>> {
    tuple(py, judgements.iter().cloned())
}

/// Those of them that failed or could not be decided.
pub fn findings<'py>(py: Python<'py>, judgements: &[orlop::Judgement]) -> PyResult<Bound<'py, PyTuple>> {
    tuple(py, judgements.iter().filter(|j| j.is_finding()).cloned())
}

#[pymethods]
impl BankAnswer {
    /// Name of the function that was asked.
    #[getter]
    fn question(&self) -> &'static str {
        self.question
    }
    /// What it comes to, by name: quantities, ranges, numbers, words.
    #[getter]
    fn get_values<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let dict = PyDict::new(py);
        for (name, value) in &self.values {
            dict.set_item(name, value.out(py)?)?;
        }
        Ok(dict)
    }
    fn __getitem__<'py>(&self, py: Python<'py>, name: &str) -> PyResult<Bound<'py, PyAny>> {
        match self.find(name) {
            Some(value) => value.out(py),
            None => {
                let names: Vec<&str> = self.values.iter().map(|(n, _)| *n).collect();
                let expected = format!("one of {}", names.join(", "));
                Err(raise(py, &Error::input("name", format!("'{name}'"), expected)))
            }
        }
    }
    /// What every rule says.
    #[getter]
    fn judgements<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        all(py, &self.judgements)
    }
    /// Those that failed or could not be decided.
    #[getter]
    fn findings<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        findings(py, &self.judgements)
    }
    /// What belongs to it row by row, or None.
    #[getter]
    fn table(&self) -> Option<Table> {
        self.table.clone().map(Table::from)
    }
    /// The verdict in a sentence, or "".
    #[getter]
    fn sentence(&self) -> &str {
        &self.sentence
    }
    /// What a reader must know.
    #[getter]
    fn flags<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, &self.flags)
    }
    /// How the answer was found, or None where the doc of the question says it all.
    fn explain(&self) -> Option<Working> {
        self.working.clone().map(Working::from)
    }
    fn __repr__(&self) -> String {
        let first =
            self.find(self.first).map(|v| format!(": {} {}", self.first, v.text())).unwrap_or_default();
        let findings = match self.judgements.iter().filter(|j| j.is_finding()).count() {
            0 => String::new(),
            1 => ", 1 finding".into(),
            n => format!(", {n} findings"),
        };
        format!("BankAnswer({}{first}{findings})", self.question)
    }
    fn _repr_html_(&self) -> String {
        let mut rows: Vec<(&str, String)> = self.values.iter().map(|(n, v)| (*n, v.text())).collect();
        rows.push(("verdict", self.sentence.clone()));
        let mut remarks: Vec<String> =
            self.judgements.iter().map(|j| format!("{}: {}", j.verdict, j.what)).collect();
        remarks.extend(self.flags.clone());
        sheet(&self.question.replace('_', " "), &rows, &remarks)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let mut objects = Vec::new();
        for (name, object) in &self.objects {
            let object = match object {
                Object::Cell(cell) => (**cell).clone().into_bound_py_any(py)?,
                Object::Conductor(conductor) => conductor.clone().into_bound_py_any(py)?,
            };
            objects.push((*name, object));
        }
        self.asked.reduce_with(py, None, self.question, &objects)
    }
}
