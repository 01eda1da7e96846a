//! Ranges from which property tests draw, one for each kind.

use crate::{Kind, Quantity};
use proptest::prelude::*;

/// Numbers in base units, spread evenly over the decades of the kind's range.
pub fn base_of(kind: Kind) -> impl Strategy<Value = f64> {
    let (low, high) = kind.test_range();
    let (a, b) = if low > 0.0 { (low.ln(), high.ln()) } else { (low, high) };
    (a..=b).prop_map(move |x| if low > 0.0 { x.exp() } else { x })
}

/// Quantities of one type over the range of its kind.
pub fn any_of<Q: Quantity>() -> impl Strategy<Value = Q> {
    base_of(Q::KIND).prop_map(Q::from_si)
}

/// Quantities of one type between two numbers in base units, evenly by decade.
pub fn between<Q: Quantity>(low: f64, high: f64) -> impl Strategy<Value = Q> {
    (low.ln()..=high.ln()).prop_map(|x| Q::from_si(x.exp()))
}
