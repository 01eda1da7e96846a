//! Places must lie in a space; trunks must have a length and lie in spaces.

use crate::document::problem::Problems;
use crate::document::row::{Corner, Row, Rows};
use crate::document::tree::Span;
use crate::model::{Block, Point};
use orlop_units::{Quantity, Temperature, total_cmp};

/// Points this near to a box count as inside, m.
const TOUCH: f64 = 1e-6;

pub(super) fn check(rows: &Rows, problems: &mut Problems) {
    for row in rows.of("place") {
        let unread = row.given("space") || row.broken.contains(&"at");
        if let Some(at) = row.point("at").filter(|_| !unread && boxes_are_read(rows))
            && hottest_space(rows, at).is_none()
        {
            let what = format!("{} is in no space", row.title());
            problems.add(
                row.at("at"),
                row.address("at"),
                what,
                "a point inside one of the boxes",
                no_space(rows, at),
            );
        }
    }
    for row in rows.of("trunk") {
        trunk(rows, row, problems);
    }
}

/// Whether the boxes of all spaces could be read; else nothing can be said about points.
fn boxes_are_read(rows: &Rows) -> bool {
    rows.of("space").all(|r| !r.broken.contains(&"boxes"))
}

fn no_space(rows: &Rows, at: Point) -> String {
    let gap = |b: &Block| {
        let out = |v: f64, low: f64, high: f64| (low - v).max(v - high).max(0.0);
        let (x, y, z) =
            (out(at.x, b.low.x, b.high.x), out(at.y, b.low.y, b.high.y), out(at.z, b.low.z, b.high.z));
        x.mul_add(x, y.mul_add(y, z * z)).sqrt()
    };
    rows.of("space")
        .filter_map(|r| Some((r.boxes("boxes")?.iter().map(gap).min_by(f64::total_cmp)?, r)))
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map_or_else(
            || "give a space its boxes, or name the space: space = \"...\"".to_string(),
            |(gap, r)| {
                format!(
                    "the nearest is '{}', {gap:.2} m away: enlarge its boxes, or write space = \"{0}\"",
                    r.id
                )
            },
        )
}

/// The hottest space whose boxes hold a point; the first of equals.
pub(in crate::document) fn hottest_space(rows: &Rows, at: Point) -> Option<&Row> {
    let inside = |b: &Block| {
        let within = |v: f64, low: f64, high: f64| v >= low - TOUCH && v <= high + TOUCH;
        within(at.x, b.low.x, b.high.x) && within(at.y, b.low.y, b.high.y) && within(at.z, b.low.z, b.high.z)
    };
    let ambient = |r: &Row| r.quantity::<Temperature>("ambient").unwrap_or(Temperature::celsius(-273.0));
    let mut best: Option<&Row> = None;
    for row in rows.of("space").filter(|r| r.boxes("boxes").is_some_and(|list| list.iter().any(inside))) {
        if best.is_none_or(|b| total_cmp(ambient(row), ambient(b)).is_gt()) {
            best = Some(row);
        }
    }
    best
}

/// The corner points of a trunk, when all of them are known.
pub(in crate::document) fn corner_points(rows: &Rows, trunk: &Row) -> Option<Vec<(Point, Span)>> {
    trunk
        .corners("path")?
        .iter()
        .map(|(corner, at)| match corner {
            Corner::Point(p) => Some((*p, at.clone())),
            Corner::Place(id) => rows.find("place", id)?.point("at").map(|p| (p, at.clone())),
        })
        .collect()
}

fn trunk(rows: &Rows, row: &Row, problems: &mut Problems) {
    let Some(points) = corner_points(rows, row) else { return };
    let length: f64 = points.windows(2).map(|w| w[0].0.distance(w[1].0).si()).sum();
    if length <= 1e-3 {
        let what = format!("{} has no length: all its corners are one point", row.title());
        problems.add(row.at("path"), row.address("path"), what, "corners apart from each other", "");
        return;
    }
    if row.given("space") || !boxes_are_read(rows) {
        return;
    }
    let corners = row.corners("path").unwrap_or_default();
    for ((point, at), (corner, _)) in points.iter().zip(corners) {
        // A place says for itself that it lies in no space.
        if matches!(corner, Corner::Point(_)) && hottest_space(rows, *point).is_none() {
            let what = format!("a corner of {} is in no space", row.title());
            problems.add(
                at,
                row.address("path"),
                what,
                "a point inside one of the boxes",
                no_space(rows, *point),
            );
        }
    }
}
