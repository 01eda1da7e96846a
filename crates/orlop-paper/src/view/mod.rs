//! The report as data: every sentence and number ready to print, no layout.
//!
//! The HTML, the drawings and the JSON all come from one [`View`]. Physical values are text with printed units;
//! the few plain numbers are shares that drawings need.

mod bank;
mod convert;
mod field;
mod ground;
mod joints;
mod network;
mod tree;
mod visit;

pub use bank::{Bank, PackDrawing, Rung, ShareRow, Slot};
pub use convert::{extract_page, joint_map, sheet, since, survey_report, view};
pub use field::{Sheet, SheetGroup, SheetLine, SheetRule, SurveyItem, SurveyNote, SurveyReport};
pub use ground::{Ground, GroundKind, GroundLine, GroundLink, GroundPath, GroundRow};
pub use joints::{JointMap, JointPiece, JointRemark, JointRow, SAID_FROM_W};
pub use network::{
    Band, Bar, Chart, Coordination, Copper, CopperRow, DeviceFault, Dip, DropStep, FailureRow, Failures,
    Faults, LoadVolts, Network, NodeFault, Pair, PlaceVolts, Waterfall,
};
pub use tree::{Branch, Device, End, Heat, Node, NodeKind, SourceSymbol, Tree};
pub use visit::{ExtractItem, ExtractPage, Since, SinceGroup, SinceLine};

use crate::cautions::Caution;
use serde::Serialize;

/// Everything a report says.
#[derive(Clone, Debug, Serialize)]
pub struct View {
    /// Whose report it is and what it was made with.
    pub head: Head,
    /// What is not covered yet, one sentence each.
    pub not_covered: Vec<String>,
    /// The caution that stands on every paper.
    pub caution: &'static str,
    /// Counts for the first page.
    pub summary: Summary,
    /// What must be seen to, worst first.
    pub findings: Vec<Finding>,
    /// One schedule for each panel.
    pub panels: Vec<Panel>,
    /// The feed tree, for the one-line diagram.
    pub tree: Tree,
    /// Every circuit.
    pub circuits: Vec<Circuit>,
    /// Notes on circuits; their numbers count from 1.
    pub notes: Vec<String>,
    /// Wire by size.
    pub wires: Vec<WireTotal>,
    /// Devices by rating.
    pub devices: Vec<DeviceTotal>,
    /// Every load.
    pub loads: Vec<Load>,
    /// What happens together.
    pub scenarios: Vec<Scenario>,
    /// Volts, fault currents, coordination: the boat as one network.
    pub network: Network,
    /// Banks that are built from cells.
    pub banks: Vec<Bank>,
    /// Cable ways.
    pub trunks: Vec<Trunk>,
    /// Where spaces, trunks and places are.
    pub plan: Plan,
    /// Negative and bonding, when the boat file states them.
    pub ground: Option<Ground>,
    /// What was checked and is in order, by rule.
    pub passed: Vec<Passed>,
    /// What could not be checked, and what to find out.
    pub not_tested: Vec<NotTested>,
    /// Guesses to measure next.
    pub guesses: Vec<Guess>,
    /// What the reader of the boat file remarked.
    pub remarks: Vec<String>,
    /// Rules that were asked.
    pub rules: Vec<Rule>,
    /// Documents the numbers rest on.
    pub sources: Vec<Source>,
    /// Cautions of the stages that this report touches.
    pub cautions: Vec<Caution>,
}

/// Whose report it is and what it was made with.
#[derive(Clone, Debug, Serialize)]
pub struct Head {
    /// Name of the boat.
    pub boat: String,
    /// What kind of boat.
    pub kind: String,
    /// Found, designed or built, in words.
    pub state: String,
    /// Nominal voltage.
    pub nominal: String,
    /// Id of the rule set.
    pub rules: String,
    /// Its full name.
    pub rules_name: String,
    /// Version of the software.
    pub version: String,
    /// Format of the boat file.
    pub format: String,
    /// Edition of the tables.
    pub data_edition: String,
    /// Date of the report, when one was given.
    pub date: Option<String>,
    /// What was assumed for the whole boat: what, and the value.
    pub basis: Vec<(String, String)>,
}

