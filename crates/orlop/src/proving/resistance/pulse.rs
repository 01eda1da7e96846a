//! Direct-current resistance of a battery from two loads (IEC 61960 form), or from rest to a load.

use crate::error::{Error, not_negative, positive};
use crate::proving::uncertainty::{Budget, Common, Term};
use crate::source::{Citation, Confidence};
use orlop_units::{Current, Fraction, Power, Quantity, Resistance, Voltage, ohms, show, volts, watts};

pub(crate) static TWO_STEP: Citation = Citation::fixed(
    "dc-resistance",
    "IEC 61960 and the pulse tests of vehicle battery manuals",
    "",
    "R = (U1 - U2)/(I2 - I1)",
    "0.2 C for 10 s, then 1 C for 1 s; or from rest to a pulse of 10 s",
    Confidence::Published,
    "two instrument pages and one text; three texts for the pulse",
);

/// Volts and amperes at the end of one step; discharge is positive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// Volts at the terminals.
    pub voltage: Voltage,
    /// Current drawn.
    pub current: Current,
}

/// Two steps, with what is known of the meters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pulse {
    /// The lower load, or rest.
    pub first: Step,
    /// The higher load.
    pub second: Step,
    /// Standard uncertainty of one reading of volts: resolution and noise.
    pub volt_noise: Voltage,
    /// Standard uncertainty of one reading of the current.
    pub current_noise: Current,
    /// Limits of the current meter's error in proportion, to both sides.
    pub gain: Fraction,
    /// By how much the open-circuit voltage fell between the readings: at least and at most. It is no resistance, and is
    /// subtracted.
    pub rest_fell: (Voltage, Voltage),
}

impl Pulse {
    /// The resistance: R = (U1 - U2 - fall of the open-circuit voltage)/(I2 - I1).
    ///
    /// # Errors
    /// [`Error::Input`] for a second current that is not above the first, volts that do not fall, uncertainties that are negative, and bounds of
    /// the open-circuit voltage out of order.
    ///
    /// ```
    /// use orlop::proving::resistance::{Pulse, Step};
    /// use orlop::units::{amperes, show, volts, Fraction};
    /// let pulse = Pulse {
    ///     first: Step { voltage: volts(13.20), current: amperes(0.0) },
    ///     second: Step { voltage: volts(12.85), current: amperes(100.0) },
    ///     volt_noise: volts(0.005),
    ///     current_noise: amperes(0.5),
    ///     gain: Fraction::new(0.005),
    ///     rest_fell: (volts(0.0), volts(0.0)),
    /// };
    /// assert_eq!(show(pulse.resistance()?.value()), "3.5 mohm");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn resistance(&self) -> Result<Budget<Resistance>, Error> {
        let rise = self.second.current - self.first.current;
        if !(rise.si() > 0.0 && rise.si().is_finite()) {
            let got = format!("{} after {}", show(self.second.current), show(self.first.current));
            return Err(Error::input("second current", got, "a current above the first"));
        }
        not_negative(self.volt_noise, "volt_noise")?;
        not_negative(self.current_noise, "current_noise")?;
        not_negative(self.gain, "gain")?;
        let (least, most) = (not_negative(self.rest_fell.0, "rest_fell")?, self.rest_fell.1);
        if !(most >= least && most.si().is_finite()) {
            let got = format!("{} to {}", show(least), show(most));
            return Err(Error::input("rest_fell", got, "the smaller bound first"));
        }
        let drop = self.first.voltage - self.second.voltage - (least + most) * 0.5;
        if !(drop.si() > 0.0 && drop.si().is_finite()) {
            let got = format!("{} after {}", show(self.second.voltage), show(self.first.voltage));
            return Err(Error::input(
                "second voltage",
                got,
                "volts that fall with the load, by more than the rest voltage fell",
            ));
        }
        let (current, value) = (rise.si(), drop.si() / rise.si());
        let two = 2.0_f64.sqrt();
        Budget::new(
            ohms(value),
            vec![
                Term::normal("volts", self.volt_noise, two / current, Common::Own),
                Term::normal("current", self.current_noise, two * value / current, Common::Own),
                Term::tolerance("gain", self.gain, value, Common::Instrument),
                Term::tolerance(
                    "open-circuit voltage",
                    volts(0.5 * (most - least).si()),
                    1.0 / current,
                    Common::Procedure,
                ),
            ],
        )
    }

    /// Power that the battery can give down to a lowest voltage: P = U_min (U_rest - U_min)/R.
    ///
    /// # Errors
    /// As [`Pulse::resistance`], and [`Error::Input`] for a rest voltage that is not above the lowest one.
    pub fn power(&self, rest: Voltage, lowest: Voltage) -> Result<Power, Error> {
        let r = self.resistance()?.value();
        let lowest = positive(lowest, "lowest voltage")?;
        if !(rest > lowest && rest.si().is_finite()) {
            return Err(Error::input(
                "rest voltage",
                show(rest),
                format!("volts above the lowest of {}", show(lowest)),
            ));
        }
        Ok(watts(lowest.si() * (rest - lowest).si() / r.si()))
    }
}
