//! The file to begin with: a small 12 V boat, every key explained.

use super::fields::{Need, Section};
use super::sections::{FORMAT, section};
use std::collections::BTreeSet;
use std::fmt::Write;

/// Section, id, keys with their values as the field list writes examples.
type Thing = (&'static str, &'static str, &'static [(&'static str, &'static str)]);

/// A boat file to begin with: a small 12 V boat that reads and sizes as it is.
///
/// The first section of each kind shows every key with its meaning; keys that are not needed stand behind a `#`.
///
/// ```
/// let text = orlop_boat::document::starter("Wren");
/// let boat = orlop_boat::document::read(&text, "wren.toml").unwrap();
/// assert_eq!(boat.name, "Wren");
/// ```
#[must_use]
pub fn starter(name: &str) -> String {
    let mut out = String::from(HEAD);
    let _ = writeln!(out, "\nformat = {FORMAT}");
    let mut seen = BTreeSet::new();
    for (kind, id, values) in BOAT {
        let Some(section) = section(kind) else { continue };
        let header = if section.many { format!("{kind}.{id}") } else { (*kind).to_string() };
        if seen.insert(*kind) {
            let _ = writeln!(out, "\n# {}\n# {}\n", "-".repeat(78), wrap(section.doc));
            let _ = writeln!(out, "[{header}]");
            explained(&mut out, section, values, name);
        } else {
            let _ = writeln!(out, "\n[{header}]");
            for (key, value) in *values {
                if let Some(field) = section.field(key) {
                    let _ = writeln!(out, "{key} = {}", field.in_file(value));
                }
            }
        }
    }
    for (kind, id) in SPARE {
        let Some(section) = section(kind) else { continue };
        let _ = writeln!(out, "\n# {}\n# {}\n", "-".repeat(78), wrap(section.doc));
        let _ = writeln!(out, "# [{kind}.{id}]");
        explained(&mut out, section, &[], name);
    }
    out
}

fn explained(out: &mut String, section: &Section, values: &[(&str, &str)], name: &str) {
    for field in section.fields {
        let mine = values.iter().find(|(key, _)| *key == field.key).map(|(_, value)| *value);
        let line = match mine {
            _ if section.name == "boat" && field.key == "name" => format!("name = {}", quoted(name)),
            Some(value) => format!("{} = {}", field.key, field.in_file(value)),
            None => format!("# {} = {}", field.key, field.in_file(field.example)),
        };
        let usual = match field.need {
            Need::Default(text) if mine.is_none() && !text.is_empty() => " (usual)",
            _ => "",
        };
        let _ = writeln!(out, "{line:<40}  # {}{usual}", field.doc);
    }
}

/// Text as a basic string of the notation.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            c if c.is_control() => {
                let _ = write!(out, "\\U{:08X}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// Breaks comment text into lines.
fn wrap(text: &str) -> String {
    let mut out = String::new();
    let mut width = 0;
    for word in text.split(' ') {
        if width + word.len() > 76 {
            out.push_str("\n# ");
            width = 0;
        } else if width > 0 {
            out.push(' ');
        }
        out.push_str(word);
        width += word.len() + 1;
    }
    out
}

const HEAD: &str = r##"# A boat file. It describes a small 12 V boat; change it into yours.
#
# How to write it:
# * A line that begins with # is a remark, or a key with an example. Take the first # away to use the key.
#   Keys marked (usual) count as they stand even without their line.
# * Every physical value has its unit and stands in quotes: "12 V", "3.5 m", "11 ft 6 in", "14 W".
# * Each thing has an id in its header: in [load.LIGHTS] the id is LIGHTS. Other sections name it by that id.
# * A value you have measured or guessed can say so:
#       run = {value = "14 W", known = "measured"}
#       run = {value = "14 W", known = "guess", low = "10 W", high = "20 W"}
#
# What you need: the labels of your equipment, a tape measure, and an hour.
"##;

/// Sections that this boat does not use, shown behind a `#`, each with an id for its example.
const SPARE: &[(&str, &str)] = &[("cell", "LFP230"), ("delivered", "D01"), ("threshold", "ALARM_LOW")];

const BOAT: &[Thing] = &[
    (
        "boat",
        "",
        &[
            ("name", ""),
            ("kind", "small cruiser"),
            ("nominal", "12 V"),
            ("rules", "iso-small-craft"),
            ("sizes", "metric"),
            ("insulation", "105 degC"),
        ],
    ),
    ("rules", "", &[("negative", "one-bond")]),
    ("space", "cabin", &[("name", "Cabin"), ("ambient", "40 degC"), ("winter", "0 degC")]),
    ("space", "engine", &[("name", "Engine space"), ("ambient", "60 degC"), ("kind", "engine")]),
    ("space", "mast", &[("name", "Deck and mast, in the sun"), ("ambient", "50 degC")]),
    ("place", "BAT", &[("name", "Battery box"), ("at", "1.5, 0, 0.2 m"), ("space", "cabin")]),
    ("place", "PANEL", &[("name", "Switch panel"), ("at", "2.6, 0.8, 1.1 m"), ("space", "cabin")]),
    (
        "trunk",
        "main",
        &[
            ("name", "Along the locker"),
            ("path", r#"["BAT", "1.5, 0.8, 0.2 m", "PANEL"]"#),
            ("space", "cabin"),
        ],
    ),
    (
        "bank",
        "BANK",
        &[
            ("name", "House battery"),
            ("place", "BAT"),
            ("nominal", "12 V"),
            ("capacity", "100 Ah"),
            ("lowest", "11.5 V"),
            ("highest", "14.6 V"),
            ("open_circuit", "12.8 V"),
            ("string_resistance", r#"{low = "4 mohm", high = "12 mohm"}"#),
        ],
    ),
    (
        "source",
        "ALTERNATOR",
        &[
            ("name", "Engine alternator"),
            ("kind", "alternator"),
            ("rating", "50 A"),
            ("self_limiting", "true"),
        ],
    ),
    ("panel", "PANEL", &[("name", "Switch panel"), ("place", "PANEL")]),
    (
        "load",
        "NAV",
        &[
            ("name", "Navigation lights"),
            ("run", "12 W"),
            ("drop_class", "critical"),
            ("essential", "true"),
            ("hours", r#"{anchor = "0 h", passage = "8 h"}"#),
        ],
    ),
    (
        "load",
        "LIGHTS",
        &[("name", "Cabin lights"), ("run", "15 W"), ("hours", r#"{anchor = "4 h", passage = "2 h"}"#)],
    ),
    (
        "load",
        "VHF",
        &[
            ("name", "VHF radio"),
            ("run", "5 W"),
            ("peak", "65 W"),
            ("peak_time", "5 min"),
            ("drop_class", "critical"),
            ("essential", "true"),
            ("hours", r#"{anchor = "2 h", passage = "24 h"}"#),
        ],
    ),
    (
        "load",
        "FRIDGE",
        &[
            ("name", "Fridge"),
            ("run", r#"{value = "45 W", known = "guess", low = "35 W", high = "60 W"}"#),
            ("hours", r#"{anchor = "10 h", passage = "10 h"}"#),
        ],
    ),
    (
        "load",
        "BILGE",
        &[
            ("name", "Bilge pump on a float switch"),
            ("run", "36 W"),
            ("stall", "8 A"),
            ("drop_class", "critical"),
            ("essential", "true"),
            ("unattended", "true"),
        ],
    ),
    (
        "circuit",
        "MAIN",
        &[
            ("name", "Battery to panel"),
            ("from", "BANK"),
            ("panel", "PANEL"),
            ("path", r#"["main"]"#),
            ("device_distance", "0.15 m"),
        ],
    ),
    (
        "circuit",
        "ALTERNATOR",
        &[
            ("name", "Alternator to battery"),
            ("from", "BANK"),
            ("source", "ALTERNATOR"),
            ("one_way", "2.5 m"),
            ("spaces", r#"["engine", "cabin"]"#),
            ("device_distance", "0.15 m"),
        ],
    ),
    (
        "circuit",
        "NAV",
        &[("from", "PANEL"), ("loads", r#"["NAV"]"#), ("one_way", "7 m"), ("spaces", r#"["cabin", "mast"]"#)],
    ),
    (
        "circuit",
        "LIGHTS",
        &[("from", "PANEL"), ("loads", r#"["LIGHTS"]"#), ("one_way", "4 m"), ("spaces", r#"["cabin"]"#)],
    ),
    (
        "circuit",
        "VHF",
        &[("from", "PANEL"), ("loads", r#"["VHF"]"#), ("one_way", "1.5 m"), ("spaces", r#"["cabin"]"#)],
    ),
    (
        "circuit",
        "FRIDGE",
        &[("from", "PANEL"), ("loads", r#"["FRIDGE"]"#), ("one_way", "3 m"), ("spaces", r#"["cabin"]"#)],
    ),
    (
        "circuit",
        "BILGE",
        &[
            ("name", "Bilge pump, live with the switches off"),
            ("from", "BANK"),
            ("loads", r#"["BILGE"]"#),
            ("one_way", "2 m"),
            ("spaces", r#"["cabin"]"#),
            ("device_distance", "0.15 m"),
        ],
    ),
    ("ground", "ENGINE", &[("name", "Engine block"), ("role", "engine")]),
    (
        "bond",
        "ENGINE",
        &[
            ("name", "The one bond between negative and engine"),
            ("from", "BANK"),
            ("to", "ENGINE"),
            ("kind", "bond"),
            ("size", "25 mm2"),
            ("piece", "2.5 m"),
        ],
    ),
    ("survey", "", &[]),
    (
        "found",
        "FIRST",
        &[
            ("name", "To do with the test sheet"),
            ("at", "bank.BANK"),
            ("what", "not-tested"),
            ("text", "nothing was measured on board yet"),
        ],
    ),
    (
        "scenario",
        "night",
        &[("name", "Sailing at night"), ("run", r#"["NAV", "LIGHTS", "FRIDGE"]"#), ("peak", r#"["VHF"]"#)],
    ),
    (
        "scenario",
        "anchor",
        &[("name", "Evening at anchor"), ("run", r#"["LIGHTS", "VHF", "FRIDGE", "BILGE"]"#)],
    ),
];
