//! What sizing a boat gives: the frozen outputs of its stages, in one place.

use crate::bank::BankAnswer;
use crate::demand::Demand;
use crate::model::Boat;
use crate::network::BoatNetwork;
use crate::route::Routes;
pub use crate::sized::{Margin, Origin, SizedCircuit};
use orlop::{Error, Judgement, Verdict};
use orlop_units::{ConductorSize, Current, Fraction, Mass, Voltage};
use std::sync::Arc;

/// How conductors are chosen together.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Method {
    /// The least metal for the whole feed tree, exact.
    #[default]
    LeastCopper,
    /// Each load's permitted drop shared along its path by length and current.
    Split,
}

impl Method {
    /// All methods.
    pub const ALL: &'static [Self] = &[Self::LeastCopper, Self::Split];

    /// The word in arguments and papers.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::LeastCopper => "least-copper",
            Self::Split => "split",
        }
    }

    /// Reads the word.
    ///
    /// # Errors
    /// [`Error::Input`] with the choices.
    pub fn parse(text: &str, field: &str) -> Result<Self, Error> {
        let words = Self::ALL.iter().map(|m| m.word()).collect::<Vec<_>>().join(", ");
        let found = Self::ALL.iter().copied().find(|m| m.word() == text.trim());
        found.ok_or_else(|| Error::input(field, format!("'{}'", text.trim()), format!("one of {words}")))
    }
}

/// What choosing all conductors together saves.
#[derive(Clone, Debug, PartialEq)]
pub struct Copper {
    /// Conductors of the whole boat when drops are shared out by length and current.
    pub by_split: Mass,
    /// Conductors of the whole boat when they are chosen together.
    pub by_least: Mass,
    /// By how much the latter may exceed the least there is for the budgets that the network left: zero when proven. None where loads could not all be served
    /// together, so that drops were shared out after all.
    pub gap: Option<Mass>,
    /// Each circuit both ways, in the order of the file.
    pub circuits: Vec<CopperOf>,
}

/// One circuit in [`Copper`].
#[derive(Clone, Debug, PartialEq)]
pub struct CopperOf {
    /// Its id.
    pub circuit: String,
    /// Conductor when drops are shared out.
    pub split: ConductorSize,
    /// Conductor when all are chosen together.
    pub least: ConductorSize,
    /// Mass of the former.
    pub split_mass: Mass,
    /// Mass of the latter.
    pub least_mass: Mass,
}

/// One load with the drop on its whole path.
#[derive(Clone, Debug)]
pub struct LoadResult {
    /// Its id.
    pub id: String,
    /// Circuits from the bank or converter to it.
    pub path: Vec<String>,
    /// Scenario of the largest drop.
    pub case: String,
    /// Drop from bank or converter terminals to the load, warm, both legs, devices and joints.
    pub drop: Voltage,
    /// The same by the rule set's formula, conductors only.
    pub rule_drop: Voltage,
    /// Nominal voltage that percentages refer to.
    pub nominal: Voltage,
    /// Permitted share of nominal.
    pub limit: Fraction,
    /// Voltage at the load when the source is at its lowest, by the network of the whole boat; none when it cannot be fed at all.
    pub lowest_voltage: Option<Voltage>,
    /// The case of that voltage; empty when it cannot be fed.
    pub lowest_case: String,
}

/// What the network of a whole boat has told sizing, kept so that the same sizes come out again.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Told {
    /// Highest fault current through the device of each circuit; none where it is not known.
    pub breaks: Vec<Option<Current>>,
    /// Volts that sizing may use on the way to each load.
    pub permitted: Vec<f64>,
    /// Families of devices of each circuit, in the order in which they are tried.
    pub families: Vec<Vec<String>>,
}

/// A sized boat.
#[derive(Clone, Debug)]
pub struct Design {
    /// The boat it was made from.
    pub boat: Arc<Boat>,
    /// Lengths, spaces, bundles.
    pub routes: Routes,
    /// Currents.
    pub demand: Demand,
    /// Banks that are built from cells, in the order of the file.
    pub bank: Vec<BankAnswer>,
    /// Circuits in the order of the file.
    pub circuits: Vec<SizedCircuit>,
    /// Loads in the order of the file.
    pub loads: Vec<LoadResult>,
    /// The boat as one network.
    pub network: BoatNetwork,
    /// Every judgement, passes as well as failures; worst first.
    pub judgements: Vec<Judgement>,
    /// How many rounds the sizes took to settle.
    pub rounds: u32,
    /// How the conductors were chosen.
    pub method: Method,
    /// What choosing them together saves.
    pub copper: Copper,
    /// What the network told the sizing.
    pub(crate) told: Told,
}

impl Design {
    /// Judgements that failed or could not be decided.
    pub fn findings(&self) -> impl Iterator<Item = &Judgement> {
        self.judgements.iter().filter(|j| j.is_finding())
    }

    /// Judgements that passed.
    pub fn confirmations(&self) -> impl Iterator<Item = &Judgement> {
        self.judgements.iter().filter(|j| j.verdict == Verdict::Pass)
    }

    /// Judgements for which a measurement or statement is missing.
    pub fn not_tested(&self) -> impl Iterator<Item = &Judgement> {
        self.judgements.iter().filter(|j| j.verdict == Verdict::NotTested)
    }

    /// One circuit by id.
    #[must_use]
    pub fn circuit(&self, id: &str) -> Option<&SizedCircuit> {
        self.circuits.iter().find(|c| c.id == id)
    }

    /// One load by id.
    #[must_use]
    pub fn load(&self, id: &str) -> Option<&LoadResult> {
        self.loads.iter().find(|l| l.id == id)
    }
}
