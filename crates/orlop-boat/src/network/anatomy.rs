//! Each circuit taken apart: what a meter finds between its two ends, from the least to the most of a sound one.

use super::build::Nodes;
use super::wire::{AT_RATING, DropPart, Wire};
use crate::model::Boat;
use crate::route::Routes;
use crate::sized::SizedCircuit;
use orlop::Range;
use orlop_units::{Quantity, Resistance, Temperature};

/// One circuit in ohms.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Parts {
    /// One leg of one run.
    pub leg: f64,
    /// One lug.
    pub joint: (f64, f64),
    /// Fuse or breaker.
    pub device: (f64, f64),
    /// Switches and what else the file states.
    pub switch: f64,
    /// Runs side by side, all closed.
    pub runs: f64,
}

impl Parts {
    /// One sound run, both legs: two lugs on each.
    pub fn run(&self) -> f64 {
        2.0 * self.leg + 4.0 * middle(self.joint) + middle(self.device) + self.switch
    }
}

/// Half way between two ends.
pub(crate) fn middle((low, high): (f64, f64)) -> f64 {
    0.5 * (low + high)
}

/// Nodes and circuits of a boat, for those who change something in it.
pub(crate) struct Anatomy {
    /// Addresses of the nodes.
    pub nodes: Vec<String>,
    /// The circuit that ends at each.
    pub ended_by: Vec<Option<usize>>,
    /// Nodes at the beginning and end of each circuit.
    pub ends: Vec<(usize, usize)>,
    /// Node of each load.
    pub of_load: Vec<Option<usize>>,
    /// Each circuit.
    pub parts: Vec<Parts>,
}

impl Anatomy {
    /// Metal half way between a mild day and the design ambient of its way.
    pub fn of(boat: &Boat, routes: &Routes, circuits: &[SizedCircuit]) -> Self {
        let nodes = Nodes::of(boat);
        let wires = Wire::all(boat, routes, circuits);
        let rating = |c: &SizedCircuit| c.device.as_ref().map(|d| d.rating().si());
        let parts = wires.iter().zip(circuits).map(|(wire, c)| parts(wire, rating(c))).collect();
        Self {
            nodes: nodes.list.iter().map(|n| n.id.clone()).collect(),
            ended_by: nodes.list.iter().map(|n| n.circuit).collect(),
            ends: nodes.ends,
            of_load: nodes.of_load,
            parts,
        }
    }

    /// Circuits from the source to a node, the source's first.
    pub fn way(&self, node: usize) -> Vec<usize> {
        let mut way = Vec::new();
        let mut here = node;
        while let Some(circuit) = self.ended_by[here] {
            way.push(circuit);
            here = self.ends[circuit].0;
        }
        way.reverse();
        way
    }
}

const MILD: f64 = 20.0;

fn parts(wire: &Wire, rating: Option<f64>) -> Parts {
    let metal = Temperature::celsius(0.5 * (MILD + wire.ambient().si().max(MILD)));
    let both = |range: Range<Resistance>| {
        let end = |r: Option<Resistance>| r.map(Quantity::si);
        let (low, high) = (end(range.low()), end(range.high()));
        (low.or(high).unwrap_or(0.0), high.or(low).unwrap_or(0.0))
    };
    let lugs = both(wire.lugs());
    Parts {
        leg: 0.5 * wire.part(DropPart::Conductor, metal).si(),
        joint: (0.25 * lugs.0, 0.25 * lugs.1),
        device: match (wire.device(), rating) {
            (Some(device), _) => both(device),
            (None, Some(rating)) => (AT_RATING.0 / rating, AT_RATING.1 / rating),
            (None, None) => (0.0, 0.0),
        },
        switch: wire.part(DropPart::Switch, metal).si(),
        runs: wire.runs(),
    }
}
