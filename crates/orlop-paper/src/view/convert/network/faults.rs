//! Fault currents at places and through devices.

use super::{circuit, circuits, device, kind, node, words};
use crate::pretty;
use crate::view::{DeviceFault, Faults, NodeFault};
use orlop::{Sense, meets};
use orlop_boat::Design;
use orlop_boat::model::Boat;
use orlop_units::{Quantity, amperes};

const LIMITED: &str = "only sources that limit their own current feed it: a device must open on that limit";

/// A pulse below this share of the most is not worth a number.
const PULSE: f64 = 0.01;

pub(super) fn faults(design: &Design) -> Faults {
    let mut notes = Vec::new();
    Faults { nodes: nodes(design, &mut notes), devices: devices(design, &mut notes), notes }
}

/// What a reader must know of one row.
fn remarks(boat: &Boat, open: &[String], limited: bool, flags: &[String]) -> Vec<String> {
    let mut out = Vec::new();
    if !open.is_empty() {
        let names: Vec<String> = open.iter().map(|id| source(boat, id)).collect();
        out.push(format!("least current with these open or off: {}", names.join(", ")));
    }
    out.extend(limited.then(|| LIMITED.to_string()));
    out.extend(flags.iter().cloned());
    out
}

/// A source of the fault network by name: `bank.B.2` is the second string of B.
fn source(boat: &Boat, id: &str) -> String {
    let mut parts = id.splitn(3, '.');
    let (section, own, string) = (parts.next(), parts.next().unwrap_or(id), parts.next());
    match (section, string) {
        (Some("bank"), Some(string)) => format!("string {string} of {}", words::node_name(boat, own)),
        _ => words::node_name(boat, own).to_string(),
    }
}

fn nodes(design: &Design, notes: &mut Vec<String>) -> Vec<NodeFault> {
    let network = &design.network;
    let all = network.nodes.iter().enumerate().filter_map(|(at, n)| Some((n, network.level(at)?)));
    all.map(|(n, level)| {
        let (id, name) = node(&design.boat, &n.id);
        let told = remarks(&design.boat, &level.open, level.limited, &level.flags);
        NodeFault {
            kind: kind(n, &name),
            id,
            name,
            low: pretty::known(level.total.low()),
            high: pretty::known(level.total.high()),
            pulse: level
                .pulse
                .filter(|p| *p > level.total.high().map_or(*p * 0.0, |h| h * PULSE))
                .map(pretty::show),
            notes: circuits::numbers(&told, notes),
        }
    })
    .collect()
}

fn devices(design: &Design, notes: &mut Vec<String>) -> Vec<DeviceFault> {
    let rows = design.network.devices.iter().zip(&design.circuits);
    rows.map(|(fault, sized)| {
        let (id, name) = circuit(&design.boat, &fault.circuit);
        // A breaking capacity that no one states counts as none.
        let can = sized.device.as_ref().map(|d| d.breaking_capacity().unwrap_or_else(|| amperes(0.0)));
        let must = fault.through.high();
        let told = remarks(&design.boat, &fault.open, fault.limited, &fault.flags);
        DeviceFault {
            id,
            name,
            device: device(design, &fault.circuit),
            missing: sized.device.is_none() && !sized.device_problems.is_empty(),
            opens_on: pretty::known(fault.through.low()),
            breaks: pretty::known(must),
            back: fault.back.map(pretty::show),
            capacity: match can {
                None => String::new(),
                Some(none) if none.si() <= 0.0 => "none stated".into(),
                Some(can) => pretty::show(can),
            },
            enough: must.zip(can).map(|(m, c)| meets(m.si(), Sense::AtMost, c.si())),
            notes: circuits::numbers(&told, notes),
        }
    })
    .collect()
}
