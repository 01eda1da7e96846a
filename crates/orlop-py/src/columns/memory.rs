//! The memory of arrays as numbers, without a Python object for each.

use arrow_buffer::{Buffer, ScalarBuffer};
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyDict, PyMemoryView};
use std::panic::AssertUnwindSafe;
use std::ptr::NonNull;
use std::sync::Arc;

/// What an array holds.
pub enum Found {
    /// Numbers.
    Numbers(ScalarBuffer<f64>),
    /// Moments, in seconds since the first that is there; NaN for none.
    Moments(ScalarBuffer<f64>),
}

/// One number in memory.
#[derive(Clone, Copy)]
struct Cell {
    kind: Kind,
    bytes: usize,
}

#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Float,
    Signed,
    Unsigned,
    /// Counts of so many to the second.
    Moment(f64),
}

/// A row of numbers in memory that somebody else keeps.
struct Row {
    first: *const u8,
    /// Bytes from one to the next.
    stride: isize,
    count: usize,
    cell: Cell,
}

/// The numbers of an array with one dimension; none where it is no such array, or one of another type. With `borrow` they stay where they
/// are, if they can: what is written into the array later is then seen here, so an answer that lasts must not keep them.
pub fn read(value: &Bound<'_, PyAny>, borrow: bool) -> PyResult<Option<Found>> {
    // An array with a mask has numbers in memory where it has none.
    if value.hasattr("mask")? {
        return Ok(None);
    }
    match by_address(value, borrow)? {
        Some(found) => Ok(Some(found)),
        None => by_buffer(value),
    }
}

/// By `__array_interface__`, which tells type, shape, strides and address.
#[allow(unsafe_code)]
fn by_address(value: &Bound<'_, PyAny>, borrow: bool) -> PyResult<Option<Found>> {
    if !value.hasattr("__array_interface__")? {
        return Ok(None);
    }
    let interface = value.getattr("__array_interface__")?;
    let Ok(interface) = interface.cast::<PyDict>() else { return Ok(None) };
    let (Some(shape), Some(typed), Some(data)) =
        (interface.get_item("shape")?, interface.get_item("typestr")?, interface.get_item("data")?)
    else {
        return Ok(None);
    };
    let (Ok((count,)), Ok(typed), Ok((address, _))) =
        (shape.extract::<(usize,)>(), typed.extract::<String>(), data.extract::<(usize, bool)>())
    else {
        return Ok(None);
    };
    let Some(cell) = Cell::of_type(&typed) else { return Ok(None) };
    let packed = cell.bytes.cast_signed();
    let stride = match interface.get_item("strides")?.filter(|s| !s.is_none()) {
        None => packed,
        Some(strides) => strides.extract::<(isize,)>()?.0,
    };
    let row = Row { first: address as *const u8, stride, count, cell };
    let aligned = address.is_multiple_of(align_of::<f64>());
    let plain = cell.kind == Kind::Float && cell.bytes == 8 && stride == packed && aligned;
    if let Some(first) = NonNull::new(address as *mut u8).filter(|_| borrow && plain && count > 0) {
        let owner = Arc::new(AssertUnwindSafe(value.clone().unbind()));
        // SAFETY: the array says that `count` aligned doubles stand there, and it is kept alive as the owner.
        let buffer = unsafe { Buffer::from_custom_allocation(first, count * 8, owner) };
        return Ok(Some(Found::Numbers(ScalarBuffer::new(buffer, 0, count))));
    }
    // SAFETY: the array says that its numbers stand there; `value` keeps it alive while they are copied.
    Ok(Some(unsafe { row.copy() }))
}

/// By the buffer that an object hands out; its bytes are copied once.
#[allow(unsafe_code)]
fn by_buffer(value: &Bound<'_, PyAny>) -> PyResult<Option<Found>> {
    let Ok(view) = PyMemoryView::from(value) else { return Ok(None) };
    let format: String = view.getattr("format")?.extract()?;
    let (dimensions, bytes): (usize, usize) =
        (view.getattr("ndim")?.extract()?, view.getattr("itemsize")?.extract()?);
    let Some(cell) = Cell::of_format(&format, bytes).filter(|_| dimensions == 1) else { return Ok(None) };
    let copied = view.call_method0("tobytes")?;
    let copied = copied.cast::<PyBytes>()?.as_bytes();
    let row = Row { first: copied.as_ptr(), stride: bytes.cast_signed(), count: copied.len() / bytes, cell };
    // SAFETY: `copied` holds `count` numbers one after the other.
    Ok(Some(unsafe { row.copy() }))
}

