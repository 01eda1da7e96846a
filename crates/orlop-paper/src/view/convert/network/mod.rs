//! The boat as one network, in words.

mod coordination;
mod copper;
mod dips;
mod failures;
mod faults;
mod volts;
mod waterfalls;

use super::{circuits, words};
use crate::view::Network;
use orlop_boat::Design;
use orlop_boat::model::Boat;
use orlop_boat::network::Node;

pub(super) fn network(design: &Design) -> Network {
    Network {
        places: volts::places(design),
        loads: volts::loads(design),
        waterfalls: waterfalls::waterfalls(design),
        dips: dips::dips(design),
        faults: faults::faults(design),
        coordination: coordination::coordination(design),
        failures: failures::failures(design),
        copper: copper::copper(design),
    }
}

/// Id and name of the circuit at an address or of an id.
fn circuit(boat: &Boat, id: &str) -> (String, String) {
    let id = id.strip_prefix("circuit.").unwrap_or(id);
    (id.to_string(), boat.circuit(id).map_or_else(String::new, |c| words::circuit_name(boat, c)))
}

/// Id and name of a node by its address.
fn node(boat: &Boat, address: &str) -> (String, String) {
    let (section, id) = address.split_once('.').unwrap_or(("", address));
    if section == "circuit" {
        return circuit(boat, id);
    }
    (id.to_string(), words::node_name(boat, id).to_string())
}

/// Id of a load, and its name where that says something else.
fn load(boat: &Boat, at: usize) -> (String, String) {
    let load = &boat.loads[at];
    let name = if load.name.eq_ignore_ascii_case(&load.id) { String::new() } else { load.name.clone() };
    (load.id.clone(), name)
}

/// What a node is, where its name does not say so.
fn kind(node: &Node, name: &str) -> &'static str {
    let word = node.kind.word();
    if name.to_lowercase().contains(word) { "" } else { word }
}

/// The device of a circuit in words.
fn device(design: &Design, id: &str) -> String {
    let id = id.strip_prefix("circuit.").unwrap_or(id);
    design.circuit(id).map_or_else(String::new, circuits::device)
}
