//! The test sheet and the survey report as data.

use super::{Head, JointMap, Since, Tree, Trust};
use serde::Serialize;

/// The test sheet.
#[derive(Clone, Debug, Serialize)]
pub struct Sheet {
    /// Whose it is and what it was made with.
    pub head: Head,
    /// The caution that stands on every paper.
    pub caution: &'static str,
    /// How each sort of test is judged.
    pub legend: Vec<SheetRule>,
    /// Tests by what is switched on.
    pub groups: Vec<SheetGroup>,
    /// How many tests there are.
    pub tests: usize,
}

/// How one sort of test is judged.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SheetRule {
    /// The sort.
    pub what: String,
    /// When it is in order.
    pub verdict: String,
    /// What to do when it is not.
    pub if_not: String,
}

/// Tests that are made together.
#[derive(Clone, Debug, Serialize)]
pub struct SheetGroup {
    /// What they are about.
    pub title: String,
    /// The tests.
    pub lines: Vec<SheetLine>,
}

/// One test.
#[derive(Clone, Debug, Serialize)]
pub struct SheetLine {
    /// Its number.
    pub number: usize,
    /// What it tests.
    pub what: String,
    /// What to switch on; empty when it is the same as in the line before.
    pub switch_on: String,
    /// Where to hold the probes.
    pub probe: String,
    /// The current that flows then.
    pub current: Option<String>,
    /// What a sound one shows.
    pub expected: Option<String>,
    /// Its limit, with its side.
    pub limit: Option<String>,
    /// What was read, when the boat file says so.
    pub reading: Option<String>,
}

/// The survey report.
#[derive(Clone, Debug, Serialize)]
pub struct SurveyReport {
    /// Whose it is and what it was made with.
    pub head: Head,
    /// The caution that stands on every paper.
    pub caution: &'static str,
    /// Findings of severity A, B, C.
    pub counts: [usize; 3],
    /// Findings, the most urgent first.
    pub findings: Vec<SurveyItem>,
    /// What could not be decided.
    pub undecided: Vec<SurveyItem>,
    /// What was seen, without a limit to judge it by.
    pub observations: Vec<SurveyNote>,
    /// What was not opened.
    pub not_opened: Vec<SurveyNote>,
    /// What was not tested.
    pub not_tested: Vec<SurveyNote>,
    /// What is in order: read or seen.
    pub in_order: Vec<SurveyNote>,
    /// What is in order: worked out.
    pub worked_out: Vec<SurveyNote>,
    /// The visit: label and text.
    pub visit: Vec<(String, String)>,
    /// What has changed since an earlier visit, where that was compared.
    pub since: Option<Since>,
    /// Instruments that the readings name, where the visit does not say more of them.
    pub instruments: Vec<String>,
    /// Readings and statements in the file.
    pub readings: usize,
    /// Segments and joints that drops were read over; none where there are no such readings.
    pub joints: Option<JointMap>,
    /// The feed tree, tinted by them.
    #[serde(skip)]
    pub tree: Tree,
}

/// One finding.
#[derive(Clone, Debug, Serialize)]
pub struct SurveyItem {
    /// Its number.
    pub number: usize,
    /// A, B, C.
    pub severity: char,
    /// Where.
    pub place: String,
    /// Readings that it rests on.
    pub readings: String,
    /// Measured, seen, inferred.
    pub evidence: &'static str,
    /// What is wrong.
    pub deficiency: String,
    /// The value with its uncertainty.
    pub value: Option<String>,
    /// The limit with its side.
    pub limit: Option<String>,
    /// Room left, in words.
    pub margin: Option<String>,
    /// What may come of it.
    pub risk: String,
    /// What must be true afterwards.
    pub correction: String,
    /// Document and clause.
    pub standard: String,
    /// How far that can be trusted.
    pub trust: Trust,
    /// Other judgements on the same matter.
    pub beside: Vec<String>,
}

/// One note.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SurveyNote {
    /// Where; empty for the boat as a whole.
    pub place: String,
    /// What.
    pub text: String,
    /// The reading.
    pub reading: String,
}
