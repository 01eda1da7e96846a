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

/// One row, from columns or from where it was held.
#[derive(Clone, Copy, Debug)]
pub(super) struct Row<'a> {
    /// In seconds.
    pub time: f64,
    /// Counted from 1 as the rows came.
    pub number: u64,
    pub current: f64,
    pub voltage: f64,
    pub temperature: f64,
    pub indicated: f64,
    cells: Cells<'a>,
}

#[derive(Clone, Copy, Debug)]
enum Cells<'a> {
    Held(&'a [f64]),
    /// All columns, and the place in each.
    Columns(&'a [&'a [f64]], usize),
}

impl<'a> Row<'a> {
    /// A row that was held.
    pub fn held(row: &'a [f64]) -> Self {
        Self {
            time: row[TIME],
            number: row[ROW] as u64,
            current: row[CURRENT],
            voltage: row[VOLTAGE],
            temperature: row[TEMPERATURE],
            indicated: row[INDICATED],
            cells: Cells::Held(&row[FIXED..]),
        }
    }

    /// Volts of a cell.
    #[inline]
    pub fn cell(&self, k: usize) -> f64 {
        match self.cells {
            Cells::Held(volts) => volts[k],
            Cells::Columns(columns, row) => columns[k][row],
        }
    }

    /// Writes it down as it is held.
    #[inline]
    pub fn write(&self, out: &mut [f64]) {
        let (fixed, cells) = out.split_at_mut(FIXED);
        fixed[TIME] = self.time;
        fixed[ROW] = self.number as f64;
        fixed[WEIGHT] = 1.0;
        fixed[CURRENT] = self.current;
        fixed[VOLTAGE] = self.voltage;
        fixed[TEMPERATURE] = self.temperature;
        fixed[INDICATED] = self.indicated;
        for (k, to) in cells.iter_mut().enumerate() {
            *to = self.cell(k);
        }
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

    /// Row `k` as the sums take it.
    #[inline(always)]
    pub(super) fn row(&self, k: usize, format: LogFormat, number: u64) -> Row<'_> {
        let optional = |column: Option<&[f64]>| column.map_or(f64::NAN, |c| c[k]);
        Row {
            time: format.seconds(self.time[k]),
            number,
            current: self.current[k],
            voltage: optional(self.voltage),
            temperature: optional(self.temperature),
            indicated: optional(self.indicated),
            cells: Cells::Columns(self.cells, k),
        }
    }

    /// Whether nothing is amiss in some rows: all later than `after` and than the row before, nothing infinite, time, current and the bank's
    /// volts there.
    pub(super) fn sound(&self, rows: std::ops::Range<usize>, format: LogFormat, after: f64) -> bool {
        let time = &self.time[rows.clone()];
        let (Some(first), Some(last)) = (time.first(), time.last()) else { return true };
        let rising = time.windows(2).fold(true, |all, w| all & (format.seconds(w[0]) < format.seconds(w[1])));
        let finite = |column: &[f64]| column[rows.clone()].iter().fold(true, |all, v| all & v.is_finite());
        let not_infinite =
            |column: &[f64]| column[rows.clone()].iter().fold(true, |all, v| all & !v.is_infinite());
        rising
            && format.seconds(*first) > after
            && format.seconds(*last).is_finite()
            && finite(self.current)
            && self.voltage.is_none_or(finite)
            && [self.temperature, self.indicated].into_iter().flatten().all(not_infinite)
            && self.cells.iter().all(|c| not_infinite(c))
    }
}
