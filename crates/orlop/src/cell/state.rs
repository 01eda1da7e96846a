//! State of charge and rate: numbers whose meaning is not their dimension.

use crate::error::{Error, positive};
use orlop_units::{Charge, Current, Fraction, Kind, Number, Quantity, significant};

/// How full a cell is, from 0 (empty) to 1 (full), of its capacity.
///
/// ```
/// use orlop::cell::StateOfCharge;
/// assert_eq!(StateOfCharge::new(0.5)?.share(), 0.5);
/// assert!(StateOfCharge::new(1.01).is_err());
/// # Ok::<(), orlop::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct StateOfCharge(f64);

impl StateOfCharge {
    /// Nothing left.
    pub const EMPTY: Self = Self(0.0);
    /// Fully charged.
    pub const FULL: Self = Self(1.0);

    /// From a share: 0.5 is half full.
    ///
    /// # Errors
    /// [`Error::Input`] outside 0 to 1.
    pub fn new(share: f64) -> Result<Self, Error> {
        Self(share).checked("state of charge")
    }

    /// From a percentage that somebody wrote.
    ///
    /// # Errors
    /// [`Error::Input`] outside 0 to 100 %.
    pub fn of(percentage: Fraction) -> Result<Self, Error> {
        Self::new(percentage.value())
    }

    /// The share of the capacity that is left.
    #[must_use]
    pub fn share(self) -> f64 {
        self.0
    }

    /// Refuses a state that no cell has; [`Quantity::from_si`] does not look.
    pub(crate) fn checked(self, field: &str) -> Result<Self, Error> {
        if (0.0..=1.0).contains(&self.0) {
            return Ok(self);
        }
        let got = if self.0.is_finite() { significant(100.0 * self.0, 4) + " %" } else { self.0.to_string() };
        Err(Error::input(field, got, "a share between 0 % (empty) and 100 % (full)"))
    }
}

impl Quantity for StateOfCharge {
    const KIND: Kind = Kind::Fraction;
    fn from_si(value: f64) -> Self {
        Self(value)
    }
    fn si(self) -> f64 {
        self.0
    }
}

/// Current in multiples of the capacity per hour: 115 A on 230 Ah is 0.5.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Rate(f64);

impl Rate {
    /// From the multiple.
    ///
    /// # Errors
    /// [`Error::Input`] for anything not above zero.
    pub fn new(per_hour: f64) -> Result<Self, Error> {
        positive(Number::of(per_hour), "rate").map(|n| Self(n.get()))
    }

    /// The rate of a current on a capacity.
    ///
    /// # Errors
    /// [`Error::Input`] for a current or a capacity not above zero.
    pub fn of(current: Current, capacity: Charge) -> Result<Self, Error> {
        Ok(Self(positive(current, "current")?.si() * 3600.0 / positive(capacity, "capacity")?.si()))
    }

    /// The multiple of the capacity per hour.
    #[must_use]
    pub fn per_hour(self) -> f64 {
        self.0
    }
}

impl std::fmt::Display for Rate {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}C", significant(self.0, 3))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use orlop_units::{ampere_hours, amperes};

    #[test]
    fn states_and_rates_outside_their_range_are_refused() {
        for bad in [f64::NAN, f64::INFINITY, -0.001, 1.001] {
            assert_eq!(StateOfCharge::new(bad).unwrap_err().code(), "input");
        }
        for bad in [f64::NAN, f64::INFINITY, 0.0, -1.0] {
            assert!(Rate::new(bad).is_err());
            assert!(Rate::of(amperes(bad), ampere_hours(100.0)).is_err());
            assert!(Rate::of(amperes(1.0), ampere_hours(bad)).is_err());
        }
        assert_eq!(Rate::of(amperes(115.0), ampere_hours(230.0)).unwrap().to_string(), "0.5C");
        let text = StateOfCharge::new(1.2).unwrap_err().to_string();
        assert_eq!(text, "state of charge: got 120 %, expected a share between 0 % (empty) and 100 % (full)");
    }
}
