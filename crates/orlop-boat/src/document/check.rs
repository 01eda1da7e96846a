//! Cross checks between sections: one clear error each, with its place.

mod cells;
mod circuit;
mod device;
mod feed;
mod found;
mod ground;
mod place;
mod reference;
mod scenario;

pub(super) use circuit::FEEDS;
pub(super) use place::{corner_points, hottest_space};

use super::problem::Problems;
use super::row::Rows;

/// Runs every cross check.
pub(super) fn all(rows: &Rows, problems: &mut Problems) {
    reference::check(rows, problems);
    place::check(rows, problems);
    circuit::check(rows, problems);
    device::check(rows, problems);
    feed::check(rows, problems);
    ground::check(rows, problems);
    found::check(rows, problems);
    scenario::check(rows, problems);
    source(rows, problems);
    bank(rows, problems);
    load(rows, problems);
    cells::check(rows, problems);
}

fn source(rows: &Rows, problems: &mut Problems) {
    for row in rows.of("source").filter(|r| r.text("kind") == Some("converter")) {
        for key in ["nominal", "efficiency"] {
            if !row.given(key) {
                let what = format!("the converter '{}' has no {key}", row.id);
                let hint =
                    if key == "nominal" { "add nominal = \"12 V\"" } else { "add efficiency = \"90 %\"" };
                problems.add(&row.at, row.address(key), what, format!("its {key}"), hint);
            }
        }
    }
}

fn bank(rows: &Rows, problems: &mut Problems) {
    use orlop_units::{Voltage, show};
    for row in rows.of("bank") {
        let volts = |key| row.quantity::<Voltage>(key);
        for (lower, upper) in [
            ("lowest", "highest"),
            ("lowest", "nominal"),
            ("nominal", "highest"),
            ("open_circuit", "highest"),
        ] {
            if let (Some(low), Some(high)) = (volts(lower), volts(upper))
                && low > high
            {
                let what = format!("{lower} {} is above {upper} {}", show(low), show(high));
                problems.add(row.at(lower), row.address(lower), what, format!("{lower} <= {upper}"), "");
                break;
            }
        }
    }
}

fn load(rows: &Rows, problems: &mut Problems) {
    for row in rows.of("load") {
        for state in ["idle", "peak", "start", "stall"] {
            let time = format!("{state}_time");
            if row.given(&time) && !row.given(state) {
                let what = format!("{} has {time} but no {state}", row.title());
                problems.add(row.at(&time), row.address(&time), what, format!("{state} beside it"), "");
            }
        }
        for state in ["idle", "peak"] {
            let hours = format!("{state}_hours");
            if row.given(&hours) && !row.given(state) {
                let what = format!("{} has {hours} but no {state}", row.title());
                problems.add(row.at(&hours), row.address(&hours), what, format!("{state} beside it"), "");
            }
        }
    }
}
