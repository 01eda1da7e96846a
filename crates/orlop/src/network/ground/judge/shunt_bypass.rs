//! `shunt-bypass`: every negative passes the shunt, except what is listed.

use super::{list, path, point, practice};
use crate::judgement::{Judgement, Severity, Verdict};
use crate::network::ground::audit::Audit;
use crate::network::ground::graph::GroundGraph;
use crate::network::ground::shunt::{Bypass, ShuntView};

const RULE: &str = "shunt-bypass";

pub(super) fn judge(graph: &GroundGraph, audit: &Audit) -> Vec<Judgement> {
    audit.shunts.iter().flat_map(|s| one(graph, s)).collect()
}

fn one(graph: &GroundGraph, shunt: &ShuntView) -> Vec<Judgement> {
    let name = path(graph, &shunt.shunt);
    if shunt.battery.is_none() {
        return vec![practice(
            Judgement::bare(RULE, &shunt.shunt, Severity::B, Verdict::Fail)
                .what(format!("{name} is not at a battery's negative: it sees only what hangs behind it"))
                .to_do("put it at the battery's negative, before anything else"),
        )];
    }
    let wrong: Vec<&Bypass> = shunt.branches.iter().filter(|b| !b.permitted).collect();
    if wrong.is_empty() {
        let listed: Vec<&str> =
            shunt.branches.iter().flat_map(|b| b.points.iter().map(|p| point(graph, p))).collect();
        let except = if listed.is_empty() {
            "every negative passes it".to_string()
        } else {
            format!("every negative passes it except, as permitted, {}", list(listed, 8))
        };
        return vec![practice(
            Judgement::bare(RULE, &shunt.shunt, Severity::B, Verdict::Pass).what(format!("{name}: {except}")),
        )];
    }
    wrong.into_iter().map(|b| bypass(graph, shunt, name, b)).collect()
}

fn bypass(graph: &GroundGraph, shunt: &ShuntView, name: &str, found: &Bypass) -> Judgement {
    let battery = shunt.battery.as_deref().map_or("the battery", |b| point(graph, b));
    let by = list(found.by.iter().map(|p| path(graph, p)), 6);
    let (what, to_do) = if found.round {
        (
            format!("a way round {name} to {battery}: {by}; it carries part of the current unseen"),
            format!("move {by} to the other side of {name}, or take it out"),
        )
    } else {
        let points = list(found.points.iter().map(|p| point(graph, p)), 6);
        (
            format!("{points} reaches {battery} without passing {name}, by {by}"),
            format!("move that end of {by} to the other side of {name}, or list it as a permitted bypass"),
        )
    };
    practice(Judgement::bare(RULE, &found.by[0], Severity::B, Verdict::Fail).what(what).to_do(to_do))
}
