//! A log as columns already in memory, and how to read it.

use crate::error::{Error, positive};
use orlop_units::{Quantity, Time, seconds};

/// Which sign a discharge has in the log.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Sign {
    /// Found out from the volts, which fall in a discharge. Without volts, the larger part is taken for the discharge, and said.
    #[default]
    Detect,
    /// Discharge is positive; volts that say otherwise are an error.
    DischargePositive,
    /// Discharge is negative; volts that say otherwise are an error.
    ChargePositive,
}

/// What a row's current is.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub enum Sampling {
    /// The current at the moment of the row: integrated by trapezoids.
    #[default]
    AtTheMoment,
    /// The mean since the row before; the first row counts from `start`, in the log's unit of time.
    MeanSince {
        /// Time at which the mean of the first row begins.
        start: f64,
    },
}

/// How to read a log.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LogFormat {
    /// The unit of the time column: `seconds(3600.0)` for hours.
    pub time_unit: Time,
    /// Sign of a discharge.
    pub sign: Sign,
    /// What a row's current is.
    pub sampling: Sampling,
}

impl Default for LogFormat {
    fn default() -> Self {
        Self { time_unit: seconds(1.0), sign: Sign::Detect, sampling: Sampling::AtTheMoment }
    }
}

/// A piece of a log: columns of one length. A value that is missing is NaN.
#[derive(Clone, Copy, Debug, Default)]
pub struct Chunk<'a> {
    /// Time, in the unit of [`LogFormat::time_unit`].
    pub time: &'a [f64],
    /// Current, in amperes.
    pub current: &'a [f64],
    /// Voltage of the bank, in volts.
    pub voltage: Option<&'a [f64]>,
    /// Voltage of each cell, in volts, one column per cell.
    pub cells: &'a [&'a [f64]],
    /// Temperature of the bank, in degrees Celsius.
    pub temperature: Option<&'a [f64]>,
    /// State of charge that a monitor indicates, in percent.
    pub indicated: Option<&'a [f64]>,
}

/// Which columns a log has; the same in every chunk.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Layout {
    pub voltage: bool,
    pub temperature: bool,
    pub indicated: bool,
    pub cells: usize,
}

impl Layout {
    /// Numbers of one row as it is held: time, row number, how many rows were averaged, current, volts, degrees, percent, cells.
    pub fn width(self) -> usize {
        FIXED + self.cells
    }
}

/// Places within a held row.
pub(super) const TIME: usize = 0;
pub(super) const ROW: usize = 1;
pub(super) const WEIGHT: usize = 2;
pub(super) const CURRENT: usize = 3;
pub(super) const VOLTAGE: usize = 4;
pub(super) const TEMPERATURE: usize = 5;
pub(super) const INDICATED: usize = 6;
pub(super) const FIXED: usize = 7;

impl LogFormat {
    pub(super) fn checked(self) -> Result<Self, Error> {
        positive(self.time_unit, "time unit")?;
        if let Sampling::MeanSince { start } = self.sampling
            && !start.is_finite()
        {
            return Err(Error::input("start", start.to_string(), "a finite time in the log's unit"));
        }
        Ok(self)
    }

    pub(super) fn seconds(self, time: f64) -> f64 {
        time * self.time_unit.si()
    }
}

impl Chunk<'_> {
    /// Number of rows.
    #[must_use]
    pub fn rows(&self) -> usize {
        self.time.len()
    }

    pub(super) fn layout(&self) -> Layout {
        Layout {
            voltage: self.voltage.is_some(),
            temperature: self.temperature.is_some(),
            indicated: self.indicated.is_some(),
            cells: self.cells.len(),
        }
    }

    pub(super) fn checked(&self) -> Result<(), Error> {
        let rows = self.rows();
        let lengths = [
            ("current", Some(self.current.len())),
            ("voltage", self.voltage.map(<[f64]>::len)),
            ("temperature", self.temperature.map(<[f64]>::len)),
            ("indicated", self.indicated.map(<[f64]>::len)),
        ];
        let cells = self.cells.iter().enumerate().map(|(k, c)| (format!("cell {}", k + 1), c.len()));
        let named = lengths.into_iter().filter_map(|(name, n)| Some((name.to_string(), n?)));
        match named.chain(cells).find(|(_, n)| *n != rows) {
            None => Ok(()),
            Some((name, n)) => {
                let got = format!("{n} rows in {name}, {rows} in time");
                Err(Error::input("log", got, "columns of one length"))
            }
        }
    }

    /// Writes row `k` in the form of a held row.
    pub(super) fn gather(&self, k: usize, format: LogFormat, number: u64, out: &mut [f64]) {
        let optional = |column: Option<&[f64]>| column.map_or(f64::NAN, |c| c[k]);
        out[TIME] = format.seconds(self.time[k]);
        out[ROW] = number as f64;
        out[WEIGHT] = 1.0;
        out[CURRENT] = self.current[k];
        out[VOLTAGE] = optional(self.voltage);
        out[TEMPERATURE] = optional(self.temperature);
        out[INDICATED] = optional(self.indicated);
        for (to, column) in out[FIXED..].iter_mut().zip(self.cells) {
            *to = column[k];
        }
    }
}
