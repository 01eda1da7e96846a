//! The sections of a boat file and their keys.

use super::fields::{
    Bound::{Between, NotNegative, Positive, Share},
    Field, Section, Target,
    What::{
        About, Boxes, Choice, Corners, Count, Day, Demand, Device, Ends, Families, Flag, Hours, Id, Ids,
        Point, Quantity, Reading, Size, Text, Words,
    },
    may, must, or, unless,
};
use orlop::cell::ChemistryId;
use orlop::conductor::{Material, SpaceKind};
use orlop::network::ground::{Carries, PathKind, ReturnSystem, Role};
use orlop::pack::{Order, threshold};
use orlop::rules::{Bundling, DeviceRating, RuleSetId};
use orlop_units::Kind;

/// The sections that are read, in the order in which a file is best written.
pub(super) const SECTIONS: &[Section] = &[
    Section { name: "boat", many: false, required: true, doc: "The boat as a whole.", fields: BOAT },
    Section {
        name: "rules",
        many: false,
        required: false,
        doc: "Choices that the rule set leaves to you; leave it out to take the usual ones.",
        fields: RULES,
    },
    Section {
        name: "space",
        many: true,
        required: true,
        doc: "Parts of the boat with a temperature of their own: cabin, engine space, mast. Where boxes overlap the hottest counts.",
        fields: SPACE,
    },
    Section {
        name: "place",
        many: true,
        required: false,
        doc: "Named points: battery, panels, loads. x is forward of the transom, y to starboard, z above the waterline.",
        fields: PLACE,
    },
    Section {
        name: "trunk",
        many: true,
        required: false,
        doc: "Ways along which cables lie, from corner to corner. Cables in one trunk warm each other.",
        fields: TRUNK,
    },
    Section {
        name: "bank",
        many: true,
        required: true,
        doc: "The battery bank. The first one is the house bank.",
        fields: BANK,
    },
    Section {
        name: "cell",
        many: true,
        required: false,
        doc: "A kind of cell, as its sheet says or as you measured it. A bank that names it is worked out from its cells.",
        fields: CELL,
    },
    Section {
        name: "delivered",
        many: true,
        required: false,
        doc: "Cells that were delivered, each with what was measured on it; the id is its serial. One line each: D01 = {bank = \"BANK\", capacity = \"239.1 Ah\"} below [delivered].",
        fields: DELIVERED,
    },
    Section {
        name: "threshold",
        many: true,
        required: false,
        doc: "Voltages at which something acts on a bank of cells: chargers, alarms, stops, cut-offs, and the limits of the cells.",
        fields: THRESHOLD,
    },
    Section {
        name: "source",
        many: true,
        required: false,
        doc: "What charges the bank, and converters that make another voltage.",
        fields: SOURCE,
    },
    Section {
        name: "panel",
        many: true,
        required: false,
        doc: "Switch panels and buses: where circuits begin.",
        fields: PANEL,
    },
    Section { name: "load", many: true, required: false, doc: "Everything that uses current.", fields: LOAD },
    Section {
        name: "circuit",
        many: true,
        required: false,
        doc: "One run of wire with one fuse or breaker, from where it starts to what it feeds.",
        fields: CIRCUIT,
    },
    Section {
        name: "ground",
        many: true,
        required: false,
        doc: "Engine, hull, bonding, shore earth, and negatives that no circuit shows: what negative and bonding hang on.",
        fields: GROUND,
    },
    Section {
        name: "bond",
        many: true,
        required: false,
        doc: "What joins grounds and negatives: the one bond, straps, the shunt, cables, paths that nobody made on purpose.",
        fields: BOND,
    },
    Section {
        name: "survey",
        many: false,
        required: false,
        doc: "The visit on which the readings below were taken; leave it out until somebody has been on board.",
        fields: SURVEY,
    },
    Section {
        name: "found",
        many: true,
        required: false,
        doc: "What was measured or seen on board, one thing each; its id is the number in the survey.",
        fields: FOUND,
    },
    Section {
        name: "scenario",
        many: true,
        required: false,
        doc: "What is on at the same time. Feeders are sized for the worst of these.",
        fields: SCENARIO,
    },
];

