//! `threshold-order`, `threshold-present`, `alarm-lead-time`: who acts first, and whether the crew is warned in time.

use super::Subject;
use orlop::cell::Method;
use orlop::pack::threshold::{Discharge, Ladder};
use orlop::{Confidence, Error, Judgement, Severity, Verdict};
use orlop_units::{Quantity, Temperature};

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

/// Rested voltages near empty are no equilibrium at other temperatures: they are taken where cells are tested.
const ROOM: Temperature = Temperature::celsius(25.0);

/// Time between warning and cut-off at the largest lasting current.
fn warned(of: &Subject<'_>, ladder: &Ladder) -> Vec<Judgement> {
    let Some(wanted) = of.build.alarm_lead else { return Vec::new() };
    if of.answer.asked.continuous.si() <= 0.0 {
        return Vec::new();
    }
    let (cell, charge) = (of.build.pack.cell(), of.build.least_charge);
    let current = of.answer.asked.continuous / f64::from(of.build.pack.parallel());
    // The warm cell of least resistance warns late, the cold one of most opens early: the shorter time counts.
    let at = |temperature: Temperature, cold: bool| -> Result<Vec<Judgement>, Error> {
        let r = cell.resistance(Method::TenSeconds, charge, temperature)?;
        let resistance = if cold { r.high() } else { r.low() };
        let curve = cell.chemistry().curve_at(None, ROOM)?;
        ladder.warned_in_time(wanted, &Discharge::new(curve, cell.capacity(), resistance, current)?)
    };
    let judged = || -> Result<Vec<Judgement>, Error> {
        let (cold, warm) = (at(of.build.coldest, true)?, at(of.build.warmest, false)?);
        let time = |j: &Judgement| j.value.as_ref().map_or(f64::INFINITY, |q| q.si);
        Ok(cold.into_iter().zip(warm).map(|(a, b)| if time(&b) < time(&a) { b } else { a }).collect())
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
