//! Networks: the builder, and what a solved one says.

use crate::asked::{SCHEMA, check_schema};
use crate::columns::Columns;
use crate::conductor::Conductor;
use crate::convert::{self, out, out_option};
use crate::errors::{OrRaise, raise};
use crate::fault::{self, bounds};
use crate::html::sheet;
use crate::range::Range as PyRange;
use crate::run::run;
use crate::table::Table;
use crate::working::Working;
use orlop::network::{self, Converter, Corner, Demand, Load, Part, RETURN, Source};
use orlop::{Error, Range};
use orlop_units::{
    Capacitance, Current, Fraction, Length, Quantity, Resistance, Temperature, Voltage, amperes, ohms, show,
    volts, watts,
};
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyTuple};
use std::sync::{Mutex, MutexGuard, PoisonError};

type Any<'a, 'py> = Option<&'a Bound<'py, PyAny>>;

/// An electrical network of direct current: nodes, sources, conductors, loads, converters.
///
/// Nodes come into being when they are first named. The node "return" is the zero of all voltages: where both legs of a circuit
/// are one resistance it stands for every negative; where the return is drawn, name its nodes with ``negative=``.
///
/// Two-sided values are a Range or a pair (low, high): :meth:`solve` takes the ends of one corner, :meth:`fault` both.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> net = orlop.Network()
/// >>> net.source("bank", emf="26.4 V", resistance="5 mohm")
/// >>> net.branch("m1", "bank", "bus", "1.2 mohm")
/// >>> net.load("bus", power="400 W")
/// >>> point = net.solve()
/// >>> print(f"{point.voltage('bus'):.3f}")
/// 26.306 volt
/// >>> print(f"{net.fault('bus').high:.0f}")
/// 4258 ampere
#[pyclass(frozen, module = "orlop")]
pub struct Network(Mutex<network::Network>);

impl From<network::Network> for Network {
    fn from(inner: network::Network) -> Self {
        Self(Mutex::new(inner))
    }
}

impl Network {
    fn open(&self) -> MutexGuard<'_, network::Network> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
    fn snapshot(&self) -> network::Network {
        self.open().clone()
    }
}

fn given<Q: Quantity>(value: Any<'_, '_>, field: &str) -> PyResult<Option<Q>> {
    value.map(|v| convert::quantity(v, field)).transpose()
}

fn corner(value: &Bound<'_, PyAny>) -> PyResult<Corner> {
    let text = convert::text(value, "corner", "low or high")?;
    Corner::parse(&text, "corner").or_raise(value.py())
}

/// Exactly one of power, current and resistance.
fn demand(
    py: Python<'_>,
    power: Any<'_, '_>,
    current: Any<'_, '_>,
    resistance: Any<'_, '_>,
) -> PyResult<Demand> {
    match (power, current, resistance) {
        (Some(p), None, None) => Ok(Demand::Power(convert::quantity(p, "power")?)),
        (None, Some(i), None) => Ok(Demand::Current(convert::quantity(i, "current")?)),
        (None, None, Some(r)) => Ok(Demand::Resistance(convert::quantity(r, "resistance")?)),
        _ => {
            let count = [power, current, resistance].iter().flatten().count();
            let got = if count == 0 { "none" } else { "more than one" };
            Err(raise(py, &Error::input("load", got, "exactly one of power=, current=, resistance=")))
        }
    }
}

/// Resistance of a conductor over a length, cold to hot unless one temperature or a pair is said.
fn of_conductor(
    wire: &Bound<'_, PyAny>,
    lp: Any<'_, '_>,
    leg: Any<'_, '_>,
    temperature: Any<'_, '_>,
) -> PyResult<Range<Resistance>> {
    let py = wire.py();
    let Ok(wire) = wire.cast::<Conductor>() else {
        return Err(raise(py, &Error::input("conductor", convert::short(wire)?, "an orlop.Conductor")));
    };
    let wire = &wire.get().0;
    let length: Length = match (lp, leg) {
        (Some(l), None) => convert::quantity(l, "loop")?,
        (None, Some(l)) => convert::quantity(l, "leg")?,
        _ => {
            let got = if lp.is_some() { "both" } else { "none" };
            let error = Error::Input {
                field: "loop, leg".into(),
                got: got.into(),
                expected: "exactly one of loop= and leg=".into(),
                hint:
                    "loop is out and back on a one-rail model; leg is one conductor of a return that is drawn"
                        .into(),
            };
            return Err(raise(py, &error));
        }
    };
    let length = orlop::error::positive(length, if lp.is_some() { "loop" } else { "leg" }).or_raise(py)?;
    let temperatures: Range<Temperature> = match temperature {
        Some(t) => bounds(t, "temperature")?,
        None => Range::new(Temperature::celsius(20.0), wire.insulation()),
    };
    let at = |t: Option<Temperature>| t.map(|t| wire.resistance_per_length(t) * length);
    Ok(Range::from_bounds(at(temperatures.low()), at(temperatures.high())))
}

