//! What choosing all conductors together saves.

use super::{circuit, words};
use crate::pretty;
use crate::view::{Copper, CopperRow};
use orlop_boat::{Design, Method};
use orlop_units::{Mass, Quantity, kilograms, volts};

/// More volts at loads, for shadow prices.
const MORE: f64 = 0.1;
/// Masses below this are nothing.
const NOTHING: f64 = 5e-4;
/// How many shadow prices are listed.
const PRICES: usize = 8;

/// Nothing for a boat without conductors.
pub(super) fn copper(design: &Design) -> Option<Copper> {
    let copper = &design.copper;
    if copper.circuits.is_empty() {
        return None;
    }
    let proof = match copper.gap {
        None => {
            "The loads cannot all be served together within their limits, so drops were shared out after all."
                .into()
        }
        Some(gap) if gap.si() <= NOTHING => {
            "Proven: with these currents and temperatures, and the drops that the network left to each way, no other choice among \
             the sizes weighs less."
                .into()
        }
        Some(gap) => format!("At most {} above the least there can be.", mass(gap)),
    };
    let used = match design.method {
        Method::LeastCopper => "This report is of conductors chosen together.",
        Method::Split => "This report is of drops shared out, as it was asked to be.",
    };
    let named = |id: &str| circuit(&design.boat, id);
    let runs = |id: &str| design.boat.circuit(id).map_or(1, |c| c.runs);
    let differ = copper.circuits.iter().filter(|c| c.split != c.least);
    let rows = differ.map(|c| {
        let (id, name) = named(&c.circuit);
        CopperRow {
            split: words::wire(c.split, runs(&id)),
            least: words::wire(c.least, runs(&id)),
            saved: mass(c.split_mass - c.least_mass),
            id,
            name,
        }
    });
    // Volts that are finite cannot be refused; a boat without prices has none to list.
    let mut prices = orlop_boat::shadow_prices(design, volts(MORE)).unwrap_or_default();
    prices.retain(|p| p.1.si() > NOTHING);
    prices.sort_by(|a, b| b.1.si().total_cmp(&a.1.si()));
    prices.truncate(PRICES);
    let prices = prices.into_iter().map(|(id, saves)| {
        let (id, name) = named(&id);
        (id, name, mass(saves))
    });
    Some(Copper {
        by_split: mass(copper.by_split),
        by_least: mass(copper.by_least),
        saved: mass(copper.by_split - copper.by_least),
        proof,
        used: used.into(),
        rows: rows.collect(),
        prices: prices.collect(),
    })
}

/// Whole grams are the least that is told.
fn mass(mass: Mass) -> String {
    if mass.si().abs() < NOTHING {
        pretty::show(kilograms(0.0))
    } else {
        pretty::show(mass).replace('-', "−")
    }
}
