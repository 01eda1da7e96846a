//! The manager and its switch: what they carry, pre-charge, coil, temperature, breaking.

use super::answer::{BankAnswer, Value};
use crate::asked::Asked;
use crate::cell::number;
use crate::convert;
use crate::errors::{OrRaise, raise};
use crate::fault::bounds;
use crate::judgement::Judgement;
use crate::protection::Device;
use crate::run::run;
use orlop::pack::manager::{self, Coil, Contactor, Demand, Manager, PreCharge, Standing, Switch};
use orlop::{Error, Working};
use orlop_units::{
    Capacitance, Current, Energy, Power, Resistance, Temperature, TemperatureRise, Time, Voltage,
};
use pyo3::prelude::*;

const PAIR: &str = "a pair of a current and how long it lasts, such as ('300 A', '2 s')";

/// Whether the manager of every string carries what is asked, also when one string is lost.
///
/// Parameters
/// ----------
/// continuous : str or quantity
///     The largest credible continuous current of the whole bank.
/// strings : int
///     Strings that share it, each with a manager of its own; 1 for parallel-first.
/// rated : str or quantity
///     What one manager carries for ever at its own temperature.
/// peak, rated_peak : pair of current and time, optional
///     The largest short current of the whole bank, and what one manager carries for a short time.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> orlop.judge_manager(continuous="185 A", strings=2, rated="150 A")
/// BankAnswer(judge_manager: each_after_a_loss 185 A, 1 finding)
#[pyfunction]
#[pyo3(signature = (*, continuous, strings, rated, peak=None, rated_peak=None))]
pub fn judge_manager(
    continuous: &Bound<'_, PyAny>,
    strings: &Bound<'_, PyAny>,
    rated: &Bound<'_, PyAny>,
    peak: Option<&Bound<'_, PyAny>>,
    rated_peak: Option<&Bound<'_, PyAny>>,
) -> PyResult<BankAnswer> {
    let py = continuous.py();
    let mut asked = Asked::default();
    let continuous: Current = asked.quantity("continuous", continuous)?;
    let strings = asked.count("strings", strings)?;
    let rated: Current = asked.quantity("rated", rated)?;
    let mut demand = Demand::new(continuous, strings).or_raise(py)?;
    if let Some(peak) = peak {
        let (current, time): (Current, Time) = asked.pair("peak", peak, PAIR)?;
        demand = demand.with_peak(current, time).or_raise(py)?;
    }
    let mut one = Manager::new(rated).or_raise(py)?;
    if let Some(peak) = rated_peak {
        let (current, time): (Current, Time) = asked.pair("rated_peak", peak, PAIR)?;
        one = one.with_peak(current, time).or_raise(py)?;
    }
    let values = vec![("each_after_a_loss", Value::of(demand.each_after_a_loss()))];
    let answer = BankAnswer::new("judge_manager", "each_after_a_loss", asked);
    Ok(answer.values(values).judged(one.judge(&demand)))
}

/// What takes current while the capacitors fill: a resistance, a current or a power.
fn standing(asked: &mut Asked, value: Option<&Bound<'_, PyAny>>) -> PyResult<Standing> {
    let Some(value) = value else { return Ok(Standing::Nothing) };
    if let Ok(r) = asked.quantity("standing", value) {
        return Ok(Standing::Resistance(r));
    }
    if let Ok(i) = asked.quantity("standing", value) {
        return Ok(Standing::Current(i));
    }
    if let Ok(p) = asked.quantity("standing", value) {
        return Ok(Standing::Power(p));
    }
    let expected = "a resistance, a current or a power with its unit, such as '20 W'";
    Err(raise(value.py(), &Error::input("standing", convert::short(value)?, expected)))
}

