//! `load-voltage`: each load that states a lowest voltage gets it with the source at its lowest, by the network of the whole
//! boat; and every load can be fed at all.

use crate::design::{Design, LoadResult};
use orlop::{Confidence, Judgement, Sense, Severity, Verdict};
use orlop_units::show;

const TO_DO: &str = "take larger conductors on the way, or feed it from a converter that holds its voltage";

pub(super) fn judge(design: &Design) -> Vec<Judgement> {
    design.loads.iter().filter_map(|l| of(design, l)).collect()
}

fn of(design: &Design, l: &LoadResult) -> Option<Judgement> {
    let subject = format!("load.{}", l.id);
    let least = design.boat.load(&l.id)?.minimum;
    let Some(lowest) = l.lowest_voltage else {
        let place = design.boat.loads.iter().position(|x| x.id == l.id)?;
        let case = design.network.cases.iter().find(|c| c.unfed.contains(&place));
        return Some(
            Judgement {
                limit: least.map(Into::into),
                ..Judgement::bare("load-voltage", subject, Severity::B, Verdict::Fail)
            }
            .case(case.map_or_else(String::new, |c| c.case.clone()))
            .what("it asks for more than the conductors on its way can carry at any voltage, or its converter has too little")
            .to_do(TO_DO),
        );
    };
    let least = least?;
    Some(
        Judgement::compare("load-voltage", subject, Severity::B, lowest, Sense::AtLeast, least)
            .case(l.lowest_case.clone())
            .clause("lowest voltage stated for the load", Confidence::Published)
            .what(format!(
                "with the source at its lowest, {} reach the load; it asks for {}",
                show(lowest),
                show(least)
            ))
            .to_do(TO_DO),
    )
}
