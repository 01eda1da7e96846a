//! What is added up row by row: charge, energy, heat history, and how each volt answers a step of current.

use super::columns::{Chunk, FIXED, LogFormat, Row, Sampling};
use super::lanes::{Exact, LANES, Lanes, lane};
use super::quiet;
use super::steps::Steps;
use super::trace::Trace;
use std::ops::Range;

/// A step of current counts for the resistances when it is at least this share of the mean current so far.
pub(super) const REAL_STEP: f64 = 0.2;
/// A row is under load when its current is at least this share of the mean current so far.
pub(super) const UNDER_LOAD: f64 = 0.5;

/// Products of steps of current and of volts.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Answers {
    pub count: u64,
    pub current_squared: f64,
    pub product: f64,
    pub volts_squared: f64,
}

impl Answers {
    fn add(&mut self, di: f64, dv: f64) {
        if dv.is_nan() {
            return;
        }
        self.count += 1;
        self.current_squared += di * di;
        self.product += di * dv;
        self.volts_squared += dv * dv;
    }
}

/// Charge and energy that went one way.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct OneWay {
    pub charge: Exact,
    pub energy: Exact,
}

/// What every row changes: plain numbers, copied out so that they stay in registers over a block of rows.
#[derive(Clone, Copy, Debug)]
pub(super) struct Totals {
    /// What went the way of the last stretch, and the other way. They change places when the way does, which is seldom: choosing between two
    /// sums at every row would keep both out of the registers.
    pub this_way: OneWay,
    other_way: OneWay,
    pub positive: bool,
    /// Integral of temperature times the size of the current, and of the size of the current where there is a temperature.
    pub warmth: (Lanes, Lanes),
    pub coldest: f64,
    pub warmest: f64,
    /// Integral of the square of the current.
    pub current_squared: Lanes,
    /// When the log begins, and its time until now.
    pub begin: f64,
    pub time: f64,
    pub used: u64,
    pub last_is_loaded: bool,
    /// Last volts and degrees that were there.
    pub voltage: f64,
    pub temperature: f64,
}

/// Everything that is added up.
#[derive(Clone, Debug)]
pub(super) struct Sums {
    pub totals: Totals,
    pub first: Vec<f64>,
    last: Vec<f64>,
    /// Room for the next `last`.
    spare: Vec<f64>,
    /// The last row under load before the last row, where that is not under load itself.
    loaded: Vec<f64>,
    pub steps: Steps,
    pub trace: Trace,
    /// For the bank, then for each cell.
    pub answers: Vec<Answers>,
}

impl Sums {
    pub fn new(width: usize) -> Self {
        let totals = Totals {
            this_way: OneWay::default(),
            other_way: OneWay::default(),
            positive: true,
            warmth: (Lanes::default(), Lanes::default()),
            coldest: f64::INFINITY,
            warmest: f64::NEG_INFINITY,
            current_squared: Lanes::default(),
            begin: 0.0,
            time: 0.0,
            used: 0,
            last_is_loaded: true,
            voltage: f64::NAN,
            temperature: f64::NAN,
        };
        let none = || vec![f64::NAN; width];
        Self {
            totals,
            first: none(),
            last: none(),
            spare: none(),
            loaded: none(),
            steps: Steps::new(),
            trace: Trace::new(width - FIXED),
            answers: vec![Answers::default(); 1 + width - FIXED],
        }
    }

    /// A row that was held, the next in the order of time.
    pub fn add_held(&mut self, row: &[f64], format: LogFormat) {
        self.trace.room();
        self.add_each(0..1, |_| Row::held(row), format);
        self.trace.add_held(row, self.so_far());
    }

    /// The next rows in the order of time, from columns in which nothing is amiss; `number` tells which they are.
    pub fn add_columns(
        &mut self,
        chunk: &Chunk<'_>,
        rows: Range<usize>,
        number: impl Fn(usize) -> u64,
        format: LogFormat,
    ) {
        let row = |k: usize| chunk.row(k, format, number(k));
        let mut at = rows.start;
        while at < rows.end {
            // As far as one point of the course reaches.
            let part = at..rows.end.min(at.saturating_add(self.trace.room()));
            while at < part.end {
                let before = lane(self.totals.used);
                let quiet = if at > rows.start {
                    quiet::add(chunk, at..part.end, format, &mut self.totals, &mut self.steps)
                } else {
                    None
                };
                if let Some(end) = quiet {
                    row(end - 1).write(&mut self.last);
                    at = end;
                } else {
                    // To the next first lane, where that is what was wanting.
                    let some = if at == rows.start || before > 0 { LANES - before } else { quiet::MOST };
                    let end = part.end.min(at + some);
                    self.add_each(at..end, row, format);
                    at = end;
                }
            }
            self.trace.add_columns(chunk, part, self.so_far());
        }
    }

