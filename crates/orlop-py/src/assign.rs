//! Which cell goes where.

use crate::asked::SCHEMA;
use crate::columns::Columns;
use crate::convert::{self, out};
use crate::errors::{OrRaise, raise};
use crate::html::sheet;
use crate::run::run;
use crate::table::Table;
use crate::working::Working;
use orlop::Error;
use orlop::pack::Order;
use orlop::pack::assign::{self, Delivered, Delivery, Plan};
use orlop_units::{Charge, Fraction, ampere_hours, kilograms, ohms, show, volts};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyString, PyTuple};

const COLUMNS: &[&str] = &[
    "cell",
    "capacity_ah",
    "resistance_dc_mohm",
    "resistance_1khz_mohm",
    "arrival_voltage_v",
    "self_discharge_mv",
    "mass_kg",
];

/// Which cell goes where: made by ``orlop.assign_cells``.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> cells = {"cell": ["A", "B", "C", "D", "E"], "capacity_ah": [101.0, 99.0, 104.0, 98.0, 95.0]}
/// >>> best = orlop.assign_cells(cells, series=2, parallel=2, order="parallel-first")
/// >>> best
/// Assignment(2 groups of 2, parallel-first, 200 Ah, proved best)
/// >>> best.groups
/// (('C', 'D'), ('A', 'B'))
/// >>> best.spares
/// ('E',)
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct Assignment {
    inner: assign::Assignment,
    given: Given,
}