/// Counts for the first page.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Summary {
    /// Circuits.
    pub circuits: usize,
    /// Loads.
    pub loads: usize,
    /// Findings to act on before use.
    pub a: usize,
    /// Findings to act on soon.
    pub b: usize,
    /// Points of good practice.
    pub c: usize,
    /// Checks that passed.
    pub passed: usize,
    /// Checks that could not be made.
    pub not_tested: usize,
    /// Values that are guesses.
    pub guesses: usize,
    /// Mass of all conductors.
    pub copper: Option<String>,
}

/// How far a number can be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Trust {
    /// The word: published, common practice, from memory.
    pub word: &'static str,
    /// The mark behind numbers: nothing, `*`, `†`.
    pub mark: &'static str,
}

impl From<orlop::Confidence> for Trust {
    fn from(c: orlop::Confidence) -> Self {
        let mark = match c {
            orlop::Confidence::Published => "",
            orlop::Confidence::CommonPractice => "*",
            orlop::Confidence::Memory => "†",
        };
        Self { word: c.word(), mark }
    }
}

/// One thing to see to.
#[derive(Clone, Debug, Serialize)]
pub struct Finding {
    /// `A`, `B` or `C`.
    pub severity: char,
    /// Where, in words.
    pub place: String,
    /// Where, as an address.
    pub address: String,
    /// What is the matter, one line or several.
    pub what: Vec<String>,
    /// The value.
    pub value: Option<String>,
    /// Its limit, with the side that is good.
    pub limit: Option<String>,
    /// How far off, in words.
    pub margin: Option<String>,
    /// Whether it could not be decided.
    pub undecided: bool,
    /// When it happens.
    pub case: String,
    /// Which clause sets the limit.
    pub clause: String,
    /// What to do, one line or several to choose from.
    pub to_do: Vec<String>,
    /// How far the limit can be trusted.
    pub trust: Trust,
}

/// The schedule of one panel.
#[derive(Clone, Debug, Serialize)]
pub struct Panel {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// What kind of node, in words: panel, bank, converter.
    pub kind: &'static str,
    /// Where it is.
    pub place: String,
    /// What feeds it.
    pub fed_by: String,
    /// Current its bus carries, when stated.
    pub rating: Option<String>,
    /// Stays live with the master off.
    pub always_on: bool,
    /// Its ways in order.
    pub ways: Vec<Way>,
}

/// One way of a panel.
#[derive(Clone, Debug, Serialize)]
pub struct Way {
    /// Its number, from 1.
    pub number: usize,
    /// The circuit's id.
    pub id: String,
    /// What it feeds.
    pub feeds: String,
    /// Device and rating.
    pub device: String,
    /// Whether there is no device though one is needed.
    pub missing: bool,
    /// Conductor and number of runs.
    pub wire: String,
    /// Current it is sized for.
    pub current: String,
    /// Text for the label at both ends.
    pub label: String,
    /// Worst severity found on it.
    pub mark: Option<char>,
}

/// One circuit.
#[derive(Clone, Debug, Serialize)]
pub struct Circuit {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Id of where it begins.
    pub from: String,
    /// Ids of what it feeds.
    pub to: String,
    /// Length of one leg.
    pub one_way: String,
    /// Whether that length is a guess.
    pub one_way_guess: bool,
    /// Conductor, with the number of runs.
    pub wire: String,
    /// Whether the conductor stood in the file.
    pub wire_given: bool,
    /// Device and rating.
    pub device: String,
    /// Whether there is no device though one is needed, and why.
    pub device_problems: Vec<String>,
    /// Current it is sized for.
    pub current: String,
    /// The case that gives it.
    pub case: String,
    /// Drop in this circuit alone.
    pub drop: String,
    /// The same as a share of nominal.
    pub drop_share: Option<String>,
    /// Drop on the whole path to its worst load, against the limit.
    pub path_drop: Option<String>,
    /// Hottest ambient and number of conductors lying together.
    pub surroundings: String,
    /// Current the conductor may carry there.
    pub carries: Option<String>,
    /// Temperature it settles at.
    pub temperature: Option<String>,
    /// What asked for this size.
    pub governed_by: String,
    /// Room left to that limit.
    pub margin: Option<String>,
    /// How far its numbers can be trusted.
    pub trust: Trust,
    /// Numbers of the notes that concern it, from 1.
    pub notes: Vec<usize>,
    /// Worst severity found on it.
    pub mark: Option<char>,
}

/// Wire of one size.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WireTotal {
    /// The conductor.
    pub wire: String,
    /// Single conductor in all, both legs and every run.
    pub piece: String,
    /// Number of circuits it is in.
    pub circuits: usize,
    /// Its mass.
    pub mass: String,
}

