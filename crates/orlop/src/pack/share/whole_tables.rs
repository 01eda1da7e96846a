//! How a pack shares its current, as tables.

use super::PackSharing;
use crate::table::ColumnType::{Integer, Quantity as Of, Text};
use crate::table::{Cell, Schema, Table, quantity, schema};
use orlop_units::Kind;

const CELLS: Schema = schema!("pack-share-cells", "one row per cell", [
    "cell": Integer, "as the cells were given, from 1";
    "branch": Integer, "cell of a group, group by group, or string; from 1";
    "current_a": Of(Kind::Current), "discharge is positive";
    "share_percent": Of(Kind::Fraction), "of the current of the pack; empty without one";
    "heat_w": Of(Kind::Power), "in the cell";
]);

const LINKS: Schema = schema!("pack-share-links", "one row per link, piece of bar and manager", [
    "what": Text, "positive rail, negative rail, bar, series or manager";
    "place": Integer, "among its like, from 1: group by group, bar by bar, string by string";
    "current_a": Of(Kind::Current), "on rails and bars positive towards higher cells";
    "heat_w": Of(Kind::Power), "in it";
]);

impl PackSharing {
    /// Current, share and heat of each cell.
    #[must_use]
    pub fn cells_table(&self) -> Table {
        let mut table = Table::new(&CELLS);
        let each = self.cell_heat.len() / self.currents.len().max(1);
        for (cell, heat) in self.cell_heat.iter().enumerate() {
            let branch = cell / each.max(1);
            table.push([
                Cell::from(cell + 1),
                Cell::from(branch + 1),
                quantity(Some(self.currents[branch])),
                quantity(self.shares[branch]),
                quantity(Some(*heat)),
            ]);
        }
        table
    }

    /// Current and heat of each link, piece of bar and manager.
    #[must_use]
    pub fn links_table(&self) -> Table {
        let mut table = Table::new(&LINKS);
        for ((what, amperes), (_, watts)) in
            self.link_current_a.lists().into_iter().zip(self.link_heat_w.lists())
        {
            for (place, (i, p)) in amperes.iter().zip(watts).enumerate() {
                table.push([Cell::from(what), Cell::from(place + 1), Cell::from(*i), Cell::from(*p)]);
            }
        }
        table
    }
}
