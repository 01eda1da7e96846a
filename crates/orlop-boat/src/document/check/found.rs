//! Readings: about something that is there, of the right kind, with the current where it is needed.

use crate::document::nearest::suggest;
use crate::document::problem::Problems;
use crate::document::row::{Row, Rows};
use crate::document::sections::SECTIONS;
use crate::document::tree::short;
use crate::found::{Holds, Item, ItemInfo};
use orlop_units::Kind;

pub(super) fn check(rows: &Rows, problems: &mut Problems) {
    for row in rows.of("found") {
        let Some(info) = row.text("what").and_then(Item::parse).map(Item::info) else { continue };
        about(rows, row, info, problems);
        holds(row, info, problems);
    }
}

fn about(rows: &Rows, row: &Row, info: &ItemInfo, problems: &mut Problems) {
    let Some(at) = row.text("at") else { return };
    let (section, id) = at.split_once('.').unwrap_or((at, ""));
    let expected = format!("one of {}", info.about.join(", "));
    let mut problem = |what: String, hint: String| {
        problems.add(row.at("at"), row.address("at"), what, expected.clone(), hint);
    };
    let Some(known) = SECTIONS.iter().find(|s| s.name == section) else {
        let names = SECTIONS.iter().map(|s| s.name);
        return problem(format!("at: there is no section '{}'", short(section)), suggest(section, names));
    };
    if known.name != "boat" && rows.find(known.name, id).is_none() {
        let ids: Vec<&str> = rows.of(known.name).map(|r| r.id.as_str()).collect();
        return problem(
            format!("at: there is no {section} '{}'", short(id)),
            suggest(id, ids.iter().copied()),
        );
    }
    if known.name == "boat" && !id.is_empty() {
        return problem(format!("at cannot be '{}'", short(at)), "write at = \"boat\"".into());
    }
    if !info.about.contains(&section) {
        problem(format!("'{}' is not looked at on a {section}", info.word), String::new());
    }
}

fn holds(row: &Row, info: &ItemInfo, problems: &mut Problems) {
    let mut missing = |key: &str, expected: &str| {
        let what = format!("{} has no {key}, which '{}' needs", row.title(), info.word);
        problems.add(&row.at, row.address(key), what, expected.to_string(), format!("add {key} = ..."));
    };
    match info.holds {
        Holds::Value(kind) if !row.given("value") => missing("value", &kind.with_units()),
        Holds::Count | Holds::CountOf if !row.given("count") => {
            missing("count", "a whole number without quotes")
        }
        Holds::Words if !row.given("text") => missing("text", "text in quotes"),
        _ => {}
    }
    if info.holds == Holds::CountOf && !row.given("of") {
        missing("of", "how many there are in all, a whole number without quotes");
    }
    // On a bus nobody can say what flows through one joint.
    let unknown =
        info.item == Item::Resistance && row.text("at").is_some_and(|at| !at.starts_with("circuit."));
    if (info.needs_current || unknown) && !row.given("current") {
        missing("current", "the current at which it was read, such as \"62 A\"");
    }
    wrong(row, info, problems);
}

/// What differs from reading to reading is a part of the uncertainty.
fn repeats(row: &Row, problems: &mut Problems) {
    let Some(repeat) = row.measure("repeat") else { return };
    let whole = row.measure("uncertainty");
    if whole.is_some_and(|w| w.value.kind == repeat.value.kind && w.value.si >= repeat.value.si) {
        return;
    }
    let what = match whole {
        Some(w) => format!("repeat {} is more than the whole uncertainty {}", repeat.value, w.value),
        None => format!("{} has repeat but no uncertainty", row.title()),
    };
    problems.add(row.at("repeat"), row.address("repeat"), what, "repeat <= uncertainty", "");
}

/// Values of another kind, and keys that say nothing about this item.
fn wrong(row: &Row, info: &ItemInfo, problems: &mut Problems) {
    let held = match info.holds {
        Holds::Value(kind) => Some(kind),
        _ => None,
    };
    // A difference of temperatures is in kelvins.
    let width = held.map(|k| if k == Kind::Temperature { Kind::TemperatureRise } else { k });
    for (key, kind) in [("value", held), ("uncertainty", width), ("repeat", width)] {
        let Some(measure) = row.measure(key) else { continue };
        let got = measure.value.kind;
        if Some(got) != kind {
            let what = match kind {
                Some(kind) => {
                    format!("{key} of '{}' is {}, not {}", info.word, kind.with_article(), got.with_article())
                }
                None => format!("'{}' has no {key}", info.word),
            };
            let expected = kind.map_or_else(|| "count or text, without a value".into(), Kind::with_units);
            problems.add(row.at(key), row.address(key), what, expected, "");
        }
    }
    if let (Some(count), Some(of)) = (row.count("count"), row.count("of"))
        && count > of
    {
        let what = format!("{count} of {of} are more than all");
        problems.add(row.at("count"), row.address("count"), what, "count <= of", "");
    }
    repeats(row, problems);
    let counts = matches!(info.holds, Holds::Count | Holds::CountOf);
    for (key, fits) in [
        ("count", counts),
        ("of", info.holds == Holds::CountOf),
        ("rise", matches!(info.item, Item::Joint | Item::Resistance)),
    ] {
        if row.given(key) && !fits {
            let what = format!("'{}' has no {key}", info.word);
            problems.add(row.at(key), row.address(key), what, format!("no {key} here"), "");
        }
    }
}
