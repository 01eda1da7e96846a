//! Resistances, joints, runs, leakage and drain from readings.

use super::Any;
use super::measured::Measured;
use crate::columns::Columns;
use crate::conductor::Conductor;
use crate::convert;
use crate::errors::{OrRaise, raise};
use crate::judgement::Judgement;
use crate::run::run;
use orlop::Error;
use orlop::proving::resistance::{
    Cable, Drain, Drop, InsulationTest, Joint, LeakageReadings, Part, PartKind, Pulse, Run, Step,
    ThreeVoltages, least_insulation, usual_meter,
};
use orlop_units::{
    Current, Fraction, Quantity, Resistance, Temperature, TemperatureRise, Voltage, amperes, ohms, show,
    volts,
};
use pyo3::prelude::*;

fn or<Q: Quantity>(value: Any<'_, '_>, field: &str, otherwise: Q) -> PyResult<Q> {
    value.map_or(Ok(otherwise), |v| convert::quantity(v, field))
}

fn step(value: &Bound<'_, PyAny>, field: &str) -> PyResult<Step> {
    let pair: Result<(Bound<'_, PyAny>, Bound<'_, PyAny>), _> = value.extract();
    let Ok((voltage, current)) = pair else {
        let error =
            Error::input(field, convert::short(value)?, "volts and amperes, such as ('13.20 V', '0 A')");
        return Err(raise(value.py(), &error));
    };
    Ok(Step { voltage: convert::quantity(&voltage, field)?, current: convert::quantity(&current, field)? })
}

/// Resistance of a battery or cell from two loads, or from rest and a load: R = (U1 - U2) / (I2 - I1).
///
/// Parameters
/// ----------
/// first, second : (str or quantity, str or quantity)
///     Volts and amperes at the end of each step; discharge is positive, the second current the larger.
/// volt_noise, current_noise : str or quantity, optional
///     Standard uncertainty of one reading; none means none.
/// gain : str or quantity, optional
///     Limits of the current meter's error in proportion.
/// rest_fell : (str or quantity, str or quantity), optional
///     By how much the open-circuit voltage fell between the readings, at least and at most: it is no resistance.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> orlop.pulse_resistance(first=("13.20 V", "0 A"), second=("12.85 V", "100 A"), volt_noise="5 mV", current_noise="0.5 A")
/// Measured(3.5 mohm +- 147 uohm (95 %))
#[pyfunction]
#[pyo3(signature = (*, first, second, volt_noise=None, current_noise=None, gain=None, rest_fell=None))]
pub fn pulse_resistance(
    py: Python<'_>,
    first: &Bound<'_, PyAny>,
    second: &Bound<'_, PyAny>,
    volt_noise: Any<'_, '_>,
    current_noise: Any<'_, '_>,
    gain: Any<'_, '_>,
    rest_fell: Option<(Bound<'_, PyAny>, Bound<'_, PyAny>)>,
) -> PyResult<Measured> {
    let fell = match rest_fell {
        None => (volts(0.0), volts(0.0)),
        Some((a, b)) => (convert::quantity(&a, "rest_fell")?, convert::quantity(&b, "rest_fell")?),
    };
    let pulse = Pulse {
        first: step(first, "first")?,
        second: step(second, "second")?,
        volt_noise: or(volt_noise, "volt_noise", volts(0.0))?,
        current_noise: or(current_noise, "current_noise", amperes(0.0))?,
        gain: or(gain, "gain", Fraction::new(0.0))?,
        rest_fell: fell,
    };
    Ok(Measured::from(&pulse.resistance().or_raise(py)?))
}

/// How bad a joint is: its heat and rise at the design current, and its resistance against an equal length of its cable.
///
/// Parameters
/// ----------
/// across, current : str or quantity
///     Volts across the joint, and the current at which they were read.
/// across_noise, current_noise : str or quantity, optional
///     Standard uncertainty of each.
/// design : str or quantity
///     The current it must carry.
/// length : str or quantity
///     From probe to probe.
/// cable : Conductor, optional
///     What leaves the joint; ``cables`` of them (two where it joins two ends).
/// measured_rise : str or quantity, optional
///     Rise over the cable, measured at the test current.
/// subject : str
///     What it is called.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> verdict = orlop.judge_joint(across="0.176 V", current="62 A", design="62 A", length="20 mm")
/// >>> verdict.severity, verdict.what
/// ('B', '2.84 mohm, 10.9 W at 62 A')
#[pyfunction]
#[pyo3(signature = (*, across, current, design, length, across_noise=None, current_noise=None, cable=None, cables=2,
                    measured_rise=None, subject="joint"))]
