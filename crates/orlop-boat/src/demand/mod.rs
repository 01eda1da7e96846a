//! How much current flows where: each load at its worst voltage, summed up the feed tree, scenario by scenario.
//!
//! | question | answer |
//! |---|---|
//! | what one load draws | [`LoadDemand`] |
//! | what one circuit carries, and when | [`CircuitDemand`] |
//! | what a converter gives | [`ConverterDemand`] |
//! | what a day takes from the bank | [`DayEnergy`] |
//! | who feeds whom | [`FeedTree`] |
//!
//! Each load counts at the voltage at which *it* draws most: constant power at the lowest service voltage of its
//! supply, a resistor at the highest, and a guess at the upper end of its range. A sum of such currents is an upper
//! bound: no single voltage need give all of them at once.

mod cases;
mod currents;
mod draw;
mod energy;
mod explain;
mod tree;

pub(crate) use cases::lasting;
pub use cases::{CONTINUOUS_FROM, Case, CaseKind};
pub(crate) use draw::short_states;
pub use explain::work_out_recorded;
pub use tree::{FeedTree, Supply, SupplyKind};

use crate::model::{Boat, LoadState};
use orlop::Range;
use orlop_units::{Current, Energy, Power, amperes};

/// What one load draws.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadDemand {
    /// Its id.
    pub load: String,
    /// The circuit that feeds it.
    pub circuit: String,
    /// Running, at the nominal voltage of its supply.
    pub nominal: Current,
    /// Running, at the voltage at which it draws most.
    pub run: Current,
    /// The most it draws for a minute or longer, at the voltage at which it draws most: running, or a peak that lasts
    /// or whose time is not stated.
    pub continuous: Current,
    /// At its peak, and how long, when the file gives one.
    pub peak: Option<(Current, Option<orlop_units::Time>)>,
    /// Inrush, and how long.
    pub start: Option<(Current, Option<orlop_units::Time>)>,
    /// Held still, and how long.
    pub stall: Option<(Current, Option<orlop_units::Time>)>,
    /// The cases in which it is on, each with its state.
    pub cases: Vec<(String, LoadState)>,
    /// What it takes on each day profile.
    pub days: Vec<LoadDay>,
}

/// What one load takes on a day.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadDay {
    /// The day profile.
    pub profile: String,
    /// Energy at the load's terminals.
    pub energy: Energy,
    /// The same at the bank, through the converters between.
    pub at_bank: Energy,
    /// `at_bank` spread over 24 hours.
    pub average: Power,
}

/// A current above the continuous one for a moment: start, stall, or a peak of less than a minute.
#[derive(Clone, Debug, PartialEq)]
pub struct Short {
    /// The load that makes it.
    pub load: String,
    /// The state it is in.
    pub state: LoadState,
    /// What else is on.
    pub case: String,
    /// Whole current of the circuit in that moment.
    pub current: Current,
    /// How long; none when the file does not say.
    pub time: Option<orlop_units::Time>,
}

/// What one circuit carries, all its runs together.
#[derive(Clone, Debug, PartialEq)]
pub struct CircuitDemand {
    /// Its id.
    pub circuit: String,
    /// Voltages at which it works.
    pub supply: Supply,
    /// Current in each case in which it carries any, with everything at nominal voltage.
    pub at_nominal: Vec<(String, Current)>,
    /// Current in each case in which it carries any, each load at the voltage at which it draws most. Without growth.
    pub in_scenario: Vec<(String, Current)>,
    /// Continuous maximum: the largest of `in_scenario` with the boat's growth allowance. A charging source, and the
    /// way from it to the bank, have its rating at least.
    pub design: Current,
    /// The case that gives it: `scenario@low` or `scenario@high`, after the end of the voltage window at which most of
    /// the current is at its largest.
    pub case: String,
    /// Currents above it for a moment, the largest first; what is neither larger nor longer than another is left out.
    pub short: Vec<Short>,
    /// Runs side by side.
    pub runs: u32,
    /// Each run carries the whole current alone.
    pub alone: bool,
}

