//! `device-distance`: how far along the wire the device stands from its source.

use crate::design::Design;
use crate::model::{Circuit, Feeds};
use orlop::protection::placement;
use orlop::rules::SourceOfPower;
use orlop::{Judgement, Severity, Verdict};

pub(super) fn judge(design: &Design) -> Vec<Judgement> {
    design.boat.circuits.iter().map(|circuit| one(design, circuit)).collect()
}

fn one(design: &Design, circuit: &Circuit) -> Judgement {
    let boat = &design.boat;
    let subject = format!("circuit.{}", circuit.id);
    if circuit.cranking {
        return Judgement::bare("device-distance", subject, Severity::A, Verdict::NotApplicable)
            .what("the conductors of a starter motor are exempt from overcurrent protection");
    }
    let (source, kind) = match boat.bank(&circuit.from) {
        Some(bank) => (format!("post of bank {}", bank.name), SourceOfPower::Battery),
        None => (format!("bus of {}", circuit.from), SourceOfPower::Other),
    };
    // A device on the panel itself stands at its source.
    let on_panel = boat.panel(&circuit.from).is_some() && !matches!(circuit.feeds, Feeds::Source(_));
    let distance = circuit.device_distance.or_else(|| on_panel.then(|| orlop_units::metres(0.0)));
    let limit = boat.rules.unprotected_length(kind, circuit.device_enclosed);
    placement::judge(&subject, &source, distance, limit.value, &limit.clause, limit.confidence)
}
