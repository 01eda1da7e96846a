//! Fields of what feeds and is fed: sources, panels, loads, circuits, scenarios.

use super::{CURRENT, INSULATION, LENGTH, TIME, VOLTAGE};
use crate::document::fields::{
    Bound::{NotNegative, Positive, Share},
    Field, Target,
    What::{Choice, Count, Demand, Device, Families, Flag, Hours, Id, Ids, Quantity, Size, Text},
    may, must, or,
};
use orlop::conductor::Material;
use orlop_units::Kind;

pub(super) const SOURCE: &[Field] = &[
    or("name", Text, "", "Its name for people."),
    must("kind", Choice(&["alternator", "solar", "charger", "converter"]), "alternator", "What it is."),
    may("place", Id(Target::Place), "ENGINE", "Where it is."),
    may("nominal", VOLTAGE, "12 V", "Output voltage; needed for a converter."),
    must("rating", CURRENT, "60 A", "Most current it gives for long."),
    may(
        "efficiency",
        Quantity(Kind::Fraction, Share),
        "90 %",
        "Output over input power; needed for a converter.",
    ),
    may("minimum", VOLTAGE, "10.5 V", "Lowest input voltage at which a converter works."),
    or("self_limiting", Flag, "false", "It limits its own output current."),
    or("protected", Flag, "false", "A device inside it protects its own output."),
];

pub(super) const PANEL: &[Field] = &[
    or("name", Text, "", "Its name for people."),
    may("place", Id(Target::Place), "PANEL", "Where it is."),
    may("rating", CURRENT, "100 A", "Current its bus or main switch can carry."),
    or("always_on", Flag, "false", "Stays live with the master switch off."),
];

