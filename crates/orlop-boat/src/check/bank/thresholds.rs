//! `threshold-order`, `threshold-present`, `alarm-lead-time`: who acts first, and whether the crew is warned in time.

use super::Subject;
use orlop::cell::Method;
use orlop::pack::threshold::{Discharge, Ladder};
use orlop::{Confidence, Error, Judgement, Severity, Verdict};
use orlop_units::Quantity;

pub(super) fn judge(of: &Subject<'_>) -> Vec<Judgement> {
    let Some(ladder) = &of.build.ladder else {
        return vec![
            Judgement::bare("threshold-present", of.address(""), Severity::B, Verdict::NotTested)
                .clause("common practice: alarms and stops before cut-offs", Confidence::CommonPractice)
                .what("no threshold of chargers, alarms and cut-offs is stated")
                .to_do("list them as sections [threshold.ID]"),
        ];
    };
    let mut all = ladder.judgements();
    // What is missing is missing of this bank.
    for j in all.iter_mut().filter(|j| j.rule == "threshold-present") {
        if let Some(role) = j.subject.strip_prefix("threshold.") {
            j.subject = of.address(role);
        }
    }
    all.extend(warned(of, ladder));
    all
}

/// Time between warning and cut-off at the largest lasting current.
fn warned(of: &Subject<'_>, ladder: &Ladder) -> Vec<Judgement> {
    let Some(wanted) = of.build.alarm_lead else { return Vec::new() };
    if of.answer.asked.continuous.si() <= 0.0 {
        return Vec::new();
    }
    let judged = || -> Result<Vec<Judgement>, Error> {
        let (cell, cold) = (of.build.pack.cell(), of.build.coldest);
        let current = of.answer.asked.continuous / f64::from(of.build.pack.parallel());
        let resistance = cell.resistance(Method::TenSeconds, of.build.least_charge, cold)?;
        let curve = cell.chemistry().curve_at(None, cold)?;
        let discharge = Discharge::new(curve, cell.capacity(), resistance.high(), current)?;
        ladder.warned_in_time(wanted, &discharge)
    };
    match judged() {
        Ok(all) => all.into_iter().map(|j| j.case(of.answer.asked.case.clone())).collect(),
        Err(error) => vec![
            Judgement::bare("alarm-lead-time", of.address(""), Severity::B, Verdict::Undecided)
                .clause("common practice: time to act before a black-out", Confidence::CommonPractice)
                .what(format!("the time between alarm and cut-off cannot be worked out: {error}"))
                .to_do("check the temperatures of the bank"),
        ],
    }
}
