//! How a number was found.

use crate::asked::{SCHEMA, check_schema};
use crate::html::escape;
use orlop::working::Input;
use orlop::{Citation, Confidence};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyList, PyTuple};
use std::borrow::Cow;

/// One step of a working: what it answers, the formula, what went in, what came out, where it comes from.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> step = orlop.Conductor("6 AWG", insulation="105 degC").ampacity(rules="us-small-craft").explain().steps[0]
/// >>> step.value, step.source
/// ('120 A', '33 CFR 183.425:2015, Table 5')
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct Step(orlop::Step);

/// The steps that lead to a number.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> wire = orlop.Conductor("6 AWG", insulation="105 degC")
/// >>> working = wire.ampacity(rules="us-small-craft").explain()
/// >>> working.steps[-1].symbol
/// 'I_z'
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct Working(orlop::Working);

impl From<orlop::Working> for Working {
    fn from(working: orlop::Working) -> Self {
        Self(working)
    }
}

#[pymethods]
impl Step {
    /// What this step answers.
    #[getter]
    fn what(&self) -> &str {
        &self.0.what
    }
    /// Symbol of the result, or "".
    #[getter]
    fn symbol(&self) -> &str {
        &self.0.symbol
    }
    /// The formula or the look-up.
    #[getter]
    fn formula(&self) -> &str {
        &self.0.formula
    }
    /// What went in, as pairs of symbol and value.
    #[getter]
    fn inputs<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.0.inputs.iter().map(|i| (i.symbol.as_str(), i.value.as_str())))
    }
    /// The result with its unit.
    #[getter]
    fn value(&self) -> &str {
        &self.0.value
    }
    /// Document, edition and place of the formula or table, or None.
    #[getter]
    fn source(&self) -> Option<String> {
        self.0.source.as_ref().map(Citation::short)
    }
    /// How far the source can be trusted, or None.
    #[getter]
    fn confidence(&self) -> Option<&'static str> {
        self.0.source.as_ref().map(|s| s.confidence.word())
    }

    /// The step as a dict of plain values.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let dict = PyDict::new(py);
        dict.set_item("what", self.what())?;
        dict.set_item("symbol", self.symbol())?;
        dict.set_item("formula", self.formula())?;
        let inputs = PyDict::new(py);
        for input in &self.0.inputs {
            inputs.set_item(&input.symbol, &input.value)?;
        }
        dict.set_item("inputs", inputs)?;
        dict.set_item("value", self.value())?;
        dict.set_item("source", self.source())?;
        dict.set_item("confidence", self.confidence())?;
        Ok(dict)
    }

    fn __repr__(&self) -> String {
        let lead = if self.0.symbol.is_empty() { String::new() } else { format!("{} = ", self.0.symbol) };
        format!("Step({}: {lead}{})", self.0.what, self.0.value)
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let make = py.import("orlop._orlop")?.getattr("_step")?;
        (make, (SCHEMA, self.state())).into_pyobject(py)
    }
}

