//! The way to the loads that use most of what they may.

use super::{node, words};
use crate::view::{DropStep, Waterfall};
use orlop_boat::{Design, network};
use orlop_units::Quantity;

/// How many are drawn.
const MOST: usize = 4;
/// A way of more steps is told by circuit.
const STEPS: usize = 24;

pub(super) fn waterfalls(design: &Design) -> Vec<Waterfall> {
    let mut all: Vec<Waterfall> = design.network.waterfalls.iter().map(|w| one(design, w)).collect();
    // A stable sort: equals stay in the order of the file.
    all.sort_by(|a, b| used(b).total_cmp(&used(a)));
    all.truncate(MOST);
    all
}

/// Share of the permitted volts that is lost: of the limit, or of what is above the load's minimum, whichever is used up more.
fn used(w: &Waterfall) -> f64 {
    let lost = w.from - w.at_load;
    let of = |floor: f64| if w.from > floor { lost / (w.from - floor) } else { f64::INFINITY };
    [w.limit, w.minimum].into_iter().flatten().map(of).fold(0.0, f64::max)
}

fn one(design: &Design, w: &network::Waterfall) -> Waterfall {
    let load = &design.boat.loads[w.load];
    let own = super::load(&design.boat, w.load);
    let result = design.load(&load.id);
    let (id, name) = node(&design.boat, &design.network.nodes[w.root].id);
    Waterfall {
        load: own.0,
        name: own.1,
        case: words::case(design, &w.case),
        root: id,
        root_name: name,
        from: w.from.si(),
        at_load: w.at_load.si(),
        limit: result.map(|r| w.from.si() - r.limit.si() * r.nominal.si()),
        minimum: load.minimum.map(Quantity::si),
        steps: steps(design, w),
    }
}

fn steps(design: &Design, w: &network::Waterfall) -> Vec<DropStep> {
    let merge = w.steps.len() > STEPS;
    let mut out: Vec<DropStep> = Vec::new();
    for step in &w.steps {
        let circuit = &design.boat.circuits[step.circuit].id;
        let (drop, left) = (step.drop.si(), step.left.si());
        match out.last_mut().filter(|last| merge && last.circuit == *circuit) {
            Some(last) => {
                last.drop += drop;
                last.left = left;
            }
            None => {
                let part = if merge { "all of it" } else { step.part.word() };
                out.push(DropStep { circuit: circuit.clone(), part: part.into(), drop, left });
            }
        }
    }
    out
}
