//! What can be wrong with a physical value that somebody wrote.

use crate::Kind;

/// A text that is not the physical value it should be.
///
/// Every message names the field, what was expected, and what was found.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum UnitError {
    /// A unit of another kind: `12 V` where a length is wanted.
    #[error("{field}: expected {}, got '{got}', {}", expected.with_units(), found.with_article())]
    WrongKind {
        /// The argument or field that was read.
        field: String,
        /// What it should be.
        expected: Kind,
        /// What was written.
        got: String,
        /// The kind of what was written.
        found: Kind,
    },
    /// A number without its unit.
    #[error("{field}: expected {}, got the bare number '{got}'; write the unit, for example '{got} {}'",
        expected.with_units(), expected.units()[0].symbol)]
    Bare {
        /// The argument or field that was read.
        field: String,
        /// What it should be.
        expected: Kind,
        /// What was written.
        got: String,
    },
    /// A unit nobody knows, or text that is no value at all.
    #[error("{field}: expected {what}, got '{got}'{hint}")]
    Unreadable {
        /// The argument or field that was read.
        field: String,
        /// What it should be, with the units accepted.
        what: String,
        /// What was written.
        got: String,
        /// A hint, or nothing.
        hint: String,
    },
    /// Not a number, or not finite, or out of what the quantity can be.
    #[error("{field}: '{got}' {why}")]
    Impossible {
        /// The argument or field that was read.
        field: String,
        /// What was written.
        got: String,
        /// Why it cannot be.
        why: String,
    },
}

impl UnitError {
    /// The argument or field that was read.
    #[must_use]
    pub fn field(&self) -> &str {
        match self {
            Self::WrongKind { field, .. }
            | Self::Bare { field, .. }
            | Self::Unreadable { field, .. }
            | Self::Impossible { field, .. } => field,
        }
    }

    /// What was written.
    #[must_use]
    pub fn got(&self) -> &str {
        match self {
            Self::WrongKind { got, .. }
            | Self::Bare { got, .. }
            | Self::Unreadable { got, .. }
            | Self::Impossible { got, .. } => got,
        }
    }

    /// What was expected, in a few words.
    #[must_use]
    pub fn expected(&self) -> String {
        match self {
            Self::WrongKind { expected, .. } | Self::Bare { expected, .. } => expected.with_units(),
            Self::Unreadable { what, .. } => what.clone(),
            Self::Impossible { why, .. } => why.clone(),
        }
    }
}
