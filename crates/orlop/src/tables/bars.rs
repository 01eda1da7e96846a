//! Current of flat bars, factor of lap joints, fill of conduits.

use super::{DataFile, file};

/// A cell of a bar table: width and thickness in mm, current in A.
#[must_use]
pub fn bar_current(
    name: &str,
    column: &str,
    width_mm: f64,
    thickness_mm: f64,
) -> Option<(f64, crate::Citation)> {
    let same = |a: f64, b: f64| (a - b).abs() < 1e-6;
    file(name)
        .rows()
        .filter(|row| {
            same(row.number("width_mm"), width_mm) && same(row.number("thickness_mm"), thickness_mm)
        })
        .find_map(|row| {
            let citation =
                crate::Citation { reading: row.text("reading").to_string().into(), ..row.citation() };
            row.optional(column).map(|current| (current, citation))
        })
}

/// The bars a table holds a value for in a column, as "20 x 5".
#[must_use]
pub fn bar_names(name: &str, column: &str) -> Vec<String> {
    let rows = file(name).rows().filter(|row| row.optional(column).is_some());
    rows.map(|row| format!("{} x {}", row.text("width_mm"), row.text("thickness_mm"))).collect()
}

/// Streamline factors by overlap over thickness, ascending.
#[must_use]
pub fn streamline() -> Vec<(f64, f64)> {
    let rows = file("joint_streamline").rows();
    rows.map(|row| (row.number("overlap_over_thickness"), row.number("factor"))).collect()
}

/// The table of conduit fill, and the share for so many cables.
#[must_use]
pub fn conduit_fill(cables: usize) -> (&'static DataFile, f64) {
    let table = file("conduit_fill");
    let share = table
        .rows()
        .filter(|row| row.number("cables_from") <= cables.max(1) as f64)
        .last()
        .expect("the table starts at one cable")
        .number("share_percent");
    (table, share / 100.0)
}
