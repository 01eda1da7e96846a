//! `forbidden-share`: no starter or return current in paths that are not made for it.

use super::{TWO_WIRE, path, point};
use crate::judgement::{Judgement, Sense, Severity, Verdict};
use crate::network::ground::audit::Audit;
use crate::network::ground::flow::Flow;
use crate::network::ground::graph::GroundGraph;
use crate::network::ground::kinds::FlowKind;
use crate::network::ground::share::Carried;
use crate::network::ground::topology::blocks;
use orlop_units::{amperes, show};

const RULE: &str = "forbidden-share";

pub(super) fn judge(graph: &GroundGraph, flows: &[&Flow], audit: &Audit) -> Vec<Judgement> {
    let mut out: Vec<Judgement> = audit.forbidden.iter().map(|c| one(graph, flows, audit, c)).collect();
    out.extend(audit.without_way.iter().map(|(flow, from, to)| {
        let name = named(flows, flow);
        Judgement::bare(RULE, from, Severity::B, Verdict::NotTested)
            .case(flow)
            .clause(TWO_WIRE.short(), TWO_WIRE.confidence)
            .what(format!("{name}: no path leads from {} to {}", point(graph, from), point(graph, to)))
            .to_do("add the missing negative first")
    }));
    out
}

fn named<'a>(flows: &'a [&Flow], id: &'a str) -> &'a str {
    flows.iter().find(|f| f.id == id).map_or(id, |f| f.name.as_str())
}

/// The cuts that lie on a common loop with a path: only they change what it carries.
fn cuts_beside<'a>(graph: &GroundGraph, audit: &'a Audit, id: &str) -> Vec<&'a str> {
    let at = |id: &str| graph.paths().iter().position(|p| p.id == id);
    let block = blocks(graph.points().len(), &graph.ends)
        .into_iter()
        .find(|b| at(id).is_some_and(|e| b.contains(&e)));
    let beside = |c: &&str| at(c).zip(block.as_ref()).is_some_and(|(e, b)| b.contains(&e));
    audit.cuts.iter().map(|c| c.path.as_str()).filter(beside).collect()
}

fn one(graph: &GroundGraph, flows: &[&Flow], audit: &Audit, carried: &Carried) -> Judgement {
    let name = path(graph, &carried.path);
    let what = match carried.kind {
        FlowKind::Starter => "starter current",
        FlowKind::Return => "return current",
    };
    let case = named(flows, &carried.flow);
    let high = carried.current.high().unwrap_or(amperes(0.0));
    let ampacity = graph.paths().iter().find(|p| p.id == carried.path).and_then(|p| p.ampacity);
    let thin = carried.kind == FlowKind::Starter && ampacity.is_some_and(|limit| high > limit);
    let severity = if thin { Severity::A } else { Severity::B };
    let judged = Judgement::compare(RULE, &carried.path, severity, high, Sense::AtMost, amperes(0.0));
    let text = if judged.verdict == Verdict::Pass {
        format!("{name} carries no {what}")
    } else {
        let range = if carried.known { carried.current.to_string() } else { format!("up to {}", show(high)) };
        let heat = carried.heat.map_or_else(String::new, |h| format!(", up to {} of heat in it", show(h)));
        let bears = match ampacity {
            Some(limit) => format!("; it bears {} for long", show(limit)),
            None => "; its size is not stated, so that nothing is said of what it bears".into(),
        };
        let bound = match (carried.known, carried.exact) {
            (false, _) => " (a resistance of its loop is not known: the worst counts)",
            (true, false) => " (a bound, not exact)",
            (true, true) => "",
        };
        format!("{name}, which may carry no {what}, carries {range}{bound}{heat}{bears}; case: {case}")
    };
    let cut = audit.cuts.iter().any(|c| c.path == carried.path);
    let others = cuts_beside(graph, audit, &carried.path);
    let to_do = if cut {
        format!("take out {name}; never a shore earth")
    } else if others.is_empty() {
        format!("bring this {what} back by a conductor made for it")
    } else {
        let cuts: Vec<&str> = others.iter().map(|c| path(graph, c)).collect();
        format!("take out {}; or bring this {what} back by a conductor made for it", super::list(cuts, 4))
    };
    judged.case(carried.flow.clone()).clause(TWO_WIRE.short(), TWO_WIRE.confidence).what(text).to_do(to_do)
}
