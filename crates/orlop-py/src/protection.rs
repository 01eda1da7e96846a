//! Fuses and breakers.

use crate::asked::Asked;
use crate::convert::{self, exact_text, out, out_option};
use crate::errors::{OrRaise, raise};
use crate::html::sheet;
use crate::range::Range;
use crate::run::run;
use crate::working::Working;
use orlop::Error;
use orlop::error::positive;
use orlop::protection;
use orlop_units::{Current, Temperature, Time, show};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyTuple};

/// A family of devices: all of one standard and shape of curve.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> family = orlop.families()[0]
/// >>> family.kind in ("fuse", "breaker")
/// True
#[pyclass(frozen, module = "orlop")]
#[derive(Clone)]
pub struct Family(&'static protection::Family);

#[pymethods]
impl Family {
    /// Its id in boat files: "iso8820-3-blade".
    #[getter]
    fn id(&self) -> &str {
        &self.0.id
    }
    /// Its name for people.
    #[getter]
    fn name(&self) -> &str {
        &self.0.name
    }
    /// The standard.
    #[getter]
    fn standard(&self) -> &str {
        &self.0.standard
    }
    /// "fuse" or "breaker".
    #[getter]
    fn kind(&self) -> &'static str {
        self.0.kind.word()
    }
    /// Its ratings, ascending.
    #[getter]
    fn ratings<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.0.ratings.iter().map(|r| out(py, *r)).collect::<PyResult<Vec<_>>>()?)
    }
    /// Highest DC voltage by the standard, or None when it states none.
    #[getter]
    fn voltage_rating(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        out_option(py, self.0.voltage)
    }
    /// DC breaking capacity, or None when none is stated; none counts as zero.
    #[getter]
    fn breaking_capacity(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        out_option(py, self.0.breaking)
    }
    /// How that breaking capacity is meant.
    #[getter]
    fn breaking_note(&self) -> &str {
        &self.0.breaking_note
    }
    /// Document, edition and place.
    #[getter]
    fn source(&self) -> String {
        self.0.citation.short()
    }
    /// "published", "common practice" or "from memory".
    #[getter]
    fn confidence(&self) -> &'static str {
        self.0.citation.confidence.word()
    }
    fn __repr__(&self) -> String {
        format!("Family({}: {})", self.0.id, self.0.name)
    }
    fn __eq__(&self, other: &Bound<'_, PyAny>) -> bool {
        other.cast::<Self>().is_ok_and(|other| other.get().0.id == self.0.id)
    }
    fn __hash__(&self) -> u64 {
        use std::hash::{DefaultHasher, Hash, Hasher};
        let mut state = DefaultHasher::new();
        self.0.id.hash(&mut state);
        state.finish()
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let mut asked = Asked::default();
        asked.said("id", self.0.id.clone());
        asked.reduce(py, None, "_family")
    }
}

/// All families of devices.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> "iso8820-3-blade" in [family.id for family in orlop.families()]
/// True
#[pyfunction]
pub fn families<'py>(py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
    PyTuple::new(py, protection::families().iter().map(Family))
}

/// The family of an id.
#[pyfunction(name = "_family")]
pub fn family(py: Python<'_>, id: &str) -> PyResult<Family> {
    protection::family(id).or_raise(py).map(Family)
}

/// A fuse or breaker of one family and rating.
///
/// Parameters
/// ----------
/// family : str
///     A family named by its standard; see ``orlop.families()``.
/// rating : str or quantity
///     One of the family's ratings: "10 A".
/// declared_voltage, declared_breaking : str or quantity, optional
///     The DC voltage and breaking capacity printed on the device or in its sheet; both or none.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> fuse = orlop.Device("iso8820-3-blade", "10 A")
/// >>> fuse.opening_time("20 A")
/// Range(0.15 s to 5 s)
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct Device {
    pub inner: protection::Device,
    asked: Asked,
}

impl From<protection::Device> for Device {
    fn from(inner: protection::Device) -> Self {
        let mut asked = Asked::default();
        asked.said("family", inner.family().id.clone());
        asked.said("rating", exact_text(inner.rating()));
        let family = inner.family();
        let declared =
            inner.voltage_rating() != family.voltage || inner.breaking_capacity() != family.breaking;
        if let (true, Some(voltage), Some(breaking)) =
            (declared, inner.voltage_rating(), inner.breaking_capacity())
        {
            asked.said("declared_voltage", exact_text(voltage));
            asked.said("declared_breaking", exact_text(breaking));
        }
        Self { inner, asked }
    }
}

