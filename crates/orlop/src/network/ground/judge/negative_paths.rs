//! `negative-paths`: one way between negative and each engine, and no loop anywhere.

use super::{list, path, point, practice};
use crate::judgement::{Judgement, Sense, Severity, Verdict};
use crate::network::ground::audit::{Audit, EngineLink};
use crate::network::ground::graph::GroundGraph;
use crate::network::ground::kinds::ReturnSystem;
use crate::network::ground::loops::Loop;
use orlop_units::{Number, Quantity};

const RULE: &str = "negative-paths";

pub(super) fn judge(graph: &GroundGraph, audit: &Audit) -> Vec<Judgement> {
    let mut out: Vec<Judgement> = audit.engines.iter().map(|e| engine(graph, audit, e)).collect();
    // Loops that an engine's judgement already names are not said twice.
    let told = |l: &&Loop| {
        audit.engines.iter().any(|e| e.ways.len() > 1 && l.paths.iter().all(|p| e.ways.concat().contains(p)))
    };
    out.extend(audit.loops.iter().filter(|l| !told(l)).map(|l| looped(graph, l)));
    out
}

fn engine(graph: &GroundGraph, audit: &Audit, link: &EngineLink) -> Judgement {
    let limit = if audit.system == ReturnSystem::Insulated { 0 } else { 1 };
    let ways = link.ways.len();
    let name = point(graph, &link.engine);
    let number = |n: usize| Number::from_si(f64::from(u32::try_from(n).unwrap_or(u32::MAX)));
    let Some(negative) = &link.negative else {
        return practice(
            Judgement::bare(RULE, &link.engine, Severity::B, Verdict::NotTested)
                .what(format!("no negative is stated from which a way could lead to {name}")),
        );
    };
    let negative = point(graph, negative);
    let judged =
        Judgement::compare(RULE, &link.engine, Severity::B, number(ways), Sense::AtMost, number(limit));
    let by: Vec<String> = link.ways.iter().map(|w| list(w.iter().map(|p| path(graph, p)), 6)).collect();
    let what = match (ways, limit) {
        (0, 0) => format!("no way leads from {negative} to {name}: the return is insulated"),
        (_, 0) => {
            format!("{name} is joined to {negative}, though the return is insulated: {}", by.join("; "))
        }
        (0, _) => format!("no way leads from {negative} to {name}"),
        (1, _) => format!("one way between {negative} and {name}: {}", by[0]),
        _ => format!("{ways} ways between {negative} and {name}: {}", by.join("; ")),
    };
    let judged =
        if ways == 0 && limit == 1 { Judgement { verdict: Verdict::Fail, ..judged } } else { judged };
    let own: Vec<&str> = audit
        .cuts
        .iter()
        .map(|c| c.path.as_str())
        .filter(|c| link.ways.iter().flatten().any(|p| p == c))
        .map(|c| path(graph, c))
        .collect();
    let to_do = match (own.is_empty(), ways) {
        (_, 0) => "add the one bond between negative and engine".to_string(),
        (true, _) => "none of these paths may be cut as stated: have the arrangement looked at".to_string(),
        (false, _) => format!("take out {}; never a shore earth", list(own, 6)),
    };
    practice(judged.what(what).to_do(to_do))
}

fn looped(graph: &GroundGraph, found: &Loop) -> Judgement {
    let names = list(found.paths.iter().map(|p| path(graph, p)), 8);
    let to_do = match &found.cut {
        Some(cut) => format!("take out {}; never a shore earth", path(graph, cut)),
        None => "none of these paths may be cut as stated: have the arrangement looked at".into(),
    };
    practice(
        Judgement::bare(RULE, &found.paths[0], Severity::B, Verdict::Fail)
            .what(format!("a loop: {names}"))
            .to_do(to_do),
    )
}
