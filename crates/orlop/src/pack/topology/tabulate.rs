//! Both orders as a table.

use super::{Failure, Variant};
use crate::table::ColumnType::{Integer, Number, Quantity as Of, Text};
use crate::table::{Cell, Schema, Table, quantity, schema};
use orlop_units::Kind;

const ORDERS: Schema = schema!("orders", "one row per order in which the same cells may be tied", [
    "order": Text, "which comes first";
    "cells": Integer, "cells";
    "monitored_voltages": Integer, "voltages that somebody must watch";
    "managers": Integer, "managers; as many disconnects, fuses and shunts";
    "series_links": Integer, "links between groups or between cells of a string";
    "rail_links": Integer, "links of the rails between cells of the groups";
    "cost": Number, "in the currency of the prices; empty without prices";
    "after_cell_open_percent": Of(Kind::Fraction), "capacity left after one cell has failed open";
    "after_cell_short_percent": Of(Kind::Fraction), "capacity left after one cell has failed short";
    "after_series_link_percent": Of(Kind::Fraction), "capacity left after one link of a row has failed; empty where there is none";
    "after_rail_link_percent": Of(Kind::Fraction), "capacity left after the worst link of a rail has failed; empty where there is none";
    "after_manager_percent": Of(Kind::Fraction), "capacity left after one manager has opened";
]);

/// Ways to tie the same cells: parts, cost, and the capacity left after each failure.
///
/// ```
/// use orlop::{cell::{Cell, ChemistryId}, pack::{Order, Pack, orders_table}, units::ampere_hours};
/// let pack = Pack::new(Cell::new(ChemistryId::Lfp, ampere_hours(230.0))?, 8, 2, Order::ParallelFirst)?;
/// assert_eq!(orders_table(&pack.both_orders(None, None)?).rows(), 2);
/// # Ok::<(), orlop::Error>(())
/// ```
#[must_use]
pub fn orders_table(variants: &[Variant]) -> Table {
    let mut table = Table::new(&ORDERS);
    for variant in variants {
        let parts = variant.parts;
        let count = |n: u64| Cell::from(usize::try_from(n).unwrap_or(usize::MAX));
        let left =
            |failure: Failure| quantity(variant.after.iter().find(|r| r.failure == failure).map(|r| r.share));
        table.push([
            Cell::from(variant.order.word()),
            count(parts.cells),
            count(parts.monitored_voltages),
            Cell::Integer(parts.managers.into()),
            count(parts.series_links),
            count(parts.rail_links),
            variant.cost.into(),
            left(Failure::CellOpen),
            left(Failure::CellShort),
            left(Failure::SeriesLink),
            left(Failure::RailLink),
            left(Failure::Manager),
        ]);
    }
    table
}
