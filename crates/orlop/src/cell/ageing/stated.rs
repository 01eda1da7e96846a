//! Life by what a sheet claims: the shortest of calendar and cycles.

use super::life::{Decides, YEAR_S};
use crate::error::{Error, not_negative, positive};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Energy, Number, Quantity, Time, seconds, significant};

/// What is claimed of a bank.
///
/// ```
/// use orlop::cell::ageing::{Decides, StatedLife};
/// use orlop::units::{parse, Quantity};
/// let lead = StatedLife::new(500.0, parse("5 years", "calendar")?)?;
/// let a_year = StatedLife::cycles_a_year(parse("480 kWh", "demand")?, parse("2.4 kWh", "usable")?)?; // 200
/// let (life, decides) = lead.under(a_year)?;
/// assert_eq!(decides, Decides::Cycles);
/// assert!((life.si() / (2.5 * 365.25 * 86400.0) - 1.0).abs() < 1e-12); // two and a half years
/// # Ok::<(), orlop::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StatedLife {
    cycles: f64,
    calendar: Time,
}

impl StatedLife {
    /// From a number of cycles, of the depth they are used at, and a calendar life.
    ///
    /// # Errors
    /// [`Error::Input`] for one that is not above zero.
    pub fn new(cycles: f64, calendar: Time) -> Result<Self, Error> {
        Ok(Self {
            cycles: positive(Number::of(cycles), "cycles")?.get(),
            calendar: positive(calendar, "calendar")?,
        })
    }

    /// The same with so many times the cycles.
    ///
    /// # Errors
    /// [`Error::Input`] for a factor not above zero.
    pub fn with_cycles_times(self, factor: f64) -> Result<Self, Error> {
        Self::new(self.cycles * factor, self.calendar)
    }

    /// The same with so many times the calendar life.
    ///
    /// # Errors
    /// [`Error::Input`] for a factor not above zero.
    pub fn with_calendar_times(self, factor: f64) -> Result<Self, Error> {
        Self::new(self.cycles, self.calendar * factor)
    }

    /// Cycles of the usable energy in a year.
    ///
    /// # Errors
    /// [`Error::Input`] for a demand below zero or a usable energy not above zero.
    pub fn cycles_a_year(demand_a_year: Energy, usable: Energy) -> Result<f64, Error> {
        Ok(not_negative(demand_a_year, "demand")?.si() / positive(usable, "usable")?.si())
    }

    /// How long it lasts under so many cycles a year, and what decides.
    ///
    /// # Errors
    /// [`Error::Input`] for a negative number of cycles.
    pub fn under(&self, cycles_a_year: f64) -> Result<(Time, Decides), Error> {
        self.under_recorded(cycles_a_year, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`StatedLife::under`].
    pub fn under_recorded(
        &self,
        cycles_a_year: f64,
        rec: &mut impl Recorder,
    ) -> Result<(Time, Decides), Error> {
        let a_year = not_negative(Number::of(cycles_a_year), "cycles_a_year")?.get();
        let by_cycles = seconds(self.cycles / a_year * YEAR_S);
        let (life, decides) = if by_cycles < self.calendar {
            (by_cycles, Decides::Cycles)
        } else {
            (self.calendar, Decides::Calendar)
        };
        rec.step(|| {
            Step::new("life", "t", format!("{} years", significant(life.si() / YEAR_S, 3)))
                .formula("the shorter of the calendar and the cycles over the cycles in a year")
                .input("calendar", format!("{} years", significant(self.calendar.si() / YEAR_S, 3)))
                .input("cycles", self.cycles)
                .input("cycles a year", a_year)
        });
        Ok((life, decides))
    }
}
