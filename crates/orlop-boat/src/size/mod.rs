//! From currents and lengths to conductors and devices.
//!
//! The *envelope* asks one question per circuit that does not depend on any size chosen: each load at the highest
//! current of its voltage window, the source at both ends. [`least`] chooses all conductors together for the least metal;
//! [`split`] shares each load's permitted drop along its path instead. [`settle`] is the one loop: a promise that fails raises
//! a floor; floors never fall, so it ends. [`verify`] asks the network of the whole boat whether every promise holds on it, and settles
//! again where one does not. [`saving`] compares the two methods.

mod envelope;
mod least;
mod saving;
mod settle;
mod split;
mod verify;

pub(crate) use envelope::{Envelope, device_space};
pub use saving::shadow_prices;
pub(crate) use settle::settle;

use crate::design::{Design, LoadResult, Method};
use crate::model::Boat;
use crate::network::BoatNetwork;
use crate::{bank, check, demand, route};
use orlop::Error;
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
    size_staged(boat, method, &mut |_| ())
}

/// [`size_by`], saying when each stage is done: for a progress line, or for a caller with a clock.
///
/// # Errors
/// As there.
pub fn size_staged(boat: &Boat, method: Method, done: &mut dyn FnMut(&'static str)) -> Result<Design, Error> {
    let demand = demand::work_out(boat);
    done("demand");
    let routes = route::measure_with(boat, &demand)?;
    done("routes");
    let envelope = Envelope::of(boat, &routes, &demand)?;
    let verify::Verified { told, settled, low, copper } =
        verify::both(&envelope, boat, &routes, &demand, method, done)?;
    let mut envelope = envelope;
    envelope.tell(&told);
    let settled = settled.judged()?;
    done("reasons and judgements of circuits");
    let circuits = settled.circuits(&envelope);
    let network = BoatNetwork::of(boat, &demand, &circuits, low)?;
    done("network, faults, selectivity, failures");
    let loads: Vec<LoadResult> =
        envelope.loads.iter().map(|path| settled.load(&envelope, path, &network, boat)).collect();
    let (own, rounds) = (settled.own_judgements(&envelope), settled.rounds);
    drop(envelope);
    let bank = bank::work_out(boat, &demand);
    done("banks");
    let boat = Arc::new(boat.clone());
    let mut design = Design {
        boat,
        routes,
        demand,
        bank,
        circuits,
        loads,
        network,
        judgements: Vec::new(),
        rounds,
        method,
        copper,
        told,
    };
    design.judgements = check::all(&design, own);
    done("judgements of the boat");
    Ok(design)
}
