//! The tables of the boat as a network: volts, currents, waterfalls, dips, fault levels, single failures.

use super::{Flag, Integer, Of, Text};
use crate::design::Design;
use crate::network::NodeKind;
use orlop::Table;
use orlop::table::{Cell, Schema, quantity, schema};
use orlop_units::{Kind, Quantity, Voltage};

pub(super) const NODES: Schema = schema!("nodes", "one row per node and case: volts by the network of the whole boat", [
    "node": Text, "address; a circuit stands for its far end";
    "name": Text, "name for people";
    "kind": Text, "bank, panel, source, far end";
    "case": Text, "scenario, and low or high: the bank at its lowest or highest service voltage";
    "voltage_v": Of(Kind::Voltage), "volts there, empty in the dark";
    "loads": Text, "loads there that are on";
    "minimum_v": Of(Kind::Voltage), "highest of the lowest voltages that they state";
    "margin_v": Of(Kind::Voltage), "volts above it";
]);

pub(super) const CURRENTS: Schema = schema!("currents", "one row per circuit and case in which it carries current, by the network of the whole boat", [
    "circuit": Text, "id of the circuit";
    "case": Text, "scenario and corner";
    "current_a": Of(Kind::Current), "all runs together, away from the bank; below zero when charging";
    "temperature_degc": Of(Kind::Temperature), "of the metal, where it settles";
    "drop_v": Of(Kind::Voltage), "from its beginning to its end";
    "heat_w": Of(Kind::Power), "lost in it";
]);

pub(super) const DROPS: Schema = schema!("drops", "one row per step of the way to each load, in the case of its lowest voltage", [
    "load": Text, "id of the load";
    "case": Text, "scenario and corner";
    "step": Integer, "from the source on; 0 is the source";
    "circuit": Text, "circuit that loses the volts";
    "part": Text, "source, conductor, device, joints, switch";
    "drop_v": Of(Kind::Voltage), "volts lost there";
    "left_v": Of(Kind::Voltage), "volts left behind it";
]);

pub(super) const DIPS: Schema = schema!("dips", "one row per load and other load that feels its start, stall or short peak, in the worst scenario", [
    "cause": Text, "load that starts, stalls or peaks";
    "state": Text, "start, stall, peak";
    "load": Text, "load that is on and feels it";
    "case": Text, "scenario and corner";
    "before_v": Of(Kind::Voltage), "volts at it before";
    "during_v": Of(Kind::Voltage), "volts in the moment; empty when the network cannot carry it";
    "in_bank_v": Of(Kind::Voltage), "what of the dip the bank's own resistance takes";
    "minimum_v": Of(Kind::Voltage), "lowest voltage that it states";
]);

pub(super) const FAULTS: Schema = schema!("faults", "one row per node, and one per device", [
    "subject": Text, "address of the node, or of the circuit whose device it is";
    "what": Text, "node: current into a bolted fault there; device: current through the device of one run";
    "low_a": Of(Kind::Current), "least: end of discharge, aged, conductors hot; of a device, for a fault at the far end";
    "high_a": Of(Kind::Current), "most: charging, new, conductors cold; of a device, for a fault at its terminals";
    "back_a": Of(Kind::Current), "most that flows backward through the device";
    "pulse_a": Of(Kind::Current), "what capacitors add in the first instant";
    "open": Text, "sources open or off at the least current";
    "limited": Flag, "only sources that limit their own current feed it";
    "remarks": Text, "what a reader must know";
]);

pub(super) const FAILURES: Schema = schema!("single_failures", "one row per part that is out by itself", [
    "part": Text, "its address";
    "kind": Text, "bank, one string, panel, converter, circuit, one run";
    "dark": Integer, "loads that go dark";
    "essential": Text, "essential loads among them";
    "loads": Text, "all of them";
]);

