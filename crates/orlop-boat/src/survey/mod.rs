//! What a survey reports on a boat as it was found.
//!
//! | list | what stands in it |
//! |---|---|
//! | [`Survey::findings`] | deficiencies with value, limit and clause, measured or seen or inferred |
//! | [`Survey::undecided`] | what is nearer to its limit than it is known, or could not be worked out |
//! | [`Survey::notes`] | observations, what was not opened, what was not tested |
//! | [`Survey::confirmations`] | what was looked at and is in order |
//!
//! [`compare`] sets a second visit against the first.
//!
//! Judgements on one matter of one thing are one finding: the reading leads, what was worked out stands beside it. Where a reading
//! keeps a limit that the calculation says is broken, the reading decides and the calculation is an observation.

mod compare;
mod extract;
mod finding;
pub(crate) mod gather;
mod notes;

pub use compare::{Change, Difference, Matter, Outcome, Resurvey, Side, compare, two_digits};
pub use extract::{ExtractLine, Part, extract, instruments};
pub use finding::SurveyFinding;
pub use notes::{Note, NoteKind};

use crate::design::Design;
use crate::model::Boat;
use orlop::{Error, Severity};

/// A survey.
#[derive(Clone, Debug, PartialEq)]
pub struct Survey {
    /// Deficiencies, the most urgent first.
    pub findings: Vec<SurveyFinding>,
    /// What could not be decided.
    pub undecided: Vec<SurveyFinding>,
    /// Observations; what was not opened; what was not tested.
    pub notes: Vec<Note>,
    /// What was looked at and is in order: readings and statements first, then what was worked out.
    pub confirmations: Vec<Note>,
}

impl Survey {
    /// How many findings of a severity.
    #[must_use]
    pub fn count(&self, severity: Severity) -> usize {
        self.findings.iter().filter(|f| f.severity == severity).count()
    }
}

/// Surveys a boat: everything is worked out on what the file gives, and the readings of `[found.ID]` are judged.
///
/// What the file does not give is chosen as for a new boat, so that the rest can be judged, and listed as not tested.
///
/// # Errors
/// As [`size`](crate::size()).
pub fn survey(boat: &Boat) -> Result<(Design, Survey), Error> {
    let design = crate::size(boat)?;
    let survey = of(&design);
    Ok((design, survey))
}

/// The survey of a boat that has been sized.
#[must_use]
pub fn of(design: &Design) -> Survey {
    let gathered = gather::gather(design);
    Survey {
        notes: notes::notes(design, &gathered),
        confirmations: notes::confirmations(design),
        findings: gathered.findings,
        undecided: gathered.undecided,
    }
}
