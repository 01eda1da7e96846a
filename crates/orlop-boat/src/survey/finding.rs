//! One finding of a survey.

use crate::found::Evidence;
use orlop::{Confidence, Judgement, Sense, Severity, Verdict};
use orlop_units::AnyQuantity;

/// A deficiency that stands alone: what is wrong, what may come of it, what puts it right, by which standard.
#[derive(Clone, Debug, PartialEq)]
pub struct SurveyFinding {
    /// Its number in the report, from 1.
    pub number: usize,
    /// How soon to act.
    pub severity: Severity,
    /// The rule that leads.
    pub rule: &'static str,
    /// Fail or undecided.
    pub verdict: Verdict,
    /// What it is about: `circuit.D1`.
    pub subject: String,
    /// The same for people.
    pub place: String,
    /// How it is known.
    pub evidence: Evidence,
    /// What is wrong.
    pub deficiency: String,
    /// What may come of it.
    pub risk: String,
    /// What must be true afterwards.
    pub correction: String,
    /// Document and clause, or the practice.
    pub standard: String,
    /// How far our copy of that can be trusted.
    pub confidence: Confidence,
    /// The value, where there is one.
    pub value: Option<AnyQuantity>,
    /// Half the width of its 95 % interval, where it was stated.
    pub uncertainty: Option<AnyQuantity>,
    /// Which side of the limit is good.
    pub sense: Sense,
    /// The limit.
    pub limit: Option<AnyQuantity>,
    /// Room left over the limit, as a share of it; below zero is short of it.
    pub margin: Option<f64>,
    /// Readings of the file that it rests on.
    pub readings: Vec<String>,
    /// Other judgements on the same matter: rule and what it says.
    pub beside: Vec<(&'static str, String)>,
}

impl SurveyFinding {
    /// From the judgement that leads and the others on the same matter.
    pub(super) fn new(
        lead: &Judgement,
        evidence: Evidence,
        uncertainty: Option<AnyQuantity>,
        readings: Vec<String>,
        place: String,
        others: &[&Judgement],
    ) -> Self {
        let wording = crate::check::wording(lead.rule);
        let severity =
            others.iter().map(|j| j.severity).chain([lead.severity]).min().unwrap_or(lead.severity);
        Self {
            number: 0,
            severity,
            rule: lead.rule,
            verdict: lead.verdict,
            subject: lead.subject.clone(),
            place,
            evidence,
            deficiency: lead.what.clone(),
            risk: wording.map_or_else(String::new, |w| w.risk.into()),
            correction: wording.map_or_else(|| lead.to_do.clone(), |w| w.correction.into()),
            standard: lead.clause.clone(),
            confidence: lead.confidence,
            value: lead.value.clone(),
            uncertainty,
            sense: lead.sense,
            limit: lead.limit.clone(),
            margin: lead.margin,
            readings,
            beside: others.iter().map(|j| (j.rule, j.what.clone())).collect(),
        }
    }
}