#[allow(clippy::too_many_arguments)]
pub fn judge_joint(
    py: Python<'_>,
    across: &Bound<'_, PyAny>,
    current: &Bound<'_, PyAny>,
    design: &Bound<'_, PyAny>,
    length: &Bound<'_, PyAny>,
    across_noise: Any<'_, '_>,
    current_noise: Any<'_, '_>,
    cable: Option<&Conductor>,
    cables: u32,
    measured_rise: Any<'_, '_>,
    subject: &str,
) -> PyResult<Judgement> {
    let across: Voltage = convert::quantity(across, "across")?;
    let current: Current = convert::quantity(current, "current")?;
    let design: Current = convert::quantity(design, "design")?;
    let noise =
        (or(across_noise, "across_noise", volts(0.0))?, or(current_noise, "current_noise", amperes(0.0))?);
    let mut joint = Joint::measured(across, noise.0, current, noise.1, convert::quantity(length, "length")?)
        .or_raise(py)?;
    joint.cable = cable.map(|c| Cable {
        resistance: c.0.resistance_per_length(Temperature::celsius(20.0)),
        area: c.0.area(),
        outside_diameter: c.0.outside_diameter(),
        count: cables,
    });
    let rise: Option<TemperatureRise> =
        measured_rise.map(|r| convert::quantity(r, "measured_rise")).transpose()?;
    joint.measured_rise = rise;
    Ok(Judgement(joint.judge(subject, design, current).or_raise(py)?))
}

const PARTS: [&str; 5] = ["part", "expected_mohm", "within_percent", "sound_mohm", "design_a"];

/// Which joint or piece of cable of a run is bad, from drops read between a few places on it.
///
/// The fewest bad parts that explain the readings, and the resistances that then explain them best, none below zero. Parts that no
/// reading tells apart are named together.
///
/// Parameters
/// ----------
/// parts : dict of columns or Arrow table
///     ``part``, ``expected_mohm`` of a sound one, ``design_a``, and ``within_percent`` (standard uncertainty of a conductor's) or
///     ``sound_mohm`` (the most a sound joint has).
/// drops : sequence of (drop, current, parts)
///     Each reading: volts, the current, and the parts between the probes.
/// noise : str or quantity
///     Standard uncertainty of a reading that does not depend on its size.
/// gain : str or quantity, optional
///     Standard uncertainty in proportion to the reading.
///
/// Returns
/// -------
/// tuple of Judgement
///     One for each part, worst first.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> parts = {"part": ["out", "stud", "back"], "expected_mohm": [3.0, 0.1, 3.0], "within_percent": [5, None, 5],
/// ...          "sound_mohm": [None, 0.3, None], "design_a": [60, 60, 60]}
/// >>> readings = [("0.19 V", "60 A", ["out"]), ("0.32 V", "60 A", ["out", "stud"]), ("0.18 V", "60 A", ["back"])]
/// >>> worst = orlop.find_bad_part(parts, readings, noise="1 mV", gain="0.5 %")[0]
/// >>> worst.subject, worst.verdict
/// ('stud', 'fail')
#[pyfunction]
#[pyo3(signature = (parts, drops, *, noise, gain=None))]
pub fn find_bad_part(
    py: Python<'_>,
    parts: &Bound<'_, PyAny>,
    drops: &Bound<'_, PyAny>,
    noise: &Bound<'_, PyAny>,
    gain: Any<'_, '_>,
) -> PyResult<Vec<Judgement>> {
    let table = Columns::read(parts, "parts")?;
    table.only(py, &PARTS)?;
    let missing =
        |name: &str| raise(py, &Error::input("parts", format!("no column '{name}'"), PARTS.join(", ")));
    let ids = table.texts(py, "part")?.ok_or_else(|| missing("part"))?;
    let needed = |name: &str| Ok::<_, PyErr>(table.numbers(py, name)?.ok_or_else(|| missing(name))?.to_vec());
    let (expected, design) = (needed("expected_mohm")?, needed("design_a")?);
    let none = vec![f64::NAN; ids.len()];
    let within = table.numbers(py, "within_percent")?.unwrap_or(&none);
    let sound = table.numbers(py, "sound_mohm")?.unwrap_or(&none);
    let mut all = Vec::new();
    for (k, id) in ids.iter().enumerate() {
        let kind = match (within[k].is_nan(), sound[k].is_nan()) {
            (false, true) => PartKind::Conductor { known_within: Fraction::new(within[k] / 100.0) },
            (true, false) => PartKind::Joint { sound_to: ohms(sound[k] / 1000.0) },
            (_, both_or_none) => {
                let got = if both_or_none { "neither" } else { "both" };
                let expected = "within_percent for a conductor, or sound_mohm for a joint";
                return Err(raise(py, &Error::input(&format!("parts: {id}"), got, expected)));
            }
        };
        let part =
            Part { id: id.clone(), kind, expected: ohms(expected[k] / 1000.0), design: amperes(design[k]) };
        all.push(part);
    }
    let mut read = Vec::new();
    for (k, reading) in drops.try_iter()?.enumerate() {
        let (field, reading) = (format!("drop {}", k + 1), reading?);
        let three: Result<(Bound<'_, PyAny>, Bound<'_, PyAny>, Vec<String>), _> = reading.extract();
        let Ok((drop, current, through)) = three else {
            let expected =
                "a drop, a current and the parts between the probes: ('0.19 V', '60 A', ['out', 'stud'])";
            return Err(raise(py, &Error::input(&field, convert::short(&reading)?, expected)));
        };
        let current: Current = convert::quantity(&current, &field)?;
        let place = |id: &String| match ids.iter().position(|known| known == id) {
            Some(at) => Ok((at, current)),
            None => {
                let expected = format!("one of {}", ids.join(", "));
                Err(raise(py, &Error::input(&field, format!("a part '{id}'"), expected)))
            }
        };
        let through = through.iter().map(place).collect::<PyResult<_>>()?;
        read.push(Drop { through, drop: convert::quantity(&drop, &field)?, standard: None });
    }
    let question = Run {
        parts: all,
        drops: read,
        noise: convert::quantity(noise, "noise")?,
        gain: or(gain, "gain", Fraction::new(0.0))?,
    };
    let found = run(py, || Ok(question.solve()?.judgements(&question)))?;
    Ok(found.into_iter().map(Judgement).collect())
}