#[pymethods]
impl Network {
    #[new]
    fn new() -> Self {
        Self(Mutex::new(network::Network::new()))
    }

    /// Adds a source, such as one string of cells: an electromotive force behind a resistance.
    ///
    /// Parameters
    /// ----------
    /// id : str
    ///     Its name; also its node unless ``node`` says otherwise.
    /// emf, resistance : str, quantity, Range or pair
    ///     A resistance of zero makes an ideal source.
    /// node, negative : str, optional
    ///     Where its positive and negative are joined.
    /// may_open : bool
    ///     It may be absent in service, as one string of several: fault currents count that.
    #[pyo3(signature = (id, *, emf, resistance, node=None, negative="return", may_open=false))]
    fn source(
        &self,
        id: &str,
        emf: &Bound<'_, PyAny>,
        resistance: &Bound<'_, PyAny>,
        node: Option<&str>,
        negative: &str,
        may_open: bool,
    ) -> PyResult<()> {
        let source =
            Source { emf: bounds(emf, "emf")?, resistance: bounds(resistance, "resistance")?, may_open };
        self.open().source(id, node.unwrap_or(id), negative, source).or_raise(emf.py())
    }

    /// Adds a conductor, device, switch or joint.
    ///
    /// Parameters
    /// ----------
    /// id, start, end : str
    ///     Its name and its two nodes.
    /// resistance : str, quantity, Range or pair
    ///     As drawn; or give ``conductor`` with ``loop`` (out and back) or ``leg`` (this one conductor).
    /// temperature : str, quantity or pair, optional
    ///     Of the conductor; without it 20 degC in the high corner and the rating of its insulation in the low.
    #[pyo3(signature = (id, start, end, resistance=None, *, conductor=None, r#loop=None, leg=None, temperature=None))]
    #[allow(clippy::too_many_arguments)]
    fn branch(
        &self,
        py: Python<'_>,
        id: &str,
        start: &str,
        end: &str,
        resistance: Any<'_, '_>,
        conductor: Any<'_, '_>,
        r#loop: Any<'_, '_>,
        leg: Any<'_, '_>,
        temperature: Any<'_, '_>,
    ) -> PyResult<()> {
        let range = match (resistance, conductor) {
            (Some(r), None) if r#loop.is_none() && leg.is_none() && temperature.is_none() => {
                bounds(r, "resistance")?
            }
            (None, Some(wire)) => of_conductor(wire, r#loop, leg, temperature)?,
            _ => {
                let expected = "either a resistance, or conductor= with loop= or leg=";
                return Err(raise(py, &Error::input(id, "neither, or both", expected)));
            }
        };
        self.open().branch(id, start, end, Part::Resistance(range)).or_raise(py)
    }

    /// Adds a diode that conducts from ``start`` to ``end``.
    #[pyo3(signature = (id, start, end, *, forward, slope))]
    fn diode(
        &self,
        id: &str,
        start: &str,
        end: &str,
        forward: &Bound<'_, PyAny>,
        slope: &Bound<'_, PyAny>,
    ) -> PyResult<()> {
        let forward: Voltage = convert::quantity(forward, "forward")?;
        let part = Part::Diode { forward, slope: convert::quantity(slope, "slope")? };
        self.open().branch(id, start, end, part).or_raise(slope.py())
    }

    /// Adds a load at a node: exactly one of power, current and resistance.
    ///
    /// Parameters
    /// ----------
    /// id : str, optional
    ///     Its name; without it "load.NODE", with a number where there are several.
    /// motor : str or quantity, optional
    ///     Largest current that it feeds into a fault while it runs on.
    /// capacitor : pair, optional
    ///     (capacitance, resistance in series): a short pulse into a fault.
    #[pyo3(signature = (node, *, power=None, current=None, resistance=None, id=None, negative="return", motor=None, capacitor=None))]
    #[allow(clippy::too_many_arguments)]
    fn load(
        &self,
        py: Python<'_>,
        node: &str,
        power: Any<'_, '_>,
        current: Any<'_, '_>,
        resistance: Any<'_, '_>,
        id: Option<&str>,
        negative: &str,
        motor: Any<'_, '_>,
        capacitor: Option<(Bound<'_, PyAny>, Bound<'_, PyAny>)>,
    ) -> PyResult<()> {
        let mut load = Load::new(demand(py, power, current, resistance)?);
        load.motor = given(motor, "motor")?;
        load.capacitor = self::capacitor(capacitor.as_ref())?;
        let mut net = self.open();
        let id = id.map_or_else(|| free_id(&net, node), str::to_string);
        net.load(&id, node, negative, load).or_raise(py)
    }