/// Sections whose names are kept for later versions.
pub(super) const NOT_READ_YET: &[&str] = &["charger", "price", "device"];

/// The only format this version reads.
pub(super) const FORMAT: &str = "1";

/// Sections of things that carry current: their ids are unique among all of them.
pub(super) const NODES: &[&str] = &["bank", "source", "panel", "load", "ground", "share"];

pub(super) fn section(name: &str) -> Option<&'static Section> {
    SECTIONS.iter().find(|s| s.name == name)
}

const LENGTH: super::fields::What = Quantity(Kind::Length, NotNegative);
const CURRENT: super::fields::What = Quantity(Kind::Current, Positive);
const VOLTAGE: super::fields::What = Quantity(Kind::Voltage, Positive);
const RESISTANCE: super::fields::What = Quantity(Kind::Resistance, NotNegative);
const TIME: super::fields::What = Quantity(Kind::Time, Positive);
const INSULATION: super::fields::What = Quantity(Kind::Temperature, Between(30.0, 300.0));
const AMBIENT: super::fields::What = Quantity(Kind::Temperature, Between(-60.0, 150.0));

const BOAT: &[Field] = &[
    must("name", Text, "My boat", "Her name."),
    or("kind", Text, "", "What kind of boat, in words."),
    or("hull", Text, "", "Hull or register number: what stays when her name changes."),
    or("state", Choice(&["as-found", "design", "as-built"]), "design", "What the file describes."),
    must("nominal", VOLTAGE, "12 V", "Voltage of the system; drops are counted as a percentage of it."),
    must(
        "rules",
        Choice(RuleSetId::WORDS),
        "us-small-craft",
        "The rule set she is judged by: iso-small-craft in Europe, us-small-craft in the United States.",
    ),
    must("sizes", Choice(&["awg", "sae", "metric"]), "awg", "The series of cable sizes you can buy."),
    must("insulation", INSULATION, "105 degC", "Temperature rating printed on the cable you will buy."),
    or("material", Choice(Material::WORDS), "copper", "Material of the conductors."),
    or("tinned", Flag, "true", "Tinned strands."),
    or("slack", Quantity(Kind::Fraction, Between(0.0, 1.0)), "8 %", "Added to lengths along trunks."),
    or("termination", LENGTH, "0.3 m", "Added once to each run along trunks, for its ends."),
    or(
        "families",
        Families,
        r#"["iso8820-3-blade", "iso8820-5-strip", "ul248-15-class-t"]"#,
        "Fuse and breaker families to choose from, the one you like best first.",
    ),
    or(
        "growth",
        Quantity(Kind::Fraction, Between(0.0, 1.0)),
        "0 %",
        "Allowance on design currents for what comes later.",
    ),
];

const RULES: &[Field] = &[
    or("bundling", Choice(Bundling::WORDS), "practice", "Whether bundled cables are derated below 50 V."),
    or(
        "device_rating",
        Choice(DeviceRating::WORDS),
        "outright",
        "How far a device may exceed the cable's ampacity under us-small-craft.",
    ),
    may(
        "drop_critical",
        Quantity(Kind::Fraction, Share),
        "3 %",
        "Drop limit for critical loads, instead of the rule set's.",
    ),
    may(
        "drop_general",
        Quantity(Kind::Fraction, Share),
        "10 %",
        "Drop limit for the other loads, instead of the rule set's.",
    ),
    may(
        "negative",
        Choice(ReturnSystem::WORDS),
        "one-bond",
        "How negative and metal shall be joined: at one place, or nowhere. Needed where grounds or bonds are given.",
    ),
    or(
        "joint",
        Quantity(Kind::Resistance, NotNegative),
        r#"{value = "0.1 mohm", known = "guess", low = "0.02 mohm", high = "0.2 mohm"}"#,
        "Resistance of one joint or lug.",
    ),
];

