//! `device-exists`, and every criterion of the device that does.

use crate::circuit::{CircuitQuestion, Evaluation};
use crate::judgement::{Judgement, Severity, Verdict};
use crate::protection::{self, NoDevice, Refusal, Remedy};
use orlop_units::{Current, show};

const RULE: &str = "device-exists";

pub(super) fn judge(q: &CircuitQuestion, e: &Evaluation) -> Vec<Judgement> {
    let limit = q.rules.device_limit(&q.options);
    let exists = |verdict| {
        Judgement::bare(RULE, "", Severity::A, verdict).clause(limit.clause.clone(), limit.confidence)
    };
    if q.exempt {
        return vec![exists(Verdict::NotApplicable).what(
            "the conductors of a starter motor are exempt from overcurrent protection; a device is wise all the same",
        )];
    }
    match &e.device {
        Err(none) => vec![exists(Verdict::Fail).what(reasons(q, none)).to_do(remedies(q, none))],
        Ok(None) => vec![exists(Verdict::NotTested).what("no family of devices was given to choose from")],
        Ok(Some(device)) => e
            .need(q)
            .and_then(|need| protection::judge("", device, &need))
            .unwrap_or_else(|error| vec![exists(Verdict::Undecided).what(error.to_string())]),
    }
}

fn reasons(q: &CircuitQuestion, none: &NoDevice) -> String {
    // A reason that names a device names its family with it.
    let one = |r: &Refusal| match &r.nearest {
        Some(_) => r.why.clone(),
        None => format!("{}: {}", r.family, r.why),
    };
    let why: Vec<_> = none.refusals().iter().map(one).collect();
    let lead = match q.supply.limit {
        Some(limit) => format!("no device fits behind a source that limits itself to {}: ", show(limit)),
        None if why.is_empty() => return none.to_string(),
        None => "no device fits: ".to_string(),
    };
    lead + &why.join("; ")
}

/// A source that limits its own current gives no more through a larger conductor.
fn remedies(q: &CircuitQuestion, none: &NoDevice) -> String {
    let all = none.remedies();
    let wanted = all.iter().filter_map(|r| match r {
        Remedy::MoreFaultCurrent { at_least, .. } => Some(*at_least),
        _ => None,
    });
    match (q.supply.limit, wanted.reduce(Current::min)) {
        (Some(_), Some(least)) => format!(
            "feed it from a source that delivers {} or more into a fault (the bank itself, or a larger converter); a larger conductor does not help here",
            show(least)
        ),
        _ => all.iter().map(ToString::to_string).collect::<Vec<_>>().join("; or "),
    }
}