pub(super) const LOAD: &[Field] = &[
    or("name", Text, "", "Its name for people."),
    may("place", Id(Target::Place), "MAST", "Where it is."),
    must(
        "run",
        Demand,
        "14 W",
        "What it draws at its ordinary work: watts for electronics and motors, ohms for heaters.",
    ),
    may("idle", Demand, "1 W", "What it draws switched on and doing nothing."),
    may("peak", Demand, "60 W", "The most it draws while working."),
    may("start", Demand, "45 A", "What it draws at the moment of switching on."),
    may("stall", Demand, "19 A", "What a motor draws when held still."),
    may("idle_time", TIME, "8 h", "How long it idles at a stretch."),
    may("peak_time", TIME, "1 min", "How long the peak lasts."),
    may("start_time", TIME, "0.5 s", "How long the start lasts."),
    may("stall_time", TIME, "5 s", "How long a stall may last before it is switched off."),
    may("stall_withstand", TIME, "30 s", "How long the motor bears a stall, from warm."),
    or("thermal_protection", Flag, "false", "Its maker declares that it opens its own circuit when too hot."),
    or(
        "drop_class",
        Choice(&["critical", "general"]),
        "general",
        "critical for navigation lights, electronics, pumps, alarms and blowers.",
    ),
    may("max_drop", Quantity(Kind::Fraction, Share), "5 %", "A drop limit of its own."),
    may("minimum", VOLTAGE, "10.5 V", "Lowest voltage at which it works."),
    or("essential", Flag, "false", "Needed for safety: pumps, radio, lights, alarms."),
    may(
        "second_source",
        Id(Target::Load),
        "VHF_RESERVE",
        "The same thing's other supply, as a load of its own: no single part that fails may leave both dark.",
    ),
    or("unattended", Flag, "false", "Runs with nobody near, such as a pump on a float switch."),
    or(
        "motor",
        Flag,
        "false",
        "A motor: it feeds a short while it runs on. A load with a stall is one anyway.",
    ),
    may(
        "capacitance",
        Quantity(Kind::Capacitance, Positive),
        "12 mF",
        "Capacitance at its input: inverters and large converters.",
    ),
    may("max_device", CURRENT, "10 A", "Largest fuse its maker allows."),
    or("spark", Flag, "false", "Can make a spark in use: motors, switches, relays."),
    or("ignition_protected", Flag, "false", "Its label says that it is ignition protected."),
    may("hours", Hours, r#"{anchor = "2 h", passage = "12 h"}"#, "Hours of work a day, by day profile."),
    may("idle_hours", Hours, r#"{anchor = "6 h"}"#, "Hours idle a day, by day profile."),
    may("peak_hours", Hours, r#"{anchor = "3 min"}"#, "Hours at the peak a day, by day profile."),
];

pub(super) const CIRCUIT: &[Field] = &[
    or("name", Text, "", "Its name for people."),
    must("from", Id(Target::Feeder), "PANEL", "Where it starts: a bank, a panel or a converter."),
    may("loads", Ids(Target::Load), r#"["LIGHTS"]"#, "What it feeds: loads ..."),
    may("panel", Id(Target::Panel), "PANEL", "... or a panel ..."),
    may("converter", Id(Target::Converter), "CONV", "... or the input of a converter ..."),
    may(
        "negative",
        Id(Target::Ground),
        "NEG",
        "Where its negative ends, when that is not the negative of where it starts.",
    ),
    may(
        "source",
        Id(Target::Charging),
        "ALTERNATOR",
        "... or it brings the current of a charging source to where it starts.",
    ),
    may(
        "one_way",
        Quantity(Kind::Length, Positive),
        "3.5 m",
        "Length of the wire from end to end, counted once ...",
    ),
    may(
        "spaces",
        Ids(Target::Space),
        r#"["cabin"]"#,
        "... with the spaces it goes through; the hottest counts.",
    ),
    may("path", Ids(Target::Trunk), r#"["main"]"#, "Or the trunks it lies in, in order ..."),
    may("tail", LENGTH, "0.5 m", "... with what lies outside the trunks."),
    may("string", Count(1), "2", "The string of the bank it starts from, counted from 1."),
    or("runs", Count(1), "1", "Identical runs side by side, each with its own device."),
    or("alone", Flag, "false", "With several runs: each must carry the whole current alone."),
    may("size", Size, "6 AWG", "The conductor, when it is there already."),
    may("minimum_size", Size, "14 AWG", "Smallest conductor that may be chosen."),
    may("insulation", INSULATION, "70 degC", "Insulation rating, when it is not the boat's."),
    may("material", Choice(Material::WORDS), "copper", "Material, when it is not the boat's."),
    or("sheathed", Flag, "false", "Both conductors lie in one sheath."),
    may("device", Device, "10 A", "The fuse or breaker, when it is there already."),
    may(
        "families",
        Families,
        r#"["iso8820-5-strip"]"#,
        "Families to choose from, when they are not the boat's.",
    ),
    may(
        "device_distance",
        LENGTH,
        "0.15 m",
        "Length along the wire from the source's terminal to the device.",
    ),
    or("device_enclosed", Flag, "false", "That length is sheathed or enclosed all the way."),
    may(
        "device_space",
        Id(Target::Space),
        "cabin",
        "The space of the device, when it is not where the circuit starts.",
    ),
    or("cranking", Flag, "false", "Carries a starter motor."),
    or("ignition_protected", Flag, "false", "Its device is declared ignition protected."),
    may("bundled", Count(1), "6", "Conductors carrying current that lie together; a pair counts 2."),
    may("on_time", TIME, "5 min", "Longest time its current flows at a stretch, when it is not continuous."),
    may("off_time", TIME, "30 min", "Shortest time off after that; left out: until it is cold."),
    may("max_drop", Quantity(Kind::Fraction, Share), "5 %", "Drop limit of its own."),
    may(
        "extra_resistance",
        Quantity(Kind::Resistance, NotNegative),
        "0.2 mohm",
        "Resistance of a switch in the circuit.",
    ),
];

pub(super) const SCENARIO: &[Field] = &[
    or("name", Text, "", "Its name for people."),
    or("run", Ids(Target::Load), "[]", "Loads at their ordinary work."),
    or("idle", Ids(Target::Load), "[]", "Loads switched on and doing nothing."),
    or("peak", Ids(Target::Load), "[]", "Loads at their peak."),
    or("start", Ids(Target::Load), "[]", "Loads just switched on."),
    or("stall", Ids(Target::Load), "[]", "Motors held still."),
];
