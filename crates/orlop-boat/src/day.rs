//! A day of the calendar, written as year-month-day.

use orlop::Error;
use std::fmt;

/// A day of the Gregorian calendar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day {
    year: u16,
    month: u8,
    day: u8,
}

impl Day {
    /// What is accepted.
    pub const EXPECTED: &'static str = "a day as year-month-day, such as 2026-11-25";

    /// Reads a day as ISO 8601 writes it: four digits, two, two.
    ///
    /// # Errors
    /// [`Error::Input`] for anything that is no day of the calendar.
    ///
    /// ```
    /// use orlop_boat::day::Day;
    /// assert_eq!(Day::parse("2028-02-29", "date")?.to_string(), "2028-02-29");
    /// assert!(Day::parse("2026-02-29", "date").is_err());
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn parse(text: &str, field: &str) -> Result<Self, Error> {
        let wrong = || {
            let short: String = text.chars().take(40).collect();
            Error::input(field, format!("'{short}'"), Self::EXPECTED)
        };
        let trimmed = text.trim();
        let parts: Vec<&str> = trimmed.split('-').collect();
        let &[y, m, d] = parts.as_slice() else { return Err(wrong()) };
        let digits = trimmed.bytes().all(|b| b.is_ascii_digit() || b == b'-');
        if !digits || (y.len(), m.len(), d.len()) != (4, 2, 2) {
            return Err(wrong());
        }
        let year: u16 = y.parse().map_err(|_| wrong())?;
        let (month, day): (u8, u8) = (m.parse().map_err(|_| wrong())?, d.parse().map_err(|_| wrong())?);
        let fits = (1..=12).contains(&month)
            && (1..=days_in(i64::from(year), i64::from(month))).contains(&i64::from(day));
        if fits { Ok(Self { year, month, day }) } else { Err(wrong()) }
    }
}

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

/// Whether a year has 366 days.
#[must_use]
pub fn leap(year: i64) -> bool {
    year % 4 == 0 && (year % 100 != 0 || year % 400 == 0)
}

/// Days of a month.
#[must_use]
pub fn days_in(year: i64, month: i64) -> i64 {
    match month {
        2 if leap(year) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}
