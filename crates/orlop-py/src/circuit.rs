//! One circuit: which conductor and device it needs.

use crate::asked::{Asked, ambiguous, loop_length};
use crate::conductor::{Conductor, series_named};
use crate::convert::{out, out_option};
use crate::errors::{OrRaise, raise};
use crate::html::{escape, sheet};
use crate::judgement::Judgement;
use crate::protection::Device;
use crate::run::run;
use crate::working::Working;
use orlop::circuit::{self, CircuitAnswer, CircuitQuestion, Criterion, Supply};
use orlop::conductor::{Duty, Material, SpaceKind};
use orlop::error::positive;
use orlop::rules::{Bundling, DeviceRating, DropClass, RuleOptions, RuleSetId};
use orlop::{Error, Recorder, Step, Verdict};
use orlop_units::{Current, Fraction, Power, Quantity, Temperature, Time, Voltage, amperes, show, volts};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyTuple};

/// Devices to choose from when nobody says which: blade, strip, and the one that breaks most.
const FAMILIES: &[&str] = &["iso8820-3-blade", "iso8820-5-strip", "ul248-15-class-t"];

/// Sizes one circuit: the smallest standard conductor and device that keep every rule.
///
/// Parameters
/// ----------
/// current, power : str or quantity
///     The continuous maximum; say exactly one. A power is taken as constant, at 90 % of nominal.
/// one_way, loop : str or quantity
///     The length; say exactly one. ``one_way`` is the run from end to end counted once, ``loop`` out and back.
/// nominal : str or quantity
///     Nominal voltage, to which percentages refer.
/// max_drop : str or quantity
///     Permitted drop of nominal, "3 %"; or "critical" or "general" for the rule set's own limit.
/// rules : {"us-small-craft", "iso-small-craft"}
///     There is no default.
/// sizes : {"awg", "sae", "metric"}
/// insulation : str or quantity
///     Temperature rating of the cable to be bought, "105 degC" unless stated.
/// material : {"copper", "aluminium"}
/// tinned : bool, optional
/// duty : "continuous", or a pair of the longest time on and the shortest time off
/// space : {"outside", "engine"}
/// ambient : str or quantity, optional
///     Hottest air on the way.
/// bundled : int
///     Current-carrying conductors lying together; the circuit's own pair is 2 and the default.
/// inrush : pair, or list of pairs, of current and time, optional
///     Short high currents that the device must hold.
/// upstream_drop : str or quantity
///     Volts already lost before this circuit.
/// fault : str or quantity, or pair (low, high), optional
///     Fault current where the circuit begins. A single value is taken as the high bound, for breaking capacity.
/// families : list of str, optional
///     Device families in order of preference; blade and strip fuses of ISO 8820 and class T of UL 248-15 unless stated.
/// minimum_size : str, optional
///     Smallest conductor that a terminal or the owner allows.
/// bundling : {"practice", "off"}
/// device_rating : {"outright", "next-standard"}
///
/// Examples
/// --------
/// >>> import orlop
/// >>> answer = orlop.size_circuit(current="25 A", one_way="6 m", nominal="12 V", max_drop="3 %", rules="us-small-craft",
/// ...                             sizes="awg")
/// >>> answer.governed_by
/// 'drop'
/// >>> answer.device
/// Device(iso8820-3-blade 35 A)
#[pyfunction]
#[pyo3(signature = (*, current=None, power=None, one_way=None, r#loop=None, nominal, max_drop, rules, sizes,
    insulation=None, material=None, tinned=None, duty=None, space=None, ambient=None, bundled=None, inrush=None,
    upstream_drop=None, fault=None, families=None, minimum_size=None, bundling=None, device_rating=None))]
