//! Banks built from cells as tables: both orders side by side, every delivered cell, every threshold.

use super::{Flag, Integer, Of, Schema, Text, schema};
use crate::bank::{BankAnswer, Tied};
use crate::design::Design;
use crate::model::Build;
use orlop::Table;
use orlop::pack::Failure;
use orlop::table::{Cell, quantity};
use orlop_units::{Fraction, Kind, seconds};

pub(super) const BANK: Schema = schema!("bank", "one row per bank built from cells and order of tying its cells; the first is the one built", [
    "bank": Text, "id in the boat file";
    "order": Text, "parallel-first or series-first";
    "built": Flag, "tied so on the boat";
    "cell": Text, "section of its cells";
    "series": Integer, "cells or groups in a row";
    "parallel": Integer, "cells or strings side by side";
    "managers": Integer, "managers needed; as many disconnects and fuses";
    "monitored_voltages": Integer, "voltages watched";
    "links": Integer, "links between cells, groups and rails";
    "nominal_v": Of(Kind::Voltage), "nominal voltage of its cells";
    "capacity_ah": Of(Kind::Charge), "of equal cells, by the sheet";
    "assigned_ah": Of(Kind::Charge), "of the delivered cells as they are best tied";
    "delivery_order_ah": Of(Kind::Charge), "of the same in the order of delivery";
    "energy_wh": Of(Kind::Energy), "nominal voltage times capacity of equal cells";
    "mass_kg": Of(Kind::Mass), "of the cells alone";
    "string_low_ohm": Of(Kind::Resistance), "one string (parallel first: the whole), warm and new";
    "string_high_ohm": Of(Kind::Resistance), "the same, cold and aged";
    "fault_low_a": Of(Kind::Current), "bolted fault at the terminals, one string open where there are more";
    "fault_high_a": Of(Kind::Current), "bolted fault at the terminals, all closed";
    "from_others_high_a": Of(Kind::Current), "what the other strings send into a fault inside one";
    "cell_open_percent": Of(Kind::Fraction), "capacity left after a cell opens";
    "cell_short_percent": Of(Kind::Fraction), "after a cell shorts inside";
    "series_link_percent": Of(Kind::Fraction), "after a link in a row breaks";
    "rail_link_percent": Of(Kind::Fraction), "after a link of a rail breaks, at worst";
    "manager_percent": Of(Kind::Fraction), "after a manager opens";
    "switch_hot_degc": Of(Kind::Temperature), "the switch of each manager at the loads' lasting current, with one string lost where there are more";
    "switch_loss_w": Of(Kind::Power), "its loss then";
    "coil_day_wh": Of(Kind::Energy), "what the coils of all managers take in a day closed";
    "remarks": Text, "what was assumed";
]);

pub(super) const CELLS: Schema = schema!("cells", "one row per delivered cell", [
    "bank": Text, "bank it was bought for";
    "cell": Text, "serial";
    "use": Text, "in use, spare or rejected; empty where nothing could be assigned";
    "group": Integer, "string or parallel group, counted from 1; empty when not in use";
    "capacity_ah": Of(Kind::Charge), "as tested";
    "share_percent": Of(Kind::Fraction), "of the current of its group, links left out";
    "resistance_dc_ohm": Of(Kind::Resistance), "after ten seconds of direct current";
    "resistance_1khz_ohm": Of(Kind::Resistance), "at 1 kHz";
    "arrival_v": Of(Kind::Voltage), "voltage on arrival";
    "self_discharge_v": Of(Kind::Voltage), "fall of its rest voltage";
    "mass_kg": Of(Kind::Mass), "its mass";
    "flags": Text, "measures that stand out, with what to do";
]);

pub(super) const THRESHOLDS: Schema = schema!("thresholds", "one row per threshold, the lowest first", [
    "bank": Text, "bank it acts on";
    "threshold": Text, "id in the boat file";
    "role": Text, "what it does";
    "setting_v": Of(Kind::Voltage), "at its own terminals";
    "cell_v": Of(Kind::Voltage), "the same per cell";
    "cell_low_v": Of(Kind::Voltage), "lowest that a cell can stand at when it acts";
    "cell_high_v": Of(Kind::Voltage), "highest that a cell can stand at when it acts";
]);

/// Banks with how they are built up.
fn built(design: &Design) -> impl Iterator<Item = (&BankAnswer, &Build)> {
    let build = |answer: &BankAnswer| design.boat.bank(&answer.bank).and_then(|b| b.build.as_ref());
    design.bank.iter().filter_map(move |answer| Some((answer, build(answer)?)))
}

pub(super) fn bank(design: &Design) -> Table {
    let mut table = Table::new(&BANK);
    for (answer, build) in built(design) {
        for tied in &answer.orders {
            table.push(row(answer, build, tied));
        }
    }
    table
}

