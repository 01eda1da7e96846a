//! Air for a lead-acid bank.
//!
//! Q = 0.05 n I C10/1000 in m3/h for n cells of C10 ampere-hours that gas with I mA/Ah; openings A = 28 Q in cm2, one for inlet and
//! one for outlet (air at 0.1 m/s). 0.05 is 24 (to 4 percent) x 0.42 l/Ah x 5, rounded; one page on part 3 of the standard prints
//! 0.055. Where current is known: hydrogen by Faraday's law, n I R T/(2 F p).

use crate::choice::choice;
use crate::error::{Error, positive};
use crate::source::{Citation, Confidence};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{
    Area, Charge, Current, Fraction, Length, Power, Quantity, Temperature, Volume, cubic_metres, millimetres,
    show, square_metres, watts,
};

pub(crate) static GAS: Citation = Citation::fixed(
    "iec62485-2-ventilation",
    "IEC 62485-2 and EN 50272-2",
    "",
    "ventilation, Table 1",
    "Q = 0.05 n Igas C10 10^-3 m3/h, A = 28 Q cm2; Igas 5 and 20 mA/Ah vented, 1 and 8 valve-regulated",
    Confidence::Published,
    "two copies of formula and table",
);
pub(crate) static DISTANCE: Citation = Citation::fixed(
    "iec62485-2-distance",
    "IEC 62485-2",
    "",
    "safety distance",
    "d = 28.8 (Igas C)^(1/3) mm, Igas in mA/Ah",
    Confidence::Memory,
    "recalled",
);
pub(crate) static AIR_CFR46: Citation = Citation::fixed(
    "cfr46-111-15-10",
    "46 CFR 111.15-10",
    "",
    "(c)",
    "q = 3.89 i n ft3/h (0.110 i n m3/h), i the largest gassing current or a quarter of the charger's, the greater",
    Confidence::Published,
    "one copy",
);

const CUBIC_FOOT: f64 = 0.028_316_846_592;

choice! {
    /// How a lead-acid bank is charged, and how it is built.
    Gassing {
        /// Free electrolyte, float charge at 2.23 V per cell.
        VentedFloat = "vented-float",
        /// Free electrolyte, boost charge at 2.40 V per cell: what a boat's charger does.
        VentedBoost = "vented-boost",
        /// Valve-regulated (glass mat or gel), float charge at 2.27 V per cell.
        ValveFloat = "valve-float",
        /// Valve-regulated, boost charge at 2.40 V per cell.
        ValveBoost = "valve-boost",
    }
}

impl Gassing {
    /// Current that makes gas, mA/Ah.
    #[must_use]
    pub fn milliamperes_per_ampere_hour(self) -> f64 {
        match self {
            Self::VentedFloat => 5.0,
            Self::VentedBoost => 20.0,
            Self::ValveFloat => 1.0,
            Self::ValveBoost => 8.0,
        }
    }
}

/// Air that a bank needs. Made by [`ventilation`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ventilation {
    /// Air in an hour.
    pub air_per_hour: Volume,
    /// Inlet, and outlet, each, where nothing drives the air.
    pub opening: Area,
    /// Distance from the cells to anything that sparks or glows.
    pub keep_away: Length,
}

/// Air for a lead-acid bank, by the standard. See the [module](self) for the formula.
///
/// `capacity` is that at the ten-hour rate of all strings together; `cells` those in series. Valid to about 40 degC.
///
/// ```
/// use orlop::{pack::ventilation::{ventilation, Gassing}, units::{ampere_hours, show}};
/// let air = ventilation(12, ampere_hours(200.0), Gassing::VentedBoost)?;
/// assert_eq!(show(air.air_per_hour), "2400 l");
/// # Ok::<(), orlop::Error>(())
/// ```
///
/// # Errors
/// [`Error::Input`] for no cell or a capacity not above zero.
pub fn ventilation(cells: u32, capacity: Charge, gassing: Gassing) -> Result<Ventilation, Error> {
    ventilation_recorded(cells, capacity, gassing, &mut Silent)
}

