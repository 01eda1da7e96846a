//! One matter of one thing on two visits.

use super::Difference;
use crate::found::Evidence;
use orlop::{Confidence, Sense, Severity, Verdict};
use orlop_units::AnyQuantity;

/// How a matter stands on the later visit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// A deficiency that the earlier survey did not report.
    New,
    /// Still a deficiency.
    Open,
    /// It could not be decided this time.
    Undecided,
    /// It was not opened, not tested or not looked at this time: it counts as open.
    NotChecked,
    /// No longer a deficiency.
    Resolved,
    /// Read on both visits and in order on both.
    InOrder,
}

impl Outcome {
    /// All, in the order of the report.
    pub const ALL: [Self; 6] =
        [Self::New, Self::Open, Self::Undecided, Self::NotChecked, Self::Resolved, Self::InOrder];

    /// The word in tables.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::New => "new",
            Self::Open => "open",
            Self::Undecided => "undecided",
            Self::NotChecked => "not-checked",
            Self::Resolved => "resolved",
            Self::InOrder => "in-order",
        }
    }

    /// For people.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Self::New => "New since then",
            Self::Open => "Still open",
            Self::Undecided => "Could not be decided this time",
            Self::NotChecked => "Not looked at this time, counted as open",
            Self::Resolved => "Put right",
            Self::InOrder => "In order on both visits",
        }
    }
}

/// What one visit said.
#[derive(Clone, Debug, PartialEq)]
pub struct Side {
    /// Pass, fail or undecided.
    pub verdict: Verdict,
    /// How soon to act, for what was not in order.
    pub severity: Option<Severity>,
    /// How it was known.
    pub evidence: Evidence,
    /// What it said.
    pub what: String,
    /// The value, where there is one.
    pub value: Option<AnyQuantity>,
    /// Half the width of its 95 % interval.
    pub uncertainty: Option<AnyQuantity>,
    /// The limit.
    pub limit: Option<AnyQuantity>,
    /// Readings of the file that it rests on.
    pub readings: Vec<String>,
    /// The instrument.
    pub instrument: String,
}

/// One matter of one thing on two visits.
#[derive(Clone, Debug, PartialEq)]
pub struct Matter {
    /// Its number in the report, from 1.
    pub number: usize,
    /// How it stands now.
    pub outcome: Outcome,
    /// What it is about: `circuit.D1`.
    pub subject: String,
    /// The same for people.
    pub place: String,
    /// The rule that leads.
    pub rule: &'static str,
    /// The earlier visit; none where it did not judge this.
    pub before: Option<Side>,
    /// The later visit; none where it did not judge this.
    pub now: Option<Side>,
    /// Which side of the limit is good.
    pub sense: Sense,
    /// How the value has changed, where both visits have one of the same rule.
    pub difference: Option<Difference>,
    /// In one sentence.
    pub why: String,
    /// What may come of it.
    pub risk: String,
    /// What must be true afterwards.
    pub correction: String,
    /// Document and clause, or the practice.
    pub standard: String,
    /// How far our copy of that can be trusted.
    pub confidence: Confidence,
}

impl Matter {
    /// The severity that counts: of the later visit where it says one, of the earlier one otherwise.
    #[must_use]
    pub fn severity(&self) -> Option<Severity> {
        let of = |side: &Option<Side>| side.as_ref().and_then(|s| s.severity);
        of(&self.now).or_else(|| of(&self.before))
    }
}
