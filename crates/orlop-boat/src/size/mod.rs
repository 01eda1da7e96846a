//! From currents and lengths to conductors and devices.
//!
//! The *envelope* asks one question per circuit that does not depend on any size chosen: each load at the highest
//! current of its voltage window, the source at both ends. [`split`] shares each load's permitted drop along its path,
//! [`settle`] is the one loop: a promise that fails raises a floor; floors never fall, so it ends.

mod envelope;
mod settle;
mod split;

pub(crate) use envelope::{Envelope, device_space};
pub(crate) use settle::settle;

use crate::design::{Design, LoadResult};
use crate::model::{Boat, Feeds};
use crate::{check, demand, route};
use orlop::Error;
use orlop_units::{Voltage, volts};
use std::sync::Arc;

/// Sizes every conductor and device of a boat, and judges the result.
///
/// # Errors
/// Only for a boat that cannot be measured at all, such as a place that no trunk reaches. A circuit without a solution is
/// a finding on that circuit.
pub fn size(boat: &Boat) -> Result<Design, Error> {
    let demand = demand::work_out(boat);
    let routes = route::measure_with(boat, &demand)?;
    let (circuits, loads, own, rounds) = {
        let envelope = Envelope::of(boat, &routes, &demand)?;
        let settled = settle(&envelope)?;
        let loads: Vec<LoadResult> =
            envelope.loads.iter().map(|path| settled.load(&envelope, path)).collect();
        (settled.circuits(&envelope), loads, settled.own_judgements(&envelope), settled.rounds)
    };
    let boat = Arc::new(boat.clone());
    let mut design = Design { boat, routes, demand, circuits, loads, judgements: Vec::new(), rounds };
    design.judgements = check::all(&design, own);
    Ok(design)
}

/// Voltage at the far end of a circuit with the source at its lowest, everything in it at its design current.
pub(crate) fn lowest_voltage_at_end(design: &Design, circuit: &str) -> Voltage {
    let mut lost = volts(0.0);
    let mut next = Some(circuit.to_string());
    let mut root = String::new();
    while let Some(sized) = next.as_deref().and_then(|id| design.circuit(id)) {
        lost += sized.drop;
        root = design.boat.circuit(&sized.id).map_or_else(String::new, |c| c.from.clone());
        next = design
            .boat
            .circuits
            .iter()
            .find(|c| matches!(&c.feeds, Feeds::Panel(panel) if *panel == root))
            .map(|c| c.id.clone());
    }
    let lowest = design.boat.bank(&root).map_or(design.boat.nominal, |b| b.lowest);
    lowest - lost
}