impl CircuitDemand {
    /// Share of a current of the whole circuit that one run must bear.
    #[must_use]
    pub fn share(&self, current: Current) -> Current {
        if self.alone { current } else { current / f64::from(self.runs.max(1)) }
    }
    /// Design current of each run.
    #[must_use]
    pub fn per_run(&self) -> Current {
        self.share(self.design)
    }
    /// Current in a case; zero when it carries none.
    #[must_use]
    pub fn current_in(&self, case: &str) -> Current {
        self.in_scenario
            .iter()
            .find(|(id, _)| id == case)
            .map_or_else(|| amperes(0.0), |(_, current)| *current)
    }
    /// Current in a case with everything at nominal voltage; zero when it carries none.
    #[must_use]
    pub fn nominal_in(&self, case: &str) -> Current {
        self.at_nominal
            .iter()
            .find(|(id, _)| id == case)
            .map_or_else(|| amperes(0.0), |(_, current)| *current)
    }
}

/// What a converter gives at its output.
#[derive(Clone, Debug, PartialEq)]
pub struct ConverterDemand {
    /// Its id.
    pub converter: String,
    /// The circuit of its input.
    pub circuit: Option<String>,
    /// Output current in each case in which it gives any.
    pub output: Vec<(String, Current)>,
    /// The largest of them.
    pub design: Current,
    /// The case of the largest; empty when it feeds nothing.
    pub case: String,
    /// What it can give.
    pub rating: Current,
}

/// What a day takes from a bank.
#[derive(Clone, Debug, PartialEq)]
pub struct DayEnergy {
    /// The bank.
    pub bank: String,
    /// The day profile.
    pub profile: String,
    /// Energy at the bank's terminals.
    pub energy: Energy,
    /// The same with every guess at the lower and at the upper end of its range.
    pub range: Range<Energy>,
    /// `energy` spread over 24 hours.
    pub average: Power,
    /// The share of each load, in the order of the file; loads that take nothing are left out.
    pub loads: Vec<(String, Energy)>,
}

/// Currents and energies of a whole boat.
#[derive(Clone, Debug)]
pub struct Demand {
    /// Who feeds whom.
    pub tree: FeedTree,
    /// The scenarios of the file, then what had to be added to them: see [`CaseKind`].
    pub cases: Vec<Case>,
    /// Loads in the order of the file.
    pub loads: Vec<LoadDemand>,
    /// Circuits in the order of the file.
    pub circuits: Vec<CircuitDemand>,
    /// Converters in the order of the file.
    pub converters: Vec<ConverterDemand>,
    /// Days, by bank and day profile.
    pub days: Vec<DayEnergy>,
}

impl Demand {
    /// One load by id.
    #[must_use]
    pub fn load(&self, id: &str) -> Option<&LoadDemand> {
        self.loads.iter().find(|x| x.load == id)
    }
    /// One circuit by id.
    #[must_use]
    pub fn circuit(&self, id: &str) -> Option<&CircuitDemand> {
        self.circuits.iter().find(|x| x.circuit == id)
    }
    /// One converter by id.
    #[must_use]
    pub fn converter(&self, id: &str) -> Option<&ConverterDemand> {
        self.converters.iter().find(|x| x.converter == id)
    }
    /// One case by id.
    #[must_use]
    pub fn case(&self, id: &str) -> Option<&Case> {
        self.cases.iter().find(|x| x.id == id)
    }
}

/// Works out every current and every day of a boat.
///
/// ```text
/// constant power   I = P / U_lowest          resistor   I = U_highest / R
/// converter input  I = I_out U_out / (eta U_lowest)
/// design           I = (1 + growth) x largest sum over the cases
/// ```
/// where P, R are in watts and ohms (the upper end of a guess), U_lowest and U_highest the service window of the bank, or
/// the fixed output voltage of the converter a circuit lives behind, and eta the converter's efficiency. A load without
/// a feeding circuit, which the reader of boat files refuses, is left out.
#[must_use]
pub fn work_out(boat: &Boat) -> Demand {
    let tree = FeedTree::new(boat);
    let paths = draw::paths(boat, &tree);
    let cases = cases::cases(boat, &paths);
    let sums = currents::sums(boat, &tree, &paths, &cases);
    Demand {
        loads: draw::loads(boat, &paths, &cases),
        circuits: currents::circuits(boat, &tree, &paths, &cases, &sums),
        converters: currents::converters(boat, &cases, &sums),
        days: energy::days(boat, &paths, &tree),
        tree,
        cases,
    }
}
