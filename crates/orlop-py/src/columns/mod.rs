//! Tables in: any Arrow stream, or a dict of columns.

mod arrow;
mod memory;

use crate::convert::short;
use crate::errors::{OrRaise, raise};
use arrow_buffer::ScalarBuffer;
use memory::Found;
use orlop::Error;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyString};

/// One column: numbers, NaN where nothing stands, moments, or text.
#[derive(Clone, Debug)]
pub enum Column {
    /// Numbers.
    Numbers(ScalarBuffer<f64>),
    /// Moments, in seconds since the first.
    Moments(ScalarBuffer<f64>),
    /// Text; none where nothing stands.
    Texts(Vec<Option<String>>),
}

/// Columns by name, all of one length.
pub struct Columns {
    what: &'static str,
    columns: Vec<(String, Column)>,
    rows: usize,
}

impl Columns {
    /// Reads a table; `what` names it in errors.
    pub fn read(value: &Bound<'_, PyAny>, what: &'static str) -> PyResult<Self> {
        Self::of(value, what, false)
    }

    /// The same for a table that is done with when its answer is there: arrays of doubles are not copied.
    pub fn borrow(value: &Bound<'_, PyAny>, what: &'static str) -> PyResult<Self> {
        Self::of(value, what, true)
    }

    fn of(value: &Bound<'_, PyAny>, what: &'static str, borrow: bool) -> PyResult<Self> {
        let columns = if let Ok(dict) = value.cast::<PyDict>() {
            from_dict(dict, what, borrow)?
        } else if value.hasattr("__arrow_c_stream__")? {
            arrow::from_stream(value, what)?
        } else {
            let expected = "a dict of columns, or a table with the Arrow stream interface";
            return Err(raise(value.py(), &Error::input(what, short(value)?, expected)));
        };
        let rows = columns.first().map_or(0, |(_, c)| c.len());
        if let Some((name, column)) = columns.iter().find(|(_, c)| c.len() != rows) {
            let got = format!("{} rows in {name}, {rows} in {}", column.len(), columns[0].0);
            return Err(raise(value.py(), &Error::input(what, got, "columns of one length")));
        }
        Ok(Self { what, columns, rows })
    }

    /// How many rows there are.
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// All columns with their names.
    pub fn all(&self) -> &[(String, Column)] {
        &self.columns
    }

    /// Refuses columns that nobody reads.
    pub fn only(&self, py: Python<'_>, known: &[&str]) -> PyResult<()> {
        match self.columns.iter().find(|(name, _)| !known.contains(&name.as_str())) {
            None => Ok(()),
            Some((name, _)) => {
                let expected = format!("some of {}", known.join(", "));
                Err(raise(py, &Error::input(self.what, format!("a column '{name}'"), expected)))
            }
        }
    }

    /// A column of numbers; none when it is absent.
    pub fn numbers(&self, py: Python<'_>, name: &str) -> PyResult<Option<&[f64]>> {
        match self.find(name) {
            None => Ok(None),
            Some(Column::Numbers(values)) => Ok(Some(values)),
            Some(Column::Texts(_)) => Err(self.wrong(py, name, "text", "numbers")),
            Some(Column::Moments(_)) => Err(self.wrong(py, name, "dates", "numbers")),
        }
    }

    /// A column of text; none when it is absent. Whole numbers serve as names, too.
    pub fn texts(&self, py: Python<'_>, name: &str) -> PyResult<Option<Vec<String>>> {
        let missing = |row: usize| {
            let got = format!("nothing in row {}", row + 1);
            raise(py, &Error::input(&format!("{}: {name}", self.what), got, "a name in every row"))
        };
        match self.find(name) {
            None => Ok(None),
            Some(Column::Texts(values)) => {
                let all = values.iter().enumerate().map(|(row, v)| v.clone().ok_or_else(|| missing(row)));
                all.collect::<PyResult<_>>().map(Some)
            }
            Some(Column::Numbers(values)) if values.iter().all(|v| v.fract() == 0.0) => {
                Ok(Some(values.iter().map(|v| whole(*v)).collect()))
            }
            Some(Column::Numbers(_)) => Err(self.wrong(py, name, "numbers", "names")),
            Some(Column::Moments(_)) => Err(self.wrong(py, name, "dates", "names")),
        }
    }

