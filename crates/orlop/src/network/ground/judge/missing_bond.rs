//! `missing-bond`: what must hang on the one system does.

use super::{list, point, practice};
use crate::judgement::{Judgement, Severity, Verdict};
use crate::network::ground::audit::Audit;
use crate::network::ground::bonds::Missing;
use crate::network::ground::graph::GroundGraph;
use crate::network::ground::kinds::PathKind;

const RULE: &str = "missing-bond";

pub(super) fn judge(graph: &GroundGraph, audit: &Audit) -> Vec<Judgement> {
    if audit.missing.is_empty() {
        let hang = graph.points().iter().filter(|p| p.hangs).count();
        return vec![practice(
            Judgement::bare(RULE, &audit.negatives[0].points[0], Severity::B, Verdict::Pass)
                .what(format!("all {hang} points that must hang on the system do")),
        )];
    }
    audit.missing.iter().map(|m| one(graph, m)).collect()
}

fn one(graph: &GroundGraph, missing: &Missing) -> Judgement {
    let names = list(missing.points.iter().map(|p| point(graph, p)), 6);
    let verb = if missing.points.len() == 1 { "hangs" } else { "hang" };
    let what = if missing.add.kind == PathKind::Bond { "a bond" } else { "a negative" };
    practice(
        Judgement::bare(RULE, &missing.points[0], Severity::B, Verdict::Fail)
            .what(format!("{names} {verb} on nothing"))
            .to_do(format!(
                "add {what} from {} to {}",
                point(graph, &missing.add.from),
                point(graph, &missing.add.to)
            )),
    )
}
