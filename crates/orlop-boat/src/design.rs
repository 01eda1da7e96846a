//! What sizing a boat gives: the frozen outputs of its stages, in one place.

use crate::demand::Demand;
use crate::model::Boat;
use crate::route::Routes;
use orlop::circuit::Criterion;
use orlop::conductor::Conductor;
use orlop::protection::Device;
use orlop::{Confidence, Error, Judgement, Range, Verdict};
use orlop_units::{ConductorSize, Current, Fraction, Mass, OneWay, Resistance, Temperature, Voltage};
use std::sync::Arc;

/// How close a circuit is to one of the limits that size it.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Margin {
    /// Which criterion.
    pub criterion: Criterion,
    /// The smallest size that this criterion alone asks for; none when no standard size meets it.
    pub asks_for: Option<ConductorSize>,
    /// Room left over the limit for the size taken, as a share of it; negative means short of it.
    pub margin: Option<f64>,
}

/// Whether something stood in the file or was chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Origin {
    /// In the file.
    Given,
    /// Chosen here.
    Chosen,
}

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
    /// By how much the latter may exceed the least there is: zero when proven. None where loads could not all be served
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

/// One circuit with its conductor and device.
#[derive(Clone, Debug)]
pub struct SizedCircuit {
    /// Its id.
    pub id: String,
    /// The conductor of each leg.
    pub conductor: Conductor,
    /// Where the conductor comes from.
    pub conductor_origin: Origin,
    /// The device; none when none fits or none is needed.
    pub device: Option<Device>,
    /// Where the device comes from.
    pub device_origin: Origin,
    /// Why there is no device, one line for each family or limit; empty when there is one.
    pub device_problems: Vec<String>,
    /// Lowest and highest rating that would do: 1.25 x design current, and what the conductor and others allow.
    pub device_window: (Current, Current),
    /// Length of one leg.
    pub one_way: OneWay,
    /// Continuous current it is sized for (of each run).
    pub design_current: Current,
    /// The case that gives it: `scenario@corner`.
    pub case: String,
    /// Hottest ambient on its way.
    pub ambient: Temperature,
    /// Current-carrying conductors that lie together.
    pub bundled: u32,
    /// Ampacity after all factors, when the rule set has one.
    pub ampacity: Option<Current>,
    /// Temperature the conductor settles at, upper end; none when it would not settle.
    pub temperature: Option<Temperature>,
    /// Resistance of both legs, device and joints, warm.
    pub resistance: Resistance,
    /// Drop in this circuit alone at its design current.
    pub drop: Voltage,
    /// Mass of both legs of all runs.
    pub mass: Mass,
    /// Fault current at its beginning: high with the whole bank and no cable, low with all resistances at their highest.
    pub fault_start: Range<Current>,
    /// Lowest fault current at its far end.
    pub fault_end: Option<Current>,
    /// What asks for the largest conductor.
    pub governed_by: Criterion,
    /// Every criterion with its margin.
    pub margins: Vec<Margin>,
    /// Weakest source the choice rests on.
    pub confidence: Confidence,
    /// Remarks: values between table cells, models outside published constants.
    pub flags: Vec<String>,
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
    /// Voltage at the load when the source is at its lowest.
    pub lowest_voltage: Voltage,
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
    /// Circuits in the order of the file.
    pub circuits: Vec<SizedCircuit>,
    /// Loads in the order of the file.
    pub loads: Vec<LoadResult>,
    /// Every judgement, passes as well as failures; worst first.
    pub judgements: Vec<Judgement>,
    /// How many rounds the sizes took to settle.
    pub rounds: u32,
    /// How the conductors were chosen.
    pub method: Method,
    /// What choosing them together saves.
    pub copper: Copper,
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
