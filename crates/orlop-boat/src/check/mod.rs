//! Rules that need the whole boat, one file each. Passes are kept as well as failures.

mod bank;
mod brown_out;
mod charging_end;
mod conduit;
mod converter;
pub mod found;
pub mod ground;
mod ignition;
mod load_drop;
mod load_voltage;
mod panel;
mod placement;
mod second_source;
mod selective;
mod stall;
mod support;
mod window;
mod wording;

pub use wording::{Wording, wording};

use crate::design::Design;
use orlop::{Judgement, Severity, Verdict};

/// What a rule is, for lists and papers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct RuleInfo {
    /// Its id.
    pub id: &'static str,
    /// Its severity when it fails.
    pub severity: &'static str,
    /// What it asks, in one sentence.
    pub asks: &'static str,
}

macro_rules! rules {
    ($($id:literal, $severity:literal, $asks:literal;)*) => {
        /// Every rule that [`all`] applies, those of single circuits included.
        pub const RULES: &[RuleInfo] = &[$(RuleInfo { id: $id, severity: $severity, asks: $asks }),*];
    };
}
rules! {
    "heat-table", "A", "Is the design current within the rule set's ampacity, with its factors?";
    "heat-balance", "A", "Does the conductor settle below the rating of its insulation?";
    "minimum-area", "B", "Is the conductor at least the rule set's mechanical minimum?";
    "device-exists", "A", "Is there a device that carries the load, protects the conductor and breaks the fault?";
    "device-carries", "B", "Is the device, derated to its ambient, at least 1.25 times the continuous current?";
    "device-protects", "A", "Is the device within what conductor, bus, switch and load allow?";
    "device-voltage", "A", "Is the device rated for the highest direct voltage?";
    "device-breaking", "A", "Can the device interrupt the largest fault current?";
    "device-clears", "A", "Does the device open within 5 s on a fault at the far end?";
    "device-withstand", "A", "Does it open before the conductor is damaged?";
    "device-let-through", "C", "Does the conductor bear what the device lets through at the largest fault current?";
    "device-holds", "B", "Does the device hold starts, short peaks and brief stalls?";
    "device-stall", "A", "Is a motor that cannot turn switched off before it burns? (B where someone is near)";
    "device-window", "B", "Is there room for a device between the starts it must hold and the least fault current?";
    "device-selective", "C", "Does a fault open the device next to it, and none before?";
    "device-distance", "A", "Is the device near enough to its source, measured along the wire?";
    "device-ignition", "A", "Is what can spark in petrol or gas vapour declared ignition protected?";
    "charging-end", "A", "Has every end that a source can feed a device of its own?";
    "drop-physical", "B", "Is the drop from the source to the load within its limit, by physics?";
    "drop-rule", "B", "Is it within its limit by the rule set's formula?";
    "load-voltage", "B", "Does the load get its lowest voltage when the source is at its lowest?";
    "brown-out", "B", "Does the load keep its lowest voltage while another starts, stalls or peaks?";
    "second-source", "B", "Does no single failure leave both supplies of one thing dark?";
    "converter-rating", "B", "Does the converter deliver what its circuits draw?";
    "converter-input", "B", "Does the converter get its lowest input voltage?";
    "panel-rating", "A", "Does the panel carry the current of its feeder?";
    "conduit-fill", "C", "Do the cables fit the conduit?";
    "support", "C", "Is the cable supported often enough?";
    "negative-paths", "B", "Does just one way lead from negative to each engine, with no loop anywhere?";
    "one-bond", "B", "Is each negative system bonded to engine, hull and bonding at one place?";
    "missing-bond", "B", "Does all that must hang on the one negative and bonding system do so?";
    "shunt-bypass", "B", "Does every negative pass the shunt, except what is listed?";
    "bank-computed", "B", "Could all about the bank be worked out from its cells?";
    "bank-resistance", "B", "Is the stated resistance of a string no safer than what its cells give?";
    "bank-capacity", "B", "Do the delivered cells, as they are tied, hold what is counted on?";
    "cell-outlier", "C", "Is each cell in use like its fellows? (B where it loses charge by itself)";
    "cell-arrival-voltage", "A", "Did each cell arrive above the end of its discharge?";
    "cell-charge-temperature", "A", "May the cells be charged from their coldest to their warmest? (C where sources differ)";
    "cell-discharge-temperature", "B", "May they be discharged there? (C where sources differ)";
    "cell-charge-rate", "B", "Do the cells bear all chargers together? (C where sources differ)";
    "cell-discharge-rate", "B", "Do the cells bear the loads, also with one string lost? (C where sources differ)";
    "manager-continuous", "B", "Does each manager carry 1.25 times its part, also with one string lost?";
    "manager-peak", "B", "Does each manager carry starts and stalls, also with one string lost?";
    "manager-redundancy", "C", "Does the bank live on when one manager opens?";
    "contactor-breaking", "A", "Has the fuse cleared a fault before the switch of a manager opens, or does the switch break it?";
    "switch-temperature", "B", "Does the switch of each manager stay below its limit, also with one string lost?";
    "pre-charge-filled", "B", "Do the capacitors of the loads fill before the switch closes?";
    "pre-charge-short", "B", "Does the resistor survive a shorted bus?";
    "threshold-order", "A", "Do targets, alarms, stops, cut-offs and limits act in this order? (B, C further from the limits)";
    "threshold-present", "A", "Is there a cut-off, an alarm, a stop on either side? (B, C further from the limits)";
    "alarm-lead-time", "B", "Is there time to act between the alarm and the cut-off?";
    "forbidden-share", "B", "Are straps, bonds and thin negatives free of starter and return current?";
    "found-drop", "B", "Is the drop that was read within its limit?";
    "found-voltage", "B", "Is the voltage that was read at least the lowest?";
    "found-rest-difference", "B", "Do batteries in series rest at the same voltage?";
    "joint-heat", "A", "Do the joints that were measured stay cool at full current? (B and C where the heat is less)";
    "section-resistance", "A", "Is no segment or joint that drops were read over worse than a sound one? (B and C where the heat is less)";
    "found-current", "A", "Is the current that was read within the conductor's ampacity?";
    "found-stray-current", "B", "Is bonding free of current?";
    "found-temperature", "A", "Is the temperature that was read within what was assumed?";
    "resting-drain", "B", "Does the boat draw at rest no more than what is meant to run?";
    "hull-leakage", "B", "Is each pole insulated from hull and bonding?";
    "found-no-device", "A", "Is there a device wherever a source can feed a conductor?";
    "found-device-rating", "A", "Is the fuse or breaker that was seen within what conductor, bus, switch and load allow?";
    "found-support", "C", "Is the cable that was looked at supported often enough?";
    "found-movement", "B", "Is the battery held when it is pulled?";
    "found-lugs", "B", "Are there no more lugs on a post than permitted?";
    "found-twist-on", "B", "Are there no twist-on connectors?";
    "found-labels", "C", "Are circuits marked at both ends?";
}

