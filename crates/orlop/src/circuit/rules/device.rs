//! `device-exists`, and every criterion of the device that does.

use crate::circuit::{CircuitQuestion, Evaluation};
use crate::judgement::{Judgement, Severity, Verdict};
use crate::protection;

const RULE: &str = "device-exists";

pub(super) fn judge(q: &CircuitQuestion, e: &Evaluation) -> Vec<Judgement> {
    let exists = |verdict| Judgement::bare(RULE, "", Severity::A, verdict);
    if q.exempt {
        return vec![exists(Verdict::NotApplicable).what(
            "the conductors of a starter motor are exempt from overcurrent protection; a device is wise all the same",
        )];
    }
    match &e.device {
        Err(none) => {
            let remedies: Vec<_> = none.remedies().iter().map(ToString::to_string).collect();
            vec![exists(Verdict::Fail).what(none.to_string()).to_do(remedies.join("; or "))]
        }
        Ok(None) => vec![exists(Verdict::NotTested).what("no family of devices was given to choose from")],
        Ok(Some(device)) => e
            .need(q)
            .and_then(|need| protection::judge("", device, &need))
            .unwrap_or_else(|error| vec![exists(Verdict::Undecided).what(error.to_string())]),
    }
}
