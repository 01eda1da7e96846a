//! The form all models share: a loss that grows as a power of time or of cycles.

use crate::cell::{Rate, StateOfCharge};
use crate::error::{Error, not_negative};
use crate::source::Citation;
use orlop_units::{Fraction, Number, Quantity, Temperature};

/// How a cell is kept.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Storage {
    /// Its charge, or the mean of it.
    pub charge: StateOfCharge,
    /// Its temperature.
    pub temperature: Temperature,
}

/// How a cell is cycled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cycling {
    /// Charge taken out and put back in a cycle, as a share of the capacity.
    pub depth: Fraction,
    /// Rate of the current.
    pub rate: Rate,
    /// Charge in the middle of a cycle.
    pub middle: StateOfCharge,
    /// Temperature of the cell.
    pub temperature: Temperature,
}

/// A loss by a power law: offset + factor x^exponent, x in days or in full equivalent cycles.
///
/// A full equivalent cycle takes the whole capacity out once and puts it back, in however many parts.
#[derive(Clone, Debug, PartialEq)]
pub struct Law {
    /// What stands before x = 1: below zero where a new cell holds more than its rating.
    pub offset: f64,
    /// The loss that one day or cycle makes, as a share.
    pub factor: f64,
    /// The power of x.
    pub exponent: f64,
    /// What a reader must know.
    pub flags: Vec<String>,
    /// Where it comes from.
    pub citation: Citation,
}

impl Law {
    /// Share lost after so many days or full equivalent cycles.
    ///
    /// # Errors
    /// [`Error::Input`] for a number that is negative or none.
    pub fn after(&self, days_or_cycles: f64) -> Result<Fraction, Error> {
        let x = not_negative(Number::of(days_or_cycles), "days or cycles")?;
        Ok(Fraction::new(self.at(x.get())))
    }

    /// Days or full equivalent cycles until a share is lost; none when it never is.
    ///
    /// # Errors
    /// [`Error::Input`] for a share not between 0 and 1.
    pub fn until(&self, lost: Fraction) -> Result<Option<f64>, Error> {
        let share = lost_share(lost)?;
        Ok(self.reaches(share))
    }

    pub(super) fn at(&self, x: f64) -> f64 {
        self.offset + self.factor * x.powf(self.exponent)
    }

    pub(super) fn reaches(&self, share: f64) -> Option<f64> {
        let x = ((share - self.offset) / self.factor).powf(1.0 / self.exponent);
        (self.factor > 0.0 && x.is_finite()).then_some(x)
    }
}

pub(super) fn lost_share(lost: Fraction) -> Result<f64, Error> {
    let share = lost.value();
    if share > 0.0 && share < 1.0 {
        return Ok(share);
    }
    Err(Error::input("lost", orlop_units::show(lost), "a share between 0 % and 100 %, both excluded"))
}

/// Refuses conditions that no cell is in.
impl Storage {
    pub(super) fn checked(self) -> Result<Self, Error> {
        self.charge.checked("state of charge")?;
        temperature(self.temperature)?;
        Ok(self)
    }
}

impl Cycling {
    pub(super) fn checked(self) -> Result<Self, Error> {
        self.middle.checked("middle")?;
        temperature(self.temperature)?;
        depth(self.depth)?;
        Ok(self)
    }
}

pub(super) fn depth(depth: Fraction) -> Result<f64, Error> {
    let d = depth.value();
    if d > 0.0 && d <= 1.0 {
        return Ok(d);
    }
    Err(Error::input("depth", orlop_units::show(depth), "a depth of discharge above 0 % and up to 100 %"))
}

fn temperature(t: Temperature) -> Result<(), Error> {
    if t.si().is_finite() && t.si() > -273.15 {
        return Ok(());
    }
    Err(Error::input("temperature", t.si().to_string(), "a temperature"))
}
