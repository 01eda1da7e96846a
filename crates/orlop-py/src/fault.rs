//! Coordination of devices: two in series, a whole chain, one circuit, one motor.

use crate::asked::{SCHEMA, check_schema};
use crate::convert::{self, out_option};
use crate::errors::{OrRaise, raise};
use crate::html::sheet;
use crate::judgement::Judgement;
use crate::protection::Device;
use crate::range;
use crate::run::run;
use crate::table::Table;
use orlop::network::Network;
use orlop::protection::{self, InSeries, Need, Placed, ProtectableWindow, Stall};
use orlop::{Error, Range};
use orlop_units::{Current, Fraction, Quantity, Temperature, Time, amperes, seconds, show};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyList, PyString, PyTuple};

/// How far two devices in series are selective.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> feeder, branch = orlop.Device("iec60269-gg", "100 A"), orlop.Device("iso8820-3-blade", "10 A")
/// >>> answer = orlop.coordinate(feeder, branch, fault="500 A", load="60 A")
/// >>> answer.selective
/// True
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct Coordination {
    inner: protection::Coordination,
    upstream: Device,
    downstream: Device,
    fault: Current,
    load: Current,
    share: Fraction,
}

#[pymethods]
impl Coordination {
    /// Only the downstream device opens, at every current up to the fault current.
    #[getter]
    fn selective(&self) -> bool {
        self.inner.selective
    }
    /// Selective up to this current; None when they are not at any overcurrent.
    #[getter]
    fn selective_up_to(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        out_option(py, self.inner.selective_up_to)
    }
    /// Share of the upstream device's cold opening time that its load leaves.
    #[getter]
    fn preload_factor(&self) -> f64 {
        self.inner.preload_factor
    }

    /// Whether the standards decide it: False where above ``selective_up_to`` only an arc of direct current is in question, or where
    /// nothing is said of how soon the upstream device may open.
    #[getter]
    fn decided(&self) -> bool {
        self.inner.decided
    }
    /// The reason, in one sentence.
    #[getter]
    fn why(&self) -> &str {
        &self.inner.why
    }
    /// The weaker confidence of the two bands.
    #[getter]
    fn confidence(&self) -> &'static str {
        self.inner.confidence.word()
    }
    fn __bool__(&self) -> bool {
        self.inner.selective
    }
    fn __repr__(&self) -> String {
        let word = if self.inner.selective { "selective" } else { "not selective" };
        let up_to = self.inner.selective_up_to.map_or_else(String::new, |c| format!(" up to {}", show(c)));
        format!(
            "Coordination({} above {}: {word}{})",
            self.upstream.inner,
            self.downstream.inner,
            if self.inner.selective { String::new() } else { format!(", holds{up_to}") }
        )
    }
    fn _repr_html_(&self) -> String {
        sheet(
            &format!("{} above {}", self.upstream.inner, self.downstream.inner),
            &[
                ("selective", if self.inner.selective { "yes" } else { "no" }.into()),
                ("up to", self.inner.selective_up_to.map_or_else(|| "no overcurrent".into(), show)),
                ("why", self.inner.why.clone()),
                ("confidence", self.inner.confidence.word().into()),
            ],
            &[],
        )
    }
    fn __hash__(&self) -> u64 {
        use std::hash::{DefaultHasher, Hash, Hasher};
        let mut state = DefaultHasher::new();
        self.inner.why.hash(&mut state);
        state.finish()
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let make = py.import("orlop._orlop")?.getattr("_coordination")?;
        let state = (
            SCHEMA,
            self.upstream.clone(),
            self.downstream.clone(),
            convert::exact_text(self.fault),
            convert::exact_text(self.load),
            convert::exact_text(self.share),
        );
        (make, state).into_pyobject(py)
    }
}

fn coordinated(
    py: Python<'_>,
    upstream: &Device,
    downstream: &Device,
    fault: Current,
    load: Current,
    share: Fraction,
) -> PyResult<Coordination> {
    let inner =
        run(py, || protection::coordinate_shared(&upstream.inner, &downstream.inner, fault, load, share))?;
    let (upstream, downstream) = (upstream.clone(), downstream.clone());
    Ok(Coordination { inner, upstream, downstream, fault, load, share })
}

