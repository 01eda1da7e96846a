//! From currents and lengths to conductors and devices.
//!
//! The *envelope* asks one question per circuit that does not depend on any size chosen: each load at the highest
//! current of its voltage window, the source at both ends. [`least`] chooses all conductors together for the least metal;
//! [`split`] shares each load's permitted drop along its path instead. [`settle`] is the one loop: a promise that fails raises
//! a floor; floors never fall, so it ends. [`saving`] compares the two.

mod envelope;
mod least;
mod saving;
mod settle;
mod split;

pub(crate) use envelope::{Envelope, device_space};
pub use saving::shadow_prices;
pub(crate) use settle::settle;

use least::Candidates;
use settle::settle_among;

use crate::design::{Design, LoadResult, Method};
use crate::model::{Boat, Feeds};
use crate::{check, demand, route};
use orlop::Error;
use orlop_units::{Voltage, volts};
use std::sync::Arc;

/// Sizes every conductor and device of a boat, and judges the result: the least copper that keeps every promise.
///
/// # Errors
/// Only for a boat that cannot be measured at all, such as a place that no trunk reaches. A circuit without a solution is
/// a finding on that circuit.
pub fn size(boat: &Boat) -> Result<Design, Error> {
    size_by(boat, Method::default())
}

/// [`size`] by a method of choice.
///
/// # Errors
/// As there.
pub fn size_by(boat: &Boat, method: Method) -> Result<Design, Error> {
    let demand = demand::work_out(boat);
    let routes = route::measure_with(boat, &demand)?;
    let (circuits, loads, own, rounds, copper) = {
        let envelope = Envelope::of(boat, &routes, &demand)?;
        let candidates = Candidates::of(&envelope)?;
        let least = settle_among(&envelope, Some(&candidates))?;
        let split = settle_among(&envelope, None)?;
        let copper = saving::of(&envelope, &split, &least);
        let settled = if method == Method::Split { split } else { least };
        let loads: Vec<LoadResult> =
            envelope.loads.iter().map(|path| settled.load(&envelope, path)).collect();
        (settled.circuits(&envelope), loads, settled.own_judgements(&envelope), settled.rounds, copper)
    };
    let boat = Arc::new(boat.clone());
    let mut design =
        Design { boat, routes, demand, circuits, loads, judgements: Vec::new(), rounds, method, copper };
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
