//! `panel-rating`: a panel or bus carries the continuous current of its feeder.

use crate::design::Design;
use crate::model::{Circuit, Feeds};
use orlop::{Confidence, Judgement, Sense, Severity};
use orlop_units::show;

pub(super) fn judge(design: &Design) -> Vec<Judgement> {
    design.boat.circuits.iter().filter_map(|circuit| one(design, circuit)).collect()
}

fn one(design: &Design, circuit: &Circuit) -> Option<Judgement> {
    let Feeds::Panel(id) = &circuit.feeds else { return None };
    let rating = design.boat.panel(id)?.rating?;
    let demand = design.demand.circuit(&circuit.id)?;
    Some(
        Judgement::compare(
            "panel-rating",
            format!("panel.{id}"),
            Severity::A,
            demand.design,
            Sense::AtMost,
            rating,
        )
        .case(demand.case.clone())
        .clause("rating stated for the panel", Confidence::Published)
        .what(format!(
            "the feeder brings up to {}; bus or switch is rated {}",
            show(demand.design),
            show(rating)
        ))
        .to_do("take a larger bus or switch, or move circuits to another panel"),
    )
}