/// The numbers of a table as they were given, so that a pickle asks the same again.
type Given = Vec<(&'static str, Vec<Option<f64>>)>;

fn list(text: &Bound<'_, PyAny>, field: &str) -> PyResult<Vec<String>> {
    let expected = "a serial, or a list of serials";
    if text.is_instance_of::<PyString>() {
        return Ok(vec![convert::text(text, field, expected)?]);
    }
    let Ok(items) = text.try_iter() else {
        return Err(raise(text.py(), &Error::input(field, convert::short(text)?, expected)));
    };
    items.map(|item| convert::text(&item?, field, expected)).collect()
}

fn delivery(py: Python<'_>, table: &Bound<'_, PyAny>) -> PyResult<(Delivery, Given)> {
    let columns = Columns::read(table, "table")?;
    columns.only(py, COLUMNS)?;
    let missing = |name: &str| {
        let expected = format!("at least the columns cell and capacity_ah, of {}", COLUMNS.join(", "));
        raise(py, &Error::input("table", format!("no column '{name}'"), expected))
    };
    let ids = columns.texts(py, "cell")?.ok_or_else(|| missing("cell"))?;
    let capacities = columns.numbers(py, "capacity_ah")?.ok_or_else(|| missing("capacity_ah"))?;
    let mut others = Vec::new();
    for name in &COLUMNS[2..] {
        others.push(columns.numbers(py, name)?);
    }
    let at = |column: usize, row: usize| others[column].map(|c| c[row]).filter(|x| !x.is_nan());
    let mut cells = Vec::with_capacity(ids.len());
    for (row, id) in ids.iter().enumerate() {
        let mut cell = Delivered::new(id, ampere_hours(capacities[row])).or_raise(py)?;
        if let Some(x) = at(0, row) {
            cell = cell.with_resistance_dc(ohms(x * 1e-3)).or_raise(py)?;
        }
        if let Some(x) = at(1, row) {
            cell = cell.with_resistance_1khz(ohms(x * 1e-3)).or_raise(py)?;
        }
        if let Some(x) = at(2, row) {
            cell = cell.with_arrival_voltage(volts(x)).or_raise(py)?;
        }
        if let Some(x) = at(3, row) {
            cell = cell.with_self_discharge(volts(x * 1e-3)).or_raise(py)?;
        }
        if let Some(x) = at(4, row) {
            cell = cell.with_mass(kilograms(x)).or_raise(py)?;
        }
        cells.push(cell);
    }
    let mut given = Vec::new();
    for &name in &COLUMNS[1..] {
        if let Some(numbers) = columns.numbers(py, name)? {
            given.push((name, numbers.iter().map(|x| (!x.is_nan()).then_some(*x)).collect()));
        }
    }
    Ok((Delivery::new(cells).or_raise(py)?, given))
}

/// The assignment of delivered cells that holds most.
///
/// Series-first, strings of like cells; parallel-first, groups whose smallest is as large as can be. Proved best for series-first,
/// for pairs, and for larger groups of up to 32 cells; beyond that ``bound`` says how much more any assignment could hold.
///
/// Parameters
/// ----------
/// table : Arrow stream or dict of columns
///     ``cell`` and ``capacity_ah``; where known ``resistance_dc_mohm``, ``resistance_1khz_mohm``, ``arrival_voltage_v``,
///     ``self_discharge_mv`` (fall of the rest voltage over the same days for all), ``mass_kg``.
/// series, parallel : int
///     How many.
/// order : {"parallel-first", "series-first"}
///     Which comes first.
/// spares : int, optional
///     How many cells are to be left over: a check of the count, which follows from the table.
/// without : sequence of str, optional
///     Serials to leave out. Unless given, cells that lose charge by themselves are left out as far as there are spares; an empty
///     list leaves out none.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> cells = {"cell": ["A", "B", "C", "D", "E"], "capacity_ah": [101.0, 99.0, 104.0, 98.0, 95.0]}
/// >>> best = orlop.assign_cells(cells, series=2, parallel=2, order="series-first", spares=1)
/// >>> print(f"{best.capacity:~P}, {best.gain:.1f~P} more than as delivered")
/// 199.0 A·h, 1.0 % more than as delivered
#[pyfunction]
#[pyo3(signature = (table, *, series, parallel, order, spares=None, without=None))]
pub fn assign_cells(
    table: &Bound<'_, PyAny>,
    series: usize,
    parallel: usize,
    order: &str,
    spares: Option<usize>,
    without: Option<&Bound<'_, PyAny>>,
) -> PyResult<Assignment> {
    let py = table.py();
    let (delivery, given) = delivery(py, table)?;
    let order = Order::parse(order, "order").or_raise(py)?;
    let mut plan = Plan::new(series, parallel, order).or_raise(py)?;
    if let Some(spares) = spares
        && delivery.cells().len() != plan.cells() + spares
    {
        let got = format!("{spares} of {} cells", delivery.cells().len());
        let expected = format!("what {series} x {parallel} leave over");
        return Err(raise(py, &Error::input("spares", got, expected)));
    }
    if let Some(without) = without {
        plan = plan.without(list(without, "without")?);
    }
    run(py, || delivery.assign(&plan)).map(|inner| Assignment { inner, given })
}

impl Assignment {
    fn rows(&self) -> Vec<(&'static str, String)> {
        vec![
            ("capacity", show(self.inner.capacity())),
            ("nothing holds more than", show(self.inner.bound())),
            ("as delivered", show(self.inner.delivery_order())),
            ("gain", show(self.inner.gain())),
            ("spares", self.inner.spares().join(", ")),
            ("rejected", self.inner.rejected().join(", ")),
        ]
    }
}

#[pymethods]
impl Assignment {
    /// Cells or groups in a row.
    #[getter]
    fn series(&self) -> usize {
        self.inner.plan().series()
    }
    /// Cells or strings side by side.
    #[getter]
    fn parallel(&self) -> usize {
        self.inner.plan().parallel()
    }
    /// Which comes first.
    #[getter]
    fn order(&self) -> &'static str {
        self.inner.plan().order().word()
    }
    /// What the bank holds.
    #[getter]
    fn capacity(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.capacity())
    }
    /// What no assignment of these cells can exceed.
    #[getter]
    fn bound(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.bound())
    }
    /// Whether nothing holds more.
    #[getter]
    fn proved(&self) -> bool {
        self.inner.proved()
    }
    /// What the bank would hold if the first cells were built in as they came.
    #[getter]
    fn delivery_order(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.delivery_order())
    }
    /// How much more it holds than that.
    #[getter]
    fn gain(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.gain())
    }
    /// Serials of each group or string, the one that holds most first.
    #[getter]
    fn groups<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let groups = self.inner.groups().into_iter().map(|g| PyTuple::new(py, g.cells));
        PyTuple::new(py, groups.collect::<PyResult<Vec<_>>>()?)
    }
    /// Serials that are good but not needed.
    #[getter]
    fn spares<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.inner.spares())
    }
    /// Serials that were left out beforehand.
    #[getter]
    fn rejected<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.inner.rejected())
    }
    /// A table: ``"cells"`` (every cell with its place), ``"groups"``, or ``"flags"`` (values that stand out).
    fn table(&self, py: Python<'_>, name: &str) -> PyResult<Table> {
        Ok(match name {
            "cells" => self.inner.cells_table(),
            "groups" => self.inner.groups_table(),
            "flags" => self.inner.delivery().flags_table(),
            other => {
                let error = Error::input("name", format!("'{other}'"), "one of cells, groups, flags");
                return Err(raise(py, &error));
            }
        }
        .into())
    }
    /// How the answer was found.
    fn explain(&self, py: Python<'_>) -> PyResult<Working> {
        run(py, || {
            let mut working = orlop::Working::new(self.__repr__());
            self.inner.delivery().assign_recorded(self.inner.plan(), &mut working)?;
            Ok(working)
        })
        .map(Working::from)
    }
    /// What random orders of the same accepted cells hold: a table of one row.
    ///
    /// Parameters
    /// ----------
    /// trials : int
    ///     How many are drawn.
    /// seed : int
    ///     Which; the same seed gives the same answer.
    #[pyo3(signature = (*, trials=10_000, seed=1))]
    fn against_random(&self, py: Python<'_>, trials: u32, seed: u64) -> PyResult<Table> {
        run(py, || self.inner.against_random(trials, seed)).map(|r| r.table().into())
    }
    /// How often the choice stays the best when the capacities are not exact: a table of one row.
    ///
    /// Parameters
    /// ----------
    /// error : str or quantity
    ///     Standard uncertainty of one capacity against the others, a percentage; what is common to all does not count.
    /// matters : str or quantity
    ///     A loss up to this does not count.
    /// trials : int
    ///     How often errors are drawn.
    /// seed : int
    ///     Which; the same seed gives the same answer.
    #[pyo3(signature = (*, error, matters=None, trials=2000, seed=1))]
    fn under_error(
        &self,
        py: Python<'_>,
        error: &Bound<'_, PyAny>,
        matters: Option<&Bound<'_, PyAny>>,
        trials: u32,
        seed: u64,
    ) -> PyResult<Table> {
        let error: Fraction = convert::quantity(error, "error")?;
        let matters: Option<Charge> = matters.map(|m| convert::quantity(m, "matters")).transpose()?;
        let matters = matters.unwrap_or(ampere_hours(0.0));
        run(py, || self.inner.under_error(error, matters, trials, seed)).map(|c| c.table().into())
    }
    fn __repr__(&self) -> String {
        let plan = self.inner.plan();
        let (groups, size) = match plan.order() {
            Order::ParallelFirst => (plan.series(), plan.parallel()),
            Order::SeriesFirst => (plan.parallel(), plan.series()),
        };
        let proof = if self.inner.proved() {
            "proved best".to_string()
        } else {
            format!("at most {} is possible", show(self.inner.bound()))
        };
        format!(
            "Assignment({groups} groups of {size}, {}, {}, {proof})",
            plan.order().word(),
            show(self.inner.capacity())
        )
    }
    fn _repr_html_(&self) -> String {
        sheet("Assignment of cells", &self.rows(), &[])
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let cells = self.inner.delivery().cells();
        let table = PyDict::new(py);
        table.set_item("cell", cells.iter().map(Delivered::id).collect::<Vec<_>>())?;
        for (name, numbers) in &self.given {
            table.set_item(name, numbers)?;
        }
        let plan = self.inner.plan();
        let asked = PyDict::new(py);
        asked.set_item("table", table)?;
        asked.set_item("series", plan.series())?;
        asked.set_item("parallel", plan.parallel())?;
        asked.set_item("order", plan.order().word())?;
        asked.set_item("without", plan.left_out().map(<[String]>::to_vec))?;
        let again = py.import("orlop._orlop")?.getattr("_again")?;
        (again, (SCHEMA, py.None(), "assign_cells", asked)).into_pyobject(py)
    }
}
