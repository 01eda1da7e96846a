//! What it costs to hold a contactor.

use crate::error::{Error, positive};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Charge, Energy, Power, Quantity, Time, Voltage, coulombs, joules};

/// The coil of a contactor: what it takes to close, for how long, and to hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coil {
    hold: Power,
    pull: Option<(Power, Time)>,
}

impl Coil {
    /// A coil by the power that holds it, its economiser counted.
    ///
    /// # Errors
    /// [`Error::Input`] for a power not above zero.
    pub fn new(hold: Power) -> Result<Self, Error> {
        Ok(Self { hold: positive(hold, "hold")?, pull: None })
    }

    /// The same with the power that pulls it in, and how long.
    ///
    /// # Errors
    /// [`Error::Input`] for a value not above zero.
    pub fn with_pull_in(self, power: Power, time: Time) -> Result<Self, Error> {
        Ok(Self { pull: Some((positive(power, "pull_in")?, positive(time, "pull_in_time")?)), ..self })
    }

    /// Energy in a time closed, with so many closings.
    ///
    /// ```
    /// use orlop::{pack::manager::Coil, units::{seconds, show, watts}};
    /// let coil = Coil::new(watts(5.0))?;
    /// assert_eq!(show(coil.energy(seconds(86_400.0), 1)?), "120 Wh");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::Input`] for a time not above zero.
    pub fn energy(&self, closed: Time, closings: u32) -> Result<Energy, Error> {
        self.energy_recorded(closed, closings, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Coil::energy`].
    pub fn energy_recorded(
        &self,
        closed: Time,
        closings: u32,
        rec: &mut impl Recorder,
    ) -> Result<Energy, Error> {
        let pulls = self.pull.map_or(0.0, |(p, t)| p.si() * t.si()) * f64::from(closings);
        let energy = joules(self.hold.si() * positive(closed, "closed")?.si() + pulls);
        rec.step(|| {
            let step = Step::new("energy of the coil", "E", energy)
                .formula("P_hold t + n P_pull t_pull")
                .input("P_hold", self.hold)
                .input("t", closed)
                .input("n", f64::from(closings));
            match self.pull {
                Some((power, time)) => step.input("P_pull", power).input("t_pull", time),
                None => step,
            }
        });
        Ok(energy)
    }

    /// The power that holds it.
    #[must_use]
    pub fn hold(&self) -> Power {
        self.hold
    }

    /// The same as charge taken from a bank.
    ///
    /// # Errors
    /// As [`Coil::energy`], and for a voltage not above zero.
    pub fn charge(&self, closed: Time, closings: u32, bank: Voltage) -> Result<Charge, Error> {
        self.charge_recorded(closed, closings, bank, &mut Silent)
    }

    /// The same with its steps, those of the energy first.
    ///
    /// # Errors
    /// As [`Coil::charge`].
    pub fn charge_recorded(
        &self,
        closed: Time,
        closings: u32,
        bank: Voltage,
        rec: &mut impl Recorder,
    ) -> Result<Charge, Error> {
        let energy = self.energy_recorded(closed, closings, rec)?;
        let charge = coulombs(energy.si() / positive(bank, "bank")?.si());
        rec.step(|| Step::new("charge from the bank", "Q", charge).formula("E/U").input("U", bank));
        Ok(charge)
    }
}
