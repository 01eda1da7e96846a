//! The kernel: a ladder of branches between two rails, solved by its meshes in linear time.
//!
//! Unknown of the mesh between branch k and k + 1 is `S_k`, the sum of the currents of all branches up to k. Around the mesh
//!
//! `-R_k S_(k-1) + (R_k + R_(k+1) + p_k + n_k) S_k - R_(k+1) S_(k+1) = E_k - E_(k+1) + I (p_k [tp <= k] + n_k [tn <= k])`
//!
//! with `S_(-1) = 0` and `S_(last) = I`, `p` and `n` the links of the rails, `tp` and `tn` the nodes where the load is taken
//! off. The matrix is tridiagonal, symmetric and positive definite for any links of zero or more: ideal rails need no special
//! case. A branch that is open carries nothing and joins the meshes on its two sides.

/// Rails and take-off of a ladder.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Rails {
    /// Links of the positive rail, ohm: one less than branches.
    pub positive: Vec<f64>,
    /// Links of the negative rail.
    pub negative: Vec<f64>,
    /// Node of the positive take-off, from 0.
    pub take_positive: usize,
    /// Node of the negative take-off, from 0.
    pub take_negative: usize,
}

/// The meshes between the branches that carry current.
#[derive(Clone, Debug)]
pub(super) struct Mesh {
    /// Branches that carry current, ascending.
    pub live: Vec<usize>,
    /// Both rails between a live branch and the next.
    loops: Vec<f64>,
    /// Volts around a mesh per ampere of load.
    drive: Vec<f64>,
    /// What each sum of currents drops on the way from the first live branch to the take-offs, ohm.
    way: Vec<f64>,
    /// What the load itself drops beyond the live branches, ohm.
    beyond: f64,
    /// Resistance of the last live branch.
    r_last: f64,
    inverse: Vec<f64>,
    factor: Vec<f64>,
    /// The sums of the last solution.
    pub sums: Vec<f64>,
}

impl Mesh {
    /// The meshes of the branches that are live; none of them may be missing altogether.
    pub fn new(rails: &Rails, live: Vec<usize>) -> Self {
        let (first, last) = (live[0], live[live.len() - 1]);
        let part = |links: &[f64], from: usize, to: usize| links[from..to.max(from)].iter().sum::<f64>();
        let both = |from: usize, to: usize, take: [(usize, usize); 2]| {
            let [p, n] = take;
            part(&rails.positive, from.max(p.0), to.min(p.1))
                + part(&rails.negative, from.max(n.0), to.min(n.1))
        };
        let end = rails.positive.len();
        let all = [(0, end), (0, end)];
        let after = [(rails.take_positive, end), (rails.take_negative, end)];
        let before = [(0, rails.take_positive), (0, rails.take_negative)];
        let gaps = || live.windows(2).map(|w| (w[0], w[1]));
        let count = live.len() - 1;
        Self {
            loops: gaps().map(|(a, b)| both(a, b, all)).collect(),
            drive: gaps().map(|(a, b)| both(a, b, after)).collect(),
            way: gaps().map(|(a, b)| both(a, b, before)).collect(),
            beyond: both(0, first, after) + both(last, end, before),
            r_last: 0.0,
            inverse: vec![0.0; count],
            factor: vec![0.0; count],
            sums: vec![0.0; count],
            live,
        }
    }

    /// Factors for the resistances of all branches, above zero where they are live.
    pub fn factor(&mut self, r: &[f64]) {
        // What the mesh sees of all before it: the pivot without the branch it shares with the next. No difference is ever
        // taken, so a branch of any size, up to one that hardly conducts, keeps all digits.
        let mut seen = r[self.live[0]];
        for k in 0..self.loops.len() {
            let next = r[self.live[k + 1]];
            seen += self.loops[k];
            let inverse = 1.0 / (seen + next);
            self.inverse[k] = inverse;
            self.factor[k] = next * inverse;
            seen *= self.factor[k];
        }
        self.r_last = r[self.live[self.live.len() - 1]];
    }

    /// Solves for the voltages of all branches and a load; the sums of currents stand in `sums`.
    pub fn solve(&mut self, e: &[f64], load: f64) {
        let Self { live, drive, inverse, factor, sums, r_last, .. } = self;
        let count = sums.len();
        let (live, drive, inverse, factor) =
            (&live[..=count], &drive[..count], &inverse[..count], &factor[..count]);
        let (mut carried, mut own) = (0.0, e[live[0]]);
        for k in 0..count {
            let next = e[live[k + 1]];
            carried += own - next + load * drive[k];
            if k + 1 == count {
                carried += *r_last * load;
            }
            sums[k] = carried * inverse[k];
            carried *= factor[k];
            own = next;
        }
        let mut after = 0.0;
        for k in (0..count).rev() {
            after = sums[k] + if k + 1 == count { 0.0 } else { factor[k] * after };
            sums[k] = after;
        }
    }

    /// Writes the currents of the live branches, after [`Mesh::solve`].
    pub fn currents(&self, load: f64, out: &mut [f64]) {
        let mut below = 0.0;
        for (at, &k) in self.live.iter().enumerate() {
            let up_to = self.sums.get(at).copied().unwrap_or(load);
            out[k] = up_to - below;
            below = up_to;
        }
    }

    /// Voltage between the take-offs: that of the first live branch less the drop along the rails.
    pub fn voltage(&self, first_branch: f64, load: f64) -> f64 {
        let along: f64 = self.sums.iter().zip(&self.way).map(|(s, w)| s * w).sum();
        first_branch - along - self.beyond * load
    }

    /// Currents in the links of both rails, towards higher branches on the positive and on the negative rail.
    pub fn links(&self, rails: &Rails, load: f64, mut each: impl FnMut(usize, f64, f64)) {
        let mut at = 0;
        for k in 0..rails.positive.len() {
            while at < self.live.len() && self.live[at] <= k {
                at += 1;
            }
            let sum = match at {
                0 => 0.0,
                _ => self.sums.get(at - 1).copied().unwrap_or(load),
            };
            let positive = if rails.take_positive <= k { sum - load } else { sum };
            let negative = if rails.take_negative <= k { load - sum } else { -sum };
            each(k, positive, negative);
        }
    }
}