/// Filling the capacitors of the loads through a resistor before the switch closes, standing loads and a short counted.
///
/// Parameters
/// ----------
/// voltage : str or quantity
///     Of the bank.
/// capacitance : str or quantity
///     All capacitors behind the switch.
/// resistor, peak : str or quantity
///     The resistor, or the first current that it is to let through: one of them.
/// standing : str or quantity, optional
///     What takes current meanwhile: a resistance, a current or a power.
/// limit : str or quantity, optional
///     Time after which the manager gives up or closes: five time constants unless given.
/// survives : str or quantity, optional
///     Energy of one pulse that the resistor stands.
/// closing_resistance : str or quantity, optional
///     Of bank and cables: then the current through the closing switch is told.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> filling = orlop.pre_charge(voltage="25.6 V", capacitance="12 mF", resistor="15 ohm")
/// >>> f"{filling['energy'].m_as('J'):.1f} J, into a short {filling['energy_short'].m_as('J'):.1f} J"
/// '3.9 J, into a short 39.3 J'
/// >>> asleep = orlop.pre_charge(voltage="25.6 V", capacitance="12 mF", resistor="15 ohm", standing="20 W")
/// >>> asleep.findings[0].what.split(":")[0]
/// 'a standing load of 20 W through 15 ohm'
#[pyfunction]
#[pyo3(signature = (*, voltage, capacitance, resistor=None, peak=None, standing=None, limit=None, survives=None, closing_resistance=None))]
#[allow(clippy::too_many_arguments)]
pub fn pre_charge(
    voltage: &Bound<'_, PyAny>,
    capacitance: &Bound<'_, PyAny>,
    resistor: Option<&Bound<'_, PyAny>>,
    peak: Option<&Bound<'_, PyAny>>,
    standing: Option<&Bound<'_, PyAny>>,
    limit: Option<&Bound<'_, PyAny>>,
    survives: Option<&Bound<'_, PyAny>>,
    closing_resistance: Option<&Bound<'_, PyAny>>,
) -> PyResult<BankAnswer> {
    let py = voltage.py();
    let mut asked = Asked::default();
    let voltage: Voltage = asked.quantity("voltage", voltage)?;
    let capacitance: Capacitance = asked.quantity("capacitance", capacitance)?;
    let mut filling = match (resistor, peak) {
        (Some(r), None) => PreCharge::new(voltage, capacitance, asked.quantity("resistor", r)?),
        (None, Some(i)) => PreCharge::of_current(voltage, capacitance, asked.quantity("peak", i)?),
        (given, _) => {
            let got = if given.is_some() { "both" } else { "neither" };
            Err(Error::input("resistor, peak", got, "one of them"))
        }
    }
    .or_raise(py)?;
    filling = filling.with_standing(self::standing(&mut asked, standing)?).or_raise(py)?;
    if let Some(limit) = asked.optional("limit", limit)? {
        filling = filling.with_limit(limit).or_raise(py)?;
    }
    let survives: Option<Energy> = asked.optional("survives", survives)?;
    let around: Option<Resistance> = asked.optional("closing_resistance", closing_resistance)?;
    let judgements = filling.judge(survives).or_raise(py)?;
    let mut working = Working::new("pre-charge");
    let mut values = vec![("resistor", Value::of(filling.resistor()))];
    // A standing load that the resistor cannot feed has no voltages to tell: the judgement says so.
    match filling.filling_recorded(&mut working) {
        Ok(f) => {
            values.extend([
                ("peak", Value::of(f.peak)),
                ("time_constant", Value::of(f.time_constant)),
                ("settles", Value::of(f.settles)),
                ("reached", Value::of(f.reached)),
                ("energy", Value::of(f.energy)),
                ("energy_short", Value::of(f.energy_short)),
                ("power_short", Value::of(f.power_short)),
            ]);
            if let Some(r) = around {
                values.push(("closing_current", Value::of(filling.closing_current(r).or_raise(py)?)));
            }
        }
        Err(Error::NoSolution { .. }) => {}
        Err(other) => return Err(raise(py, &other)),
    }
    let answer = BankAnswer::new("pre_charge", "peak", asked).values(values).judged(judgements);
    Ok(answer.worked(working))
}

/// Energy and charge that the coil of a contactor takes from the bank.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> day = orlop.contactor_coil(hold="5 W", closed="24 h", bank="25.6 V")
/// >>> f"{day['energy'].m_as('W*h'):.0f} Wh, {day['charge'].m_as('A*h'):.1f} Ah"
/// '120 Wh, 4.7 Ah'
#[pyfunction]
#[pyo3(signature = (*, hold, closed, bank, pull_in=None, closings=None))]
pub fn contactor_coil(
    hold: &Bound<'_, PyAny>,
    closed: &Bound<'_, PyAny>,
    bank: &Bound<'_, PyAny>,
    pull_in: Option<&Bound<'_, PyAny>>,
    closings: Option<&Bound<'_, PyAny>>,
) -> PyResult<BankAnswer> {
    let py = hold.py();
    let mut asked = Asked::default();
    let mut coil = Coil::new(asked.quantity("hold", hold)?).or_raise(py)?;
    let closed: Time = asked.quantity("closed", closed)?;
    let bank: Voltage = asked.quantity("bank", bank)?;
    if let Some(pull_in) = pull_in {
        let (power, time) =
            asked.pair("pull_in", pull_in, "a pair of a power and a time, ('40 W', '100 ms')")?;
        coil = coil.with_pull_in(power, time).or_raise(py)?;
    }
    let closings = closings.map(|n| asked.count("closings", n)).transpose()?.unwrap_or(1);
    let mut working = Working::new("coil of a contactor");
    let charge = coil.charge_recorded(closed, closings, bank, &mut working).or_raise(py)?;
    let energy = coil.energy(closed, closings).or_raise(py)?;
    let values = vec![("energy", Value::of(energy)), ("charge", Value::of(charge))];
    Ok(BankAnswer::new("contactor_coil", "energy", asked).values(values).worked(working))
}

