//! What orlop's numbers rest on.

use crate::table::Table;
use orlop::table::{Cell, ColumnSchema, ColumnType, Schema};
use pyo3::prelude::*;

const TEXT: ColumnType = ColumnType::Text;
const SOURCES: Schema = Schema {
    name: "sources",
    doc: "one row per source",
    columns: &[
        ColumnSchema { name: "id", holds: TEXT, doc: "short name" },
        ColumnSchema { name: "document", holds: TEXT, doc: "the document" },
        ColumnSchema { name: "edition", holds: TEXT, doc: "its edition" },
        ColumnSchema { name: "place", holds: TEXT, doc: "clause or table" },
        ColumnSchema { name: "title", holds: TEXT, doc: "what it says" },
        ColumnSchema { name: "confidence", holds: TEXT, doc: "published, common practice, from memory" },
        ColumnSchema { name: "reading", holds: TEXT, doc: "how it was read" },
    ],
};

/// Every source that orlop's numbers rest on: document, edition, place, and how far it can be trusted.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> [row["document"] for row in orlop.sources().to_dicts() if row["id"] == "cfr33-183-425-table5"]
/// ['33 CFR 183.425']
#[pyfunction]
pub fn sources() -> Table {
    let mut table = orlop::Table::new(&SOURCES);
    for c in orlop::sources() {
        let cells = [&*c.id, &*c.document, &*c.edition, &*c.place, &*c.title, c.confidence.word(), &*c.reading];
        table.push(cells.map(Cell::from));
    }
    table.into()
}
