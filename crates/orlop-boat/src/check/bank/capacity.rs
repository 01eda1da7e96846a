//! `bank-capacity`: the delivered cells, as they are tied, hold what the file counts on.

use super::Subject;
use orlop::{Confidence, Judgement, Sense, Severity};
use orlop_units::show;

pub(super) fn judge(of: &Subject<'_>) -> Vec<Judgement> {
    let Some((assignment, counted)) = of.answer.built().assignment.as_ref().zip(of.bank.capacity) else {
        return Vec::new();
    };
    let holds = assignment.capacity();
    let judgement = Judgement::compare(
        "bank-capacity",
        of.address("capacity"),
        Severity::B,
        holds,
        Sense::AtLeast,
        counted,
    );
    vec![
        judgement
            .clause("capacity that the boat file counts on", Confidence::Published)
            .what(format!(
                "the delivered cells hold {} as they are best tied, {} in the order of delivery; {} is counted on",
                show(holds),
                show(assignment.delivery_order()),
                show(counted)
            ))
            .to_do("return the small cells, or count on less"),
    ]
}
