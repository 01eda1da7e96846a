//! Heat balance of the box.
//!
//! dT = P/(h A) in the end, with a time constant of m c/(h A). h of still air and radiation together is 5 to 10 W/(m2 K).

use crate::error::{Error, not_negative, positive};
use crate::range::Range;
use crate::source::{Citation, Confidence};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Area, Mass, Power, Quantity, SpecificHeat, TemperatureRise, Time, seconds, significant};

pub(crate) static STILL_AIR: Citation = Citation::fixed(
    "still-air-heat-transfer",
    "common practice",
    "",
    "",
    "5 to 10 W/(m2 K) by convection and radiation in still air",
    Confidence::Memory,
    "recalled",
);

/// Heat transfer of still air, W/(m2 K).
const TRANSFER: (f64, f64) = (5.0, 10.0);

fn transfer_text(low: f64, high: f64) -> String {
    if low == high { format!("{low} W/(m2 K)") } else { format!("{low} to {high} W/(m2 K)") }
}

fn transfers(given: Option<f64>) -> Result<(f64, f64), Error> {
    match given {
        None => Ok(TRANSFER),
        Some(h) if h.is_finite() && h > 0.0 => Ok((h, h)),
        Some(h) => Err(Error::input("transfer_w_m2k", h.to_string(), "W/(m2 K) above zero")),
    }
}

/// Rise of a box over the air around it in the end, with the heat transfer of still air where none is given.
///
/// # Errors
/// [`Error::Input`] for a negative loss, or a surface or transfer not above zero.
pub fn rise(
    loss: Power,
    surface: Area,
    transfer_w_m2k: Option<f64>,
) -> Result<Range<TemperatureRise>, Error> {
    rise_recorded(loss, surface, transfer_w_m2k, &mut Silent)
}

/// The same with its steps.
///
/// # Errors
/// As [`rise`].
pub fn rise_recorded(
    loss: Power,
    surface: Area,
    transfer_w_m2k: Option<f64>,
    rec: &mut impl Recorder,
) -> Result<Range<TemperatureRise>, Error> {
    let (low, high) = transfers(transfer_w_m2k)?;
    let per = not_negative(loss, "loss")?.si() / positive(surface, "surface")?.si();
    let rise = Range::new(TemperatureRise::kelvins(per / high), TemperatureRise::kelvins(per / low));
    rec.step(|| {
        let step = Step::new("rise over the air in the end", "dT", rise.to_string())
            .formula("P/(h A)")
            .input("P", loss)
            .input("h", transfer_text(low, high))
            .input("A", format!("{} m2", significant(surface.si(), 4)));
        if transfer_w_m2k.is_none() { step.source(&STILL_AIR) } else { step }
    });
    Ok(rise)
}

/// Time in which it comes to 63 percent of that.
///
/// # Errors
/// [`Error::Input`] for a value not above zero.
pub fn time_constant(
    mass: Mass,
    heat: SpecificHeat,
    surface: Area,
    transfer_w_m2k: Option<f64>,
) -> Result<Range<Time>, Error> {
    time_constant_recorded(mass, heat, surface, transfer_w_m2k, &mut Silent)
}

/// The same with its steps.
///
/// # Errors
/// As [`time_constant`].
pub fn time_constant_recorded(
    mass: Mass,
    heat: SpecificHeat,
    surface: Area,
    transfer_w_m2k: Option<f64>,
    rec: &mut impl Recorder,
) -> Result<Range<Time>, Error> {
    let (low, high) = transfers(transfer_w_m2k)?;
    let stored = positive(mass, "mass")?.si() * positive(heat, "heat")?.si();
    let per = stored / positive(surface, "surface")?.si();
    let time = Range::new(seconds(per / high), seconds(per / low));
    rec.step(|| {
        Step::new("time to 63 % of it", "tau", time.to_string())
            .formula("m c/(h A)")
            .input("m", mass)
            .input("c", heat)
            .input("h", transfer_text(low, high))
            .input("A", format!("{} m2", significant(surface.si(), 4)))
    });
    Ok(time)
}
