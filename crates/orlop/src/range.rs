//! The one two-sided type: a lower and an upper bound, either of which may not be known.

use orlop_units::{Quantity, show_range};

/// Bounds of a value, always in the order low, high.
///
/// A bound that is not known is `None`; it never becomes a number by itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range<Q> {
    low: Option<Q>,
    high: Option<Q>,
}

impl<Q: Quantity> Range<Q> {
    /// Both bounds; they are put in order.
    #[must_use]
    pub fn new(a: Q, b: Q) -> Self {
        if b < a { Self { low: Some(b), high: Some(a) } } else { Self { low: Some(a), high: Some(b) } }
    }
    /// Bounds of which one may be missing.
    #[must_use]
    pub fn from_bounds(low: Option<Q>, high: Option<Q>) -> Self {
        match (low, high) {
            (Some(a), Some(b)) => Self::new(a, b),
            _ => Self { low, high },
        }
    }
    /// A value known to be just this.
    #[must_use]
    pub fn exactly(value: Q) -> Self {
        Self { low: Some(value), high: Some(value) }
    }
    /// The lower bound.
    #[must_use]
    pub fn low(self) -> Option<Q> {
        self.low
    }
    /// The upper bound.
    #[must_use]
    pub fn high(self) -> Option<Q> {
        self.high
    }
}

impl<Q: Quantity> std::fmt::Display for Range<Q> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&show_range(Q::KIND, self.low.map(Q::si), self.high.map(Q::si)))
    }
}

impl<Q: Quantity> serde::Serialize for Range<Q> {
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        use serde::ser::SerializeMap;
        let mut map = s.serialize_map(Some(2))?;
        let text = |q: Option<Q>| q.map(|q| orlop_units::exact(Q::KIND, q.si()));
        map.serialize_entry("low", &text(self.low))?;
        map.serialize_entry("high", &text(self.high))?;
        map.end()
    }
}
