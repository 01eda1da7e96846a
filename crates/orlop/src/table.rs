//! One table for everything that has rows: ordered typed columns, null never NaN.

use orlop_units::{AnyQuantity, Kind};

/// What a column holds.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
#[serde(untagged)]
pub enum Cells {
    /// Numbers in the unit that the column's name ends in.
    Number(Vec<Option<f64>>),
    /// Whole numbers.
    Integer(Vec<Option<i64>>),
    /// Text.
    Text(Vec<Option<String>>),
    /// Yes or no.
    Flag(Vec<Option<bool>>),
}

impl Cells {
    /// Number of rows.
    #[must_use]
    pub fn len(&self) -> usize {
        match self {
            Self::Number(v) => v.len(),
            Self::Integer(v) => v.len(),
            Self::Text(v) => v.len(),
            Self::Flag(v) => v.len(),
        }
    }
    /// Whether there is no row.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}

/// What a column may hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ColumnType {
    /// Numbers of one kind, in its output unit.
    Quantity(Kind),
    /// Numbers without a kind, or of mixed kinds with a `unit` column beside them.
    Number,
    /// Whole numbers.
    Integer,
    /// Text.
    Text,
    /// Yes or no.
    Flag,
}

/// Declaration of one column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ColumnSchema {
    /// Name; for quantities it ends in the unit.
    pub name: &'static str,
    /// What it may hold.
    pub holds: ColumnType,
    /// What it says, in a few words.
    pub doc: &'static str,
}

/// A [`Schema`] in the words of its table: name, what a row is, and each column as `"name": type, "what it says";`.
///
/// ```
/// use orlop::table::{ColumnType, Schema, schema};
/// const PIECES: Schema = schema!("pieces", "one row per piece", [
///     "id": ColumnType::Text, "id of the piece";
///     "count": ColumnType::Integer, "how many of it";
/// ]);
/// assert_eq!(PIECES.columns[1].name, "count");
/// ```
#[macro_export]
macro_rules! schema {
    ($name:literal, $doc:literal, [$($column:literal: $holds:expr, $says:literal;)*]) => {
        $crate::table::Schema {
            name: $name,
            doc: $doc,
            columns: &[$($crate::table::ColumnSchema { name: $column, holds: $holds, doc: $says }),*],
        }
    };
}
pub use schema;

/// Declaration of one table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Schema {
    /// Name of the table.
    pub name: &'static str,
    /// What a row is.
    pub doc: &'static str,
    /// Columns in order.
    pub columns: &'static [ColumnSchema],
}

/// One column with its cells.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Declaration.
    pub schema: ColumnSchema,
    /// Values.
    pub cells: Cells,
}

/// A table: a schema and its columns, all of one length.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// Name of the table.
    pub name: &'static str,
    /// Columns in order.
    pub columns: Vec<Column>,
}

/// Digits of numbers in text: more than any input carries, fewer than rounding disturbs.
const DIGITS: usize = 9;

/// One cell on its way into a table.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Nothing is known.
    Null,
    /// A number.
    Number(f64),
    /// A whole number.
    Integer(i64),
    /// Text.
    Text(String),
    /// Yes or no.
    Flag(bool),
}

macro_rules! cell_from {
    ($($type:ty => |$x:ident| $make:expr;)*) => {$(
        impl From<$type> for Cell { fn from($x: $type) -> Self { $make } }
    )*};
}
cell_from! {
    f64 => |x| if x.is_finite() { Cell::Number(x) } else { Cell::Null };
    i64 => |x| Cell::Integer(x);
    usize => |x| i64::try_from(x).map_or(Cell::Null, Cell::Integer);
    bool => |x| Cell::Flag(x);
    &str => |x| Cell::Text(x.to_string());
    String => |x| Cell::Text(x);
    AnyQuantity => |x| Cell::from(x.out());
}
impl<T: Into<Cell>> From<Option<T>> for Cell {
    fn from(x: Option<T>) -> Self {
        x.map_or(Self::Null, Into::into)
    }
}

/// The number of a quantity in its output unit, as a cell.
pub fn quantity<Q: orlop_units::Quantity>(q: Option<Q>) -> Cell {
    q.map(orlop_units::Quantity::out).into()
}

impl Table {
    /// An empty table.
    #[must_use]
    pub fn new(schema: &Schema) -> Self {
        let columns = schema
            .columns
            .iter()
            .map(|&schema| Column {
                schema,
                cells: match schema.holds {
                    ColumnType::Quantity(_) | ColumnType::Number => Cells::Number(Vec::new()),
                    ColumnType::Integer => Cells::Integer(Vec::new()),
                    ColumnType::Text => Cells::Text(Vec::new()),
                    ColumnType::Flag => Cells::Flag(Vec::new()),
                },
            })
            .collect();
        Self { name: schema.name, columns }
    }

    /// Adds a row.
    ///
    /// # Panics
    /// When the row does not fit the schema: that is a bug of the caller, never of the user's data.
    pub fn push(&mut self, row: impl IntoIterator<Item = Cell>) {
        let mut row = row.into_iter();
        for column in &mut self.columns {
            let cell = row
                .next()
                .unwrap_or_else(|| panic!("{}: row too short at {}", self.name, column.schema.name));
            match (&mut column.cells, cell) {
                (Cells::Number(v), Cell::Number(x)) => v.push(Some(x)),
                (Cells::Integer(v), Cell::Integer(x)) => v.push(Some(x)),
                (Cells::Text(v), Cell::Text(x)) => v.push(Some(x)),
                (Cells::Flag(v), Cell::Flag(x)) => v.push(Some(x)),
                (Cells::Number(v), Cell::Null) => v.push(None),
                (Cells::Integer(v), Cell::Null) => v.push(None),
                (Cells::Text(v), Cell::Null) => v.push(None),
                (Cells::Flag(v), Cell::Null) => v.push(None),
                (_, cell) => panic!("{}.{}: {cell:?} does not fit", self.name, column.schema.name),
            }
        }
        assert!(row.next().is_none(), "{}: row too long", self.name);
    }

    /// Number of rows.
    #[must_use]
    pub fn rows(&self) -> usize {
        self.columns.first().map_or(0, |c| c.cells.len())
    }

    /// A column by name.
    #[must_use]
    pub fn column(&self, name: &str) -> Option<&Column> {
        self.columns.iter().find(|c| c.schema.name == name)
    }

    /// One cell as plain text for people and CSV; empty for null.
    #[must_use]
    pub fn text(&self, row: usize, column: usize) -> String {
        match &self.columns[column].cells {
            Cells::Number(v) => v[row].map_or_else(String::new, |x| orlop_units::significant(x, DIGITS)),
            Cells::Integer(v) => v[row].map_or_else(String::new, |x| x.to_string()),
            Cells::Text(v) => v[row].clone().unwrap_or_default(),
            Cells::Flag(v) => v[row].map_or_else(String::new, |x| if x { "yes" } else { "no" }.into()),
        }
    }

    /// One cell as JSON would hold it.
    #[must_use]
    pub fn cell(&self, row: usize, column: usize) -> Cell {
        match &self.columns[column].cells {
            Cells::Number(v) => v[row].into(),
            Cells::Integer(v) => v[row].into(),
            Cells::Text(v) => v[row].clone().into(),
            Cells::Flag(v) => v[row].into(),
        }
    }
}
