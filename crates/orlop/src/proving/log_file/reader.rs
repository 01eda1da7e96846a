//! A log file, read piece by piece.

use super::cells::{Cell, cell, moment, plain};
use super::clock::Clock;
use super::columns::{Choice, Role, Unit};
use super::layout::Layout;
use super::lines::{field, shown};
use crate::error::Error;
use crate::proving::capacity::{Chunk, Evaluation, Log, LogFormat, Sampling, Sign};

/// Bytes looked at before the layout is settled.
const SAMPLE: usize = 64 << 10;
/// A longer line is no row of a log.
const LONGEST_LINE: usize = 64 << 10;
/// Rows that are evaluated together.
const ROWS: usize = 4096;
const TIME: usize = 0;
const CURRENT: usize = 1;
const VOLTAGE: usize = 2;
const TEMPERATURE: usize = 3;
const INDICATED: usize = 4;
const CELLS: usize = 5;

/// How to read a file; what is not said is found in its first rows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FileFormat {
    /// The mark between columns.
    pub separator: Option<char>,
    /// The mark of decimals.
    pub decimal: Option<char>,
    /// Columns by name, where their names do not tell.
    pub columns: Vec<Choice>,
    /// Sign of a discharge.
    pub sign: Sign,
    /// Whether each row's current is the mean since the row before; the first then counts from time zero, or, where times are dates,
    /// not at all.
    pub mean_since: bool,
}

/// What a file shows.
#[derive(Clone, Debug, PartialEq)]
pub struct FileLog {
    /// The log.
    pub log: Log,
    /// Names of the columns of the cells.
    pub cells: Vec<String>,
    /// What was taken for what, and what could not be read.
    pub notes: Vec<String>,
}

/// A log file being read. Its memory does not grow with the file.
///
/// Names in the head tell what a column holds and in which unit: `time_s`, `Time (min)`, `Timestamp`, `Current [A]`, `Battery voltage (mV)`,
/// `Cell 3 voltage (V)`, `Temperature (°C)`, `SOC (%)`. What they do not tell is said by [`FileFormat::columns`]. Empty lines, lines that begin with
/// `#`, a byte-order mark, either end of line, quotes, decimal commas and dates are understood.
///
/// ```
/// use orlop::proving::log_file::{FileFormat, LogFile};
/// use orlop::units::show;
/// let mut file = LogFile::new(FileFormat::default());
/// file.push(b"Time (h);Current (A)\r\n0;36,0\r\n2,5;36,")?;
/// file.push(b"0\r\n5;36,0\r\n")?;
/// let read = file.finish()?;
/// assert_eq!(show(read.log.charge), "180 Ah");
/// assert_eq!(read.notes[0], "columns parted by ';', decimals by ','");
/// # Ok::<(), orlop::Error>(())
/// ```
#[derive(Debug)]
pub struct LogFile {
    format: FileFormat,
    /// Bytes not yet read: the beginning of the file, later the last line as far as it is there.
    rest: Vec<u8>,
    rows: Option<Rows>,
}

/// The rows of a file whose layout is known.
#[derive(Debug)]
struct Rows {
    layout: Layout,
    slots: Vec<Option<Slot>>,
    evaluation: Evaluation,
    columns: Vec<Vec<f64>>,
    values: Vec<f64>,
    clock: Clock,
    /// Seconds of the moment of this row, and how many of its columns are still to come.
    parts: (f64, u32),
    row: u64,
    unreadable: u64,
    first_unreadable: Option<String>,
    short: u64,
    first_short: Option<u64>,
    has: [bool; CELLS],
}

/// What becomes of one field of a row.
#[derive(Clone, Copy, Debug)]
struct Slot {
    target: usize,
    unit: Unit,
    moment: bool,
}

impl LogFile {
    /// Nothing read yet.
    #[must_use]
    pub fn new(format: FileFormat) -> Self {
        Self { format, rest: Vec::new(), rows: None }
    }

    /// Reads the next bytes; pieces may end anywhere.
    ///
    /// # Errors
    /// [`Error::Input`] for text that is no log (with what is the matter), and as [`Evaluation::push`].
    pub fn push(&mut self, bytes: &[u8]) -> Result<(), Error> {
        if self.rows.is_none() {
            self.rest.extend_from_slice(bytes);
            if self.rest.len() < SAMPLE {
                return Ok(());
            }
            let head = std::mem::take(&mut self.rest);
            self.begin(&head)?;
            let skip = self.rows.as_ref().map_or(0, |r| r.layout.skip.min(head.len()));
            return self.read(&head[skip..]);
        }
        self.read(bytes)
    }

    /// The log as a whole.
    ///
    /// # Errors
    /// As [`LogFile::push`] and [`Evaluation::finish`].
    pub fn finish(mut self) -> Result<FileLog, Error> {
        let mut rest = std::mem::take(&mut self.rest);
        if self.rows.is_none() {
            self.begin(&rest)?;
            let skip = self.rows.as_ref().map_or(0, |r| r.layout.skip.min(rest.len()));
            rest.drain(..skip);
        }
        let Some(mut rows) = self.rows.take() else {
            return Err(Error::input("file", "no rows", "a head and two rows or more"));
        };
        rest.push(rows.layout.newline);
        rows.read(&rest)?;
        rows.finish()
    }

