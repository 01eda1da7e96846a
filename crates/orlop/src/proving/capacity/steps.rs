//! Steps of time between rows, sorted by size as they come, so that gaps are known at the end without holding the log.

use super::lanes::Lanes;

/// Bins of an eighth of a doubling, from about a microsecond to half a million years.
const BINS: usize = 512;
/// Binary exponent of the first bin.
const LOWEST: u64 = 1023 - 20;
/// A step this many times the usual one is a gap: common practice.
const GAP: f64 = 4.0;
const KEPT: usize = 8;

#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Bin {
    pub count: u64,
    pub time: Lanes,
    pub time_squared: Lanes,
    /// Sum of (step of current x step of time)².
    pub changes: Lanes,
    /// Sum of the products of neighbouring such changes.
    pub neighbours: Lanes,
}

impl Bin {
    fn mean(&self) -> f64 {
        self.time.get() / self.count as f64
    }
}

/// All steps of time of a log.
#[derive(Clone, Debug)]
pub(super) struct Steps {
    pub bins: Vec<Bin>,
    pub last_change: f64,
    longest: Vec<Gap>,
    /// A step has to be longer than this to be among them.
    pub short: f64,
}

/// A stretch of time without rows.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Gap {
    /// The row after it, counted from 1 as the rows came.
    pub before_row: u64,
    /// How long it is, in seconds.
    pub seconds: f64,
}

/// What the steps say once all are known.
pub(super) struct Sorted {
    pub usual: f64,
    pub gap_count: u64,
    pub gap_time: f64,
    pub gap_time_squared: f64,
    /// Variance of the charge because the current between rows is not known.
    pub between_rows: f64,
    pub gaps: Vec<Gap>,
}

/// The bin of a step: exponent and first three bits of the fraction, rounded, so that each eighth of a doubling from a power of two is in the
/// middle of its bin.
#[inline]
pub(super) fn place(dt: f64) -> usize {
    let eighths = (dt.to_bits() + (1 << 48)) >> 49;
    eighths.saturating_sub(8 * LOWEST).min(BINS as u64 - 1) as usize
}

impl Steps {
    pub fn new() -> Self {
        Self { bins: vec![Bin::default(); BINS], last_change: 0.0, longest: Vec::new(), short: 0.0 }
    }

    #[inline]
    pub fn add(&mut self, lane: usize, dt: f64, change: f64, row: u64) {
        let bin = &mut self.bins[place(dt)];
        bin.count += 1;
        bin.time.add(lane, dt);
        bin.time_squared.add(lane, dt * dt);
        let change = change * dt;
        bin.changes.add(lane, change * change);
        bin.neighbours.add(lane, change * self.last_change);
        self.last_change = change;
        if dt > self.short {
            self.keep(Gap { before_row: row, seconds: dt });
        }
    }

    #[cold]
    fn keep(&mut self, gap: Gap) {
        let place = self.longest.partition_point(|g| g.seconds >= gap.seconds);
        self.longest.insert(place, gap);
        self.longest.truncate(KEPT);
        self.short = self.longest.get(KEPT - 1).map_or(0.0, |g| g.seconds);
    }

    pub fn sorted(&self) -> Sorted {
        let total: u64 = self.bins.iter().map(|b| b.count).sum();
        let mut below = 0;
        let middle = self.bins.iter().find(|b| {
            below += b.count;
            2 * below >= total && b.count > 0
        });
        let usual = middle.map_or(0.0, Bin::mean);
        let is_gap = |b: &&Bin| b.count > 0 && b.mean() > GAP * usual;
        let gaps = || self.bins.iter().filter(is_gap);
        // Noise makes neighbouring changes run against each other, by minus its variance; what is left of the changes are steps
        // that last, each at an unknown moment within its interval: a twelfth of its square.
        let even = || self.bins.iter().filter(|b| !is_gap(b));
        let noise = (-even().map(|b| b.neighbours.get()).sum::<f64>()).max(0.0);
        let lasting = (even().map(|b| b.changes.get()).sum::<f64>() - 2.0 * noise).max(0.0);
        Sorted {
            usual,
            gap_count: gaps().map(|b| b.count).sum(),
            gap_time: gaps().map(|b| b.time.get()).sum(),
            gap_time_squared: gaps().map(|b| b.time_squared.get()).sum(),
            between_rows: noise + lasting / 12.0,
            gaps: self.longest.iter().filter(|g| g.seconds > GAP * usual).copied().collect(),
        }
    }
}
