//! Entries of the inverse on the pattern of the factor, without the rest of it.
//!
//! Takahashi, Fagan, Chin, "Formation of a sparse bus impedance matrix and its application to short circuit study", PICA 1973:
//! from `Z = D⁻¹ L⁻¹ + (I - Lᵀ) Z` each entry on the pattern needs only later ones on the pattern.

use super::NONE;
use super::factor::Factor;
use super::symbolic::{General, Shape, Symbolic};

/// Part of an inverse.
#[derive(Clone, Debug, PartialEq)]
pub struct Inverse {
    /// Its diagonal, by place.
    pub diagonal: Vec<f64>,
    /// Its entries at the pairs of the pattern, by slot.
    pub pairs: Vec<f64>,
}

impl Factor {
    /// The diagonal of the inverse and its entries at all pairs of the pattern, in one pass.
    #[must_use]
    pub fn inverse(&self, symbolic: &Symbolic) -> Inverse {
        match &symbolic.shape {
            Shape::Forest { up } => self.inverse_of_forest(up),
            Shape::General(general) => self.inverse_of_general(general),
        }
    }

    fn inverse_of_forest(&self, up: &[u32]) -> Inverse {
        let n = up.len();
        let (mut diagonal, mut pairs) = (vec![0.0; n], vec![0.0; n]);
        for (k, &parent) in up.iter().enumerate().rev() {
            let mut own = 1.0 / self.d[k];
            if parent != NONE {
                let shared = -self.l[k] * diagonal[parent as usize];
                pairs[k] = shared;
                own -= self.l[k] * shared;
            }
            diagonal[k] = own;
        }
        Inverse { diagonal, pairs }
    }

    fn inverse_of_general(&self, s: &General) -> Inverse {
        let n = self.d.len();
        let mut diagonal = vec![0.0; n];
        let mut z = vec![0.0; s.l_row.len()];
        // Column j of L, and the entries of column j of Z being summed, both spread out.
        let mut spread = vec![0.0; n];
        let mut inside = vec![NONE; n];
        let mut sum = vec![0.0; n];
        for j in (0..n).rev() {
            let column = s.l_start[j]..s.l_start[j + 1];
            for p in column.clone() {
                let i = s.l_row[p] as usize;
                spread[i] = self.l[p];
                inside[i] = j as u32;
                sum[i] = 0.0;
            }
            for p in column.clone() {
                let r = s.l_row[p] as usize;
                let l = self.l[p];
                let mut own = diagonal[r] * l;
                let below = s.l_start[r]..s.l_start[r + 1];
                for (&i, z) in s.l_row[below.clone()].iter().zip(&z[below]) {
                    let i = i as usize;
                    if inside[i] == j as u32 {
                        sum[i] += z * l;
                        own += z * spread[i];
                    }
                }
                sum[r] += own;
            }
            let mut own = 1.0 / self.d[j];
            for p in column {
                let value = -sum[s.l_row[p] as usize];
                z[p] = value;
                own -= self.l[p] * value;
            }
            diagonal[j] = own;
        }
        let pairs = s.a_in_l.iter().map(|&p| z[p as usize]).collect();
        Inverse { diagonal, pairs }
    }
}
