//! The distributions of statistics: normal, Student, Fisher, chi-squared.
//!
//! Probabilities to about 1e-13. Arguments outside the domain give NaN, never a made-up number; callers check theirs.

use super::bracketed;
use super::gamma::{incomplete_beta, upper_gamma};

/// Probability that a standard normal variable is at most `z`.
///
/// ```
/// assert!((orlop::solve::normal_cdf(1.959963984540054) - 0.975).abs() < 1e-13);
/// ```
#[must_use]
pub fn normal_cdf(z: f64) -> f64 {
    let tail = 0.5 * upper_gamma(0.5, 0.5 * z * z);
    if z < 0.0 { tail } else { 1.0 - tail }
}

/// The value below which a standard normal variable lies with probability `p`, 0 < p < 1.
///
/// ```
/// assert!((orlop::solve::normal_quantile(0.975) - 1.959963984540054).abs() < 1e-11);
/// ```
#[must_use]
pub fn normal_quantile(p: f64) -> f64 {
    symmetric_quantile(p, 40.0, |z| 0.5 * upper_gamma(0.5, 0.5 * z * z))
}

/// Probability that Student's t with `dof` degrees of freedom is at most `t`. `dof` may be any number above zero, or infinite.
///
/// ```
/// // One degree of freedom is Cauchy's distribution: 1/2 + atan(t)/pi.
/// assert!((orlop::solve::student_cdf(1.0, 1.0) - 0.75).abs() < 1e-14);
/// ```
#[must_use]
pub fn student_cdf(t: f64, dof: f64) -> f64 {
    let tail = student_tail(t.abs(), dof);
    if t < 0.0 { tail } else { 1.0 - tail }
}

/// The value below which Student's t lies with probability `p`, 0 < p < 1.
///
/// ```
/// // GUM (JCGM 100:2008) table G.2: 95 % two-sided, 10 degrees of freedom.
/// assert!((orlop::solve::student_quantile(0.975, 10.0) - 2.23).abs() < 0.005);
/// ```
#[must_use]
pub fn student_quantile(p: f64, dof: f64) -> f64 {
    if dof.is_infinite() {
        return normal_quantile(p);
    }
    symmetric_quantile(p, 1e12, |t| student_tail(t, dof))
}

/// Probability that Fisher's F with these degrees of freedom (above, below the line) exceeds `f`.
///
/// ```
/// // With 1 above the line, F is the square of Student's t.
/// use orlop::solve::{fisher_tail, student_cdf};
/// assert!((fisher_tail(4.0, 1.0, 7.0) - 2.0 * student_cdf(-2.0, 7.0)).abs() < 1e-13);
/// ```
#[must_use]
pub fn fisher_tail(f: f64, above: f64, below: f64) -> f64 {
    if f.is_nan() || f <= 0.0 {
        return if f.is_nan() { f64::NAN } else { 1.0 };
    }
    let total = below + above * f;
    incomplete_beta(0.5 * below, 0.5 * above, below / total, above * f / total)
}

/// Probability that a chi-squared variable with `dof` degrees of freedom exceeds `x`.
///
/// ```
/// assert!((orlop::solve::chi_squared_tail(2.0, 2.0) - (-1.0_f64).exp()).abs() < 1e-13);
/// ```
#[must_use]
pub fn chi_squared_tail(x: f64, dof: f64) -> f64 {
    if x.is_nan() || dof.is_nan() || dof <= 0.0 { f64::NAN } else { upper_gamma(0.5 * dof, 0.5 * x) }
}

/// Upper tail of Student's t at t >= 0.
fn student_tail(t: f64, dof: f64) -> f64 {
    if dof.is_infinite() {
        return 0.5 * upper_gamma(0.5, 0.5 * t * t);
    }
    if t.is_nan() || dof.is_nan() || dof <= 0.0 {
        return f64::NAN;
    }
    let square = t * t;
    0.5 * incomplete_beta(0.5 * dof, 0.5, dof / (dof + square), square / (dof + square))
}

fn symmetric_quantile(p: f64, most: f64, tail: impl Fn(f64) -> f64) -> f64 {
    if !(p > 0.0 && p < 1.0) {
        return f64::NAN;
    }
    let (side, wanted) = if p < 0.5 { (-1.0, p) } else { (1.0, 1.0 - p) };
    // The logarithm makes the far tail nearly straight, so that few steps are needed.
    let (mut low, mut high) = (0.0, 1.0);
    while high < most && tail(high) > wanted {
        (low, high) = (high, 2.0 * high);
    }
    side * bracketed(low, high, |z| tail(z).ln() - wanted.ln()).unwrap_or(f64::NAN)
}
