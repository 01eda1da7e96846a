//! How much of the first capacity is left.

use crate::error::{Error, positive};
use crate::proving::uncertainty::{Budget, Relation, Term};
use orlop_units::{Charge, Fraction, Quantity};

/// State of health: the later capacity over the first, both at the reference temperature.
///
/// An error that both tests share by the relation and by name nearly cancels in the ratio: d(C2/C1) = dC2/C1 - C2 dC1/C1².
///
/// # Errors
/// [`Error::Input`] for a first capacity that is not above zero.
///
/// ```
/// use orlop::proving::{follow::state_of_health, uncertainty::{Budget, Common, Relation, Term}};
/// use orlop::units::{ampere_hours, show, Fraction, Quantity};
/// let test = |q: f64| {
///     let value = ampere_hours(q);
///     Budget::new(value, vec![Term::tolerance("gain", Fraction::new(0.005), value.si(), Common::Instrument)])
/// };
/// let health = state_of_health(&test(234.8)?, &test(231.9)?, Relation::SameInstrument)?;
/// assert_eq!(show(health.value()), "98.8 %");
/// assert!(health.combined().value() < 1e-12); // the same gain in both leaves nothing of it
/// # Ok::<(), orlop::Error>(())
/// ```
pub fn state_of_health(
    first: &Budget<Charge>,
    later: &Budget<Charge>,
    relation: Relation,
) -> Result<Budget<Fraction>, Error> {
    let c1 = positive(first.value(), "first capacity")?.si();
    let ratio = later.value().si() / c1;
    let scaled = |b: &Budget<Charge>, by: f64| {
        let terms = b.terms().iter().map(|t| Term { effect: t.effect * by, ..t.clone() }).collect();
        Budget::new(Fraction::new(b.value().si() * by), terms)
    };
    let left = scaled(first, ratio / c1)?.difference(&scaled(later, 1.0 / c1)?, relation);
    Budget::new(Fraction::new(ratio), left.terms().to_vec())
}
