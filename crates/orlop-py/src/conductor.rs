//! One conductor.

use crate::asked::{Asked, ambiguous, loop_length};
use crate::convert::{self, exact_text, out};
use crate::errors::{OrRaise, raise};
use crate::html::sheet;
use crate::range::Range;
use crate::run::run;
use crate::working::Working;
use orlop::Error;
use orlop::conductor::{self, AmpacityQuestion, Material, SpaceKind};
use orlop::error::positive;
use orlop::rules::{Bundling, RuleOptions, RuleSetId};
use orlop_units::{ConductorSize, Current, Length, Loop, Quantity, SizeSystem, Temperature, metres, show};
use pyo3::prelude::*;
use pyo3::types::PyTuple;

/// One stranded conductor with its insulation.
///
/// Parameters
/// ----------
/// size : str
///     "6 AWG" (ASTM B258), "SAE 6" (the smaller SAE minimum of the same number) or "16 mm2" (IEC 60228 class 5).
/// insulation : str or quantity
///     Temperature the insulation is rated for, as printed on the jacket: "105 degC". When it cannot be read, "60 degC"
///     is the cautious choice.
/// tinned : bool, optional
///     Copper is taken as tinned unless this is False; tinned copper has the higher resistance.
/// material : {"copper", "aluminium"}
///
/// Examples
/// --------
/// >>> import orlop
/// >>> wire = orlop.Conductor("6 AWG", insulation="105 degC")
/// >>> wire
/// Conductor(6 AWG, 13.3 mm2 tinned copper, 105 degC)
/// >>> print(f"{wire.area:.2f}")
/// 13.30 millimeter ** 2
/// >>> print(f"{wire.voltage_drop(current='25 A', one_way='6 m', temperature='20 degC'):.3f}")
/// 0.426 volt
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct Conductor(pub conductor::Conductor);

