//! Readings: about something that is there, of the right kind, with the current where it is needed.

use crate::document::nearest::suggest;
use crate::document::problem::Problems;
use crate::document::row::{Row, Rows};
use crate::document::sections::SECTIONS;
use crate::document::tree::short;
use crate::found::{Holds, Item, ItemInfo, LegPart};
use orlop_units::Kind;

pub(super) fn check(rows: &Rows, problems: &mut Problems) {
    for row in rows.of("found") {
        let Some(info) = row.text("what").and_then(Item::parse).map(Item::info) else { continue };
        about(rows, row, info, problems);
        holds(row, info, problems);
        section(row, info, problems);
        poles(row, info, problems);
    }
}

/// Leg and parts belong to drops and joints of a circuit; a leg also to the drop of a load.
fn section(row: &Row, info: &ItemInfo, problems: &mut Problems) {
    let drop = matches!(info.item, Item::Drop | Item::Joint);
    let at = row.text("at").and_then(|at| at.split_once('.')).map_or("", |(section, _)| section);
    let mut problem = |key: &str, what: String, expected: &str, hint: &str| {
        problems.add(row.at(key), row.address(key), what, expected.to_string(), hint);
    };
    let leg = row.text("leg").unwrap_or_default();
    if row.given("leg") && !(drop && (at == "circuit" || at == "load")) {
        problem("leg", format!("'{}' on a {at} has no leg", info.word), "no leg here", "");
    }
    if row.given("parts") {
        let list = row.families("parts").unwrap_or_default();
        let on_positive =
            |w: &str| matches!(LegPart::parse(w, "parts"), Ok(LegPart::Device | LegPart::Switch));
        if !(drop && at == "circuit") {
            problem("parts", format!("'{}' on a {at} has no parts", info.word), "no parts here", "");
        } else if list.is_empty() {
            problem("parts", "parts is empty".into(), "at least one part between the probes", "");
        } else if leg == "negative" && list.iter().any(|(w, _)| on_positive(w)) {
            let what = "the negative leg has no device and no switch".to_string();
            problem("parts", what, "start, conductor, end", "write leg = \"positive\"");
        }
    }
}

/// Insulation needs both poles and the resistor; nothing else has them.
fn poles(row: &Row, info: &ItemInfo, problems: &mut Problems) {
    let needs = info.item == Item::Insulation;
    for (key, words) in [
        ("positive_to_hull", "volts from positive to the hull, with the resistor across"),
        ("negative_to_hull", "volts from the hull to negative, with the resistor across"),
        ("resistor", "the resistor"),
    ] {
        if needs && !row.given(key) {
            let what = format!("{} has no {key}, which '{}' needs", row.title(), info.word);
            problems.add(&row.at, row.address(key), what, words, format!("add {key} = ..."));
        }
    }
    for key in ["positive_to_hull", "negative_to_hull", "resistor", "meter"] {
        if row.given(key) && !needs {
            let what = format!("'{}' has no {key}", info.word);
            problems.add(row.at(key), row.address(key), what, format!("no {key} here"), "");
        }
    }
    let volts = |key: &str| row.measure(key).map(|m| m.value.si);
    if let (true, Some(up), Some(down), Some(all)) =
        (needs, volts("positive_to_hull"), volts("negative_to_hull"), volts("value"))
    {
        let noise = volts("uncertainty").unwrap_or(crate::found::METER);
        if up + down > all + 3.0 * noise {
            let what = "both poles to the hull make more than the bank".to_string();
            let expected = "together at most the volts of the bank";
            problems.add(
                row.at("value"),
                row.address("value"),
                what,
                expected,
                "read all three again, at rest",
            );
        }
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

/// Volts below zero: across a joint or a conductor, as far as the meter may err.
fn below_zero(row: &Row, info: &ItemInfo, problems: &mut Problems) {
    let Some(value) =
        row.measure("value").map(|m| &m.value).filter(|v| v.kind == Kind::Voltage && v.si < 0.0)
    else {
        return;
    };
    let across = matches!(info.item, Item::Drop | Item::Joint);
    let noise = row.measure("uncertainty").map_or(crate::found::METER, |m| m.value.si);
    if across && -value.si <= noise {
        return;
    }
    let what = format!("value cannot be '{value}'");
    let expected = if across {
        "a voltage, zero or above, or below it by no more than the uncertainty"
    } else {
        "a voltage, zero or above"
    };
    let hint = if across { "swap the probes, or read again" } else { "" };
    problems.add(row.at("value"), row.address("value"), what, expected, hint);
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
    below_zero(row, info, problems);
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
