//! What is added up row by row: charge, energy, heat history, and how each volt answers a step of current.

use super::columns::{FIXED, LogFormat, Row, Sampling, TIME};
use super::steps::Steps;
use super::trace::Trace;
use std::ops::Range;

/// A step of current counts for the resistances when it is at least this share of the mean current so far.
const REAL_STEP: f64 = 0.2;

/// A sum that keeps the digits lost in each addition (Knuth's two-sum).
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Exact {
    sum: f64,
    lost: f64,
}

impl Exact {
    #[inline]
    pub fn add(&mut self, x: f64) {
        let total = self.sum + x;
        let part = total - self.sum;
        self.lost += (self.sum - (total - part)) + (x - part);
        self.sum = total;
    }
    pub fn get(self) -> f64 {
        self.sum + self.lost
    }
}

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
    this_way: OneWay,
    other_way: OneWay,
    positive: bool,
    /// Integral of temperature times the size of the current, and of the size of the current where there is a temperature.
    pub warmth: (f64, f64),
    pub coldest: f64,
    pub warmest: f64,
    /// Integrals of the current and of its square, and their time.
    pub current: f64,
    pub current_squared: f64,
    pub time: f64,
    pub used: u64,
    last_is_loaded: bool,
    /// Last volts and degrees that were there.
    voltage: f64,
    temperature: f64,
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
            warmth: (0.0, 0.0),
            coldest: f64::INFINITY,
            warmest: f64::NEG_INFINITY,
            current: 0.0,
            current_squared: 0.0,
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

    /// The next rows in the order of time; `row` gives each.
    pub fn add<'a>(&mut self, rows: Range<usize>, row: impl Fn(usize) -> Row<'a>, format: LogFormat) {
        let mut begin = rows.start;
        while begin < rows.end {
            // As far as one point of the course reaches.
            let part = begin..rows.end.min(begin.saturating_add(self.trace.room()));
            begin = part.end;
            let seconds = self.add_part(part.clone(), &row, format);
            self.trace.add(part, &row, (seconds, self.totals.charge()));
        }
    }

    /// Gives the seconds since the log began.
    fn add_part<'a>(&mut self, rows: Range<usize>, row: impl Fn(usize) -> Row<'a>, format: LogFormat) -> f64 {
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
                last = row;
            }
            // The first row has a stretch before it only where its current is a mean.
            let from = if totals.used > 0 { Some(last.time) } else { mean_since };
            let dt = from.map_or(0.0, |t| row.time - t).max(0.0);
            if dt > 0.0 {
                let change = totals.stretch(&last, &row, dt, mean_since.is_some());
                self.steps.add(dt, if mean_since.is_some() { 0.0 } else { change }, row.number);
                let real = change.abs() * totals.time > REAL_STEP * totals.current.abs();
                if real && totals.used > 0 && change != 0.0 {
                    answer(&mut self.answers, &last, &row, change);
                }
            }
            totals.seen(&row);
            // Under load: at least half of the mean size so far.
            let is_loaded = row.current.abs() * totals.time >= 0.5 * totals.current.abs();
            if totals.last_is_loaded && !is_loaded {
                last.write(&mut self.loaded);
            }
            totals.last_is_loaded = is_loaded;
            last = row;
        }
        self.totals = totals;
        last.write(&mut self.spare);
        std::mem::swap(&mut self.last, &mut self.spare);
        self.last[TIME] - mean_since.unwrap_or(self.first[TIME])
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
        let (mean, square) = if mean_since {
            self.part(i1 * dt, i1 * (0.5 * (v0 + v1)) * dt, 0.5 * (t0 + t1));
            (i1, i1 * i1)
        } else {
            if i0 * i1 >= 0.0 {
                self.part(0.5 * (i0 + i1) * dt, 0.5 * (i0 * v0 + i1 * v1) * dt, 0.5 * (t0 + t1));
            } else {
                self.part(0.5 * i0 * dt, 0.5 * i0 * v0 * dt, t0);
                self.part(0.5 * i1 * dt, 0.5 * i1 * v1 * dt, t1);
            }
            (0.5 * (i0 + i1), 0.5 * (i0 * i0 + i1 * i1))
        };
        self.current += mean * dt;
        self.current_squared += square * dt;
        self.time += dt;
        i1 - i0
    }

    /// A stretch of one sign: its charge, energy and temperature.
    #[inline(always)]
    fn part(&mut self, charge: f64, energy: f64, temperature: f64) {
        let energy = if energy.is_nan() { 0.0 } else { energy };
        if (charge >= 0.0) != self.positive {
            std::mem::swap(&mut self.this_way, &mut self.other_way);
            self.positive = !self.positive;
        }
        self.this_way.charge.add(charge);
        self.this_way.energy.add(energy);
        if !temperature.is_nan() {
            self.warmth.0 += temperature * charge.abs();
            self.warmth.1 += charge.abs();
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
