//! What reaches the battery's negative without passing the shunt.

use super::graph::GroundGraph;
use super::kinds::{PathKind, Role};
use super::topology::components;
use std::collections::BTreeSet;

/// One shunt, and what goes round it.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct ShuntView {
    /// The shunt's path.
    pub shunt: String,
    /// The battery's end of it; none when neither end is a battery's negative or its bus, so that nothing can be said.
    pub battery: Option<String>,
    /// What reaches the battery's end without it, branch by branch.
    pub branches: Vec<Bypass>,
}

/// Points that reach the battery's negative without passing the shunt, joined to each other.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Bypass {
    /// The paths by which they enter on the battery's side.
    pub by: Vec<String>,
    /// The points.
    pub points: Vec<String>,
    /// Whether the far end of the shunt is among them: a whole way round it.
    pub round: bool,
    /// Whether all of it is listed as permitted.
    pub permitted: bool,
}

/// What each shunt does not see, ordered by id.
pub(super) fn shunts(graph: &GroundGraph) -> Vec<ShuntView> {
    let is_shunt = |e: &usize| graph.paths()[*e].kind == PathKind::Shunt;
    (0..graph.ends.len()).filter(is_shunt).map(|e| one(graph, e)).collect()
}

fn one(graph: &GroundGraph, shunt: usize) -> ShuntView {
    let path = &graph.paths()[shunt];
    let (a, b) = graph.ends[shunt];
    // Of two battery ends the terminal itself.
    let mut ends = [a, b];
    ends.sort_by_key(|x| (graph.role(*x), *x));
    let id = |x: usize| graph.points()[x].id.clone();
    if !graph.role(ends[0]).is_battery() {
        return ShuntView { shunt: path.id.clone(), battery: None, branches: Vec::new() };
    }
    let n = graph.points().len();
    let open: Vec<usize> =
        (0..graph.ends.len()).filter(|e| graph.paths()[*e].kind != PathKind::Shunt).collect();
    let reach = |keep: &dyn Fn(usize) -> bool| {
        let edges = open.iter().map(|e| graph.ends[*e]).filter(|(a, b)| keep(*a) && keep(*b));
        components(n, edges)
    };
    // The battery's side proper: terminals and battery buses joined to each other.
    let all = reach(&|_| true);
    let own = reach(&|x| graph.role(x).is_battery());
    let core = |x: usize| own[x] == own[ends[0]];
    let beyond = reach(&|x| !core(x));
    let entered: BTreeSet<usize> =
        (0..n).filter(|x| all[*x] == all[ends[0]] && !core(*x)).map(|x| beyond[x]).collect();
    let branches = entered
        .into_iter()
        .map(|root| {
            let points: Vec<usize> = (0..n).filter(|x| !core(*x) && beyond[*x] == root).collect();
            let inside = |x: usize| !core(x) && beyond[x] == root;
            let enters = |e: &&usize| {
                let (a, b) = graph.ends[**e];
                (core(a) && inside(b)) || (core(b) && inside(a))
            };
            let round = points.contains(&ends[1]);
            // Buses and radio grounds take no current of their own.
            let listed = |x: &usize| {
                matches!(graph.role(*x), Role::NegativeBus | Role::RadioGround)
                    || path.bypass.contains(&graph.points()[*x].id)
            };
            Bypass {
                by: open.iter().filter(enters).map(|e| graph.paths()[*e].id.clone()).collect(),
                permitted: !round && points.iter().all(listed),
                points: points.into_iter().map(id).collect(),
                round,
            }
        })
        .collect();
    ShuntView { shunt: path.id.clone(), battery: Some(id(ends[0])), branches }
}