    /// Adds a regulated source that limits its own current: a converter with an input, a charger or alternator without.
    ///
    /// Parameters
    /// ----------
    /// voltage, limit : str or quantity
    ///     What it holds at its output, and the most it delivers.
    /// input : str, optional
    ///     The node that feeds it.
    /// efficiency : str or quantity, optional
    ///     Output over input; asked for with an input.
    /// minimum : str or quantity, optional
    ///     Least input voltage at which it works.
    /// shuts_down : bool
    ///     It stops on a short instead of holding its limit.
    /// runs : bool
    ///     It takes part in :meth:`solve`; without that it counts in fault currents only.
    #[pyo3(signature = (id, node, *, voltage, limit, input=None, efficiency=None, minimum=None, negative="return",
                        input_negative="return", shuts_down=false, runs=true, capacitor=None))]
    #[allow(clippy::too_many_arguments)]
    fn converter(
        &self,
        py: Python<'_>,
        id: &str,
        node: &str,
        voltage: &Bound<'_, PyAny>,
        limit: &Bound<'_, PyAny>,
        input: Option<&str>,
        efficiency: Any<'_, '_>,
        minimum: Any<'_, '_>,
        negative: &str,
        input_negative: &str,
        shuts_down: bool,
        runs: bool,
        capacitor: Option<(Bound<'_, PyAny>, Bound<'_, PyAny>)>,
    ) -> PyResult<()> {
        if input.is_some() && efficiency.is_none() {
            return Err(raise(
                py,
                &Error::input("efficiency", "none", "a percentage, for a converter with an input"),
            ));
        }
        let converter = Converter {
            output: convert::quantity(voltage, "voltage")?,
            limit: convert::quantity(limit, "limit")?,
            efficiency: given(efficiency, "efficiency")?.unwrap_or(Fraction::new(1.0)),
            minimum: given(minimum, "minimum")?,
            shuts_down,
            capacitor: self::capacitor(capacitor.as_ref())?,
            runs,
        };
        let input = input.map(|node| (node, input_negative));
        self.open().converter(id, node, negative, input, converter).or_raise(py)
    }

    /// A network from tables: dicts of arrays, or anything with the Arrow stream interface.
    ///
    /// Parameters
    /// ----------
    /// sources : table
    ///     Columns ``node``, ``emf_v``, ``resistance_ohm`` and optionally ``id``.
    /// branches : table
    ///     Columns ``from``, ``to``, ``resistance_ohm`` and optionally ``id``.
    /// loads : table, optional
    ///     Column ``node`` and one or more of ``current_a``, ``power_w``, ``resistance_ohm`` (in each row the one that is not null),
    ///     and optionally ``id``.
    #[staticmethod]
    #[pyo3(signature = (*, sources, branches, loads=None))]
    fn from_tables(
        py: Python<'_>,
        sources: &Bound<'_, PyAny>,
        branches: &Bound<'_, PyAny>,
        loads: Any<'_, '_>,
    ) -> PyResult<Self> {
        let sources = SourceRows::read(sources)?;
        let branches = BranchRows::read(branches)?;
        let loads = loads.map(LoadRows::read).transpose()?;
        let net = run(py, || {
            let mut net = network::Network::new();
            sources.add(&mut net)?;
            branches.add(&mut net)?;
            loads.iter().try_for_each(|l| l.add(&mut net))?;
            Ok(net)
        })?;
        Ok(Self(Mutex::new(net)))
    }

    /// Names of the nodes, "return" first.
    #[getter]
    fn nodes<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.open().nodes())
    }

    /// Voltages and currents: always the solution with the highest voltages.
    ///
    /// Parameters
    /// ----------
    /// corner : {"low", "high"}
    ///     Which ends of two-sided values: end of discharge, hot, aged; or full, cold, new.
    ///
    /// Raises
    /// ------
    /// NoSolution
    ///     When a load asks for more than the network can carry, with the most that it could have.
    #[pyo3(signature = (corner=None))]
    fn solve(&self, py: Python<'_>, corner: Any<'_, '_>) -> PyResult<OperatingPoint> {
        let corner = corner.map_or(Ok(Corner::Low), self::corner)?;
        let net = self.snapshot();
        run(py, || net.solve(corner)).map(OperatingPoint)
    }

    /// Current into a bolted fault between a node and the return: least and most, over all permitted states.
    fn fault(&self, py: Python<'_>, node: &str) -> PyResult<PyRange> {
        fault::at_node(py, &self.snapshot(), node)
    }

    /// Current through one branch for a fault at either of its ends, or at the node ``at``: the least that must open its
    /// device, and the most that it must break.
    #[pyo3(signature = (id, *, at=None))]
    fn fault_through(&self, py: Python<'_>, id: &str, at: Option<&str>) -> PyResult<PyRange> {
        fault::through(py, &self.snapshot(), id, at)
    }

    /// Fault currents of all nodes, and through all branches: two tables.
    fn fault_levels(&self, py: Python<'_>) -> PyResult<(Table, Table)> {
        fault::levels(py, &self.snapshot())
    }

    /// How the fault current at a node was found.
    fn explain_fault(&self, py: Python<'_>, node: &str) -> PyResult<Working> {
        fault::explain(py, &self.snapshot(), node)
    }

    /// Which devices open alone: each that stands in a branch against each upstream of it.
    ///
    /// Parameters
    /// ----------
    /// devices : dict
    ///     Branch to Device, or to (Device, load).
    fn selectivity(&self, py: Python<'_>, devices: &Bound<'_, PyAny>) -> PyResult<Table> {
        fault::of_network(py, &self.snapshot(), devices)
    }

    fn __len__(&self) -> usize {
        self.open().nodes().len()
    }
    fn __eq__(&self, other: &Bound<'_, PyAny>) -> bool {
        other.cast::<Self>().is_ok_and(|o| self.snapshot() == o.get().snapshot())
    }
    fn __repr__(&self) -> String {
        let net = self.open();
        format!(
            "Network({} nodes, {} sources, {} branches, {} loads, {} converters)",
            net.nodes().len(),
            net.sources().len(),
            net.branches().len(),
            net.loads().len(),
            net.converters().len()
        )
    }
    fn _repr_html_(&self) -> String {
        let net = self.open();
        let rows = [
            ("nodes", net.nodes().len()),
            ("sources", net.sources().len()),
            ("branches", net.branches().len()),
            ("loads", net.loads().len()),
            ("converters", net.converters().len()),
        ];
        sheet("Network", &rows.map(|(what, n)| (what, n.to_string())), &[])
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let make = py.import("orlop._orlop")?.getattr("_network")?;
        (make, (SCHEMA, PyBytes::new(py, &pickled::write(&self.snapshot())))).into_pyobject(py)
    }
}