/// How well the system is insulated from the hull or bonding system, by the resistor method at system voltage.
///
/// Parameters
/// ----------
/// system, positive_to_hull, negative_to_hull : str or quantity
///     Volts with the bank at rest and the circuits under test switched on.
/// with_resistor, resistor : str or quantity
///     The larger of the two once more, with the resistor across it; and the resistor.
/// meter : str or quantity
///     Resistance of the meter itself.
/// noise : str or quantity, optional
///     Standard uncertainty of a reading.
/// limit : str or quantity
///     The least that is accepted: 0.33 Mohm by class practice.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> orlop.judge_leakage(system="25.6 V", positive_to_hull="5.08 V", negative_to_hull="20.32 V", with_resistor="11.33 V",
/// ...                     resistor="100 kohm", noise="5 mV").verdict
/// 'fail'
#[pyfunction]
#[pyo3(signature = (*, system, positive_to_hull, negative_to_hull, with_resistor, resistor, meter=None, noise=None, limit=None))]
#[allow(clippy::too_many_arguments)]
pub fn judge_leakage(
    py: Python<'_>,
    system: &Bound<'_, PyAny>,
    positive_to_hull: &Bound<'_, PyAny>,
    negative_to_hull: &Bound<'_, PyAny>,
    with_resistor: &Bound<'_, PyAny>,
    resistor: &Bound<'_, PyAny>,
    meter: Any<'_, '_>,
    noise: Any<'_, '_>,
    limit: Any<'_, '_>,
) -> PyResult<Judgement> {
    let readings = LeakageReadings {
        system: convert::quantity(system, "system")?,
        positive_to_hull: convert::quantity(positive_to_hull, "positive_to_hull")?,
        negative_to_hull: convert::quantity(negative_to_hull, "negative_to_hull")?,
        with_resistor: convert::quantity(with_resistor, "with_resistor")?,
        resistor: convert::quantity(resistor, "resistor")?,
        meter: or(meter, "meter", usual_meter())?,
        noise: or(noise, "noise", volts(0.0))?,
    };
    let limit: Resistance = or(limit, "limit", least_insulation())?;
    Ok(Judgement(readings.solve().and_then(|l| l.judge(limit)).or_raise(py)?))
}

