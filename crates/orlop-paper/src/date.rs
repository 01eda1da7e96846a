//! The date on papers: given by the caller or the environment, never by the clock.

use crate::Error;
use orlop_boat::day::{days_in, leap};

/// The date that papers carry.
///
/// The argument wins; else `SOURCE_DATE_EPOCH` (seconds since 1970, as build systems set it) counts; else papers
/// are undated. The clock is never asked, so that the same input gives the same bytes.
///
/// # Errors
/// [`Error::Date`] for anything that is no day of the calendar.
pub fn of_papers(date: Option<&str>) -> Result<Option<String>, Error> {
    match date {
        Some(text) => day(text).map(Some),
        None => std::env::var("SOURCE_DATE_EPOCH").ok().map(|s| from_epoch(&s)).transpose(),
    }
}

/// Checks a day written as year-month-day.
///
/// # Errors
/// [`Error::Date`] when it is no day of the calendar.
///
/// ```
/// use orlop_paper::date::day;
/// assert_eq!(day("2026-02-28").unwrap(), "2026-02-28");
/// assert_eq!(
///     day("2026-02-30").unwrap_err().to_string(),
///     "date: got '2026-02-30', expected a day as year-month-day, such as 2026-11-25"
/// );
/// ```
pub fn day(text: &str) -> Result<String, Error> {
    orlop_boat::day::Day::parse(text, "date").map(|day| day.to_string()).map_err(|_| Error::Date {
        field: "date",
        got: text.chars().take(40).collect(),
        expected: orlop_boat::day::Day::EXPECTED,
    })
}

/// The day of a number of seconds since the beginning of 1970, in universal time.
///
/// # Errors
/// [`Error::Date`] when it is no whole number of seconds before the year 10000.
///
/// ```
/// assert_eq!(orlop_paper::date::from_epoch("1000000000").unwrap(), "2001-09-09");
/// ```
pub fn from_epoch(text: &str) -> Result<String, Error> {
    let seconds: i64 =
        text.trim().parse().ok().filter(|s| (0..253_402_300_800).contains(s)).ok_or_else(|| Error::Date {
            field: "SOURCE_DATE_EPOCH",
            got: text.chars().take(40).collect(),
            expected: "whole seconds since 1970-01-01",
        })?;
    let (mut left, mut year, mut month) = (seconds / 86_400, 1970, 1);
    while left >= year_days(year) {
        left -= year_days(year);
        year += 1;
    }
    while left >= days_in(year, month) {
        left -= days_in(year, month);
        month += 1;
    }
    Ok(format!("{year:04}-{month:02}-{:02}", left + 1))
}

fn year_days(year: i64) -> i64 {
    if leap(year) { 366 } else { 365 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn epoch_days() {
        // Universal-time examples printed by the POSIX `date -u -d @N` utility.
        for (seconds, day) in [
            ("0", "1970-01-01"),
            ("951782399", "2000-02-28"),
            ("951782400", "2000-02-29"),
            ("951868800", "2000-03-01"),
            ("4107542400", "2100-03-01"),
        ] {
            assert_eq!(from_epoch(seconds).unwrap(), day);
        }
    }

    #[test]
    fn no_days() {
        for text in
            ["", "today", "2026-13-01", "2026-00-10", "2025-02-29", "26-01-01", "2026-1-1", "+026-01-01"]
        {
            assert!(day(text).is_err(), "{text}");
        }
        for text in ["", "-1", "1e9", "253402300800", "99999999999999999999"] {
            assert!(from_epoch(text).is_err(), "{text}");
        }
    }
}