/// Whether only the downstream one of two devices in series opens, for every current up to a fault current.
///
/// The slowest total clearing of the downstream device, cold, is compared with the fastest opening of the upstream one, preloaded
/// and hot.
///
/// Parameters
/// ----------
/// upstream, downstream : Device
///     The device nearer to the source, and the one nearer to the fault.
/// fault : str or quantity
///     The largest fault current through the downstream device.
/// load : str or quantity
///     Steady current of the upstream device before the fault.
/// share : str or quantity
///     How much of the fault current the upstream device carries: "50 %" for one of two strings.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> one, two = orlop.Device("iso8820-3-blade", "10 A"), orlop.Device("iso8820-3-blade", "10 A")
/// >>> bool(orlop.coordinate(one, two, fault="500 A"))
/// False
#[pyfunction]
#[pyo3(signature = (upstream, downstream, *, fault, load=None, share=None))]
pub fn coordinate(
    py: Python<'_>,
    upstream: &Bound<'_, PyAny>,
    downstream: &Bound<'_, PyAny>,
    fault: &Bound<'_, PyAny>,
    load: Option<&Bound<'_, PyAny>>,
    share: Option<&Bound<'_, PyAny>>,
) -> PyResult<Coordination> {
    let (up, down) = (device(upstream, "upstream")?, device(downstream, "downstream")?);
    let fault = convert::quantity(fault, "fault")?;
    let load = load.map_or(Ok(amperes(0.0)), |l| convert::quantity(l, "load"))?;
    let share = share.map_or(Ok(Fraction::new(1.0)), |s| convert::quantity(s, "share"))?;
    coordinated(py, &up, &down, fault, load, share)
}

/// A pickled coordination.
#[pyfunction(name = "_coordination")]
pub fn rebuild(
    py: Python<'_>,
    schema: u32,
    upstream: &Bound<'_, Device>,
    downstream: &Bound<'_, Device>,
    fault: &Bound<'_, PyAny>,
    load: &Bound<'_, PyAny>,
    share: &Bound<'_, PyAny>,
) -> PyResult<Coordination> {
    check_schema(py, schema)?;
    let quantities = (convert::quantity(fault, "fault")?, convert::quantity(load, "load")?);
    let share = convert::quantity(share, "share")?;
    coordinated(py, upstream.get(), downstream.get(), quantities.0, quantities.1, share)
}

/// A device of the caller.
pub fn device(value: &Bound<'_, PyAny>, field: &str) -> PyResult<Device> {
    match value.cast::<Device>() {
        Ok(device) => Ok(device.get().clone()),
        Err(_) => Err(raise(value.py(), &Error::input(field, convert::short(value)?, "an orlop.Device"))),
    }
}

/// Bounds: a Range, a pair of which one may be None, or one value for both.
pub fn bounds<Q: Quantity>(value: &Bound<'_, PyAny>, field: &str) -> PyResult<Range<Q>> {
    if let Ok(range) = value.cast::<range::Range>() {
        return range.get().typed().ok_or_else(|| {
            let expected = format!("a range of {}", Q::KIND.with_article());
            raise(value.py(), &Error::input(field, range.get().to_string(), expected))
        });
    }
    if !value.is_instance_of::<PyTuple>() && !value.is_instance_of::<PyList>() {
        return Ok(Range::exactly(convert::quantity(value, field)?));
    }
    let ends: Vec<Bound<'_, PyAny>> = value.try_iter()?.collect::<PyResult<_>>()?;
    let end = |v: &Bound<'_, PyAny>| (!v.is_none()).then(|| convert::quantity(v, field)).transpose();
    match ends.as_slice() {
        [a, b] => Ok(Range::from_bounds(end(a)?, end(b)?)),
        _ => {
            let error = Error::input(field, convert::short(value)?, "an orlop.Range or a pair (low, high)");
            Err(raise(value.py(), &error))
        }
    }
}

/// Devices of the caller by name: each a device, or a device with its load.
pub fn placed(devices: &Bound<'_, PyAny>) -> PyResult<Vec<Placed>> {
    let expected = "a dict of name: device, or name: (device, load)";
    let Ok(dict) = devices.cast::<PyDict>() else {
        return Err(raise(devices.py(), &Error::input("devices", convert::short(devices)?, expected)));
    };
    let mut all = Vec::new();
    for (name, value) in dict {
        let id = convert::text(&name, "devices", expected)?;
        let pair: Option<(Bound<'_, PyAny>, Bound<'_, PyAny>)> =
            if value.is_instance_of::<PyString>() { None } else { value.extract().ok() };
        let (device, load) = match &pair {
            Some((d, load)) => (self::device(d, &id)?, convert::quantity(load, &format!("load of {id}"))?),
            None => (self::device(&value, &id)?, amperes(0.0)),
        };
        all.push(Placed { id, device: device.inner, load });
    }
    Ok(all)
}

