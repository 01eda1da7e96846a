//! Links, and who carries how much of a current.

use crate::asked::Asked;
use crate::cell::{Cell, charge};
use crate::convert::{self, out, out_option};
use crate::errors::{OrRaise, raise};
use crate::fault::bounds;
use crate::html::sheet;
use crate::range::Range;
use crate::run::run;
use crate::working::Working;
use orlop::cell::StateOfCharge;
use orlop::pack::{self, Joined, TakeOff, Tie};
use orlop::{Error, Silent};
use orlop_units::{Current, Fraction, Quantity, Resistance, Temperature, show};
use pyo3::prelude::*;
use pyo3::types::{PyString, PyTuple};

/// A link between two posts, its joints in it.
///
/// Parameters
/// ----------
/// resistance : str, quantity, Range or pair
///     Of one link with both its joints. A pair is a lower and an upper bound, of which one may be None.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> orlop.Link("0.06 mohm")
/// Link(60 uohm)
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct Link {
    pub inner: orlop::Range<Resistance>,
}

#[pymethods]
impl Link {
    #[new]
    fn new(resistance: &Bound<'_, PyAny>) -> PyResult<Self> {
        Ok(Self { inner: resistances(resistance, "resistance")? })
    }
    /// Its resistance.
    #[getter]
    fn resistance(&self) -> Range {
        self.inner.into()
    }
    fn __repr__(&self) -> String {
        format!("Link({})", self.inner)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let resistance = self.resistance().into_pyobject(py)?.into_any();
        Asked::default().reduce_with(py, None, "Link", &[("resistance", resistance)])
    }
}

/// How a current is shared among parallel cells: one entry for each cell or link.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> cell = orlop.Cell("lfp", capacity="230 Ah", resistance_1khz="0.18 mohm", resistance_dc="0.55 mohm")
/// >>> shared = orlop.share_current([cell] * 2, orlop.Link("0.08 mohm"), takeoff="same-end", current="200 A")
/// >>> shared.sustained
/// Sharing(56.3 %, 43.7 % of 200 A)
/// >>> print(f"{shared.sustained.excess:.1f~P}")
/// 12.7 %
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct Sharing {
    inner: pack::Sharing,
    of: &'static str,
    whole: SharedCurrent,
}

/// How parallel cells share a current, by both of their resistances.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> cell = orlop.Cell("lfp", capacity="230 Ah", resistance_1khz="0.18 mohm", resistance_dc="0.55 mohm")
/// >>> orlop.share_current([cell] * 4, orlop.Link("0.08 mohm"), takeoff="same-end", current="200 A")
/// SharedCurrent(busiest cell 59.9 % at closing, 42.9 % sustained, of 200 A)
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct SharedCurrent {
    inner: pack::SharedCurrent,
    cells: Vec<Cell>,
    link: Link,
    take_off: TakeOff,
    current: Current,
    state: (StateOfCharge, Temperature),
    asked: Asked,
}

/// A word, or the cells of the positive and the negative lead.
pub fn take_off(asked: &mut Asked, value: &Bound<'_, PyAny>) -> PyResult<TakeOff> {
    if value.is_instance_of::<PyString>() {
        return asked.word("takeoff", value, TakeOff::parse);
    }
    let Ok((positive, negative)) = value.extract::<(usize, usize)>() else {
        let expected =
            "same-end, diagonal, middle, or the cells of the positive and the negative lead, counted from 1";
        return Err(raise(value.py(), &Error::input("takeoff", convert::short(value)?, expected)));
    };
    asked.places("takeoff", positive, negative);
    Ok(TakeOff::At { positive, negative })
}

/// How the cells of a pack are tied, as it is asked for.
pub struct TieArgs<'a, 'py> {
    pub takeoff: &'a Bound<'py, PyAny>,
    pub joined: Option<&'a Bound<'py, PyAny>>,
    pub bar: Option<&'a Bound<'py, PyAny>>,
}

