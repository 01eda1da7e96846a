//! `device-exists`, and every criterion of the device that does.

use crate::circuit::question::clear_within;
use crate::circuit::{CircuitQuestion, Evaluation};
use crate::judgement::{Judgement, Severity, Verdict};
use crate::protection::{self, Device, FarEnd, NoDevice, Refusal, Remedy, remedies_in_numbers};
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
        Err(none) => vec![exists(Verdict::Fail).what(reasons(q, none)).to_do(remedies(q, e, none))],
        Ok(None) => vec![exists(Verdict::NotTested).what("no family of devices was given to choose from")],
        Ok(Some(device)) => e
            .need(q)
            .and_then(|need| protection::judge("", device, &need))
            .map(|all| all.into_iter().map(|j| in_numbers(q, e, device, j)).collect())
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
fn remedies(q: &CircuitQuestion, e: &Evaluation, none: &NoDevice) -> String {
    let numbers =
        e.need(q).and_then(|need| remedies_in_numbers(none, &need, &q.families, far_end(q, e).as_ref()));
    let all =
        if q.supply.limit.is_some() { none.remedies() } else { numbers.unwrap_or_else(|_| none.remedies()) };
    let wanted = all.iter().filter_map(|r| match r {
        Remedy::MoreFaultCurrent { at_least, .. } => Some(*at_least),
        _ => None,
    });
    match (q.supply.limit, wanted.reduce(Current::min)) {
        (Some(_), Some(least)) => format!(
            "feed it from a source that delivers {} or more into a fault (the bank itself, or a larger converter); a larger conductor does not help here",
            show(least)
        ),
        _ => sentence(&all),
    }
}

fn sentence(all: &[Remedy]) -> String {
    all.iter().map(ToString::to_string).collect::<Vec<_>>().join("; or ")
}

/// The circuit as a short at its far end sees it; none behind a source that limits its current, or of which no fault current is known.
fn far_end(q: &CircuitQuestion, e: &Evaluation) -> Option<FarEnd> {
    let low = q.supply.fault.low().filter(|_| q.supply.limit.is_none())?;
    Some(FarEnd {
        emf: q.supply.lowest,
        others: q.supply.lowest / low + q.joints + q.extra,
        conductor: e.conductor.clone(),
        run: q.run,
        temperature: q.insulation,
    })
}

/// A device that does not clear: what would make it, in numbers.
fn in_numbers(q: &CircuitQuestion, e: &Evaluation, device: &Device, judgement: Judgement) -> Judgement {
    if judgement.rule != "device-clears" || judgement.verdict != Verdict::Fail {
        return judgement;
    }
    let wanted = device.opens_within(clear_within());
    match far_end(q, e).zip(wanted).and_then(|(far, wanted)| far.remedies(wanted).ok()) {
        Some(told) => {
            judgement.to_do(format!("{}; or a smaller rating where it carries the load", sentence(&told)))
        }
        None => judgement,
    }
}
