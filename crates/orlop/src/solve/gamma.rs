//! Gamma and beta functions: what the distributions of statistics are made of.

/// Natural logarithm of the gamma function, for x > 0; about 14 digits (Lanczos, SIAM J. Numer. Anal. B 1:86, 1964, with the
/// coefficients for g = 7 and nine terms).
pub(super) fn ln_gamma(x: f64) -> f64 {
    const G: f64 = 7.0;
    const C: [f64; 9] = [
        0.999_999_999_999_809_9,
        676.520_368_121_885_1,
        -1_259.139_216_722_402_8,
        771.323_428_777_653_1,
        -176.615_029_162_140_6,
        12.507_343_278_686_905,
        -0.138_571_095_265_720_12,
        9.984_369_578_019_572e-6,
        1.505_632_735_149_311_6e-7,
    ];
    if x < 0.5 {
        // Reflection keeps small arguments exact.
        return (std::f64::consts::PI / (std::f64::consts::PI * x).sin()).ln() - ln_gamma(1.0 - x);
    }
    let x = x - 1.0;
    let sum = C[0] + (1..9).map(|k| C[k] / (x + k as f64)).sum::<f64>();
    let t = x + G + 0.5;
    0.5 * (2.0 * std::f64::consts::PI).ln() + (x + 0.5) * t.ln() - t + sum.ln()
}

/// Upper regularised incomplete gamma function Q(a, x), for a > 0 and x >= 0.
pub(super) fn upper_gamma(a: f64, x: f64) -> f64 {
    if x <= 0.0 {
        return 1.0;
    }
    let front = (a * x.ln() - x - ln_gamma(a)).exp();
    if x < a + 1.0 {
        let (mut term, mut sum, mut n) = (1.0 / a, 1.0 / a, a);
        for _ in 0..10_000 {
            n += 1.0;
            term *= x / n;
            sum += term;
            if term.abs() < 1e-17 * sum.abs() {
                break;
            }
        }
        return 1.0 - front * sum;
    }
    front
        * continued(|n| {
            if n == 0 {
                (1.0, x + 1.0 - a)
            } else {
                (-(n as f64) * (n as f64 - a), x + 2.0 * n as f64 + 1.0 - a)
            }
        })
}

/// Regularised incomplete beta function I_x(a, b), for a, b > 0 and x from 0 to 1; `y` is 1 - x, given apart for its digits.
pub(super) fn incomplete_beta(a: f64, b: f64, x: f64, y: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    if y <= 0.0 {
        return 1.0;
    }
    if x > (a + 1.0) / (a + b + 2.0) {
        return 1.0 - incomplete_beta(b, a, y, x);
    }
    let front = (ln_gamma(a + b) - ln_gamma(a) - ln_gamma(b) + a * x.ln() + b * y.ln()).exp();
    let term = |n: usize| {
        if n == 0 {
            return (1.0, 1.0);
        }
        let m = (n / 2) as f64;
        let up = if n % 2 == 1 {
            -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0))
        } else {
            m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m))
        };
        (up, 1.0)
    };
    front / a * continued(term)
}

/// The continued fraction a0/(b0 + a1/(b1 + ...)) by Lentz's method (Applied Optics 15:668, 1976).
fn continued(term: impl Fn(usize) -> (f64, f64)) -> f64 {
    const TINY: f64 = 1e-300;
    let (mut f, mut c, mut d) = (TINY, TINY, 0.0);
    for n in 0..10_000 {
        let (a, b) = term(n);
        d = b + a * d;
        c = b + a / c;
        d = 1.0 / if d == 0.0 { TINY } else { d };
        if c == 0.0 {
            c = TINY;
        }
        f *= c * d;
        if n > 0 && (c * d - 1.0).abs() < 1e-16 {
            break;
        }
    }
    f
}

#[cfg(test)]
mod tests {
    use super::{incomplete_beta, ln_gamma, upper_gamma};

    #[test]
    fn known_values() {
        // Factorials and the half-integer value of the gamma function are exact.
        assert!((ln_gamma(11.0) - 3_628_800.0_f64.ln()).abs() < 1e-13);
        assert!((ln_gamma(0.5) - 0.5 * std::f64::consts::PI.ln()).abs() < 1e-14);
        // Q(1, x) = exp(-x) and I_x(1, b) = 1 - (1-x)^b, on both sides of the switch between the two ways.
        for x in [0.1, 1.9, 2.1, 30.0_f64] {
            assert!((upper_gamma(1.0, x) / (-x).exp() - 1.0).abs() < 1e-12, "{x}");
        }
        for x in [0.01, 0.3, 0.9_f64] {
            let exact = 1.0 - (1.0 - x).powi(4);
            assert!((incomplete_beta(1.0, 4.0, x, 1.0 - x) - exact).abs() < 1e-14, "{x}");
        }
    }
}
