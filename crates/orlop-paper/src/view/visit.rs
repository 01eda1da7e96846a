//! The second visit and the insurer's extract as data.

use super::{Head, Trust};
use serde::Serialize;

/// What two visits have to say to each other.
#[derive(Clone, Debug, Serialize)]
pub struct Since {
    /// The day of the earlier visit.
    pub before: String,
    /// The day of the later visit.
    pub now: String,
    /// One for each way in which a matter can stand, without empty ones.
    pub groups: Vec<SinceGroup>,
}

/// Matters that stand alike.
#[derive(Clone, Debug, Serialize)]
pub struct SinceGroup {
    /// How they stand.
    pub title: String,
    /// The matters.
    pub lines: Vec<SinceLine>,
}

/// One matter on two visits.
#[derive(Clone, Debug, Serialize)]
pub struct SinceLine {
    /// Severity then and now; a hyphen where it was in order.
    pub severity: String,
    /// Where.
    pub place: String,
    /// Readings of both visits.
    pub readings: String,
    /// The earlier value with its uncertainty.
    pub before: Option<String>,
    /// The later one.
    pub now: Option<String>,
    /// Its limit, with its side.
    pub limit: Option<String>,
    /// The change in a word.
    pub change: String,
    /// In a sentence.
    pub why: String,
}

/// The extract for an insurer.
#[derive(Clone, Debug, Serialize)]
pub struct ExtractPage {
    /// Whose it is and what it was made with.
    pub head: Head,
    /// The caution that stands on every paper.
    pub caution: &'static str,
    /// The vessel and the inspection: label and text.
    pub facts: Vec<(String, String)>,
    /// What was not opened or tested.
    pub limits: Vec<(String, String)>,
    /// Batteries.
    pub banks: Vec<(String, String)>,
    /// Devices.
    pub protection: Vec<(String, String)>,
    /// Open findings of severity A and B.
    pub open: Vec<ExtractItem>,
    /// Those that were put right.
    pub closed: Vec<ExtractItem>,
    /// What is in order.
    pub in_order: Vec<(String, String)>,
}

/// One finding of the extract.
#[derive(Clone, Debug, Serialize)]
pub struct ExtractItem {
    /// A or B.
    pub severity: char,
    /// Where.
    pub place: String,
    /// Readings that it rests on.
    pub readings: String,
    /// What was found.
    pub text: String,
    /// Measured, seen, inferred.
    pub evidence: &'static str,
    /// What may come of it.
    pub risk: String,
    /// What must be true afterwards.
    pub correction: String,
    /// Document and clause.
    pub standard: String,
    /// How far that can be trusted.
    pub trust: Option<Trust>,
    /// The day on which it was first reported.
    pub reported: String,
    /// The day on which it was found in order.
    pub closed: String,
}
