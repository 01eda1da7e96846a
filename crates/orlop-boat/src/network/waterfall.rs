//! Where the volts between bank and load go: the drop waterfall.

use super::build::Nodes;
use super::operating::CaseAnswer;
use super::wire::{DropPart, Wire};
use orlop_units::{Quantity, Voltage, volts};

/// One step of the way from the source to a load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DropStep {
    /// The circuit, by its place in the file.
    pub circuit: usize,
    /// What loses the volts.
    pub part: DropPart,
    /// How many.
    pub drop: Voltage,
    /// What is left behind it.
    pub left: Voltage,
}

/// The way to one load in one case.
#[derive(Clone, Debug, PartialEq)]
pub struct Waterfall {
    /// Place of the load in the file.
    pub load: usize,
    /// `scenario@corner`.
    pub case: String,
    /// Node of the bank or converter at its beginning.
    pub root: usize,
    /// Volts there.
    pub from: Voltage,
    /// Its steps, from the source to the load; what loses nothing is left out.
    pub steps: Vec<DropStep>,
    /// Volts at the load, as the network has them.
    pub at_load: Voltage,
}

/// The way to a load in the case of its lowest voltage; none when it is never fed.
pub(super) fn of(nodes: &Nodes, wires: &[Wire], cases: &[CaseAnswer], load: usize) -> Option<Waterfall> {
    let node = nodes.of_load[load]?;
    let volts_in = |c: &CaseAnswer| c.volts[node].filter(|_| c.feeds(load));
    let case = cases.iter().filter(|c| volts_in(c).is_some()).min_by(|a, b| {
        volts_in(a).map(Quantity::si).partial_cmp(&volts_in(b).map(Quantity::si)).expect("finite")
    })?;
    let mut way = Vec::new();
    let mut here = node;
    while let Some(circuit) = nodes.list[here].circuit {
        way.push(circuit);
        here = nodes.ends[circuit].0;
    }
    way.reverse();
    let from = case.volts[here]?;
    let mut left = from;
    let mut steps = Vec::new();
    for circuit in way {
        let wire = &wires[circuit];
        let own = case.currents[circuit] / wire.sharing();
        for part in DropPart::ALL {
            let drop = own * wire.part(part, case.temperatures[circuit]);
            if drop > volts(0.0) {
                left -= drop;
                steps.push(DropStep { circuit, part, drop, left });
            }
        }
    }
    Some(Waterfall { load, case: case.case.clone(), root: here, from, steps, at_load: case.volts[node]? })
}
