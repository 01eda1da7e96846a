//! Drums to buy for a feed tree.

use super::LeastCopper;
use crate::asked::Asked;
use crate::columns::Columns;
use crate::convert::out;
use crate::errors::OrRaise;
use crate::html::sheet;
use crate::run::run;
use crate::table::Table;
use orlop::Error;
use orlop::network::least as core;
use orlop_units::{ConductorSize, metres, significant};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyTuple};

/// Reads the drums that are for sale.
fn drums(asked: &mut Asked, value: &Bound<'_, PyAny>) -> PyResult<Vec<core::Drum>> {
    let py = value.py();
    let table = Columns::read(value, "drums")?;
    table.only(py, &["size", "length_m", "cost"])?;
    asked.table("drums", &table);
    let sizes = table.needed(py, table.texts(py, "size")?, "size")?;
    let lengths = table.needed(py, table.numbers(py, "length_m")?, "length_m")?;
    let costs = table.needed(py, table.numbers(py, "cost")?, "cost")?;
    let row = |(row, size): (usize, &String)| -> Result<core::Drum, Error> {
        let size = ConductorSize::parse(size, "drums: size")?;
        Ok(core::Drum { size, length: metres(lengths[row]), price: costs[row] })
    };
    sizes.iter().enumerate().map(row).collect::<Result<_, _>>().or_raise(py)
}

/// Asks the question again for money, on drums.
pub(super) fn buy(of: &Bound<'_, LeastCopper>, drums: &Bound<'_, PyAny>) -> PyResult<Purchase> {
    let mut asked = Asked::default();
    let sale = self::drums(&mut asked, drums)?;
    let tree = of.get().tree().clone();
    let answer = run(of.py(), || tree.buy(&sale))?;
    Ok(Purchase { answer, of: of.clone().unbind(), asked })
}

/// Drums to buy for a feed tree, what is cut from each, and how far that may be from the least money.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> best = orlop.least_copper(
/// ...     {"id": ["lamp"], "one_way_m": [4], "current_a": [6]},
/// ...     sizes="metric", rules="iso-small-craft", nominal="12 V", max_drop="3 %",
/// ... )
/// >>> best.buy({"size": ["4 mm2"], "length_m": [25], "cost": [30.0]})
/// Purchase(1 drum, cost 30, at least 9.6)
#[pyclass(frozen, module = "orlop")]
pub struct Purchase {
    answer: core::Purchase,
    of: Py<LeastCopper>,
    asked: Asked,
}

#[pymethods]
impl Purchase {
    /// The size of each run, in the order of the table.
    #[getter]
    fn sizes<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let dict = PyDict::new(py);
        for taken in &self.answer.sizes.taken {
            dict.set_item(&taken.segment, taken.size.to_string())?;
        }
        Ok(dict)
    }
    /// Money for the drums.
    #[getter]
    fn cost(&self) -> f64 {
        self.answer.cost
    }
    /// No purchase that keeps every promise costs less.
    #[getter]
    fn bound(&self) -> f64 {
        self.answer.bound
    }
    /// Mass of the conductors, both legs, without what is left on the drums.
    #[getter]
    fn mass(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.answer.sizes.mass)
    }
    /// One row for each drum, with what is cut from it.
    fn table(&self) -> Table {
        self.answer.table().into()
    }
    fn __len__(&self) -> usize {
        self.answer.drums.len()
    }
    fn __eq__(&self, other: &Bound<'_, PyAny>) -> bool {
        other.cast::<Self>().is_ok_and(|other| {
            let other = other.get();
            self.asked == other.asked && self.of.get().tree() == other.of.get().tree()
        })
    }
    fn __repr__(&self) -> String {
        let (n, a) = (self.answer.drums.len(), &self.answer);
        let drums = if n == 1 { "1 drum".to_string() } else { format!("{n} drums") };
        format!("Purchase({drums}, cost {}, at least {})", significant(a.cost, 4), significant(a.bound, 4))
    }
    fn _repr_html_(&self) -> String {
        let rows: Vec<(&str, String)> = vec![
            ("drums", self.answer.drums.len().to_string()),
            ("cost", significant(self.answer.cost, 6)),
            ("no purchase costs less than", significant(self.answer.bound, 6)),
        ];
        sheet("Drums to buy", &rows, &[])
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let whom = self.of.bind(py).clone().into_any();
        self.asked.reduce(py, Some(whom), "buy")
    }
}
