//! Least squares with unknowns that cannot be negative (Lawson and Hanson, Solving Least Squares Problems, 1974, chapter 23).

use super::LeastSquares;
use crate::error::Error;

/// A non-negative least-squares solution.
#[derive(Clone, Debug, PartialEq)]
pub struct NonNegative {
    /// One value per column, none below zero.
    pub values: Vec<f64>,
    /// Columns that are above zero, in rising order; the others are held at zero.
    pub free: Vec<usize>,
    /// Inverse of XᵀX over the free columns, row by row in their order.
    pub cofactors: Vec<f64>,
}

impl NonNegative {
    /// The x >= 0 that brings A x nearest to y. `a` holds the rows one after another, `columns` numbers each.
    ///
    /// # Errors
    /// As [`LeastSquares::new`].
    ///
    /// ```
    /// use orlop::solve::NonNegative;
    /// // Without the bound the second unknown would be -1.
    /// let fit = NonNegative::new(&[1.0, 0.0, 0.0, 1.0], 2, &[2.0, -1.0])?;
    /// assert_eq!((fit.values, fit.free), (vec![2.0, 0.0], vec![0]));
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn new(a: &[f64], columns: usize, y: &[f64]) -> Result<Self, Error> {
        // The plain problem first: it names what is wrong with the input, and is often the answer.
        let plain = LeastSquares::new(a, columns, y)?;
        if plain.coefficients.iter().all(|c| *c > 0.0) {
            let free = (0..columns).collect();
            return Ok(Self { values: plain.coefficients, free, cofactors: plain.cofactors });
        }
        let mut free: Vec<usize> = Vec::new();
        let mut values = vec![0.0; columns];
        let scale: Vec<f64> = (0..columns)
            .map(|j| a.iter().skip(j).step_by(columns).map(|v| v * v).sum::<f64>().sqrt())
            .collect();
        let size = y.iter().map(|v| v * v).sum::<f64>().sqrt();
        for _ in 0..10 * columns + 10 {
            let Some(next) = steepest(a, columns, y, &values, &free, &scale, size) else { break };
            free.push(next);
            free.sort_unstable();
            loop {
                let part = sub(a, columns, &free, y)?;
                if part.coefficients.iter().all(|c| *c > 0.0) {
                    values.fill(0.0);
                    free.iter().zip(&part.coefficients).for_each(|(j, c)| values[*j] = *c);
                    break;
                }
                // As far towards the free solution as no unknown turns negative.
                let step = free
                    .iter()
                    .zip(&part.coefficients)
                    .filter(|(_, c)| **c <= 0.0)
                    .map(|(j, c)| values[*j] / (values[*j] - c))
                    .fold(1.0, f64::min);
                for (j, c) in free.iter().zip(&part.coefficients) {
                    values[*j] += step * (c - values[*j]);
                }
                free.retain(|j| values[*j] > 1e-14 * size / scale[*j]);
                values.iter_mut().enumerate().filter(|(j, _)| !free.contains(j)).for_each(|(_, v)| *v = 0.0);
                if free.is_empty() {
                    break;
                }
            }
        }
        let cofactors = if free.is_empty() { Vec::new() } else { sub(a, columns, &free, y)?.cofactors };
        Ok(Self { values, free, cofactors })
    }
}

/// The bound column along which the misfit falls fastest; none when it falls along none.
fn steepest(
    a: &[f64],
    columns: usize,
    y: &[f64],
    values: &[f64],
    free: &[usize],
    scale: &[f64],
    size: f64,
) -> Option<usize> {
    let residuals: Vec<f64> = a
        .chunks(columns)
        .zip(y)
        .map(|(row, y)| y - row.iter().zip(values).map(|(a, x)| a * x).sum::<f64>())
        .collect();
    let slope = |j: usize| {
        a.iter().skip(j).step_by(columns).zip(&residuals).map(|(a, r)| a * r).sum::<f64>() / scale[j]
    };
    (0..columns)
        .filter(|j| !free.contains(j))
        .map(|j| (j, slope(j)))
        .filter(|(_, g)| *g > 1e-12 * size)
        .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))
        .map(|(j, _)| j)
}

fn sub(a: &[f64], columns: usize, free: &[usize], y: &[f64]) -> Result<LeastSquares, Error> {
    let part: Vec<f64> = a.chunks(columns).flat_map(|row| free.iter().map(|j| row[*j])).collect();
    LeastSquares::new(&part, free.len(), y)
}
