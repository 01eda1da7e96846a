//! Grubbs' test for one outlier (Technometrics 11:1, 1969; NIST/SEMATECH e-Handbook of Statistical Methods 1.3.5.17.1).

use super::student_quantile;
use crate::error::Error;

/// One value tried as an outlier.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grubbs {
    /// Place of the value farthest from the mean.
    pub place: usize,
    /// Its distance from the mean, in standard deviations of all values.
    pub statistic: f64,
    /// What that distance would exceed by chance with the probability asked.
    pub critical: f64,
}

impl Grubbs {
    /// The value farthest from the mean, against the one-sided limit for this probability of a false alarm.
    ///
    /// G = max |x - mean| / s,  limit = (n-1)/sqrt(n) sqrt(t²/(n-2+t²)),  t = Student's t at alpha/n, n-2.
    ///
    /// # Errors
    /// [`Error::Input`] for fewer than three values, one that is not finite, values that are all the same, or a probability not
    /// between 0 and 0.5.
    ///
    /// ```
    /// use orlop::solve::Grubbs;
    /// let test = Grubbs::new(&[10.1, 9.9, 10.0, 10.2, 13.0], 0.05)?;
    /// assert_eq!((test.place, test.is_outlier()), (4, true));
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn new(values: &[f64], false_alarm: f64) -> Result<Self, Error> {
        let n = values.len();
        if n < 3 {
            return Err(Error::input("values", format!("{n} values"), "three values or more"));
        }
        if let Some(at) = values.iter().position(|v| !v.is_finite()) {
            return Err(Error::input(
                "values",
                format!("{} at place {}", values[at], at + 1),
                "finite numbers",
            ));
        }
        if !(false_alarm > 0.0 && false_alarm < 0.5) {
            return Err(Error::input(
                "false_alarm",
                false_alarm.to_string(),
                "a probability between 0 and 0.5",
            ));
        }
        let size = n as f64;
        let mean = values.iter().sum::<f64>() / size;
        let deviation = (values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (size - 1.0)).sqrt();
        if deviation == 0.0 {
            return Err(Error::input("values", "values that are all the same", "values that differ"));
        }
        let distance = |k: &usize| (values[*k] - mean).abs();
        let place = (0..n).max_by(|a, b| distance(a).total_cmp(&distance(b)).then(b.cmp(a))).unwrap_or(0);
        let t = student_quantile(1.0 - false_alarm / size, size - 2.0);
        let critical = (size - 1.0) / size.sqrt() * (t * t / (size - 2.0 + t * t)).sqrt();
        Ok(Self { place, statistic: distance(&place) / deviation, critical })
    }

    /// Whether the distance exceeds the limit.
    #[must_use]
    pub fn is_outlier(&self) -> bool {
        self.statistic > self.critical
    }
}