fn capacitor(
    value: Option<&(Bound<'_, PyAny>, Bound<'_, PyAny>)>,
) -> PyResult<Option<(Capacitance, Resistance)>> {
    value
        .map(|(c, r)| {
            Ok((convert::quantity(c, "capacitor")?, convert::quantity(r, "resistance of the capacitor")?))
        })
        .transpose()
}

/// "load.NODE", or with a number when that is taken.
fn free_id(net: &network::Network, node: &str) -> String {
    let plain = format!("load.{node}");
    let taken = |id: &str| net.find(id).is_some();
    if !taken(&plain) {
        return plain;
    }
    (2..).map(|n| format!("{plain}.{n}")).find(|id| !taken(id)).expect("numbers do not end")
}

struct SourceRows {
    id: Option<Vec<String>>,
    node: Vec<String>,
    emf: Vec<f64>,
    resistance: Vec<f64>,
}
struct BranchRows {
    id: Option<Vec<String>>,
    from: Vec<String>,
    to: Vec<String>,
    resistance: Vec<f64>,
}
struct LoadRows {
    id: Option<Vec<String>>,
    node: Vec<String>,
    demand: Vec<Demand>,
}

fn needed<T>(py: Python<'_>, found: Option<T>, what: &str, name: &str) -> PyResult<T> {
    found.ok_or_else(|| raise(py, &Error::input(what, format!("no column '{name}'"), "that column")))
}

