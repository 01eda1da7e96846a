//! A pack over time.

use super::bank::Pack;
use super::share::{TieArgs, tie};
use crate::asked::Asked;
use crate::cell::charge;
use crate::columns::Columns;
use crate::convert::{self, out, out_option};
use crate::errors::{OrRaise, raise};
use crate::html::sheet;
use crate::run::run;
use crate::table::Table;
use orlop::Error;
use orlop::cell::{CircuitState, Pair, StateOfCharge};
use orlop::pack;
use orlop_units::{
    Charge, Quantity, Resistance, Temperature, Time, ampere_hours, farads, joules, ohms, show,
};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyTuple};

/// What a run of a pack over time came to.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> cell = orlop.Cell("lfp", capacity="100 Ah", resistance_dc="0.6 mohm")
/// >>> pack = orlop.Pack(cell, series=4, parallel=2, order="parallel-first", link="0.05 mohm")
/// >>> course = pack.over_time([100.0] * 3600, step="1 s", start="90 %", temperature="25 degC", takeoff="same-end", every=600)
/// >>> course
/// Course(1 h, 8 cells, 1.31 kWh delivered)
/// >>> first, second = course.table("branches").to_dicts()[:2]
/// >>> print(f"{first['current_a']:.2f} A, {second['current_a']:.2f} A")
/// 53.85 A, 46.15 A
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct Course {
    inner: pack::Course,
    pack: Pack,
    currents_a: Vec<f64>,
    cells: Option<Unequal>,
    asked: Asked,
}