#[allow(clippy::too_many_arguments)] // the arguments are the question
pub fn size_circuit(
    py: Python<'_>,
    current: Option<&Bound<'_, PyAny>>,
    power: Option<&Bound<'_, PyAny>>,
    one_way: Option<&Bound<'_, PyAny>>,
    r#loop: Option<&Bound<'_, PyAny>>,
    nominal: &Bound<'_, PyAny>,
    max_drop: &Bound<'_, PyAny>,
    rules: &Bound<'_, PyAny>,
    sizes: &Bound<'_, PyAny>,
    insulation: Option<&Bound<'_, PyAny>>,
    material: Option<&Bound<'_, PyAny>>,
    tinned: Option<bool>,
    duty: Option<&Bound<'_, PyAny>>,
    space: Option<&Bound<'_, PyAny>>,
    ambient: Option<&Bound<'_, PyAny>>,
    bundled: Option<&Bound<'_, PyAny>>,
    inrush: Option<&Bound<'_, PyAny>>,
    upstream_drop: Option<&Bound<'_, PyAny>>,
    fault: Option<&Bound<'_, PyAny>>,
    families: Option<&Bound<'_, PyAny>>,
    minimum_size: Option<&Bound<'_, PyAny>>,
    bundling: Option<&Bound<'_, PyAny>>,
    device_rating: Option<&Bound<'_, PyAny>>,
) -> PyResult<Circuit> {
    let mut asked = Asked::default();
    let volts_nominal: Voltage = positive(asked.quantity("nominal", nominal)?, "nominal").or_raise(py)?;
    let mut supply = Supply::nominal(volts_nominal).or_raise(py)?;
    if let Some(fault) = fault {
        supply.fault = fault_current(&mut asked, fault)?;
    }
    let power = match (current, power) {
        (Some(_), None) => None,
        (None, Some(power)) => {
            Some(positive(asked.quantity::<Power>("power", power)?, "power").or_raise(py)?)
        }
        (Some(_), Some(_)) => {
            return Err(raise(py, &Error::input("current, power", "both", "exactly one of them")));
        }
        (None, None) => {
            return Err(raise(py, &Error::input("current, power", "none", "exactly one of them")));
        }
    };
    let load = match (current, power) {
        (Some(current), _) => asked.quantity::<Current>("current", current)?,
        (_, Some(power)) => amperes(power.si() / supply.lowest.si()),
        (None, None) => return Err(raise(py, &ambiguous(false, "current= or power="))),
    };
    let lp = loop_length(&mut asked, py, one_way, r#loop)?;
    let rules = asked.word("rules", rules, RuleSetId::parse)?;
    let sizes = asked.word("sizes", sizes, series_named)?;
    let share = permitted(&mut asked, max_drop, rules)?;
    let upstream: Voltage = asked.optional("upstream_drop", upstream_drop)?.unwrap_or(volts(0.0));
    let mut q = CircuitQuestion::new(load, lp, rules, sizes, supply)
        .permit(share, volts_nominal, upstream)
        .or_raise(py)?;
    if let Some(insulation) = insulation {
        q.insulation = asked.quantity("insulation", insulation)?;
    }
    if let Some(material) = material {
        q.material = asked.word("material", material, Material::parse)?;
    }
    q.tinned = match tinned {
        Some(tinned) => asked.flag("tinned", tinned),
        None => q.material == Material::Copper,
    };
    if let Some(duty) = duty {
        q.duty = duty_of(&mut asked, duty)?;
    }
    if let Some(space) = space {
        q.space = asked.word("space", space, SpaceKind::parse)?;
    }
    q.ambient = asked.optional::<Temperature>("ambient", ambient)?;
    q.bundled = bundled.map_or(Ok(2), |n| asked.count("bundled", n))?;
    if let Some(inrush) = inrush {
        q.inrush = asked.pairs(
            "inrush",
            inrush,
            "a pair of current and time such as (\"40 A\", \"200 ms\"), or a list of them",
        )?;
    }
    q.families = match asked.words("families", families, "a list of ids of families, see orlop.families()")? {
        Some(families) => {
            for id in &families {
                orlop::protection::family(id).or_raise(py)?;
            }
            families
        }
        None => FAMILIES.iter().map(ToString::to_string).collect(),
    };
    q.minimum_size = asked.size("minimum_size", minimum_size)?;
    let mut options = RuleOptions::default();
    if let Some(word) = bundling {
        options.bundling = asked.word("bundling", word, Bundling::parse)?;
    }
    if let Some(word) = device_rating {
        options.device_rating = asked.word("device_rating", word, DeviceRating::parse)?;
    }
    q.options = options;
    let answer = run(py, || circuit::size_circuit(&q))?;
    Ok(Circuit { answer, question: q, nominal: volts_nominal, power, asked })
}

fn fault_current(asked: &mut Asked, fault: &Bound<'_, PyAny>) -> PyResult<orlop::Range<Current>> {
    if fault.is_instance_of::<PyTuple>() || fault.hasattr("low")? {
        let (low, high): (Current, Current) =
            asked.pair("fault", fault, "one current, or a pair (low, high)")?;
        return Ok(orlop::Range::new(low, high));
    }
    Ok(orlop::Range::from_bounds(None, Some(asked.quantity("fault", fault)?)))
}

pub(crate) fn permitted(
    asked: &mut Asked,
    max_drop: &Bound<'_, PyAny>,
    rules: RuleSetId,
) -> PyResult<Fraction> {
    let class = max_drop.extract::<String>().ok().and_then(|word| DropClass::parse(&word, "max_drop").ok());
    match class {
        Some(class) => {
            asked.said("max_drop", class.word().into());
            Ok(rules.drop_limit(class).value)
        }
        None => asked.quantity("max_drop", max_drop),
    }
}

fn duty_of(asked: &mut Asked, duty: &Bound<'_, PyAny>) -> PyResult<Duty> {
    if duty.is_instance_of::<PyTuple>() {
        let (on, off): (Time, Time) =
            asked.pair("duty", duty, "\"continuous\", or a pair (time on, time off)")?;
        let on = positive(on, "duty").or_raise(duty.py())?;
        let off = positive(off, "duty").or_raise(duty.py())?;
        return Ok(Duty::Intermittent { on, off: Some(off) });
    }
    asked.word("duty", duty, |text, field| match text.trim() {
        "continuous" => Ok(Duty::Continuous),
        other => {
            Err(Error::input(field, format!("'{other}'"), "\"continuous\", or a pair (time on, time off)"))
        }
    })
}

/// A circuit with its conductor and device.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> circuit = orlop.size_circuit(power="60 W", loop="9 m", nominal="24 V", max_drop="general", rules="iso-small-craft",
/// ...                              sizes="metric", insulation="90 degC")
/// >>> circuit
/// Circuit(1 mm2, iso8820-3-blade 4 A, governed by mechanical)
#[pyclass(frozen, module = "orlop")]
pub struct Circuit {
    answer: CircuitAnswer,
    question: CircuitQuestion,
    nominal: Voltage,
    power: Option<Power>,
    asked: Asked,
}

impl Circuit {
    fn device_text(&self) -> String {
        self.answer.taken.taken().map_or_else(|| "no device fits".into(), ToString::to_string)
    }
    fn share(&self) -> Fraction {
        Fraction::new(self.answer.taken.drop.si() / self.nominal.si())
    }
}

#[pymethods]
impl Circuit {
    /// The conductor of each leg.
    #[getter]
    fn conductor(&self) -> Conductor {
        Conductor(self.answer.taken.conductor.clone())
    }
    /// The device, or None when none fits; a finding then says why.
    #[getter]
    fn device(&self) -> Option<Device> {
        self.answer.taken.taken().cloned().map(Device::from)
    }
    /// The continuous current it is sized for.
    #[getter]
    fn current(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.question.current)
    }
    /// Volts lost in both legs, device and joints, warm.
    #[getter]
    fn drop(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.answer.taken.drop)
    }
    /// The same as a share of nominal.
    #[getter]
    fn drop_share(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.share())
    }
    /// Drop by the rule set's formula, conductors only.
    #[getter]
    fn rule_drop(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.answer.taken.rule_drop)
    }
    /// Temperature the conductor settles at, or None when it would not settle.
    #[getter]
    fn temperature(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        out_option(py, self.answer.taken.heat.as_ref().ok().map(|h| h.temperature))
    }
    /// Corrected ampacity, or None where the rule set has none.
    #[getter]
    fn ampacity(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        out_option(py, self.answer.taken.ampacity.as_ref().ok().map(|a| a.current))
    }
    /// Lowest and highest device rating that would do; the second is None when nothing limits it.
    #[getter]
    fn device_window<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let (low, high) = self.answer.window;
        (out(py, low)?, out_option(py, high)?).into_pyobject(py)
    }
    /// What asks for the largest conductor: "heat", "protection", "drop", "mechanical" or "termination".
    #[getter]
    fn governed_by(&self) -> &'static str {
        self.answer.governed_by.word()
    }
    /// For each criterion the room left over its limit as a share of it, or None where it does not apply.
    #[getter]
    fn margins<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let dict = PyDict::new(py);
        for margin in &self.answer.margins {
            dict.set_item(margin.criterion.word(), margin.margin)?;
        }
        Ok(dict)
    }
    /// For each criterion the smallest size that it alone asks for, or None when no standard size meets it.
    #[getter]
    fn asks_for<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let dict = PyDict::new(py);
        for margin in &self.answer.margins {
            dict.set_item(margin.criterion.word(), margin.asks_for.map(|s| s.to_string()))?;
        }
        Ok(dict)
    }
    /// Every rule of a single circuit, passes as well as failures.
    #[getter]
    fn judgements<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.answer.judgements.iter().cloned().map(Judgement))
    }
    /// The judgements that failed or could not be decided.
    #[getter]
    fn findings<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let found: Vec<_> = self.answer.findings().cloned().map(Judgement).collect();
        PyTuple::new(py, found)
    }
    /// What a reader must know.
    #[getter]
    fn flags<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, &self.answer.flags)
    }
    /// The weakest source the choice rests on.
    #[getter]
    fn confidence(&self) -> &'static str {
        self.answer.confidence.word()
    }

    /// The steps that lead to the choice.
    fn explain(&self, py: Python<'_>) -> PyResult<Working> {
        run(py, || {
            let mut working = orlop::Working::new(format!("circuit of {}", show(self.question.current)));
            if let Some(power) = self.power {
                working.step(|| {
                    Step::new(
                        "current of a constant power at the lowest service voltage",
                        "I",
                        self.question.current,
                    )
                    .formula("P / U_lowest, U_lowest = 90 % of nominal")
                    .input("P", power)
                    .input("U_lowest", self.question.supply.lowest)
                });
            }
            circuit::size_circuit_recorded(&self.question, &mut working)?;
            Ok(working)
        })
        .map(Working::from)
    }

    fn __repr__(&self) -> String {
        format!(
            "Circuit({}, {}, governed by {})",
            self.answer.taken.conductor.size(),
            self.device_text(),
            self.answer.governed_by.word()
        )
    }

    fn _repr_html_(&self) -> String {
        let a = &self.answer;
        let taken = &a.taken;
        let margin = |c: Criterion| {
            let m = a.margins.iter().find(|m| m.criterion == c).and_then(|m| m.margin);
            m.map_or_else(String::new, |m| format!("{:.0} % left", 100.0 * m))
        };
        let mut html = sheet(
            &format!(
                "Circuit of {}, {} one way",
                show(self.question.current),
                show(self.question.run.one_way().0)
            ),
            &[
                ("conductor", taken.conductor.size().to_string()),
                ("device", self.device_text()),
                ("governed by", a.governed_by.word().into()),
                (
                    "drop",
                    format!("{} ({}), {}", show(taken.drop), show(self.share()), margin(Criterion::Drop)),
                ),
                ("heat", {
                    let t = taken.heat.as_ref().ok().map(|h| show(h.temperature)).unwrap_or_default();
                    format!("{t}, {}", margin(Criterion::Heat))
                }),
                ("confidence", a.confidence.word().into()),
            ],
            &a.flags,
        );
        html += "<ul>";
        for j in a.judgements.iter().filter(|j| j.verdict != Verdict::NotApplicable) {
            html += &format!("<li>{}: {}</li>", escape(j.verdict.word()), escape(&j.what));
        }
        html + "</ul>"
    }

    fn __eq__(&self, other: &Bound<'_, PyAny>) -> bool {
        // Same question, same answer.
        other.cast::<Self>().is_ok_and(|other| {
            let other = other.get();
            self.question == other.question && self.nominal == other.nominal && self.power == other.power
        })
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        self.asked.reduce(py, None, "size_circuit")
    }
}