/// Where the leads leave, how groups are joined, and the bars between neighbours.
pub fn tie(asked: &mut Asked, args: &TieArgs<'_, '_>) -> PyResult<Tie> {
    let take_off = take_off(asked, args.takeoff)?;
    let joined =
        args.joined.map_or(Ok(Joined::Lead), |joined| asked.word("joined", joined, Joined::parse))?;
    let tie = Tie::new(take_off, joined);
    match args.bar {
        Some(bar) => tie.with_bar(asked.quantity("bar", bar)?).or_raise(bar.py()),
        None => Ok(tie),
    }
}

/// How parallel cells share a current, by their 1 kHz and by their ten-second resistance.
///
/// Parameters
/// ----------
/// cells : sequence of Cell
///     In the order they stand.
/// link : Link
///     Between neighbours, on each rail.
/// takeoff : {"same-end", "diagonal", "middle"} or pair of int
///     Where the positive and the negative lead leave, cells counted from 1.
/// current : str or quantity
/// charge, temperature : str or quantity, optional
///     State in which resistances are taken: half charge and 25 degC unless given.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> cell = orlop.Cell("lfp", capacity="230 Ah", resistance_1khz="0.18 mohm", resistance_dc="0.55 mohm")
/// >>> shared = orlop.share_current([cell] * 4, orlop.Link("0.08 mohm"), takeoff="diagonal", current="200 A")
/// >>> [f"{share:.1f~P}" for share in shared.sustained.shares]
/// ['28.2 %', '21.8 %', '21.8 %', '28.2 %']
#[pyfunction]
#[pyo3(signature = (cells, link, *, takeoff, current, charge=None, temperature=None))]
pub fn share_current(
    cells: &Bound<'_, PyAny>,
    link: &Bound<'_, PyAny>,
    takeoff: &Bound<'_, PyAny>,
    current: &Bound<'_, PyAny>,
    charge: Option<&Bound<'_, PyAny>>,
    temperature: Option<&Bound<'_, PyAny>>,
) -> PyResult<SharedCurrent> {
    let mut asked = Asked::default();
    let cells = cells_of(cells)?;
    let link = link_of(link)?;
    let take_off = take_off(&mut asked, takeoff)?;
    let current: Current = asked.quantity("current", current)?;
    let state = state(&mut asked, takeoff.py(), charge, temperature)?;
    SharedCurrent::of(takeoff.py(), cells, link, take_off, current, state, asked)
}

/// The take-off whose busiest cell carries least of a lasting current, tried over all pairs of cells, and how it shares.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> cell = orlop.Cell("lfp", capacity="230 Ah", resistance_1khz="0.18 mohm", resistance_dc="0.55 mohm")
/// >>> orlop.best_takeoff([cell] * 5, "0.08 mohm", current="200 A").sustained.takeoff
/// (2, 4)
#[pyfunction]
#[pyo3(signature = (cells, link, *, current, charge=None, temperature=None))]
pub fn best_takeoff(
    cells: &Bound<'_, PyAny>,
    link: &Bound<'_, PyAny>,
    current: &Bound<'_, PyAny>,
    charge: Option<&Bound<'_, PyAny>>,
    temperature: Option<&Bound<'_, PyAny>>,
) -> PyResult<SharedCurrent> {
    let py = cells.py();
    let mut asked = Asked::default();
    let cells = cells_of(cells)?;
    let link = link_of(link)?;
    let current: Current = asked.quantity("current", current)?;
    let state = state(&mut asked, py, charge, temperature)?;
    let take_off = run(py, || pack::best_take_off(&plain(&cells), link.inner, current, state.0, state.1))?;
    if let TakeOff::At { positive, negative } = take_off {
        asked.places("takeoff", positive, negative);
    }
    SharedCurrent::of(py, cells, link, take_off, current, state, asked)
}