const SPACE: &[Field] = &[
    or("name", Text, "", "Its name for people."),
    may(
        "boxes",
        Boxes,
        r#"[["0, -1.2, -0.3 m", "6, 1.2, 1.9 m"]]"#,
        "The boxes that make it up, each by two opposite corners.",
    ),
    must("ambient", AMBIENT, "40 degC", "How hot it gets there in summer."),
    may("winter", AMBIENT, "0 degC", "How cold it gets there in winter."),
    or("kind", Choice(SpaceKind::WORDS), "outside", "Whether it is an engine space."),
    or("damp", Flag, "false", "Damp or wet."),
    or("vapour", Flag, "false", "Petrol or gas vapour can collect here."),
];

const PLACE: &[Field] = &[
    or("name", Text, "", "Its name for people."),
    must("at", Point, "4.35, 0.95, 0.15 m", "Where it is."),
    may("space", Id(Target::Space), "cabin", "The space it is in, when the boxes do not say."),
];

const TRUNK: &[Field] = &[
    or("name", Text, "", "Its name for people."),
    must(
        "path",
        Corners,
        r#"["BAT", "4.9, 0.95, 0.15 m", "PANEL"]"#,
        "Its corners in order: places or points.",
    ),
    may("space", Id(Target::Space), "cabin", "The space of all of it, when the boxes do not say."),
    may("conduit", Quantity(Kind::Length, Positive), "25 mm", "Inner diameter, when it is a conduit."),
    or(
        "enclosed",
        Flag,
        "false",
        "Cables are sheathed or enclosed all the way; loose loom is not enclosure.",
    ),
    or(
        "apart",
        Flag,
        "false",
        "Kept apart from other trunks on the same way, so that they do not warm each other.",
    ),
    or("others", Count(0), "0", "Conductors carrying current in it that are not in this file."),
    may("support", Quantity(Kind::Length, Positive), "0.45 m", "Distance between supports."),
];

const BANK: &[Field] = &[
    or("name", Text, "", "Its name for people."),
    must("place", Id(Target::Place), "BAT", "Where it is."),
    unless("cell", "nominal", VOLTAGE, "12.8 V", "Nominal voltage of the bank."),
    may("capacity", Quantity(Kind::Charge, Positive), "200 Ah", "Capacity of the whole bank."),
    unless("cell", "lowest", VOLTAGE, "11.5 V", "Lowest voltage at its terminals in service."),
    unless("cell", "highest", VOLTAGE, "14.6 V", "Highest voltage, with chargers running."),
    may("open_circuit", VOLTAGE, "13.4 V", "Voltage at rest when full."),
    or("strings", Count(1), "1", "Strings in parallel."),
    may(
        "string_resistance",
        Ends(Kind::Resistance),
        r#"{low = "2.5 mohm", high = "6 mohm"}"#,
        "Resistance of one string: warm and new, cold and old.",
    ),
    may(
        "cell",
        Id(Target::Cell),
        "LFP230",
        "The kind of cell it is built from; what is not given above then comes from it ...",
    ),
    may("series", Count(1), "4", "... cells or groups in a row ..."),
    may("parallel", Count(1), "2", "... cells or strings side by side, 1 when left out ..."),
    may(
        "order",
        Choice(Order::WORDS),
        "series-first",
        "... and which are tied first: side by side into groups, or in a row into strings with a manager each.",
    ),
    may("link", RESISTANCE, "0.06 mohm", "Resistance of one link between cells, its joints in it."),
    may(
        "parts",
        RESISTANCE,
        "0.66 mohm",
        "Contactor, fuse and leads: of each string, or of the whole when cells are tied side by side first.",
    ),
    may(
        "coldest",
        AMBIENT,
        "2 degC",
        "Coldest design temperature of its cells; left out: winter of its space.",
    ),
    may(
        "warmest",
        AMBIENT,
        "38 degC",
        "Warmest design temperature of its cells; left out: ambient of its space.",
    ),
    or(
        "least_charge",
        Quantity(Kind::Fraction, Between(0.0, 1.0)),
        "10 %",
        "Least charge with which a fault must still be cleared (cells only).",
    ),
    may("manager_continuous", CURRENT, "150 A", "What each manager carries for ever ..."),
    may("manager_peak", CURRENT, "300 A", "... and for a short time ..."),
    may("manager_peak_time", TIME, "10 s", "... of so long."),
    may("switch_breaks", CURRENT, "2000 A", "The largest current that the switch of each manager breaks ..."),
    may("switch_breaks_at", VOLTAGE, "60 V", "... at so much direct voltage."),
    may(
        "switch_opens_after",
        TIME,
        "20 ms",
        "How long after a fault begins it opens at the earliest: the fuse should be first.",
    ),
    may(
        "switch_resistance",
        Quantity(Kind::Resistance, Positive),
        "0.2 mohm",
        "Contacts, or semiconductors of both directions in a row, at 25 degC ...",
    ),
    may(
        "switch_growth",
        Quantity(Kind::Fraction, Between(0.0, 0.02)),
        "0.4 %",
        "... its growth for each kelvin; left out: 0.7 % ...",
    ),
    may(
        "switch_rise_per_watt",
        Quantity(Kind::TemperatureRise, Positive),
        "3 K",
        "... how much each watt of loss warms it ...",
    ),
    may(
        "switch_hottest",
        Quantity(Kind::Temperature, Between(-60.0, 250.0)),
        "85 degC",
        "... how hot its sheet lets it get (terminals, junction) ...",
    ),
    may("switch_ambient", AMBIENT, "40 degC", "... and where it stands; left out: warmest of the bank."),
    may(
        "coil_hold",
        Quantity(Kind::Power, Positive),
        "2 W",
        "Power that holds the switch of each manager closed; left out where it needs none ...",
    ),
    may("coil_pull", Quantity(Kind::Power, Positive), "40 W", "... that pulls it in ..."),
    may("coil_pull_time", TIME, "100 ms", "... for so long."),
    may(
        "precharge",
        Quantity(Kind::Resistance, Positive),
        "15 ohm",
        "Resistor that fills the capacitors of inverters before the switch closes ...",
    ),
    may("precharge_survives", Quantity(Kind::Energy, Positive), "50 J", "... the energy it survives ..."),
    may(
        "standing",
        Ids(Target::Load),
        r#"["ALARMS"]"#,
        "... and loads that take current meanwhile; left out: all that idle.",
    ),
    may("alarm_lead", TIME, "15 min", "Time wanted between the alarm of low voltage and the cut-off."),
    may(
        "leave_out",
        Ids(Target::Delivered),
        r#"["D15"]"#,
        "Delivered cells to leave out; when not given, those that should be rejected.",
    ),
];

