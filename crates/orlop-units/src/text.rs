//! Serde for quantities as text with unit: `#[serde(with = "orlop_units::text")]`.

use crate::{Quantity, exact, parse};

/// Writes `"35 mm2"`, never a bare number.
///
/// # Errors
/// Only what the serializer itself reports.
pub fn serialize<Q: Quantity, S: serde::Serializer>(q: &Q, s: S) -> Result<S::Ok, S::Error> {
    s.serialize_str(&exact(Q::KIND, q.si()))
}

/// Reads text with its unit.
///
/// # Errors
/// A bare number or a unit of another kind is refused.
pub fn deserialize<'de, Q: Quantity, D: serde::Deserializer<'de>>(d: D) -> Result<Q, D::Error> {
    let text = <String as serde::Deserialize>::deserialize(d)?;
    parse(&text, Q::KIND.word()).map_err(serde::de::Error::custom)
}

/// The same for optional quantities: `#[serde(with = "orlop_units::text::option")]`.
pub mod option {
    use super::Quantity;

    /// Writes text with unit, or null.
    ///
    /// # Errors
    /// Only what the serializer itself reports.
    pub fn serialize<Q: Quantity, S: serde::Serializer>(q: &Option<Q>, s: S) -> Result<S::Ok, S::Error> {
        match q {
            Some(q) => super::serialize(q, s),
            None => s.serialize_none(),
        }
    }

    /// Reads text with unit, or null.
    ///
    /// # Errors
    /// A bare number or a unit of another kind is refused.
    pub fn deserialize<'de, Q: Quantity, D: serde::Deserializer<'de>>(d: D) -> Result<Option<Q>, D::Error> {
        match <Option<String> as serde::Deserialize>::deserialize(d)? {
            None => Ok(None),
            Some(text) => crate::parse(&text, Q::KIND.word()).map(Some).map_err(serde::de::Error::custom),
        }
    }
}
