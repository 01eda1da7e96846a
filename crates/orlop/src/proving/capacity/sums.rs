//! What is added up row by row: charge, energy, heat history, and how each volt answers a step of current.

use super::columns::{CURRENT, FIXED, LogFormat, Row, Sampling, TIME, VOLTAGE};
use super::steps::Steps;
use super::trace::Trace;

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

/// Everything that is added up.
#[derive(Clone, Debug)]
pub(super) struct Sums {
    pub positive: Exact,
    pub negative: Exact,
    pub positive_energy: Exact,
    pub negative_energy: Exact,
    /// Integral of temperature times the size of the current, and of the size of the current where there is a temperature.
    pub warmth: (f64, f64),
    pub coldest: f64,
    pub warmest: f64,
    /// Integrals of the current, of its square and of its size, and their time.
    pub current: f64,
    pub current_squared: f64,
    pub time: f64,
    pub first: Vec<f64>,
    pub last: Vec<f64>,
    /// The last row under load before the last row, where that is not under load itself.
    loaded: Vec<f64>,
    last_is_loaded: bool,
    pub steps: Steps,
    pub trace: Trace,
    /// For the bank, then for each cell.
    pub answers: Vec<Answers>,
    pub used: u64,
    /// Last volts and degrees that were there.
    voltage: f64,
    temperature: f64,
}

impl Sums {
    pub fn new(width: usize) -> Self {
        Self {
            positive: Exact::default(),
            negative: Exact::default(),
            positive_energy: Exact::default(),
            negative_energy: Exact::default(),
            warmth: (0.0, 0.0),
            coldest: f64::INFINITY,
            warmest: f64::NEG_INFINITY,
            current: 0.0,
            current_squared: 0.0,
            time: 0.0,
            first: vec![f64::NAN; width],
            last: vec![f64::NAN; width],
            loaded: vec![f64::NAN; width],
            last_is_loaded: true,
            steps: Steps::new(),
            trace: Trace::new(width),
            answers: vec![Answers::default(); 1 + width - FIXED],
            used: 0,
            voltage: f64::NAN,
            temperature: f64::NAN,
        }
    }

    /// The next row in the order of time.
    pub fn add(&mut self, row: &Row<'_>, format: LogFormat) {
        let mean_since = match format.sampling {
            Sampling::MeanSince { start } => Some(format.seconds(start)),
            Sampling::AtTheMoment => None,
        };
        let first = self.used == 0;
        self.used += 1;
        if first {
            row.write(&mut self.first);
            row.write(&mut self.last);
            row.write(&mut self.loaded);
        }
        let before = if first { mean_since } else { Some(self.last[TIME]) };
        let dt = before.map_or(0.0, |t| row.time - t).max(0.0);
        if dt > 0.0 {
            self.interval(row, dt, mean_since.is_some(), first);
        }
        if !row.voltage.is_nan() {
            self.voltage = row.voltage;
        }
        if !row.temperature.is_nan() {
            self.temperature = row.temperature;
            self.coldest = self.coldest.min(row.temperature);
            self.warmest = self.warmest.max(row.temperature);
        }
        let begun = if mean_since.is_some() { mean_since.unwrap_or(0.0) } else { self.first[TIME] };
        let drawn = self.positive.get() + self.negative.get();
        self.trace.add(row, row.time - begun, drawn);
        // Under load: at least half of the mean size so far.
        let is_loaded = row.current.abs() * self.time >= 0.5 * self.current.abs();
        if self.last_is_loaded && !is_loaded {
            self.loaded.copy_from_slice(&self.last);
        }
        self.last_is_loaded = is_loaded;
        row.write(&mut self.last);
    }

    /// The last row in which the bank was under load.
    pub fn last_loaded(&self) -> &[f64] {
        if self.last_is_loaded { &self.last } else { &self.loaded }
    }

    fn interval(&mut self, row: &Row<'_>, dt: f64, mean_since: bool, first: bool) {
        let (i0, i1) = (self.last[CURRENT], row.current);
        let v1 = if row.voltage.is_nan() { self.voltage } else { row.voltage };
        let v0 = if self.voltage.is_nan() { v1 } else { self.voltage };
        let t1 = if row.temperature.is_nan() { self.temperature } else { row.temperature };
        let t0 = if self.temperature.is_nan() { t1 } else { self.temperature };
        let mean = if mean_since {
            let mean = (i1, 0.5 * (v0 + v1), 0.5 * (t0 + t1));
            self.part(mean.0 * dt, mean.0 * mean.1 * dt, mean.2);
            i1
        } else if i0 * i1 >= 0.0 {
            let mean = 0.5 * (i0 + i1);
            self.part(mean * dt, 0.5 * (i0 * v0 + i1 * v1) * dt, 0.5 * (t0 + t1));
            mean
        } else {
            self.part(0.5 * i0 * dt, 0.5 * i0 * v0 * dt, t0);
            self.part(0.5 * i1 * dt, 0.5 * i1 * v1 * dt, t1);
            0.5 * (i0 + i1)
        };
        self.current += mean * dt;
        self.current_squared += 0.5 * (if mean_since { 2.0 * i1 * i1 } else { i0 * i0 + i1 * i1 }) * dt;
        self.time += dt;
        let di = i1 - i0;
        self.steps.add(dt, if mean_since { 0.0 } else { di }, row.number);
        if di.abs() * self.time > REAL_STEP * self.current.abs() && di != 0.0 && !first {
            self.answers[0].add(di, row.voltage - self.last[VOLTAGE]);
            for (k, a) in self.answers[1..].iter_mut().enumerate() {
                a.add(di, row.cell(k) - self.last[FIXED + k]);
            }
        }
    }

    /// A stretch of one sign: its charge, energy and temperature.
    #[inline]
    fn part(&mut self, charge: f64, energy: f64, temperature: f64) {
        let energy = if energy.is_nan() { 0.0 } else { energy };
        if charge >= 0.0 {
            self.positive.add(charge);
            self.positive_energy.add(energy);
        } else {
            self.negative.add(charge);
            self.negative_energy.add(energy);
        }
        if !temperature.is_nan() {
            self.warmth.0 += temperature * charge.abs();
            self.warmth.1 += charge.abs();
        }
    }
}
