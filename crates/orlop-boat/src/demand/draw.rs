//! What one load draws in one state, at its own terminals and in each circuit on the way to the bank.

use super::cases::{Case, lasting, peak_lasts, time};
use super::tree::{FeedTree, Supply};
use super::{LoadDay, LoadDemand, energy};
use crate::model::{Boat, Demand, Feeds, Load, LoadState};
use orlop_units::{Current, Quantity, amperes};
use std::collections::BTreeMap;

/// A load, its supply, and the circuits from it to the bank.
pub(super) struct LoadPath<'a> {
    pub load: &'a Load,
    pub supply: Supply,
    /// Its own circuit first. Each with the current there for one ampere at the load.
    pub steps: Vec<Step>,
}

/// One circuit on the way of a load.
pub(super) struct Step {
    /// Place of the circuit in the file.
    pub circuit: usize,
    /// Amperes here for one at the load, inputs of converters at their lowest voltage.
    pub worst: f64,
    /// The same at nominal voltages.
    pub nominal: f64,
    /// Watts here for one at the load: 1 / efficiency of the converters between.
    pub power: f64,
}

impl LoadPath<'_> {
    /// The circuit that feeds the load.
    pub fn circuit(&self) -> usize {
        self.steps[0].circuit
    }
}

/// The paths of all fed loads, in the order of the loads in the file.
pub(super) fn paths<'a>(boat: &'a Boat, tree: &FeedTree) -> Vec<LoadPath<'a>> {
    let mut fed: BTreeMap<&str, usize> = BTreeMap::new();
    for (at, circuit) in boat.circuits.iter().enumerate() {
        if let Feeds::Loads(loads) = &circuit.feeds {
            fed.extend(loads.iter().map(|id| (id.as_str(), at)));
        }
    }
    boat.loads
        .iter()
        .filter_map(|load| {
            let at = *fed.get(load.id.as_str())?;
            Some(LoadPath { load, supply: tree.supply_at(at).clone(), steps: steps(boat, tree, at) })
        })
        .collect()
}

fn steps(boat: &Boat, tree: &FeedTree, circuit: usize) -> Vec<Step> {
    let mut here = Step { circuit, worst: 1.0, nominal: 1.0, power: 1.0 };
    let mut out = Vec::new();
    loop {
        let at = here.circuit;
        let up = tree.parent_at(at);
        let next = up.map(|up| {
            let (worst, nominal, power) = crossing(boat, tree, at, up);
            Step {
                circuit: up,
                worst: here.worst * worst,
                nominal: here.nominal * nominal,
                power: here.power * power,
            }
        });
        out.push(here);
        match next {
            Some(step) => here = step,
            None => return out,
        }
    }
}

/// Amperes (worst, nominal) and watts in the circuit above for one in this one: 1 unless a converter lies between.
pub(super) fn crossing(boat: &Boat, tree: &FeedTree, at: usize, up: usize) -> (f64, f64, f64) {
    let Some(converter) = boat.source(&boat.circuits[at].from) else { return (1.0, 1.0, 1.0) };
    let efficiency = converter.efficiency.value();
    let output = tree.supply_at(at).nominal.si() / efficiency;
    let input = tree.supply_at(up);
    (output / input.lowest.si(), output / input.nominal.si(), 1.0 / efficiency)
}

/// What a demand draws.
#[derive(Clone, Copy)]
pub(super) struct Draw {
    /// At the voltage at which it draws most, a guess at its upper end.
    pub worst: Current,
    /// At nominal voltage, as stated.
    pub nominal: Current,
    /// It draws most at the highest voltage, not at the lowest.
    pub at_high: bool,
}

/// What a demand draws from a supply.
pub(super) fn draw(demand: &Demand, supply: &Supply) -> Draw {
    match demand {
        Demand::Power(p) => {
            Draw { worst: p.high() / supply.lowest, nominal: p.q / supply.nominal, at_high: false }
        }
        Demand::Current(i) => Draw { worst: i.high(), nominal: i.q, at_high: false },
        Demand::Resistance(r) => {
            Draw { worst: supply.highest / r.low(), nominal: supply.nominal / r.q, at_high: true }
        }
    }
}

/// What the load of a path draws in a state.
pub(super) fn draw_in(path: &LoadPath, state: LoadState) -> Draw {
    draw(path.load.demand_in(state), &path.supply)
}

/// The state that lasts and draws most: running, or a lasting peak.
pub(super) fn heaviest(path: &LoadPath) -> LoadState {
    let given = path.load.demand.iter().any(|(s, _)| *s == LoadState::Peak);
    let larger = || draw_in(path, LoadState::Peak).worst > draw_in(path, LoadState::Run).worst;
    if given && peak_lasts(path.load) && larger() { LoadState::Peak } else { LoadState::Run }
}

pub(super) fn loads(boat: &Boat, paths: &[LoadPath], cases: &[Case]) -> Vec<LoadDemand> {
    let mut on: BTreeMap<&str, Vec<(String, LoadState)>> = BTreeMap::new();
    for case in cases {
        for (load, state) in &case.on {
            on.entry(load.as_str()).or_default().push((case.id.clone(), *state));
        }
    }
    paths
        .iter()
        .map(|path| {
            let given = |state| {
                let demand = path.load.demand.iter().find(|(s, _)| *s == state).map(|(_, d)| d);
                demand.map(|d| (draw(d, &path.supply).worst, time(path.load, state)))
            };
            let run = draw_in(path, LoadState::Run);
            LoadDemand {
                load: path.load.id.clone(),
                circuit: boat.circuits[path.circuit()].id.clone(),
                nominal: run.nominal,
                run: run.worst,
                continuous: draw_in(path, heaviest(path)).worst,
                peak: given(LoadState::Peak),
                start: given(LoadState::Start),
                stall: given(LoadState::Stall),
                cases: on.get(path.load.id.as_str()).cloned().unwrap_or_default(),
                days: day_list(path),
            }
        })
        .collect()
}

fn day_list(path: &LoadPath) -> Vec<LoadDay> {
    energy::profiles(path.load)
        .into_iter()
        .map(|profile| {
            let day = energy::day(path, profile);
            LoadDay {
                profile: profile.to_string(),
                energy: day.at_load,
                at_bank: day.at_bank,
                average: day.at_bank / energy::day_time(),
            }
        })
        .collect()
}

/// The short states of a load that its file gives: start, stall, and a peak of less than a minute.
pub(crate) fn short_states(load: &Load) -> impl Iterator<Item = LoadState> {
    load.demand.iter().map(|(state, _)| *state).filter(|state| match state {
        LoadState::Start | LoadState::Stall => true,
        LoadState::Peak => !peak_lasts(load),
        LoadState::Idle | LoadState::Run => false,
    })
}

/// What a load draws continuously in a state of a case: moments count as running.
pub(super) fn lasting_draw(path: &LoadPath, state: LoadState) -> Draw {
    draw_in(path, lasting(path.load, state))
}

/// Amperes as a quantity; the sums are plain numbers.
pub(super) fn current(si: f64) -> Current {
    amperes(si)
}