impl Cell {
    /// By a type such as `<f8`, `|u1` or `<M8[ns]`, in the byte order of this machine.
    fn of_type(text: &str) -> Option<Self> {
        let own = if cfg!(target_endian = "little") { '<' } else { '>' };
        let rest = text.strip_prefix([own, '|'])?;
        let (kind, size) = rest.split_at_checked(1)?;
        let (size, unit) = size.split_once('[').unwrap_or((size, ""));
        let kind = match kind {
            "f" => Kind::Float,
            "i" => Kind::Signed,
            "u" | "b" => Kind::Unsigned,
            "M" => Kind::Moment(match unit {
                "s]" => 1.0,
                "ms]" => 1e3,
                "us]" => 1e6,
                "ns]" => 1e9,
                _ => return None,
            }),
            _ => return None,
        };
        Self { kind, bytes: size.parse().ok()? }.known()
    }

    /// By a letter of the `struct` module in the byte order of this machine.
    fn of_format(format: &str, bytes: usize) -> Option<Self> {
        let own = if cfg!(target_endian = "little") { '<' } else { '>' };
        let kind = match format.trim_start_matches(['@', '=', own]) {
            "d" | "f" => Kind::Float,
            "b" | "h" | "i" | "l" | "q" | "n" => Kind::Signed,
            "B" | "H" | "I" | "L" | "Q" | "N" | "?" => Kind::Unsigned,
            _ => return None,
        };
        Self { kind, bytes }.known()
    }

    fn known(self) -> Option<Self> {
        let sizes: &[usize] = match self.kind {
            Kind::Float => &[4, 8],
            Kind::Signed | Kind::Unsigned => &[1, 2, 4, 8],
            Kind::Moment(_) => &[8],
        };
        sizes.contains(&self.bytes).then_some(self)
    }
}

impl Row {
    /// All numbers as doubles.
    ///
    /// # Safety
    /// `count` numbers of this kind can be read, the first at `first` and each `stride` bytes after the one before.
    #[allow(unsafe_code)]
    unsafe fn copy(&self) -> Found {
        macro_rules! each {
            ($type:ty, $value:expr) => {{
                // SAFETY: as the function's; the address may be unaligned.
                let at = |k: usize| unsafe {
                    self.first.offset(k.cast_signed() * self.stride).cast::<$type>().read_unaligned()
                };
                (0..self.count).map(at).map($value).collect::<Vec<f64>>().into()
            }};
        }
        if let Kind::Moment(per_second) = self.cell.kind {
            let mut first = None;
            // Counts are subtracted before they become doubles, which do not hold all of them.
            return Found::Moments(each!(i64, |count: i64| {
                if count == i64::MIN {
                    return f64::NAN;
                }
                count.wrapping_sub(*first.get_or_insert(count)) as f64 / per_second
            }));
        }
        Found::Numbers(match (self.cell.kind, self.cell.bytes) {
            (Kind::Float, 4) => each!(f32, f64::from),
            (Kind::Float, _) => each!(f64, |v| v),
            (Kind::Signed, 1) => each!(i8, f64::from),
            (Kind::Signed, 2) => each!(i16, f64::from),
            (Kind::Signed, 4) => each!(i32, f64::from),
            (Kind::Unsigned, 1) => each!(u8, f64::from),
            (Kind::Unsigned, 2) => each!(u16, f64::from),
            (Kind::Unsigned, 4) => each!(u32, f64::from),
            (Kind::Unsigned, _) => each!(u64, |v| v as f64),
            (Kind::Signed | Kind::Moment(_), _) => each!(i64, |v| v as f64),
        })
    }
}
