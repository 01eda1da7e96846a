//! Each circuit must say what it feeds and which way it goes, once.

use super::place::corner_points;
use crate::document::problem::Problems;
use crate::document::row::{Row, Rows};
use crate::model::Point;
use orlop_units::{Quantity, Time};

/// Ends of trunks this near to each other are joined, m.
const JOINED: f64 = 0.1;

/// The keys of which a circuit has exactly one.
pub(in crate::document) const FEEDS: [&str; 4] = ["loads", "panel", "converter", "source"];

pub(super) fn check(rows: &Rows, problems: &mut Problems) {
    for row in rows.of("circuit") {
        feeds(row, problems);
        way(rows, row, problems);
        duty(row, problems);
        string(rows, row, problems);
    }
}

/// Only a bank has strings, and not more than it says.
fn string(rows: &Rows, row: &Row, problems: &mut Problems) {
    let Some(string) = row.count("string") else { return };
    let Some(from) = row.id("from") else { return };
    let mut add = |what: String, expected: String, hint: &str| {
        problems.add(row.at("string"), row.address("string"), what, expected, hint);
    };
    let Some(bank) = rows.find("bank", from) else {
        let what = format!("{} names a string but starts from '{from}', which is no bank", row.title());
        return add(what, "string only where a circuit starts from a bank".into(), "leave it out");
    };
    let strings = bank.count("strings").unwrap_or(1);
    if string > strings {
        let what = format!("{} starts from string {string} of a bank of {strings}", row.title());
        return add(what, format!("1 to {strings}"), "");
    }
    if row.count("runs") == Some(strings) && strings > 1 && row.flag("alone") {
        let what = format!("{} has a run from each string and names one", row.title());
        add(what, "string without runs for all strings, or the other way round".into(), "leave it out");
    }
}

fn feeds(row: &Row, problems: &mut Problems) {
    let given: Vec<_> = FEEDS.into_iter().filter(|k| row.given(k)).collect();
    let wanted = "exactly one of loads, panel, converter, source";
    match given[..] {
        [] => {
            let what = format!("{} feeds nothing", row.title());
            problems.add(&row.at, row.address("loads"), what, wanted, "add for example loads = [\"...\"]");
        }
        [_] => {}
        [first, second, ..] => {
            let what = format!("{} has both {first} and {second}", row.title());
            problems.add(row.at(second), row.address(second), what, wanted, "give each its own circuit");
        }
    }
    if row.ids("loads").is_some_and(<[_]>::is_empty) {
        let what = format!("{} feeds no load", row.title());
        problems.add(row.at("loads"), row.address("loads"), what, "one or more loads", "");
    }
}

fn duty(row: &Row, problems: &mut Problems) {
    if row.given("off_time") && !row.given("on_time") {
        let what = format!("{} has off_time but no on_time", row.title());
        problems.add(row.at("off_time"), row.address("off_time"), what, "on_time beside it", "");
    }
    if row.flag("alone") && row.count("runs") == Some(1) {
        let what = format!("{} has alone = true but only one run", row.title());
        problems.add(row.at("alone"), row.address("alone"), what, "runs = 2 or more beside it", "");
    }
    if let (Some(on), Some(off)) = (row.quantity::<Time>("on_time"), row.quantity::<Time>("off_time"))
        && on.si() + off.si() > 7.0 * 86_400.0
    {
        let what = format!("{}: on_time and off_time together are longer than a week", row.title());
        problems.add(row.at("on_time"), row.address("on_time"), what, "a cycle of minutes or hours", "");
    }
}