    /// Row by row.
    fn add_each<'a>(&mut self, rows: Range<usize>, row: impl Fn(usize) -> Row<'a>, format: LogFormat) {
        let mean_since = match format.sampling {
            Sampling::MeanSince { start } => Some(format.seconds(start)),
            Sampling::AtTheMoment => None,
        };
        let mut totals = self.totals;
        let mut last = Row::held(&self.last);
        for row in rows.map(row) {
            if totals.used == 0 {
                row.write(&mut self.first);
                row.write(&mut self.loaded);
                // The first row has a stretch before it only where its current is a mean.
                totals.begin = mean_since.map_or(row.time, |start| start.min(row.time));
                last = row;
                last.time = totals.begin;
            }
            let dt = row.time - last.time;
            if dt > 0.0 {
                let change = totals.stretch(&last, &row, dt, mean_since.is_some());
                let counted = if mean_since.is_some() { 0.0 } else { change };
                self.steps.add(lane(totals.used), dt, counted, row.number);
                let real = change.abs() * totals.time > REAL_STEP * totals.charge().abs();
                if real && totals.used > 0 && change != 0.0 {
                    answer(&mut self.answers, &last, &row, change);
                }
            }
            let is_loaded = row.current.abs() * totals.time >= UNDER_LOAD * totals.charge().abs();
            if totals.last_is_loaded && !is_loaded {
                last.write(&mut self.loaded);
            }
            totals.last_is_loaded = is_loaded;
            totals.seen(&row);
            last = row;
        }
        self.totals = totals;
        last.write(&mut self.spare);
        std::mem::swap(&mut self.last, &mut self.spare);
    }

    /// Seconds and charge since the log began.
    fn so_far(&self) -> (f64, f64) {
        (self.totals.time, self.totals.charge())
    }

    /// The last row in which the bank was under load.
    pub fn last_loaded(&self) -> &[f64] {
        if self.totals.last_is_loaded { &self.last } else { &self.loaded }
    }
}

#[cold]
fn answer(answers: &mut [Answers], last: &Row<'_>, row: &Row<'_>, change: f64) {
    answers[0].add(change, row.voltage - last.voltage);
    for (k, a) in answers[1..].iter_mut().enumerate() {
        a.add(change, row.cell(k) - last.cell(k));
    }
}

/// Charge of a stretch between two rows, by trapezoids.
#[inline(always)]
pub(super) fn charge(i0: f64, i1: f64, dt: f64) -> f64 {
    0.5 * (i0 + i1) * dt
}

/// Its energy, from current and volts at both ends.
#[inline(always)]
pub(super) fn energy((i0, v0): (f64, f64), (i1, v1): (f64, f64), dt: f64) -> f64 {
    0.5 * (i0 * v0 + i1 * v1) * dt
}

/// Its integral of the square of the current.
#[inline(always)]
pub(super) fn squared(i0: f64, i1: f64, dt: f64) -> f64 {
    0.5 * (i0 * i0 + i1 * i1) * dt
}

/// An energy of which the volts are missing counts nothing.
#[inline(always)]
pub(super) fn known(energy: f64) -> f64 {
    if energy.is_nan() { 0.0 } else { energy }
}

impl Totals {
    /// What went the positive way, and the negative.
    pub fn ways(&self) -> (OneWay, OneWay) {
        if self.positive { (self.this_way, self.other_way) } else { (self.other_way, self.this_way) }
    }

    /// Charge on the whole, as it is signed in the log.
    #[inline]
    pub fn charge(&self) -> f64 {
        self.this_way.charge.get() + self.other_way.charge.get()
    }

    /// The stretch between two rows; gives the step of the current.
    #[inline(always)]
    fn stretch(&mut self, last: &Row<'_>, row: &Row<'_>, dt: f64, mean_since: bool) -> f64 {
        let (i0, i1) = (last.current, row.current);
        let v1 = if row.voltage.is_nan() { self.voltage } else { row.voltage };
        let v0 = if self.voltage.is_nan() { v1 } else { self.voltage };
        let t1 = if row.temperature.is_nan() { self.temperature } else { row.temperature };
        let t0 = if self.temperature.is_nan() { t1 } else { self.temperature };
        let lane = lane(self.used);
        let squared = if mean_since {
            self.part(lane, i1 * dt, i1 * (0.5 * (v0 + v1)) * dt, 0.5 * (t0 + t1));
            i1 * i1 * dt
        } else {
            if i0 * i1 >= 0.0 {
                self.part(lane, charge(i0, i1, dt), energy((i0, v0), (i1, v1), dt), 0.5 * (t0 + t1));
            } else {
                self.part(lane, 0.5 * i0 * dt, 0.5 * i0 * v0 * dt, t0);
                self.part(lane, 0.5 * i1 * dt, 0.5 * i1 * v1 * dt, t1);
            }
            squared(i0, i1, dt)
        };
        self.current_squared.add(lane, squared);
        self.time = row.time - self.begin;
        i1 - i0
    }

    /// A stretch of one sign: its charge, energy and temperature.
    #[inline(always)]
    fn part(&mut self, lane: usize, charge: f64, energy: f64, temperature: f64) {
        if (charge >= 0.0) != self.positive {
            std::mem::swap(&mut self.this_way, &mut self.other_way);
            self.positive = !self.positive;
        }
        self.this_way.charge.add(lane, charge);
        self.this_way.energy.add(lane, known(energy));
        if !temperature.is_nan() {
            self.warmth.0.add(lane, temperature * charge.abs());
            self.warmth.1.add(lane, charge.abs());
        }
    }

    /// A row was seen.
    #[inline(always)]
    fn seen(&mut self, row: &Row<'_>) {
        self.used += 1;
        if !row.voltage.is_nan() {
            self.voltage = row.voltage;
        }
        if !row.temperature.is_nan() {
            self.temperature = row.temperature;
            self.coldest = if row.temperature < self.coldest { row.temperature } else { self.coldest };
            self.warmest = if row.temperature > self.warmest { row.temperature } else { self.warmest };
        }
    }
}
