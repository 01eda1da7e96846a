//! What a day takes from the bank.
//!
//! The energy of a day profile is the sum over states of power times hours, at nominal voltage and without growth;
//! behind a converter it is divided by the efficiency.

use super::draw::LoadPath;
use super::tree::SupplyKind;
use super::{DayEnergy, FeedTree};
use crate::model::{Boat, Demand, Load, LoadState};
use orlop::Range;
use orlop_units::{Energy, Power, Quantity, Time, Voltage, joules, seconds};
use std::collections::BTreeMap;

/// Twenty-four hours.
pub(super) fn day_time() -> Time {
    seconds(86_400.0)
}

/// Hours by state: running, idle, at the peak.
fn hours(load: &Load) -> [(LoadState, &[(String, Time)]); 3] {
    [(LoadState::Run, &load.hours), (LoadState::Idle, &load.idle_hours), (LoadState::Peak, &load.peak_hours)]
}

/// The day profiles a load names, in the order it names them.
pub(super) fn profiles(load: &Load) -> Vec<&str> {
    let mut out: Vec<&str> = Vec::new();
    for (profile, _) in hours(load).into_iter().flat_map(|(_, list)| list) {
        if !out.contains(&profile.as_str()) {
            out.push(profile);
        }
    }
    out
}

/// Power as stated, at the lower and at the upper end of a guess, at nominal voltage.
fn power(demand: &Demand, nominal: Voltage) -> [Power; 3] {
    match demand {
        Demand::Power(p) => [p.q, p.low(), p.high()],
        Demand::Current(i) => [i.q, i.low(), i.high()].map(|i| i * nominal),
        Demand::Resistance(r) => [r.q, r.high(), r.low()].map(|r| nominal * nominal / r),
    }
}

/// What one load takes on one day.
pub(super) struct Day {
    pub at_load: Energy,
    pub at_bank: Energy,
    /// At the bank, guesses at their lower and upper ends.
    pub ends: (Energy, Energy),
}

pub(super) fn day(path: &LoadPath, profile: &str) -> Day {
    let mut sum = [joules(0.0); 3];
    for (state, list) in hours(path.load) {
        for (_, time) in list.iter().filter(|(p, _)| p == profile) {
            for (total, power) in sum.iter_mut().zip(power(path.load.demand_in(state), path.supply.nominal)) {
                *total += power * *time;
            }
        }
    }
    let factor = path.steps.last().map_or(1.0, |s| s.power);
    Day { at_load: sum[0], at_bank: sum[0] * factor, ends: (sum[1] * factor, sum[2] * factor) }
}

/// Days by bank, in the order of the file, and by day profile, in the order in which loads first name them.
pub(super) fn days(boat: &Boat, paths: &[LoadPath], tree: &FeedTree) -> Vec<DayEnergy> {
    let mut order: Vec<&str> = Vec::new();
    let mut by_root: BTreeMap<(&str, &str), Vec<(&LoadPath, Day)>> = BTreeMap::new();
    for path in paths {
        let Some(root) = path.steps.last().map(|s| tree.supply_at(s.circuit)) else { continue };
        for profile in profiles(path.load) {
            if !order.contains(&profile) {
                order.push(profile);
            }
            if root.kind == SupplyKind::Bank {
                by_root.entry((&root.id, profile)).or_default().push((path, day(path, profile)));
            }
        }
    }
    let mut out = Vec::new();
    for bank in &boat.banks {
        for profile in &order {
            let Some(list) = by_root.get(&(bank.id.as_str(), *profile)) else { continue };
            let total = |part: fn(&Day) -> Energy| list.iter().fold(joules(0.0), |sum, (_, d)| sum + part(d));
            let energy = total(|d| d.at_bank);
            out.push(DayEnergy {
                bank: bank.id.clone(),
                profile: (*profile).to_string(),
                energy,
                range: Range::new(total(|d| d.ends.0), total(|d| d.ends.1)),
                average: energy / day_time(),
                loads: list
                    .iter()
                    .filter(|(_, d)| d.at_bank.si() > 0.0)
                    .map(|(path, d)| (path.load.id.clone(), d.at_bank))
                    .collect(),
            });
        }
    }
    out
}
