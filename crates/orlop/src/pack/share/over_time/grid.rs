//! Groups joined at every cell: a grid of cells and bars.
//!
//! Bars 0 to `s` run across; cells of group `g` stand between bar `g` and bar `g + 1`. Unknown of the mesh between cells `k` and
//! `k + 1` of group `g` is `M_gk`, the sum of the currents of its cells up to `k`; the piece of bar `g` between them carries
//! `M_(g-1)k - M_gk` towards `k + 1`. Around the mesh, with `R` a cell with its joint and `b` a piece of bar,
//!
//! `-R_k M_g(k-1) - R_(k+1) M_g(k+1) - b M_(g-1)k - b M_(g+1)k + (R_k + R_(k+1) + 2 b) M_gk = E_k - E_(k+1)`
//!
//! and at the ends the load takes the place of the sums beyond the last bar and the last cell. Symmetric, positive definite and sparse, ideal
//! bars included.

use super::net::{Links, Net};
use super::wiring::Wiring;
use crate::error::Error;
use crate::solve::{Factor, Symbolic};
use orlop_units::Quantity;

/// The grid, its factor and its last solution.
pub(super) struct Grid {
    groups: usize,
    parallel: usize,
    bar: f64,
    joint: f64,
    manager: f64,
    take_positive: usize,
    take_negative: usize,
    places: Vec<usize>,
    symbolic: Symbolic,
    /// The meshes that meet in a cell (with the cell) or in a piece of bar.
    pairs: Vec<(u32, u32, Option<usize>)>,
    factor: Factor,
    /// Cells with their joints.
    r: Vec<f64>,
    sums: Vec<f64>,
    rhs: Vec<f64>,
    across: Vec<f64>,
    own_volts: f64,
    bar_heat: Vec<f64>,
    joint_squares: Vec<f64>,
    load_squares: f64,
}

impl Grid {
    pub fn new(wiring: &Wiring) -> Result<Self, Error> {
        let (groups, parallel) = (wiring.series, wiring.parallel);
        let (positive, negative) = wiring.take_off.cells(parallel)?;
        let gaps = parallel - 1;
        let mut pairs = Vec::new();
        for g in 0..groups {
            for k in 0..gaps {
                let own = (g * gaps + k) as u32;
                if k + 1 < gaps {
                    pairs.push((own, own + 1, Some(g * parallel + k + 1)));
                }
                if g + 1 < groups {
                    pairs.push((own, own + gaps as u32, None));
                }
            }
        }
        let plain: Vec<(u32, u32)> = pairs.iter().map(|(a, b, _)| (*a, *b)).collect();
        let symbolic = Symbolic::new(groups * gaps, &plain);
        Ok(Self {
            groups,
            parallel,
            bar: wiring.rail_link.si(),
            joint: wiring.series_link.si(),
            manager: wiring.manager.si(),
            take_positive: positive - 1,
            take_negative: negative - 1,
            places: (0..groups * parallel).collect(),
            factor: Factor::new(&symbolic),
            symbolic,
            pairs,
            r: vec![0.0; groups * parallel],
            sums: vec![0.0; groups * gaps],
            rhs: vec![0.0; groups * gaps],
            across: vec![0.0; groups],
            own_volts: 0.0,
            bar_heat: vec![0.0; (groups + 1) * gaps],
            joint_squares: vec![0.0; (groups - 1) * parallel],
            load_squares: 0.0,
        })
    }

    fn gaps(&self) -> usize {
        self.parallel - 1
    }

    /// Current of piece `k` of a bar, towards higher cells.
    fn in_bar(&self, bar: usize, k: usize, load: f64) -> f64 {
        let of = |group: usize| self.sums[group * self.gaps() + k];
        let from_below = match bar {
            0 if self.take_negative <= k => load,
            0 => 0.0,
            _ => of(bar - 1),
        };
        let upward = match bar {
            _ if bar < self.groups => of(bar),
            _ if self.take_positive <= k => load,
            _ => 0.0,
        };
        from_below - upward
    }
}

impl Net for Grid {
    fn places(&self) -> &[usize] {
        &self.places
    }

