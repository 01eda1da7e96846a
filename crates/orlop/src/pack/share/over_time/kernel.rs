//! All cells as columns of numbers: the inner loops.

use crate::cell::{CircuitState, EquivalentCircuit, MOST_PAIRS};
use orlop_units::Quantity;

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
    pub slope: Vec<f64>,
    low: Vec<f64>,
    high: Vec<f64>,
    pub z: Vec<f64>,
    pub v: [Vec<f64>; MOST_PAIRS],
    pub r0: Vec<f64>,
    pub pair_r: [Vec<f64>; MOST_PAIRS],
    tau: [Vec<f64>; MOST_PAIRS],
    coulombs: Vec<f64>,
    efficiency: Vec<f64>,
    /// Most pairs that any cell has.
    pub pairs: usize,
    // Of the length of step that was set last.
    half: [Vec<f64>; MOST_PAIRS],
    whole: [Vec<f64>; MOST_PAIRS],
    per_ampere: Vec<f64>,
    lag: Vec<f64>,
    pub heat: Vec<f64>,
}

#[allow(clippy::needless_range_loop, reason = "many columns go side by side")]
impl Cells {
    pub fn new(cells: &[EquivalentCircuit], states: &[CircuitState]) -> Self {
        let n = cells.len();
        let (mut curves, mut curve): (Vec<Pieces>, Vec<u32>) = (Vec::new(), Vec::with_capacity(n));
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
        let pair = |k: usize, of: fn(&crate::cell::Pair) -> f64, none: f64| {
            cells.iter().map(|c| c.pairs().get(k).map_or(none, of)).collect::<Vec<f64>>()
        };
        let column = || vec![0.0; n];
        let mut own = Self {
            curves,
            curve,
            piece: vec![1; n],
            base: column(),
            slope: column(),
            low: column(),
            high: column(),
            z: states.iter().map(|s| s.numbers().0).collect(),
            v: std::array::from_fn(|k| states.iter().map(|s| s.numbers().1[k]).collect()),
            r0: cells.iter().map(|c| c.r0().si()).collect(),
            pair_r: std::array::from_fn(|k| pair(k, |p| p.resistance().si(), 0.0)),
            tau: std::array::from_fn(|k| pair(k, |p| p.time_constant().si(), f64::INFINITY)),
            coulombs: cells.iter().map(|c| c.capacity().si()).collect(),
            efficiency: cells.iter().map(|c| c.coulombic_efficiency().value()).collect(),
            pairs: cells.iter().map(|c| c.pairs().len()).max().unwrap_or(0),
            half: std::array::from_fn(|_| column()),
            whole: std::array::from_fn(|_| column()),
            per_ampere: column(),
            lag: column(),
            heat: column(),
        };
        (0..n).for_each(|c| own.seek(c));
        own
    }

    pub fn len(&self) -> usize {
        self.z.len()
    }

    /// Prepares for steps of this length.
    pub fn set_step(&mut self, h: f64) {
        for k in 0..MOST_PAIRS {
            for c in 0..self.len() {
                // A cell without the pair has no voltage there, and none decays.
                self.half[k][c] = (-0.5 * h / self.tau[k][c]).exp();
                self.whole[k][c] = (-h / self.tau[k][c]).exp();
            }
        }
        for c in 0..self.len() {
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
    pub fn voltages(&self, out: &mut [f64]) {
        let n = self.len();
        let (out, base, slope, z) = (&mut out[..n], &self.base[..n], &self.slope[..n], &self.z[..n]);
        match self.pairs {
            0 => (0..n).for_each(|c| out[c] = base[c] + slope[c] * z[c]),
            1 => {
                let (v, g) = (&self.v[0][..n], &self.half[0][..n]);
                (0..n).for_each(|c| out[c] = base[c] + slope[c] * z[c] - v[c] * g[c]);
            }
            _ => {
                let (v, g, w, f) = (&self.v[0][..n], &self.half[0][..n], &self.v[1][..n], &self.half[1][..n]);
                (0..n).for_each(|c| out[c] = base[c] + slope[c] * z[c] - v[c] * g[c] - w[c] * f[c]);
            }
        }
    }

    /// Voltage of each cell less that of its pairs, at this instant.
    pub fn voltages_now(&self, out: &mut [f64]) {
        for c in 0..self.len() {
            out[c] = self.base[c] + self.slope[c] * self.z[c] - self.v[0][c] - self.v[1][c];
        }
    }

    /// Change of charge in the step under a current.
    pub fn counted(&self, c: usize, i: f64) -> f64 {
        let felt = if i < 0.0 { i * self.efficiency[c] } else { i };
        felt * self.per_ampere[c]
    }

    /// Whether currents would empty or overfill a cell in the step.
    pub fn leaves(&self, c: usize, i: f64) -> bool {
        !(0.0..=1.0).contains(&(self.z[c] - self.counted(c, i)))
    }

    /// Whether currents would empty or overfill any cell in the step.
    pub fn any_leaves(&self, i: &[f64]) -> bool {
        let n = self.len();
        let (i, z, eta, per) = (&i[..n], &self.z[..n], &self.efficiency[..n], &self.per_ampere[..n]);
        let mut out = false;
        for c in 0..n {
            let felt = if i[c] < 0.0 { i[c] * eta[c] } else { i[c] };
            let end = z[c] - felt * per[c];
            out |= !(0.0..=1.0).contains(&end);
        }
        out
    }

    /// The largest part of the step after which all cells are still within their capacity.
    pub fn part_within(&self, i: &[f64]) -> f64 {
        let room = |c: usize| {
            let change = self.counted(c, i[c]);
            let room = if change > 0.0 { self.z[c] } else { self.z[c] - 1.0 };
            if change == 0.0 { 1.0 } else { (room / change).clamp(0.0, 1.0) }
        };
        (0..self.len()).map(room).fold(1.0, f64::min)
    }

    /// Takes the step under these currents; its heat is counted.
    pub fn advance(&mut self, i: &[f64], h: f64) {
        let n = self.len();
        let i = &i[..n];
        for c in 0..n {
            let felt = if i[c] < 0.0 { i[c] * self.efficiency[c] } else { i[c] };
            self.z[c] -= felt * self.per_ampere[c];
            self.heat[c] += h * i[c] * i[c] * self.r0[c];
        }
        for k in 0..self.pairs {
            let (v, r) = (&mut self.v[k][..n], &self.pair_r[k][..n]);
            let (half, whole, heat) = (&self.half[k][..n], &self.whole[k][..n], &mut self.heat[..n]);
            for c in 0..n {
                let settled = i[c] * r[c];
                let off = v[c] - settled;
                let middle = settled + off * half[c];
                v[c] = settled + off * whole[c];
                if r[c] > 0.0 {
                    heat[c] += h * middle * middle / r[c];
                }
            }
        }
    }

    /// Keeps charges within 0 to 1 against rounding.
    pub fn clamp(&mut self) {
        self.z.iter_mut().for_each(|z| *z = z.clamp(0.0, 1.0));
    }

    /// Names every cell whose charge has passed a point of its curve.
    pub fn follow(&mut self, mut moved: impl FnMut(usize)) {
        for c in 0..self.len() {
            if self.z[c] < self.low[c] || self.z[c] > self.high[c] {
                let before = self.piece[c];
                self.seek(c);
                if self.piece[c] != before {
                    moved(c);
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
