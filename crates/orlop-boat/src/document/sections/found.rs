//! Fields of a survey and its readings.

use super::CURRENT;
use crate::document::fields::{
    Bound::{NotNegative, Positive},
    Field,
    What::{About, Choice, Count, Day, Quantity, Reading, Text, Words},
    may, must, or,
};
use orlop_units::Kind;

pub(super) const SURVEY: &[Field] = &[
    may("date", Day, "2026-11-25", "The day of the visit."),
    or("by", Text, "", "Who surveyed."),
    or("scope", Text, "", "What was to be looked at, and what not."),
    or("conditions", Text, "", "Afloat or ashore, weather, shore lead, how long the bank had rested."),
    or("instruments", Text, "", "Instruments, and when each was last checked."),
];

pub(super) const FOUND: &[Field] = &[
    or("name", Text, "", "Where exactly, in words: third stud, behind the panel."),
    must("at", About, "circuit.D1", "What it is about: section and id, or boat."),
    must("what", Choice(crate::found::WORDS), "joint", "What was looked at."),
    may("value", Reading, "0.32 V", "The reading, where there is one."),
    may(
        "uncertainty",
        Reading,
        "0.01 V",
        "Half the width of the interval that holds the true value with 95 %: from the instrument's sheet.",
    ),
    may(
        "repeat",
        Reading,
        "2 mV",
        "The part of the uncertainty that differs when the same instrument reads again; the rest is the instrument's own.",
    ),
    may("current", CURRENT, "168 A", "The current at which it was read."),
    may(
        "rise",
        Quantity(Kind::TemperatureRise, Positive),
        "38 K",
        "Rise of a joint over its cable at that current.",
    ),
    or(
        "leg",
        Choice(crate::found::Leg::WORDS),
        "both",
        "Leg that was read, for a drop or a joint; of a load from the source's terminal on, with nothing else switched on.",
    ),
    may(
        "parts",
        Words(crate::found::LegPart::WORDS),
        r#"["start", "device"]"#,
        "What of a circuit lay between the probes: start and end are its lugs; all of the leg without it.",
    ),
    may(
        "positive_to_hull",
        Quantity(Kind::Voltage, NotNegative),
        "2.83 V",
        "Volts from positive to the hull, with the resistor across ...",
    ),
    may(
        "negative_to_hull",
        Quantity(Kind::Voltage, NotNegative),
        "11.33 V",
        "... from the hull to negative, with it across ...",
    ),
    may("resistor", Quantity(Kind::Resistance, Positive), "100 kohm", "... and the resistor, 1 %."),
    or("meter", Quantity(Kind::Resistance, Positive), "10 Mohm", "Resistance of the meter, for insulation."),
    may("count", Count(0), "7", "How many, where something was counted ..."),
    may("of", Count(1), "36", "... and of how many."),
    or("instrument", Text, "", "The instrument."),
    or("when", Text, "", "The day, or the conditions."),
    or("text", Text, "", "What was seen, in words."),
];
