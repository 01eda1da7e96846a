//! Segments and joints that drops were read over, ready to draw.

use serde::Serialize;

/// Less heat than this in a sound piece has no number on a drawing, in watts.
pub const SAID_FROM_W: f64 = 0.5;

/// The circuits with readings, and those they hang on, in the order of the feed tree.
#[derive(Clone, Debug, Default, Serialize)]
pub struct JointMap {
    /// The circuits.
    pub circuits: Vec<JointRow>,
    /// Circuits over which no drop was read and which are not shown.
    pub left_out: usize,
}

/// One circuit.
#[derive(Clone, Debug, Default, Serialize)]
pub struct JointRow {
    /// Its id.
    pub id: String,
    /// Its name, or what it feeds.
    pub name: String,
    /// Circuits between it and the source.
    pub depth: usize,
    /// Pieces of the positive leg, from the source on; empty where nothing was read.
    pub positive: Vec<JointPiece>,
    /// Pieces of the negative leg.
    pub negative: Vec<JointPiece>,
    /// What is bad or cannot be told, one line each.
    pub remarks: Vec<JointRemark>,
}

/// One segment or joint.
#[derive(Clone, Debug, Serialize)]
pub struct JointPiece {
    /// start, device, switch, conductor, end.
    pub part: &'static str,
    /// Heat at full load in watts; of a conductor that of its excess.
    pub watts: f64,
    /// The same for people.
    pub label: String,
    /// Bad.
    pub bad: bool,
    /// Cannot be told.
    pub doubt: bool,
}

/// A line on one piece or group.
#[derive(Clone, Debug, Serialize)]
pub struct JointRemark {
    /// A, B or C; ? where it cannot be told.
    pub mark: char,
    /// What it says.
    pub text: String,
}