#[pymethods]
impl Working {
    /// The question.
    #[getter]
    fn title(&self) -> &str {
        &self.0.title
    }
    /// The steps in order.
    #[getter]
    fn steps<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.0.steps.iter().map(|s| Step(s.clone())))
    }
    /// The weakest confidence of all sources named, or None.
    #[getter]
    fn confidence(&self) -> Option<&'static str> {
        self.0.confidence().map(Confidence::word)
    }

    /// The whole working as a dict of plain values.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let dict = PyDict::new(py);
        dict.set_item("title", &self.0.title)?;
        let steps = self.0.steps.iter().map(|s| Step(s.clone()).to_dict(py)).collect::<PyResult<Vec<_>>>()?;
        dict.set_item("steps", PyList::new(py, steps)?)?;
        dict.set_item("confidence", self.confidence())?;
        Ok(dict)
    }

    fn __len__(&self) -> usize {
        self.0.steps.len()
    }

    fn __repr__(&self) -> String {
        let last = self.0.steps.last().map_or_else(String::new, |s| format!(", ends in {}", s.value));
        format!("Working({}: {} steps{last})", self.0.title, self.0.steps.len())
    }

    fn __str__(&self) -> String {
        self.0.to_string()
    }

    fn _repr_html_(&self) -> String {
        let mut html =
            format!("<table class=\"orlop\"><caption>{}</caption><thead><tr>", escape(&self.0.title));
        for head in ["", "step", "result", "formula", "with", "source"] {
            html += &format!("<th style=\"text-align:left\">{head}</th>");
        }
        html += "</tr></thead><tbody>";
        for (at, step) in self.0.steps.iter().enumerate() {
            let lead = if step.symbol.is_empty() { String::new() } else { format!("{} = ", step.symbol) };
            let inputs: Vec<_> = step.inputs.iter().map(|i| format!("{} = {}", i.symbol, i.value)).collect();
            let source = step.source.as_ref().map(Citation::short).unwrap_or_default();
            html += &format!("<tr><td>{}</td>", at + 1);
            for cell in [&step.what, &(lead + &step.value), &step.formula, &inputs.join(", "), &source] {
                html += &format!("<td style=\"text-align:left\">{}</td>", escape(cell));
            }
            html += "</tr>";
        }
        html + "</tbody></table>"
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let make = py.import("orlop._orlop")?.getattr("_working")?;
        let steps: Vec<_> = self.0.steps.iter().map(|s| Step(s.clone()).state()).collect();
        (make, (SCHEMA, &self.0.title, steps)).into_pyobject(py)
    }
}

/// A step as plain Python values.
type State =
    (String, String, String, Vec<(String, String)>, String, Option<[String; 5]>, Option<(String, String)>);

impl Step {
    fn state(&self) -> State {
        let s = &self.0;
        let source = s.source.as_ref();
        (
            s.what.clone(),
            s.symbol.clone(),
            s.formula.clone(),
            s.inputs.iter().map(|i| (i.symbol.clone(), i.value.clone())).collect(),
            s.value.clone(),
            source.map(|c| [&c.id, &c.document, &c.edition, &c.place, &c.title].map(ToString::to_string)),
            source.map(|c| (c.confidence.word().to_string(), c.reading.to_string())),
        )
    }

    fn from_state(state: State) -> Self {
        let (what, symbol, formula, inputs, value, source, trust) = state;
        let source =
            source.zip(trust).map(|([id, document, edition, place, title], (word, reading))| Citation {
                id: Cow::Owned(id),
                document: Cow::Owned(document),
                edition: Cow::Owned(edition),
                place: Cow::Owned(place),
                title: Cow::Owned(title),
                confidence: confidence_named(&word),
                reading: Cow::Owned(reading),
            });
        let inputs = inputs.into_iter().map(|(symbol, value)| Input { symbol, value }).collect();
        Self(orlop::Step { what, symbol, formula, inputs, value, source })
    }
}

/// The confidence of a printed word; an unknown word counts as the weakest.
pub fn confidence_named(word: &str) -> Confidence {
    [Confidence::Published, Confidence::CommonPractice]
        .into_iter()
        .find(|c| c.word() == word)
        .unwrap_or(Confidence::Memory)
}

/// A pickled step.
#[pyfunction(name = "_step")]
pub fn rebuild_step(py: Python<'_>, schema: u32, state: State) -> PyResult<Step> {
    check_schema(py, schema)?;
    Ok(Step::from_state(state))
}

/// A pickled working.
#[pyfunction(name = "_working")]
pub fn rebuild(py: Python<'_>, schema: u32, title: String, steps: Vec<State>) -> PyResult<Working> {
    check_schema(py, schema)?;
    let steps = steps.into_iter().map(|s| Step::from_state(s).0).collect();
    Ok(Working(orlop::Working { title, steps }))
}
