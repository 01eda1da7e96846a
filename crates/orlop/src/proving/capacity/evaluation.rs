//! One pass over a log, in chunks of any size.

use super::care::Care;
use super::columns::{CURRENT, Chunk, Layout, LogFormat, ROW, TIME, VOLTAGE};
use super::held::{HELD_ROWS, Held};
use super::log::Log;
use super::sums::Sums;
use crate::error::Error;

/// Rows that are looked at together: their columns stay in the cache from the look to the sums.
const BLOCK: usize = 2048;

/// A log being evaluated. Its memory does not grow with the log.
///
/// Pushing a log in one chunk or in many gives the same bits. Rows may be out of order by up to 256 rows; rows that repeat another
/// are left out, rows of one time with different values are averaged, rows without time or current are left out, and all of it
/// is counted in [`Log::care`].
///
/// ```
/// use orlop::proving::capacity::{Chunk, Evaluation, LogFormat};
/// use orlop::units::show;
/// let mut evaluation = Evaluation::new(LogFormat::default())?;
/// evaluation.push(&Chunk { time: &[0.0, 3600.0], current: &[10.0, 10.0], ..Chunk::default() })?;
/// evaluation.push(&Chunk { time: &[7200.0], current: &[10.0], ..Chunk::default() })?;
/// assert_eq!(show(evaluation.finish()?.charge), "20 Ah");
/// # Ok::<(), orlop::Error>(())
/// ```
#[derive(Clone, Debug)]
pub struct Evaluation {
    format: LogFormat,
    care: Care,
    work: Option<(Layout, Held, Sums, Vec<f64>)>,
}

impl Evaluation {
    /// Nothing read yet.
    ///
    /// # Errors
    /// [`Error::Input`] for a unit of time that is not above zero, or a start that is not finite.
    pub fn new(format: LogFormat) -> Result<Self, Error> {
        Ok(Self { format: format.checked()?, care: Care::default(), work: None })
    }

    /// Reads the next rows.
    ///
    /// # Errors
    /// [`Error::Input`] for columns of different lengths, columns that were not in the first chunk or are missing now, and for a row
    /// that is too late (with its number).
    pub fn push(&mut self, chunk: &Chunk<'_>) -> Result<(), Error> {
        let read = self.care.rows;
        self.push_numbered(chunk, |k| read + k as u64 + 1)
    }

    fn push_numbered(&mut self, chunk: &Chunk<'_>, number: impl Fn(usize) -> u64) -> Result<(), Error> {
        chunk.checked()?;
        let layout = chunk.layout();
        let width = layout.width();
        let fresh = || (layout, Held::new(width), Sums::new(width), vec![0.0; width]);
        let (first, held, sums, row) = self.work.get_or_insert_with(fresh);
        if *first != layout {
            return Err(Error::input(
                "log",
                "a chunk with other columns than the first",
                "the same columns in every chunk",
            ));
        }
        let (format, care) = (self.format, &mut self.care);
        // Rows before `done` are with the sums or held; those from there to `at` wait in their columns.
        let (mut done, mut at) = (0, 0);
        while at < chunk.rows() {
            let end = (at + BLOCK).min(chunk.rows());
            let latest = if done < at { format.seconds(chunk.time[at - 1]) } else { held.latest() };
            if end - at >= HELD_ROWS && chunk.sound(at..end, format, latest) {
                // Nothing that comes after a sound block can belong before its last rows: the others go straight to the sums.
                held.flush(|r| sums.add_held(r, format));
                let until = end - HELD_ROWS;
                sums.add_columns(chunk, done..until, &number, format);
                if until > done {
                    held.went_by(format.seconds(chunk.time[until - 1]));
                }
                done = until;
            } else {
                for k in done..end {
                    chunk.row(k, format, number(k)).write(row);
                    hold(row, layout, held, sums, care, format)?;
                }
                done = end;
            }
            at = end;
        }
        for k in done..at {
            chunk.row(k, format, number(k)).write(row);
            hold(row, layout, held, sums, care, format)?;
        }
        self.care.rows += chunk.rows() as u64;
        Ok(())
    }

    /// The log as a whole.
    ///
    /// # Errors
    /// [`Error::Input`] for a log that is empty or has one row only, lacks more than half of its rows, shows no discharge, holds
    /// charging of more than 2 % of the discharge, or contradicts the sign that was stated.
    pub fn finish(mut self) -> Result<Log, Error> {
        let Some((layout, mut held, mut sums, _)) = self.work.take() else {
            return Err(Error::input("log", "no rows", "a log of two rows or more"));
        };
        held.flush(|r| sums.add_held(r, self.format));
        Log::new(self.format, layout, self.care, &sums)
    }
}

