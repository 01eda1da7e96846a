//! `one-bond`: each negative system is bonded to engine, hull and bonding at one place; with an insulated return nowhere.

use super::{list, path, point, practice};
use crate::judgement::{Judgement, Sense, Severity, Verdict};
use crate::network::ground::audit::Audit;
use crate::network::ground::bonds::{NegativeSystem, has_metal};
use crate::network::ground::graph::GroundGraph;
use crate::network::ground::kinds::ReturnSystem;
use orlop_units::{Number, Quantity};

const RULE: &str = "one-bond";

pub(super) fn judge(graph: &GroundGraph, audit: &Audit) -> Vec<Judgement> {
    if !has_metal(graph) {
        return vec![practice(
            Judgement::bare(RULE, &audit.negatives[0].points[0], Severity::B, Verdict::NotTested)
                .what("no engine, hull, bonding or shore earth is stated")
                .to_do("state what metal there is and what joins it to negative"),
        )];
    }
    // A system without any bond hangs on nothing: that is said by its own rule.
    let bonded = |s: &&NegativeSystem| audit.system == ReturnSystem::Insulated || !s.bonds.is_empty();
    audit.negatives.iter().filter(bonded).map(|s| one(graph, audit.system, s)).collect()
}

fn one(graph: &GroundGraph, system: ReturnSystem, negative: &NegativeSystem) -> Judgement {
    let count = negative.bonds.len();
    let limit = if system == ReturnSystem::Insulated { 0.0 } else { 1.0 };
    let name = point(graph, &negative.points[0]);
    let bonds = list(negative.bonds.iter().map(|b| path(graph, b)), 8);
    let what = match count {
        0 => format!("the negative of {name} meets metal nowhere"),
        1 => format!("the negative of {name} is bonded to metal at one place: {bonds}"),
        _ => format!("the negative of {name} is bonded to metal at {count} places: {bonds}"),
    };
    let to_do = if system == ReturnSystem::Insulated {
        format!("take out {bonds}; never a shore earth")
    } else {
        "keep one; bring what the others hold to the bonding instead".into()
    };
    let number = Number::from_si(f64::from(u32::try_from(count).unwrap_or(u32::MAX)));
    practice(
        Judgement::compare(
            RULE,
            &negative.points[0],
            Severity::B,
            number,
            Sense::AtMost,
            Number::from_si(limit),
        )
        .what(what)
        .to_do(to_do),
    )
}