/// The most that each link may have for the busiest cell to stay within ``permitted`` above the mean, by the resistance at 1 kHz.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> cell = orlop.Cell("lfp", capacity="230 Ah", resistance_1khz="0.18 mohm", resistance_dc="0.55 mohm")
/// >>> limit = orlop.largest_link([cell] * 2, takeoff="same-end", permitted="10 %")
/// >>> print(f"{limit.m_as('microohm'):.1f} microohm")
/// 20.0 microohm
#[pyfunction]
#[pyo3(signature = (cells, *, takeoff, permitted, charge=None, temperature=None))]
pub fn largest_link(
    cells: &Bound<'_, PyAny>,
    takeoff: &Bound<'_, PyAny>,
    permitted: &Bound<'_, PyAny>,
    charge: Option<&Bound<'_, PyAny>>,
    temperature: Option<&Bound<'_, PyAny>>,
) -> PyResult<Py<PyAny>> {
    let py = cells.py();
    let mut asked = Asked::default();
    let cells = cells_of(cells)?;
    let take_off = take_off(&mut asked, takeoff)?;
    let permitted: Fraction = asked.quantity("permitted", permitted)?;
    let (charge, temperature) = state(&mut asked, py, charge, temperature)?;
    let limit = run(py, || pack::largest_link(&plain(&cells), take_off, permitted, charge, temperature))?;
    out(py, limit.resistance)
}

pub fn cells_of(cells: &Bound<'_, PyAny>) -> PyResult<Vec<Cell>> {
    match cells.extract::<Vec<PyRef<'_, Cell>>>() {
        Ok(cells) => Ok(cells.iter().map(|c| (**c).clone()).collect()),
        Err(_) => Err(raise(cells.py(), &Error::input("cells", convert::short(cells)?, "a list of Cell"))),
    }
}

pub fn plain(cells: &[Cell]) -> Vec<orlop::cell::Cell> {
    cells.iter().map(|c| c.inner).collect()
}

/// Charge and temperature, half and 25 degC unless given.
pub fn state(
    asked: &mut Asked,
    py: Python<'_>,
    charge: Option<&Bound<'_, PyAny>>,
    temperature: Option<&Bound<'_, PyAny>>,
) -> PyResult<(StateOfCharge, Temperature)> {
    let charge = match charge {
        Some(charge) => self::charge(asked, "charge", charge)?,
        None => StateOfCharge::new(0.5).or_raise(py)?,
    };
    Ok((charge, asked.optional("temperature", temperature)?.unwrap_or(Temperature::celsius(25.0))))
}

/// A link, or what a link is made from.
pub fn link_of(value: &Bound<'_, PyAny>) -> PyResult<Link> {
    match value.extract::<PyRef<'_, Link>>() {
        Ok(link) => Ok((*link).clone()),
        Err(_) => Ok(Link { inner: resistances(value, "link")? }),
    }
}

/// Bounds of zero or more; either may be None.
pub fn resistances(value: &Bound<'_, PyAny>, field: &str) -> PyResult<orlop::Range<Resistance>> {
    let range: orlop::Range<Resistance> = bounds(value, field)?;
    for bound in [range.low(), range.high()].into_iter().flatten() {
        orlop::error::not_negative(bound, field).or_raise(value.py())?;
    }
    Ok(range)
}

impl SharedCurrent {
    fn of(
        py: Python<'_>,
        cells: Vec<Cell>,
        link: Link,
        take_off: TakeOff,
        current: Current,
        state: (StateOfCharge, Temperature),
        asked: Asked,
    ) -> PyResult<Self> {
        let inner = run(py, || {
            pack::share_current_recorded(&plain(&cells), link.inner, take_off, current, state, &mut Silent)
        })?;
        Ok(Self { inner, cells, link, take_off, current, state, asked })
    }
}

