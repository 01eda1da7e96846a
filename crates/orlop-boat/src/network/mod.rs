//! The sized boat as one electrical network.
//!
//! | question | answer |
//! |---|---|
//! | volts at each node and load, amperes and temperature of each circuit, case by case | [`BoatNetwork::cases`] |
//! | where the volts on the way to a load go | [`BoatNetwork::waterfalls`] |
//! | what one load's start does to the others | [`BoatNetwork::dips`] |
//! | fault currents at each node and through each device | [`BoatNetwork::levels`], [`BoatNetwork::devices`] |
//! | which devices are selective with which | [`BoatNetwork::selectivity`] |
//! | which loads go dark when one part is out | [`BoatNetwork::failures`] |
//!
//! Nodes are places where a meter can be held between positive and negative; a branch is a circuit with both its legs, its device
//! and its joints. The same physics as in [`orlop::network`], where the methods are described.

mod anatomy;
mod build;
mod dips;
mod failures;
mod operating;
mod sections;
mod through;
mod trial;
mod waterfall;
mod wire;

pub(crate) use anatomy::{Anatomy, middle};
pub use build::{Node, NodeKind};
pub use dips::Dip;
pub use failures::{Failure, Part};
pub use operating::CaseAnswer;
pub(crate) use sections::Section;
pub use through::DeviceFault;
pub(crate) use trial::Trials;
pub use waterfall::{DropStep, Waterfall};
pub use wire::DropPart;

use crate::demand::Demand;
use crate::model::Boat;
use crate::route::Routes;
use crate::sized::SizedCircuit;
use build::{Nodes, branch_id};
use orlop::Error;
use orlop::network::Network;
use orlop::network::fault::{FaultLevel, FaultLevels};
use orlop::protection::{Placed, SelectivityMatrix};
use orlop_units::{Quantity, Voltage};
use wire::Wire;

/// The boat as one network: what it was built as, and what it does.
#[derive(Clone, Debug)]
pub struct BoatNetwork {
    /// Nodes: banks, converters, then the far end of each circuit in the order of the file.
    pub nodes: Vec<Node>,
    /// Node of each load, in the order of the file; none where no circuit feeds it.
    pub of_load: Vec<Option<usize>>,
    /// Nodes at the beginning and end of each circuit.
    pub ends: Vec<(usize, usize)>,
    /// Cases at the low corner, then at the high one.
    pub cases: Vec<CaseAnswer>,
    /// The way to each load that is fed, in the case of its lowest voltage.
    pub waterfalls: Vec<Waterfall>,
    /// Brown-outs: each cause, state and victim in its worst case.
    pub dips: Vec<Dip>,
    /// The network that fault currents come from.
    pub faults: Network,
    /// Fault levels of its nodes and branches.
    pub levels: FaultLevels,
    /// Fault currents through the device of each circuit, in the order of the file.
    pub devices: Vec<DeviceFault>,
    /// Every device against those upstream of it.
    pub selectivity: SelectivityMatrix,
    /// Each part out by itself.
    pub failures: Vec<Failure>,
}

impl BoatNetwork {
    /// Solves a sized boat.
    ///
    /// # Errors
    /// [`Error::Input`] for values that make no network. What the network cannot carry is no error: the load that asks for it is
    /// listed in [`CaseAnswer::unfed`].
    pub(crate) fn of(
        boat: &Boat,
        demand: &Demand,
        circuits: &[SizedCircuit],
        low: LowCases,
    ) -> Result<Self, Error> {
        let LowCases { nodes, wires, cases: low } = low;
        let high = operating::high(boat, demand, &nodes, &wires)?;
        let dips = dips::all(boat, demand, &nodes, &wires, &low)?;
        let waterfalls =
            (0..boat.loads.len()).filter_map(|l| waterfall::of(&nodes, &wires, &low, l)).collect();
        let (faults, levels, devices) = fault_currents(boat, demand, &nodes, &wires)?;
        let selectivity = faults.selectivity(&placed(boat, circuits))?;
        let failures = failures::all(boat, &demand.tree, circuits, &wires);
        Ok(Self {
            nodes: nodes.list,
            of_load: nodes.of_load,
            ends: nodes.ends,
            cases: low.into_iter().chain(high).collect(),
            waterfalls,
            dips,
            faults,
            levels,
            devices,
            selectivity,
            failures,
        })
    }

