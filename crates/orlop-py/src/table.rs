//! Tables: the Arrow C stream, dicts, NumPy arrays, HTML.

use crate::asked::{SCHEMA, check_schema};
use crate::errors::raise;
use crate::html::escape;
use crate::range::{kind_name, kind_named};
use arrow_array::ffi_stream::FFI_ArrowArrayStream;
use arrow_array::{
    ArrayRef, BooleanArray, Float64Array, Int64Array, RecordBatch, RecordBatchIterator, StringArray,
};
use arrow_schema::{DataType, Field, Schema};
use orlop::Error;
use orlop::table::{Cells, ColumnType};
use orlop_units::{Kind, plain_number};
use pyo3::IntoPyObjectExt;
use pyo3::prelude::*;
use pyo3::types::{PyCapsule, PyDict, PyList, PyTuple};
use std::collections::HashMap;
use std::sync::Arc;

/// Rows that a notebook shows.
const SHOWN: usize = 200;

#[derive(PartialEq)]
struct Column {
    name: String,
    kind: Option<Kind>,
    doc: String,
    cells: Cells,
}

/// A table of a design: ordered typed columns; what is not known is null.
///
/// polars, pandas and pyarrow read it directly through the Arrow C stream interface, for example ``polars.DataFrame(table)``
/// or ``pyarrow.table(table)``. Units stand at the end of the column names and in the metadata of each field (``orlop.unit``,
/// ``orlop.kind``).
///
/// Examples
/// --------
/// >>> import orlop
/// >>> table = orlop.sources()
/// >>> table.columns[:3]
/// ('id', 'document', 'edition')
/// >>> sorted(set(row["confidence"] for row in table.to_dicts()))
/// ['common practice', 'from memory', 'published']
#[pyclass(frozen, module = "orlop", eq)]
#[derive(PartialEq)]
pub struct Table {
    name: String,
    columns: Vec<Column>,
}

impl From<orlop::Table> for Table {
    fn from(table: orlop::Table) -> Self {
        let columns = table.columns.into_iter().map(|column| Column {
            name: column.schema.name.into(),
            kind: match column.schema.holds {
                ColumnType::Quantity(kind) => Some(kind),
                _ => None,
            },
            doc: column.schema.doc.into(),
            cells: column.cells,
        });
        Self { name: table.name.into(), columns: columns.collect() }
    }
}

impl Table {
    fn rows(&self) -> usize {
        self.columns.first().map_or(0, |c| c.cells.len())
    }

    fn batch(&self) -> Result<RecordBatch, arrow_schema::ArrowError> {
        let mut fields = Vec::new();
        let mut arrays: Vec<ArrayRef> = Vec::new();
        for column in &self.columns {
            let (array, data_type): (ArrayRef, _) = match &column.cells {
                Cells::Number(v) => (Arc::new(Float64Array::from(v.clone())), DataType::Float64),
                Cells::Integer(v) => (Arc::new(Int64Array::from(v.clone())), DataType::Int64),
                Cells::Text(v) => (Arc::new(StringArray::from(v.clone())), DataType::Utf8),
                Cells::Flag(v) => (Arc::new(BooleanArray::from(v.clone())), DataType::Boolean),
            };
            let mut metadata = HashMap::from([("orlop.doc".to_string(), column.doc.clone())]);
            if let Some(kind) = column.kind {
                metadata.insert("orlop.unit".into(), kind.output().symbol.into());
                metadata.insert("orlop.kind".into(), kind_name(kind).into());
            }
            fields.push(Field::new(&column.name, data_type, true).with_metadata(metadata));
            arrays.push(array);
        }
        let metadata = HashMap::from([
            ("orlop.version".to_string(), orlop::VERSION.to_string()),
            ("orlop.table".to_string(), self.name.clone()),
        ]);
        RecordBatch::try_new(Arc::new(Schema::new_with_metadata(fields, metadata)), arrays)
    }
}

#[pymethods]
impl Table {
    /// Name of the table.
    #[getter]
    fn name(&self) -> &str {
        &self.name
    }