const CELL: &[Field] = &[
    or("name", Text, "", "Its name for people."),
    must("chemistry", Choice(ChemistryId::WORDS), "lfp", "What it is made of."),
    must("capacity", Quantity(Kind::Charge, Positive), "230 Ah", "Capacity on its sheet."),
    may(
        "resistance_1khz",
        Quantity(Kind::Resistance, Positive),
        "0.18 mohm",
        "Resistance at 1 kHz, 25 degC, half charge. Known as label it counts as a maximum.",
    ),
    may(
        "resistance_dc",
        Quantity(Kind::Resistance, Positive),
        "0.55 mohm",
        "Resistance after 10 s of direct current, 25 degC, half charge. Known as label it counts as a maximum.",
    ),
    may("size", Text, "54 x 174 x 207 mm", "Thickness, width, height."),
    may("mass", Quantity(Kind::Mass, Positive), "4.15 kg", "Its mass."),
];

const DELIVERED: &[Field] = &[
    must("bank", Id(Target::Bank), "BANK", "The bank it was bought for."),
    must("capacity", Quantity(Kind::Charge, Positive), "233.1 Ah", "Capacity as tested."),
    may("resistance_dc", Quantity(Kind::Resistance, Positive), "0.55 mohm", "Resistance after 10 s."),
    may("resistance_1khz", Quantity(Kind::Resistance, Positive), "0.18 mohm", "Resistance at 1 kHz."),
    may("arrival", Quantity(Kind::Voltage, NotNegative), "3.291 V", "Voltage on arrival."),
    may(
        "self_discharge",
        Quantity(Kind::Voltage, NotNegative),
        "0.5 mV",
        "Fall of its rest voltage, over the same days for every cell.",
    ),
    may("mass", Quantity(Kind::Mass, Positive), "4.15 kg", "Its mass."),
];