/// The same with its steps.
///
/// # Errors
/// As [`ventilation`].
pub fn ventilation_recorded(
    cells: u32,
    capacity: Charge,
    gassing: Gassing,
    rec: &mut impl Recorder,
) -> Result<Ventilation, Error> {
    if cells == 0 {
        return Err(Error::input("cells", "0", "cells in series"));
    }
    let gas = gassing.milliamperes_per_ampere_hour() * positive(capacity, "capacity")?.out();
    let air = 0.05 * f64::from(cells) * gas * 1e-3;
    let answer = Ventilation {
        air_per_hour: cubic_metres(air),
        opening: square_metres(28e-4 * air),
        keep_away: millimetres(28.8 * gas.cbrt()),
    };
    rec.step(|| {
        Step::new("air in an hour", "Q", answer.air_per_hour)
            .formula("0.05 n Igas C10/1000 m3")
            .input("n", f64::from(cells))
            .input("Igas", format!("{} mA/Ah", gassing.milliamperes_per_ampere_hour()))
            .input("C10", capacity)
            .source(&GAS)
    });
    rec.step(|| Step::new("inlet and outlet, each", "A", answer.opening).formula("28 Q cm2").source(&GAS));
    rec.step(|| {
        Step::new("distance to sparks", "d", answer.keep_away)
            .formula("28.8 (Igas C10)^(1/3) mm")
            .source(&DISTANCE)
    });
    Ok(answer)
}

/// Air in an hour by 46 CFR: 3.89 i n cubic feet, i the larger of the gassing current and a quarter of the charger's current.
///
/// # Errors
/// [`Error::Input`] for no cell or a current not above zero.
pub fn air_by_cfr46(cells: u32, gassing: Current, charger: Current) -> Result<Volume, Error> {
    if cells == 0 {
        return Err(Error::input("cells", "0", "cells in series"));
    }
    let (gassing, charger) = (positive(gassing, "gassing")?.si(), positive(charger, "charger")?.si());
    Ok(cubic_metres(3.89 * gassing.max(0.25 * charger) * f64::from(cells) * CUBIC_FOOT))
}

/// Hydrogen in an hour from a current that only makes gas, by Faraday's law at one atmosphere.
///
/// # Errors
/// [`Error::Input`] for no cell, a current not above zero, or a temperature outside -40 to 100 degC.
pub fn hydrogen_per_hour(cells: u32, current: Current, at: Temperature) -> Result<Volume, Error> {
    if cells == 0 {
        return Err(Error::input("cells", "0", "cells in series"));
    }
    let celsius = at.degrees_celsius();
    if !(-40.0..=100.0).contains(&celsius) {
        return Err(Error::input("temperature", show(at), "-40 to 100 degC"));
    }
    // CODATA 2018: R = 8.314462618 J/(mol K), F = 96485.33212 C/mol.
    let molar = 8.314_462_618 * (celsius + 273.15) / 101_325.0;
    let moles = positive(current, "current")?.si() * 3600.0 / (2.0 * 96_485.332_12);
    Ok(cubic_metres(f64::from(cells) * moles * molar))
}

/// Air that keeps a gas below a share of it: gas over share.
///
/// # Errors
/// [`Error::Input`] for a gas not above zero, or a share not above zero or above one.
pub fn dilution(gas: Volume, share: Fraction) -> Result<Volume, Error> {
    let share = positive(share, "share")?.value();
    if share > 1.0 {
        return Err(Error::input("share", show(Fraction::new(share)), "at most 100 %"));
    }
    Ok(positive(gas, "gas")? / share)
}

choice! {
    /// How large an installation is, by the output of its charger: 46 CFR 111.15-3.
    Installation {
        /// Below 0.2 kW.
        Small = "small",
        /// 0.2 kW to 2 kW: not in a sleeping space.
        Moderate = "moderate",
        /// Above 2 kW: a room, locker or box of its own, with ventilation by the formula.
        Large = "large",
    }
}

impl Installation {
    /// The size of an installation.
    ///
    /// # Errors
    /// [`Error::Input`] for a power not above zero.
    pub fn of(charger: Power) -> Result<Self, Error> {
        let charger = positive(charger, "charger")?;
        Ok(match charger {
            p if p < watts(200.0) => Self::Small,
            p if p <= watts(2000.0) => Self::Moderate,
            _ => Self::Large,
        })
    }
}