#[pymethods]
impl Conductor {
    #[new]
    #[pyo3(signature = (size, *, insulation, tinned=None, material=None))]
    fn new(
        size: &Bound<'_, PyAny>,
        insulation: &Bound<'_, PyAny>,
        tinned: Option<bool>,
        material: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<Self> {
        let size_name = convert::size(size, "size")?;
        let mut asked = Asked::default();
        let insulation: Temperature = asked.quantity("insulation", insulation)?;
        let material =
            material.map_or(Ok(Material::Copper), |m| asked.word("material", m, Material::parse))?;
        let tinned = tinned.unwrap_or(material == Material::Copper);
        conductor::Conductor::new(size_name, insulation, material, tinned).or_raise(size.py()).map(Self)
    }

    /// Name of the size: "6 AWG", "SAE 6", "16 mm2".
    #[getter]
    fn size(&self) -> String {
        self.0.size().to_string()
    }
    /// Temperature the insulation is rated for.
    #[getter]
    fn insulation(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.0.insulation())
    }
    /// "copper" or "aluminium".
    #[getter]
    fn material(&self) -> &'static str {
        self.0.material().word()
    }
    /// Whether the strands are tinned.
    #[getter]
    fn tinned(&self) -> bool {
        self.0.tinned()
    }
    /// Cross-section of the metal.
    #[getter]
    fn area(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.0.area())
    }
    /// Mass of a metre of one conductor, metal and insulation.
    #[getter]
    fn mass_per_length(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.0.mass_per_length())
    }
    /// Diameter over the insulation.
    #[getter]
    fn outside_diameter(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.0.outside_diameter())
    }
    /// Smallest radius it should be bent to.
    #[getter]
    fn bend_radius(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.0.bend_radius())
    }

    /// Resistance of a length of this conductor.
    ///
    /// Say the length exactly one way: ``one_way`` is a run from end to end whose two legs are counted, ``loop`` the
    /// conductor out and back, ``piece`` one cut length.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> wire = orlop.Conductor("16 mm2", insulation="90 degC")
    /// >>> wire.resistance(one_way="6 m") == wire.resistance(loop="12 m") == wire.resistance(piece="12 m")
    /// True
    #[pyo3(signature = (*, one_way=None, r#loop=None, piece=None, temperature=None))]
    fn resistance(
        &self,
        py: Python<'_>,
        one_way: Option<&Bound<'_, PyAny>>,
        r#loop: Option<&Bound<'_, PyAny>>,
        piece: Option<&Bound<'_, PyAny>>,
        temperature: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<Py<PyAny>> {
        let mut asked = Asked::default();
        let length: Length = match (one_way, r#loop, piece) {
            (None, None, Some(piece)) => {
                positive(asked.quantity::<Length>("piece", piece)?, "piece").or_raise(py)?
            }
            (Some(_), _, Some(_)) | (_, Some(_), Some(_)) | (None, None, None) => {
                return Err(raise(py, &ambiguous(piece.is_some(), "one_way=, loop= or piece=")));
            }
            _ => loop_length(&mut asked, py, one_way, r#loop)?.0,
        };
        let at = asked.optional("temperature", temperature)?.unwrap_or(Temperature::celsius(20.0));
        let at = metal_temperature(py, at)?;
        finite(py, self.0.resistance_per_length(at) * length, "length")
    }

    /// Continuous current this conductor may carry under a rule set.
    ///
    /// Parameters
    /// ----------
    /// rules : {"us-small-craft", "iso-small-craft"}
    ///     There is no default.
    /// space : {"outside", "engine"}
    /// bundled : int
    ///     Current-carrying conductors lying together, this one included; a pair is 2.
    /// ambient : str or quantity, optional
    ///     The air around, where it is known.
    /// bundling : {"practice", "off"}
    ///     Whether the bundling factors apply below 50 V.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> wire = orlop.Conductor("14 AWG", insulation="105 degC")
    /// >>> wire.ampacity(rules="us-small-craft", space="engine", bundled=3).current.magnitude
    /// 20.825
    #[pyo3(signature = (*, rules, space=None, bundled=None, ambient=None, bundling=None))]
    fn ampacity(
        slf: &Bound<'_, Self>,
        rules: &Bound<'_, PyAny>,
        space: Option<&Bound<'_, PyAny>>,
        bundled: Option<&Bound<'_, PyAny>>,
        ambient: Option<&Bound<'_, PyAny>>,
        bundling: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<Ampacity> {
        let mut asked = Asked::default();
        let options = RuleOptions::default();
        let question = AmpacityQuestion {
            rules: asked.word("rules", rules, RuleSetId::parse)?,
            space: space.map_or(Ok(SpaceKind::Outside), |s| asked.word("space", s, SpaceKind::parse))?,
            bundled: bundled.map_or(Ok(1), |n| asked.count("bundled", n))?,
            ambient: asked.optional("ambient", ambient)?,
            options: RuleOptions {
                bundling: bundling
                    .map_or(Ok(options.bundling), |b| asked.word("bundling", b, Bundling::parse))?,
                ..options
            },
        };
        let conductor = slf.get().clone();
        let inner = run(slf.py(), || conductor.0.ampacity(&question))?;
        Ok(Ampacity { inner, conductor, question, asked })
    }

    /// How warm the conductor gets: the heat balance of IEC 60287 with the resistance rising with temperature.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> wire = orlop.Conductor("2.5 mm2", insulation="70 degC", tinned=False)
    /// >>> state = wire.steady_temperature(current="32 A", ambient="30 degC")
    /// >>> abs(state.temperature.magnitude - 70) < 2  # VDE 0298-4 rates it at 32 A
    /// True
    #[pyo3(signature = (*, current, ambient, bundled=None))]
    fn steady_temperature(
        slf: &Bound<'_, Self>,
        current: &Bound<'_, PyAny>,
        ambient: &Bound<'_, PyAny>,
        bundled: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<SteadyState> {
        let mut asked = Asked::default();
        let current: Current = asked.quantity("current", current)?;
        let ambient: Temperature = asked.quantity("ambient", ambient)?;
        let bundled = bundled.map_or(Ok(1), |n| asked.count("bundled", n))?;
        let conductor = slf.get().clone();
        let inner = run(slf.py(), || conductor.0.steady_state(current, ambient, bundled))?;
        Ok(SteadyState { inner, conductor, question: (current, ambient, bundled), asked })
    }

    /// The current that brings the conductor to a temperature: a Range over the ways it may lie.
    #[pyo3(signature = (*, reaches, ambient, bundled=None))]
    fn steady_current(
        slf: &Bound<'_, Self>,
        reaches: &Bound<'_, PyAny>,
        ambient: &Bound<'_, PyAny>,
        bundled: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<Range> {
        let mut asked = Asked::default();
        let reaches: Temperature = asked.quantity("reaches", reaches)?;
        let ambient: Temperature = asked.quantity("ambient", ambient)?;
        let bundled = bundled.map_or(Ok(1), |n| asked.count("bundled", n))?;
        let conductor = &slf.get().0;
        run(slf.py(), || conductor.steady_current(reaches, ambient, bundled)).map(Range::from)
    }

    /// Voltage lost over a run, both legs.
    ///
    /// ``method="physical"`` is current times resistance at ``temperature``; when no temperature is given, the hottest the
    /// insulation allows is taken. ``method="rule"`` is the formula of a rule set, which has a temperature of its own.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> wire = orlop.Conductor("4 mm2", insulation="70 degC")
    /// >>> drop = wire.voltage_drop(current="10 A", loop="10 m", method="rule", rules="iso-small-craft")
    /// >>> print(f"{drop:.2f}")
    /// 0.41 volt
    #[pyo3(signature = (*, current, one_way=None, r#loop=None, temperature=None, method=None, rules=None))]
    #[allow(clippy::too_many_arguments)] // the arguments are the question
    fn voltage_drop(
        &self,
        py: Python<'_>,
        current: &Bound<'_, PyAny>,
        one_way: Option<&Bound<'_, PyAny>>,
        r#loop: Option<&Bound<'_, PyAny>>,
        temperature: Option<&Bound<'_, PyAny>>,
        method: Option<&Bound<'_, PyAny>>,
        rules: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<Py<PyAny>> {
        let mut asked = Asked::default();
        let current: Current = positive(asked.quantity("current", current)?, "current").or_raise(py)?;
        let lp: Loop = loop_length(&mut asked, py, one_way, r#loop)?;
        let physical = method.map_or(Ok(true), |m| asked.word("method", m, physical))?;
        let drop = match (physical, rules, temperature) {
            (true, None, _) => {
                let at = asked.optional("temperature", temperature)?.unwrap_or(self.0.insulation());
                self.0.voltage_drop(current, lp, metal_temperature(py, at)?)
            }
            (false, Some(rules), None) => {
                self.0.rule_drop(asked.word("rules", rules, RuleSetId::parse)?, current, lp)
            }
            (true, Some(_), _) => {
                return Err(raise(
                    py,
                    &Error::Input {
                        field: "rules".into(),
                        got: "rules with method 'physical'".into(),
                        expected: "no rules: the physical drop belongs to none".into(),
                        hint: "say method=\"rule\" for the rule set's formula".into(),
                    },
                ));
            }
            (false, None, _) => {
                let words = RuleSetId::WORDS.join(", ");
                return Err(raise(py, &Error::input("rules", "none", format!("one of {words}"))));
            }
            (false, Some(_), Some(_)) => {
                return Err(raise(
                    py,
                    &Error::input(
                        "temperature",
                        "a temperature with method 'rule'",
                        "none: the rule set's formula has its own",
                    ),
                ));
            }
        };
        finite(py, drop, "current")
    }

    /// How long the conductor survives a short circuit before its insulation does not: adiabatic, valid to 5 s.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> wire = orlop.Conductor("16 mm2", insulation="105 degC")
    /// >>> answer = wire.withstand_time(fault="4 kA", start="60 degC")
    /// >>> answer.within_five_seconds
    /// True
    #[pyo3(signature = (*, fault, start))]
    fn withstand_time(
        slf: &Bound<'_, Self>,
        fault: &Bound<'_, PyAny>,
        start: &Bound<'_, PyAny>,
    ) -> PyResult<Withstand> {
        let mut asked = Asked::default();
        let fault: Current = asked.quantity("fault", fault)?;
        let start: Temperature = asked.quantity("start", start)?;
        let conductor = slf.get().clone();
        let inner = run(slf.py(), || conductor.0.withstand_time(fault, start))?;
        finite(slf.py(), inner.time, "fault")?;
        Ok(Withstand { inner, conductor, question: (fault, start), asked })
    }

    fn __repr__(&self) -> String {
        let c = &self.0;
        let tin = if c.tinned() { "tinned " } else { "" };
        let area = match c.size() {
            ConductorSize::Metric(_) => String::new(),
            _ => format!("{} ", show(c.area())),
        };
        format!("Conductor({}, {area}{tin}{}, {})", c.size(), c.material().word(), show(c.insulation()))
    }

    fn _repr_html_(&self) -> String {
        let c = &self.0;
        sheet(
            &self.__repr__(),
            &[
                ("cross-section", show(c.area())),
                ("outside diameter", show(c.outside_diameter())),
                ("mass per length", show(c.mass_per_length())),
                ("resistance of a metre at 20 degC", {
                    show(c.resistance_per_length(Temperature::celsius(20.0)) * metres(1.0))
                }),
            ],
            &[],
        )
    }

    fn __hash__(&self) -> u64 {
        use std::hash::{DefaultHasher, Hash, Hasher};
        let mut state = DefaultHasher::new();
        self.0.size().hash(&mut state);
        self.0.insulation().si().to_bits().hash(&mut state);
        (self.0.material(), self.0.tinned()).hash(&mut state);
        state.finish()
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let mut asked = Asked::default();
        asked.said("size", self.size());
        asked.said("insulation", exact_text(self.0.insulation()));
        asked.flag("tinned", self.0.tinned());
        asked.said("material", self.material().into());
        asked.reduce(py, None, "Conductor")
    }
}

fn physical(text: &str, field: &str) -> Result<bool, Error> {
    match text.trim() {
        "physical" => Ok(true),
        "rule" => Ok(false),
        other => Err(Error::input(field, format!("'{other}'"), "one of physical, rule")),
    }
}

/// A temperature that the metal of a cable may have.
fn metal_temperature(py: Python<'_>, t: Temperature) -> PyResult<Temperature> {
    if (-60.0..=300.0).contains(&t.degrees_celsius()) {
        return Ok(t);
    }
    Err(raise(py, &Error::input("temperature", show(t), "a temperature of the metal, -60 to 300 degC")))
}

/// A quantity that must not have run away.
fn finite<Q: Quantity>(py: Python<'_>, q: Q, field: &str) -> PyResult<Py<PyAny>> {
    if q.si().is_finite() {
        return out(py, q);
    }
    let error = Error::input(field, "a value beyond all measure", "values whose result is a finite number");
    Err(raise(py, &error))
}

macro_rules! answer {
    ($(#[$meta:meta])* $name:ident($inner:ty, $question:ty), asks $ask:literal) => {
        $(#[$meta])*
        #[pyclass(frozen, module = "orlop")]
        #[derive(Clone)]
        pub struct $name {
            inner: $inner,
            conductor: Conductor,
            question: $question,
            asked: Asked,
        }

        impl $name {
            fn again<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
                let whom = Bound::new(py, self.conductor.clone())?.into_any();
                self.asked.reduce(py, Some(whom), $ask)
            }
            fn same(&self, other: &Bound<'_, PyAny>) -> bool {
                other.cast::<Self>().is_ok_and(|other| {
                    let other = other.get();
                    self.inner == other.inner && self.conductor == other.conductor && self.asked == other.asked
                })
            }
        }
    };
}

answer! {
    /// The continuous current a rule set allows, with everything that went into it.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> wire = orlop.Conductor("6 AWG", insulation="105 degC")
    /// >>> wire.ampacity(rules="us-small-craft")
    /// Ampacity(120 A for 6 AWG under us-small-craft)
    Ampacity(conductor::Ampacity, AmpacityQuestion), asks "ampacity"
}

#[pymethods]
impl Ampacity {
    /// The conductor asked.
    #[getter]
    fn conductor(&self) -> Conductor {
        self.conductor.clone()
    }
    /// Corrected ampacity: table x place factor x bundle factor, not rounded.
    #[getter]
    fn current(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.current)
    }
    /// Current of the table, scaled by area where the size has no row.
    #[getter]
    fn table(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.table)
    }
    /// The smaller of ``rule_factor`` and ``ambient_factor``; they are never multiplied.
    #[getter]
    fn place_factor(&self) -> f64 {
        self.inner.place_factor
    }
    /// The rule set's factor for the space.
    #[getter]
    fn rule_factor(&self) -> f64 {
        self.inner.rule_factor
    }
    /// The square-root law, where an ambient is known or assumed; else None.
    #[getter]
    fn ambient_factor(&self) -> Option<f64> {
        self.inner.ambient_factor
    }
    /// The factor for the bundle.
    #[getter]
    fn bundle_factor(&self) -> f64 {
        self.inner.bundle_factor
    }
    /// The weakest source it rests on: "published", "common practice" or "from memory".
    #[getter]
    fn confidence(&self) -> &'static str {
        self.inner.confidence.word()
    }
    /// Table and notes used.
    #[getter]
    fn clause(&self) -> &str {
        &self.inner.clause
    }
    /// What a reader must know.
    #[getter]
    fn flags<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, &self.inner.flags)
    }
    /// The steps that lead to it.
    fn explain(&self, py: Python<'_>) -> PyResult<Working> {
        run(py, || {
            let title =
                format!("ampacity of {} under {}", self.conductor.0.size(), self.question.rules.word());
            let mut working = orlop::Working::new(title);
            self.conductor.0.ampacity_recorded(&self.question, &mut working)?;
            Ok(working)
        })
        .map(Working::from)
    }

    fn __repr__(&self) -> String {
        format!(
            "Ampacity({} for {} under {})",
            show(self.inner.current),
            self.conductor.0.size(),
            self.question.rules.word()
        )
    }
    fn _repr_html_(&self) -> String {
        let a = &self.inner;
        sheet(
            &format!("Ampacity of {}", self.conductor.0.size()),
            &[
                ("corrected ampacity", show(a.current)),
                ("current of the table", show(a.table)),
                ("factor for the place", format!("{:.3}", a.place_factor)),
                ("factor for the bundle", format!("{:.2}", a.bundle_factor)),
                ("by", a.clause.clone()),
                ("confidence", a.confidence.word().into()),
            ],
            &a.flags,
        )
    }
    fn __eq__(&self, other: &Bound<'_, PyAny>) -> bool {
        self.same(other)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        self.again(py)
    }
}

answer! {
    /// How warm a conductor gets.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> wire = orlop.Conductor("6 AWG", insulation="105 degC")
    /// >>> state = wire.steady_temperature(current="80 A", ambient="40 degC")
    /// >>> low, high = state.band
    /// >>> low <= state.temperature
    /// True
    SteadyState(conductor::SteadyState, (Current, Temperature, u32)), asks "steady_temperature"
}

#[pymethods]
impl SteadyState {
    /// The conductor asked.
    #[getter]
    fn conductor(&self) -> Conductor {
        self.conductor.clone()
    }
    /// Temperature of the metal, upper end of the band.
    #[getter]
    fn temperature(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.temperature)
    }
    /// Temperature over the ways the conductors may lie.
    #[getter]
    fn band(&self) -> Range {
        self.inner.band.into()
    }
    /// Heat given off by a metre of this conductor at the upper end.
    #[getter]
    fn heat(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.heat)
    }
    /// What a reader must know.
    #[getter]
    fn flags<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, &self.inner.flags)
    }
    /// The steps that lead to it.
    fn explain(&self, py: Python<'_>) -> PyResult<Working> {
        let (current, ambient, bundled) = self.question;
        run(py, || {
            let title = format!("temperature of {} at {}", self.conductor.0.size(), show(current));
            let mut working = orlop::Working::new(title);
            self.conductor.0.steady_state_recorded(current, ambient, bundled, &mut working)?;
            Ok(working)
        })
        .map(Working::from)
    }

    fn __repr__(&self) -> String {
        format!(
            "SteadyState({} at {} in {})",
            show(self.inner.temperature),
            show(self.question.0),
            show(self.question.1)
        )
    }
    fn _repr_html_(&self) -> String {
        sheet(
            &format!("{} at {}", self.conductor.0.size(), show(self.question.0)),
            &[
                ("temperature of the metal", show(self.inner.temperature)),
                ("band", self.inner.band.to_string()),
                ("ambient", show(self.question.1)),
                ("heat of a metre", show(self.inner.heat)),
            ],
            &self.inner.flags,
        )
    }
    fn __eq__(&self, other: &Bound<'_, PyAny>) -> bool {
        self.same(other)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        self.again(py)
    }
}

