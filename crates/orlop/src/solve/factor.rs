//! The numbers of the factor: `A = L D Lᵀ`, and solving with it.

use super::NONE;
use super::symbolic::{General, Shape, Symbolic};

/// A pivot that is not positive: the matrix is not positive definite.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("the pivot of unknown {unknown} is {pivot}, not positive")]
pub struct NotPositive {
    /// The unknown whose elimination failed.
    pub unknown: usize,
    /// The pivot found there.
    pub pivot: f64,
}

/// The factor of one set of values.
#[derive(Clone, Debug)]
pub struct Factor {
    pub(super) d: Vec<f64>,
    /// Below the diagonal; of a forest one number for each place, its coupling upwards.
    pub(super) l: Vec<f64>,
    row: Vec<f64>,
    filled: Vec<usize>,
}

impl Factor {
    /// Room for the factors of a pattern.
    #[must_use]
    pub fn new(symbolic: &Symbolic) -> Self {
        let n = symbolic.len();
        let general = if symbolic.is_forest() { 0 } else { n };
        Self {
            d: vec![0.0; n],
            l: vec![0.0; symbolic.entries()],
            row: vec![0.0; general],
            filled: vec![0; general],
        }
    }

    /// Factors the matrix with this diagonal (by place) and these couplings (by slot). Longer slices are fine.
    ///
    /// # Errors
    /// [`NotPositive`] when the matrix is not positive definite; the factor then must not be used.
    pub fn factor(
        &mut self,
        symbolic: &Symbolic,
        diagonal: &[f64],
        pairs: &[f64],
    ) -> Result<(), NotPositive> {
        let failed = match &symbolic.shape {
            Shape::Forest { up } => self.forest(up, diagonal, pairs),
            Shape::General(general) => self.general(general, diagonal, pairs),
        };
        match failed {
            Some((place, pivot)) => Err(NotPositive { unknown: symbolic.unknown(place), pivot }),
            None => Ok(()),
        }
    }

    fn forest(&mut self, up: &[u32], diagonal: &[f64], pairs: &[f64]) -> Option<(usize, f64)> {
        let n = up.len();
        let d = &mut self.d[..n];
        d.copy_from_slice(&diagonal[..n]);
        for (k, &parent) in up.iter().enumerate() {
            let pivot = d[k];
            if !is_positive(pivot) {
                return Some((k, pivot));
            }
            if parent != NONE {
                let value = pairs[k];
                let l = value / pivot;
                self.l[k] = l;
                d[parent as usize] -= l * value;
            }
        }
        None
    }

    /// Row by row: each row of `L` is the solution of a triangular system with the rows before it.
    fn general(&mut self, s: &General, diagonal: &[f64], pairs: &[f64]) -> Option<(usize, f64)> {
        let n = self.d.len();
        self.filled.copy_from_slice(&s.l_start[..n]);
        self.row.fill(0.0);
        let row = &mut self.row[..];
        for (k, &own) in diagonal[..n].iter().enumerate() {
            for slot in s.a_start[k]..s.a_start[k + 1] {
                row[s.a_row[slot] as usize] = pairs[slot];
            }
            let mut pivot = own;
            for &j in &s.r_column[s.r_start[k]..s.r_start[k + 1]] {
                let j = j as usize;
                let value = std::mem::take(&mut row[j]);
                let (from, to) = (s.l_start[j], self.filled[j]);
                for (&i, &l) in s.l_row[from..to].iter().zip(&self.l[from..to]) {
                    row[i as usize] -= l * value;
                }
                let l = value / self.d[j];
                pivot -= l * value;
                self.l[to] = l;
                self.filled[j] = to + 1;
            }
            if !is_positive(pivot) {
                return Some((k, pivot));
            }
            self.d[k] = pivot;
        }
        None
    }

    /// Solves `A x = b` in place, by place: `b` comes in, `x` goes out. Longer slices are fine.
    pub fn solve(&self, symbolic: &Symbolic, x: &mut [f64]) {
        match &symbolic.shape {
            Shape::Forest { up } => {
                let x = &mut x[..up.len()];
                for (k, &parent) in up.iter().enumerate() {
                    if parent != NONE {
                        x[parent as usize] -= self.l[k] * x[k];
                    }
                }
                for (k, &parent) in up.iter().enumerate().rev() {
                    let above = if parent == NONE { 0.0 } else { self.l[k] * x[parent as usize] };
                    x[k] = x[k] / self.d[k] - above;
                }
            }
            Shape::General(s) => {
                let n = self.d.len();
                for j in 0..n {
                    let value = x[j];
                    let (from, to) = (s.l_start[j], s.l_start[j + 1]);
                    for (&i, &l) in s.l_row[from..to].iter().zip(&self.l[from..to]) {
                        x[i as usize] -= l * value;
                    }
                }
                for j in (0..n).rev() {
                    let (from, to) = (s.l_start[j], s.l_start[j + 1]);
                    let mut value = x[j] / self.d[j];
                    for (&i, &l) in s.l_row[from..to].iter().zip(&self.l[from..to]) {
                        value -= l * x[i as usize];
                    }
                    x[j] = value;
                }
            }
        }
    }

    /// Solves for many right-hand sides, one after another in `columns`, each of the length of the system.
    pub fn solve_many(&self, symbolic: &Symbolic, columns: &mut [f64]) {
        for column in columns.chunks_exact_mut(symbolic.len().max(1)) {
            self.solve(symbolic, column);
        }
    }
}

/// Positive and a number; NaN is not.
fn is_positive(pivot: f64) -> bool {
    pivot > 0.0 && pivot.is_finite()
}
