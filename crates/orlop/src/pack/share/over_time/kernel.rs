//! All cells as columns of numbers: the inner loops.
//!
//! A column has a place for each cell in the order in which the network solves them, and idle places where that order leaves gaps.

use crate::cell::{CircuitState, EquivalentCircuit, MOST_PAIRS};
use orlop_units::Quantity;
use std::ops::Range;

/// No cell stands in this place.
pub(super) const IDLE: usize = usize::MAX;

/// A curve as straight pieces: ends, and volts as `base + slope z`.
#[derive(Clone, Debug, PartialEq)]
struct Pieces {
    soc: Vec<f64>,
    base: Vec<f64>,
    slope: Vec<f64>,
}

/// Every quantity of every cell, one column each.
pub(super) struct Cells {
    curves: Vec<Pieces>,
    curve: Vec<u32>,
    piece: Vec<u32>,
    base: Vec<f64>,
    slope: Vec<f64>,
    low: Vec<f64>,
    high: Vec<f64>,
    pub z: Vec<f64>,
    pub v: [Vec<f64>; MOST_PAIRS],
    pub r0: Vec<f64>,
    pair_r: [Vec<f64>; MOST_PAIRS],
    /// One over the resistance of a pair, zero where there is none.
    pair_g: [Vec<f64>; MOST_PAIRS],
    tau: [Vec<f64>; MOST_PAIRS],
    coulombs: Vec<f64>,
    efficiency: Vec<f64>,
    /// Most pairs that any cell has.
    pairs: usize,
    // Of the length of step that was set last.
    half: [Vec<f64>; MOST_PAIRS],
    whole: [Vec<f64>; MOST_PAIRS],
    per_ampere: Vec<f64>,
    lag: Vec<f64>,
    pub heat: Vec<f64>,
}

impl Cells {
    /// The cells in the order of `places`, each the number of a cell or [`IDLE`].
    pub fn new(cells: &[EquivalentCircuit], states: &[CircuitState], places: &[usize]) -> Self {
        let n = places.len();
        let (curves, curve_of) = curves(cells);
        let of = |idle: f64, f: &dyn Fn(usize) -> f64| -> Vec<f64> {
            places.iter().map(|&c| if c == IDLE { idle } else { f(c) }).collect()
        };
        let pair = |k: usize, get: fn(&crate::cell::Pair) -> f64, none: f64| {
            of(none, &|c| cells[c].pairs().get(k).map_or(none, get))
        };
        let column = || vec![0.0; n];
        let pair_r: [Vec<f64>; MOST_PAIRS] = std::array::from_fn(|k| pair(k, |p| p.resistance().si(), 0.0));
        let mut own = Self {
            curves,
            curve: places.iter().map(|&c| if c == IDLE { u32::MAX } else { curve_of[c] }).collect(),
            piece: vec![1; n],
            base: column(),
            slope: column(),
            low: vec![f64::NEG_INFINITY; n],
            high: vec![f64::INFINITY; n],
            z: of(0.5, &|c| states[c].numbers().0),
            v: std::array::from_fn(|k| of(0.0, &|c| states[c].numbers().1[k])),
            r0: of(1.0, &|c| cells[c].r0().si()),
            pair_g: std::array::from_fn(|k| {
                pair_r[k].iter().map(|r| if *r > 0.0 { 1.0 / r } else { 0.0 }).collect()
            }),
            pair_r,
            tau: std::array::from_fn(|k| pair(k, |p| p.time_constant().si(), f64::INFINITY)),
            coulombs: of(f64::INFINITY, &|c| cells[c].capacity().si()),
            efficiency: of(1.0, &|c| cells[c].coulombic_efficiency().value()),
            pairs: cells.iter().map(|c| c.pairs().len()).max().unwrap_or(0),
            half: std::array::from_fn(|_| column()),
            whole: std::array::from_fn(|_| column()),
            per_ampere: column(),
            lag: column(),
            heat: column(),
        };
        (0..n).filter(|c| places[*c] != IDLE).for_each(|c| own.seek(c));
        own
    }

