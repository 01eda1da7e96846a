//! Fault levels as tables.

use super::{FaultLevel, FaultLevels, Through};
use crate::table::{ColumnType, Schema, Table, quantity, schema};
use ColumnType::{Flag, Quantity as Of, Text};
use orlop_units::{Current, Kind, show};

const NODES: Schema = schema!("fault_levels", "one row per node", [
    "node": Text, "name of the node";
    "low_a": Of(Kind::Current), "lower bound of the current into a bolted fault to return";
    "high_a": Of(Kind::Current), "upper bound";
    "pulse_a": Of(Kind::Current), "what capacitors add in the first instant";
    "contributions": Text, "who feeds it at the upper bound";
    "open": Text, "sources open or off at the lower bound";
    "limited": Flag, "only sources that limit their own current feed it";
    "flags": Text, "what a reader must know";
]);

const THROUGH: Schema = schema!("fault_through", "one row per conductor, device or diode", [
    "branch": Text, "its id";
    "forward_low_a": Of(Kind::Current), "for a fault at its second end, lower bound";
    "forward_high_a": Of(Kind::Current), "for a fault at its second end, upper bound";
    "backward_low_a": Of(Kind::Current), "back-feed, for a fault at its first end, lower bound";
    "backward_high_a": Of(Kind::Current), "back-feed, upper bound";
    "low_a": Of(Kind::Current), "least current with which it must open";
    "high_a": Of(Kind::Current), "most that it must break";
    "open": Text, "sources open or off where the least current flows";
    "limited": Flag, "only sources that limit their own current feed it";
    "flags": Text, "what a reader must know";
]);

impl FaultLevels {
    /// One row for each node but that of zero volts.
    #[must_use]
    pub fn nodes_table(&self) -> Table {
        let mut table = Table::new(&NODES);
        for level in self.nodes.iter().skip(1) {
            table.push([
                level.node.as_str().into(),
                quantity(level.total.low()),
                quantity(level.total.high()),
                quantity(level.pulse),
                feeders(level).into(),
                list(&level.open).into(),
                level.limited.into(),
                list(&level.flags).into(),
            ]);
        }
        table
    }

    /// One row for each branch.
    #[must_use]
    pub fn through_table(&self) -> Table {
        let mut table = Table::new(&THROUGH);
        for Through { branch, forward, backward, through, open, limited, flags } in &self.through {
            table.push([
                branch.as_str().into(),
                quantity(forward.low()),
                quantity(forward.high()),
                quantity(backward.low()),
                quantity(backward.high()),
                quantity(through.low()),
                quantity(through.high()),
                list(open).into(),
                (*limited).into(),
                list(flags).into(),
            ]);
        }
        table
    }
}

fn list(texts: &[String]) -> Option<String> {
    (!texts.is_empty()).then(|| texts.join("; "))
}

fn feeders(level: &FaultLevel) -> Option<String> {
    let amps = |c: Option<Current>| c.map_or_else(|| "not known".into(), show);
    let all: Vec<_> = level.contributions.iter().map(|c| format!("{} {}", c.id, amps(c.upper))).collect();
    list(&all)
}
