//! What a deficiency may lead to, and what puts it right: one sentence each, for reports that stand alone.
//!
//! A correction says what must be true afterwards, and leaves to whoever does the work how.

/// Risk and correction of one rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wording {
    /// The rule.
    pub rule: &'static str,
    /// What may come of it.
    pub risk: &'static str,
    /// What must be true afterwards.
    pub correction: &'static str,
}

macro_rules! words {
    ($($rule:literal, $risk:literal, $correction:literal;)*) => {
        /// One for each rule.
        pub const WORDING: &[Wording] = &[$(Wording { rule: $rule, risk: $risk, correction: $correction }),*];
    };
}
words! {
    "heat-table", "The conductor overheats in ordinary use and may set fire to what touches it.", "Every conductor carries no more than its ampacity, with the factors of its place.";
    "heat-balance", "The insulation ages quickly and may soften until conductors touch.", "The conductor settles below the rating of its insulation at its full current.";
    "minimum-area", "A thin conductor breaks from vibration and handling.", "The conductor is no smaller than the rule set's minimum.";
    "device-exists", "A short circuit would burn the conductor.", "A device protects the conductor, carries the load and breaks the fault current.";
    "device-carries", "The device opens in ordinary use, and what it feeds goes dark.", "The rating of the device leaves room over the continuous current.";
    "device-protects", "An overload heats the conductor beyond its insulation before the device opens: fire.", "The rating of the device is within what the conductor and all behind it bear.";
    "device-voltage", "The device may not put out its own arc.", "The device is rated for the highest direct voltage.";
    "device-breaking", "The device may burst when it should break a short circuit.", "The breaking capacity of the device is above the largest fault current at its place.";
    "device-clears", "A short circuit at the far end keeps flowing.", "A fault at the far end opens the device within 5 s.";
    "device-withstand", "The conductor is damaged before the device opens.", "The device opens while the conductor still bears the fault current.";
    "device-let-through", "A large fault may damage the conductor though the device opens.", "What the device lets through is within what the conductor bears.";
    "device-holds", "The device opens when the load starts.", "The device holds every start and short peak.";
    "device-stall", "A motor that cannot turn burns out, with nobody near.", "A motor that cannot turn is switched off within the time it bears.";
    "device-window", "No device both holds the start and clears the fault.", "A device both holds the starts of the circuit and clears its least fault.";
    "device-selective", "A fault on one circuit darkens others.", "A fault opens the device next to it and none before.";
    "device-distance", "A short circuit before the device is fed without limit.", "The device stands within the permitted length of conductor from its source.";
    "device-ignition", "A spark may light petrol or gas vapour: explosion.", "What can spark where vapour collects is declared ignition protected.";
    "charging-end", "A fault near the charging source is fed from it without protection.", "Every end that a source can feed is protected.";
    "drop-physical", "The load works badly or not at all when the bank is low.", "The drop from source to load is within its limit at the load's full current.";
    "drop-rule", "The load may work badly when the bank is low.", "The drop by the rule set's formula is within its limit.";
    "load-voltage", "The load stops when the bank is low.", "The load gets its lowest voltage with the bank at its lowest.";
    "brown-out", "The load drops out while another starts.", "The load keeps its lowest voltage while any other starts.";
    "second-source", "One failure leaves both supplies of one thing dark.", "No single failure leaves both supplies dark.";
    "converter-rating", "The converter shuts down or fails.", "The converter is rated for what its circuits draw together.";
    "converter-input", "The converter shuts down when the bank is low.", "The converter gets its lowest input voltage at all times.";
    "panel-rating", "The bus or main switch overheats.", "The panel carries the whole current of its feeder.";
    "conduit-fill", "Cables are damaged when drawn in, and cool badly.", "The cables fit the conduit with room to spare.";
    "support", "Cables chafe and pull at their terminals.", "Cables are supported no further apart than permitted.";
    "negative-paths", "Starter current may flow through straps and thin negatives: overheating, corrosion.", "Just one way leads from negative to each engine.";
    "one-bond", "Currents flow through metal under water: corrosion; or a fault finds no way back.", "Negative meets engine, hull and bonding at one place.";
    "missing-bond", "A fault to this metal leaves it live.", "The metal hangs on the one negative and bonding system.";
    "shunt-bypass", "The battery monitor counts wrongly.", "Every negative passes the shunt, but for what is listed.";
    "bank-computed", "What was not worked out may hide a deficiency of the bank.", "What the bank is made of is stated, so that it can be worked out.";
    "bank-resistance", "A fault may drive less, or more, than devices were chosen for.", "Devices are chosen for the resistance that was measured, or for the worst that the cells permit.";
    "bank-capacity", "The bank is empty sooner than its label says.", "The stated capacity is no more than what its cells give.";
    "cell-outlier", "One weak cell limits or ages the whole bank.", "Every cell in use is like the others, or set where it does no harm.";
    "cell-arrival-voltage", "A cell that arrives deeply discharged may be damaged inside.", "Every cell in use arrived at a voltage that its maker permits.";
    "cell-charge-temperature", "Charging a cell that is too cold or too warm damages it for good, and may end in fire.", "Charging stops outside the temperatures that the cells permit.";
    "cell-discharge-temperature", "Cells used outside their temperatures age quickly or fail.", "The bank is used within the temperatures that its cells permit.";
    "cell-charge-rate", "Cells charged too fast heat, age and may be damaged.", "Charging sources together give no more than the cells permit.";
    "cell-discharge-rate", "Cells discharged too fast heat and age.", "Loads together draw no more than the cells permit.";
    "manager-continuous", "The manager overheats or opens in ordinary use, and the boat goes dark.", "The manager carries the continuous current with one string lost.";
    "manager-peak", "The manager opens when the largest load starts, and the boat goes dark.", "The manager carries the peaks of starts and stalls.";
    "manager-redundancy", "One manager that opens leaves the whole boat dark.", "Essential loads stay on when one manager opens.";
    "contactor-breaking", "A switch that opens on a fault it cannot break burns, or welds shut: the bank cannot be taken off.", "A fault is cleared by the fuse before the switch opens, or the switch breaks it.";
    "switch-temperature", "The switch overheats with one string lost, and fails shut or opens.", "The switch of each manager stays below its limit with one string lost.";
    "pre-charge-filled", "Closing onto an empty capacitor welds contacts or opens the manager.", "Capacitors are filled before the main contact closes.";
    "pre-charge-short", "The pre-charge resistor burns when it feeds a short.", "The pre-charge resistor bears a short for as long as it may last.";
    "threshold-order", "A cut-off acts before what should have prevented it, and the boat goes dark or a cell is harmed.", "Chargers, alarms and cut-offs act in their order, each with room to the next.";
    "threshold-present", "Nothing warns or acts before the last guard.", "Every threshold of the ladder is set and stated.";
    "alarm-lead-time", "The crew has no time to act between alarm and cut-off.", "The alarm comes early enough for the crew to act.";
    "forbidden-share", "Straps and thin negatives overheat, metal under water corrodes.", "Straps, bonds and thin negatives are free of starter and return current.";
    "found-drop", "The load works badly or not at all when the bank is low; the volts that are missing may heat a joint.", "The drop at the load's full current is within its limit.";
    "found-voltage", "The equipment stops, or the bank is harmed.", "The voltage is at least the lowest permitted.";
    "found-rest-difference", "One battery is discharged deeper than its neighbour and fails early; the other is overcharged.", "Batteries in series carry the same loads and rest at the same voltage.";
    "joint-heat", "The joint heats, ages by its own heat, and may set fire to what touches it.", "The joint stays cool at its full current: below 5 W and 30 K.";
    "section-resistance", "A bad joint or a damaged conductor heats, ages by its own heat, and may set fire to what touches it.", "Each segment and joint has no more resistance than a sound one, read at its full current.";
    "found-current", "The conductor overheats in use and may set fire to what touches it.", "The current stays within the conductor's ampacity.";
    "found-stray-current", "Return current in bonding overheats thin conductors and corrodes metal under water.", "Bonding conductors carry no current in ordinary use.";
    "found-temperature", "Insulation ages quickly at this temperature, and conductors carry less than was assumed.", "The temperature stays within what conductors and ratings were chosen for.";
    "resting-drain", "The bank goes flat with nobody aboard.", "With everything off the bank gives no more than what is meant to run.";
    "hull-leakage", "Leakage corrodes metal under water and hides a first fault.", "Both poles are insulated from hull and bonding as asked for.";
    "found-no-device", "A short circuit on this conductor is fed without limit: fire.", "An overcurrent device protects the conductor at this end, as near to the source as permitted.";
    "found-device-rating", "An overload heats the conductor beyond its insulation before the device opens: fire.", "The rating of the device is within what the conductor and all behind it bear.";
    "found-support", "Cables chafe and pull at their terminals.", "Cables are supported no further apart than permitted.";
    "found-movement", "A battery that moves breaks its terminals or shorts on what is near.", "The battery moves no further than permitted when it is pulled.";
    "found-lugs", "Lugs far up a stud work loose and heat; those below are forgotten.", "No post carries more lugs than permitted.";
    "found-twist-on", "The connector works loose from vibration and corrodes.", "Conductors are joined by connectors made for vibration and damp.";
    "found-labels", "The wrong circuit is switched off in an emergency, and faults take long to find.", "Every circuit is marked at both ends, and a drawing of the system is on board.";
}

/// The words of one rule.
#[must_use]
pub fn wording(rule: &str) -> Option<&'static Wording> {
    WORDING.iter().find(|w| w.rule == rule)
}

#[cfg(test)]
mod tests {
    use crate::check::RULES;

    #[test]
    fn every_rule_has_its_words_and_no_other() {
        let rules: Vec<&str> = RULES.iter().map(|r| r.id).collect();
        let words: Vec<&str> = super::WORDING.iter().map(|w| w.rule).collect();
        assert_eq!(rules, words);
    }

    #[test]
    fn every_item_is_judged_by_a_rule_that_there_is() {
        for item in crate::found::ITEMS.iter().filter(|i| !i.rule.is_empty()) {
            assert!(RULES.iter().any(|r| r.id == item.rule), "{}", item.word);
        }
    }
}
