//! Fault currents through the device of each circuit.

use super::build::Nodes;
use super::wire::Wire;
use crate::model::Boat;
use orlop::Range;
use orlop::network::fault::FaultLevels;
use orlop_units::{Current, Quantity, amperes};

/// What the device of a circuit must break, and what it must open on.
#[derive(Clone, Debug, PartialEq)]
pub struct DeviceFault {
    /// The circuit.
    pub circuit: String,
    /// Least current through the device of one run for a fault at the far end, its own resistance counted; most for a fault at
    /// either of its terminals, its own resistance left out.
    pub through: Range<Current>,
    /// What flows backward through it into a fault before it, at most.
    pub back: Option<Current>,
    /// Only sources that limit their own current feed a fault behind it.
    pub limited: bool,
    /// Sources that are open where least current flows.
    pub open: Vec<String>,
    /// What a reader must know.
    pub flags: Vec<String>,
}

pub(super) fn devices(boat: &Boat, nodes: &Nodes, wires: &[Wire], levels: &FaultLevels) -> Vec<DeviceFault> {
    let each = boat.circuits.iter().zip(&levels.through).zip(&nodes.ends).zip(wires);
    each.map(|(((circuit, through), (from, _)), wire)| {
        let start = levels.node(&nodes.list[*from].id);
        let low = match (through.forward.low(), start) {
            // Of a fault where several runs end, each carries its share: U/(n R_source + R_run).
            (Some(all), Some(level)) if wire.runs() > 1.0 && all.si() > 0.0 => {
                match (level.voltage.low(), level.resistance.high()) {
                    (Some(volts), Some(source)) if !level.limited => {
                        Some(volts / (source * wire.runs() + wire.hottest()))
                    }
                    _ => Some(all / wire.runs()),
                }
            }
            (known, _) => known,
        };
        let high = through.through.high();
        DeviceFault {
            circuit: circuit.id.clone(),
            through: Range::from_bounds(low, high),
            back: through.backward.high().filter(|b| *b > amperes(0.0)),
            limited: through.limited,
            open: through.open.clone(),
            flags: through.flags.clone(),
        }
    })
    .collect()
}
