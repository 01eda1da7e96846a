//! A resistance with a capacitance across it: what makes a cell's voltage lag behind its current.

use crate::error::{Error, positive};
use orlop_units::{Capacitance, Resistance, Time};

/// A resistance with a capacitance across it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    resistance: Resistance,
    capacitance: Capacitance,
}

impl Pair {
    /// From both.
    ///
    /// # Errors
    /// [`Error::Input`] for one that is not above zero.
    pub fn new(resistance: Resistance, capacitance: Capacitance) -> Result<Self, Error> {
        Ok(Self {
            resistance: positive(resistance, "pair resistance")?,
            capacitance: positive(capacitance, "pair capacitance")?,
        })
    }
    /// Its resistance.
    #[must_use]
    pub fn resistance(self) -> Resistance {
        self.resistance
    }
    /// Its capacitance.
    #[must_use]
    pub fn capacitance(self) -> Capacitance {
        self.capacitance
    }
    /// Resistance times capacitance.
    #[must_use]
    pub fn time_constant(self) -> Time {
        self.resistance * self.capacitance
    }
}