    /// Lowest voltage of a load over all cases in which it is on, and the case; none when it cannot be fed in one of them.
    #[must_use]
    pub fn lowest_voltage(&self, load: usize) -> Option<(Voltage, &str)> {
        let unfed = self.cases.iter().any(|c| c.unfed.contains(&load));
        let lowest = self.waterfalls.iter().find(|w| w.load == load).filter(|_| !unfed)?;
        Some((lowest.at_load, &lowest.case))
    }

    /// Lowest voltage of a node over all cases at the low corner, and the case.
    #[must_use]
    pub fn lowest_at(&self, node: usize) -> Option<(Voltage, &str)> {
        let all = self.cases.iter().filter_map(|c| Some((c.volts[node]?, c.case.as_str())));
        all.min_by(|a, b| a.0.si().total_cmp(&b.0.si()))
    }

    /// A node by its address.
    #[must_use]
    pub fn node(&self, id: &str) -> Option<usize> {
        self.nodes.iter().position(|n| n.id == id)
    }

    /// The fault level of a node.
    #[must_use]
    pub fn level(&self, node: usize) -> Option<&FaultLevel> {
        self.levels.node(&self.nodes[node].id)
    }
}

/// Operating points at the low corner, with what they were made from: what the sizing loop verifies its promises on.
pub(crate) struct LowCases {
    nodes: Nodes,
    wires: Vec<Wire>,
    pub cases: Vec<CaseAnswer>,
}

impl LowCases {
    /// # Errors
    /// [`Error::Input`] for values that make no network.
    pub fn of(
        boat: &Boat,
        routes: &Routes,
        demand: &Demand,
        circuits: &[SizedCircuit],
    ) -> Result<Self, Error> {
        let nodes = Nodes::of(boat);
        let wires = Wire::all(boat, routes, circuits);
        let cases = operating::low(boat, demand, &nodes, &wires)?;
        Ok(Self { nodes, wires, cases })
    }

    /// The largest drop from the source to a load over the cases in which it is fed, in volts.
    pub fn drop(&self, load: usize) -> Option<f64> {
        let node = self.nodes.of_load[load]?;
        let mut root = node;
        while let Some(circuit) = self.nodes.list[root].circuit {
            root = self.nodes.ends[circuit].0;
        }
        let fed = self.cases.iter().filter(|c| c.feeds(load));
        fed.filter_map(|c| Some(c.volts[root]?.si() - c.volts[node]?.si())).reduce(f64::max)
    }
}

/// Fault currents through the devices of a sized boat, in the order of its circuits.
///
/// # Errors
/// [`Error::Input`] for values that make no network.
pub(crate) fn device_faults(
    boat: &Boat,
    routes: &Routes,
    demand: &Demand,
    circuits: &[SizedCircuit],
) -> Result<Vec<DeviceFault>, Error> {
    let (nodes, wires) = (Nodes::of(boat), Wire::all(boat, routes, circuits));
    Ok(fault_currents(boat, demand, &nodes, &wires)?.2)
}

/// Every chosen or given device of a sized boat against those upstream of it.
///
/// # Errors
/// [`Error::Input`] for values that make no network.
pub(crate) fn selectivity(
    boat: &Boat,
    routes: &Routes,
    demand: &Demand,
    circuits: &[SizedCircuit],
) -> Result<SelectivityMatrix, Error> {
    let (nodes, wires) = (Nodes::of(boat), Wire::all(boat, routes, circuits));
    build::faults(boat, &demand.tree, &nodes, &wires)?.selectivity(&placed(boat, circuits))
}

fn placed(boat: &Boat, circuits: &[SizedCircuit]) -> Vec<Placed> {
    let each = boat.circuits.iter().zip(circuits);
    each.filter_map(|(circuit, sized)| {
        let device = sized.device.clone()?;
        Some(Placed { id: branch_id(circuit), device, load: sized.design_current })
    })
    .collect()
}

fn fault_currents(
    boat: &Boat,
    demand: &Demand,
    nodes: &Nodes,
    wires: &[Wire],
) -> Result<(Network, FaultLevels, Vec<DeviceFault>), Error> {
    let network = build::faults(boat, &demand.tree, nodes, wires)?;
    let levels = network.fault_levels();
    let devices = through::devices(boat, nodes, wires, &levels);
    Ok((network, levels, devices))
}