/// Which devices of one path are selective with which, at the fault currents behind them.
///
/// Parameters
/// ----------
/// devices : dict
///     From the source to the fault: name to Device, or name to (Device, load), the load being the steady current through it.
/// faults : dict
///     Name to the current through that device for a fault just behind it: a Range, or a pair (low, high) of which one may be
///     None. The first device needs none. A device that is not in it is not known.
///
/// Returns
/// -------
/// Table
///     One row for each device against each one upstream of it.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> devices = {"main": (orlop.Device("iec60269-gg", "160 A"), "60 A"), "F5": orlop.Device("iso8820-3-blade", "10 A")}
/// >>> orlop.selectivity(devices, faults={"F5": ("131 A", "160 A")}).to_dicts()[0]["at_high"]
/// True
#[pyfunction]
#[pyo3(signature = (devices, *, faults))]
pub fn selectivity(py: Python<'_>, devices: &Bound<'_, PyAny>, faults: &Bound<'_, PyAny>) -> PyResult<Table> {
    let placed = placed(devices)?;
    let Ok(given) = faults.cast::<PyDict>() else {
        let error = Error::input("faults", convert::short(faults)?, "a dict of name: Range or (low, high)");
        return Err(raise(py, &error));
    };
    for name in given.keys() {
        let name = convert::text(&name, "faults", "names of devices")?;
        if !placed.iter().any(|p| p.id == name) {
            return Err(raise(py, &Error::input("faults", format!("'{name}'"), "names of the devices")));
        }
    }
    let mut pairs = Vec::new();
    for (downstream, p) in placed.iter().enumerate() {
        let fault = match given.get_item(&p.id)? {
            Some(value) => bounds(&value, &format!("fault behind {}", p.id))?,
            None => Range::from_bounds(None, None),
        };
        let share = Fraction::new(1.0);
        pairs.extend((0..downstream).map(|upstream| InSeries { upstream, downstream, fault, share }));
    }
    run(py, || protection::selectivity_matrix(&placed, &pairs)).map(|m| m.table().into())
}

/// Everything that bounds the device of one circuit, on one axis of current.
///
/// Parameters
/// ----------
/// device : Device
///     The device.
/// design : str or quantity
///     Continuous design current.
/// conductor_limit : str or quantity
///     Highest rating that the conductor allows under the rule set.
/// voltage : str or quantity
///     Highest voltage while charging.
/// ambient : str or quantity
///     Ambient of the device.
/// fault : Range or pair, optional
///     Current through the device into a fault: least at the far end, most at its terminals.
/// inrush : pair or list of pairs, optional
///     Currents that must be held and for how long: ("640 A", "2 s").
/// clear_within : str or quantity
///     Longest permitted time to clear the lowest fault current.
///
/// Returns
/// -------
/// Table
///     One row for each mark from low to high current, with what it crosses. ``orlop.plot.protectable_window`` draws it.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> fuse = orlop.Device("iso8820-3-blade", "10 A")
/// >>> bar = orlop.protectable_window(fuse, design="7 A", conductor_limit="20 A", voltage="29.2 V", ambient="25 degC",
/// ...                                fault=("131 A", "900 A"))
/// >>> [row["mark"] for row in bar.to_dicts()][-3:]
/// ['lower fault current', 'upper fault current', 'breaking capacity']
#[pyfunction]
#[pyo3(signature = (device, *, design, conductor_limit, voltage, ambient, fault=None, inrush=None, clear_within=None))]
#[expect(clippy::too_many_arguments, reason = "keywords of a Python function")]
pub fn protectable_window(
    py: Python<'_>,
    device: &Bound<'_, PyAny>,
    design: &Bound<'_, PyAny>,
    conductor_limit: &Bound<'_, PyAny>,
    voltage: &Bound<'_, PyAny>,
    ambient: &Bound<'_, PyAny>,
    fault: Option<&Bound<'_, PyAny>>,
    inrush: Option<&Bound<'_, PyAny>>,
    clear_within: Option<&Bound<'_, PyAny>>,
) -> PyResult<Table> {
    let device = self::device(device, "device")?;
    let ambient: Temperature = convert::quantity(ambient, "ambient")?;
    let mut need = Need::new(
        convert::quantity(design, "design")?,
        convert::quantity(conductor_limit, "conductor_limit")?,
        convert::quantity(voltage, "voltage")?,
        ambient,
    );
    if let Some(fault) = fault {
        need = need.through(bounds(fault, "fault")?);
    }
    if let Some(inrush) = inrush {
        let mut asked = crate::asked::Asked::default();
        need.inrush = asked.pairs("inrush", inrush, "a pair (current, time), or a list of pairs")?;
    }
    need.clear_within = clear_within.map_or(Ok(seconds(5.0)), |t| convert::quantity(t, "clear_within"))?;
    run(py, || ProtectableWindow::of_device(&need, &device.inner)).map(|bar| bar.table().into())
}

