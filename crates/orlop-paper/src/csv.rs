//! Tables as CSV by RFC 4180: names of columns end in their unit, missing values are empty.

use orlop::Table;

/// A table with its head line.
#[must_use]
pub fn csv(table: &Table) -> String {
    let head: Vec<String> = table.columns.iter().map(|c| field(c.schema.name)).collect();
    let mut out = head.join(",") + "\r\n";
    for row in 0..table.rows() {
        let cells: Vec<String> = (0..table.columns.len()).map(|c| field(&table.text(row, c))).collect();
        out += &cells.join(",");
        out += "\r\n";
    }
    out
}

/// One field, quoted where it must be.
///
/// A text that a spreadsheet would take for a formula gets an apostrophe before it, so that a name from a boat
/// file never runs as one.
fn field(text: &str) -> String {
    let formula = text.starts_with(['=', '@', '\t', '\r'])
        || (text.starts_with(['+', '-']) && text.parse::<f64>().is_err());
    let text = if formula { format!("'{text}") } else { text.to_string() };
    if text.contains(['"', ',', '\n', '\r']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;
    use orlop::table::{Cell, ColumnSchema, ColumnType, Schema};

    #[test]
    fn quotes_by_rfc_4180() {
        // RFC 4180, section 2, rules 5 to 7.
        const SCHEMA: Schema = Schema {
            name: "demo",
            doc: "",
            columns: &[
                ColumnSchema { name: "name", holds: ColumnType::Text, doc: "" },
                ColumnSchema { name: "drop_v", holds: ColumnType::Number, doc: "" },
            ],
        };
        let mut table = Table::new(&SCHEMA);
        table.push([Cell::from("lamp, \"big\""), Cell::from(-0.5)]);
        table.push([Cell::from("two\nlines"), Cell::Null]);
        assert_eq!(csv(&table), "name,drop_v\r\n\"lamp, \"\"big\"\"\",-0.5\r\n\"two\nlines\",\r\n");
    }

    #[test]
    fn names_never_become_formulas() {
        assert_eq!(field("=1+1"), "'=1+1");
        assert_eq!(field("-cmd"), "'-cmd");
        assert_eq!(field("-1.5"), "-1.5");
    }
}
