//! A pack of cells and what is asked of it.

use super::answer::{Ask, PackAnswer, Remains};
use super::course::{Course, Question, over_time};
use super::share::{Link, TieArgs, link_of, resistances};
use super::whole::{SharedPack, share};
use crate::asked::Asked;
use crate::cell::{Cell, cell_of, charge, conditions};
use crate::convert::{self, out, out_option};
use crate::errors::{OrRaise, raise};
use crate::html::sheet;
use crate::range::Range;
use crate::run::run;
use crate::table::Table;
use orlop::Error;
use orlop::cell::Method;
use orlop::pack::{self, Failure, Order, Prices};
use orlop_units::show;
use pyo3::prelude::*;
use pyo3::types::{PyBool, PyDict, PyTuple};

/// Cells in a row and side by side, and which comes first.
///
/// Parameters
/// ----------
/// cell : Cell
/// series, parallel : int
///     How many voltages stand in a row, and how many cells or strings side by side.
/// order : {"parallel-first", "series-first"}
///     Cells tied into groups and the groups in a row, with one manager; or cells in a row and the strings side by side, each with its own.
/// link : Link, str, quantity, Range or pair, optional
///     Of each link with its joints. Where it is not given, the least fault current is not known.
/// parts : str, quantity, Range or pair, optional
///     Contactor or manager, fuse and leads: in each string, or, parallel first, of the whole.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> cell = orlop.Cell("lfp", capacity="230 Ah", mass="4.15 kg", resistance_1khz="0.18 mohm", resistance_dc="0.55 mohm")
/// >>> pack = orlop.Pack(cell, series=8, parallel=2, order="series-first", link="0.06 mohm", parts="0.66 mohm")
/// >>> pack
/// Pack(8 in series, 2 in parallel, series-first: 25.6 V, 460 Ah)
/// >>> pack.monitored_voltages, pack.management_units
/// (16, 2)
/// >>> print(pack.without_one_manager())
/// manager: 230 Ah left (50 %). Its string is out; the others go on.
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct Pack {
    inner: pack::Pack,
    cell: Cell,
    link: Option<Link>,
    asked: Asked,
}

impl Pack {
    pub fn inner(&self) -> &pack::Pack {
        &self.inner
    }

    /// Itself in a line.
    pub fn line(&self) -> String {
        let pack = &self.inner;
        format!(
            "Pack({} in series, {} in parallel, {}: {}, {})",
            pack.series(),
            pack.parallel(),
            pack.order().word(),
            show(pack.nominal_voltage()),
            show(pack.capacity())
        )
    }

    fn ask(slf: &Bound<'_, Self>, ask: Ask, asked: Asked) -> PyResult<PackAnswer> {
        PackAnswer::of(slf.py(), slf.get().clone(), ask, asked)
    }
}

/// Prices of parts by name; what is not named costs nothing.
fn prices_of(given: &Bound<'_, PyDict>) -> PyResult<Prices> {
    const NAMES: [&str; 6] = ["cell", "manager", "disconnect", "fuse", "shunt", "link"];
    let py = given.py();
    let expected = format!("numbers for some of {}", NAMES.join(", "));
    let mut found = [0.0; 6];
    for (name, price) in given {
        let name = convert::text(&name, "prices", &expected)?;
        let refused = |got: String| raise(py, &Error::input("prices", got, expected.as_str()));
        let at = NAMES.iter().position(|n| *n == name).ok_or_else(|| refused(format!("'{name}'")))?;
        let bare = if price.is_instance_of::<PyBool>() { None } else { price.extract::<f64>().ok() };
        found[at] = match bare {
            Some(number) => number,
            None => return Err(refused(format!("{name}: {}", convert::short(&price)?))),
        };
    }
    let [cell, manager, disconnect, fuse, shunt, link] = found;
    Ok(Prices { cell, manager, disconnect, fuse, shunt, link })
}

