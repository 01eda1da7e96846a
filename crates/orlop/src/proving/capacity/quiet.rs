//! Stretches of a log in which nothing happens but a load that goes on: four rows at once, to the same bits as row by row.

use super::columns::{Chunk, LogFormat, Sampling};
use super::lanes::{Four, LANES, lane};
use super::steps::{self, Steps};
use super::sums::{self, REAL_STEP, Totals, UNDER_LOAD};
use std::ops::Range;

/// Rows that are looked at together.
pub(super) const MOST: usize = 256;
const GROUPS: usize = MOST / LANES;
/// Fewer rows are not worth the look.
const FEWEST: usize = 32;
/// So much more than rounding can change.
const MARGIN: f64 = 1.0 + 1e-9;

/// Adds as many of the rows as it can, with the row before them in the chunk too and nothing amiss in any, and gives the place after the last.
/// None where it takes none: too few, or something happens among them.
pub(super) fn add(
    chunk: &Chunk<'_>,
    rows: Range<usize>,
    format: LogFormat,
    totals: &mut Totals,
    steps: &mut Steps,
) -> Option<usize> {
    let groups = (rows.len() / LANES).min(GROUPS);
    if groups * LANES < FEWEST || lane(totals.used) != 0 || format.sampling != Sampling::AtTheMoment {
        return None;
    }
    let end = rows.start + groups * LANES;
    let both = |column| (shifted(column, rows.start - 1, groups), shifted(column, rows.start, groups));
    let (t0, t1) = both(chunk.time);
    let (i0, i1) = both(chunk.current);
    let temperature = chunk.temperature.map(both);

    let (mut dt, mut charge, mut squares, mut changes) =
        ([[0.0; LANES]; GROUPS], [[0.0; LANES]; GROUPS], [[0.0; LANES]; GROUPS], [[0.0; LANES]; GROUPS + 1]);
    let (mut step, mut current, mut moved, mut change) = (Span::NONE, Span::NONE, Span::NONE, Span::NONE);
    changes[0][LANES - 1] = steps.last_change;
    for g in 0..groups {
        let mut di = [0.0; LANES];
        for l in 0..LANES {
            dt[g][l] = format.seconds(t1[g][l]) - format.seconds(t0[g][l]);
            charge[g][l] = sums::charge(i0[g][l], i1[g][l], dt[g][l]);
            squares[g][l] = sums::squared(i0[g][l], i1[g][l], dt[g][l]);
            di[l] = i1[g][l] - i0[g][l];
            changes[g + 1][l] = di[l] * dt[g][l];
        }
        step.see(dt[g]);
        moved.see(charge[g]);
        change.see(di);
        current.see(i0[g]);
    }
    current.see(i1[groups - 1]);
    let mut degrees = Span::NONE;
    if let Some((before, now)) = temperature {
        // The first may be the last that was there of the stretch before; the others make no difference to it.
        let there = !before[0][0].is_nan() && now.iter().flatten().fold(true, |all, t| all & !t.is_nan());
        if !there {
            return None;
        }
        now.iter().for_each(|t| degrees.see(*t));
    }

    // What may happen row by row, with room for rounding: see `Sums::add_each`.
    let (time, after) = (totals.time, format.seconds(chunk.time[end - 1]) - totals.begin);
    let drawn = totals.charge();
    let same_way = (drawn >= 0.0) == totals.positive;
    let one_way =
        if totals.positive { current.low() >= 0.0 } else { current.high() <= 0.0 && moved.high() < 0.0 };
    let (least, most) = (current.low().abs().min(current.high().abs()), current.size());
    let (drawn, drawn_after) = (drawn.abs(), drawn.abs() + most * (after - time));
    let no_step = change.size() * after * MARGIN <= REAL_STEP * drawn;
    let loaded = least * time >= UNDER_LOAD * drawn_after * MARGIN;
    let idle = !totals.last_is_loaded && most * after * MARGIN < UNDER_LOAD * drawn;
    let bin = steps::place(step.low());
    let one_bin = bin == steps::place(step.high()) && step.high() <= steps.short;
    if !(same_way && one_way && no_step && (loaded || idle) && one_bin) {
        return None;
    }

    let bin = &mut steps.bins[bin];
    bin.count += (groups * LANES) as u64;
    for dt in &dt[..groups] {
        bin.time.add_four(*dt);
        bin.time_squared.add_four(dt.map(|t| t * t));
    }
    for g in 0..groups {
        let change = changes[g + 1];
        let before = [changes[g][LANES - 1], change[0], change[1], change[2]];
        bin.changes.add_four(change.map(|c| c * c));
        bin.neighbours.add_four(product(change, before));
    }
    steps.last_change = changes[groups][LANES - 1];

    let way = &mut totals.this_way;
    for (charge, square) in charge[..groups].iter().zip(&squares) {
        way.charge.add_four(*charge);
        totals.current_squared.add_four(*square);
    }
    if let Some(column) = chunk.voltage {
        let (v0, v1) = both(column);
        for g in 0..groups {
            let mut energy = [0.0; LANES];
            for l in 0..LANES {
                let ends = ((i0[g][l], v0[g][l]), (i1[g][l], v1[g][l]));
                energy[l] = sums::known(sums::energy(ends.0, ends.1, dt[g][l]));
            }
            way.energy.add_four(energy);
        }
        totals.voltage = column[end - 1];
    }
    if let Some((before, now)) = temperature {
        for g in 0..groups {
            let size = charge[g].map(f64::abs);
            let mut mean = [0.0; LANES];
            for l in 0..LANES {
                mean[l] = 0.5 * (before[g][l] + now[g][l]);
            }
            totals.warmth.0.add_four(product(mean, size));
            totals.warmth.1.add_four(size);
        }
        totals.temperature = now[groups - 1][LANES - 1];
        totals.coldest = totals.coldest.min(degrees.low());
        totals.warmest = totals.warmest.max(degrees.high());
    }
    totals.time = after;
    totals.last_is_loaded = loaded;
    totals.used += (groups * LANES) as u64;
    Some(end)
}

/// Groups of rows of a column.
fn shifted(column: &[f64], from: usize, groups: usize) -> &[Four] {
    column[from..from + groups * LANES].as_chunks().0
}

#[inline(always)]
fn product(a: Four, b: Four) -> Four {
    [a[0] * b[0], a[1] * b[1], a[2] * b[2], a[3] * b[3]]
}

/// The least and the greatest so far, in each lane.
struct Span(Four, Four);

impl Span {
    const NONE: Self = Self([f64::INFINITY; LANES], [f64::NEG_INFINITY; LANES]);

    #[inline(always)]
    fn see(&mut self, x: Four) {
        for ((low, high), x) in self.0.iter_mut().zip(&mut self.1).zip(x) {
            *low = if x < *low { x } else { *low };
            *high = if x > *high { x } else { *high };
        }
    }

    fn low(&self) -> f64 {
        self.0.into_iter().fold(f64::INFINITY, f64::min)
    }

    fn high(&self) -> f64 {
        self.1.into_iter().fold(f64::NEG_INFINITY, f64::max)
    }

    /// The greatest without its sign.
    fn size(&self) -> f64 {
        self.low().abs().max(self.high().abs())
    }
}
