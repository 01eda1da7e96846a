//! The arguments of a question: read once, kept as exact text, so that an answer can be explained and pickled by asking again.

use crate::columns::{Column, Columns};
use crate::convert;
use crate::errors::{OrRaise, raise};
use orlop::Error;
use orlop_units::{ConductorSize, Quantity};
use pyo3::prelude::*;
use pyo3::types::{PyBool, PyDict, PyList, PyString, PyTuple};

/// The form of pickles; a change of any argument's meaning raises it.
pub const SCHEMA: u32 = 1;

/// One argument as it is asked again.
#[derive(Clone, Debug, PartialEq)]
enum Arg {
    None,
    Text(String),
    Texts(Vec<String>),
    Pairs(Vec<(String, String)>),
    Flag(bool),
    Count(u32),
    Places(usize, usize),
    Numbers(Vec<(String, f64)>),
    Table(Vec<(String, Column)>),
}

/// The arguments of a question in order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Asked(Vec<(&'static str, Arg)>);

impl Asked {
    /// A physical value.
    pub fn quantity<Q: Quantity>(&mut self, field: &'static str, value: &Bound<'_, PyAny>) -> PyResult<Q> {
        let q: Q = convert::quantity(value, field)?;
        self.0.push((field, Arg::Text(convert::exact_text(q))));
        Ok(q)
    }

