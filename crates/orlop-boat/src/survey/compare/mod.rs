//! The second visit: what has been put right, what is still open and how it has changed, what is new, what was not looked at again.
//!
//! | question | where |
//! |---|---|
//! | which finding is which, on two visits | [`compare`] |
//! | how one matter stands now | [`Outcome`], [`Matter`] |
//! | has the value changed by more than the uncertainty of both readings | [`Difference`] |

mod difference;
mod matter;
mod pair;
mod refuse;

pub use difference::{Change, Difference, two_digits};
pub use matter::{Matter, Outcome, Side};

use crate::day::Day;
use crate::design::Design;
use orlop::Error;

/// Two visits to one vessel, compared.
#[derive(Clone, Debug, PartialEq)]
pub struct Resurvey {
    /// Name of the boat on the later visit.
    pub boat: String,
    /// The day of the earlier visit.
    pub before: Day,
    /// The day of the later visit.
    pub now: Day,
    /// One for each matter that was open on either visit, or read on both; new ones first.
    pub matters: Vec<Matter>,
}

impl Resurvey {
    /// How many stand so.
    #[must_use]
    pub fn count(&self, outcome: Outcome) -> usize {
        self.of(outcome).count()
    }

    /// Those that stand so.
    pub fn of(&self, outcome: Outcome) -> impl Iterator<Item = &Matter> {
        self.matters.iter().filter(move |m| m.outcome == outcome)
    }
}

/// Compares two surveys of one vessel, each sized and with its readings.
///
/// Findings are the same where they are about the same thing and the same matter: rule and subject, where rules on one matter count as
/// one. Joints of one thing are told apart by the name of the reading, or by its id where that was kept.
///
/// # Errors
/// [`Error::Input`] for two vessels, two rule sets, a visit without a date or without readings, visits in the wrong order, one survey
/// given twice, and joints that cannot be told apart.
pub fn compare(earlier: &Design, later: &Design) -> Result<Resurvey, Error> {
    let (before, now) = refuse::dates(earlier, later)?;
    Ok(Resurvey { boat: later.boat.name.clone(), before, now, matters: pair::matters(earlier, later)? })
}