impl SourceRows {
    fn read(value: &Bound<'_, PyAny>) -> PyResult<Self> {
        let (py, table) = (value.py(), Columns::read(value, "sources")?);
        table.only(py, &["id", "node", "emf_v", "resistance_ohm"])?;
        Ok(Self {
            id: table.texts(py, "id")?,
            node: needed(py, table.texts(py, "node")?, "sources", "node")?,
            emf: needed(py, table.numbers(py, "emf_v")?, "sources", "emf_v")?.to_vec(),
            resistance: needed(py, table.numbers(py, "resistance_ohm")?, "sources", "resistance_ohm")?
                .to_vec(),
        })
    }
    fn add(&self, net: &mut network::Network) -> Result<(), Error> {
        for (row, node) in self.node.iter().enumerate() {
            let id = self.id.as_ref().map_or_else(|| format!("source.{}", row + 1), |ids| ids[row].clone());
            let source = Source {
                emf: Range::exactly(volts(self.emf[row])),
                resistance: Range::exactly(ohms(self.resistance[row])),
                may_open: false,
            };
            net.source(&id, node, RETURN, source)?;
        }
        Ok(())
    }
}

impl BranchRows {
    fn read(value: &Bound<'_, PyAny>) -> PyResult<Self> {
        let (py, table) = (value.py(), Columns::read(value, "branches")?);
        table.only(py, &["id", "from", "to", "resistance_ohm"])?;
        Ok(Self {
            id: table.texts(py, "id")?,
            from: needed(py, table.texts(py, "from")?, "branches", "from")?,
            to: needed(py, table.texts(py, "to")?, "branches", "to")?,
            resistance: needed(py, table.numbers(py, "resistance_ohm")?, "branches", "resistance_ohm")?
                .to_vec(),
        })
    }
    fn add(&self, net: &mut network::Network) -> Result<(), Error> {
        for (row, from) in self.from.iter().enumerate() {
            let id = self.id.as_ref().map_or_else(|| format!("branch.{}", row + 1), |ids| ids[row].clone());
            net.branch(
                &id,
                from,
                &self.to[row],
                Part::Resistance(Range::exactly(ohms(self.resistance[row]))),
            )?;
        }
        Ok(())
    }
}

impl LoadRows {
    fn read(value: &Bound<'_, PyAny>) -> PyResult<Self> {
        let (py, table) = (value.py(), Columns::read(value, "loads")?);
        table.only(py, &["id", "node", "current_a", "power_w", "resistance_ohm"])?;
        let columns = [
            table.numbers(py, "current_a")?,
            table.numbers(py, "power_w")?,
            table.numbers(py, "resistance_ohm")?,
        ];
        let demand = (0..table.rows())
            .map(|row| {
                let at = columns.map(|c| c.map(|c| c[row]).filter(|x| !x.is_nan()));
                match at {
                    [Some(i), None, None] => Ok(Demand::Current(amperes(i))),
                    [None, Some(p), None] => Ok(Demand::Power(watts(p))),
                    [None, None, Some(r)] => Ok(Demand::Resistance(ohms(r))),
                    _ => {
                        let got = if at.iter().all(Option::is_none) { "nothing" } else { "more than one" };
                        let got = format!("{got} in row {}", row + 1);
                        let expected = "exactly one of current_a, power_w, resistance_ohm";
                        Err(raise(py, &Error::input("loads", got, expected)))
                    }
                }
            })
            .collect::<PyResult<_>>()?;
        Ok(Self {
            id: table.texts(py, "id")?,
            node: needed(py, table.texts(py, "node")?, "loads", "node")?,
            demand,
        })
    }
    fn add(&self, net: &mut network::Network) -> Result<(), Error> {
        for (row, node) in self.node.iter().enumerate() {
            let id = self.id.as_ref().map_or_else(|| format!("load.{}", row + 1), |ids| ids[row].clone());
            net.load(&id, node, RETURN, Load::new(self.demand[row]))?;
        }
        Ok(())
    }
}

/// Voltages, currents and losses of a solved network.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> net = orlop.Network()
/// >>> net.source("bank", emf="12 V", resistance="0 ohm")
/// >>> net.branch("run", "bank", "lamp", "20 mohm")
/// >>> net.load("lamp", power="240 W")
/// >>> net.solve()
/// OperatingPoint(low corner, 3 nodes, 240 W drawn, 8.58 W lost)
#[pyclass(frozen, module = "orlop")]
pub struct OperatingPoint(network::Operating);