    /// Prepares for steps of this length.
    #[allow(clippy::needless_range_loop, reason = "many columns go side by side")]
    pub fn set_step(&mut self, h: f64) {
        let n = self.z.len();
        for k in 0..MOST_PAIRS {
            for c in 0..n {
                // A cell without the pair has no voltage there, and none decays.
                self.half[k][c] = (-0.5 * h / self.tau[k][c]).exp();
                self.whole[k][c] = (-h / self.tau[k][c]).exp();
            }
        }
        for c in 0..n {
            self.per_ampere[c] = h / self.coulombs[c];
            let pairs: f64 = (0..MOST_PAIRS).map(|k| self.pair_r[k][c] * (1.0 - self.half[k][c])).sum();
            self.lag[c] = self.r0[c] + pairs;
        }
    }

    /// The resistance that a cell stands behind in the step set.
    pub fn resistance(&self, c: usize) -> f64 {
        self.lag[c] + 0.5 * self.per_ampere[c] * self.slope[c]
    }

    /// The voltage that each cell stands for in the step set.
    pub fn voltages(&self, of: Range<usize>, out: &mut [f64]) {
        let n = of.len();
        let out = &mut out[..n];
        let [base, slope, z] = [&self.base, &self.slope, &self.z].map(|c| &c[of.clone()][..n]);
        match self.pairs {
            0 => (0..n).for_each(|c| out[c] = base[c] + slope[c] * z[c]),
            1 => {
                let [v, g] = [&self.v[0], &self.half[0]].map(|c| &c[of.clone()][..n]);
                (0..n).for_each(|c| out[c] = base[c] + slope[c] * z[c] - v[c] * g[c]);
            }
            _ => {
                let [v, g, w, f] = [&self.v[0], &self.half[0], &self.v[1], &self.half[1]]
                    .map(|column| &column[of.clone()][..n]);
                (0..n).for_each(|c| out[c] = base[c] + slope[c] * z[c] - v[c] * g[c] - w[c] * f[c]);
            }
        }
    }

    /// Voltage of each cell less that of its pairs, at this instant.
    pub fn voltages_now(&self, of: Range<usize>, out: &mut [f64]) {
        for (c, out) in of.zip(out) {
            *out = self.base[c] + self.slope[c] * self.z[c] - self.v[0][c] - self.v[1][c];
        }
    }

    /// Change of charge in the step under a current.
    fn counted(&self, c: usize, i: f64) -> f64 {
        felt(i, self.efficiency[c]) * self.per_ampere[c]
    }

    /// Whether a current would empty or overfill a cell in the step.
    pub fn leaves(&self, c: usize, i: f64) -> bool {
        !(0.0..=1.0).contains(&(self.z[c] - self.counted(c, i)))
    }

    /// Whether currents would empty or overfill any of these cells in the step.
    pub fn any_leaves(&self, of: Range<usize>, i: &[f64]) -> bool {
        let n = of.len();
        let i = &i[..n];
        let [z, eta, per] = [&self.z, &self.efficiency, &self.per_ampere].map(|c| &c[of.clone()][..n]);
        let cells = i.iter().zip(z).zip(eta).zip(per);
        cells.fold(false, |out, (((i, z), eta), per)| {
            let end = z - felt(*i, *eta) * per;
            out | !(0.0..=1.0).contains(&end)
        })
    }

    /// The largest part of the step after which all cells are still within their capacity.
    pub fn part_within(&self, i: &[f64]) -> f64 {
        let room = |c: usize| {
            let change = self.counted(c, i[c]);
            let room = if change > 0.0 { self.z[c] } else { self.z[c] - 1.0 };
            if change == 0.0 { 1.0 } else { (room / change).clamp(0.0, 1.0) }
        };
        (0..self.z.len()).map(room).fold(1.0, f64::min)
    }

    /// Takes the step under these currents; its heat is counted.
    pub fn advance(&mut self, of: Range<usize>, i: &[f64], h: f64) {
        let n = of.len();
        let i = &i[..n];
        let [eta, per, r0] = [&self.efficiency, &self.per_ampere, &self.r0].map(|c| &c[of.clone()][..n]);
        let (z, heat) = (&mut self.z[of.clone()][..n], &mut self.heat[of.clone()][..n]);
        for c in 0..n {
            z[c] -= felt(i[c], eta[c]) * per[c];
            heat[c] += h * i[c] * i[c] * r0[c];
        }
        for k in 0..self.pairs {
            let v = &mut self.v[k][of.clone()][..n];
            let [r, g, half, whole] = [&self.pair_r[k], &self.pair_g[k], &self.half[k], &self.whole[k]]
                .map(|column| &column[of.clone()][..n]);
            for c in 0..n {
                let settled = i[c] * r[c];
                let off = v[c] - settled;
                let middle = settled + off * half[c];
                v[c] = settled + off * whole[c];
                heat[c] += h * middle * middle * g[c];
            }
        }
    }

