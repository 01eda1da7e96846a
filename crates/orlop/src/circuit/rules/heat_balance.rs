//! `heat-balance`: the conductor settles below the rating of its insulation.

use crate::circuit::{CircuitQuestion, Evaluation};
use crate::judgement::{Judgement, Sense, Severity, Verdict};
use crate::source::Confidence;
use orlop_units::show;

const RULE: &str = "heat-balance";

pub(super) fn judge(q: &CircuitQuestion, e: &Evaluation) -> Judgement {
    let clause = "heat balance with the constants of IEC 60287-2-1";
    match &e.heat {
        Ok(heat) => Judgement::compare(RULE, "", Severity::A, heat.temperature, Sense::AtMost, q.insulation)
            .clause(clause, Confidence::Published)
            .what(format!(
                "{} at {} in {} settles at {}; its insulation is rated {}",
                e.conductor.size(),
                show(q.current),
                show(q.run_ambient()),
                show(heat.temperature),
                show(q.insulation)
            ))
            .to_do("take a larger conductor, a cooler way, or fewer conductors in the bundle"),
        Err(error) => Judgement::bare(RULE, "", Severity::A, Verdict::Fail)
            .clause(clause, Confidence::Published)
            .what(error.to_string())
            .to_do("take a larger conductor"),
    }
}