const THRESHOLD: &[Field] = &[
    or("name", Text, "", "Its name for people."),
    must("bank", Id(Target::Bank), "BANK", "The bank it acts on."),
    must("role", Choice(threshold::Role::WORDS), "low-alarm", "What it does."),
    must("setting", VOLTAGE, "24.8 V", "The voltage at which it acts, at its own terminals."),
    or("cells", Count(1), "1", "Cells in series that it reads: 1 for a manager that reads each."),
    or("tolerance", Quantity(Kind::Voltage, NotNegative), "0 V", "Error of its reading, either way."),
    or(
        "spread",
        Quantity(Kind::Voltage, NotNegative),
        "0 V",
        "How far one cell may stand from the mean when it reads several.",
    ),
    or("cable", RESISTANCE, "0 ohm", "Both legs of the cable between it and the cells ..."),
    or(
        "current",
        Quantity(Kind::Current, NotNegative),
        "0 A",
        "... and the largest current in them when it acts.",
    ),
];

const SOURCE: &[Field] = &[
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

const PANEL: &[Field] = &[
    or("name", Text, "", "Its name for people."),
    may("place", Id(Target::Place), "PANEL", "Where it is."),
    may("rating", CURRENT, "100 A", "Current its bus or main switch can carry."),
    or("always_on", Flag, "false", "Stays live with the master switch off."),
];

const LOAD: &[Field] = &[
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

const CIRCUIT: &[Field] = &[
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

const GROUND: &[Field] = &[
    or("name", Text, "", "Its name for people."),
    must("role", Choice(Role::WORDS), "engine", "What it is."),
    may("place", Id(Target::Place), "ENGINE", "Where it is."),
    may(
        "hangs",
        Flag,
        "true",
        "It must hang on the one negative and bonding system: usual for all but a radio's ground.",
    ),
    may("starter", CURRENT, "400 A", "Current of the starter of this engine ..."),
    may("starter_battery", Id(Target::Ground), "BANK", "... and the battery whose negative it returns to."),
];

const BOND: &[Field] = &[
    or("name", Text, "", "Its name for people."),
    must(
        "from",
        Id(Target::Ground),
        "BANK",
        "One end: a ground, or the negative of a bank, panel, source or load.",
    ),
    must("to", Id(Target::Ground), "ENGINE", "The other end."),
    must("kind", Choice(PathKind::WORDS), "bond", "What it is."),
    may("size", Size, "16 mm2", "Its conductor ..."),
    may("piece", Quantity(Kind::Length, Positive), "1.5 m", "... and its length: it has one leg only."),
    may(
        "resistance",
        Quantity(Kind::Resistance, Positive),
        "0.05 mohm",
        "Or its resistance from end to end.",
    ),
    may(
        "carries",
        Choice(Carries::WORDS),
        "starter",
        "Which current it may carry: usual is return for cables and shunts, nothing for the others.",
    ),
    may("may_cut", Flag, "true", "It may be taken out: usual for bonds, straps and incidental paths."),
    or("effort", Count(1), "1", "How much work it is to take it out, against the others."),
    may("bypass", Ids(Target::Ground), r#"["MONITOR"]"#, "What need not pass this shunt."),
];

const SURVEY: &[Field] = &[
    may("date", Day, "2026-11-25", "The day of the visit."),
    or("by", Text, "", "Who surveyed."),
    or("scope", Text, "", "What was to be looked at, and what not."),
    or("conditions", Text, "", "Afloat or ashore, weather, shore lead, how long the bank had rested."),
    or("instruments", Text, "", "Instruments, and when each was last checked."),
];

const FOUND: &[Field] = &[
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

const SCENARIO: &[Field] = &[
    or("name", Text, "", "Its name for people."),
    or("run", Ids(Target::Load), "[]", "Loads at their ordinary work."),
    or("idle", Ids(Target::Load), "[]", "Loads switched on and doing nothing."),
    or("peak", Ids(Target::Load), "[]", "Loads at their peak."),
    or("start", Ids(Target::Load), "[]", "Loads just switched on."),
    or("stall", Ids(Target::Load), "[]", "Motors held still."),
];
