//! The sparse solver against dense elimination, for any pattern and any positive definite values.

use orlop::solve::{Factor, Symbolic};
use proptest::prelude::*;

/// A symmetric matrix by its pairs, made positive definite by more on the diagonal than beside it.
#[derive(Clone, Debug)]
struct Matrix {
    n: usize,
    pairs: Vec<(u32, u32)>,
    values: Vec<f64>,
    extra: Vec<f64>,
}

impl Matrix {
    fn diagonal(&self) -> Vec<f64> {
        let mut diagonal = self.extra.clone();
        for (&(a, b), value) in self.pairs.iter().zip(&self.values) {
            diagonal[a as usize] += value.abs();
            diagonal[b as usize] += value.abs();
        }
        diagonal
    }
    fn dense(&self) -> Vec<Vec<f64>> {
        let mut dense = vec![vec![0.0; self.n]; self.n];
        for (i, d) in self.diagonal().into_iter().enumerate() {
            dense[i][i] = d;
        }
        for (&(a, b), value) in self.pairs.iter().zip(&self.values) {
            dense[a as usize][b as usize] += value;
            dense[b as usize][a as usize] += value;
        }
        dense
    }
    fn placed(&self, symbolic: &Symbolic) -> (Vec<f64>, Vec<f64>) {
        let mut diagonal = vec![0.0; self.n];
        for (i, d) in self.diagonal().into_iter().enumerate() {
            diagonal[symbolic.place(i)] = d;
        }
        let mut slots = vec![0.0; symbolic.slots()];
        for (k, value) in self.values.iter().enumerate() {
            slots[symbolic.slot(k)] += value;
        }
        (diagonal, slots)
    }
}

/// The inverse by Gauss-Jordan elimination with partial pivoting.
fn dense_inverse(a: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let n = a.len();
    let mut work: Vec<Vec<f64>> = (0..n)
        .map(|i| a[i].iter().copied().chain((0..n).map(|j| f64::from(u8::from(i == j)))).collect())
        .collect();
    for k in 0..n {
        let best = (k..n).max_by(|&i, &j| work[i][k].abs().total_cmp(&work[j][k].abs())).unwrap();
        work.swap(k, best);
        let pivot = work[k].clone();
        for (i, row) in work.iter_mut().enumerate() {
            if i == k {
                row.iter_mut().for_each(|x| *x /= pivot[k]);
            } else {
                let factor = row[k] / pivot[k];
                row.iter_mut().zip(&pivot).for_each(|(x, p)| *x -= factor * p);
            }
        }
    }
    work.into_iter().map(|row| row[n..].to_vec()).collect()
}

fn matrices() -> impl Strategy<Value = Matrix> {
    (1..40_usize, 0..3_usize).prop_flat_map(|(n, loops)| {
        let tree = proptest::collection::vec((any::<u32>(), any::<bool>()), n - 1);
        let chords = proptest::collection::vec((any::<u32>(), any::<u32>()), loops * n / 2);
        let values = proptest::collection::vec(-10.0..10.0_f64, n - 1 + loops * n / 2);
        let extra = proptest::collection::vec(0.01..5.0_f64, n);
        (tree, chords, values, extra).prop_map(move |(tree, chords, values, extra)| {
            // Half of the vertices start a tree of their own, so that there are several parts.
            let mut pairs: Vec<(u32, u32)> = Vec::new();
            for (i, (parent, joined)) in tree.into_iter().enumerate() {
                if joined || i % 7 != 3 {
                    pairs.push((i as u32 + 1, parent % (i as u32 + 1)));
                }
            }
            pairs.extend(
                chords.into_iter().map(|(a, b)| (a % n as u32, b % n as u32)).filter(|(a, b)| a != b),
            );
            let values = values[..pairs.len()].to_vec();
            Matrix { n, pairs, values, extra }
        })
    })
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * (1.0 + a.abs().max(b.abs()))
}

