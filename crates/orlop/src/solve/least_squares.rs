//! Dense least squares by Householder reflections (Golub, Numer. Math. 7:206, 1965), columns scaled, residuals refined.

use crate::error::Error;

/// The solution of a linear least-squares problem.
#[derive(Clone, Debug, PartialEq)]
pub struct LeastSquares {
    /// One coefficient per column.
    pub coefficients: Vec<f64>,
    /// Inverse of XᵀX, row by row: times the variance of one observation it is the covariance of the coefficients.
    pub cofactors: Vec<f64>,
    /// Observed minus fitted, by row.
    pub residuals: Vec<f64>,
    /// Rows minus columns.
    pub degrees_of_freedom: usize,
}

impl LeastSquares {
    /// Fits y = X b. `x` holds the rows one after another, `columns` numbers each.
    ///
    /// # Errors
    /// [`Error::Input`] for a value that is not finite (with its row), for fewer rows than columns, and for columns that depend on
    /// each other (with the first that does).
    ///
    /// ```
    /// use orlop::solve::LeastSquares;
    /// // y = 1 + 2 t at t = 0, 1, 2.
    /// let fit = LeastSquares::new(&[1.0, 0.0, 1.0, 1.0, 1.0, 2.0], 2, &[1.0, 3.0, 5.0])?;
    /// assert!((fit.coefficients[1] - 2.0).abs() < 1e-14);
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn new(x: &[f64], columns: usize, y: &[f64]) -> Result<Self, Error> {
        let rows = y.len();
        if columns == 0 || x.len() != rows * columns {
            let got = format!("{} numbers for {rows} rows of {columns}", x.len());
            return Err(Error::input("x", got, "one row of at least one column for each observation"));
        }
        if rows < columns {
            let got = format!("{rows} observations for {columns} unknowns");
            return Err(Error::input("observations", got, "at least as many observations as unknowns"));
        }
        if let Some(at) = x.iter().position(|v| !v.is_finite()) {
            let (row, column) = (at / columns + 1, at % columns + 1);
            return Err(Error::input(
                "x",
                format!("{} in row {row}, column {column}", x[at]),
                "finite numbers",
            ));
        }
        if let Some(at) = y.iter().position(|v| !v.is_finite()) {
            return Err(Error::input("y", format!("{} in row {}", y[at], at + 1), "finite numbers"));
        }
        let qr = Reflected::new(x, rows, columns)?;
        let mut coefficients = qr.solve(y);
        let mut residuals = vec![0.0; rows];
        // Residuals to twice the working precision, then their own fit as a correction.
        for turn in 0..3 {
            for (row, r) in residuals.iter_mut().enumerate() {
                *r = remaining(y[row], &x[row * columns..(row + 1) * columns], &coefficients);
            }
            if turn < 2 {
                let correction = qr.solve(&residuals);
                coefficients.iter_mut().zip(correction).for_each(|(c, d)| *c += d);
            }
        }
        Ok(Self { coefficients, cofactors: qr.cofactors(), residuals, degrees_of_freedom: rows - columns })
    }

    /// Sum of the squared residuals.
    #[must_use]
    pub fn residual_sum(&self) -> f64 {
        self.residuals.iter().map(|r| r * r).sum()
    }

    /// Standard deviation of one observation about the fit; none without degrees of freedom.
    #[must_use]
    pub fn deviation(&self) -> Option<f64> {
        (self.degrees_of_freedom > 0).then(|| (self.residual_sum() / self.degrees_of_freedom as f64).sqrt())
    }

    /// Covariance of two coefficients for observations of this standard deviation.
    #[must_use]
    pub fn covariance(&self, i: usize, j: usize, deviation: f64) -> f64 {
        self.cofactors[i * self.coefficients.len() + j] * deviation * deviation
    }

    /// Standard deviation of one coefficient; none without degrees of freedom.
    #[must_use]
    pub fn standard_error(&self, i: usize) -> Option<f64> {
        self.deviation().map(|s| self.covariance(i, i, s).sqrt())
    }
}

