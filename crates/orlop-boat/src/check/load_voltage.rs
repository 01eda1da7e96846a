//! `load-voltage`: each load that states a lowest voltage gets it with the source at its lowest.

use crate::design::Design;
use orlop::{Judgement, Sense, Severity};
use orlop_units::show;

pub(super) fn judge(design: &Design) -> Vec<Judgement> {
    let of = |l: &crate::design::LoadResult| {
        let least = design.boat.load(&l.id)?.minimum?;
        Some(
            Judgement::compare(
                "load-voltage",
                format!("load.{}", l.id),
                Severity::B,
                l.lowest_voltage,
                Sense::AtLeast,
                least,
            )
            .case(l.case.clone())
            .clause("lowest voltage stated for the load", orlop::Confidence::Published)
            .what(format!(
                "with the source at its lowest, {} reach the load; it asks for {}",
                show(l.lowest_voltage),
                show(least)
            ))
            .to_do("take larger conductors on the way, or feed it from a converter that holds its voltage"),
        )
    };
    design.loads.iter().filter_map(of).collect()
}