    /// Names of the columns in order.
    #[getter]
    fn columns<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.columns.iter().map(|c| c.name.as_str()))
    }

    /// Unit of each column that holds quantities.
    #[getter]
    fn units<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let dict = PyDict::new(py);
        for column in &self.columns {
            if let Some(kind) = column.kind {
                dict.set_item(&column.name, kind.output().symbol)?;
            }
        }
        Ok(dict)
    }

    /// What each column says.
    #[getter]
    fn docs<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let dict = PyDict::new(py);
        for column in &self.columns {
            dict.set_item(&column.name, &column.doc)?;
        }
        Ok(dict)
    }

    /// One dict for each row; None where nothing is known.
    fn to_dicts<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        let rows = PyList::empty(py);
        for row in 0..self.rows() {
            let dict = PyDict::new(py);
            for column in &self.columns {
                dict.set_item(&column.name, cell(py, &column.cells, row)?)?;
            }
            rows.append(dict)?;
        }
        Ok(rows)
    }

    /// One NumPy array for each column.
    ///
    /// Numbers become float64 with NaN where nothing is known; whole numbers and flags become int64 and bool, or objects with
    /// None where a cell is not known; text becomes objects.
    fn to_numpy<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let array = py.import("numpy")?.getattr("array")?;
        let dict = PyDict::new(py);
        for column in &self.columns {
            let (values, dtype) = match &column.cells {
                Cells::Number(v) => {
                    let plain: Vec<f64> = v.iter().map(|x| x.unwrap_or(f64::NAN)).collect();
                    (plain.into_bound_py_any(py)?, "float64")
                }
                Cells::Integer(v) => {
                    (v.into_bound_py_any(py)?, if v.contains(&None) { "object" } else { "int64" })
                }
                Cells::Text(v) => (v.into_bound_py_any(py)?, "object"),
                Cells::Flag(v) => {
                    (v.into_bound_py_any(py)?, if v.contains(&None) { "object" } else { "bool" })
                }
            };
            dict.set_item(&column.name, array.call1((values, dtype))?)?;
        }
        Ok(dict)
    }

    /// The Arrow C stream interface.
    #[pyo3(signature = (requested_schema=None))]
    fn __arrow_c_stream__<'py>(
        &self,
        py: Python<'py>,
        requested_schema: Option<Bound<'py, PyAny>>,
    ) -> PyResult<Bound<'py, PyCapsule>> {
        // The protocol lets a producer ignore a schema it cannot serve.
        drop(requested_schema);
        let batch = self
            .batch()
            .map_err(|error| raise(py, &Error::input("table", error.to_string(), "columns of one length")))?;
        let schema = batch.schema();
        let reader = RecordBatchIterator::new([Ok(batch)], schema);
        PyCapsule::new_with_value(py, FFI_ArrowArrayStream::new(Box::new(reader)), c"arrow_array_stream")
    }

    fn __len__(&self) -> usize {
        self.rows()
    }

    fn __repr__(&self) -> String {
        format!("Table({}: {} rows, {} columns)", self.name, self.rows(), self.columns.len())
    }

    fn _repr_html_(&self) -> String {
        let mut html = format!("<table class=\"orlop\"><caption>{}</caption><thead><tr>", escape(&self.name));
        for column in &self.columns {
            html += &format!("<th title=\"{}\">{}</th>", escape(&column.doc), escape(&column.name));
        }
        html += "</tr></thead><tbody>";
        for row in 0..self.rows().min(SHOWN) {
            html += "<tr>";
            for column in &self.columns {
                let align = if matches!(column.cells, Cells::Text(_)) { "left" } else { "right" };
                html +=
                    &format!("<td style=\"text-align:{align}\">{}</td>", escape(&shown(&column.cells, row)));
            }
            html += "</tr>";
        }
        html += "</tbody></table>";
        if self.rows() > SHOWN {
            html += &format!("<p>and {} more rows</p>", self.rows() - SHOWN);
        }
        html
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let make = py.import("orlop._orlop")?.getattr("_table")?;
        let columns = PyList::empty(py);
        for column in &self.columns {
            let (holds, values) = match &column.cells {
                Cells::Number(v) => ("number", v.into_bound_py_any(py)?),
                Cells::Integer(v) => ("integer", v.into_bound_py_any(py)?),
                Cells::Text(v) => ("text", v.into_bound_py_any(py)?),
                Cells::Flag(v) => ("flag", v.into_bound_py_any(py)?),
            };
            columns.append((&column.name, column.kind.map(kind_name), &column.doc, holds, values))?;
        }
        (make, (SCHEMA, &self.name, columns)).into_pyobject(py)
    }
}

fn cell<'py>(py: Python<'py>, cells: &Cells, row: usize) -> PyResult<Bound<'py, PyAny>> {
    match cells {
        Cells::Number(v) => v[row].into_bound_py_any(py),
        Cells::Integer(v) => v[row].into_bound_py_any(py),
        Cells::Text(v) => v[row].as_deref().into_bound_py_any(py),
        Cells::Flag(v) => v[row].into_bound_py_any(py),
    }
}

/// A cell for people: four significant digits, no sign of null but emptiness.
fn shown(cells: &Cells, row: usize) -> String {
    match cells {
        Cells::Number(v) => v[row].map_or_else(String::new, |x| {
            if x.abs() >= 1e-6 || x == 0.0 { orlop_units::significant(x, 4) } else { plain_number(x) }
        }),
        Cells::Integer(v) => v[row].map_or_else(String::new, |x| x.to_string()),
        Cells::Text(v) => v[row].clone().unwrap_or_default(),
        Cells::Flag(v) => v[row].map_or_else(String::new, |x| if x { "yes" } else { "no" }.into()),
    }
}

/// Name, kind, what it says, what it holds, values.
type PickledColumn<'py> = (String, Option<String>, String, String, Bound<'py, PyAny>);

/// A pickled table.
#[pyfunction(name = "_table")]
pub fn rebuild(
    py: Python<'_>,
    schema: u32,
    name: String,
    columns: Vec<PickledColumn<'_>>,
) -> PyResult<Table> {
    check_schema(py, schema)?;
    let columns = columns
        .into_iter()
        .map(|(name, kind, doc, holds, values)| {
            let cells = match holds.as_str() {
                "number" => Cells::Number(values.extract()?),
                "integer" => Cells::Integer(values.extract()?),
                "text" => Cells::Text(values.extract()?),
                _ => Cells::Flag(values.extract()?),
            };
            let kind = kind.map(|kind| kind_named(py, &kind)).transpose()?;
            Ok(Column { name, kind, doc, cells })
        })
        .collect::<PyResult<Vec<_>>>()?;
    if columns.windows(2).any(|pair| pair[0].cells.len() != pair[1].cells.len()) {
        return Err(raise(
            py,
            &Error::input("table", "columns of different lengths", "columns of one length"),
        ));
    }
    Ok(Table { name, columns })
}
