//! The feed tree: everything is fed once, from a bank in the end, and never in a ring.

use crate::document::nearest::nearest;
use crate::document::problem::Problems;
use crate::document::row::{Row, Rows};
use std::collections::{BTreeMap, BTreeSet};

/// The circuit that feeds each thing, by section and id.
type Fed<'a> = BTreeMap<(&'static str, &'a str), &'a Row>;

pub(super) fn check(rows: &Rows, problems: &mut Problems) {
    let fed = fed_by(rows, problems);
    unfed(rows, &fed, problems);
    rings(rows, &fed, problems);
}

/// The ids a circuit feeds, each with the key that names it.
fn feeds(circuit: &Row) -> Vec<(&str, &'static str)> {
    let mut out: Vec<_> =
        circuit.ids("loads").unwrap_or_default().iter().map(|(id, _)| (id.as_str(), "loads")).collect();
    for key in ["panel", "converter", "source"] {
        out.extend(circuit.id(key).map(|id| (id, key)));
    }
    out
}

/// The section of what a key of a circuit names.
fn section_of(key: &str) -> &'static str {
    match key {
        "loads" => "load",
        "panel" => "panel",
        _ => "source",
    }
}

/// Finds the circuit of each thing; a second one is an error.
fn fed_by<'a>(rows: &'a Rows, problems: &mut Problems) -> Fed<'a> {
    let mut fed = Fed::new();
    for circuit in rows.of("circuit") {
        for (id, key) in feeds(circuit) {
            let section = section_of(key);
            if rows.find(section, id).is_none() {
                // An unknown id is reported elsewhere; what it probably means counts as fed.
                if let Some(near) = nearest(id, rows.of(section).map(|r| r.id.as_str())) {
                    fed.entry((section, near)).or_insert(circuit);
                }
                continue;
            }
            let Some(first) = fed.get(&(section, id)) else {
                fed.insert((section, id), circuit);
                continue;
            };
            let at = circuit
                .ids(key)
                .and_then(|list| list.iter().rev().find(|(other, _)| other == id))
                .map_or_else(|| circuit.at(key), |(_, at)| at);
            let (what, hint) = match key {
                "loads" if first.id == circuit.id => {
                    (format!("the load '{id}' is there twice"), "name it once")
                }
                "loads" => (
                    format!("the load '{id}' is fed by two circuits, '{}' and '{}'", first.id, circuit.id),
                    "a load has one circuit; two supplies of one thing are two loads",
                ),
                "panel" => (
                    format!("the panel '{id}' is fed by two circuits, '{}' and '{}'", first.id, circuit.id),
                    "for several cables side by side write one circuit with runs = 2",
                ),
                _ => (
                    format!("the source '{id}' has two circuits, '{}' and '{}'", first.id, circuit.id),
                    "each source has one circuit; for cables side by side write runs = 2",
                ),
            };
            problems.add(at, circuit.address(key), what, "one circuit", hint);
        }
    }
    fed
}

fn unfed(rows: &Rows, fed: &Fed<'_>, problems: &mut Problems) {
    // A circuit whose own feeding could not be read may be the one that is missing.
    let of_circuits = |key: &'static str| rows.of("circuit").any(|c| c.broken.contains(&key));
    let broken = ["loads", "panel", "converter", "source"].map(|key| (key, of_circuits(key)));
    let unread = |key: &str| broken.iter().any(|(k, is)| *k == key && *is);
    let mut miss = |row: &Row, what: String, hint: String| {
        problems.add(&row.at, row.address(""), what, "a circuit that names it", hint);
    };
    for row in rows.of("load").filter(|r| !fed.contains_key(&("load", r.id.as_str())) && !unread("loads")) {
        let hint = format!("add a circuit with loads = [\"{}\"]", row.id);
        miss(row, format!("nobody feeds the load '{}'", row.id), hint);
    }
    for row in rows.of("panel").filter(|r| !fed.contains_key(&("panel", r.id.as_str())) && !unread("panel")) {
        let hint = format!("add a circuit with panel = \"{}\"", row.id);
        miss(row, format!("the panel '{}' is fed from nowhere", row.id), hint);
    }
    for row in rows.of("source").filter(|r| !fed.contains_key(&("source", r.id.as_str()))) {
        if row.text("kind") == Some("converter") && !unread("converter") {
            let hint = format!("add a circuit with converter = \"{}\"", row.id);
            miss(row, format!("the converter '{}' has no input circuit", row.id), hint);
        } else if row.text("kind").is_some_and(|k| k != "converter") && !unread("source") {
            let hint = format!("add a circuit with source = \"{}\"", row.id);
            miss(row, format!("no circuit connects the source '{}'", row.id), hint);
        }
    }
}

/// Follows each panel and converter upstream; a way that comes back to itself is a ring.
fn rings(rows: &Rows, fed: &Fed<'_>, problems: &mut Problems) {
    let mut settled: BTreeSet<&str> = BTreeSet::new();
    for start in rows.of("panel").chain(rows.of("source")) {
        let mut way: Vec<&str> = Vec::new();
        let mut here = start.id.as_str();
        loop {
            if settled.contains(here) {
                break;
            }
            if let Some(begin) = way.iter().position(|id| *id == here) {
                let mut ring = way[begin..].to_vec();
                ring.reverse();
                ring.insert(0, ring[ring.len() - 1]);
                report(&ring, fed, problems);
                break;
            }
            way.push(here);
            let Some(from) = feeder(fed, here).and_then(|c| c.id("from")) else { break };
            here = from;
        }
        settled.extend(way);
    }
}

/// The circuit that feeds a panel or the input of a converter.
fn feeder<'a>(fed: &Fed<'a>, id: &'a str) -> Option<&'a Row> {
    let source = || fed.get(&("source", id)).filter(|c| c.id("converter").is_some());
    fed.get(&("panel", id)).or_else(source).copied()
}

fn report(ring: &[&str], fed: &Fed<'_>, problems: &mut Problems) {
    let circuits = ring.iter().filter_map(|id| feeder(fed, id));
    let Some(last) = circuits.max_by_key(|c| c.at("from").start) else { return };
    let what = format!("the feed tree has a loop: {}", ring.join(" -> "));
    let hint = "one of these circuits must start from somewhere else";
    problems.add(last.at("from"), last.address("from"), what, "a start nearer to the bank", hint);
}
