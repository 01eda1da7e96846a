//! Negative and bonding as data for a drawing: rows that hang on each other, and what closes loops between them.

use serde::Serialize;

/// The ground graph of a boat, ready to draw.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Ground {
    /// How negative and metal shall be joined, in words.
    pub system: String,
    /// The points worth drawing, each after the one it hangs on. Loads and panels in order are folded into theirs.
    pub rows: Vec<GroundRow>,
    /// Paths that close loops.
    pub links: Vec<GroundLink>,
    /// What is wrong, in sentences.
    pub wrong: Vec<String>,
    /// What is in order, in sentences.
    pub fine: Vec<String>,
    /// What to keep in mind.
    pub caution: &'static str,
}

/// One point of the drawing.
#[derive(Clone, Debug, Serialize)]
pub struct GroundRow {
    /// Its id.
    pub id: String,
    /// Its name, or empty.
    pub name: String,
    /// What it is.
    pub kind: GroundKind,
    /// The row it hangs on; none for a root.
    pub parent: Option<usize>,
    /// The path it hangs by.
    pub path: Option<GroundPath>,
    /// How many loads, panels and sources are folded into it.
    pub folded: usize,
    /// Hangs on nothing, though it should.
    pub loose: bool,
}

/// What a point is, as far as the drawing tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum GroundKind {
    /// A battery's negative.
    Battery,
    /// A bus of negatives.
    Bus,
    /// The negative of a load or source.
    Negative,
    /// Engine, hull, bonding, metal below the water.
    Metal,
    /// The shore earth.
    Earth,
    /// A radio's ground.
    Radio,
}

/// One path of the drawing.
#[derive(Clone, Debug, Serialize)]
pub struct GroundPath {
    /// Its id.
    pub id: String,
    /// What it is, with its conductor and resistance where they are known.
    pub what: String,
    /// The most current in it, in words.
    pub current: String,
    /// How it is drawn.
    pub line: GroundLine,
    /// Whether it is the one bond between negative and metal.
    pub the_bond: bool,
    /// Whether it is to be taken out.
    pub cut: bool,
    /// Worst severity found on it.
    pub mark: Option<char>,
}

/// How a path is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum GroundLine {
    /// A conductor of return current: thick.
    Cable,
    /// A shunt: thick, with a box.
    Shunt,
    /// Bonds, straps and the like: thin.
    Bond,
    /// The shore earth: double.
    Earth,
}

/// A path between two rows that are joined already.
#[derive(Clone, Debug, Serialize)]
pub struct GroundLink {
    /// One end, by row.
    pub from: usize,
    /// The other end, by row.
    pub to: usize,
    /// The path.
    pub path: GroundPath,
}
