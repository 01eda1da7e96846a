//! The safety cautions of each stage, in our own words, short enough for a printed margin.

/// The caution that stands on every paper.
pub const ALWAYS: &str = "This is a calculation from the data you gave. It does not replace the rules that apply to \
your boat, the makers' instructions, or a competent person's inspection. Mains (shore, inverter output, generator) is \
for qualified people.";

/// One stage of the job with its caution.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Caution {
    /// A short name of the stage.
    pub stage: &'static str,
    /// What the stage is, for a heading.
    pub title: &'static str,
    /// What to keep in mind.
    pub text: &'static str,
}

const fn caution(stage: &'static str, title: &'static str, text: &'static str) -> Caution {
    Caution { stage, title, text }
}

/// All stages, in the order of the job.
pub const STAGES: &[Caution] = &[
    caution(
        "survey",
        "Looking at what is there",
        "A battery cannot be switched off. Take off rings and watch. Stop all sources (shore, inverter, solar, alternator), then prove dead with a tested meter. Expect a second feed. Petrol or gas smell: leave, ventilate, no switching.",
    ),
    caution(
        "loads",
        "Loads",
        "A guessed load can undersize a wire or a fuse. Guesses stay marked until measured.",
    ),
    caution(
        "energy",
        "Energy budget",
        "Do not plan pumps, lights and radio on the average day. Keep a reserve and an independent radio and light.",
    ),
    caution(
        "bank",
        "Battery bank",
        "Chemistry, place and installer may be conditions of your insurance and of the licence of a hire or coded boat. Ask before buying.",
    ),
    caution(
        "topology",
        "Battery topology",
        "Pairs-first is one battery. If one part opens, everything goes dark unless there is a second source. Never close two strings together at different voltage or unknown charge.",
    ),
    caution(
        "battery-management",
        "Battery management",
        "The BMS is the last guard, not the daily control: chargers must stop first. Never bypass it, not even for a test. An alarm must come before the cut-off. Fit an off switch that works without the BMS's consent.",
    ),
    caution(
        "cells",
        "Cells",
        "Insulate tools, cover every post you are not touching, work on one cell at a time, never leave a charging bench alone, put back nothing that is swollen, wet, warm or below its safe voltage. Have an outdoor place for a bad cell.",
    ),
    caution(
        "box",
        "Battery box and links",
        "Short links carry thousands of amps through a dropped spanner. Check layer order and torque twice. The box must hold the cells when heeled, slammed or inverted, and let vented gas out of living space. No charging below the cell's limit temperature.",
    ),
    caution(
        "charging",
        "Charging",
        "Never disconnect a battery from a running alternator. Set every charger for this chemistry before it meets the bank. Watch alternator temperature in the first hours; hot engine spaces burn.",
    ),
    caution(
        "protection",
        "Main protection",
        "The first device belongs at the source. Its breaking capacity must exceed the largest current the bank can give at the real voltage. A blown main fuse is evidence: find the fault before replacing. Safety glasses when closing on a new bank.",
    ),
    caution(
        "distribution",
        "Panels and buses",
        "Circuits that stay live with the master off must say so at the master. Covers on all bars.",
    ),
    caution(
        "routing",
        "Cable routes",
        "Look behind before drilling: fuel, hull, hoses, live cable. No joint in a hidden run. Keep off hot, wet, moving.",
    ),
    caution(
        "sizing",
        "Cable sizes",
        "A size that satisfies voltage drop can still overheat in a bundle or engine space. If any input left the table's range, no size is given.",
    ),
    caution(
        "fuses",
        "Fuses and breakers",
        "Never a larger fuse to stop it blowing. Fuses and breakers have voltage limits; automotive 32 V parts are not for 48 V.",
    ),
    caution("negative", "Negative, bonding and hull", orlop::network::ground::CAUTION),
    caution(
        "console",
        "Navigation console",
        "Hinged panels hide live parts: cover, strain-relief, finger-safe. Check the compass after every change near it. Test distress radio on its second source.",
    ),
    caution(
        "drawings",
        "Drawings and labels",
        "A label on one end is half a label. A drawing that is not updated misleads the next person. Unmarked leads swapped on reconnection have burned boats.",
    ),
    caution(
        "changeover",
        "Changing over",
        "Afloat, pumps are never without supply. Old and new bank never meet. Stop only at marked points. Someone ashore knows you are working.",
    ),
    caution(
        "tests",
        "Tests",
        "Two people, extinguisher, hand on the disconnect. No abuse tests on cells: simulate sensors. Do not megger electronics. Capacity test leaves the boat with an empty bank: shore power and second source first.",
    ),
    caution(
        "use",
        "In use, and when something fails",
        "Heat, smell, hiss, swelling: alarm, people out, isolate, ventilate, call; do not recharge \"to see\". Re-torque. A slow trend is a reason to look, not to tweak thresholds.",
    ),
    caution(
        "surveyor",
        "For surveyors",
        "Say what was not opened. Do not disconnect the client's BMS or batteries. A finding without value, limit and clause is an observation.",
    ),
    caution(
        "teacher",
        "For teachers",
        "Bench at 12 V, 5 A fuse, no cells above 10 Ah, goggles, sand bucket; shorts only through the rig's resistor.",
    ),
];

/// The caution of one stage.
#[must_use]
pub fn of(stage: &str) -> Option<&'static Caution> {
    STAGES.iter().find(|c| c.stage == stage)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_stage_once_and_short() {
        assert_eq!(STAGES.len(), 22);
        for (at, c) in STAGES.iter().enumerate() {
            assert!(!c.text.is_empty() && c.text.len() < 400, "{}", c.stage);
            assert!(STAGES[..at].iter().all(|other| other.stage != c.stage), "{}", c.stage);
        }
        assert!(of("sizing").is_some() && of("nothing").is_none());
    }
}
