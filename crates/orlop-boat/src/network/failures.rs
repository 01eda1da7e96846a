//! Single failures: each part out by itself, and which loads go dark with it.

use super::wire::Wire;
use crate::demand::FeedTree;
use crate::model::{Boat, Feeds, SourceKind};
use crate::sized::SizedCircuit;

/// What is out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Part {
    /// A bank, or its only string.
    Bank,
    /// One string of several.
    String,
    /// A panel: its bus or main switch.
    Panel,
    /// A converter.
    Converter,
    /// A circuit: its conductor or device.
    Circuit,
    /// One run of several.
    Run,
}

impl Part {
    /// The word in tables.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Bank => "bank",
            Self::String => "one string",
            Self::Panel => "panel",
            Self::Converter => "converter",
            Self::Circuit => "circuit",
            Self::Run => "one run",
        }
    }
}

/// One part out by itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Failure {
    /// Its address.
    pub part: String,
    /// What it is.
    pub kind: Part,
    /// Loads that go dark, in the order of the file.
    pub dark: Vec<usize>,
}

/// Every single failure, in the order of the file: banks, panels, converters, circuits.
pub(super) fn all(boat: &Boat, tree: &FeedTree, circuits: &[SizedCircuit], wires: &[Wire]) -> Vec<Failure> {
    let behind = Behind::of(boat, tree);
    let mut out = Vec::new();
    for bank in &boat.banks {
        let part = format!("bank.{}", bank.id);
        let starts = behind.from(boat, &bank.id);
        if bank.strings > 1 {
            out.push(Failure { part: part.clone(), kind: Part::String, dark: Vec::new() });
        }
        out.push(Failure { part, kind: Part::Bank, dark: starts });
    }
    for panel in &boat.panels {
        let dark = behind.from(boat, &panel.id);
        out.push(Failure { part: format!("panel.{}", panel.id), kind: Part::Panel, dark });
    }
    for source in boat.sources.iter().filter(|s| s.kind == SourceKind::Converter) {
        let dark = behind.from(boat, &source.id);
        out.push(Failure { part: format!("source.{}", source.id), kind: Part::Converter, dark });
    }
    for (at, circuit) in boat.circuits.iter().enumerate() {
        if matches!(circuit.feeds, Feeds::Source(_)) {
            continue;
        }
        let several = circuit.runs > 1;
        let dark = if several && others_carry(&circuits[at], &wires[at], circuit.alone) {
            Vec::new()
        } else {
            behind.of_circuit[at].clone()
        };
        let kind = if several { Part::Run } else { Part::Circuit };
        out.push(Failure { part: format!("circuit.{}", circuit.id), kind, dark });
    }
    out
}

/// Whether the other runs of a circuit carry its current when one is out.
fn others_carry(sized: &SizedCircuit, wire: &Wire, alone: bool) -> bool {
    let each = if alone { 1.0 } else { wire.runs() / (wire.runs() - 1.0) };
    let current = sized.design_current * each;
    let conductor = sized.ampacity.is_some_and(|a| a >= current);
    conductor && sized.device.as_ref().is_none_or(|d| d.rating() >= current)
}

/// The loads behind each circuit, converters between them included.
struct Behind {
    of_circuit: Vec<Vec<usize>>,
}

impl Behind {
    fn of(boat: &Boat, tree: &FeedTree) -> Self {
        let mut of_circuit = vec![Vec::new(); boat.circuits.len()];
        for (l, load) in boat.loads.iter().enumerate() {
            let own = boat
                .circuits
                .iter()
                .position(|c| matches!(&c.feeds, Feeds::Loads(ids) if ids.contains(&load.id)));
            let mut next = own;
            while let Some(at) = next {
                of_circuit[at].push(l);
                next = tree.parent_at(at);
            }
        }
        Self { of_circuit }
    }

    /// Loads behind everything that starts at a bank, panel or converter.
    fn from(&self, boat: &Boat, id: &str) -> Vec<usize> {
        let starts = boat.circuits.iter().enumerate().filter(|(_, c)| c.from == id);
        let mut all: Vec<usize> = starts.flat_map(|(at, _)| self.of_circuit[at].iter().copied()).collect();
        all.sort_unstable();
        all.dedup();
        all
    }
}