#[pymethods]
impl SharedCurrent {
    /// At closing and inrush: by the resistances at 1 kHz.
    #[getter]
    fn closing(&self) -> Sharing {
        Sharing { inner: self.inner.closing.clone(), of: "closing", whole: self.clone() }
    }
    /// What lasts: by the ten-second resistances.
    #[getter]
    fn sustained(&self) -> Sharing {
        Sharing { inner: self.inner.sustained.clone(), of: "sustained", whole: self.clone() }
    }
    /// What a reader must know.
    #[getter]
    fn flags<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, &self.inner.flags)
    }
    /// How the answer was found.
    fn explain(&self, py: Python<'_>) -> PyResult<Working> {
        run(py, || {
            let mut working = orlop::Working::new(self.__repr__());
            let (link, take_off) = (self.link.inner, self.take_off);
            let cells = plain(&self.cells);
            pack::share_current_recorded(&cells, link, take_off, self.current, self.state, &mut working)?;
            Ok(working)
        })
        .map(Working::from)
    }
    fn __repr__(&self) -> String {
        format!(
            "SharedCurrent(busiest cell {} at closing, {} sustained, of {})",
            busiest(&self.inner.closing),
            busiest(&self.inner.sustained),
            show(self.current)
        )
    }
    fn _repr_html_(&self) -> String {
        let list = |s: &pack::Sharing| shares(s).join(", ");
        let rows =
            [("at closing, 1 kHz", list(&self.inner.closing)), ("after 10 s", list(&self.inner.sustained))];
        sheet(&format!("{} shared, {}", show(self.current), self.take_off), &rows, &self.inner.flags)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let cells = self.cells.clone().into_pyobject(py)?.into_any();
        let link = self.link.clone().into_pyobject(py)?.into_any();
        self.asked.reduce_with(py, None, "share_current", &[("cells", cells), ("link", link)])
    }
}

fn shares(sharing: &pack::Sharing) -> Vec<String> {
    let each = sharing.shares.iter().zip(&sharing.currents);
    each.map(|(share, i)| share.map_or_else(|| show(*i), show)).collect()
}

fn busiest(sharing: &pack::Sharing) -> String {
    let most = sharing.shares.iter().flatten().map(|s| s.value()).fold(f64::NEG_INFINITY, f64::max);
    if most.is_finite() { show(Fraction::new(most)) } else { "-".into() }
}

pub fn all<'py, Q: Quantity>(py: Python<'py>, values: &[Q]) -> PyResult<Bound<'py, PyTuple>> {
    let each = values.iter().map(|q| out(py, *q)).collect::<PyResult<Vec<_>>>()?;
    PyTuple::new(py, each)
}

#[pymethods]
impl Sharing {
    /// Cells of the positive and the negative lead, counted from 1.
    #[getter]
    fn takeoff(&self) -> (usize, usize) {
        self.inner.take_off
    }
    /// The current taken off.
    #[getter]
    fn load(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.load)
    }
    /// Current of each cell.
    #[getter]
    fn currents<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        all(py, &self.inner.currents)
    }
    /// Share of each cell in the load, or None without a load.
    #[getter]
    fn shares<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let each = self.inner.shares.iter().map(|s| out_option(py, *s)).collect::<PyResult<Vec<_>>>()?;
        PyTuple::new(py, each)
    }
    /// Current in each positive link, from a cell to the next.
    #[getter]
    fn positive_links<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        all(py, &self.inner.positive_links)
    }
    /// Current in each negative link, from a cell to the next.
    #[getter]
    fn negative_links<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        all(py, &self.inner.negative_links)
    }
    /// Heat in each cell.
    #[getter]
    fn cell_heat<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        all(py, &self.inner.cell_heat)
    }
    /// Heat in each positive and each negative link.
    #[getter]
    fn link_heat<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyTuple>, Bound<'py, PyTuple>)> {
        Ok((all(py, &self.inner.positive_link_heat)?, all(py, &self.inner.negative_link_heat)?))
    }
    /// By how much the busiest cell carries more than the mean, or None without a load.
    #[getter]
    fn excess(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        out_option(py, self.inner.excess())
    }
    /// Resistance of the row between its leads.
    #[getter]
    fn resistance(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.resistance)
    }
    fn __repr__(&self) -> String {
        let mut each = shares(&self.inner);
        if each.len() > 8 {
            each.truncate(8);
            each.push("...".into());
        }
        format!("Sharing({} of {})", each.join(", "), show(self.inner.load))
    }
    fn _repr_html_(&self) -> String {
        let rows = [
            ("shares", shares(&self.inner).join(", ")),
            ("heat", show(self.inner.heat())),
            ("resistance between the leads", show(self.inner.resistance)),
        ];
        sheet(&format!("{} shared", show(self.inner.load)), &rows, &[])
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let getattr = py.import("builtins")?.getattr("getattr")?;
        let whole = self.whole.clone().into_pyobject(py)?;
        (getattr, (whole, self.of)).into_pyobject(py)
    }
}