/// Devices of one rating.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DeviceTotal {
    /// Family and rating.
    pub device: String,
    /// How many.
    pub count: usize,
}

/// One load.
#[derive(Clone, Debug, Serialize)]
pub struct Load {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Where it is.
    pub place: String,
    /// What it draws, state by state.
    pub demand: Vec<Draw>,
    /// Needed for safety.
    pub essential: bool,
    /// Critical or general.
    pub class: String,
    /// Circuits on its way, from the source.
    pub path: String,
    /// The drop on its whole path, when it was computed.
    pub drop: Option<Drop>,
}

/// What a load draws in one state.
#[derive(Clone, Debug, Serialize)]
pub struct Draw {
    /// The state, in words.
    pub state: String,
    /// The value.
    pub value: String,
    /// Whether it is a guess.
    pub guess: bool,
}

/// The drop on the path to one load.
#[derive(Clone, Debug, Serialize)]
pub struct Drop {
    /// In volts.
    pub volts: String,
    /// As a share of nominal.
    pub share: String,
    /// The permitted share.
    pub limit: String,
    /// By the rule set's own formula.
    pub by_rule: String,
    /// The greater of both over the limit: above one it fails.
    pub of_limit: f64,
    /// When it happens.
    pub case: String,
    /// Voltage at the load at the source's lowest.
    pub lowest: String,
}

/// What happens together.
#[derive(Clone, Debug, Serialize)]
pub struct Scenario {
    /// Its name.
    pub name: String,
    /// The loads that are on.
    pub on: Vec<String>,
    /// Feeders and their currents.
    pub feeders: Vec<Feeder>,
}

/// One feeder in one scenario.
#[derive(Clone, Debug, Serialize)]
pub struct Feeder {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Its current.
    pub current: String,
}

/// One cable way.
#[derive(Clone, Debug, Serialize)]
pub struct Trunk {
    /// Its number on the plan.
    pub number: usize,
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Length along its corners.
    pub along: String,
    /// The same with slack and terminations: cable to cut.
    pub with_slack: String,
    /// Spaces it goes through.
    pub spaces: String,
    /// Hottest ambient on the way.
    pub ambient: String,
    /// Circuits in it.
    pub circuits: String,
    /// How many they are.
    pub count: usize,
    /// Supports needed and their spacing.
    pub supports: String,
    /// Filling of a conduit.
    pub fill: Option<String>,
}

/// Where things are, in metres.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Plan {
    /// Boxes of spaces: id, low corner, high corner.
    pub spaces: Vec<(String, [f64; 3], [f64; 3])>,
    /// Trunks: number, corner points.
    pub trunks: Vec<(usize, Vec<[f64; 3]>)>,
    /// Places: id, point.
    pub places: Vec<(String, [f64; 3])>,
}

/// A rule that was kept, with its closest call.
#[derive(Clone, Debug, Serialize)]
pub struct Passed {
    /// What the rule asks.
    pub title: String,
    /// How often it passed.
    pub count: usize,
    /// Where it is closest.
    pub tightest: String,
    /// Room left there.
    pub margin: Option<String>,
    /// The clause.
    pub clause: String,
    /// How far the limit can be trusted.
    pub trust: Trust,
}

/// A check that could not be made, and where.
#[derive(Clone, Debug, Serialize)]
pub struct NotTested {
    /// What was to be checked.
    pub title: String,
    /// What to measure or state.
    pub to_do: String,
    /// Where, in words.
    pub places: Vec<String>,
    /// What is missing, when it is the same everywhere or there are few places.
    pub what: Vec<String>,
}

/// A guess that stands in the boat file.
#[derive(Clone, Debug, Serialize)]
pub struct Guess {
    /// Its address.
    pub address: String,
    /// The same in words.
    pub place: String,
    /// What was written.
    pub value: String,
}

/// A rule.
#[derive(Clone, Debug, Serialize)]
pub struct Rule {
    /// Its id.
    pub id: String,
    /// How soon to act when it is not kept.
    pub severity: String,
    /// What it asks.
    pub asks: String,
}

/// A document.
#[derive(Clone, Debug, Serialize)]
pub struct Source {
    /// Its id.
    pub id: String,
    /// Document, edition, place.
    pub document: String,
    /// What it says.
    pub title: String,
    /// How far it can be trusted.
    pub trust: Trust,
    /// How it was read.
    pub reading: String,
}