    fn begin(&mut self, sample: &[u8]) -> Result<(), Error> {
        let layout = Layout::find(sample, &self.format)?;
        let sampling =
            if self.format.mean_since { Sampling::MeanSince { start: 0.0 } } else { Sampling::AtTheMoment };
        let format = LogFormat { sign: self.format.sign, sampling, ..LogFormat::default() };
        self.rows = Some(Rows::new(layout, Evaluation::new(format)?));
        Ok(())
    }

    /// Reads whole lines, keeps what is left.
    fn read(&mut self, bytes: &[u8]) -> Result<(), Error> {
        let Some(rows) = self.rows.as_mut() else { return Ok(()) };
        let newline = rows.layout.newline;
        let mut bytes = bytes;
        if !self.rest.is_empty() {
            // Only the line that was cut is put together again.
            let end = bytes.iter().position(|b| *b == newline).map_or(bytes.len(), |n| n + 1);
            self.rest.extend_from_slice(&bytes[..end]);
            bytes = &bytes[end..];
            if self.rest.last() == Some(&newline) {
                let line = std::mem::take(&mut self.rest);
                rows.read(&line)?;
            }
        }
        let whole = bytes.iter().rposition(|b| *b == newline).map_or(0, |n| n + 1);
        rows.read(&bytes[..whole])?;
        self.rest.extend_from_slice(&bytes[whole..]);
        if self.rest.len() > LONGEST_LINE {
            let got = format!("row {} with more than {LONGEST_LINE} letters", rows.row + 1);
            return Err(Error::input("file", got, "one line for each row"));
        }
        Ok(())
    }
}

impl Rows {
    fn new(layout: Layout, evaluation: Evaluation) -> Self {
        let fields = layout.columns.iter().map(|c| c.field + 1).max().unwrap_or(0);
        let mut slots = vec![None; fields];
        let mut has = [false; CELLS];
        let mut cells = 0;
        for c in &layout.columns {
            let target = match c.role {
                Role::Time | Role::Date => TIME,
                Role::Current => CURRENT,
                Role::Voltage => VOLTAGE,
                Role::Temperature => TEMPERATURE,
                Role::Indicated => INDICATED,
                Role::Cell => {
                    cells += 1;
                    CELLS + cells - 1
                }
            };
            if target < CELLS {
                has[target] = true;
            }
            let unit = c.unit.unwrap_or(Unit::SAME);
            let moment = layout.moments && target == TIME;
            slots[c.field] = Some(Slot { target, unit, moment });
        }
        let width = CELLS + cells;
        Self {
            layout,
            slots,
            evaluation,
            columns: vec![Vec::with_capacity(ROWS); width],
            values: vec![f64::NAN; width],
            clock: Clock::default(),
            parts: (0.0, 0),
            row: 0,
            unreadable: 0,
            first_unreadable: None,
            short: 0,
            first_short: None,
            has,
        }
    }

    /// Reads lines; the last one ends with a newline.
    fn read(&mut self, block: &[u8]) -> Result<(), Error> {
        let newline = self.layout.newline;
        let mut at = 0;
        while at < block.len() {
            match block[at] {
                b if b == newline || b == b'\r' => {
                    at += 1;
                    continue;
                }
                b'#' => at = line_end(block, at, newline),
                _ => at = self.row(block, at),
            }
            at += 1;
            if self.columns[TIME].len() == ROWS {
                self.flush()?;
            }
        }
        Ok(())
    }

    /// Reads one row and returns where its line ends.
    fn row(&mut self, block: &[u8], begin: usize) -> usize {
        let (separator, newline, decimal) = (self.layout.separator, self.layout.newline, self.layout.decimal);
        let stop = |b: u8| b == separator || b == newline || b == b'\r';
        self.row += 1;
        self.values.fill(f64::NAN);
        self.parts = (0.0, if self.layout.two_parts { 2 } else { 1 });
        let mut at = begin;
        for k in 0..self.slots.len() {
            let end = match self.slots[k] {
                None => field(block, at, stop).1,
                Some(slot) => match plain(&block[at..], decimal) {
                    Some((value, used)) if !slot.moment && block.get(at + used).is_none_or(|b| stop(*b)) => {
                        self.values[slot.target] = slot.unit.value(value);
                        at + used
                    }
                    _ => {
                        let (text, end) = field(block, at, stop);
                        self.slow(k, slot, text);
                        end
                    }
                },
            };
            at = end;
            if block.get(at) != Some(&separator) {
                if k + 1 < self.slots.len() {
                    self.short += 1;
                    self.first_short.get_or_insert(self.row);
                }
                break;
            }
            at += 1;
        }
        if self.layout.moments {
            // A row that lacks one of its parts has no time.
            self.values[TIME] =
                if self.parts.1 > 0 { f64::NAN } else { self.clock.since_start(self.parts.0, self.row) };
        }
        for (column, value) in self.columns.iter_mut().zip(&self.values) {
            column.push(*value);
        }
        line_end(block, at, newline)
    }

