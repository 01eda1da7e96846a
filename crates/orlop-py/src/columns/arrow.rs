//! Columns of Arrow arrays and streams.

use super::Column;
use crate::errors::raise;
use arrow_array::cast::AsArray;
use arrow_array::ffi::{FFI_ArrowArray, FFI_ArrowSchema, from_ffi};
use arrow_array::ffi_stream::{FFI_ArrowArrayStream, RecordBatchStreamReader};
use arrow_array::types::{
    ArrowPrimitiveType, ArrowTimestampType, Float32Type, Float64Type, Int8Type, Int16Type, Int32Type,
    Int64Type, TimestampMicrosecondType, TimestampMillisecondType, TimestampNanosecondType,
    TimestampSecondType, UInt8Type, UInt16Type, UInt32Type, UInt64Type,
};
use arrow_array::{Array, ArrayRef, PrimitiveArray, make_array};
use arrow_buffer::ScalarBuffer;
use arrow_schema::{DataType, TimeUnit};
use orlop::Error;
use pyo3::prelude::*;
use pyo3::types::{PyCapsule, PyTuple};

const EXPECTED: &str = "columns of numbers, moments or text";

/// All columns of a table.
#[allow(unsafe_code)]
pub fn from_stream(value: &Bound<'_, PyAny>, what: &'static str) -> PyResult<Vec<(String, Column)>> {
    let py = value.py();
    let refused = |got: String| raise(py, &Error::input(what, got, "a readable Arrow stream"));
    let capsule = value.call_method0("__arrow_c_stream__")?;
    let capsule = capsule.cast::<PyCapsule>().map_err(|_| refused("no Arrow stream".into()))?;
    let pointer = capsule.pointer_checked(Some(c"arrow_array_stream"))?.cast::<FFI_ArrowArrayStream>();
    // SAFETY: the capsule's name says what it points to, and by the protocol the consumer takes the stream out of it once.
    let reader = unsafe { RecordBatchStreamReader::from_raw(pointer.as_ptr()) };
    let reader = reader.map_err(|e| refused(e.to_string()))?;
    let mut names: Vec<String> = Vec::new();
    let mut parts: Vec<Vec<ArrayRef>> = Vec::new();
    for batch in reader {
        let batch = batch.map_err(|e| refused(e.to_string()))?;
        if names.is_empty() {
            names = batch.schema().fields().iter().map(|f| f.name().clone()).collect();
            parts.resize_with(names.len(), Vec::new);
        }
        parts.iter_mut().zip(batch.columns()).for_each(|(all, array)| all.push(array.clone()));
    }
    let column = |(name, arrays): (String, Vec<ArrayRef>)| match joined(&arrays) {
        Some(column) => Ok((name, column)),
        None => {
            let kinds = arrays.first().map_or_else(String::new, |a| a.data_type().to_string());
            Err(raise(py, &Error::input(what, format!("{kinds} in {name}"), EXPECTED)))
        }
    };
    names.into_iter().zip(parts).map(column).collect()
}

/// One array; none where it hands out no Arrow array, or one of another type.
#[allow(unsafe_code)]
pub fn from_array(value: &Bound<'_, PyAny>) -> PyResult<Option<Column>> {
    if !value.hasattr("__arrow_c_array__")? {
        return Ok(None);
    }
    let pair = value.call_method0("__arrow_c_array__")?;
    let Ok(pair) = pair.cast::<PyTuple>() else { return Ok(None) };
    let (schema, array) = (pair.get_item(0)?, pair.get_item(1)?);
    let (Ok(schema), Ok(array)) = (schema.cast::<PyCapsule>(), array.cast::<PyCapsule>()) else {
        return Ok(None);
    };
    let schema = schema.pointer_checked(Some(c"arrow_schema"))?.cast::<FFI_ArrowSchema>();
    let array = array.pointer_checked(Some(c"arrow_array"))?.cast::<FFI_ArrowArray>();
    // SAFETY: the names of the capsules say what they point to; by the protocol the consumer moves the array out of its capsule, once,
    // and the schema stays in its own, which `pair` keeps.
    let data = unsafe { from_ffi(FFI_ArrowArray::from_raw(array.as_ptr()), schema.as_ref()) };
    Ok(data.ok().and_then(|data| joined(&[make_array(data)])))
}

