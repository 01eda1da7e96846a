//! What is known of a chemistry as tables.

use super::ChemistryId;
use super::facts::{citation, gas};
use crate::table::{Cell, ColumnType, Schema, Table, schema};
use crate::tables::file;
use ColumnType::{Number, Text};

const FACTS: Schema = schema!("cell_facts", "one row per fact of a chemistry", [
    "chemistry": Text, "lfp, nmc, lto, lead-flooded, lead-agm or lead-gel";
    "fact": Text, "what it is";
    "low": Number, "lower bound";
    "high": Number, "upper bound";
    "unit": Text, "unit of both";
    "source": Text, "where they come from";
    "confidence": Text, "how sure that is";
]);
const GAS: Schema = schema!("cell_gas", "one row per thing a chemistry gives off when it fails or is overcharged", [
    "chemistry": Text, "lfp, nmc, lto, lead-flooded, lead-agm or lead-gel";
    "item": Text, "what it is about";
    "value": Text, "what is known";
    "source": Text, "where it comes from";
    "confidence": Text, "how sure that is";
]);

/// Everything that is known of a chemistry, one row for each fact with its bounds and its source.
#[must_use]
pub fn facts_table(chemistry: ChemistryId) -> Table {
    let mut table = Table::new(&FACTS);
    for row in file("cell_facts").rows().filter(|row| row.text("chemistry") == chemistry.word()) {
        let source = citation(row, row.text("quantity"));
        table.push([
            Cell::from(chemistry.word()),
            row.text("quantity").replace('_', " ").into(),
            row.optional("low").into(),
            row.optional("high").into(),
            row.text("unit").into(),
            source.document.to_string().into(),
            source.confidence.word().into(),
        ]);
    }
    table
}

/// What a chemistry gives off when it fails or is overcharged, with sources: for cautions, not for computing.
#[must_use]
pub fn gas_table(chemistry: ChemistryId) -> Table {
    let mut table = Table::new(&GAS);
    for fact in gas(chemistry) {
        table.push([
            Cell::from(chemistry.word()),
            fact.item.into(),
            fact.value.into(),
            fact.citation.document.to_string().into(),
            fact.citation.confidence.word().into(),
        ]);
    }
    table
}