/// Applies every rule; worst first.
pub(crate) fn all(design: &Design, of_circuits: Vec<Judgement>) -> Vec<Judgement> {
    let mut judgements = of_circuits;
    for rule in [
        load_drop::judge,
        load_voltage::judge,
        brown_out::judge,
        second_source::judge,
        selective::judge,
        stall::judge,
        window::judge,
        panel::judge,
        converter::judge,
        placement::judge,
        charging_end::judge,
        ignition::judge,
        conduit::judge,
        support::judge,
        ground::judge,
        bank::judge,
        found::judge,
        crate::joints::judge,
    ] {
        judgements.extend(rule(design));
    }
    let bare: Vec<&str> = found::without_device(design).collect();
    judgements.retain(|j| !(j.rule.starts_with("device-") && bare.contains(&j.subject.as_str())));
    judgements.sort_by(|a, b| {
        order(a).cmp(&order(b)).then_with(|| a.rule.cmp(b.rule)).then_with(|| a.subject.cmp(&b.subject))
    });
    judgements
}

/// Failures before what is undecided, not tested, passed; A before B before C.
fn order(j: &Judgement) -> (u8, Severity) {
    let verdict = match j.verdict {
        Verdict::Fail => 0,
        Verdict::Undecided => 1,
        Verdict::NotTested => 2,
        Verdict::Pass => 3,
        Verdict::NotApplicable => 4,
    };
    (verdict, j.severity)
}
