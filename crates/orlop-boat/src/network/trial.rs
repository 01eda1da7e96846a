//! The boat as it stands on the day of a test: banks at their nominal voltage, nothing charging, a few loads on.

use super::build::Nodes;
use super::operating::{CaseAnswer, at_lowest};
use super::sections::Section;
use super::wire::Wire;
use crate::model::{Boat, LoadState};
use crate::route::Routes;
use crate::sized::SizedCircuit;
use orlop::{Error, Range};
use orlop_units::{Current, Quantity, Temperature, Voltage};

/// Volts lost on the two legs of a circuit, each from the least to the most that a sound one loses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Legs {
    /// From the beginning of the positive leg, device and switch included, to its end.
    pub positive: Range<Voltage>,
    /// Back along the negative leg.
    pub negative: Range<Voltage>,
}

/// A boat ready for tests.
pub(crate) struct Trials {
    boat: Boat,
    nodes: Nodes,
    wires: Vec<Wire>,
}

impl Trials {
    pub fn of(boat: &Boat, routes: &Routes, circuits: &[SizedCircuit]) -> Self {
        let (nodes, wires) = (Nodes::of(boat), Wire::all(boat, routes, circuits));
        let mut boat = boat.clone();
        for bank in &mut boat.banks {
            (bank.lowest, bank.highest) = (bank.nominal, bank.nominal);
        }
        Self { boat, nodes, wires }
    }

    /// Solves the boat with each set of loads on, and nothing else.
    ///
    /// # Errors
    /// [`Error::Input`] for values that make no network.
    pub fn run(&self, sets: &[Vec<(usize, LoadState)>]) -> Result<Vec<CaseAnswer>, Error> {
        at_lowest(&self.boat, &self.nodes, &self.wires, sets)
    }

    /// What a sound circuit loses on its legs at a current of all its runs and a temperature of the metal.
    pub fn legs(&self, circuit: usize, current: Current, metal: Temperature) -> Legs {
        let wire = &self.wires[circuit];
        let own = current / wire.sharing();
        let (positive, negative) = wire.legs(metal);
        let volts = |r: Range<orlop_units::Resistance>| {
            Range::from_bounds(r.low().map(|r| own * r), r.high().map(|r| own * r))
        };
        Legs { positive: volts(positive), negative: volts(negative) }
    }

    /// The pieces of a circuit as they should be at a current; `switch` says that there is one.
    pub fn sections(
        &self,
        circuit: usize,
        current: Current,
        rated: Option<Current>,
        switch: bool,
    ) -> Vec<Section> {
        self.wires[circuit].sections(current, rated, switch)
    }

    /// Where the metal of a circuit settles under a current of all its runs.
    pub fn temperature(&self, circuit: usize, current: Current) -> Temperature {
        self.wires[circuit].temperature(current)
    }

    /// Volts lost between the terminals of the source and a load, and volts at the load; none when it is not fed.
    pub fn at_load(&self, answer: &CaseAnswer, load: usize) -> Option<(Voltage, Voltage)> {
        let node = self.nodes.of_load[load].filter(|_| answer.feeds(load))?;
        let mut root = node;
        while let Some(circuit) = self.nodes.list[root].circuit {
            root = self.nodes.ends[circuit].0;
        }
        let (from, to) = (answer.volts[root]?, answer.volts[node]?);
        Some((Voltage::from_si(from.si() - to.si()), to))
    }
}
