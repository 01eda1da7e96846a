//! Several quantities read at the same moments, and what is computed from their means.

use crate::error::Error;

/// Means of quantities read together, with the covariance that reading together brings.
///
/// Disturbances that move two readings at once (a load that changes, a contact that warms) cancel or add up in what is computed
/// from them; the covariance keeps count of that.
#[derive(Clone, Debug, PartialEq)]
pub struct Readings {
    means: Vec<f64>,
    covariance: Vec<f64>,
    sets: usize,
}

/// Results computed from readings: values, and their covariance row by row.
#[derive(Clone, Debug, PartialEq)]
pub struct Derived {
    /// The values.
    pub values: Vec<f64>,
    /// Covariance of the values, row by row.
    pub covariance: Vec<f64>,
}

impl Readings {
    /// From one list for each quantity, all of one length, in base units; reading k of each was taken at the same moment.
    ///
    /// u(mean_i, mean_j) = sum((x_i - mean_i)(x_j - mean_j)) / (n (n - 1))
    ///
    /// # Errors
    /// [`Error::Input`] for lists of different lengths, fewer than two readings, or one that is not finite (with its place).
    ///
    /// ```
    /// use orlop::proving::uncertainty::Readings;
    /// // Volts and amperes rise together: the resistance is known better than either.
    /// let read = Readings::new(&[&[0.100, 0.102, 0.104], &[50.0, 51.0, 52.0]])?;
    /// let resistance = read.derive(|m| vec![m[0] / m[1]]);
    /// assert!(resistance.standard(0) < 1e-8 && read.standard(0) > 1e-3);
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn new(columns: &[&[f64]]) -> Result<Self, Error> {
        let sets = columns.first().map_or(0, |c| c.len());
        if sets < 2 {
            return Err(Error::input("readings", format!("{sets} sets"), "two sets of readings or more"));
        }
        for (k, column) in columns.iter().enumerate() {
            if column.len() != sets {
                let got = format!("{} readings of quantity {}, {sets} of the first", column.len(), k + 1);
                return Err(Error::input("readings", got, "as many readings of each quantity"));
            }
            if let Some(row) = column.iter().position(|v| !v.is_finite()) {
                let got = format!("{} in set {} of quantity {}", column[row], row + 1, k + 1);
                return Err(Error::input("readings", got, "finite numbers"));
            }
        }
        let size = sets as f64;
        let means: Vec<f64> = columns.iter().map(|c| c.iter().sum::<f64>() / size).collect();
        let mut covariance = Vec::with_capacity(columns.len() * columns.len());
        for (a, mean_a) in columns.iter().zip(&means) {
            for (b, mean_b) in columns.iter().zip(&means) {
                let sum: f64 = a.iter().zip(*b).map(|(x, y)| (x - mean_a) * (y - mean_b)).sum();
                covariance.push(sum / (size * (size - 1.0)));
            }
        }
        Ok(Self { means, covariance, sets })
    }

    /// The mean of one quantity.
    #[must_use]
    pub fn mean(&self, k: usize) -> f64 {
        self.means[k]
    }

    /// Standard uncertainty of one mean.
    #[must_use]
    pub fn standard(&self, k: usize) -> f64 {
        self.covariance[k * self.means.len() + k].sqrt()
    }

    /// Correlation of two means.
    #[must_use]
    pub fn correlation(&self, i: usize, j: usize) -> f64 {
        self.covariance[i * self.means.len() + j] / (self.standard(i) * self.standard(j))
    }

    /// Degrees of freedom of each: sets minus one.
    #[must_use]
    pub fn degrees_of_freedom(&self) -> usize {
        self.sets - 1
    }

    /// Results of a function of the means, by the law of propagation with covariance (GUM 5.2.2); slopes by central
    /// differences over a thousandth of each standard uncertainty.
    #[must_use]
    pub fn derive(&self, f: impl Fn(&[f64]) -> Vec<f64>) -> Derived {
        let n = self.means.len();
        let values = f(&self.means);
        let mut slopes = vec![0.0; values.len() * n];
        for j in 0..n {
            let step = 1e-3 * self.standard(j);
            if step == 0.0 {
                continue;
            }
            let shifted = |by: f64| {
                let mut at = self.means.clone();
                at[j] += by;
                f(&at)
            };
            for (k, (up, down)) in shifted(step).iter().zip(shifted(-step)).enumerate() {
                slopes[k * n + j] = (up - down) / (2.0 * step);
            }
        }
        let mut covariance = vec![0.0; values.len() * values.len()];
        for a in 0..values.len() {
            for b in 0..values.len() {
                for i in 0..n {
                    for j in 0..n {
                        covariance[a * values.len() + b] +=
                            slopes[a * n + i] * self.covariance[i * n + j] * slopes[b * n + j];
                    }
                }
            }
        }
        Derived { values, covariance }
    }
}

impl Derived {
    /// Standard uncertainty of one result.
    #[must_use]
    pub fn standard(&self, k: usize) -> f64 {
        self.covariance[k * self.values.len() + k].max(0.0).sqrt()
    }

    /// Correlation of two results.
    #[must_use]
    pub fn correlation(&self, i: usize, j: usize) -> f64 {
        self.covariance[i * self.values.len() + j] / (self.standard(i) * self.standard(j))
    }
}
