//! Assignments as tables.

use super::{Assignment, Certainty, Delivery, RandomOrders};
use crate::pack::Order;
use crate::table::ColumnType::{Integer, Number, Quantity as Of, Text};
use crate::table::{Cell, Schema, Table, quantity, schema};
use orlop_units::{Fraction, Kind, Quantity};

const CELLS: Schema = schema!("cells", "one row per delivered cell", [
    "cell": Text, "serial";
    "use": Text, "in use, spare or rejected";
    "group": Integer, "parallel group or string, counted from 1; empty when not in use";
    "capacity_ah": Of(Kind::Charge), "as tested";
    "share_percent": Of(Kind::Fraction), "of the current of its group, links left out";
    "resistance_ohm": Of(Kind::Resistance), "that decides the share: of direct current, else at 1 kHz";
    "flags": Text, "measures that stand out, with what to do";
]);

const GROUPS: Schema = schema!("groups", "one row per parallel group or string", [
    "group": Integer, "counted from 1, the one that holds most first";
    "cells": Text, "serials";
    "capacity_ah": Of(Kind::Charge), "what it holds";
    "resistance_ohm": Of(Kind::Resistance), "of its cells together, links left out";
    "self_discharge_v": Of(Kind::Voltage), "mean fall of the rest voltage";
]);

const FLAGS: Schema = schema!("flags", "one row per value that stands out", [
    "cell": Text, "serial";
    "measure": Text, "what was measured";
    "value": Number, "the value";
    "median": Number, "of all cells";
    "unit": Text, "unit of both";
    "z": Number, "robust standard deviations above the median";
    "advice": Text, "reject, or weigh";
]);

const RANDOM: Schema = schema!("random_orders", "one row: what random orders hold", [
    "trials": Integer, "orders drawn";
    "mean_ah": Of(Kind::Charge), "mean";
    "low_ah": Of(Kind::Charge), "five of a hundred hold this or less";
    "high_ah": Of(Kind::Charge), "five of a hundred hold this or more";
    "most_ah": Of(Kind::Charge), "the most of any";
    "below_choice_percent": Of(Kind::Fraction), "share that hold less than the choice";
    "below_delivery_percent": Of(Kind::Fraction), "share that hold less than the order of delivery";
]);

const CERTAINTY: Schema = schema!("certainty", "one row: the choice under errors of measurement", [
    "trials": Integer, "times errors were drawn";
    "stays_best_percent": Of(Kind::Fraction), "nothing holds more by more than what matters; at least so often";
    "same_spares_percent": Of(Kind::Fraction), "the same cells are left out";
    "beats_delivery_percent": Of(Kind::Fraction), "it holds at least as much as the order of delivery";
    "mean_ah": Of(Kind::Charge), "mean of what it holds";
    "low_ah": Of(Kind::Charge), "five of a hundred hold this or less";
    "mean_loss_ah": Of(Kind::Charge), "mean of what the best would hold more; at most";
]);

impl Assignment {
    /// Every cell of the delivery with its place.
    #[must_use]
    pub fn cells_table(&self) -> Table {
        let (groups, flags) = (self.groups(), self.delivery.flags());
        let spares = self.spares();
        let mut table = Table::new(&CELLS);
        for cell in self.delivery.cells() {
            let found = groups.iter().enumerate().find_map(|(at, group)| {
                let place = group.cells.iter().position(|c| c == cell.id())?;
                Some((at + 1, group.shares.get(place).copied()))
            });
            let used = match found {
                Some(_) => "in use",
                None if spares.iter().any(|s| s == cell.id()) => "spare",
                None => "rejected",
            };
            let own: Vec<String> = flags
                .iter()
                .filter(|f| f.cell == cell.id())
                .map(|f| format!("{} ({})", f.measure.word(), f.advice.word()))
                .collect();
            table.push([
                Cell::from(cell.id()),
                used.into(),
                found.map(|(group, _)| group).into(),
                quantity(Some(cell.capacity())),
                quantity::<Fraction>(found.and_then(|(_, share)| share)),
                cell.sharing_resistance().into(),
                (!own.is_empty()).then(|| own.join(", ")).into(),
            ]);
        }
        table
    }

    /// Every group or string.
    #[must_use]
    pub fn groups_table(&self) -> Table {
        let mut table = Table::new(&GROUPS);
        let between = match self.plan.order() {
            Order::ParallelFirst => " + ",
            Order::SeriesFirst => " - ",
        };
        for (at, group) in self.groups().into_iter().enumerate() {
            table.push([
                Cell::from(at + 1),
                group.cells.join(between).into(),
                quantity(Some(group.capacity)),
                quantity(group.resistance),
                quantity(group.self_discharge),
            ]);
        }
        table
    }
}

impl Delivery {
    /// The values that stand out.
    #[must_use]
    pub fn flags_table(&self) -> Table {
        let mut table = Table::new(&FLAGS);
        for flag in self.flags() {
            table.push([
                Cell::from(flag.cell.as_str()),
                flag.measure.word().into(),
                flag.value.clone().into(),
                flag.median.into(),
                flag.value.kind.output().symbol.into(),
                flag.z.into(),
                flag.advice.word().into(),
            ]);
        }
        table
    }
}

impl RandomOrders {
    /// One row.
    #[must_use]
    pub fn table(&self) -> Table {
        let mut table = Table::new(&RANDOM);
        table.push([
            Cell::Integer(i64::from(self.trials)),
            self.mean.out().into(),
            self.low.out().into(),
            self.high.out().into(),
            self.most.out().into(),
            self.below_choice.out().into(),
            self.below_delivery.out().into(),
        ]);
        table
    }
}

impl Certainty {
    /// One row.
    #[must_use]
    pub fn table(&self) -> Table {
        let mut table = Table::new(&CERTAINTY);
        table.push([
            Cell::Integer(i64::from(self.trials)),
            self.stays_best.out().into(),
            self.same_spares.out().into(),
            self.beats_delivery.out().into(),
            self.mean.out().into(),
            self.low.out().into(),
            self.mean_loss.out().into(),
        ]);
        table
    }
}
