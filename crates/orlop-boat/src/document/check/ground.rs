//! Grounds and bonds: each says one thing, and what it says fits together.

use crate::document::problem::Problems;
use crate::document::row::{Row, Rows};
use orlop::conductor::{Conductor, Material};
use orlop::network::ground::{PathKind, Role};
use orlop_units::Temperature;

pub(super) fn check(rows: &Rows, problems: &mut Problems) {
    system(rows, problems);
    for row in rows.of("ground") {
        starter(rows, row, problems);
    }
    for row in rows.of("bond") {
        ends(row, problems);
        length(row, problems);
        size(rows, row, problems);
        permissions(row, problems);
    }
}

/// Whether negative is bonded or insulated differs by code and boat: nobody may guess it.
fn system(rows: &Rows, problems: &mut Problems) {
    let Some(first) = rows.of("ground").chain(rows.of("bond")).min_by_key(|r| r.at.start) else { return };
    if rows.single("rules").is_some_and(|r| !r.given("negative")) {
        let what = format!("{} is there, but not how negative and metal shall be joined", first.title());
        let hint = "add negative = \"one-bond\" or negative = \"insulated\" under [rules]";
        problems.add(&first.at, "rules.negative", what, "one-bond or insulated", hint);
    }
}

fn starter(rows: &Rows, row: &Row, problems: &mut Problems) {
    let pair = ["starter", "starter_battery"];
    let Some(key) = pair.into_iter().find(|k| row.given(k)) else { return };
    if let Some(lacks) = pair.into_iter().find(|k| !row.given(k)) {
        let what = format!("{} has {key} but no {lacks}", row.title());
        problems.add(row.at(key), row.address(key), what, format!("{lacks} beside it"), "");
        return;
    }
    if row.text("role").is_some_and(|r| r != Role::Engine.word()) {
        let what = format!("{} has a starter but is no engine", row.title());
        problems.add(row.at(key), row.address(key), what, "role = \"engine\"", "");
    }
    let Some(id) = row.id("starter_battery") else { return };
    let is_battery = |r: &Row| r.text("role").is_none_or(|role| role == Role::BatteryNegative.word());
    let ground = rows.find("ground", id);
    let other = ["panel", "source", "load"].into_iter().any(|s| rows.find(s, id).is_some());
    if other || ground.is_some_and(|r| !is_battery(r)) {
        let what = format!("starter_battery cannot be '{id}': it is no battery's negative");
        let expected = "a bank, or a ground of the role battery-negative";
        problems.add(row.at("starter_battery"), row.address("starter_battery"), what, expected, "");
    }
}

fn ends(row: &Row, problems: &mut Problems) {
    if let (Some(from), Some(to)) = (row.id("from"), row.id("to"))
        && from == to
    {
        let what = format!("{} begins and ends at '{from}'", row.title());
        problems.add(row.at("to"), row.address("to"), what, "two different ends", "");
    }
}

fn length(row: &Row, problems: &mut Problems) {
    if row.given("piece") && row.given("resistance") {
        let what = format!("{} has both piece and resistance", row.title());
        let hint = "a measured resistance counts; take piece out";
        problems.add(row.at("piece"), row.address("piece"), what, "one of them", hint);
    } else if row.given("piece") && !row.given("size") {
        let what = format!("{} has piece but no size", row.title());
        problems.add(row.at("piece"), row.address("piece"), what, "size beside it", "add size = \"16 mm2\"");
    }
}

/// A size that is in no table has no resistance.
fn size(rows: &Rows, row: &Row, problems: &mut Problems) {
    let rating = rows.single("boat").and_then(|b| b.quantity::<Temperature>("insulation"));
    let (Some(size), Some(rating)) = (row.size("size"), rating) else { return };
    if let Err(error) = Conductor::new(size, rating, Material::Copper, false) {
        problems.add(row.at("size"), row.address("size"), error.to_string(), "a size of the tables", "");
    }
}

fn permissions(row: &Row, problems: &mut Problems) {
    let is = |kind: PathKind| row.text("kind") == Some(kind.word());
    if is(PathKind::ShoreEarth) && row.flag("may_cut") {
        let what = format!("{} is a shore earth and may never be cut", row.title());
        let hint = "it is a safety conductor; against corrosion a qualified person chooses an isolator";
        problems.add(row.at("may_cut"), row.address("may_cut"), what, "may_cut left out, or false", hint);
    }
    if row.given("bypass") && row.text("kind").is_some() && !is(PathKind::Shunt) {
        let what = format!("{} is no shunt: nothing can bypass it", row.title());
        problems.add(row.at("bypass"), row.address("bypass"), what, "bypass on shunts only", "");
    }
}
