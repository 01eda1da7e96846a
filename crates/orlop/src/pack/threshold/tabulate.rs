//! Thresholds as a table.

use super::Ladder;
use crate::table::ColumnType::{Integer, Quantity as Of, Text};
use crate::table::{Cell, Schema, Table, quantity, schema};
use orlop_units::Kind;

const THRESHOLDS: Schema = schema!("thresholds", "one row per threshold, by rising setting per cell", [
    "threshold": Text, "name";
    "role": Text, "what it does";
    "setting_v": Of(Kind::Voltage), "its setting at its own terminals";
    "cells": Integer, "cells in series that it reads";
    "per_cell_v": Of(Kind::Voltage), "its setting over the cells it reads";
    "low_v": Of(Kind::Voltage), "the lowest that a cell can be when it acts";
    "high_v": Of(Kind::Voltage), "the highest that a cell can be when it acts";
]);

impl Ladder {
    /// Every threshold with its setting per cell, and where a cell can be when it acts.
    ///
    /// ```
    /// use orlop::{pack::threshold::{Ladder, Role, Rung}, units::volts};
    /// let rungs = vec![Rung::new("shore", Role::ChargeTarget, volts(28.4), 8)?, Rung::new("cell full", Role::HighLimit, volts(3.65), 1)?];
    /// assert_eq!(Ladder::new(rungs)?.table().rows(), 2);
    /// # Ok::<(), orlop::Error>(())
    /// ```
    #[must_use]
    pub fn table(&self) -> Table {
        let mut table = Table::new(&THRESHOLDS);
        for rung in self.rungs() {
            let (low, high) = rung.ends();
            table.push([
                Cell::from(rung.id()),
                rung.role().word().into(),
                quantity(Some(rung.setting())),
                Cell::Integer(rung.cells().into()),
                quantity(Some(rung.per_cell())),
                quantity(Some(low)),
                quantity(Some(high)),
            ]);
        }
        table
    }
}