/// The arrays of one column, one after the other. One array of doubles without gaps stays where it is.
fn joined(arrays: &[ArrayRef]) -> Option<Column> {
    macro_rules! numbers {
        ($type:ty) => {
            numbers::<$type>(arrays, |v| v as f64)
        };
    }
    let first = arrays.first()?;
    if arrays.iter().any(|a| a.data_type() != first.data_type()) {
        return None;
    }
    #[allow(clippy::cast_precision_loss, clippy::cast_lossless)]
    Some(match first.data_type() {
        DataType::Float64 => match arrays {
            [one] if one.null_count() == 0 => {
                Column::Numbers(one.as_primitive::<Float64Type>().values().clone())
            }
            _ => numbers::<Float64Type>(arrays, |v| v),
        },
        DataType::Float32 => numbers!(Float32Type),
        DataType::Int64 => numbers!(Int64Type),
        DataType::Int32 => numbers!(Int32Type),
        DataType::Int16 => numbers!(Int16Type),
        DataType::Int8 => numbers!(Int8Type),
        DataType::UInt64 => numbers!(UInt64Type),
        DataType::UInt32 => numbers!(UInt32Type),
        DataType::UInt16 => numbers!(UInt16Type),
        DataType::UInt8 => numbers!(UInt8Type),
        DataType::Timestamp(TimeUnit::Second, _) => moments::<TimestampSecondType>(arrays, 1.0),
        DataType::Timestamp(TimeUnit::Millisecond, _) => moments::<TimestampMillisecondType>(arrays, 1e3),
        DataType::Timestamp(TimeUnit::Microsecond, _) => moments::<TimestampMicrosecondType>(arrays, 1e6),
        DataType::Timestamp(TimeUnit::Nanosecond, _) => moments::<TimestampNanosecondType>(arrays, 1e9),
        DataType::Utf8 => texts(arrays.iter().flat_map(|a| a.as_string::<i32>().iter())),
        DataType::LargeUtf8 => texts(arrays.iter().flat_map(|a| a.as_string::<i64>().iter())),
        DataType::Utf8View => texts(arrays.iter().flat_map(|a| a.as_string_view().iter())),
        DataType::Null => Column::Numbers(vec![f64::NAN; arrays.iter().map(|a| a.len()).sum()].into()),
        _ => return None,
    })
}

fn texts<'a>(all: impl Iterator<Item = Option<&'a str>>) -> Column {
    Column::Texts(all.map(|v| v.map(str::to_string)).collect())
}

fn numbers<T: ArrowPrimitiveType>(arrays: &[ArrayRef], number: impl Fn(T::Native) -> f64) -> Column {
    Column::Numbers(gathered(arrays.iter().map(|a| a.as_primitive::<T>()), number))
}

/// Seconds since the first moment; counts are subtracted before they become doubles, which do not hold all of them.
fn moments<T: ArrowTimestampType>(arrays: &[ArrayRef], per_second: f64) -> Column {
    let parts = || arrays.iter().map(|a| a.as_primitive::<T>());
    let first = parts().flat_map(PrimitiveArray::iter).flatten().next().unwrap_or(0);
    Column::Moments(gathered(parts(), |count| count.wrapping_sub(first) as f64 / per_second))
}

fn gathered<'a, T: ArrowPrimitiveType>(
    parts: impl Iterator<Item = &'a PrimitiveArray<T>>,
    number: impl Fn(T::Native) -> f64,
) -> ScalarBuffer<f64> {
    let mut all = Vec::new();
    for part in parts {
        if part.null_count() == 0 {
            all.extend(part.values().iter().map(|v| number(*v)));
        } else {
            all.extend(part.iter().map(|v| v.map_or(f64::NAN, &number)));
        }
    }
    all.into()
}