/// y - row · b in doubled precision (Dekker's product by fused multiply-add, Knuth's sum).
fn remaining(y: f64, row: &[f64], b: &[f64]) -> f64 {
    let (mut sum, mut low) = (y, 0.0);
    for (x, b) in row.iter().zip(b) {
        let product = -x * b;
        let product_low = (-x).mul_add(*b, -product);
        let total = sum + product;
        let part = total - sum;
        low += (sum - (total - part)) + (product - part) + product_low;
        sum = total;
    }
    sum + low
}

/// Householder vectors below the diagonal, R above it, of the scaled matrix.
struct Reflected {
    a: Vec<f64>,
    rows: usize,
    columns: usize,
    scale: Vec<f64>,
    diagonal: Vec<f64>,
}

impl Reflected {
    fn new(x: &[f64], rows: usize, columns: usize) -> Result<Self, Error> {
        let mut a = x.to_vec();
        let norm = |a: &[f64], from: usize, j: usize| {
            (from..rows).map(|i| a[i * columns + j].powi(2)).sum::<f64>().sqrt()
        };
        let scale: Vec<f64> = (0..columns).map(|j| norm(&a, 0, j)).collect();
        let dependent = |j: usize| {
            let got = format!("column {} is zero or depends on those before it", j + 1);
            Err(Error::input("x", got, "columns that do not depend on each other"))
        };
        for (j, s) in scale.iter().enumerate() {
            if *s == 0.0 {
                return dependent(j);
            }
            (0..rows).for_each(|i| a[i * columns + j] /= s);
        }
        let mut diagonal = vec![0.0; columns];
        for k in 0..columns {
            let length = norm(&a, k, k);
            if length < 1e-14 * rows as f64 {
                return dependent(k);
            }
            let alpha = if a[k * columns + k] > 0.0 { -length } else { length };
            diagonal[k] = alpha;
            a[k * columns + k] -= alpha;
            let square: f64 = (k..rows).map(|i| a[i * columns + k].powi(2)).sum();
            for j in k + 1..columns {
                let dot: f64 = (k..rows).map(|i| a[i * columns + k] * a[i * columns + j]).sum();
                let factor = 2.0 * dot / square;
                (k..rows).for_each(|i| a[i * columns + j] -= factor * a[i * columns + k]);
            }
        }
        Ok(Self { a, rows, columns, scale, diagonal })
    }

    fn solve(&self, y: &[f64]) -> Vec<f64> {
        let (n, mut q) = (self.columns, y.to_vec());
        for k in 0..n {
            let square: f64 = (k..self.rows).map(|i| self.a[i * n + k].powi(2)).sum();
            let dot: f64 = (k..self.rows).map(|i| self.a[i * n + k] * q[i]).sum();
            (k..self.rows).for_each(|i| q[i] -= 2.0 * dot / square * self.a[i * n + k]);
        }
        q.truncate(n);
        for k in (0..n).rev() {
            let known: f64 = (k + 1..n).map(|j| self.a[k * n + j] * q[j]).sum();
            q[k] = (q[k] - known) / self.diagonal[k];
        }
        q.iter().zip(&self.scale).map(|(b, s)| b / s).collect()
    }

    /// (XᵀX)⁻¹ = R⁻¹ R⁻ᵀ, the scaling undone.
    fn cofactors(&self) -> Vec<f64> {
        let n = self.columns;
        let mut inverse = vec![0.0; n * n];
        for j in 0..n {
            inverse[j * n + j] = 1.0 / self.diagonal[j];
            for i in (0..j).rev() {
                let sum: f64 = (i + 1..=j).map(|k| self.a[i * n + k] * inverse[k * n + j]).sum();
                inverse[i * n + j] = -sum / self.diagonal[i];
            }
        }
        let mut out = vec![0.0; n * n];
        for i in 0..n {
            for j in 0..n {
                let dot: f64 = (i.max(j)..n).map(|k| inverse[i * n + k] * inverse[j * n + k]).sum();
                out[i * n + j] = dot / (self.scale[i] * self.scale[j]);
            }
        }
        out
    }
}
