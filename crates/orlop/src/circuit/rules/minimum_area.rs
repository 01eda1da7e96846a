//! `minimum-area`: the conductor is not smaller than the rule set's mechanical minimum.

use crate::circuit::{CircuitQuestion, Evaluation};
use crate::conductor::Conductor;
use crate::judgement::{Judgement, Sense, Severity, Verdict};

const RULE: &str = "minimum-area";

pub(super) fn judge(q: &CircuitQuestion, e: &Evaluation) -> Judgement {
    let limit = q.rules.minimum_area(q.sheathed);
    let way = if q.sheathed { "in a sheath" } else { "on its own" };
    match Conductor::new(limit.value, q.insulation, q.material, q.tinned) {
        Ok(least) => {
            Judgement::compare(RULE, "", Severity::B, e.conductor.area(), Sense::AtLeast, least.area())
        }
        Err(error) => Judgement::bare(RULE, "", Severity::B, Verdict::Undecided).what(error.to_string()),
    }
    .clause(limit.clause, limit.confidence)
    .what(format!("{} {way}; at least {} is asked for", e.conductor.size(), limit.value))
    .to_do("take a larger conductor")
}