    /// A physical value or None.
    pub fn optional<Q: Quantity>(
        &mut self,
        field: &'static str,
        value: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<Option<Q>> {
        match value {
            Some(value) => self.quantity(field, value).map(Some),
            None => {
                self.0.push((field, Arg::None));
                Ok(None)
            }
        }
    }

    /// One of a list of words.
    pub fn word<T>(
        &mut self,
        field: &'static str,
        value: &Bound<'_, PyAny>,
        parse: fn(&str, &str) -> Result<T, Error>,
    ) -> PyResult<T> {
        let text = match value.cast::<PyString>() {
            Ok(text) => text.to_string_lossy().into_owned(),
            Err(_) => convert::short(value)?,
        };
        let word = parse(&text, field).or_raise(value.py())?;
        self.0.push((field, Arg::Text(text.trim().to_string())));
        Ok(word)
    }

    /// A whole number of one or more.
    pub fn count(&mut self, field: &'static str, value: &Bound<'_, PyAny>) -> PyResult<u32> {
        let number = if value.is_instance_of::<PyBool>() { None } else { value.extract::<u32>().ok() };
        match number {
            Some(n) if n >= 1 => {
                self.0.push((field, Arg::Count(n)));
                Ok(n)
            }
            _ => {
                let error = Error::input(field, convert::short(value)?, "a whole number of 1 or more");
                Err(raise(value.py(), &error))
            }
        }
    }

    /// Yes or no.
    pub fn flag(&mut self, field: &'static str, value: bool) -> bool {
        self.0.push((field, Arg::Flag(value)));
        value
    }

    /// Two places, counted from 1.
    pub fn places(&mut self, field: &'static str, a: usize, b: usize) {
        self.0.push((field, Arg::Places(a, b)));
    }

    /// Text that is known to be right.
    pub fn said(&mut self, field: &'static str, text: String) {
        self.0.push((field, Arg::Text(text)));
    }

    /// A conductor size or None.
    pub fn size(
        &mut self,
        field: &'static str,
        value: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<Option<ConductorSize>> {
        let size = value.map(|v| convert::size(v, field)).transpose()?;
        self.0.push((field, size.map_or(Arg::None, |s| Arg::Text(s.to_string()))));
        Ok(size)
    }

    /// A pair of physical values.
    pub fn pair<A: Quantity, B: Quantity>(
        &mut self,
        field: &'static str,
        value: &Bound<'_, PyAny>,
        expected: &str,
    ) -> PyResult<(A, B)> {
        let (a, b) = two(field, value, expected)?;
        self.0.push((field, Arg::Texts(vec![convert::exact_text(a), convert::exact_text(b)])));
        Ok((a, b))
    }

    /// A pair of physical values, or a list of pairs.
    pub fn pairs<A: Quantity, B: Quantity>(
        &mut self,
        field: &'static str,
        value: &Bound<'_, PyAny>,
        expected: &str,
    ) -> PyResult<Vec<(A, B)>> {
        let pairs: Vec<(A, B)> = if value.is_instance_of::<PyList>() {
            value.try_iter()?.map(|pair| two(field, &pair?, expected)).collect::<PyResult<_>>()?
        } else {
            vec![two(field, value, expected)?]
        };
        let texts = pairs.iter().map(|(a, b)| (convert::exact_text(*a), convert::exact_text(*b)));
        self.0.push((field, Arg::Pairs(texts.collect())));
        Ok(pairs)
    }

    /// A word, several words, or None.
    pub fn words(
        &mut self,
        field: &'static str,
        value: Option<&Bound<'_, PyAny>>,
        expected: &str,
    ) -> PyResult<Option<Vec<String>>> {
        let Some(value) = value else {
            self.0.push((field, Arg::None));
            return Ok(None);
        };
        let words: Vec<String> = if value.is_instance_of::<PyString>() {
            vec![convert::text(value, field, expected)?]
        } else if value.is_instance_of::<PyList>() || value.is_instance_of::<PyTuple>() {
            value.try_iter()?.map(|item| convert::text(&item?, field, expected)).collect::<PyResult<_>>()?
        } else {
            return Err(raise(value.py(), &Error::input(field, convert::short(value)?, expected)));
        };
        self.0.push((field, Arg::Texts(words.clone())));
        Ok(Some(words))
    }

    /// Numbers by name.
    pub fn numbers(&mut self, field: &'static str, numbers: Vec<(String, f64)>) {
        self.0.push((field, Arg::Numbers(numbers)));
    }

    /// A table that was read.
    pub fn table(&mut self, field: &'static str, table: &Columns) {
        self.0.push((field, Arg::Table(table.all().to_vec())));
    }

    fn kwargs<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let dict = PyDict::new(py);
        for (field, arg) in &self.0 {
            match arg {
                Arg::None => dict.set_item(field, py.None())?,
                Arg::Text(text) => dict.set_item(field, text)?,
                Arg::Texts(texts) => dict.set_item(field, PyTuple::new(py, texts)?)?,
                Arg::Pairs(pairs) => dict.set_item(field, pairs)?,
                Arg::Flag(flag) => dict.set_item(field, flag)?,
                Arg::Count(n) => dict.set_item(field, n)?,
                Arg::Places(a, b) => dict.set_item(field, (a, b))?,
                Arg::Numbers(numbers) => dict.set_item(field, by_name(py, numbers)?)?,
                Arg::Table(columns) => dict.set_item(field, columns_out(py, columns)?)?,
            }
        }
        Ok(dict)
    }

    /// What `__reduce__` returns where arguments are objects of ours: the question, to be asked again
    /// of `whom` (None: of the module).
    pub fn reduce_with<'py>(
        &self,
        py: Python<'py>,
        whom: Option<Bound<'py, PyAny>>,
        question: &str,
        objects: &[(&str, Bound<'py, PyAny>)],
    ) -> PyResult<Bound<'py, PyTuple>> {
        let again = py.import("orlop._orlop")?.getattr("_again")?;
        let kwargs = self.kwargs(py)?;
        for (field, object) in objects {
            kwargs.set_item(field, object)?;
        }
        let whom = whom.unwrap_or_else(|| py.None().into_bound(py));
        let state = (SCHEMA, whom, question, kwargs).into_pyobject(py)?;
        (again, state).into_pyobject(py)
    }

    /// What `__reduce__` returns: the question, to be asked again of `whom` (None: of the module).
    pub fn reduce<'py>(
        &self,
        py: Python<'py>,
        whom: Option<Bound<'py, PyAny>>,
        question: &str,
    ) -> PyResult<Bound<'py, PyTuple>> {
        let again = py.import("orlop._orlop")?.getattr("_again")?;
        let whom = whom.unwrap_or_else(|| py.None().into_bound(py));
        let state = (SCHEMA, whom, question, self.kwargs(py)?).into_pyobject(py)?;
        (again, state).into_pyobject(py)
    }
}

