//! Ground graphs for the tests: by hand, and any at all.
#![allow(dead_code, reason = "not every runner asks for everything")]

use orlop::Range;
use orlop::network::ground::{Flow, FlowKind, GroundGraph, Path, PathKind, Point, ReturnSystem, Role};
use orlop_units::{Current, Quantity, amperes, ohms};
use proptest::prelude::*;

pub fn point(id: &str, role: Role) -> Point {
    Point::new(id, role)
}

pub fn path(id: &str, from: &str, to: &str, kind: PathKind, low: f64, high: f64) -> Path {
    Path::new(id, from, to, kind).resistance(Range::new(ohms(low), ohms(high)))
}

pub fn graph(points: &[Point], paths: &[Path]) -> GroundGraph {
    GroundGraph::new(ReturnSystem::OneBond, points.to_vec(), paths.to_vec()).unwrap()
}

pub fn flow(from: &str, to: &str, current: f64) -> Flow {
    Flow::new("F", FlowKind::Return, from, to, amperes(current)).unwrap()
}

/// Any role but the first point's, which is a battery's negative.
pub fn roles() -> impl Strategy<Value = Role> {
    proptest::sample::select(Role::ALL)
}

#[derive(Clone, Debug)]
pub struct Plan {
    pub system: ReturnSystem,
    pub points: Vec<Point>,
    pub paths: Vec<Path>,
}

impl Plan {
    pub fn graph(&self) -> GroundGraph {
        GroundGraph::new(self.system, self.points.clone(), self.paths.clone()).unwrap()
    }
}

pub fn plans(most: usize) -> impl Strategy<Value = Plan> {
    let edge =
        (any::<usize>(), any::<usize>(), 0..PathKind::ALL.len(), any::<bool>(), 0usize..4, 1e-4..1.0f64);
    (any::<bool>(), proptest::collection::vec(roles(), 1..8), proptest::collection::vec(edge, 0..=most))
        .prop_map(|(insulated, roles, edges)| {
            let mut points = vec![point("P0", Role::BatteryNegative)];
            points.extend(roles.iter().enumerate().map(|(i, r)| point(&format!("P{}", i + 1), *r)));
            let n = points.len();
            let paths = edges
                .into_iter()
                .enumerate()
                .map(|(i, (a, step, kind, may_cut, effort, r))| {
                    let (a, b) = (a % n, (a % n + 1 + step % (n - 1)) % n);
                    let kind = PathKind::ALL[kind];
                    path(&format!("E{i:02}"), &format!("P{a}"), &format!("P{b}"), kind, r, 2.0 * r)
                        .may_cut(may_cut && kind != PathKind::ShoreEarth)
                        .effort([1.0, 1.0, 2.0, 3.5][effort])
                })
                .collect();
            let system = if insulated { ReturnSystem::Insulated } else { ReturnSystem::OneBond };
            Plan { system, points, paths }
        })
}

/// In amperes.
pub fn si(currents: Vec<Current>) -> Vec<f64> {
    currents.into_iter().map(Quantity::si).collect()
}
