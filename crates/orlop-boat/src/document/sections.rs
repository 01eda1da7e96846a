//! The sections of a boat file and their keys.

mod bank;
mod feed;
mod found;
mod ground;

use super::fields::{
    Bound::{Between, NotNegative, Positive, Share},
    Field, Section, Target,
    What::{Boxes, Choice, Corners, Count, Families, Flag, Id, Point, Quantity, Text},
    may, must, or,
};
use bank::{BANK, CELL, DELIVERED, THRESHOLD};
use feed::{CIRCUIT, LOAD, PANEL, SCENARIO, SOURCE};
use found::{FOUND, SURVEY};
use ground::{BOND, GROUND};
use orlop::conductor::{Material, SpaceKind};
use orlop::network::ground::ReturnSystem;
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
