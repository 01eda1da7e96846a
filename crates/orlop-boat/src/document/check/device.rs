//! Families of devices must be known, and a given rating must be one of its family's.

use crate::document::nearest::suggest;
use crate::document::problem::Problems;
use crate::document::row::{Row, Rows};
use crate::document::tree::{Span, short};
use orlop::protection::{Family, families};
use orlop_units::{Current, show};

pub(super) fn check(rows: &Rows, problems: &mut Problems) {
    for row in rows.of("boat").chain(rows.of("circuit")) {
        let Some(list) = row.families("families") else { continue };
        if list.is_empty() {
            let what = format!("{} has no family to choose from", row.title());
            problems.add(row.at("families"), row.address("families"), what, "one or more families", "");
        }
        for (id, at) in list {
            known(row, "families", id, at, problems);
        }
    }
    for row in rows.of("circuit") {
        if let Some((Some(id), rating)) = row.device("device")
            && let Some(family) = known(row, "device", &id, row.at("device"), problems)
        {
            rated(row, family, rating, problems);
        }
    }
}

fn known(row: &Row, key: &str, id: &str, at: &Span, problems: &mut Problems) -> Option<&'static Family> {
    let found = families().iter().find(|f| f.id == id);
    if found.is_none() {
        let what = format!("{key}: there is no family '{}'", short(id));
        let hint = suggest(id, families().iter().map(|f| f.id.as_str()));
        problems.add(at, row.address(key), what, "the id of a device family", hint);
    }
    found
}

fn rated(row: &Row, family: &Family, rating: Current, problems: &mut Problems) {
    let same = |r: &Current| (*r - rating).abs() <= rating * 1e-9;
    if family.ratings.iter().any(same) {
        return;
    }
    let below = family.ratings.iter().rev().find(|r| **r < rating);
    let above = family.ratings.iter().find(|r| **r > rating);
    let near: Vec<_> = below.into_iter().chain(above).map(|r| show(*r)).collect();
    let what = format!("the family '{}' has no rating of {}", family.id, show(rating));
    let hint = format!("the nearest: {}", near.join(", "));
    problems.add(row.at("device"), row.address("device"), what, "one of the family's ratings", hint);
}
