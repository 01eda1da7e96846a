//! What cannot be computed. A design that breaks a rule is no error but a [`crate::Judgement`].

use orlop_units::UnitError;

/// Why a question has no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// A physical value that could not be read.
    #[error(transparent)]
    Unit(#[from] UnitError),
    /// A value that can be read but not used.
    #[error("{field}: got {got}, expected {expected}{}", hint_text(hint))]
    Input {
        /// The argument or field.
        field: String,
        /// What was given, in the user's units.
        got: String,
        /// What is accepted.
        expected: String,
        /// What to try, or empty.
        hint: String,
    },
    /// A question beyond the range of the table that answers it.
    #[error("{table}: {asked} is outside the table ({range}){}", hint_text(hint))]
    OutOfTable {
        /// The table.
        table: String,
        /// What was asked.
        asked: String,
        /// What the table holds.
        range: String,
        /// What to try, or empty.
        hint: String,
    },
    /// No choice keeps all limits.
    #[error("no solution: {what}{}", hint_text(hint))]
    NoSolution {
        /// What could not be met.
        what: String,
        /// Remedies.
        hint: String,
    },
}

fn hint_text(hint: &str) -> String {
    if hint.is_empty() { String::new() } else { format!("; {hint}") }
}

impl Error {
    /// Stable name of the kind of error.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::Unit(_) => "unit",
            Self::Input { .. } => "input",
            Self::OutOfTable { .. } => "out-of-table",
            Self::NoSolution { .. } => "no-solution",
        }
    }

    /// A value that can be read but not used.
    #[must_use]
    pub fn input(field: &str, got: impl Into<String>, expected: impl Into<String>) -> Self {
        Self::Input { field: field.into(), got: got.into(), expected: expected.into(), hint: String::new() }
    }
}

/// Refuses anything that is not a finite number above zero.
///
/// # Errors
/// [`Error::Input`] naming the field.
pub fn positive<Q: orlop_units::Quantity>(value: Q, field: &str) -> Result<Q, Error> {
    if value.si().is_finite() && value.si() > 0.0 {
        return Ok(value);
    }
    Err(Error::input(field, orlop_units::show(value), format!("{} above zero", Q::KIND.with_article())))
}

/// Refuses anything that is not a finite number of zero or more.
///
/// # Errors
/// [`Error::Input`] naming the field.
pub fn not_negative<Q: orlop_units::Quantity>(value: Q, field: &str) -> Result<Q, Error> {
    if value.si().is_finite() && value.si() >= 0.0 {
        return Ok(value);
    }
    Err(Error::input(field, orlop_units::show(value), format!("{} of zero or more", Q::KIND.with_article())))
}
