//! How all cells of a pack share its current.

use super::bank::Pack;
use super::share::{TieArgs, all, cells_of, plain, state, tie};
use crate::asked::Asked;
use crate::cell::Cell;
use crate::convert::{out, out_option};
use crate::errors::raise;
use crate::html::sheet;
use crate::run::run;
use crate::table::Table;
use orlop::{Error, pack};
use orlop_units::{Current, Fraction, show};
use pyo3::prelude::*;
use pyo3::types::PyTuple;

/// How all cells of a pack share its current, by both of their resistances.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> cell = orlop.Cell("lfp", capacity="230 Ah", resistance_1khz="0.18 mohm", resistance_dc="0.55 mohm")
/// >>> pack = orlop.Pack(cell, series=4, parallel=2, order="parallel-first", link="0.06 mohm")
/// >>> pack.share(current="200 A", takeoff="same-end")
/// SharedPack(busiest cell 62.5 % at closing, 54.9 % sustained, of 200 A)
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct SharedPack {
    inner: pack::SharedPack,
    pack: Pack,
    cells: Option<Vec<Cell>>,
    asked: Asked,
}

/// How all cells of a pack share its current, by one of their resistances.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> cell = orlop.Cell("lfp", capacity="230 Ah", resistance_1khz="0.18 mohm", resistance_dc="0.55 mohm")
/// >>> pack = orlop.Pack(cell, series=4, parallel=2, order="parallel-first", link="0.06 mohm")
/// >>> pack.share(current="200 A", takeoff="same-end").sustained
/// PackSharing(8 cells, busiest 54.9 % of 200 A, 55.5 W)
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct PackSharing {
    inner: pack::PackSharing,
    of: &'static str,
    whole: SharedPack,
}

/// Charge and temperature, as they are asked for.
type State<'a, 'py> = (Option<&'a Bound<'py, PyAny>>, Option<&'a Bound<'py, PyAny>>);

pub fn share(
    own: &Pack,
    current: &Bound<'_, PyAny>,
    args: &TieArgs<'_, '_>,
    cells: Option<&Bound<'_, PyAny>>,
    (charge, temperature): State<'_, '_>,
) -> PyResult<SharedPack> {
    let py = current.py();
    let mut asked = Asked::default();
    let current: Current = asked.quantity("current", current)?;
    let tie = tie(&mut asked, args)?;
    let cells = cells.map(cells_of).transpose()?;
    if cells.as_ref().is_some_and(Vec::is_empty) {
        return Err(raise(py, &Error::input("cells", "none", "a Cell for each place, or cells left out")));
    }
    let (charge, temperature) = state(&mut asked, py, charge, temperature)?;
    let inner = run(py, || {
        own.inner().share(&plain(cells.as_deref().unwrap_or_default()), tie, current, charge, temperature)
    })?;
    Ok(SharedPack { inner, pack: own.clone(), cells, asked })
}

/// The largest share, as text.
fn busiest(sharing: &pack::PackSharing) -> String {
    let most = sharing.shares.iter().flatten().map(|s| s.value()).fold(f64::NEG_INFINITY, f64::max);
    if most.is_finite() { show(Fraction::new(most)) } else { "-".into() }
}

#[pymethods]
impl SharedPack {
    /// The pack.
    #[getter]
    fn pack(&self) -> Pack {
        self.pack.clone()
    }
    /// At closing and inrush: by the resistances at 1 kHz.
    #[getter]
    fn closing(&self) -> PackSharing {
        PackSharing { inner: self.inner.closing.clone(), of: "closing", whole: self.clone() }
    }
    /// What lasts: by the ten-second resistances.
    #[getter]
    fn sustained(&self) -> PackSharing {
        PackSharing { inner: self.inner.sustained.clone(), of: "sustained", whole: self.clone() }
    }
    /// What a reader must know.
    #[getter]
    fn flags<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, &self.inner.flags)
    }
    fn __repr__(&self) -> String {
        format!(
            "SharedPack(busiest cell {} at closing, {} sustained, of {})",
            busiest(&self.inner.closing),
            busiest(&self.inner.sustained),
            show(self.inner.closing.load)
        )
    }
    fn _repr_html_(&self) -> String {
        let line = |s: &pack::PackSharing| format!("busiest {}, {} of heat", busiest(s), show(s.heat()));
        let rows =
            [("at closing, 1 kHz", line(&self.inner.closing)), ("after 10 s", line(&self.inner.sustained))];
        sheet(
            &format!("{} shared by {}", show(self.inner.closing.load), self.pack.line()),
            &rows,
            &self.inner.flags,
        )
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let mut objects = Vec::new();
        if let Some(cells) = &self.cells {
            objects.push(("cells", cells.clone().into_pyobject(py)?.into_any()));
        }
        let pack = self.pack.clone().into_pyobject(py)?.into_any();
        self.asked.reduce_with(py, Some(pack), "share", &objects)
    }
}

#[pymethods]
impl PackSharing {
    /// The current taken off.
    #[getter]
    fn load(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.load)
    }
    /// Voltage between the terminals.
    #[getter]
    fn voltage(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.voltage)
    }
    /// Current of each branch: the cells group by group, or the strings.
    #[getter]
    fn currents<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        all(py, &self.inner.currents)
    }
    /// Share of each branch in the load, or None without a load.
    #[getter]
    fn shares<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let each = self.inner.shares.iter().map(|s| out_option(py, *s)).collect::<PyResult<Vec<_>>>()?;
        PyTuple::new(py, each)
    }
    /// By how much the busiest branch carries more than the mean of those side by side, or None without a load.
    #[getter]
    fn excess(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        out_option(py, self.inner.excess(self.whole.pack.inner().parallel() as usize))
    }
    /// Heat in all cells, links and managers together.
    #[getter]
    fn heat(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.heat())
    }
    /// Names of its tables.
    #[getter]
    fn tables(&self) -> (&'static str, &'static str) {
        ("cells", "links")
    }
    /// A table: "cells" (current, share and heat of each) or "links" (current and heat of each link, piece of bar and manager).
    fn table(&self, py: Python<'_>, name: &str) -> PyResult<Table> {
        Ok(match name {
            "cells" => self.inner.cells_table(),
            "links" => self.inner.links_table(),
            other => {
                return Err(raise(py, &Error::input("name", format!("'{other}'"), "one of cells, links")));
            }
        }
        .into())
    }
    fn __repr__(&self) -> String {
        format!(
            "PackSharing({} cells, busiest {} of {}, {})",
            self.inner.cell_heat.len(),
            busiest(&self.inner),
            show(self.inner.load),
            show(self.inner.heat())
        )
    }
    fn _repr_html_(&self) -> String {
        let rows = [("busiest", busiest(&self.inner)), ("heat", show(self.inner.heat()))];
        sheet(&format!("{} shared", show(self.inner.load)), &rows, &[])
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let getattr = py.import("builtins")?.getattr("getattr")?;
        let whole = self.whole.clone().into_pyobject(py)?;
        (getattr, (whole, self.of)).into_pyobject(py)
    }
}
