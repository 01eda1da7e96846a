//! `charging-end`: a conductor that two sources can feed needs a device at both ends.

use crate::design::Design;
use crate::model::Feeds;
use orlop::rules::SourceOfPower;
use orlop::{Judgement, Severity, Verdict};

pub(super) fn judge(design: &Design) -> Vec<Judgement> {
    let boat = &design.boat;
    let of = |circuit: &crate::model::Circuit| {
        let Feeds::Source(id) = &circuit.feeds else { return None };
        let source = boat.source(id)?;
        let limit = boat.rules.unprotected_length(SourceOfPower::Charging, false);
        let safe = source.self_limiting || source.protected;
        let verdict = if safe { Verdict::Pass } else { Verdict::Fail };
        let why = match (source.self_limiting, source.protected) {
            (true, _) => "it limits its own current",
            (_, true) => "a device inside it protects its output",
            _ => "it neither limits its own current nor has a device at its output",
        };
        Some(
            Judgement::bare("charging-end", format!("source.{id}"), Severity::A, verdict)
                .clause(limit.clause, limit.confidence)
                .what(format!("circuit {} has its device at the {} end; at the end of {}: {why}", circuit.id, circuit.from, source.name))
                .to_do("put a second device at the source's own terminals, or state that it is self-limiting or protected inside"),
        )
    };
    boat.circuits.iter().filter_map(of).collect()
}
