//! `drop-physical` and `drop-rule`: volts lost, by physics and by the rule set's formula. Both must pass.

use crate::circuit::{CircuitQuestion, Evaluation};
use crate::judgement::{Judgement, Sense, Severity};
use crate::source::Confidence;
use orlop_units::show;

pub(super) fn judge(q: &CircuitQuestion, e: &Evaluation) -> Vec<Judgement> {
    let Some(budget) = q.budget else { return Vec::new() };
    let formula = q.rules.drop_formula();
    let to_do = "take a larger conductor or shorten the run";
    vec![
        Judgement::compare("drop-physical", "", Severity::B, e.drop, Sense::AtMost, budget.physical)
            .clause(
                "resistance at the solved temperature, both legs, device and joints",
                Confidence::Published,
            )
            .what(format!(
                "{} are lost at {}; {} are permitted",
                show(e.drop),
                show(budget.current),
                show(budget.physical)
            ))
            .to_do(to_do),
        Judgement::compare("drop-rule", "", Severity::B, e.rule_drop, Sense::AtMost, budget.rule)
            .clause(formula.clause, formula.confidence)
            .what(format!(
                "by the rule set's formula {} are lost at {}; {} are permitted",
                show(e.rule_drop),
                show(budget.current),
                show(budget.rule)
            ))
            .to_do(to_do),
    ]
}