/// How well each pole is insulated from the hull, from three raw voltages, each pole read with a known resistor across it.
///
/// Parameters
/// ----------
/// system : str or quantity
///     Volts from positive to negative, the bank at rest and the circuits under test switched on.
/// positive_to_hull, negative_to_hull : str or quantity
///     Volts between each pole and the hull, with the resistor between these two.
/// resistor : str or quantity
///     The resistor.
/// noise : str or quantity
///     Standard uncertainty of a reading.
/// tolerance : str or quantity, optional
///     Half-width of the resistor's tolerance; none means none.
/// meter : str or quantity, optional
///     Resistance of the meter itself, 10 Mohm without it.
/// limit : str or quantity, optional
///     The least that is accepted: 0.33 Mohm by class practice.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> verdict = orlop.judge_insulation(system="25.6 V", positive_to_hull="2.832 V", negative_to_hull="11.327 V",
/// ...                                  resistor="100 kohm", noise="5 mV")
/// >>> verdict.verdict, verdict.what
/// ('fail', 'positive to hull 100 kohm (99.8 kohm to 100 kohm), negative to hull 400 kohm (398 kohm to 402 kohm)')
#[pyfunction]
#[pyo3(signature = (*, system, positive_to_hull, negative_to_hull, resistor, noise, tolerance=None, meter=None, limit=None))]
#[allow(clippy::too_many_arguments)]
pub fn judge_insulation(
    py: Python<'_>,
    system: &Bound<'_, PyAny>,
    positive_to_hull: &Bound<'_, PyAny>,
    negative_to_hull: &Bound<'_, PyAny>,
    resistor: &Bound<'_, PyAny>,
    noise: &Bound<'_, PyAny>,
    tolerance: Any<'_, '_>,
    meter: Any<'_, '_>,
    limit: Any<'_, '_>,
) -> PyResult<Judgement> {
    let readings = ThreeVoltages {
        system: convert::quantity(system, "system")?,
        positive_to_hull: convert::quantity(positive_to_hull, "positive_to_hull")?,
        negative_to_hull: convert::quantity(negative_to_hull, "negative_to_hull")?,
        resistor: convert::quantity(resistor, "resistor")?,
        tolerance: or(tolerance, "tolerance", Fraction::new(0.0))?,
        meter: or(meter, "meter", usual_meter())?,
        noise: convert::quantity(noise, "noise")?,
    };
    let limit: Resistance = or(limit, "limit", least_insulation())?;
    Ok(Judgement(readings.solve().and_then(|i| i.judge(limit)).or_raise(py)?))
}

/// Whether a dead circuit is insulated well enough: a tester with its own voltage, electronics taken off (IEC 60364-6).
///
/// Parameters
/// ----------
/// reading : str or quantity
///     What the tester shows.
/// nominal : str or quantity
///     Nominal voltage of the circuit: up to 50 V it must have 0.5 Mohm at 250 V.
/// tested_at : str or quantity
///     Voltage of the tester. What holds at less than the standard's is not decided.
/// subject : str
///     What it is called.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> orlop.judge_insulation_test(reading="0.3 Mohm", nominal="24 V", tested_at="250 V").verdict
/// 'fail'
/// >>> orlop.judge_insulation_test(reading="20 Mohm", nominal="24 V", tested_at="9 V").what
/// '20 Mohm at 9 V: insulation that holds there may not hold at 250 V'
#[pyfunction]
#[pyo3(signature = (*, reading, nominal, tested_at, subject="circuit"))]
pub fn judge_insulation_test(
    py: Python<'_>,
    reading: &Bound<'_, PyAny>,
    nominal: &Bound<'_, PyAny>,
    tested_at: &Bound<'_, PyAny>,
    subject: &str,
) -> PyResult<Judgement> {
    let test = InsulationTest::of(convert::quantity(nominal, "nominal")?).or_raise(py)?;
    let (reading, at) = (convert::quantity(reading, "reading")?, convert::quantity(tested_at, "tested_at")?);
    Ok(Judgement(test.judge(subject, reading, at).or_raise(py)?))
}

/// What the boat draws at rest, against what is meant to run and an allowance beyond it (50 mA by practice).
///
/// Parameters
/// ----------
/// current, uncertainty : str or quantity
///     The resting current after everything went to sleep, and its standard uncertainty.
/// meant : str or quantity
///     What is meant to run at rest.
/// allowance : str or quantity, optional
/// charge : str or quantity, optional
///     With it the finding says how long this charge would last.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> verdict = orlop.judge_drain(current="180 mA", uncertainty="10 mA", meant="60 mA", charge="230 Ah")
/// >>> verdict.verdict, verdict.what
/// ('fail', '0.18 A at rest, 60 mA of it meant to run; it takes 230 Ah in 53.2 days')
#[pyfunction]
#[pyo3(signature = (*, current, uncertainty, meant, allowance=None, charge=None))]
pub fn judge_drain(
    py: Python<'_>,
    current: &Bound<'_, PyAny>,
    uncertainty: &Bound<'_, PyAny>,
    meant: &Bound<'_, PyAny>,
    allowance: Any<'_, '_>,
    charge: Any<'_, '_>,
) -> PyResult<Judgement> {
    let drain = Drain {
        current: convert::quantity(current, "current")?,
        standard: convert::quantity(uncertainty, "uncertainty")?,
    };
    let allowance = or(allowance, "allowance", amperes(0.05))?;
    let mut judgement = drain.judge(convert::quantity(meant, "meant")?, allowance).or_raise(py)?;
    if let Some(charge) = charge {
        let charge = convert::quantity(charge, "charge")?;
        let time = drain.time_to_take(charge).or_raise(py)?;
        let days = orlop_units::significant(time.si() / 86400.0, 3);
        judgement.what = format!("{}; it takes {} in {days} days", judgement.what, show(charge));
    }
    Ok(Judgement(judgement))
}
