//! The resistances of a conductance matrix that faults ask for: of each node, and between the ends of each branch.

/// One conductance between two nodes, or from one to the node of zero volts.
#[derive(Clone, Copy, Debug)]
pub(super) struct Link {
    pub a: usize,
    pub b: Option<usize>,
    pub siemens: f64,
}

/// The inverse `Z` of a conductance matrix, as far as it is wanted.
pub(super) struct Inverse {
    z: Vec<f64>,
    size: usize,
}

impl Inverse {
    /// None when the matrix is not positive definite, which no network of finite conductances with a path to zero is.
    pub fn new(size: usize, links: &[Link]) -> Option<Self> {
        let mut g = vec![0.0; size * size];
        for l in links {
            g[l.a * size + l.a] += l.siemens;
            if let Some(b) = l.b {
                g[b * size + b] += l.siemens;
                g[l.a * size + b] -= l.siemens;
                g[b * size + l.a] -= l.siemens;
            }
        }
        let mut z = vec![0.0; size * size];
        for k in 0..size {
            z[k * size + k] = 1.0;
        }
        for k in 0..size {
            let pivot = g[k * size + k];
            if !(pivot > 0.0 && pivot.is_finite()) {
                return None;
            }
            for r in 0..size {
                let f = g[r * size + k] / pivot;
                if r == k || f == 0.0 {
                    continue;
                }
                for c in 0..size {
                    g[r * size + c] -= f * g[k * size + c];
                    z[r * size + c] -= f * z[k * size + c];
                }
            }
        }
        for r in 0..size {
            for c in 0..size {
                z[r * size + c] /= g[r * size + r];
            }
        }
        Some(Self { z, size })
    }

    /// Volts at a node for one ampere into it.
    pub fn own(&self, node: usize) -> f64 {
        self.z[node * self.size + node]
    }

    /// Volts at one end of a link for one ampere into its other end.
    pub fn between(&self, a: usize, b: usize) -> f64 {
        self.z[a * self.size + b]
    }

    /// Volts for these currents.
    pub fn solve(&self, currents: &[f64]) -> Vec<f64> {
        (0..self.size)
            .map(|r| (0..self.size).map(|c| self.z[r * self.size + c] * currents[c]).sum())
            .collect()
    }
}