    /// Heat of a cell at this instant, W.
    pub fn watts(&self, c: usize, i: f64) -> f64 {
        let pairs = (0..MOST_PAIRS).map(|k| self.v[k][c] * self.v[k][c] * self.pair_g[k][c]);
        i * i * self.r0[c] + pairs.sum::<f64>()
    }

    /// Keeps charges within 0 to 1 against rounding.
    pub fn clamp(&mut self) {
        self.z.iter_mut().for_each(|z| *z = z.clamp(0.0, 1.0));
    }

    /// Puts the cells on the pieces of their curves, and names each that is on another than before.
    pub fn follow(&mut self, of: Range<usize>, mut moved: impl FnMut(&Self, usize)) {
        const CHUNK: usize = 16;
        for start in of.clone().step_by(CHUNK) {
            let chunk = start..(start + CHUNK).min(of.end);
            let [z, low, high] = [&self.z, &self.low, &self.high].map(|c| &c[chunk.clone()]);
            let off =
                z.iter().zip(low).zip(high).fold(false, |off, ((z, low), high)| off | (z < low) | (z > high));
            if !off {
                continue;
            }
            for c in chunk {
                if self.z[c] < self.low[c] || self.z[c] > self.high[c] {
                    let before = self.piece[c];
                    self.seek(c);
                    if self.piece[c] != before {
                        moved(self, c);
                    }
                }
            }
        }
    }

    /// Finds the piece of the curve that a cell is on.
    fn seek(&mut self, c: usize) {
        let pieces = &self.curves[self.curve[c] as usize];
        let last = pieces.soc.len() - 1;
        let z = self.z[c];
        let mut at = self.piece[c] as usize;
        while at < last && z > pieces.soc[at] {
            at += 1;
        }
        while at > 1 && z < pieces.soc[at - 1] {
            at -= 1;
        }
        self.piece[c] = at as u32;
        (self.base[c], self.slope[c]) = (pieces.base[at], pieces.slope[at]);
        // Beyond the ends of the curve there is no other piece.
        self.low[c] = if at == 1 { f64::NEG_INFINITY } else { pieces.soc[at - 1] };
        self.high[c] = if at == last { f64::INFINITY } else { pieces.soc[at] };
    }
}

/// What a current takes from a cell: of what is put in, a part is lost.
fn felt(i: f64, efficiency: f64) -> f64 {
    i * if i < 0.0 { efficiency } else { 1.0 }
}

/// The curves that differ, and which of them each cell has.
fn curves(cells: &[EquivalentCircuit]) -> (Vec<Pieces>, Vec<u32>) {
    let (mut curves, mut curve): (Vec<Pieces>, Vec<u32>) = (Vec::new(), Vec::with_capacity(cells.len()));
    let mut last: Option<(&EquivalentCircuit, u32)> = None;
    for cell in cells {
        let at = match last {
            Some((before, at)) if before.curve() == cell.curve() => at,
            _ => {
                let pieces = Pieces::of(cell);
                let found = curves.iter().position(|c| *c == pieces).unwrap_or_else(|| {
                    curves.push(pieces);
                    curves.len() - 1
                });
                found as u32
            }
        };
        curve.push(at);
        last = Some((cell, at));
    }
    (curves, curve)
}

impl Pieces {
    fn of(cell: &EquivalentCircuit) -> Self {
        let points: Vec<(f64, f64)> = cell.curve().points().collect();
        let mut own = Self { soc: points.iter().map(|p| p.0).collect(), base: vec![0.0], slope: vec![0.0] };
        for pair in points.windows(2) {
            let slope = (pair[1].1 - pair[0].1) / (pair[1].0 - pair[0].0);
            own.slope.push(slope);
            own.base.push(pair[0].1 - slope * pair[0].0);
        }
        own
    }
}
