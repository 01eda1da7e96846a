//! `conduit-fill`: the cables in a conduit leave enough of it free to be drawn in.

use crate::design::Design;
use orlop::conductor::bundle::{conduit_fill, fill_limit};
use orlop::{Judgement, Sense, Severity};
use orlop_units::show;

pub(super) fn judge(design: &Design) -> Vec<Judgement> {
    let mut all = Vec::new();
    for trunk in &design.boat.trunks {
        let Some(inner) = trunk.conduit else { continue };
        let mut diameters = Vec::new();
        for id in design.routes.trunk(&trunk.id).map_or(&[][..], |t| &t.circuits) {
            if let (Some(circuit), Some(sized)) = (design.boat.circuit(id), design.circuit(id)) {
                let cables = 2 * circuit.runs as usize;
                diameters.extend(std::iter::repeat_n(sized.conductor.outside_diameter(), cables));
            }
        }
        if diameters.is_empty() {
            continue;
        }
        let limit = fill_limit(diameters.len());
        let Ok(fill) = conduit_fill(&diameters, inner) else { continue };
        all.push(
            Judgement::compare(
                "conduit-fill",
                format!("trunk.{}", trunk.id),
                Severity::C,
                fill,
                Sense::AtMost,
                limit.value,
            )
            .clause(limit.clause, limit.confidence)
            .what(format!(
                "{} conductors fill {} of the {} conduit",
                diameters.len(),
                show(fill),
                show(inner)
            ))
            .to_do("take a wider conduit or a second one"),
        );
    }
    all
}
