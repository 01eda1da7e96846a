//! Loops, and the fewest cuts that open them.
//!
//! The ground graph should be a forest: between two points at most one way. Each loop lets current choose.
//!
//! **Fewest cuts.** Let `M` be the paths that must stay and `C` those that may be cut, each with an effort. What may be
//! kept of `C` beside `M` without a loop of its own are the independent sets of a matroid (the graphic matroid with `M`
//! contracted), and all largest such sets have the same size. So every complete set of cuts has at least
//! `|C| - rank` members, and the greedy choice, the costliest first, keeps a set of the greatest effort (Rado, Edmonds);
//! what it leaves out is therefore the set of least effort, and, with equal efforts, of fewest cuts. It parts
//! no two points that were joined. Between equal efforts the path of the more useful kind stays, then the one of lower
//! resistance, then the first by id. A loop made of `M` alone cannot be opened; it is named.
//!
//! With a fully insulated return each path that joins negative to metal must go as well; there is no choice among them.

use super::bonds::crossings;
use super::graph::GroundGraph;
use super::kinds::ReturnSystem;
use super::topology::{Sets, way_in_forest};
use crate::source::{Citation, Confidence};
use orlop_units::Quantity;
use std::cmp::Ordering;

/// Source of the proof above.
pub(crate) static GREEDY: Citation = Citation::fixed(
    "edmonds-1971-greedy",
    "J. Edmonds, Matroids and the greedy algorithm, Mathematical Programming 1",
    "1971",
    "pages 127 to 136",
    "the greedy choice finds a basis of greatest weight in any matroid",
    Confidence::Memory,
    "recalled; the property is checked against exhaustive search",
);

/// One loop of the cycle basis.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Loop {
    /// Its paths in order, the closing one first.
    pub paths: Vec<String>,
    /// The path whose cut opens it; none when all its paths must stay.
    pub cut: Option<String>,
}

/// A path to take out.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Cut {
    /// The path.
    pub path: String,
    /// How much work that is.
    pub effort: f64,
}

/// What the greedy choice gives, in path numbers.
#[derive(Clone, Debug)]
pub(super) struct Opened {
    /// Each loop: its paths, the closing one first, and whether that one may be cut.
    pub loops: Vec<(Vec<usize>, bool)>,
    /// Paths between negative and metal of an insulated return, and whether each may be cut.
    pub crossings: Vec<(usize, bool)>,
}

/// Which of two paths is kept before the other.
fn before(graph: &GroundGraph, a: usize, b: usize) -> Ordering {
    let (p, q) = (&graph.paths()[a], &graph.paths()[b]);
    let ohms = |at: usize| {
        let r = graph.paths()[at].resistance;
        r.high().or(r.low()).map_or(f64::INFINITY, Quantity::si)
    };
    p.may_cut
        .cmp(&q.may_cut)
        .then_with(|| q.effort.total_cmp(&p.effort))
        .then_with(|| q.kind.worth().cmp(&p.kind.worth()))
        .then_with(|| ohms(a).total_cmp(&ohms(b)))
        .then_with(|| a.cmp(&b))
}

/// Opens the loops of a graph; `n` points, paths by number.
pub(super) fn open(graph: &GroundGraph) -> Opened {
    let n = graph.points().len();
    let insulated = graph.system() == ReturnSystem::Insulated;
    let crossings: Vec<(usize, bool)> = if insulated {
        crossings(graph).into_iter().map(|e| (e, graph.paths()[e].may_cut)).collect()
    } else {
        Vec::new()
    };
    let gone = |e: &usize| crossings.iter().any(|(c, may_cut)| c == e && *may_cut);
    let mut order: Vec<usize> = (0..graph.paths().len()).filter(|e| !gone(e)).collect();
    order.sort_by(|a, b| before(graph, *a, *b));
    let mut sets = Sets::new(n);
    let (mut forest, mut closing) = (Vec::new(), Vec::new());
    for e in order {
        let (a, b) = graph.ends[e];
        if sets.join(a, b) { forest.push(e) } else { closing.push(e) }
    }
    closing.sort_unstable();
    let loops = closing
        .into_iter()
        .map(|e| {
            let (a, b) = graph.ends[e];
            let mut paths = vec![e];
            paths.extend(way_in_forest(n, &graph.ends, &forest, b, a).unwrap_or_default());
            (paths, graph.paths()[e].may_cut)
        })
        .collect();
    Opened { loops, crossings }
}

impl Opened {
    /// The loops by id.
    pub fn loops(&self, graph: &GroundGraph) -> Vec<Loop> {
        let id = |e: usize| graph.paths()[e].id.clone();
        self.loops
            .iter()
            .map(|(paths, may_cut)| Loop {
                paths: paths.iter().map(|e| id(*e)).collect(),
                cut: may_cut.then(|| id(paths[0])),
            })
            .collect()
    }

    /// The cuts, ordered by id.
    pub fn cuts(&self, graph: &GroundGraph) -> Vec<Cut> {
        let mut at: Vec<usize> = self.loops.iter().filter(|l| l.1).map(|l| l.0[0]).collect();
        at.extend(self.crossings.iter().filter(|c| c.1).map(|c| c.0));
        at.sort_unstable();
        at.iter()
            .map(|e| Cut { path: graph.paths()[*e].id.clone(), effort: graph.paths()[*e].effort })
            .collect()
    }
}
