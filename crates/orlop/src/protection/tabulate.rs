//! The selectivity matrix and the bar of a circuit as tables.

use super::protectable::ProtectableWindow;
use super::selectivity::SelectivityMatrix;
use crate::table::{ColumnType, Schema, Table, quantity, schema};
use ColumnType::{Flag, Number, Quantity as Of, Text};
use orlop_units::{Kind, Quantity};

/// Columns of [`SelectivityMatrix::table`].
pub const SELECTIVITY: Schema = schema!("selectivity", "one row per pair of devices in series", [
    "upstream": Text, "the device nearer to the source";
    "downstream": Text, "the device nearer to the fault";
    "fault_low_a": Of(Kind::Current), "lower fault current just behind the downstream device";
    "fault_high_a": Of(Kind::Current), "upper fault current there";
    "share": Number, "largest share of it that the upstream device carries";
    "at_low": Flag, "only the downstream device opens up to the lower fault current";
    "at_high": Flag, "only the downstream device opens up to the upper fault current";
    "up_to_a": Of(Kind::Current), "selective up to this current, at most the one asked for";
    "why": Text, "the reason";
    "confidence": Text, "weaker one of the two bands";
]);

const MARKS: Schema = schema!("protectable_window", "one row per mark on the axis of current", [
    "mark": Text, "what stands there";
    "current_a": Of(Kind::Current), "where";
    "lasting_s": Of(Kind::Time), "for how long, of starts";
    "crosses": Text, "what it should be below and is not, with the ratio";
]);

impl SelectivityMatrix {
    /// One row for each pair.
    #[must_use]
    pub fn table(&self) -> Table {
        let mut table = Table::new(&SELECTIVITY);
        for p in &self.pairs {
            table.push([
                p.upstream.as_str().into(),
                p.downstream.as_str().into(),
                quantity(p.fault.low()),
                quantity(p.fault.high()),
                p.share.value().into(),
                p.at_low.into(),
                p.at_high.into(),
                quantity(p.up_to),
                p.why.as_str().into(),
                p.confidence.word().into(),
            ]);
        }
        table
    }
}

impl ProtectableWindow {
    /// One row for each mark, from low to high current.
    #[must_use]
    pub fn table(&self) -> Table {
        let mut table = Table::new(&MARKS);
        for mark in &self.marks {
            let crossed = self.crossings.iter().filter(|c| c.below == *mark);
            let told: Vec<_> = crossed
                .map(|c| {
                    let above = c.above.edge.word();
                    if c.ratio.is_finite() {
                        format!("{above} ({:.2} times)", c.ratio)
                    } else {
                        above.to_string()
                    }
                })
                .collect();
            table.push([
                mark.edge.word().into(),
                mark.at.out().into(),
                quantity(mark.lasting),
                (!told.is_empty()).then(|| told.join("; ")).into(),
            ]);
        }
        table
    }
}
