//! One root of a continuous function inside a bracket.

/// The point where `f` changes sign in `[low, high]`, to about 1e-13 of the bracket.
///
/// Bisection with regula falsi steps that halve the weight of a stuck end (Illinois). `f(low)` and `f(high)`
/// must have opposite signs; where they have not, the answer is none.
pub(crate) fn bracketed(low: f64, high: f64, f: impl Fn(f64) -> f64) -> Option<f64> {
    let (mut a, mut b) = (low, high);
    let (mut fa, mut fb) = (f(a), f(b));
    if fa == 0.0 {
        return Some(a);
    }
    if fb == 0.0 {
        return Some(b);
    }
    if !(fa.is_finite() && fb.is_finite()) || (fa > 0.0) == (fb > 0.0) {
        return None;
    }
    let tolerance = 1e-14 * low.abs().max(high.abs());
    let mut moved_b = None;
    for turn in 0..200 {
        if (b - a).abs() <= tolerance {
            break;
        }
        // Every third step bisects, so that the bracket always shrinks.
        let secant = (a * fb - b * fa) / (fb - fa);
        let x = if turn % 3 == 2 || !(secant > a && secant < b) { 0.5 * (a + b) } else { secant };
        let fx = f(x);
        if fx == 0.0 {
            return Some(x);
        }
        if (fx > 0.0) == (fb > 0.0) {
            (b, fb) = (x, fx);
            if moved_b == Some(true) {
                fa *= 0.5;
            }
            moved_b = Some(true);
        } else {
            (a, fa) = (x, fx);
            if moved_b == Some(false) {
                fb *= 0.5;
            }
            moved_b = Some(false);
        }
    }
    Some(0.5 * (a + b))
}

#[cfg(test)]
mod tests {
    use super::bracketed;

    #[test]
    fn finds_roots_and_refuses_what_is_none() {
        let root = bracketed(0.0, 3.0, |x| x * x - 2.0).unwrap();
        assert!((root - 2.0_f64.sqrt()).abs() < 1e-12);
        let steep = bracketed(0.0, 1000.0, |x| (x - 999.9).powi(9)).unwrap();
        assert!((steep - 999.9).abs() < 1e-6);
        assert_eq!(bracketed(0.0, 1.0, |x| x + 1.0), None);
        assert_eq!(bracketed(0.0, 1.0, |_| f64::NAN), None);
        assert_eq!(bracketed(1.0, 2.0, |x| x - 1.0), Some(1.0));
    }
}
