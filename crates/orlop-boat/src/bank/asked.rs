//! What the loads ask of a bank.

use crate::demand::{CONTINUOUS_FROM, CaseKind, CircuitDemand, Demand};
use crate::model::{Bank, Boat, LoadState};
use orlop_units::{Current, Quantity, Time, amperes, seconds, total_cmp};

/// What the loads ask of a bank, all its strings together.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// Largest continuous current, growth counted.
    pub continuous: Current,
    /// When: the id of its case; empty where nothing is fed.
    pub case: String,
    /// The largest current for a moment that exceeds it.
    pub moment: Option<Moment>,
}

/// A current for a moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment {
    /// Of the whole bank.
    pub current: Current,
    /// How long; a minute where the file does not say.
    pub time: Time,
    /// Whether the file says how long.
    pub stated: bool,
    /// The load that makes it.
    pub load: String,
    /// The state it is in.
    pub state: LoadState,
}

impl Asked {
    /// What lasts through each of so many managers: with all strings, and with one lost where there are several.
    #[must_use]
    pub fn through_each(&self, managers: u32) -> (Current, Current) {
        let strings = f64::from(managers);
        (self.continuous / strings, self.continuous / (strings - 1.0).max(1.0))
    }

    pub(super) fn of(boat: &Boat, demand: &Demand, bank: &Bank) -> Self {
        let growth = 1.0 + boat.growth.value();
        let circuits: Vec<&CircuitDemand> = boat
            .circuits
            .iter()
            .filter(|c| c.from == bank.id)
            .filter_map(|c| demand.circuit(&c.id))
            .collect();
        let sum = |case: &str, without: Option<&str>| {
            let others = circuits.iter().filter(|c| without != Some(c.circuit.as_str()));
            others.fold(amperes(0.0), |sum, c| sum + c.current_in(case)) * growth
        };
        let cases = demand.cases.iter().filter(|c| c.kind != CaseKind::Charging);
        // The first of equals, so that a name does not depend on rounding.
        let mut continuous: (Current, &str) = (amperes(0.0), "");
        for case in cases {
            let current = sum(&case.id, None);
            if current.si() > continuous.0.si() * (1.0 + 1e-9) {
                continuous = (current, &case.id);
            }
        }
        let moments = circuits.iter().flat_map(|circuit| {
            circuit.short.iter().map(|short| Moment {
                current: short.current + sum(&short.case, Some(&circuit.circuit)),
                time: short.time.unwrap_or(seconds(CONTINUOUS_FROM)),
                stated: short.time.is_some(),
                load: short.load.clone(),
                state: short.state,
            })
        });
        let most = moments
            .filter(|m| m.current > continuous.0)
            .max_by(|a, b| total_cmp(a.current, b.current).then_with(|| b.load.cmp(&a.load)));
        Self { continuous: continuous.0, case: continuous.1.to_string(), moment: most }
    }
}
