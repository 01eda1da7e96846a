//! Everything as one JSON document, for programs.

use crate::Error;
use crate::view::{SurveyReport, View};
use orlop::Table;
use orlop::table::Cell;
use orlop_boat::Design;
use serde_json::{Map, Value, json};

/// The whole design: versions, tables with numbers in the unit their column names, judgements, and the report.
///
/// # Errors
/// [`Error::Json`] when it cannot be written.
pub fn json(design: &Design, view: &View, tables: &[Table]) -> Result<String, Error> {
    let tables: Map<String, Value> = tables.iter().map(|t| (t.name.to_string(), rows(t))).collect();
    let all = json!({
        "orlop": view.head.version,
        "format": view.head.format,
        "data_edition": view.head.data_edition,
        "date": view.head.date,
        "boat": view.head.boat,
        "state": design.boat.state,
        "rules": view.head.rules,
        "caution": view.caution,
        "not_covered": view.not_covered,
        "tables": tables,
        "judgements": serde_json::to_value(&design.judgements)?,
        "report": serde_json::to_value(view)?,
    });
    Ok(serde_json::to_string_pretty(&all)? + "\n")
}

/// A survey: versions, and its tables with numbers in the unit beside them or in the column's name.
///
/// # Errors
/// [`Error::Json`] when it cannot be written.
pub fn survey(report: &SurveyReport, tables: &[Table]) -> Result<String, Error> {
    let tables: Map<String, Value> = tables.iter().map(|t| (t.name.to_string(), rows(t))).collect();
    let all = json!({
        "orlop": report.head.version,
        "format": report.head.format,
        "data_edition": report.head.data_edition,
        "date": report.head.date,
        "boat": report.head.boat,
        "rules": report.head.rules,
        "caution": report.caution,
        "tables": tables,
        "report": serde_json::to_value(report)?,
    });
    Ok(serde_json::to_string_pretty(&all)? + "\n")
}

/// A table as a list of rows.
#[must_use]
pub fn rows(table: &Table) -> Value {
    let row = |at: usize| -> Value {
        let cells = table.columns.iter().enumerate().map(|(c, column)| {
            let value = match table.cell(at, c) {
                Cell::Null => Value::Null,
                Cell::Number(x) => json!(x),
                Cell::Integer(x) => json!(x),
                Cell::Text(x) => json!(x),
                Cell::Flag(x) => json!(x),
            };
            (column.schema.name.to_string(), value)
        });
        Value::Object(cells.collect())
    };
    (0..table.rows()).map(row).collect()
}
