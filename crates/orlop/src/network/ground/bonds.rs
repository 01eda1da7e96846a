//! Where negative is bonded to metal, what hangs on the system and what does not, and the fewest bonds to add.

use super::graph::GroundGraph;
use super::kinds::{PathKind, ReturnSystem, Role};
use super::topology::components;

/// One negative system: negatives joined to each other without any metal between, and its bonds.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct NegativeSystem {
    /// Its points, the most telling first: battery, bus, then the others.
    pub points: Vec<String>,
    /// Paths from it to engine, hull and bonding. A radio's ground that hangs on nothing else does not count.
    pub bonds: Vec<String>,
}

/// A part of the graph that hangs on nothing, though it should.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Missing {
    /// Those of its points that must hang on the system.
    pub points: Vec<String>,
    /// The path to add.
    pub add: NewPath,
}

/// A path to add.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct NewPath {
    /// From the part that hangs on nothing.
    pub from: String,
    /// To the system.
    pub to: String,
    /// What to lay.
    pub kind: PathKind,
}

/// Components of the metal alone; none for points that are negatives or a radio's ground on its own.
fn metal(graph: &GroundGraph) -> Vec<Option<usize>> {
    let n = graph.points().len();
    let both = |&(a, b): &(usize, usize)| !graph.role(a).is_negative() && !graph.role(b).is_negative();
    let of = components(n, graph.ends.iter().copied().filter(both));
    let mut real = vec![false; n];
    for x in 0..n {
        real[of[x]] |= !graph.role(x).is_negative() && graph.role(x) != Role::RadioGround;
    }
    (0..n).map(|x| (!graph.role(x).is_negative() && real[of[x]]).then_some(of[x])).collect()
}

/// Paths from a negative to metal that is more than a radio's ground, ordered by id.
pub(super) fn crossings(graph: &GroundGraph) -> Vec<usize> {
    let metal = metal(graph);
    let crosses = |(a, b): (usize, usize)| {
        (graph.role(a).is_negative() && metal[b].is_some())
            || (graph.role(b).is_negative() && metal[a].is_some())
    };
    (0..graph.ends.len()).filter(|e| crosses(graph.ends[*e])).collect()
}

/// Whether there is any engine, hull, bonding or shore earth in the graph.
pub(super) fn has_metal(graph: &GroundGraph) -> bool {
    metal(graph).iter().any(Option::is_some)
}

/// The negative systems, ordered by their first point.
pub(super) fn systems(graph: &GroundGraph) -> Vec<NegativeSystem> {
    let n = graph.points().len();
    let both = |&(a, b): &(usize, usize)| graph.role(a).is_negative() && graph.role(b).is_negative();
    let of = components(n, graph.ends.iter().copied().filter(both));
    let crossings = crossings(graph);
    let mut out = Vec::new();
    for root in (0..n).filter(|x| of[*x] == *x && graph.role(*x).is_negative()) {
        let mut points: Vec<usize> = (0..n).filter(|x| of[*x] == root).collect();
        points.sort_by_key(|x| (graph.role(*x), *x));
        let here = |e: &&usize| {
            let (a, b) = graph.ends[**e];
            of[if graph.role(a).is_negative() { a } else { b }] == root
        };
        out.push(NegativeSystem {
            points: points.iter().map(|x| graph.points()[*x].id.clone()).collect(),
            bonds: crossings.iter().filter(here).map(|e| graph.paths()[*e].id.clone()).collect(),
        });
    }
    out.sort_by(|a, b| a.points[0].cmp(&b.points[0]));
    out
}

/// The parts that must hang on the system but do not, each with the path to add.
///
/// `c` parts that hold a point which must hang need exactly `c - 1` new paths: each joins at most two parts, and
/// one from every other part to the main one is enough. With an insulated return negatives and metal are two systems.
pub(super) fn missing(graph: &GroundGraph) -> Vec<Missing> {
    match graph.system() {
        ReturnSystem::OneBond => missing_of(graph, &|_| true, &graph.ends),
        ReturnSystem::Insulated => {
            let crossings = crossings(graph);
            let kept: Vec<_> =
                (0..graph.ends.len()).filter(|e| !crossings.contains(e)).map(|e| graph.ends[e]).collect();
            let mut out = missing_of(graph, &Role::is_negative, &kept);
            out.extend(missing_of(graph, &|r| !r.is_negative(), &kept));
            out
        }
    }
}

fn missing_of(graph: &GroundGraph, side: &dyn Fn(Role) -> bool, ends: &[(usize, usize)]) -> Vec<Missing> {
    let n = graph.points().len();
    let of = components(n, ends.iter().copied());
    let hangs = |x: usize| graph.points()[x].hangs && side(graph.role(x));
    let parts: Vec<Vec<usize>> = (0..n)
        .filter(|root| of[*root] == *root)
        .map(|root| (0..n).filter(|x| of[*x] == root && hangs(*x)).collect::<Vec<_>>())
        .filter(|part| !part.is_empty())
        .collect();
    // The main part is the one with most points; of equals the first.
    let Some(main) = parts.iter().max_by(|a, b| a.len().cmp(&b.len()).then_with(|| b[0].cmp(&a[0]))) else {
        return Vec::new();
    };
    parts
        .iter()
        .filter(|part| *part != main)
        .map(|part| {
            let mut points = part.clone();
            points.sort_by_key(|x| (graph.role(*x), *x));
            Missing {
                points: points.iter().map(|x| graph.points()[*x].id.clone()).collect(),
                add: add(graph, part, main),
            }
        })
        .collect()
}

/// The best two points to join a part to the main one: metal to metal where both have some, else bus to bus.
fn add(graph: &GroundGraph, part: &[usize], main: &[usize]) -> NewPath {
    const METAL: [Role; 6] = [
        Role::BondingBus,
        Role::Engine,
        Role::Hull,
        Role::UnderwaterMetal,
        Role::ShoreEarth,
        Role::RadioGround,
    ];
    const NEGATIVE: [Role; 5] = [
        Role::NegativeBus,
        Role::BatteryBus,
        Role::BatteryNegative,
        Role::SourceNegative,
        Role::LoadNegative,
    ];
    let pick = |points: &[usize], roles: &[Role]| {
        roles.iter().find_map(|r| points.iter().copied().find(|x| graph.role(*x) == *r))
    };
    let any = |points: &[usize], first: &[Role], then: &[Role]| {
        pick(points, first).or_else(|| pick(points, then)).unwrap_or(points[0])
    };
    let metal = pick(part, &METAL).is_some();
    let (from, to) = if metal && pick(main, &METAL).is_some() {
        (any(part, &METAL, &NEGATIVE), any(main, &METAL, &NEGATIVE))
    } else if metal {
        (any(part, &METAL, &NEGATIVE), any(main, &NEGATIVE, &METAL))
    } else {
        (any(part, &NEGATIVE, &METAL), any(main, &NEGATIVE, &METAL))
    };
    let both = graph.role(from).is_negative() && graph.role(to).is_negative();
    NewPath {
        from: graph.points()[from].id.clone(),
        to: graph.points()[to].id.clone(),
        kind: if both { PathKind::NegativeCable } else { PathKind::Bond },
    }
}
