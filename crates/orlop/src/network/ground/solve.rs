//! Kernel: potentials of a small resistive network, by a dense Cholesky factor.

/// One resistor: its two ends and its conductance in siemens.
pub(super) type Resistor = (usize, usize, f64);

/// Potentials of `n` joined points with these currents let in (their sum is zero), the first point at zero.
///
/// The conductance matrix without the first point is symmetric and positive definite, so that the factor exists and
/// needs no pivoting. `None` when the numbers lie too far apart for that in double precision.
pub(super) fn potentials(n: usize, resistors: &[Resistor], let_in: &[f64]) -> Option<Vec<f64>> {
    let m = n - 1;
    let mut g = vec![0.0; m * m];
    for &(a, b, s) in resistors {
        for (x, y) in [(a, b), (b, a)] {
            if x > 0 {
                g[(x - 1) * m + x - 1] += s;
                if y > 0 {
                    g[(x - 1) * m + y - 1] -= s;
                }
            }
        }
    }
    for j in 0..m {
        for k in 0..j {
            let factor = g[j * m + k];
            for i in j..m {
                g[i * m + j] -= g[i * m + k] * factor;
            }
        }
        let pivot = g[j * m + j];
        if !(pivot.is_finite() && pivot > 0.0) {
            return None;
        }
        let root = pivot.sqrt();
        for i in j..m {
            g[i * m + j] /= root;
        }
    }
    let mut v = let_in[1..].to_vec();
    for i in 0..m {
        for k in 0..i {
            v[i] -= g[i * m + k] * v[k];
        }
        v[i] /= g[i * m + i];
    }
    for i in (0..m).rev() {
        for k in i + 1..m {
            v[i] -= g[k * m + i] * v[k];
        }
        v[i] /= g[i * m + i];
    }
    v.insert(0, 0.0);
    Some(v)
}
