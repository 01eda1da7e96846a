//! `negative-paths`, `one-bond`, `missing-bond`, `shunt-bypass`, `forbidden-share`: where negative meets engine and metal.
//!
//! The rules themselves are those of [`orlop::network::ground`]; here the boat becomes its ground graph. Each circuit is
//! two-wire, so each gives one path: its negative leg, from the negative of what it feeds to where it ends. Grounds and
//! bonds of the file come to it. Ids of points and paths are addresses: `load.F1`, `circuit.F1`, `bond.ENGINE`.

mod flows;
mod graph;

use crate::design::Design;
use orlop::network::ground::{Audit, Carried, Flow, GroundGraph, audit};
use orlop::{Error, Judgement, Severity, Verdict};

/// The ground graph of a boat with its currents and what was found.
#[derive(Clone, Debug)]
pub struct Ground {
    /// Points and paths.
    pub graph: GroundGraph,
    /// Starters, scenarios, charging sources.
    pub flows: Vec<Flow>,
    /// What was found.
    pub audit: Audit,
    /// What each path carries at most, in the order of the graph's paths.
    pub most: Vec<Most>,
}

/// What a path carries at most, each of its worst flow.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Most {
    /// Of starters; none when no flow is a starter.
    pub starter: Option<Carried>,
    /// Of all else; none when there is no other flow.
    pub returns: Option<Carried>,
}

/// The ground graph of a design; nothing when the file states no ground and no bond.
///
/// # Errors
/// For a bond whose resistance cannot be worked out.
pub fn ground(design: &Design) -> Option<Result<Ground, Error>> {
    let boat = &design.boat;
    if boat.grounds.is_empty() && boat.bonds.is_empty() {
        return None;
    }
    Some(graph::graph(design).and_then(|graph| {
        let flows = flows::flows(design);
        let audit = audit(&graph, &flows)?;
        let most = flows::most(&graph, &flows)?;
        Ok(Ground { graph, flows, audit, most })
    }))
}

pub(super) fn judge(design: &Design) -> Vec<Judgement> {
    let subject = design.boat.banks.first().map_or_else(String::new, |b| format!("bank.{}", b.id));
    match ground(design) {
        None => vec![
            Judgement::bare("negative-paths", subject, Severity::B, Verdict::NotTested)
                .what("the file does not say where negative meets engine, hull and bonding")
                .to_do("state them as [ground.ID] and [bond.ID], the shunt among them"),
        ],
        Some(Err(error)) => vec![
            Judgement::bare("negative-paths", subject, Severity::B, Verdict::Undecided)
                .what(error.to_string())
                .to_do("correct the bond that is named"),
        ],
        // That a branch to a lamp carries no starter current is no news: passes of bonds are kept, not those of circuits.
        Some(Ok(found)) => found
            .audit
            .judgements
            .into_iter()
            .filter(|j| {
                j.rule != "forbidden-share" || j.verdict != Verdict::Pass || j.subject.starts_with("bond.")
            })
            .collect(),
    }
}