#[pymethods]
impl Device {
    #[new]
    #[pyo3(signature = (family, rating, *, declared_voltage=None, declared_breaking=None))]
    fn new(
        family: &Bound<'_, PyAny>,
        rating: &Bound<'_, PyAny>,
        declared_voltage: Option<&Bound<'_, PyAny>>,
        declared_breaking: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<Self> {
        let py = family.py();
        let name = convert::text(family, "family", "the id of a family, see orlop.families()")?;
        let rating: Current = convert::quantity(rating, "rating")?;
        let device = protection::Device::new(&name, rating).or_raise(py)?;
        let device = match (declared_voltage, declared_breaking) {
            (None, None) => device,
            (Some(voltage), Some(breaking)) => device
                .declared(
                    convert::quantity(voltage, "declared_voltage")?,
                    convert::quantity(breaking, "declared_breaking")?,
                )
                .or_raise(py)?,
            _ => {
                let error = Error::input(
                    "declared_voltage, declared_breaking",
                    "only one",
                    "both or none: a breaking capacity belongs to a voltage",
                );
                return Err(raise(py, &error));
            }
        };
        Ok(device.into())
    }

    /// Its family.
    #[getter]
    fn family(&self) -> Family {
        Family(self.inner.family())
    }
    /// Its rated current.
    #[getter]
    fn rating(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.rating())
    }
    /// Highest DC voltage, or None when none is stated.
    #[getter]
    fn voltage_rating(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        out_option(py, self.inner.voltage_rating())
    }
    /// DC breaking capacity, or None when none is stated; none counts as zero.
    #[getter]
    fn breaking_capacity(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        out_option(py, self.inner.breaking_capacity())
    }
    /// How far its time-current band can be trusted.
    #[getter]
    fn confidence(&self) -> &'static str {
        self.inner.confidence().word()
    }
    /// Its resistance from cold to hot, or None where no source gives it.
    #[getter]
    fn resistance(&self) -> Option<Range> {
        self.inner.resistance().map(Range::from)
    }

    /// When it opens at a constant current, from cold: the fastest and the slowest time its standard permits.
    ///
    /// A lower bound of None means that it never opens, an upper bound of None that it need not.
    fn opening_time(&self, current: &Bound<'_, PyAny>) -> PyResult<Range> {
        let py = current.py();
        let current: Current = convert::quantity(current, "current")?;
        run(py, || self.inner.opening_time(current)).map(Range::from)
    }

    /// How the opening time was found.
    fn explain(&self, current: &Bound<'_, PyAny>) -> PyResult<Working> {
        let py = current.py();
        let current: Current = convert::quantity(current, "current")?;
        run(py, || {
            let mut working =
                orlop::Working::new(format!("opening time of {} at {}", self.inner, show(current)));
            self.inner.opening_time_recorded(current, &mut working)?;
            Ok(working)
        })
        .map(Working::from)
    }

    /// What it lets through while it opens, as I2t at both ends of ``opening_time``.
    fn let_through(&self, current: &Bound<'_, PyAny>) -> PyResult<Range> {
        let py = current.py();
        let current: Current = convert::quantity(current, "current")?;
        run(py, || self.inner.let_through(current)).map(Range::from)
    }

    /// Least current at which it surely opens within a time, or None when its standard promises no such thing.
    fn opens_within(&self, time: &Bound<'_, PyAny>) -> PyResult<Option<Py<PyAny>>> {
        let py = time.py();
        let time: Time = positive(convert::quantity(time, "time")?, "time").or_raise(py)?;
        out_option(py, self.inner.opens_within(time))
    }

    /// Its time-current band as corners to draw, up to a current: a dict of arrays ``fastest_a``, ``fastest_s``, ``slowest_a`` and
    /// ``slowest_s``, in amperes and seconds.
    ///
    /// On double-logarithmic paper the corners are joined by straight lines. Where the device may open at once the fastest edge ends in
    /// a time of zero; the slowest is empty where the standard promises nothing. ``orlop.plot.time_current`` draws it.
    #[pyo3(signature = (*, up_to=None))]
    fn band<'py>(&self, py: Python<'py>, up_to: Option<&Bound<'py, PyAny>>) -> PyResult<Bound<'py, PyDict>> {
        let up_to = up_to.map_or(Ok(self.inner.rating() * 1000.0), |c| convert::quantity(c, "up_to"))?;
        crate::fault::band(py, &self.inner, up_to)
    }

    /// The largest current that it surely holds for a time, or None where its standard does not say how soon it may open.
    fn holds_for(&self, time: &Bound<'_, PyAny>) -> PyResult<Option<Py<PyAny>>> {
        let py = time.py();
        let time: Time = positive(convert::quantity(time, "time")?, "time").or_raise(py)?;
        out_option(py, self.inner.holds_for(time))
    }

    /// The current it carries for good at an ambient.
    fn rating_at(&self, ambient: &Bound<'_, PyAny>) -> PyResult<Py<PyAny>> {
        let t: Temperature = convert::quantity(ambient, "ambient")?;
        out(ambient.py(), self.inner.rating_at(t))
    }

    fn __repr__(&self) -> String {
        format!("Device({})", self.inner)
    }
    fn _repr_html_(&self) -> String {
        let family = self.inner.family();
        let none = || "not stated: counts as zero".to_string();
        sheet(
            &format!("{} {}", family.name, show(self.inner.rating())),
            &[
                ("standard", family.standard.clone()),
                ("DC voltage", self.inner.voltage_rating().map_or_else(|| "not stated".into(), show)),
                ("DC breaking capacity", self.inner.breaking_capacity().map_or_else(none, show)),
                ("confidence", self.inner.confidence().word().into()),
            ],
            &[],
        )
    }
    fn __hash__(&self) -> u64 {
        use std::hash::{DefaultHasher, Hash, Hasher};
        let mut state = DefaultHasher::new();
        self.inner.to_string().hash(&mut state);
        state.finish()
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        self.asked.reduce(py, None, "Device")
    }
}