pub(super) fn nodes(design: &Design) -> Table {
    let (network, boat) = (&design.network, &design.boat);
    let mut table = Table::new(&NODES);
    for (n, node) in network.nodes.iter().enumerate() {
        for case in &network.cases {
            let on: Vec<usize> = node.loads.iter().copied().filter(|l| case.feeds(*l)).collect();
            let ids: Vec<&str> = on.iter().map(|l| boat.loads[*l].id.as_str()).collect();
            let least = on.iter().filter_map(|l| boat.loads[*l].minimum).reduce(Voltage::max);
            let least = least.filter(|_| node.kind == NodeKind::End);
            table.push([
                node.id.as_str().into(),
                node.name.as_str().into(),
                node.kind.word().into(),
                case.case.as_str().into(),
                quantity(case.volts[n]),
                (!ids.is_empty()).then(|| ids.join(", ")).into(),
                quantity(least),
                quantity(case.volts[n].zip(least).map(|(v, m)| v - m)),
            ]);
        }
    }
    table
}

pub(super) fn currents(design: &Design) -> Table {
    let network = &design.network;
    let mut table = Table::new(&CURRENTS);
    for (at, circuit) in design.boat.circuits.iter().enumerate() {
        for case in network.cases.iter().filter(|c| c.currents[at].si() != 0.0) {
            let (from, to) = network.ends[at];
            let drop = case.volts[from].zip(case.volts[to]).map(|(a, b)| a - b);
            table.push([
                circuit.id.as_str().into(),
                case.case.as_str().into(),
                quantity(Some(case.currents[at])),
                quantity(Some(case.temperatures[at])),
                quantity(drop),
                quantity(drop.map(|v| v * case.currents[at])),
            ]);
        }
    }
    table
}

pub(super) fn drops(design: &Design) -> Table {
    let (network, boat) = (&design.network, &design.boat);
    let mut table = Table::new(&DROPS);
    for w in &network.waterfalls {
        let mut row = |step: usize, circuit: Cell, part: &str, drop: Option<Voltage>, left: Voltage| {
            table.push([
                boat.loads[w.load].id.as_str().into(),
                w.case.as_str().into(),
                step.into(),
                circuit,
                part.into(),
                quantity(drop),
                quantity(Some(left)),
            ]);
        };
        row(0, Cell::Null, "source", None, w.from);
        for (n, s) in w.steps.iter().enumerate() {
            row(n + 1, boat.circuits[s.circuit].id.as_str().into(), s.part.word(), Some(s.drop), s.left);
        }
    }
    table
}

pub(super) fn dips(design: &Design) -> Table {
    let boat = &design.boat;
    let mut table = Table::new(&DIPS);
    for dip in &design.network.dips {
        table.push([
            boat.loads[dip.cause].id.as_str().into(),
            dip.state.word().into(),
            boat.loads[dip.victim].id.as_str().into(),
            dip.case.as_str().into(),
            quantity(Some(dip.before)),
            quantity(dip.during),
            quantity(Some(dip.in_bank)),
            quantity(boat.loads[dip.victim].minimum),
        ]);
    }
    table
}

pub(super) fn faults(design: &Design) -> Table {
    let network = &design.network;
    let list = |texts: &[String]| (!texts.is_empty()).then(|| texts.join("; "));
    let mut table = Table::new(&FAULTS);
    for (n, node) in network.nodes.iter().enumerate() {
        let Some(level) = network.level(n) else { continue };
        table.push([
            node.id.as_str().into(),
            "node".into(),
            quantity(level.total.low()),
            quantity(level.total.high()),
            Cell::Null,
            quantity(level.pulse),
            list(&level.open).into(),
            level.limited.into(),
            list(&level.flags).into(),
        ]);
    }
    for device in &network.devices {
        table.push([
            format!("circuit.{}", device.circuit).into(),
            "device".into(),
            quantity(device.through.low()),
            quantity(device.through.high()),
            quantity(device.back),
            Cell::Null,
            list(&device.open).into(),
            device.limited.into(),
            list(&device.flags).into(),
        ]);
    }
    table
}

pub(super) fn failures(design: &Design) -> Table {
    let boat = &design.boat;
    let mut table = Table::new(&FAILURES);
    for failure in &design.network.failures {
        let ids = |essential: bool| {
            let dark = failure.dark.iter().map(|l| &boat.loads[*l]);
            let wanted: Vec<&str> =
                dark.filter(|l| l.essential || !essential).map(|l| l.id.as_str()).collect();
            (!wanted.is_empty()).then(|| wanted.join(", "))
        };
        table.push([
            failure.part.as_str().into(),
            failure.kind.word().into(),
            failure.dark.len().into(),
            ids(true).into(),
            ids(false).into(),
        ]);
    }
    table
}
