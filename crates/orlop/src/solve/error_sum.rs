//! The distribution of a sum of independent errors, and its coverage interval.
//!
//! The characteristic function of the sum is the product of those of its parts: exp(-(s w)²/2) for a normal part,
//! sin(a w)/(a w) for a rectangular one. As a Fourier series over a period `2 L` that holds the whole sum,
//!
//! ```text
//! P(S <= x) = 1/2 + x/(2 L) + sum_k phi(k pi/L) sin(k pi x/L) / (k pi)
//! ```
//!
//! The interval is therefore that of the joint distribution (JCGM 101:2008 asks for it), without drawing lots and without a
//! fixed factor. Checked against the exact triangle of two equal rectangles.

use super::bracketed;
use std::f64::consts::PI;

const MOST_TERMS: usize = 4096;

/// A sum of independent errors of zero mean.
///
/// ```
/// use orlop::solve::ErrorSum;
/// // Two equal rectangles make a triangle: the 95 % interval is 2 a (1 - sqrt(0.05)).
/// let sum = ErrorSum::new(0.0, &[1.0, 1.0]);
/// assert!((sum.half_width(0.95) - 2.0 * (1.0 - 0.05_f64.sqrt())).abs() < 1e-5);
/// ```
#[derive(Clone, Debug)]
pub struct ErrorSum {
    normal: f64,
    rectangles: Vec<f64>,
}

impl ErrorSum {
    /// From the standard deviation of all normal parts together and the half-widths of the rectangular ones.
    #[must_use]
    pub fn new(normal: f64, half_widths: &[f64]) -> Self {
        let rectangles = half_widths.iter().map(|a| a.abs()).filter(|a| *a > 0.0).collect();
        Self { normal: normal.abs(), rectangles }
    }

    /// Standard deviation of the sum.
    #[must_use]
    pub fn deviation(&self) -> f64 {
        (self.normal.powi(2) + self.rectangles.iter().map(|a| a * a / 3.0).sum::<f64>()).sqrt()
    }

    /// Half of the symmetric interval that holds the sum with this probability; 0 for no error at all, NaN for a probability
    /// not between 0 and 1.
    #[must_use]
    pub fn half_width(&self, probability: f64) -> f64 {
        if !(probability > 0.0 && probability < 1.0) {
            return f64::NAN;
        }
        let deviation = self.deviation();
        if deviation == 0.0 {
            return 0.0;
        }
        let reach = self.rectangles.iter().sum::<f64>() + 9.0 * self.normal;
        let step = PI / (1.001 * reach);
        let mut weights = Vec::new();
        for k in 1..=MOST_TERMS {
            let w = k as f64 * step;
            let rectangles: f64 = self.rectangles.iter().map(|a| (a * w).sin() / (a * w)).product();
            weights.push((-0.5 * (self.normal * w).powi(2)).exp() * rectangles / (k as f64 * PI));
            let largest: f64 = self.rectangles.iter().map(|a| (1.0 / (a * w)).min(1.0)).product();
            if (-0.5 * (self.normal * w).powi(2)).exp() * largest < 1e-13 {
                break;
            }
        }
        // Beyond the middle, twice this is the probability of the symmetric interval.
        let above_half = |x: f64| {
            let series: f64 =
                weights.iter().enumerate().map(|(k, c)| c * ((k + 1) as f64 * step * x).sin()).sum();
            x * step / (2.0 * PI) + series
        };
        bracketed(0.0, reach, |x| above_half(x) - 0.5 * probability).unwrap_or(reach)
    }
}

#[cfg(test)]
mod tests {
    use super::ErrorSum;

    #[test]
    fn one_part_alone_has_its_own_interval() {
        // GUM 4.3.7 and table G.1: 95 % of a rectangle is 0.95 a, of a normal distribution 1.95996 s.
        assert!((ErrorSum::new(0.0, &[2.0]).half_width(0.95) - 1.9).abs() < 2e-3);
        assert!((ErrorSum::new(3.0, &[]).half_width(0.95) - 3.0 * 1.959_963_984_540_054).abs() < 1e-8);
        assert_eq!(ErrorSum::new(0.0, &[]).half_width(0.95), 0.0);
        assert!(ErrorSum::new(1.0, &[]).half_width(1.0).is_nan());
    }
}