fn by_name<'py>(py: Python<'py>, numbers: &[(String, f64)]) -> PyResult<Bound<'py, PyDict>> {
    let dict = PyDict::new(py);
    for (name, number) in numbers {
        dict.set_item(name, number)?;
    }
    Ok(dict)
}

fn columns_out<'py>(py: Python<'py>, columns: &[(String, Column)]) -> PyResult<Bound<'py, PyDict>> {
    let dict = PyDict::new(py);
    for (name, column) in columns {
        match column {
            Column::Numbers(values) | Column::Moments(values) => {
                let cells: Vec<Option<f64>> = values.iter().map(|v| (!v.is_nan()).then_some(*v)).collect();
                dict.set_item(name, cells)?;
            }
            Column::Texts(values) => dict.set_item(name, values)?,
        }
    }
    Ok(dict)
}

fn two<A: Quantity, B: Quantity>(
    field: &'static str,
    value: &Bound<'_, PyAny>,
    expected: &str,
) -> PyResult<(A, B)> {
    let pair: Option<Vec<Bound<'_, PyAny>>> = if value.is_instance_of::<PyString>() {
        None
    } else {
        value.try_iter().ok().map(|items| items.take(3).collect::<PyResult<_>>()).transpose()?
    };
    match pair.as_deref() {
        Some([a, b]) => Ok((convert::quantity(a, field)?, convert::quantity(b, field)?)),
        _ => Err(raise(value.py(), &Error::input(field, convert::short(value)?, expected))),
    }
}

/// Asks a pickled question again.
#[pyfunction(name = "_again")]
pub fn again<'py>(
    py: Python<'py>,
    schema: u32,
    whom: Option<Bound<'py, PyAny>>,
    question: &str,
    arguments: &Bound<'py, PyDict>,
) -> PyResult<Bound<'py, PyAny>> {
    check_schema(py, schema)?;
    let whom = match whom {
        Some(whom) => whom,
        None => py.import("orlop._orlop")?.into_any(),
    };
    whom.getattr(question)?.call((), Some(arguments))
}

/// Refuses pickles of a later form.
pub fn check_schema(py: Python<'_>, schema: u32) -> PyResult<()> {
    if schema == SCHEMA {
        return Ok(());
    }
    let error = Error::input(
        "pickle",
        format!("form {schema}"),
        format!("form {SCHEMA}, which orlop {} writes", orlop::VERSION),
    );
    Err(raise(py, &error))
}

/// A length said exactly one way: the loop it makes.
pub fn loop_length(
    asked: &mut Asked,
    py: Python<'_>,
    one_way: Option<&Bound<'_, PyAny>>,
    lp: Option<&Bound<'_, PyAny>>,
) -> PyResult<orlop_units::Loop> {
    use orlop_units::{Loop, OneWay};
    let length = match (one_way, lp) {
        (Some(value), None) => {
            OneWay(orlop::error::positive(asked.quantity("one_way", value)?, "one_way").or_raise(py)?)
                .there_and_back()
        }
        (None, Some(value)) => {
            Loop(orlop::error::positive(asked.quantity("loop", value)?, "loop").or_raise(py)?)
        }
        _ => return Err(raise(py, &ambiguous(one_way.is_some(), "one_way= or loop="))),
    };
    Ok(length)
}

/// The error for a length said twice or not at all.
pub fn ambiguous(twice: bool, accepted: &str) -> Error {
    Error::Input {
        field: "one_way, loop".into(),
        got: if twice { "more than one" } else { "none" }.into(),
        expected: format!("exactly one of {accepted}"),
        hint: "one_way is the run from end to end, counted once; loop is the conductor out and back".into(),
    }
}
