//! Tables in: any Arrow stream, or a dict of columns.

use crate::convert::short;
use crate::errors::raise;
use arrow_array::cast::AsArray;
use arrow_array::ffi_stream::{FFI_ArrowArrayStream, RecordBatchStreamReader};
use arrow_array::types::{Float32Type, Float64Type, Int32Type, Int64Type};
use arrow_array::{Array, ArrayRef};
use arrow_schema::DataType;
use orlop::Error;
use pyo3::prelude::*;
use pyo3::types::{PyCapsule, PyDict, PyString};

/// One column: numbers, NaN where nothing stands, or text.
#[derive(Clone, Debug)]
pub enum Column {
    /// Numbers.
    Numbers(Vec<f64>),
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
        let columns = if value.hasattr("__arrow_c_stream__")? {
            from_stream(value, what)?
        } else if let Ok(dict) = value.cast::<PyDict>() {
            from_dict(dict, what)?
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
        }
    }

    /// A column that must be there.
    pub fn needed<T>(&self, py: Python<'_>, found: Option<T>, name: &str) -> PyResult<T> {
        found.ok_or_else(|| raise(py, &Error::input(self.what, format!("no column '{name}'"), "that column")))
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
            (Self::Numbers(a), Self::Numbers(b)) => {
                a.len() == b.len() && a.iter().zip(b).all(|(x, y)| x == y || (x.is_nan() && y.is_nan()))
            }
            (Self::Texts(a), Self::Texts(b)) => a == b,
            _ => false,
        }
    }
}

impl Column {
    fn len(&self) -> usize {
        match self {
            Self::Numbers(v) => v.len(),
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

fn from_dict(dict: &Bound<'_, PyDict>, what: &'static str) -> PyResult<Vec<(String, Column)>> {
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
        // Arrays give all their numbers at once far sooner than one by one.
        let value = if value.hasattr("tolist")? { value.call_method0("tolist")? } else { value };
        let column = if let Ok(numbers) = value.extract::<Vec<Option<f64>>>() {
            Column::Numbers(numbers.into_iter().map(|v| v.unwrap_or(f64::NAN)).collect())
        } else if let Ok(texts) = value.extract::<Vec<Option<String>>>() {
            Column::Texts(texts)
        } else {
            return Err(refused(short(&value)?));
        };
        all.push((name, column));
    }
    Ok(all)
}

#[allow(unsafe_code)]
fn from_stream(value: &Bound<'_, PyAny>, what: &'static str) -> PyResult<Vec<(String, Column)>> {
    let py = value.py();
    let refused = |got: String| raise(py, &Error::input(what, got, "a readable Arrow stream"));
    let capsule = value.call_method0("__arrow_c_stream__")?;
    let capsule = capsule.cast::<PyCapsule>().map_err(|_| refused("no Arrow stream".into()))?;
    let pointer = capsule.pointer_checked(Some(c"arrow_array_stream"))?.cast::<FFI_ArrowArrayStream>();
    // SAFETY: the capsule's name says what it points to, and by the protocol the consumer takes the stream out of it once.
    let reader = unsafe { RecordBatchStreamReader::from_raw(pointer.as_ptr()) };
    let reader = reader.map_err(|e| refused(e.to_string()))?;
    let mut all: Vec<(String, Column)> = Vec::new();
    for batch in reader {
        let batch = batch.map_err(|e| refused(e.to_string()))?;
        for (at, array) in batch.columns().iter().enumerate() {
            let schema = batch.schema();
            let name = schema.field(at).name();
            let part = from_array(array).ok_or_else(|| {
                let got = format!("{} in {name}", array.data_type());
                raise(py, &Error::input(what, got, "columns of numbers or text"))
            })?;
            match (all.get_mut(at), part) {
                (None, part) => all.push((name.clone(), part)),
                (Some((_, Column::Numbers(all))), Column::Numbers(more)) => all.extend(more),
                (Some((_, Column::Texts(all))), Column::Texts(more)) => all.extend(more),
                _ => return Err(refused(format!("a column {name} that changes its type"))),
            }
        }
    }
    Ok(all)
}

fn from_array(array: &ArrayRef) -> Option<Column> {
    macro_rules! numbers {
        ($type:ty) => {{
            let plain = array.as_primitive::<$type>().iter();
            #[allow(clippy::cast_precision_loss, clippy::cast_lossless)]
            Column::Numbers(plain.map(|v| v.map_or(f64::NAN, |v| v as f64)).collect())
        }};
    }
    let text = |v: Option<&str>| v.map(str::to_string);
    Some(match array.data_type() {
        DataType::Float64 => numbers!(Float64Type),
        DataType::Float32 => numbers!(Float32Type),
        DataType::Int64 => numbers!(Int64Type),
        DataType::Int32 => numbers!(Int32Type),
        DataType::Utf8 => Column::Texts(array.as_string::<i32>().iter().map(text).collect()),
        DataType::LargeUtf8 => Column::Texts(array.as_string::<i64>().iter().map(text).collect()),
        DataType::Utf8View => Column::Texts(array.as_string_view().iter().map(text).collect()),
        DataType::Null => Column::Numbers(vec![f64::NAN; array.len()]),
        _ => return None,
    })
}
