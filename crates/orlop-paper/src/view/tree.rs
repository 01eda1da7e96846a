//! The feed tree of a boat, as the one-line diagram draws it.

use serde::Serialize;

/// Nodes and what they feed. Children always come after their parent in `nodes`.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Tree {
    /// Every bank, panel and converter.
    pub nodes: Vec<Node>,
}

/// A place where circuits begin.
#[derive(Clone, Debug, Serialize)]
pub struct Node {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// What it is.
    pub kind: NodeKind,
    /// A few figures: voltage, capacity, rating.
    pub detail: String,
    /// Stays live with the master off.
    pub always_on: bool,
    /// The node that feeds it, when one does.
    pub parent: Option<usize>,
    /// What begins here.
    pub branches: Vec<Branch>,
}

/// What a node is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum NodeKind {
    /// A bank of batteries.
    Bank,
    /// A panel or bus.
    Panel,
    /// A converter.
    Converter,
}

/// One circuit of a node.
#[derive(Clone, Debug, Serialize)]
pub struct Branch {
    /// The circuit's id.
    pub id: String,
    /// Conductor and one-way length.
    pub wire: String,
    /// The device at its beginning.
    pub device: Device,
    /// Current it is sized for.
    pub current: String,
    /// Worst severity found on it.
    pub mark: Option<char>,
    /// The hottest of its segments and joints, where drops were read over any.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heat: Option<Heat>,
    /// What is at its end.
    pub end: End,
}

/// Heat of one segment or joint at full load.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Heat {
    /// In watts; of a conductor that of its excess.
    pub watts: f64,
    /// Which and how much, where it counts; else nothing.
    pub label: String,
    /// Bad.
    pub bad: bool,
}

/// The device at the beginning of a circuit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Device {
    /// A fuse of this rating.
    Fuse(String),
    /// A breaker of this rating.
    Breaker(String),
    /// None, though one is needed.
    Missing,
    /// None, and none is needed.
    None,
}

/// What is at the end of a circuit.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum End {
    /// Loads.
    Load {
        /// Their names.
        name: String,
        /// Needed for safety.
        essential: bool,
    },
    /// A charging source: current comes in here.
    Source {
        /// Its name.
        name: String,
        /// Its symbol.
        symbol: SourceSymbol,
    },
    /// A node that hangs on this circuit.
    Node(usize),
    /// A node that is drawn elsewhere, as it is fed more than once.
    Again(usize),
}

/// Symbols of charging sources.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum SourceSymbol {
    /// A rotating machine.
    Alternator,
    /// Solar panels.
    Solar,
    /// A charger or converter.
    Charger,
}