answer! {
    /// How long a conductor survives a fault current.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> wire = orlop.Conductor("16 mm2", insulation="105 degC")
    /// >>> wire.withstand_time(fault="4 kA", start="60 degC").final_temperature.magnitude
    /// 160.0
    Withstand(conductor::Withstand, (Current, Temperature)), asks "withstand_time"
}

#[pymethods]
impl Withstand {
    /// The conductor asked.
    #[getter]
    fn conductor(&self) -> Conductor {
        self.conductor.clone()
    }
    /// Time until the insulation's final temperature.
    #[getter]
    fn time(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.time)
    }
    /// The temperature the insulation survives for so long.
    #[getter]
    fn final_temperature(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.final_temperature)
    }
    /// Whether the time lies where the formula is valid.
    #[getter]
    fn within_five_seconds(&self) -> bool {
        self.inner.within_five_seconds
    }
    /// What a reader must know.
    #[getter]
    fn flags<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, &self.inner.flags)
    }
    /// The steps that lead to it.
    fn explain(&self, py: Python<'_>) -> PyResult<Working> {
        let (fault, start) = self.question;
        run(py, || {
            let title = format!("{} in a short circuit of {}", self.conductor.0.size(), show(fault));
            let mut working = orlop::Working::new(title);
            self.conductor.0.withstand_time_recorded(fault, start, &mut working)?;
            Ok(working)
        })
        .map(Working::from)
    }

    fn __repr__(&self) -> String {
        format!("Withstand({} at {})", show(self.inner.time), show(self.question.0))
    }
    fn _repr_html_(&self) -> String {
        sheet(
            &self.__repr__(),
            &[("time", show(self.inner.time)), ("final temperature", show(self.inner.final_temperature))],
            &self.inner.flags,
        )
    }
    fn __eq__(&self, other: &Bound<'_, PyAny>) -> bool {
        self.same(other)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        self.again(py)
    }
}

/// Names of the standard sizes of a series, ascending.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> orlop.standard_sizes("metric")[:3]
/// ('0.75 mm2', '1 mm2', '1.5 mm2')
#[pyfunction]
pub fn standard_sizes<'py>(series: &Bound<'py, PyAny>) -> PyResult<Bound<'py, PyTuple>> {
    let py = series.py();
    let series = Asked::default().word("series", series, series_named)?;
    PyTuple::new(py, conductor::standard_sizes(series).iter().map(ToString::to_string))
}

pub(crate) fn series_named(text: &str, field: &str) -> Result<SizeSystem, Error> {
    SizeSystem::parse(text, field).map_err(Error::from)
}
