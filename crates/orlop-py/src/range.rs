//! The two-sided type.

use crate::asked::{SCHEMA, check_schema};
use crate::convert::out_si;
use crate::errors::raise;
use orlop::Error;
use orlop_units::{Kind, Quantity, show_range};
use pyo3::prelude::*;
use pyo3::types::PyTuple;

/// Bounds of a value, always in the order low, high. A bound that is None is not known, or does not exist.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> time = orlop.Device("iso8820-3-blade", "10 A").opening_time("20 A")
/// >>> time
/// Range(0.15 s to 5 s)
/// >>> low, high = time
/// >>> print(high)
/// 5.0 second
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, Copy, PartialEq)]
pub struct Range {
    kind: Kind,
    low: Option<f64>,
    high: Option<f64>,
}

impl<Q: Quantity> From<orlop::Range<Q>> for Range {
    fn from(range: orlop::Range<Q>) -> Self {
        Self { kind: Q::KIND, low: range.low().map(Q::si), high: range.high().map(Q::si) }
    }
}

impl std::fmt::Display for Range {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&show_range(self.kind, self.low, self.high))
    }
}

impl Range {
    /// From a kind and its ends in the base unit.
    pub fn from_ends((kind, low, high): (Kind, Option<f64>, Option<f64>)) -> Self {
        Self { kind, low, high }
    }

    /// The range of one kind; none when it holds another.
    pub fn typed<Q: Quantity>(&self) -> Option<orlop::Range<Q>> {
        let end = |si: Option<f64>| si.map(Q::from_si);
        (self.kind == Q::KIND).then(|| orlop::Range::from_bounds(end(self.low), end(self.high)))
    }
}

#[pymethods]
impl Range {
    /// The lower bound, or None.
    #[getter]
    fn low(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        self.low.map(|si| out_si(py, self.kind, si)).transpose()
    }

    /// The upper bound, or None.
    #[getter]
    fn high(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        self.high.map(|si| out_si(py, self.kind, si)).transpose()
    }

    fn __iter__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        let pair = (self.low(py)?, self.high(py)?).into_pyobject(py)?;
        Ok(pair.try_iter()?.into_any())
    }

    fn __repr__(&self) -> String {
        format!("Range({self})")
    }

    fn __str__(&self) -> String {
        self.to_string()
    }

    fn _repr_html_(&self) -> String {
        format!("<span>{self}</span>")
    }

    fn __hash__(&self) -> u64 {
        let bits = |x: Option<f64>| x.map_or(1, |x| (x + 0.0).to_bits());
        bits(self.low).rotate_left(32) ^ bits(self.high) ^ self.kind as u64
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let make = py.import("orlop._orlop")?.getattr("_range")?;
        (make, (SCHEMA, kind_name(self.kind), self.low, self.high)).into_pyobject(py)
    }
}

/// A pickled range.
#[pyfunction(name = "_range")]
pub fn rebuild(
    py: Python<'_>,
    schema: u32,
    kind: &str,
    low: Option<f64>,
    high: Option<f64>,
) -> PyResult<Range> {
    check_schema(py, schema)?;
    Ok(Range { kind: kind_named(py, kind)?, low, high })
}

/// The stable name of a kind in pickles and table metadata: its word.
pub fn kind_name(kind: Kind) -> &'static str {
    kind.word()
}

/// The kind of a name.
pub fn kind_named(py: Python<'_>, name: &str) -> PyResult<Kind> {
    Kind::ALL
        .iter()
        .copied()
        .find(|kind| kind.word() == name)
        .ok_or_else(|| raise(py, &Error::input("kind", format!("'{name}'"), "a kind of quantity")))
}
