//! `heat-table`: the design current is within the rule set's ampacity.

use crate::circuit::{CircuitQuestion, Evaluation};
use crate::judgement::{Judgement, Sense, Severity, Verdict};
use orlop_units::show;

const RULE: &str = "heat-table";

pub(super) fn judge(q: &CircuitQuestion, e: &Evaluation) -> Judgement {
    if q.exempt {
        return Judgement::bare(RULE, "", Severity::A, Verdict::NotApplicable)
            .what("the ampacity table does not bind the conductors of a starter motor");
    }
    match &e.ampacity {
        Ok(a) => Judgement::compare(RULE, "", Severity::A, q.current, Sense::AtMost, a.current)
            .clause(a.clause.clone(), a.confidence)
            .what(format!(
                "{} carries {} here (table {}, place {:.2}, bundle {:.2}); the load draws {}",
                e.conductor.size(),
                show(a.current),
                show(a.table),
                a.place_factor,
                a.bundle_factor,
                show(q.current)
            ))
            .to_do("take a larger conductor, a cooler way, or fewer conductors in the bundle"),
        Err(error) => Judgement::bare(RULE, "", Severity::A, Verdict::Fail)
            .what(error.to_string())
            .to_do("take a conductor and insulation that the rule set has a value for"),
    }
}