    fn factor(&mut self, _: usize, r: &[f64]) -> Result<(), Error> {
        let gaps = self.gaps();
        for (at, (own, cell)) in self.r.iter_mut().zip(r).enumerate() {
            // Above the last group there is no joint, but the bar of the lead.
            *own = cell + if at / self.parallel + 1 < self.groups { self.joint } else { 0.0 };
        }
        let mut diagonal = vec![0.0; self.sums.len()];
        for at in 0..self.sums.len() {
            let first = at / gaps * self.parallel + at % gaps;
            diagonal[self.symbolic.place(at)] = self.r[first] + self.r[first + 1] + 2.0 * self.bar;
        }
        let mut values = vec![0.0; self.symbolic.slots()];
        for (k, (_, _, cell)) in self.pairs.iter().enumerate() {
            values[self.symbolic.slot(k)] -= cell.map_or(self.bar, |c| self.r[c]);
        }
        self.factor.factor(&self.symbolic, &diagonal, &values).map_err(|_| Error::NoSolution {
            what: "the resistances of cells and bars differ by more than arithmetic can hold".into(),
            hint: "a cell or bar that hardly conducts is better left out".into(),
        })
    }

    fn solve(&mut self, _: usize, e: &[f64], load: f64, i: &mut [f64]) {
        let (gaps, parallel) = (self.gaps(), self.parallel);
        for at in 0..self.sums.len() {
            let (g, k) = (at / gaps, at % gaps);
            let cell = g * parallel + k;
            let mut volts = e[cell] - e[cell + 1];
            if g == 0 && self.take_negative <= k {
                volts += self.bar * load;
            }
            if g + 1 == self.groups && self.take_positive <= k {
                volts += self.bar * load;
            }
            if k + 1 == gaps {
                volts += self.r[cell + 1] * load;
            }
            self.rhs[self.symbolic.place(at)] = volts;
        }
        self.factor.solve(&self.symbolic, &mut self.rhs);
        for (at, sum) in self.sums.iter_mut().enumerate() {
            *sum = self.rhs[self.symbolic.place(at)];
        }
        for g in 0..self.groups {
            let mut below = 0.0;
            for k in 0..parallel {
                let up_to = if k < gaps { self.sums[g * gaps + k] } else { load };
                i[g * parallel + k] = up_to - below;
                below = up_to;
            }
        }
        self.own_volts = 0.0;
        for g in 0..self.groups {
            let first = g * parallel;
            let joint = if g + 1 < self.groups { self.joint } else { 0.0 };
            let volts = e[first] - self.r[first] * i[first];
            self.own_volts += volts;
            self.across[g] = volts + joint * i[first];
        }
        // From the first cells along the outer bars to the leads.
        let along =
            |bar: usize, take: usize| (0..take).map(|k| self.bar * self.in_bar(bar, k, load)).sum::<f64>();
        self.own_volts += along(0, self.take_negative) - along(self.groups, self.take_positive);
    }

    fn voltage(&self, load: f64) -> f64 {
        self.own_volts - self.manager * load
    }

    fn groups(&self) -> &[f64] {
        &self.across
    }

    fn open(&mut self, _: usize) -> bool {
        false
    }

    fn count_heat(&mut self, i: &[f64], load: f64, h: f64) {
        for bar in 0..=self.groups {
            for k in 0..self.gaps() {
                let own = self.in_bar(bar, k, load);
                self.bar_heat[bar * (self.parallel - 1) + k] += own * own * self.bar * h;
            }
        }
        for (sum, i) in self.joint_squares.iter_mut().zip(i) {
            *sum += i * i * h;
        }
        self.load_squares += load * load * h;
    }

    fn heat(&self) -> Links {
        Links {
            bars: self.bar_heat.clone(),
            series: self.joint_squares.iter().map(|s| s * self.joint).collect(),
            managers: vec![self.load_squares * self.manager],
            ..Links::default()
        }
    }

    fn links(&self, i: &[f64], load: f64) -> Links {
        let bar = |bar| (0..self.gaps()).map(move |k| self.in_bar(bar, k, load));
        Links {
            bars: (0..=self.groups).flat_map(bar).collect(),
            series: i[..self.joint_squares.len()].to_vec(),
            managers: vec![load],
            ..Links::default()
        }
    }

    fn branches(&self, i: &[f64]) -> Vec<f64> {
        i.to_vec()
    }
}