/// Takes in a row that may be amiss.
fn hold(
    row: &mut [f64],
    layout: Layout,
    held: &mut Held,
    sums: &mut Sums,
    care: &mut Care,
    format: LogFormat,
) -> Result<(), Error> {
    let number = row[ROW] as u64;
    if !(row[TIME].is_finite() && row[CURRENT].is_finite()) {
        care.missing.add(number);
        return Ok(());
    }
    row[VOLTAGE..].iter_mut().filter(|v| v.is_infinite()).for_each(|v| *v = f64::NAN);
    if layout.voltage && row[VOLTAGE].is_nan() {
        care.missing_voltage.add(number);
    }
    held.insert(row, care, |r| sums.add_held(r, format))
}

/// A whole log in memory: as [`Evaluation`], but rows may be in any order.
///
/// # Errors
/// As [`Evaluation::push`] and [`Evaluation::finish`]; and for a clock that starts again, which no sorting can mend (with the row).
///
/// ```
/// use orlop::proving::capacity::{evaluate_log, Chunk, LogFormat};
/// use orlop::units::{seconds, show};
/// let format = LogFormat { time_unit: seconds(3600.0), ..LogFormat::default() };
/// let log = evaluate_log(&Chunk { time: &[2.0, 0.0, 1.0], current: &[30.0, 10.0, 20.0], ..Chunk::default() }, format)?;
/// assert_eq!(show(log.charge), "40 Ah");
/// assert_eq!(log.care.out_of_order.rows, 2);
/// # Ok::<(), orlop::Error>(())
/// ```
pub fn evaluate_log(log: &Chunk<'_>, format: LogFormat) -> Result<Log, Error> {
    log.checked()?;
    let mut evaluation = Evaluation::new(format)?;
    if evaluation.push(log).is_ok() {
        return evaluation.finish();
    }
    let mut order: Vec<usize> = (0..log.rows()).filter(|k| log.time[*k].is_finite()).collect();
    // Long runs that lie among each other: the clock was set back or started again.
    let back: Vec<usize> =
        order.windows(2).filter(|w| log.time[w[1]] < log.time[w[0]]).map(|w| w[1]).collect();
    order.sort_by(|a, b| log.time[*a].total_cmp(&log.time[*b]));
    if let Some(row) = clock_restart(log, &back, &order) {
        return Err(Error::Input {
            field: "time".into(),
            got: format!("a clock that starts again in row {}", row + 1),
            expected: "one run of the clock".into(),
            hint: "evaluate the rows before and after it each by itself, or correct the times of one part"
                .into(),
        });
    }
    let pick = |c: &[f64]| -> Vec<f64> { order.iter().map(|k| c[*k]).collect() };
    let optional = |c: Option<&[f64]>| c.map(pick);
    let (time, current) = (pick(log.time), pick(log.current));
    let (voltage, temperature, indicated) =
        (optional(log.voltage), optional(log.temperature), optional(log.indicated));
    let cells: Vec<Vec<f64>> = log.cells.iter().map(|c| pick(c)).collect();
    let cells: Vec<&[f64]> = cells.iter().map(Vec::as_slice).collect();
    let mut evaluation = Evaluation::new(format)?;
    let sorted = Chunk {
        time: &time,
        current: &current,
        voltage: voltage.as_deref(),
        cells: &cells,
        temperature: temperature.as_deref(),
        indicated: indicated.as_deref(),
    };
    evaluation.push_numbered(&sorted, |k| order[k] as u64 + 1)?;
    // The sorted rows are in order; what was out of order, or lacked a time, is told of the log as it came.
    let mut latest = f64::NEG_INFINITY;
    for k in 0..log.rows() {
        let t = log.time[k];
        if !t.is_finite() {
            evaluation.care.missing.add(k as u64 + 1);
        } else if t < latest {
            evaluation.care.out_of_order.add(k as u64 + 1);
        }
        latest = latest.max(t);
    }
    evaluation.care.rows = log.rows() as u64;
    evaluation.finish()
}

/// The row in which the clock starts again: long runs of rising times that lie among each other and do not repeat. Rows that are only shuffled
/// make short runs.
fn clock_restart(log: &Chunk<'_>, back: &[usize], order: &[usize]) -> Option<usize> {
    const LONG_RUN: usize = 20;
    if back.is_empty() || back.len() * LONG_RUN > order.len() {
        return None;
    }
    let run = |k: &usize| back.partition_point(|b| b <= k);
    let changes = order.windows(2).filter(|w| run(&w[0]) != run(&w[1])).count();
    let same = |a: usize, b: usize| log.time[a] == log.time[b] && log.current[a] == log.current[b];
    let repeats = order.windows(2).filter(|w| same(w[0], w[1])).count();
    // Parts that were only swapped touch a few times; parts that were read twice repeat.
    (changes > 2 * back.len() + 2 && 2 * repeats < changes).then_some(back[0])
}