    /// The same where cells may be empty; absent is all empty.
    pub fn optional_texts(&self, py: Python<'_>, name: &str) -> PyResult<Vec<Option<String>>> {
        match self.find(name) {
            None => Ok(vec![None; self.rows]),
            Some(Column::Texts(values)) => Ok(values.clone()),
            Some(Column::Numbers(values)) if values.iter().all(|v| v.is_nan() || v.fract() == 0.0) => {
                Ok(values.iter().map(|v| (!v.is_nan()).then(|| whole(*v))).collect())
            }
            Some(Column::Numbers(_)) => Err(self.wrong(py, name, "numbers", "names")),
            Some(Column::Moments(_)) => Err(self.wrong(py, name, "dates", "names")),
        }
    }

    /// A column that must be there.
    pub fn needed<T>(&self, py: Python<'_>, found: Option<T>, name: &str) -> PyResult<T> {
        found.ok_or_else(|| raise(py, &Error::input(self.what, format!("no column '{name}'"), "that column")))
    }

    /// A column of moments in seconds since the first, of dates or of text; none when it is absent.
    pub fn moments(&self, py: Python<'_>, name: &str) -> PyResult<Option<ScalarBuffer<f64>>> {
        match self.find(name) {
            None => Ok(None),
            Some(Column::Moments(seconds)) => Ok(Some(seconds.clone())),
            Some(Column::Texts(texts)) => {
                Ok(Some(orlop::proving::log_file::moments(texts).or_raise(py)?.into()))
            }
            Some(Column::Numbers(_)) => Err(self.wrong(py, name, "numbers", "dates or times of day")),
        }
    }

    fn find(&self, name: &str) -> Option<&Column> {
        self.columns.iter().find(|(n, _)| n == name).map(|(_, c)| c)
    }

    fn wrong(&self, py: Python<'_>, name: &str, got: &str, expected: &str) -> PyErr {
        raise(py, &Error::input(&format!("{}: {name}", self.what), got, expected))
    }
}

impl PartialEq for Column {
    /// Where nothing stands in both, they are equal.
    fn eq(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Numbers(a), Self::Numbers(b)) | (Self::Moments(a), Self::Moments(b)) => {
                a.len() == b.len()
                    && a.iter().zip(b.iter()).all(|(x, y)| x == y || (x.is_nan() && y.is_nan()))
            }
            (Self::Texts(a), Self::Texts(b)) => a == b,
            _ => false,
        }
    }
}

impl Column {
    fn len(&self) -> usize {
        match self {
            Self::Numbers(v) | Self::Moments(v) => v.len(),
            Self::Texts(v) => v.len(),
        }
    }
}

/// A whole number as a name.
fn whole(number: f64) -> String {
    const EXACT: f64 = 9_007_199_254_740_992.0;
    #[allow(clippy::cast_possible_truncation)]
    if number.abs() < EXACT { (number as i64).to_string() } else { format!("{number:.0}") }
}

fn from_dict(dict: &Bound<'_, PyDict>, what: &'static str, borrow: bool) -> PyResult<Vec<(String, Column)>> {
    let mut all = Vec::new();
    for (name, value) in dict {
        let name = crate::convert::text(&name, what, "names of columns as text")?;
        let refused = |got: String| {
            raise(
                dict.py(),
                &Error::input(&format!("{what}: {name}"), got, "a list or array of numbers or text"),
            )
        };
        if value.is_instance_of::<PyString>() {
            return Err(refused(short(&value)?));
        }
        let Some(column) = column(&value, borrow)? else { return Err(refused(short(&value)?)) };
        all.push((name, column));
    }
    Ok(all)
}

/// One column: by the memory of an array where it has one, else object by object.
fn column(value: &Bound<'_, PyAny>, borrow: bool) -> PyResult<Option<Column>> {
    let found = |found: Found| match found {
        Found::Numbers(numbers) => Column::Numbers(numbers),
        Found::Moments(moments) => Column::Moments(moments),
    };
    if let Some(numbers) = memory::read(value, borrow)? {
        return Ok(Some(found(numbers)));
    }
    if let Some(column) = arrow::from_array(value)? {
        return Ok(Some(column));
    }
    // A series of a dataframe gives its array.
    let array = if value.hasattr("to_numpy")? { value.call_method0("to_numpy").ok() } else { None };
    if let Some(numbers) = array.as_ref().map(|a| memory::read(a, borrow)).transpose()?.flatten() {
        return Ok(Some(found(numbers)));
    }
    // Arrays of objects give them all at once far sooner than one by one.
    let value = if value.hasattr("tolist")? { value.call_method0("tolist")? } else { value.clone() };
    Ok(if let Ok(numbers) = value.extract::<Vec<Option<f64>>>() {
        let numbers: Vec<f64> = numbers.into_iter().map(|v| v.unwrap_or(f64::NAN)).collect();
        Some(Column::Numbers(numbers.into()))
    } else {
        value.extract::<Vec<Option<String>>>().ok().map(Column::Texts)
    })
}
