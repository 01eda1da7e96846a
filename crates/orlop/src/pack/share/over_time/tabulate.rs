//! A run as tables.

use super::Course;
use crate::table::ColumnType::{Integer, Quantity as Of, Text};
use crate::table::{Cell, Schema, Table, quantity, schema};
use orlop_units::{Kind, joules};

const SAMPLES: Schema = schema!("pack-samples", "one row per sample", [
    "time_s": Of(Kind::Time), "since the start";
    "voltage_v": Of(Kind::Voltage), "between the terminals, under the current of the step that ends there";
]);

const BRANCHES: Schema = schema!("pack-branches", "one row per sample and branch", [
    "time_s": Of(Kind::Time), "since the start";
    "branch": Integer, "cell of a group, group by group, or string; from 1";
    "current_a": Of(Kind::Current), "discharge is positive";
]);

const CELLS: Schema = schema!("pack-cells", "one row per sample and cell", [
    "time_s": Of(Kind::Time), "since the start";
    "cell": Integer, "as the cells were given, from 1";
    "charge_percent": Of(Kind::Fraction), "of the capacity of the cell";
]);

const LINKS: Schema = schema!("pack-links", "one row per link, piece of bar and manager", [
    "what": Text, "positive rail, negative rail, bar, series or manager";
    "place": Integer, "among its like, from 1: group by group, bar by bar, string by string";
    "heat_wh": Of(Kind::Energy), "made in it during the run";
]);

impl Course {
    /// Voltage at each sample.
    #[must_use]
    pub fn samples_table(&self) -> Table {
        let mut table = Table::new(&SAMPLES);
        for (t, v) in self.time_s.iter().zip(&self.voltage_v) {
            table.push([Cell::Number(*t), Cell::Number(*v)]);
        }
        table
    }

    /// Current of each branch at each sample.
    #[must_use]
    pub fn branches_table(&self) -> Table {
        long(&BRANCHES, &self.time_s, &self.branch_current_a, 1.0)
    }

    /// Charge of each cell at each sample.
    #[must_use]
    pub fn cells_table(&self) -> Table {
        long(&CELLS, &self.time_s, &self.charge, 100.0)
    }

    /// Heat of each link, piece of bar and manager.
    #[must_use]
    pub fn links_table(&self) -> Table {
        let mut table = Table::new(&LINKS);
        for (what, heat) in self.link_heat_j.lists() {
            for (place, j) in heat.iter().enumerate() {
                table.push([Cell::from(what), Cell::from(place + 1), quantity(Some(joules(*j)))]);
            }
        }
        table
    }
}

fn long(schema: &Schema, times: &[f64], values: &[Vec<f64>], scale: f64) -> Table {
    let mut table = Table::new(schema);
    for (t, row) in times.iter().zip(values) {
        for (k, value) in row.iter().enumerate() {
            table.push([Cell::Number(*t), Cell::Integer(k as i64 + 1), Cell::Number(scale * value)]);
        }
    }
    table
}