fn row(answer: &BankAnswer, build: &Build, tied: &Tied) -> [Cell; 29] {
    let (pack, parts) = (&tied.pack, &tied.parts);
    let left = |failure: Failure| -> Cell {
        quantity::<Fraction>(tied.after.iter().find(|r| r.failure == failure).map(|r| r.share))
    };
    let fault = tied.fault.as_ref();
    let whole = |n: u64| Cell::Integer(i64::try_from(n).unwrap_or(i64::MAX));
    let flags = fault.map(|f| f.flags.join("; "));
    let managers = f64::from(parts.managers);
    let hot = build.disconnect.as_ref().and_then(|d| d.warming.as_ref()).and_then(|w| {
        let (_, each) = answer.asked.through_each(parts.managers);
        w.switch.under(each, w.ambient).ok()
    });
    let coil = build.disconnect.as_ref().and_then(|d| d.coil);
    let day = coil.and_then(|c| c.energy(seconds(86_400.0), 1).ok()).map(|e| e * managers);
    [
        answer.bank.as_str().into(),
        pack.order().word().into(),
        tied.built.into(),
        build.cell.as_str().into(),
        i64::from(pack.series()).into(),
        i64::from(pack.parallel()).into(),
        i64::from(parts.managers).into(),
        whole(parts.monitored_voltages),
        whole(parts.series_links + parts.rail_links),
        quantity(Some(pack.nominal_voltage())),
        quantity(Some(pack.capacity())),
        quantity(tied.assignment.as_ref().map(orlop::pack::assign::Assignment::capacity)),
        quantity(tied.assignment.as_ref().map(orlop::pack::assign::Assignment::delivery_order)),
        quantity(Some(pack.energy())),
        quantity(pack.mass()),
        quantity(fault.and_then(|f| f.string_resistance.low())),
        quantity(fault.and_then(|f| f.string_resistance.high())),
        quantity(fault.and_then(|f| f.current.low())),
        quantity(fault.and_then(|f| f.current.high())),
        quantity(fault.and_then(|f| f.from_others).and_then(|r| r.high())),
        left(Failure::CellOpen),
        left(Failure::CellShort),
        left(Failure::SeriesLink),
        left(Failure::RailLink),
        left(Failure::Manager),
        quantity(hot.map(|w| w.temperature)),
        quantity(hot.map(|w| w.loss)),
        quantity(day),
        flags.into(),
    ]
}

pub(super) fn cells(design: &Design) -> Table {
    let mut table = Table::new(&CELLS);
    for (answer, build) in built(design) {
        let Some(delivery) = &build.delivery else { continue };
        let assignment = answer.built().assignment.as_ref();
        let groups = assignment.map(orlop::pack::assign::Assignment::groups).unwrap_or_default();
        let spares = assignment.map(orlop::pack::assign::Assignment::spares).unwrap_or_default();
        let flags = delivery.flags();
        for cell in delivery.cells() {
            let found = groups.iter().enumerate().find_map(|(at, group)| {
                let place = group.cells.iter().position(|c| c == cell.id())?;
                Some((at + 1, group.shares.get(place).copied()))
            });
            let used = match found {
                Some(_) => Some("in use"),
                None if spares.iter().any(|s| s == cell.id()) => Some("spare"),
                None => assignment.map(|_| "rejected"),
            };
            let own: Vec<String> = flags
                .iter()
                .filter(|f| f.cell == cell.id())
                .map(|f| format!("{} ({})", f.measure.word(), f.advice.word()))
                .collect();
            table.push([
                answer.bank.as_str().into(),
                cell.id().into(),
                used.into(),
                found.map(|(group, _)| group).into(),
                quantity(Some(cell.capacity())),
                quantity(found.and_then(|(_, share)| share)),
                quantity(cell.resistance_dc()),
                quantity(cell.resistance_1khz()),
                quantity(cell.arrival_voltage()),
                quantity(cell.self_discharge()),
                quantity(cell.mass()),
                (!own.is_empty()).then(|| own.join(", ")).into(),
            ]);
        }
    }
    table
}

pub(super) fn thresholds(design: &Design) -> Table {
    let mut table = Table::new(&THRESHOLDS);
    for (answer, build) in built(design) {
        for rung in build.ladder.iter().flat_map(|l| l.rungs()) {
            let at_cell = rung.at_cell();
            table.push([
                answer.bank.as_str().into(),
                rung.id().into(),
                rung.role().word().into(),
                quantity(Some(rung.setting())),
                quantity(Some(rung.per_cell())),
                quantity(at_cell.low()),
                quantity(at_cell.high()),
            ]);
        }
    }
    table
}