/// Whether a device opens on a motor that cannot turn before the motor burns.
///
/// Parameters
/// ----------
/// device : Device
///     The device.
/// stall : str or quantity
///     What the motor draws with its rotor locked.
/// withstand : str or quantity, optional
///     How long its winding bears that; unknown is a finding.
/// thermal_protection : bool
///     It opens its own circuit when it gets too hot, as declared by its maker.
/// unattended : bool
///     Nobody is there to notice: bilge pumps and other motors that start by themselves.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> fuse = orlop.Device("iso8820-3-blade", "10 A")
/// >>> orlop.judge_stall(fuse, stall="9 A", withstand="30 s", unattended=True).severity
/// 'A'
#[pyfunction]
#[pyo3(signature = (device, *, stall, withstand=None, thermal_protection=false, unattended=false))]
pub fn judge_stall(
    py: Python<'_>,
    device: &Bound<'_, PyAny>,
    stall: &Bound<'_, PyAny>,
    withstand: Option<&Bound<'_, PyAny>>,
    thermal_protection: bool,
    unattended: bool,
) -> PyResult<Judgement> {
    let device = self::device(device, "device")?;
    let withstand: Option<Time> = withstand.map(|t| convert::quantity(t, "withstand")).transpose()?;
    let stall =
        Stall { current: convert::quantity(stall, "stall")?, withstand, thermal_protection, unattended };
    run(py, || protection::judge_stall("", &device.inner, &stall)).map(Judgement)
}

/// The corners of a band as arrays in amperes and seconds.
pub fn band<'py>(
    py: Python<'py>,
    device: &protection::Device,
    up_to: Current,
) -> PyResult<Bound<'py, PyDict>> {
    let points = device.band_points(up_to).or_raise(py)?;
    let array = py.import("numpy")?.getattr("array")?;
    let dict = PyDict::new(py);
    for (name, corners) in [("fastest", &points.fastest), ("slowest", &points.slowest)] {
        let amps: Vec<f64> = corners.iter().map(|c| c.0.si()).collect();
        let times: Vec<f64> = corners.iter().map(|c| c.1.si()).collect();
        dict.set_item(format!("{name}_a"), array.call1((amps, "float64"))?)?;
        dict.set_item(format!("{name}_s"), array.call1((times, "float64"))?)?;
    }
    Ok(dict)
}

// What the class Network asks.

/// Fault current at a node, on both sides.
pub fn at_node(py: Python<'_>, net: &Network, node: &str) -> PyResult<range::Range> {
    run(py, || net.fault_at(node)).map(|level| level.total.into())
}

/// Current through a branch: for a fault at its own terminals, or at a node.
pub fn through(py: Python<'_>, net: &Network, branch: &str, node: Option<&str>) -> PyResult<range::Range> {
    run(py, || match node {
        Some(node) => net.fault_through(branch, node),
        None => net.through_recorded(branch, &mut orlop::Silent).map(|t| t.through),
    })
    .map(Into::into)
}

/// Tables of all nodes and of all branches.
pub fn levels(py: Python<'_>, net: &Network) -> PyResult<(Table, Table)> {
    let levels = run(py, || Ok(net.fault_levels()))?;
    Ok((levels.nodes_table().into(), levels.through_table().into()))
}

/// How the fault current at a node was found.
pub fn explain(py: Python<'_>, net: &Network, node: &str) -> PyResult<crate::working::Working> {
    run(py, || {
        let mut working = orlop::Working::new(format!("fault current at {node}"));
        net.fault_at_recorded(node, &mut working)?;
        Ok(working)
    })
    .map(Into::into)
}

/// The selectivity of the devices that stand in branches of a network.
pub fn of_network(py: Python<'_>, net: &Network, devices: &Bound<'_, PyAny>) -> PyResult<Table> {
    let placed = placed(devices)?;
    run(py, || net.selectivity(&placed)).map(|m| m.table().into())
}
