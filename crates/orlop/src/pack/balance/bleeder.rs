//! What balancing must make up in service, and a resistor that does.

use crate::error::{Error, not_negative, positive};
use crate::judgement::{Judgement, Sense, Severity};
use crate::source::Confidence;
use crate::working::{Recorder, Silent, Step};
use orlop_units::{
    Charge, Current, Fraction, Power, Quantity, Resistance, Time, Voltage, amperes, ohms, seconds, show,
};

/// The mean month of a year, s.
const MONTH: f64 = 2_629_746.0;

/// Mean current that balancing must move: the spread of self-discharge among the cells, a share of the capacity in a month.
///
/// ```
/// use orlop::{pack::balance::drift, units::{ampere_hours, show, Fraction}};
/// assert_eq!(show(drift(ampere_hours(280.0), Fraction::new(0.01))?), "3.83 mA");
/// # Ok::<(), orlop::Error>(())
/// ```
///
/// # Errors
/// [`Error::Input`] for a capacity not above zero or a negative spread.
pub fn drift(capacity: Charge, spread_per_month: Fraction) -> Result<Current, Error> {
    let spread = not_negative(spread_per_month, "spread_per_month")?;
    Ok(amperes(positive(capacity, "capacity")?.si() * spread.value() / MONTH))
}

/// A resistor that a manager ties across a cell that is fuller than the others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bleeder {
    resistance: Resistance,
    voltage: Voltage,
}

impl Bleeder {
    /// A resistor and the voltage of the cell while it bleeds.
    ///
    /// # Errors
    /// [`Error::Input`] for a value not above zero.
    pub fn new(resistance: Resistance, voltage: Voltage) -> Result<Self, Error> {
        Ok(Self { resistance: positive(resistance, "resistance")?, voltage: positive(voltage, "voltage")? })
    }

    /// The resistor for a wanted current.
    ///
    /// # Errors
    /// [`Error::Input`] for a value not above zero.
    pub fn of_current(current: Current, voltage: Voltage) -> Result<Self, Error> {
        let r = positive(voltage, "voltage")?.si() / positive(current, "current")?.si();
        Self::new(ohms(r), voltage)
    }

    /// Its current: U/R.
    #[must_use]
    pub fn current(&self) -> Current {
        self.voltage / self.resistance
    }

    /// Its heat: U^2/R.
    #[must_use]
    pub fn heat(&self) -> Power {
        self.voltage * self.current()
    }

    /// Time to bleed a charge, when it works for a share of the time (it bleeds near the top only).
    ///
    /// # Errors
    /// [`Error::Input`] for a negative charge, or a share not above zero or above one.
    pub fn time(&self, charge: Charge, share_of_time: Fraction) -> Result<Time, Error> {
        self.time_recorded(charge, share_of_time, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Bleeder::time`].
    pub fn time_recorded(
        &self,
        charge: Charge,
        share_of_time: Fraction,
        rec: &mut impl Recorder,
    ) -> Result<Time, Error> {
        let share = share(share_of_time)?;
        let time = seconds(not_negative(charge, "charge")?.si() / self.current().si() / share);
        rec.step(|| {
            Step::new("time to bleed a charge", "t", time)
                .formula("Q/(I s)")
                .input("Q", charge)
                .input("I", self.current())
                .input("s", share_of_time)
        });
        Ok(time)
    }

    /// Whether it makes up for the drift of the cells: rule `balance-keeps-up`.
    ///
    /// # Errors
    /// As [`drift`] and [`Bleeder::time`].
    pub fn keeps_up(
        &self,
        capacity: Charge,
        spread_per_month: Fraction,
        share_of_time: Fraction,
    ) -> Result<Judgement, Error> {
        self.keeps_up_recorded(capacity, spread_per_month, share_of_time, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Bleeder::keeps_up`].
    pub fn keeps_up_recorded(
        &self,
        capacity: Charge,
        spread_per_month: Fraction,
        share_of_time: Fraction,
        rec: &mut impl Recorder,
    ) -> Result<Judgement, Error> {
        let need = drift(capacity, spread_per_month)?;
        let mean = self.current() * share(share_of_time)?;
        rec.step(|| {
            Step::new("current of the resistor", "I", self.current())
                .formula("U/R")
                .input("U", self.voltage)
                .input("R", self.resistance)
        });
        rec.step(|| Step::new("its heat", "P", self.heat()).formula("U^2/R"));
        rec.step(|| {
            Step::new("mean drift of the cells", "I_drift", need)
                .formula("C spread/month")
                .input("C", capacity)
                .input("spread", spread_per_month)
                .input("month", seconds(MONTH))
        });
        rec.step(|| {
            Step::new("mean current of the resistor", "I_mean", mean).formula("I s").input("s", share_of_time)
        });
        Ok(Judgement::compare("balance-keeps-up", "bank.balance", Severity::C, mean, Sense::AtLeast, need)
            .clause("mean current of the resistor against the mean drift of the cells", Confidence::Published)
            .what(format!(
                "bleeding {} for {} of the time is {} on the mean; the cells drift apart by {}",
                show(self.current()),
                show(share_of_time),
                show(mean),
                show(need)
            ))
            .to_do(
                "hold the bank at the top for longer now and then, or choose a manager that balances faster",
            ))
    }
}

fn share(of_time: Fraction) -> Result<f64, Error> {
    let share = positive(of_time, "share_of_time")?.value();
    if share > 1.0 {
        return Err(Error::input("share_of_time", show(of_time), "at most 100 %"));
    }
    Ok(share)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use orlop_units::{ampere_hours, volts};

    // 3.45 V on 33 ohm: 0.1045 A, 0.361 W; 2.8 Ah take 26.8 h (arithmetic of a published balancing note).
    #[test]
    fn a_bleeder_by_ohms_law() {
        let bleeder = Bleeder::new(ohms(33.0), volts(3.45)).unwrap();
        assert_relative_eq!(bleeder.current().si(), 0.1045, max_relative = 1e-3);
        assert_relative_eq!(bleeder.heat().si(), 0.361, max_relative = 1e-3);
        let all = Fraction::new(1.0);
        let time = |ah| bleeder.time(ampere_hours(ah), all).unwrap().si() / 3600.0;
        assert_relative_eq!(time(2.8), 26.8, max_relative = 1e-3);
        assert_relative_eq!(time(5.6), 53.6, max_relative = 1e-3);
    }
}
