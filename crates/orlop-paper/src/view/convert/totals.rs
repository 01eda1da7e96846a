//! What the circuits add up to.

use crate::pretty;
use crate::view::{DeviceTotal, WireTotal};
use orlop_boat::Design;
use orlop_units::{Quantity, kilograms, metres};

/// Conductor by size: both legs, every run.
pub(super) fn wires(design: &Design) -> Vec<WireTotal> {
    struct Sum {
        area: f64,
        wire: String,
        metres: f64,
        circuits: usize,
        kilograms: f64,
    }
    let mut sums: Vec<Sum> = Vec::new();
    for sized in &design.circuits {
        let runs = design.boat.circuit(&sized.id).map_or(1, |c| c.runs);
        let wire = pretty::size(sized.conductor.size());
        let long = 2.0 * sized.one_way.0.si() * f64::from(runs);
        let mass = sized.mass.si();
        match sums.iter_mut().find(|s| s.wire == wire) {
            Some(sum) => {
                sum.metres += long;
                sum.circuits += 1;
                sum.kilograms += mass;
            }
            None => {
                let area = sized.conductor.area().si();
                sums.push(Sum { area, wire, metres: long, circuits: 1, kilograms: mass });
            }
        }
    }
    sums.sort_by(|a, b| a.area.total_cmp(&b.area).then_with(|| a.wire.cmp(&b.wire)));
    sums.into_iter()
        .map(|s| WireTotal {
            wire: s.wire,
            piece: pretty::show(metres(s.metres)),
            circuits: s.circuits,
            mass: pretty::show(kilograms(s.kilograms)),
        })
        .collect()
}

/// Devices by family and rating, one for each run.
pub(super) fn devices(design: &Design) -> Vec<DeviceTotal> {
    let mut sums: Vec<(&str, f64, DeviceTotal)> = Vec::new();
    for sized in &design.circuits {
        let Some(device) = &sized.device else { continue };
        let count = design.boat.circuit(&sized.id).map_or(1, |c| c.runs) as usize;
        let name = format!("{} {}", pretty::show(device.rating()), device.family().name);
        match sums.iter_mut().find(|(_, _, total)| total.device == name) {
            Some((_, _, total)) => total.count += count,
            None => {
                let total = DeviceTotal { device: name, count };
                sums.push((&device.family().id, device.rating().si(), total));
            }
        }
    }
    sums.sort_by(|a, b| a.0.cmp(b.0).then(a.1.total_cmp(&b.1)));
    sums.into_iter().map(|(_, _, total)| total).collect()
}
