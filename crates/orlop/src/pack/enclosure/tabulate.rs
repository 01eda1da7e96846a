//! Arrangements as a table.

use super::{Arrangement, Inside};
use crate::table::ColumnType::{Flag, Integer, Quantity as Of, Text};
use crate::table::{Cell, Schema, Table, quantity, schema};
use orlop_units::Kind;

const ARRANGEMENTS: Schema = schema!("arrangements", "one row per arrangement, the smallest first", [
    "stance": Text, "how the cells stand";
    "along": Integer, "rows along the length";
    "across": Integer, "rows across the width";
    "up": Integer, "layers";
    "length_m": Of(Kind::Length), "inside that it needs";
    "width_m": Of(Kind::Length), "inside that it needs";
    "height_m": Of(Kind::Length), "inside that it needs";
    "fits": Flag, "whether the box has it";
    "lacks_m": Of(Kind::Length), "the most that a side of the box lacks";
]);

/// Arrangements with what each needs, and whether a box has it.
///
/// ```
/// use orlop::{cell::Size, pack::enclosure::{arrangements, arrangements_table, Gaps, Inside, Stance}, units::metres};
/// let (size, none) = (Size::parse("54 x 174 x 207 mm", "size")?, metres(0.0));
/// let all = arrangements(size, 2, &[Stance::Upright], 1, &Gaps::new(none, none, none)?)?;
/// let inside = Inside::new(metres(0.2), metres(0.2), metres(0.3))?;
/// assert_eq!(arrangements_table(&all, &inside).rows(), all.len());
/// # Ok::<(), orlop::Error>(())
/// ```
#[must_use]
pub fn arrangements_table(all: &[Arrangement], inside: &Inside) -> Table {
    let mut table = Table::new(&ARRANGEMENTS);
    for one in all {
        let [along, across, up] = one.rows.map(|r| Cell::Integer(r.count.into()));
        let [a, b, c] = one.lacks(inside);
        let most = [b, c].into_iter().fold(a, |most, l| if l > most { l } else { most });
        table.push([
            Cell::from(one.stance.word()),
            along,
            across,
            up,
            quantity(Some(one.needs.length)),
            quantity(Some(one.needs.width)),
            quantity(Some(one.needs.height)),
            one.fits(inside).into(),
            quantity(Some(most)),
        ]);
    }
    table
}
