//! `support`: cables are held often enough along each trunk.

use crate::design::Design;
use orlop::{Judgement, Sense, Severity, Verdict};
use orlop_units::show;

pub(super) fn judge(design: &Design) -> Vec<Judgement> {
    let boat = &design.boat;
    let from_bank = |id: &str| {
        boat.circuits.iter().any(|c| {
            boat.bank(&c.from).is_some()
                && design.routes.circuit(&c.id).is_some_and(|r| r.path.iter().any(|t| t == id))
        })
    };
    boat.trunks
        .iter()
        .map(|trunk| {
            let limit = boat.rules.support_spacing(from_bank(&trunk.id));
            let subject = format!("trunk.{}", trunk.id);
            match trunk.support {
                _ if trunk.conduit.is_some() => {
                    Judgement::bare("support", subject, Severity::C, Verdict::NotApplicable)
                        .what("a conduit supports its cables along its whole way")
                }
                Some(spacing) => {
                    Judgement::compare("support", subject, Severity::C, spacing, Sense::AtMost, limit.value)
                        .what(format!(
                            "supported every {}; at most {} is asked for",
                            show(spacing),
                            show(limit.value)
                        ))
                        .to_do("add supports")
                }
                None => Judgement::bare("support", subject, Severity::C, Verdict::NotTested)
                    .what(format!(
                        "the spacing of supports is not stated; at most {} is asked for",
                        show(limit.value)
                    ))
                    .to_do("measure the largest distance between supports"),
            }
            .clause(limit.clause.clone(), limit.confidence)
        })
        .collect()
}
