//! How the cells of a pack are tied beyond their order: where the leads leave, how groups are joined, the bars between neighbours.

use super::{Joined, TakeOff};
use crate::error::{Error, not_negative};
use orlop_units::Resistance;

/// Where the leads leave, how groups are joined, and the bars between neighbours.
///
/// A take-off alone is a tie whose groups are joined by one lead.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tie {
    /// Where the current leaves each group, or the outer bars, or the bus that strings are tied to.
    pub take_off: TakeOff,
    /// How groups are joined.
    pub joined: Joined,
    /// Each link of a rail, or piece of bar, between neighbours, joints in it; none where it is like the other links of the pack.
    pub bar: Option<Resistance>,
}

impl Tie {
    /// Groups joined so, bars like the other links of the pack.
    #[must_use]
    pub fn new(take_off: TakeOff, joined: Joined) -> Self {
        Self { take_off, joined, bar: None }
    }

    /// The same with bars of their own between neighbours.
    ///
    /// # Errors
    /// [`Error::Input`] for a resistance below zero.
    pub fn with_bar(self, bar: Resistance) -> Result<Self, Error> {
        Ok(Self { bar: Some(not_negative(bar, "bar")?), ..self })
    }
}

impl From<TakeOff> for Tie {
    fn from(take_off: TakeOff) -> Self {
        Self::new(take_off, Joined::Lead)
    }
}
