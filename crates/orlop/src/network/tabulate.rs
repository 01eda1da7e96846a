//! An operating point as tables.

use super::operating::Operating;
use crate::table::ColumnType::{Flag, Quantity as Of, Text};
use crate::table::{Cell, Schema, Table, quantity, schema};
use orlop_units::{Kind, Power, Quantity, amperes, volts};

const NODES: Schema = schema!("nodes", "one row per node", [
    "node": Text, "name";
    "voltage_v": Of(Kind::Voltage), "against the return; empty in the dark";
    "dark": Flag, "nothing feeds it";
]);

const ELEMENTS: Schema = schema!("elements", "one row per source, branch, load and converter", [
    "id": Text, "name";
    "kind": Text, "source, branch, load or converter";
    "from": Text, "first node";
    "to": Text, "second node";
    "current_a": Of(Kind::Current), "first node to second; out of the first node of a source or converter";
    "across_v": Of(Kind::Voltage), "first node against second; empty in the dark";
    "power_w": Of(Kind::Power), "drawn by a branch or load, given by a source or converter";
]);

impl Operating {
    /// Volts of every node.
    #[must_use]
    pub fn nodes_table(&self) -> Table {
        let mut table = Table::new(&NODES);
        for (at, name) in self.network().nodes().iter().enumerate() {
            let dark = self.is_dark(at);
            table.push([Cell::from(name.as_str()), quantity(self.voltage_at(at)), dark.into()]);
        }
        table
    }

    /// Current, voltage and power of every element.
    #[must_use]
    pub fn elements_table(&self) -> Table {
        let net = self.network();
        let mut table = Table::new(&ELEMENTS);
        let mut row = |id: &str, kind: &str, from: usize, to: usize, amps: f64| {
            let across = self.voltage_at(from).zip(self.voltage_at(to)).map(|(a, b)| a - b);
            let power = across.map(|u| Power::from_si(u.si() * amps));
            table.push([
                Cell::from(id),
                kind.into(),
                net.nodes()[from].as_str().into(),
                net.nodes()[to].as_str().into(),
                quantity(Some(amperes(amps))),
                quantity(across.map(|u| volts(u.si()))),
                quantity(power),
            ]);
        };
        for (s, amps) in net.sources().iter().zip(self.source_amperes()) {
            row(&s.id, "source", s.from, s.to, *amps);
        }
        for (b, amps) in net.branches().iter().zip(self.branch_amperes()) {
            row(&b.id, "branch", b.from, b.to, *amps);
        }
        for (l, amps) in net.loads().iter().zip(self.load_amperes()) {
            row(&l.id, "load", l.from, l.to, *amps);
        }
        for (c, amps) in net.converters().iter().zip(self.converter_amperes()) {
            row(&c.output.id, "converter", c.output.from, c.output.to, *amps);
        }
        table
    }
}
