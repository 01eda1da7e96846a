//! Cables in a conduit.

use crate::error::{Error, positive};
use crate::rules::Limit;
use crate::tables::bars;
use orlop_units::{Fraction, Length, Quantity};

/// Share of a conduit's inside that cables take: the sum of d^2 over D^2.
///
/// `diameters` are those over the insulation, `inner` is the conduit's clear diameter. Compare with [`fill_limit`].
///
/// # Errors
/// [`Error::Input`] for a diameter that is not above zero.
///
/// ```
/// use orlop::{conductor::bundle::conduit_fill, units::millimetres};
/// let fill = conduit_fill(&[millimetres(8.0), millimetres(8.0)], millimetres(20.0))?;
/// assert!((fill.value() - 0.32).abs() < 1e-12);
/// # Ok::<(), orlop::Error>(())
/// ```
pub fn conduit_fill(diameters: &[Length], inner: Length) -> Result<Fraction, Error> {
    let inner = positive(inner, "inner")?;
    let mut taken = 0.0;
    for d in diameters {
        taken += positive(*d, "diameters")?.si().powi(2);
    }
    Ok(Fraction::new(taken / inner.si().powi(2)))
}

/// Largest share of a conduit that so many cables may take: one 53 %, two 31 %, more 40 %.
///
/// As in North American wiring codes, from memory; no rule of either rule set for boats.
#[must_use]
pub fn fill_limit(cables: usize) -> Limit<Fraction> {
    let (table, share) = bars::conduit_fill(cables);
    Limit {
        value: Fraction::new(share),
        clause: table.citation.short(),
        confidence: table.citation.confidence,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use orlop_units::millimetres;

    #[test]
    fn limits_by_count_and_bad_input() {
        let shares: Vec<_> = (1..5).map(|n| fill_limit(n).value.value()).collect();
        assert_eq!(shares, [0.53, 0.31, 0.40, 0.40]);
        assert!(conduit_fill(&[millimetres(5.0)], millimetres(0.0)).is_err());
        assert!(conduit_fill(&[millimetres(f64::NAN)], millimetres(20.0)).is_err());
        assert_eq!(conduit_fill(&[], millimetres(20.0)).unwrap().value(), 0.0);
    }
}
