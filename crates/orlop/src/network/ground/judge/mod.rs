//! The rules of the ground graph, one file each. Passes are kept as well as failures.

mod forbidden_share;
mod missing_bond;
mod negative_paths;
mod one_bond;
mod shunt_bypass;

use super::audit::Audit;
use super::flow::Flow;
use super::graph::GroundGraph;
use crate::judgement::Judgement;
use crate::source::{Citation, Confidence};

pub(crate) static TWO_WIRE: Citation = Citation::fixed(
    "uk-non-private-3.8",
    "UK inland waterways safety scheme, standards for non-private boats",
    "",
    "3.8",
    "two-wire insulated return throughout; the hull is no conductor",
    Confidence::Published,
    "the scheme's pages, in our own words",
);
pub(crate) static ONE_NEGATIVE: Citation = Citation::fixed(
    "one-negative-bond",
    "surveyors' and electricians' practice",
    "",
    "",
    "one way between negative and engine; one bond to metal; all metal on it; every negative through the shunt",
    Confidence::CommonPractice,
    "no document behind it; codes differ for metal hulls",
);

/// Applies every rule.
pub(super) fn all(graph: &GroundGraph, flows: &[&Flow], audit: &Audit) -> Vec<Judgement> {
    let mut out = negative_paths::judge(graph, audit);
    out.extend(one_bond::judge(graph, audit));
    out.extend(missing_bond::judge(graph, audit));
    out.extend(shunt_bypass::judge(graph, audit));
    out.extend(forbidden_share::judge(graph, flows, audit));
    out
}

/// A judgement that rests on practice.
fn practice(judgement: Judgement) -> Judgement {
    judgement.clause(ONE_NEGATIVE.document.as_ref(), ONE_NEGATIVE.confidence)
}

/// The name of a point for people.
fn point<'a>(graph: &'a GroundGraph, id: &'a str) -> &'a str {
    graph.points().iter().find(|p| p.id == id).map_or(id, |p| p.name.as_str())
}

/// The name of a path for people.
fn path<'a>(graph: &'a GroundGraph, id: &'a str) -> &'a str {
    graph.paths().iter().find(|p| p.id == id).map_or(id, |p| p.name.as_str())
}

/// Names in a row; past `most` only their number.
fn list<'a>(names: impl IntoIterator<Item = &'a str>, most: usize) -> String {
    let all: Vec<&str> = names.into_iter().collect();
    if all.len() <= most {
        return all.join(", ");
    }
    format!("{} and {} more", all[..most].join(", "), all.len() - most)
}