    /// A cell that is no plain number.
    #[cold]
    fn slow(&mut self, k: usize, slot: Slot, text: &[u8]) {
        let value = if slot.moment {
            match moment(text) {
                Some(seconds) => Cell::Number(seconds),
                None if cell(text, self.layout.decimal) == Cell::Missing => Cell::Missing,
                None => Cell::Unreadable,
            }
        } else {
            cell(text, self.layout.decimal)
        };
        match value {
            // Date and time of day in two columns add up.
            Cell::Number(v) if slot.moment => self.parts = (self.parts.0 + v, self.parts.1 - 1),
            Cell::Number(v) => self.values[slot.target] = slot.unit.value(v),
            Cell::Missing => {}
            Cell::Unreadable => {
                self.unreadable += 1;
                if self.first_unreadable.is_none() {
                    let name = self.layout.columns.iter().find(|c| c.field == k).map_or("", |c| &c.name);
                    self.first_unreadable =
                        Some(format!("'{}' in row {}, column '{name}'", shown(text), self.row));
                }
            }
        }
    }

    fn flush(&mut self) -> Result<(), Error> {
        let optional = |k: usize| self.has[k].then_some(self.columns[k].as_slice());
        let cells: Vec<&[f64]> = self.columns[CELLS..].iter().map(Vec::as_slice).collect();
        let chunk = Chunk {
            time: &self.columns[TIME],
            current: &self.columns[CURRENT],
            voltage: optional(VOLTAGE),
            cells: &cells,
            temperature: optional(TEMPERATURE),
            indicated: optional(INDICATED),
        };
        self.evaluation.push(&chunk).map_err(sorting)?;
        self.columns.iter_mut().for_each(Vec::clear);
        Ok(())
    }

    fn finish(mut self) -> Result<FileLog, Error> {
        self.flush()?;
        let notes = self.notes();
        let log = self.evaluation.finish().map_err(|e| because(e, self.first_unreadable.as_deref()))?;
        let cells =
            self.layout.columns.into_iter().filter(|c| c.role == Role::Cell).map(|c| c.name).collect();
        Ok(FileLog { log, cells, notes })
    }

    fn notes(&self) -> Vec<String> {
        let layout = &self.layout;
        let mark = |b: u8| if b == b'\t' { "tabs".to_string() } else { format!("'{}'", char::from(b)) };
        let cells: Vec<String> =
            layout.columns.iter().filter(|c| c.role == Role::Cell).map(|c| format!("'{}'", c.name)).collect();
        let others = layout.columns.iter().filter(|c| c.role != Role::Cell);
        let mut read: Vec<String> = others.map(|c| format!("{} from '{}'", c.role.word(), c.name)).collect();
        if !cells.is_empty() {
            let word = if cells.len() == 1 { "cell" } else { "cells" };
            read.push(format!("{word} from {}", cells.join(", ")));
        }
        let mut notes = vec![
            format!("columns parted by {}, decimals by {}", mark(layout.separator), mark(layout.decimal)),
            read.join(", "),
        ];
        if layout.lines > 1 {
            notes.push(format!("row 1 is after line {} of the file", layout.lines));
        }
        if !layout.unread.is_empty() {
            let shown: Vec<&str> = layout.unread.iter().take(12).map(String::as_str).collect();
            let more = layout.unread.len() - shown.len();
            let more = if more > 0 { format!(" and {more} more") } else { String::new() };
            notes.push(format!("not read: {}{more}", shown.join(", ")));
        }
        if let Some(row) = self.clock.first_midnight {
            notes.push(format!("the clock has no dates and passes midnight in row {row}"));
        }
        if let Some(first) = &self.first_unreadable {
            notes.push(format!(
                "{} cells could not be read and count as missing; the first is {first}",
                self.unreadable
            ));
        }
        if let Some(first) = self.first_short {
            notes.push(format!("{} rows end too soon; the first is row {first}", self.short));
        }
        notes
    }
}

fn line_end(block: &[u8], at: usize, newline: u8) -> usize {
    block[at..].iter().position(|b| *b == newline).map_or(block.len(), |n| at + n)
}

/// What to try where the rows of a file are too far out of order.
fn sorting(error: Error) -> Error {
    match error {
        Error::Input { field, got, expected, .. } if field == "time" => Error::Input {
            field,
            got,
            expected,
            hint: "sort the file by time; where the clock was set back or started again, evaluate each part by itself".into(),
        },
        other => other,
    }
}

/// A log that lacks rows, with the first cell that could not be read.
fn because(error: Error, first: Option<&str>) -> Error {
    match (error, first) {
        (Error::Input { field, got, expected, hint }, Some(first)) if hint.is_empty() => Error::Input {
            field,
            got,
            expected,
            hint: format!("the first cell that could not be read is {first}"),
        },
        (error, _) => error,
    }
}
