//! Banks built from cells: both orders side by side, which cell goes where, who acts first.

use serde::Serialize;

/// One bank.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Bank {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// What it is, in words and numbers.
    pub facts: Vec<(String, String)>,
    /// Heads of the comparison: as it is tied, then the other order.
    pub orders: Vec<String>,
    /// Rows of the comparison: what, and a value for each order.
    pub compared: Vec<(String, Vec<String>)>,
    /// Each order as a drawing.
    pub packs: Vec<PackDrawing>,
    /// What the assignment gains, in sentences.
    pub assigned: Vec<String>,
    /// Who carries how much.
    pub shares: Vec<ShareRow>,
    /// Thresholds, the highest first.
    pub rungs: Vec<Rung>,
    /// Where the cells are harmed below and above, when given.
    pub harm: (Option<f64>, Option<f64>),
    /// What was assumed.
    pub notes: Vec<String>,
}

/// Cells as they are tied.
#[derive(Clone, Debug, Default, Serialize)]
pub struct PackDrawing {
    /// Which order, in words.
    pub title: String,
    /// Cells side by side are tied first.
    pub groups_first: bool,
    /// Strings of cells in a row, or groups of cells side by side.
    pub groups: Vec<Vec<Slot>>,
    /// What each string or group holds, where delivered cells are assigned.
    pub holds: Vec<String>,
}

/// One cell in a drawing.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Slot {
    /// Its serial, or empty.
    pub serial: String,
    /// Its capacity, or empty.
    pub capacity: String,
    /// A measure of it stands out.
    pub flagged: bool,
}

/// How members share a current.
#[derive(Clone, Debug, Serialize)]
pub struct ShareRow {
    /// Of what.
    pub label: String,
    /// Each member with its share, from 0 to 1.
    pub members: Vec<(String, f64)>,
}

/// One threshold.
#[derive(Clone, Debug, Serialize)]
pub struct Rung {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// What it does.
    pub role: String,
    /// Its setting at its own terminals.
    pub setting: String,
    /// The same per cell, V.
    pub cell: f64,
    /// Lowest and highest a cell can stand at when it acts, V.
    pub ends: (f64, f64),
    /// Severity when it stands in the wrong order, or ranges overlap.
    pub mark: Option<char>,
}
