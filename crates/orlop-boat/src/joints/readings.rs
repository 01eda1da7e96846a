//! Readings of the boat file as drops across pieces of circuits.

use crate::design::Design;
use crate::found::{self, HALF_WIDTH, Item, Leg, LegPart, Reading};
use crate::network::Section;
use orlop_units::{Current, Fraction, Quantity, Voltage, volts};

/// Standard uncertainty of a reading that states none, in volts.
pub(super) const METER: f64 = found::METER / HALF_WIDTH;
/// Standard uncertainty of a current from a clamp meter, as a share: 2 % at 95 %, common practice.
pub(super) const CURRENT: Fraction = Fraction::new(0.01);

/// A reading with what lay between its probes.
pub(super) struct Through {
    /// The reading.
    pub id: String,
    /// Circuits, legs, and their parts; no parts means all.
    pub of: Vec<(usize, Leg, Vec<LegPart>)>,
    pub current: Current,
    pub drop: Voltage,
    pub standard: Voltage,
}

impl Through {
    pub fn takes_in(&self, circuit: usize, section: &Section) -> bool {
        self.of.iter().any(|(c, leg, parts)| {
            *c == circuit
                && (*leg == Leg::Both || *leg == section.leg)
                && (parts.is_empty() || parts.contains(&section.part))
        })
    }
}

/// Every reading that says something of pieces, in the order of the file.
pub(super) fn all(design: &Design) -> Vec<Through> {
    design.boat.found.iter().filter_map(|r| through(design, r)).collect()
}

fn through(design: &Design, r: &Reading) -> Option<Through> {
    let drop: Voltage = r.value.as_ref()?.get()?;
    let place = |id: &str| design.boat.circuits.iter().position(|c| c.id == id);
    let of = match (r.item, r.at.split_once('.')?) {
        (Item::Drop, ("circuit", id)) => vec![(place(id)?, r.leg, r.parts.clone())],
        (Item::Joint, ("circuit", id)) if !r.parts.is_empty() => vec![(place(id)?, r.leg, r.parts.clone())],
        // From the terminal of the source, with nothing else on: its own current flows all the way. A drop without a leg is read wherever the
        // source is at hand, and says nothing of pieces.
        (Item::Drop, ("load", id)) if r.leg != Leg::Both => {
            let circuit = &design.demand.load(id)?.circuit;
            let way = design.demand.tree.path_to_root(circuit);
            way.iter().filter_map(|c| Some((place(c)?, r.leg, Vec::new()))).collect()
        }
        _ => return None,
    };
    let current = r.current.filter(|i| i.si() > 0.0)?;
    let meter = r.uncertainty.map_or(METER, |half| half / HALF_WIDTH).max(1e-6);
    let standard = volts(meter.hypot(CURRENT.value() * drop.si()));
    Some(Through { id: r.id.clone(), of, current, drop, standard })
}

/// Whether a reading names the switch of a circuit.
pub(super) fn names_switch(design: &Design, circuit: usize) -> bool {
    let id = &design.boat.circuits[circuit].id;
    let here = |r: &Reading| r.at.strip_prefix("circuit.") == Some(id) && r.parts.contains(&LegPart::Switch);
    design.boat.found.iter().any(here)
}