/// Time, manager, cell or group, and why.
type Opening = (Py<PyAny>, usize, usize, &'static str);

/// What single cells differ in, as columns.
#[derive(Clone, Default, PartialEq)]
struct Unequal {
    capacity_ah: Option<Vec<f64>>,
    resistance_mohm: Option<Vec<f64>>,
}

impl Unequal {
    fn read(value: &Bound<'_, PyAny>) -> PyResult<Self> {
        let py = value.py();
        let columns = Columns::read(value, "cells")?;
        columns.only(py, &["capacity_ah", "resistance_mohm"])?;
        let numbers = |name| columns.numbers(py, name).map(|n| n.map(<[f64]>::to_vec));
        Ok(Self { capacity_ah: numbers("capacity_ah")?, resistance_mohm: numbers("resistance_mohm")? })
    }
    fn capacities(&self) -> Vec<Charge> {
        self.capacity_ah.iter().flatten().copied().map(ampere_hours).collect()
    }
    fn resistances(&self) -> Vec<Resistance> {
        self.resistance_mohm.iter().flatten().map(|r| ohms(1e-3 * r)).collect()
    }
}

/// The arguments of a run.
pub struct Question<'a, 'py> {
    pub currents_a: &'a Bound<'py, PyAny>,
    pub step: &'a Bound<'py, PyAny>,
    pub start: &'a Bound<'py, PyAny>,
    pub temperature: &'a Bound<'py, PyAny>,
    pub tie: TieArgs<'a, 'py>,
    pub cells: Option<&'a Bound<'py, PyAny>>,
    pub pairs: Option<&'a Bound<'py, PyAny>>,
    pub every: Option<&'a Bound<'py, PyAny>>,
    pub watched: bool,
}

pub fn over_time(own: &Pack, q: &Question<'_, '_>) -> PyResult<Course> {
    let py = q.step.py();
    let mut asked = Asked::default();
    let Ok(currents_a) = q.currents_a.extract::<Vec<f64>>() else {
        let got = convert::short(q.currents_a)?;
        return Err(raise(py, &Error::input("currents_a", got, "a list or array of currents in amperes")));
    };
    let step: Time = asked.quantity("step", q.step)?;
    let start: StateOfCharge = charge(&mut asked, "start", q.start)?;
    let temperature: Temperature = asked.quantity("temperature", q.temperature)?;
    let tie = tie(&mut asked, &q.tie)?;
    let cells = q.cells.map(Unequal::read).transpose()?;
    let pairs: Vec<(Resistance, Time)> = match q.pairs {
        Some(pairs) => {
            asked.pairs("pairs", pairs, "a resistance and a time constant, or a list of such pairs")?
        }
        None => Vec::new(),
    };
    let every = q.every.map_or(Ok(1), |n| asked.count("every", n))?;
    let watched = asked.flag("watched", q.watched);
    let pairs = pairs.iter().map(|(r, t)| Pair::new(*r, farads(t.si() / r.si())));
    let pairs = pairs.collect::<Result<Vec<_>, _>>().or_raise(py)?;
    let inner = run(py, || {
        let unequal = cells.clone().unwrap_or_default();
        let (capacities, resistances) = (unequal.capacities(), unequal.resistances());
        let wired = own.inner().wired(temperature, tie, &capacities, &resistances, &pairs, watched)?;
        let rested = vec![CircuitState::rested(start)?; wired.cells().len()];
        wired.simulate(&rested, &currents_a, step, every as usize)
    })?;
    Ok(Course { inner, pack: own.clone(), currents_a, cells, asked })
}

#[pymethods]
impl Course {
    /// The pack.
    #[getter]
    fn pack(&self) -> Pack {
        self.pack.clone()
    }
    /// Names of its tables.
    #[getter]
    fn tables(&self) -> (&'static str, &'static str, &'static str, &'static str) {
        ("samples", "branches", "cells", "links")
    }
    /// A table: "samples" (volts), "branches" (currents) or "cells" (charge), one row for each time and subject; or "links" (heat of the
    /// whole run in each link, piece of bar and manager).
    fn table(&self, py: Python<'_>, name: &str) -> PyResult<Table> {
        Ok(match name {
            "samples" => self.inner.samples_table(),
            "branches" => self.inner.branches_table(),
            "cells" => self.inner.cells_table(),
            "links" => self.inner.links_table(),
            other => {
                let error =
                    Error::input("name", format!("'{other}'"), "one of samples, branches, cells, links");
                return Err(raise(py, &error));
            }
        }
        .into())
    }
    /// Energy given at the terminals.
    #[getter]
    fn delivered(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.delivered)
    }
    /// Heat made in the resistances of each cell.
    #[getter]
    fn cell_heat<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let each =
            self.inner.cell_heat_j.iter().map(|j| out(py, joules(*j))).collect::<PyResult<Vec<_>>>()?;
        PyTuple::new(py, each)
    }
    /// Heat made in links and managers together.
    #[getter]
    fn link_heat(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.link_heat)
    }
    /// Managers that opened: time, manager, cell or group (from 1), and why.
    #[getter]
    fn opened(&self, py: Python<'_>) -> PyResult<Vec<Opening>> {
        let each = self.inner.opened.iter();
        each.map(|o| Ok((out(py, o.at)?, o.manager, o.cell, o.why.word()))).collect()
    }
    /// When the run had to stop, or None.
    #[getter]
    fn stopped(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        out_option(py, self.inner.stopped)
    }
    fn __repr__(&self) -> String {
        format!("Course({})", self.line())
    }
    fn _repr_html_(&self) -> String {
        let opened = self.inner.opened.iter();
        let opened: Vec<String> =
            opened.map(|o| format!("manager {} at {} ({})", o.manager, show(o.at), o.why.word())).collect();
        let rows =
            [("opened", opened.join(", ")), ("stopped", self.inner.stopped.map(show).unwrap_or_default())];
        sheet(&self.line(), &rows, &[])
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let mut objects = vec![("currents_a", self.currents_a.clone().into_pyobject(py)?.into_any())];
        if let Some(cells) = &self.cells {
            let dict = PyDict::new(py);
            let columns = [("capacity_ah", &cells.capacity_ah), ("resistance_mohm", &cells.resistance_mohm)];
            for (name, column) in columns {
                if let Some(column) = column {
                    dict.set_item(name, column.clone())?;
                }
            }
            objects.push(("cells", dict.into_any()));
        }
        let pack = self.pack.clone().into_pyobject(py)?.into_any();
        self.asked.reduce_with(py, Some(pack), "over_time", &objects)
    }
}

impl Course {
    fn line(&self) -> String {
        let last = self.inner.time_s.last().copied().unwrap_or(0.0);
        let (time, cells) = (orlop_units::seconds(last), self.inner.states.len());
        format!("{}, {cells} cells, {} delivered", show(time), show(self.inner.delivered))
    }
}
