//! `panel-rating`: a panel or bus carries the continuous current of its feeder.

use crate::design::Design;
use crate::model::Feeds;
use orlop::{Confidence, Judgement, Sense, Severity};
use orlop_units::show;

pub(super) fn judge(design: &Design) -> Vec<Judgement> {
    let mut all = Vec::new();
    for circuit in &design.boat.circuits {
        let Some(sized) = design.circuit(&circuit.id) else { continue };
        if let Feeds::Panel(id) = &circuit.feeds {
            if let Some(rating) = design.boat.panel(id).and_then(|p| p.rating) {
                let total = design.demand.circuit(&circuit.id).map_or(sized.design_current, |d| d.design);
                all.push(
                    Judgement::compare(
                        "panel-rating",
                        format!("panel.{id}"),
                        Severity::A,
                        total,
                        Sense::AtMost,
                        rating,
                    )
                    .case(sized.case.clone())
                    .clause("rating stated for the panel", Confidence::Published)
                    .what(format!(
                        "the feeder brings up to {}; bus or switch is rated {}",
                        show(total),
                        show(rating)
                    ))
                    .to_do("take a larger bus or switch, or move circuits to another panel"),
                );
            }
        }
    }
    all
}