#[pymethods]
impl OperatingPoint {
    /// Voltage of a node against the return; None where nothing feeds it.
    fn voltage(&self, py: Python<'_>, node: &str) -> PyResult<Option<Py<PyAny>>> {
        out_option(py, self.0.voltage(node).or_raise(py)?)
    }
    /// Voltage across an element, first node against second; None where an end is not fed.
    fn across(&self, py: Python<'_>, id: &str) -> PyResult<Option<Py<PyAny>>> {
        out_option(py, self.0.across(id).or_raise(py)?)
    }
    /// Current of an element: first node to second; out of the first node of a source or converter.
    fn current(&self, py: Python<'_>, id: &str) -> PyResult<Py<PyAny>> {
        let current: Current = self.0.current(id).or_raise(py)?;
        out(py, current)
    }
    /// Heat in branches and converters.
    #[getter]
    fn losses(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.0.losses())
    }
    /// Power that the loads draw.
    #[getter]
    fn drawn(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.0.drawn())
    }
    /// Power that the sources deliver at their terminals.
    #[getter]
    fn delivered(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.0.delivered())
    }
    /// Nodes that nothing feeds.
    #[getter]
    fn dark<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.0.dark())
    }
    /// Loads that would draw something but are not fed.
    #[getter]
    fn unfed<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.0.unfed())
    }
    /// "low" or "high".
    #[getter]
    fn corner(&self) -> &'static str {
        self.0.corner().word()
    }
    /// "tree" or "mesh".
    #[getter]
    fn method(&self) -> &'static str {
        self.0.method().word()
    }
    /// Newton steps taken.
    #[getter]
    fn iterations(&self) -> usize {
        self.0.iterations()
    }
    /// The whole point as a table: "nodes" or "elements".
    fn table(&self, py: Python<'_>, name: &Bound<'_, PyAny>) -> PyResult<Table> {
        match convert::text(name, "table", "nodes or elements")?.as_str() {
            "nodes" => Ok(self.0.nodes_table().into()),
            "elements" => Ok(self.0.elements_table().into()),
            other => Err(raise(py, &Error::input("table", format!("'{other}'"), "nodes or elements"))),
        }
    }
    /// How it was found.
    fn explain(&self, py: Python<'_>) -> PyResult<Working> {
        let (net, corner) = (self.0.network().clone(), self.0.corner());
        run(py, || {
            let mut working = orlop::Working::new("operating point");
            net.solve_recorded(corner, &mut working)?;
            Ok(working)
        })
        .map(Into::into)
    }
    fn __eq__(&self, other: &Bound<'_, PyAny>) -> bool {
        other.cast::<Self>().is_ok_and(|o| {
            let o = &o.get().0;
            self.0.corner() == o.corner() && self.0.network() == o.network()
        })
    }
    fn __repr__(&self) -> String {
        format!(
            "OperatingPoint({} corner, {} nodes, {} drawn, {} lost)",
            self.0.corner().word(),
            self.0.network().nodes().len(),
            show(self.0.drawn()),
            show(self.0.losses())
        )
    }
    fn _repr_html_(&self) -> String {
        let rows = [
            ("corner", self.0.corner().word().to_string()),
            ("drawn", show(self.0.drawn())),
            ("losses", show(self.0.losses())),
            ("delivered", show(self.0.delivered())),
            ("method", self.0.method().word().to_string()),
        ];
        let dark = self.0.dark();
        let remarks = if dark.is_empty() { vec![] } else { vec![format!("not fed: {}", dark.join(", "))] };
        sheet("Operating point", &rows, &remarks)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let make = py.import("orlop._orlop")?.getattr("_operating_point")?;
        let bytes = PyBytes::new(py, &pickled::write(self.0.network()));
        (make, (SCHEMA, bytes, self.0.corner().word())).into_pyobject(py)
    }
}

/// A pickled network.
#[pyfunction(name = "_network")]
pub fn rebuild(py: Python<'_>, schema: u32, bytes: &[u8]) -> PyResult<Network> {
    check_schema(py, schema)?;
    pickled::read(bytes).or_raise(py).map(|net| Network(Mutex::new(net)))
}

/// A pickled operating point.
#[pyfunction(name = "_operating_point")]
pub fn rebuild_point(py: Python<'_>, schema: u32, bytes: &[u8], corner: &str) -> PyResult<OperatingPoint> {
    check_schema(py, schema)?;
    let net = pickled::read(bytes).or_raise(py)?;
    let corner = Corner::parse(corner, "corner").or_raise(py)?;
    run(py, || net.solve(corner)).map(OperatingPoint)
}

mod pickled;
