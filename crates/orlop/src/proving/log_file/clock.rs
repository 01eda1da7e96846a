//! Moments as the seconds since the first.

use super::cells::{Cell, cell, moment};
use super::lines::shown;
use crate::error::Error;

/// Moments as seconds since the first.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Clock {
    origin: Option<f64>,
    last: f64,
    /// Midnights that a clock without dates has passed, in seconds, and the row of the first.
    midnights: f64,
    pub first_midnight: Option<u64>,
}

impl Clock {
    pub fn since_start(&mut self, moment: f64, row: u64) -> f64 {
        const DAY: f64 = 86400.0;
        // A clock without a date starts again each day.
        if self.origin.is_some() && moment < DAY && self.last < DAY && self.last - moment > 0.5 * DAY {
            self.midnights += DAY;
            self.first_midnight.get_or_insert(row);
        }
        self.last = moment;
        moment + self.midnights - *self.origin.get_or_insert(moment)
    }
}

/// Seconds since the first of several moments as text: dates with a time of day, or times of day that go on past midnight. A moment that is missing
/// is NaN.
///
/// # Errors
/// [`Error::Input`] for text that is no moment, with its row.
///
/// ```
/// let times = [Some("2026-05-04 07:05:30"), None, Some("2026-05-04T08:05:30")];
/// let seconds = orlop::proving::log_file::moments(&times)?;
/// assert_eq!((seconds[0], seconds[2]), (0.0, 3600.0));
/// assert!(seconds[1].is_nan());
/// # Ok::<(), orlop::Error>(())
/// ```
pub fn moments<T: AsRef<str>>(texts: &[Option<T>]) -> Result<Vec<f64>, Error> {
    let mut clock = Clock::default();
    let since = |(k, text): (usize, &Option<T>)| {
        let Some(text) = text.as_ref().map(AsRef::as_ref) else { return Ok(f64::NAN) };
        let row = k as u64 + 1;
        match moment(text.as_bytes()) {
            Some(seconds) => Ok(clock.since_start(seconds, row)),
            None if cell(text.as_bytes(), b'.') == Cell::Missing => Ok(f64::NAN),
            None => Err(Error::Input {
                field: "time".into(),
                got: format!("'{}' in row {row}", shown(text.as_bytes())),
                expected: "a date such as 2026-05-04 07:05:30 or 04.05.2026 07:05:30, or a time of day"
                    .into(),
                hint: "numbers stand in time_s, time_min or time_h".into(),
            }),
        }
    };
    texts.iter().enumerate().map(since).collect()
}