proptest! {
    #[test]
    fn solutions_and_inverse_agree_with_dense_elimination(matrix in matrices(), general in any::<bool>()) {
        let make = if general { Symbolic::general } else { Symbolic::new };
        let symbolic = make(matrix.n, &matrix.pairs);
        let (diagonal, slots) = matrix.placed(&symbolic);
        let mut factor = Factor::new(&symbolic);
        factor.factor(&symbolic, &diagonal, &slots).unwrap();
        let wanted = dense_inverse(&matrix.dense());
        // Every column of the inverse, in one call.
        let n = matrix.n;
        let mut columns = vec![0.0; n * n];
        for j in 0..n {
            columns[j * n + symbolic.place(j)] = 1.0;
        }
        factor.solve_many(&symbolic, &mut columns);
        for j in 0..n {
            for (i, row) in wanted.iter().enumerate() {
                prop_assert!(close(columns[j * n + symbolic.place(i)], row[j]));
            }
        }
        let inverse = factor.inverse(&symbolic);
        for (i, row) in wanted.iter().enumerate() {
            prop_assert!(close(inverse.diagonal[symbolic.place(i)], row[i]));
        }
        for (k, &(a, b)) in matrix.pairs.iter().enumerate() {
            prop_assert!(close(inverse.pairs[symbolic.slot(k)], wanted[a as usize][b as usize]));
        }
    }

    #[test]
    fn factors_can_be_renewed(matrix in matrices(), scale in 0.1..10.0_f64) {
        let symbolic = Symbolic::new(matrix.n, &matrix.pairs);
        let (diagonal, slots) = matrix.placed(&symbolic);
        let mut factor = Factor::new(&symbolic);
        factor.factor(&symbolic, &diagonal, &slots).unwrap();
        let times = |x: &[f64]| x.iter().map(|x| x * scale).collect::<Vec<_>>();
        factor.factor(&symbolic, &times(&diagonal), &times(&slots)).unwrap();
        let mut fresh = Factor::new(&symbolic);
        fresh.factor(&symbolic, &times(&diagonal), &times(&slots)).unwrap();
        let (mut a, mut b) = (vec![1.0; matrix.n], vec![1.0; matrix.n]);
        factor.solve(&symbolic, &mut a);
        fresh.solve(&symbolic, &mut b);
        prop_assert_eq!(a, b);
    }
}

#[test]
fn a_matrix_that_is_not_positive_definite_is_refused_by_name() {
    for general in [false, true] {
        let make = if general { Symbolic::general } else { Symbolic::new };
        let symbolic = make(3, &[(0, 1), (1, 2)]);
        let mut factor = Factor::new(&symbolic);
        let mut diagonal = [0.0; 3];
        for (unknown, value) in [(0, 1.0), (1, -5.0), (2, 1.0)] {
            diagonal[symbolic.place(unknown)] = value;
        }
        let failed = factor.factor(&symbolic, &diagonal, &[0.0, 0.0, 0.0]).unwrap_err();
        assert_eq!((failed.unknown, failed.pivot), (1, -5.0));
        // Singular: a chain that hangs on nothing. And values that are no numbers.
        for bad in [0.0, f64::NAN, f64::INFINITY] {
            diagonal.fill(bad);
            assert!(factor.factor(&symbolic, &diagonal, &[0.0; 3]).is_err(), "{bad}");
        }
        diagonal.fill(1.0);
        assert!(factor.factor(&symbolic, &diagonal, &[0.0; 3]).is_ok());
        assert!(factor.factor(&symbolic, &diagonal, &[-1.0; 3]).is_err());
    }
}

#[test]
fn a_tree_needs_no_fill_and_nothing_is_a_system_too() {
    let pairs: Vec<(u32, u32)> = (1..1000).map(|v| (v, v / 3)).collect();
    assert!(Symbolic::new(1000, &pairs).is_forest());
    assert_eq!(Symbolic::general(1000, &pairs).entries(), 999);
    let empty = Symbolic::new(0, &[]);
    let mut factor = Factor::new(&empty);
    factor.factor(&empty, &[], &[]).unwrap();
    factor.solve(&empty, &mut []);
    factor.solve_many(&empty, &mut []);
    assert!(empty.is_empty() && factor.inverse(&empty).diagonal.is_empty());
}