/// Loss and temperature of a switch under a lasting current, and the current that its place permits.
///
/// Parameters
/// ----------
/// resistance : str or quantity
///     At 25 degC, all paths of both directions.
/// growth_per_kelvin : float or str
///     Growth of that resistance: field-effect transistors 0.004 to 0.007, contacts 0.004 (from memory).
/// rise : pair of temperature rise and power
///     What a power warms it by: ("40 K", "10 W").
/// current, ambient, limit : str or quantity
///
/// Examples
/// --------
/// >>> import orlop
/// >>> warm = orlop.switch_temperature(resistance="0.5 mohm", growth_per_kelvin=0.006, rise=("30 K", "10 W"), current="100 A",
/// ...                                 ambient="40 degC", limit="100 degC")
/// >>> f"{warm['temperature'].m_as('degC'):.1f} degC, {warm['loss'].m_as('W'):.1f} W, {warm.judgements[0].verdict}"
/// '58.0 degC, 6.0 W, pass'
#[pyfunction]
#[pyo3(signature = (*, resistance, growth_per_kelvin, rise, current, ambient, limit))]
pub fn switch_temperature(
    resistance: &Bound<'_, PyAny>,
    growth_per_kelvin: &Bound<'_, PyAny>,
    rise: &Bound<'_, PyAny>,
    current: &Bound<'_, PyAny>,
    ambient: &Bound<'_, PyAny>,
    limit: &Bound<'_, PyAny>,
) -> PyResult<BankAnswer> {
    let py = resistance.py();
    let mut asked = Asked::default();
    let resistance: Resistance = asked.quantity("resistance", resistance)?;
    let growth = number(&mut asked, "growth_per_kelvin", growth_per_kelvin)?;
    let expected = "a pair of a temperature rise and a power, such as ('40 K', '10 W')";
    let (rise, power): (TemperatureRise, Power) = asked.pair("rise", rise, expected)?;
    let current: Current = asked.quantity("current", current)?;
    let ambient: Temperature = asked.quantity("ambient", ambient)?;
    let limit: Temperature = asked.quantity("limit", limit)?;
    let switch = Switch::new(resistance, growth, rise, power).or_raise(py)?;
    let mut values = Vec::new();
    // One that runs away has no temperature: the judgement says so.
    let mut working = Working::new("switch under a lasting current");
    match switch.under_recorded(current, ambient, &mut working) {
        Ok(warm) => {
            values.extend([("temperature", Value::of(warm.temperature)), ("loss", Value::of(warm.loss))]);
        }
        Err(Error::NoSolution { .. }) => {}
        Err(other) => return Err(raise(py, &other)),
    }
    values.push(("current_at_limit", Value::of(switch.current_at(limit, ambient).or_raise(py)?)));
    let judged = switch.judge(current, ambient, limit).or_raise(py)?;
    let answer = BankAnswer::new("switch_temperature", "temperature", asked);
    Ok(answer.values(values).judged(vec![judged]).worked(working))
}

/// Whether the fuse clears a fault before the contactor parts, or the contactor breaks it.
///
/// Parameters
/// ----------
/// fuse : Device
/// fault : Range, pair, str or quantity
///     Fault current on both sides.
/// breaks, parts_after : str or quantity, optional
///     The largest current that the contactor breaks at the bank's voltage, and how long after the fault its contacts part at
///     the earliest. What is not stated counts as nothing.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> fuse = orlop.Device("ul248-15-class-t", "300 A")
/// >>> orlop.judge_breaking(fuse, fault=("4.6 kA", "10.6 kA"), breaks="2 kA", parts_after="20 ms").verdict
/// 'fail'
#[pyfunction]
#[pyo3(signature = (fuse, *, fault, breaks=None, parts_after=None))]
pub fn judge_breaking(
    fuse: &Bound<'_, PyAny>,
    fault: &Bound<'_, PyAny>,
    breaks: Option<&Bound<'_, PyAny>>,
    parts_after: Option<&Bound<'_, PyAny>>,
) -> PyResult<Judgement> {
    let py = fuse.py();
    let Ok(device) = fuse.extract::<PyRef<'_, Device>>() else {
        return Err(raise(py, &Error::input("fuse", convert::short(fuse)?, "a Device")));
    };
    let fault = bounds::<Current>(fault, "fault")?;
    let breaks = breaks.map(|b| convert::quantity(b, "breaks")).transpose()?;
    let parts_after = parts_after.map(|t| convert::quantity(t, "parts_after")).transpose()?;
    let contactor = Contactor::new(breaks, parts_after).or_raise(py)?;
    let device = device.inner.clone();
    run(py, || manager::judge_breaking(&contactor, &device, fault)).map(Judgement)
}
