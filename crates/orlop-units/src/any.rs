//! A quantity whose kind is known only at run time.

use crate::{Kind, Quantity, UnitError, exact, parse::read, show_si};

/// A physical value of any kind, with the text it was written as, when somebody wrote it.
#[derive(Clone, Debug)]
pub struct AnyQuantity {
    /// Which kind it is.
    pub kind: Kind,
    /// The number in the kind's base unit.
    pub si: f64,
    /// What the user wrote.
    pub as_written: Option<String>,
}

impl PartialEq for AnyQuantity {
    fn eq(&self, other: &Self) -> bool {
        self.kind == other.kind && self.si == other.si
    }
}

impl AnyQuantity {
    /// Reads a value of whatever kind its unit says.
    ///
    /// # Errors
    /// [`UnitError`] when the text is no value or has no unit we know.
    ///
    /// ```
    /// use orlop_units::{AnyQuantity, Kind};
    /// assert_eq!(AnyQuantity::parse("45 A", "start").unwrap().kind, Kind::Current);
    /// ```
    pub fn parse(text: &str, field: &str) -> Result<Self, UnitError> {
        read(text, field, None)
    }

    /// Reads a value of a given kind.
    ///
    /// # Errors
    /// [`UnitError`] when the text is no value of that kind.
    pub fn parse_kind(text: &str, field: &str, kind: Kind) -> Result<Self, UnitError> {
        read(text, field, Some(kind))
    }

    /// The typed quantity, when the kind is right.
    #[must_use]
    pub fn get<Q: Quantity>(&self) -> Option<Q> {
        (Q::KIND == self.kind).then(|| Q::from_si(self.si))
    }

    /// The number in the output unit of its kind.
    #[must_use]
    pub fn out(&self) -> f64 {
        self.kind.output().from_base(self.si)
    }

    /// Text that reads back to the same bits.
    #[must_use]
    pub fn exact(&self) -> String {
        exact(self.kind, self.si)
    }
}

impl<Q: Quantity> From<Q> for AnyQuantity {
    fn from(q: Q) -> Self {
        Self { kind: Q::KIND, si: q.si(), as_written: None }
    }
}

impl std::fmt::Display for AnyQuantity {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&show_si(self.kind, self.si))
    }
}

impl serde::Serialize for AnyQuantity {
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.serialize_str(&self.exact())
    }
}

impl<'de> serde::Deserialize<'de> for AnyQuantity {
    fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let text = String::deserialize(d)?;
        Self::parse(&text, "value").map_err(serde::de::Error::custom)
    }
}