#[pymethods]
impl Pack {
    #[new]
    #[pyo3(signature = (cell, *, series, parallel, order, link=None, parts=None))]
    fn new(
        cell: &Bound<'_, PyAny>,
        series: &Bound<'_, PyAny>,
        parallel: &Bound<'_, PyAny>,
        order: &Bound<'_, PyAny>,
        link: Option<&Bound<'_, PyAny>>,
        parts: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<Self> {
        let py = cell.py();
        let own = cell_of(cell)?;
        let mut asked = Asked::default();
        let series = asked.count("series", series)?;
        let parallel = asked.count("parallel", parallel)?;
        let order = asked.word("order", order, Order::parse)?;
        let mut inner = pack::Pack::new(own.inner, series, parallel, order).or_raise(py)?;
        let link = link.map(link_of).transpose()?;
        if let Some(link) = &link {
            inner = inner.with_link(link.inner).or_raise(py)?;
        }
        if let Some(parts) = parts {
            inner = inner.with_parts(resistances(parts, "parts")?).or_raise(py)?;
        }
        Ok(Self { inner, cell: own, link, asked })
    }

    /// Its cell.
    #[getter]
    fn cell(&self) -> Cell {
        self.cell.clone()
    }
    /// Cells or groups in a row.
    #[getter]
    fn series(&self) -> u32 {
        self.inner.series()
    }
    /// Cells or strings side by side.
    #[getter]
    fn parallel(&self) -> u32 {
        self.inner.parallel()
    }
    /// Which comes first.
    #[getter]
    fn order(&self) -> &'static str {
        self.inner.order().word()
    }
    /// Its link, or None.
    #[getter]
    fn link(&self) -> Option<Link> {
        self.link.clone()
    }
    /// Nominal voltage.
    #[getter]
    fn nominal_voltage(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.nominal_voltage())
    }
    /// Lowest and highest voltage in service.
    #[getter]
    fn voltage_window(&self) -> Range {
        self.inner.voltage_window().into()
    }
    /// Capacity.
    #[getter]
    fn capacity(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.capacity())
    }
    /// Capacity times nominal voltage.
    #[getter]
    fn energy(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.energy())
    }
    /// Mass of the cells alone, or None.
    #[getter]
    fn mass(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        out_option(py, self.inner.mass())
    }
    /// Volume of the bodies of the cells alone, or None.
    #[getter]
    fn volume(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        out_option(py, self.inner.volume())
    }
    /// Voltages that somebody must watch.
    #[getter]
    fn monitored_voltages(&self) -> u64 {
        self.inner.monitored_voltages()
    }
    /// Managers needed.
    #[getter]
    fn management_units(&self) -> u32 {
        self.inner.managers()
    }

    /// Resistance between the terminals by method ("1khz" or "10s"), charge and temperature.
    #[pyo3(signature = (method, *, charge, temperature))]
    fn resistance(
        slf: &Bound<'_, Self>,
        method: &Bound<'_, PyAny>,
        charge: &Bound<'_, PyAny>,
        temperature: &Bound<'_, PyAny>,
    ) -> PyResult<PackAnswer> {
        let mut asked = Asked::default();
        let method = asked.word("method", method, Method::parse)?;
        let charge = self::charge(&mut asked, "charge", charge)?;
        let temperature = asked.quantity("temperature", temperature)?;
        Self::ask(slf, Ask::Resistance(method, charge, temperature), asked)
    }

    /// Current into a bolted fault at the terminals: most with all strings closed, least with one of them open.
    ///
    /// What is not given is taken at its worst: the ends of the temperatures at which the cells may be discharged, and empty cells; the
    /// answer says so.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> cell = orlop.Cell("lfp", capacity="230 Ah", resistance_1khz="0.18 mohm", resistance_dc="0.55 mohm")
    /// >>> pack = orlop.Pack(cell, series=8, parallel=2, order="series-first", link="0.06 mohm", parts="0.66 mohm")
    /// >>> pack.fault_current(warmest="25 degC", coldest="25 degC", least_charge="50 %").range
    /// Range(2.02 kA to 23.2 kA)
    #[pyo3(signature = (*, warmest=None, coldest=None, least_charge=None, highest_voltage=None, lowest_voltage=None))]
    fn fault_current(
        slf: &Bound<'_, Self>,
        warmest: Option<&Bound<'_, PyAny>>,
        coldest: Option<&Bound<'_, PyAny>>,
        least_charge: Option<&Bound<'_, PyAny>>,
        highest_voltage: Option<&Bound<'_, PyAny>>,
        lowest_voltage: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<PackAnswer> {
        let mut asked = Asked::default();
        let at = conditions(&mut asked, warmest, coldest, least_charge, highest_voltage, lowest_voltage)?;
        Self::ask(slf, Ask::Fault(at), asked)
    }

    /// Current when one string closes on all the others at a difference of voltage; parallel first, one cell on the rest of its group.
    #[pyo3(signature = (*, difference, charge, temperature))]
    fn equalising(
        slf: &Bound<'_, Self>,
        difference: &Bound<'_, PyAny>,
        charge: &Bound<'_, PyAny>,
        temperature: &Bound<'_, PyAny>,
    ) -> PyResult<PackAnswer> {
        let mut asked = Asked::default();
        let difference = asked.quantity("difference", difference)?;
        let charge = self::charge(&mut asked, "charge", charge)?;
        let temperature = asked.quantity("temperature", temperature)?;
        Self::ask(slf, Ask::Equalising(difference, charge, temperature), asked)
    }

    /// Difference of voltage within which strings may close on each other for a permitted current, by the least resistance at closing.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> cell = orlop.Cell("lfp", capacity="230 Ah", resistance_1khz="0.18 mohm", resistance_dc="0.55 mohm")
    /// >>> pack = orlop.Pack(cell, series=8, parallel=2, order="series-first", link="0.06 mohm", parts="0.66 mohm")
    /// >>> window = pack.closing_window(permitted="150 A", charge="50 %", temperature="25 degC")
    /// >>> print(f"{window:.3f~P}")
    /// 0.756 V
    #[pyo3(signature = (*, permitted, charge, temperature))]
    fn closing_window(
        &self,
        py: Python<'_>,
        permitted: &Bound<'_, PyAny>,
        charge: &Bound<'_, PyAny>,
        temperature: &Bound<'_, PyAny>,
    ) -> PyResult<Py<PyAny>> {
        let mut asked = Asked::default();
        let permitted = asked.quantity("permitted", permitted)?;
        let charge = self::charge(&mut asked, "charge", charge)?;
        let temperature = asked.quantity("temperature", temperature)?;
        let window = run(py, || self.inner.closing_window(permitted, charge, temperature))?;
        let strict = if window.closing < window.sustained { window.closing } else { window.sustained };
        out(py, strict)
    }

    /// What is left after one part has failed: "cell-open", "cell-short", "series-link", "rail-link" or "manager".
    ///
    /// The temperatures and the least charge are those of the current into a short; what is not given is taken at its worst.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> cell = orlop.Cell("lfp", capacity="230 Ah", resistance_1khz="0.18 mohm", resistance_dc="0.55 mohm")
    /// >>> pack = orlop.Pack(cell, series=8, parallel=2, order="parallel-first", link="0.06 mohm", parts="0.66 mohm")
    /// >>> short = pack.after("cell-short", warmest="25 degC", coldest="25 degC", least_charge="50 %")
    /// >>> short.capacity.magnitude, short.short_current
    /// (0.0, Range(2.05 kA to 12.2 kA))
    #[pyo3(signature = (failure, *, warmest=None, coldest=None, least_charge=None))]
    fn after(
        slf: &Bound<'_, Self>,
        failure: &Bound<'_, PyAny>,
        warmest: Option<&Bound<'_, PyAny>>,
        coldest: Option<&Bound<'_, PyAny>>,
        least_charge: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<Remains> {
        let py = slf.py();
        let mut asked = Asked::default();
        let failure = asked.word("failure", failure, Failure::parse)?;
        let at = Some(conditions(&mut asked, warmest, coldest, least_charge, None, None)?);
        let pack = slf.get().clone();
        let inner = run(py, || pack.inner.after(failure, at))?;
        Ok(Remains::of(inner, pack, asked))
    }

    /// What is left after one cell has failed open.
    fn without_one_cell(slf: &Bound<'_, Self>) -> PyResult<Remains> {
        Self::after(slf, &"cell-open".into_pyobject(slf.py())?.into_any(), None, None, None)
    }
    /// What is left after one manager has opened for good.
    fn without_one_manager(slf: &Bound<'_, Self>) -> PyResult<Remains> {
        Self::after(slf, &"manager".into_pyobject(slf.py())?.into_any(), None, None, None)
    }

    /// The same cells tied both ways, side by side: parts, cost, and the capacity left after each failure.
    ///
    /// Parameters
    /// ----------
    /// prices : dict, optional
    ///     What a ``cell``, ``manager``, ``disconnect``, ``fuse``, ``shunt`` and ``link`` cost; what is not named costs nothing.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> pack = orlop.Pack(orlop.Cell("lfp", capacity="230 Ah"), series=8, parallel=2, order="parallel-first")
    /// >>> for row in pack.both_orders().to_dicts():
    /// ...     print(row["order"], row["managers"], row["after_manager_percent"])
    /// parallel-first 1 0.0
    /// series-first 2 50.0
    #[pyo3(signature = (*, prices=None))]
    fn both_orders(&self, py: Python<'_>, prices: Option<&Bound<'_, PyDict>>) -> PyResult<Table> {
        let prices = prices.map(prices_of).transpose()?;
        let variants = run(py, || self.inner.both_orders(None, prices))?;
        Ok(pack::orders_table(&variants).into())
    }

    /// How the whole pack shares a current, cell by cell and link by link, by the 1 kHz and by the ten-second resistance of its cells.
    ///
    /// Parameters
    /// ----------
    /// current : str or quantity
    ///     Discharge is positive.
    /// takeoff : {"same-end", "diagonal", "middle"} or pair of int
    ///     Where the current leaves each group, or the bus of the strings, or the outer bars.
    /// joined : {"lead", "every-cell"}, optional
    ///     How groups of a parallel-first pack are joined: by one lead between their take-offs, or at every cell, with bars across.
    /// bar : str or quantity, optional
    ///     Each link of a rail or piece of bar between neighbours, where it is not like the other links of the pack.
    /// cells : sequence of Cell, optional
    ///     The single cells, group by group or string by string; all like the cell of the pack unless given.
    /// charge, temperature : str or quantity, optional
    ///     State of all cells: half charge and 25 degC unless given.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> cell = orlop.Cell("lfp", capacity="230 Ah", resistance_1khz="0.18 mohm", resistance_dc="0.55 mohm")
    /// >>> pack = orlop.Pack(cell, series=8, parallel=2, order="parallel-first", link="0.06 mohm")
    /// >>> shared = pack.share(current="200 A", takeoff="same-end", joined="every-cell", bar="0.03 mohm")
    /// >>> shared
    /// SharedPack(busiest cell 53.6 % at closing, 51.3 % sustained, of 200 A)
    /// >>> first = shared.sustained.table("links").to_dicts()[0]
    /// >>> print(first["what"], first["place"], f"{first['current_a']:.1f} A")
    /// bar 1 97.7 A
    #[pyo3(signature = (*, current, takeoff, joined=None, bar=None, cells=None, charge=None, temperature=None))]
    #[allow(clippy::too_many_arguments)]
    fn share(
        &self,
        current: &Bound<'_, PyAny>,
        takeoff: &Bound<'_, PyAny>,
        joined: Option<&Bound<'_, PyAny>>,
        bar: Option<&Bound<'_, PyAny>>,
        cells: Option<&Bound<'_, PyAny>>,
        charge: Option<&Bound<'_, PyAny>>,
        temperature: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<SharedPack> {
        share(self, current, &TieArgs { takeoff, joined, bar }, cells, (charge, temperature))
    }

    /// The pack over time: cells, links and managers, step by step.
    ///
    /// Parameters
    /// ----------
    /// currents_a : sequence of float
    ///     Current of each step in amperes; discharge is positive.
    /// step : str or quantity
    /// start : str or quantity
    ///     Charge of all cells, rested.
    /// temperature : str or quantity
    /// takeoff : {"same-end", "diagonal", "middle"} or pair of int
    ///     Where the current leaves each group, or the bus of the strings, or the outer bars.
    /// joined : {"lead", "every-cell"}, optional
    ///     How groups of a parallel-first pack are joined: by one lead between their take-offs, or at every cell, with bars across.
    /// bar : str or quantity, optional
    ///     Each link of a rail or piece of bar between neighbours, where it is not like the other links of the pack.
    /// cells : dict or table, optional
    ///     Columns `capacity_ah` and `resistance_mohm` of the single cells, group by group or string by string.
    /// pairs : pair or list of pairs, optional
    ///     Resistance and time constant of what lags behind the current: one or two, the same for all cells.
    /// every : int, optional
    ///     Steps between samples.
    /// watched : bool, optional
    ///     Whether managers open at the voltage window of the chemistry; without them the run stops at the first empty or full cell.
    #[pyo3(signature = (currents_a, *, step, start, temperature, takeoff, joined=None, bar=None, cells=None, pairs=None, every=None, watched=true))]
    #[allow(clippy::too_many_arguments)]
    fn over_time(
        &self,
        currents_a: &Bound<'_, PyAny>,
        step: &Bound<'_, PyAny>,
        start: &Bound<'_, PyAny>,
        temperature: &Bound<'_, PyAny>,
        takeoff: &Bound<'_, PyAny>,
        joined: Option<&Bound<'_, PyAny>>,
        bar: Option<&Bound<'_, PyAny>>,
        cells: Option<&Bound<'_, PyAny>>,
        pairs: Option<&Bound<'_, PyAny>>,
        every: Option<&Bound<'_, PyAny>>,
        watched: bool,
    ) -> PyResult<Course> {
        let tie = TieArgs { takeoff, joined, bar };
        let question = Question { currents_a, step, start, temperature, tie, cells, pairs, every, watched };
        over_time(self, &question)
    }

    fn __repr__(&self) -> String {
        self.line()
    }
    fn _repr_html_(&self) -> String {
        let pack = &self.inner;
        let rows = [
            ("cell", self.cell.inner.chemistry().id.word().to_string()),
            ("voltage", pack.voltage_window().to_string()),
            ("energy", show(pack.energy())),
            ("mass of the cells", pack.mass().map(show).unwrap_or_default()),
            ("voltages watched", pack.monitored_voltages().to_string()),
            ("managers", pack.managers().to_string()),
            ("each link", pack.link().to_string()),
        ];
        sheet(&self.line(), &rows, &[])
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let mut objects = vec![("cell", self.cell.clone().into_pyobject(py)?.into_any())];
        if let Some(link) = &self.link {
            objects.push(("link", link.clone().into_pyobject(py)?.into_any()));
        }
        let parts = Range::from(self.inner.parts()).into_pyobject(py)?;
        objects.push(("parts", parts.into_any()));
        self.asked.reduce_with(py, None, "Pack", &objects)
    }
}