fn way(rows: &Rows, row: &Row, problems: &mut Problems) {
    let both = |a: &str, b: &str, problems: &mut Problems, hint: &str| {
        if row.given(a) && row.given(b) {
            let what = format!("{} has both {a} and {b}", row.title());
            problems.add(row.at(b), row.address(b), what, format!("{a} or {b}, not both"), hint);
        }
    };
    both("one_way", "path", problems, "one_way is the whole length; path finds it from the trunks");
    both("one_way", "tail", problems, "one_way is the whole length already");
    if !row.given("one_way") {
        both("path", "spaces", problems, "trunks know their spaces; spaces goes with one_way");
    }
    if row.given("one_way") {
        let none = row.ids("spaces").is_some_and(<[_]>::is_empty);
        if !row.given("spaces") || none {
            let what = format!("{} has one_way but does not say which spaces it goes through", row.title());
            let hint = "add spaces = [\"...\"]; the hottest counts";
            problems.add(row.at("one_way"), row.address("spaces"), what, "spaces beside one_way", hint);
        }
    } else if row.given("path") {
        joined(rows, row, problems);
    } else if row.given("spaces") {
        let what = format!("{} has spaces but no one_way", row.title());
        problems.add(row.at("spaces"), row.address("one_way"), what, "one_way beside spaces", "");
    } else {
        shortest(rows, row, problems);
    }
}

/// Trunks of a path must meet end to end.
fn joined(rows: &Rows, row: &Row, problems: &mut Problems) {
    let Some(path) = row.ids("path") else { return };
    if path.is_empty() {
        let what = format!("{} has an empty path", row.title());
        problems.add(row.at("path"), row.address("path"), what, "one or more trunks", "");
        return;
    }
    let ends = |id: &str| -> Option<[Point; 2]> {
        let points = corner_points(rows, rows.find("trunk", id)?)?;
        Some([points.first()?.0, points.last()?.0])
    };
    let near = |a: Point, b: Point| a.distance(b).si() <= JOINED;
    // Where the path can have arrived: both ends of the first trunk, then one only.
    let mut arrived: Vec<Point> = Vec::new();
    for (i, (id, at)) in path.iter().enumerate() {
        let Some([a, b]) = ends(id) else { return };
        let mut next = Vec::new();
        if i == 0 {
            next = vec![a, b];
        } else {
            for here in &arrived {
                if near(*here, a) {
                    next.push(b);
                }
                if near(*here, b) {
                    next.push(a);
                }
            }
        }
        if next.is_empty() {
            let what = format!("the trunks '{}' and '{id}' do not join end to end", path[i - 1].0);
            let hint = "each trunk of a path begins where the one before ends, within 0.1 m; split a trunk where a way branches off";
            problems.add(at, row.address("path"), what, "a trunk that joins", hint);
            return;
        }
        arrived = next;
    }
}

/// Without `path` and `one_way`, both ends need a place.
fn shortest(rows: &Rows, row: &Row, problems: &mut Problems) {
    let hint = "give places, or one_way with spaces, or path";
    let feeder =
        row.id("from").and_then(|id| ["bank", "panel", "source"].iter().find_map(|s| rows.find(s, id)));
    if let Some(feeder) = feeder.filter(|r| !r.given("place")) {
        let what = format!("{} has no way: {} has no place", row.title(), feeder.title());
        problems.add(&row.at, row.address("path"), what, "one_way, path, or a place at both ends", hint);
        return;
    }
    let fed = |section: &'static str, key: &str| row.id(key).and_then(|id| rows.find(section, id));
    let mut ends: Vec<&Row> = [fed("panel", "panel"), fed("source", "converter"), fed("source", "source")]
        .into_iter()
        .flatten()
        .collect();
    ends.extend(row.ids("loads").unwrap_or_default().iter().filter_map(|(id, _)| rows.find("load", id)));
    if let Some(end) = ends.iter().find(|r| !r.given("place")) {
        let what = format!("{} has no way: {} has no place", row.title(), end.title());
        problems.add(&row.at, row.address("path"), what, "one_way, path, or a place at both ends", hint);
        return;
    }
    let mut places = ends.iter().filter_map(|r| r.id("place"));
    if let Some(first) = places.next()
        && let Some(other) = places.find(|p| *p != first)
    {
        let what = format!("{} has no one end: its loads are at '{first}' and at '{other}'", row.title());
        problems.add(
            row.at("loads"),
            row.address("path"),
            what,
            "loads at one place, or one_way, or path",
            "",
        );
    }
}
