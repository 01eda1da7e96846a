//! Sums of currents: what each circuit carries in each case, continuously and for a moment.

use super::cases::{Case, CaseKind, charges, time};
use super::draw::{LoadPath, current, draw_in, lasting_draw, short_states};
use super::{CircuitDemand, ConverterDemand, FeedTree, Short};
use crate::model::{Boat, Feeds, LoadState, SourceKind};
use orlop_units::{Quantity, total_cmp};
use std::collections::BTreeMap;

/// What a circuit carries in one case, in amperes.
#[derive(Clone, Copy, Default)]
pub(super) struct Sum {
    pub worst: f64,
    pub nominal: f64,
    /// The part of `worst` that is largest at the highest voltage.
    at_high: f64,
}

/// For each circuit the cases, by number and in order, in which it carries current.
pub(super) type Sums = Vec<Vec<(usize, Sum)>>;

pub(super) fn sums(boat: &Boat, tree: &FeedTree, paths: &[LoadPath], cases: &[Case]) -> Sums {
    let by_id: BTreeMap<&str, &LoadPath> = paths.iter().map(|p| (p.load.id.as_str(), p)).collect();
    let mut out: Sums = vec![Vec::new(); boat.circuits.len()];
    for (number, case) in cases.iter().enumerate() {
        for (id, state) in &case.on {
            let Some(path) = by_id.get(id.as_str()) else { continue };
            let draw = lasting_draw(path, *state);
            for step in &path.steps {
                let worst = draw.worst.si() * step.worst;
                // Behind a converter the voltage is fixed, and its input draws most at the lowest one.
                let at_high = if draw.at_high && step.power == 1.0 { worst } else { 0.0 };
                add(
                    &mut out[step.circuit],
                    number,
                    Sum { worst, nominal: draw.nominal.si() * step.nominal, at_high },
                );
            }
        }
        if case.kind != CaseKind::Alone {
            charging(boat, tree, case, number, &mut out);
        }
    }
    for list in &mut out {
        list.retain(|(_, sum)| sum.worst > 0.0);
    }
    out
}

fn add(list: &mut Vec<(usize, Sum)>, case: usize, more: Sum) {
    match list.last_mut().filter(|(number, _)| *number == case) {
        Some((_, sum)) => {
            sum.worst += more.worst;
            sum.nominal += more.nominal;
            sum.at_high += more.at_high;
        }
        None => list.push((case, more)),
    }
}

/// A charging source may work in any scenario; with the loads off its current flows on up to the bank.
fn charging(boat: &Boat, tree: &FeedTree, case: &Case, number: usize, out: &mut Sums) {
    let mut order: Vec<usize> =
        (0..boat.circuits.len()).filter(|at| charges(boat, &boat.circuits[*at].feeds)).collect();
    // Added up in the order of ids, so that the order of the file decides nothing.
    order.sort_by(|a, b| boat.circuits[*a].id.cmp(&boat.circuits[*b].id));
    for at in order {
        let Feeds::Source(id) = &boat.circuits[at].feeds else { continue };
        let Some(source) = boat.source(id) else { continue };
        let rating = source.rating.si();
        let sum = Sum { worst: rating, nominal: rating, at_high: 0.0 };
        add(&mut out[at], number, sum);
        if case.kind == CaseKind::Charging {
            let mut here = at;
            let home = &tree.supply_at(at).id;
            while let Some(up) = tree.parent_at(here).filter(|up| tree.supply_at(*up).id == *home) {
                add(&mut out[up], number, sum);
                here = up;
            }
        }
    }
}

pub(super) fn circuits(
    boat: &Boat,
    tree: &FeedTree,
    paths: &[LoadPath],
    cases: &[Case],
    sums: &Sums,
) -> Vec<CircuitDemand> {
    let mut short = shorts(boat, paths, cases, sums);
    boat.circuits
        .iter()
        .enumerate()
        .map(|(at, circuit)| {
            let list = |part: fn(&Sum) -> f64| {
                sums[at].iter().map(|(case, sum)| (cases[*case].id.clone(), current(part(sum)))).collect()
            };
            let grown = |(case, sum): &(usize, Sum)| {
                let charged = cases[*case].kind == CaseKind::Charging || charges(boat, &circuit.feeds);
                if charged { sum.worst } else { sum.worst * (1.0 + boat.growth.value()) }
            };
            // The first of equals; a charging source is at its rating in any case, so let that case say so.
            let mut best: Option<(f64, &(usize, Sum))> = None;
            for entry in &sums[at] {
                let here = grown(entry);
                let says_so = charges(boat, &circuit.feeds) && cases[entry.0].kind == CaseKind::Charging;
                if best.is_none_or(|(most, _)| here > most) || says_so {
                    best = Some((here, entry));
                }
            }
            CircuitDemand {
                circuit: circuit.id.clone(),
                supply: tree.supply_at(at).clone(),
                at_nominal: list(|s| s.nominal),
                in_scenario: list(|s| s.worst),
                design: current(best.map_or(0.0, |(most, _)| most)),
                case: best.map_or_else(String::new, |(_, (case, sum))| {
                    let corner = if sum.at_high > 0.5 * sum.worst { "high" } else { "low" };
                    format!("{}@{corner}", cases[*case].id)
                }),
                short: front(std::mem::take(&mut short[at])),
                runs: circuit.runs,
                alone: circuit.alone,
            }
        })
        .collect()
}

/// Each moment of each load in each circuit above it, with the worst that is on beside it.
fn shorts(boat: &Boat, paths: &[LoadPath], cases: &[Case], sums: &Sums) -> Vec<Vec<Short>> {
    let mut out = vec![Vec::new(); boat.circuits.len()];
    let mut on: BTreeMap<&str, Vec<(usize, LoadState)>> = BTreeMap::new();
    for (number, case) in cases.iter().enumerate() {
        for (load, state) in &case.on {
            on.entry(load.as_str()).or_default().push((number, *state));
        }
    }
    for path in paths {
        let states: Vec<LoadState> = short_states(path.load).collect();
        let Some(on) = on.get(path.load.id.as_str()).filter(|_| !states.is_empty()) else { continue };
        for step in &path.steps {
            let list = &sums[step.circuit];
            // What runs beside the load: the sum without its own part.
            let mut beside: (f64, usize) = (0.0, on[0].0);
            for (number, state) in on {
                let Ok(at) = list.binary_search_by_key(number, |(case, _)| *case) else { continue };
                let rest = list[at].1.worst - lasting_draw(path, *state).worst.si() * step.worst;
                if rest > beside.0 {
                    beside = (rest, *number);
                }
            }
            for state in &states {
                out[step.circuit].push(Short {
                    load: path.load.id.clone(),
                    state: *state,
                    case: cases[beside.1].id.clone(),
                    current: current(beside.0 + draw_in(path, *state).worst.si() * step.worst),
                    time: time(path.load, *state),
                });
            }
        }
    }
    out
}

/// Of each state those that are larger or longer than every other; an unknown time is the longest.
fn front(mut all: Vec<Short>) -> Vec<Short> {
    let seconds = |s: &Short| s.time.map_or(f64::INFINITY, Quantity::si);
    all.sort_by(|a, b| {
        total_cmp(b.current, a.current)
            .then(seconds(b).total_cmp(&seconds(a)))
            .then_with(|| a.load.cmp(&b.load))
            .then(a.state.cmp(&b.state))
    });
    let mut longest: BTreeMap<LoadState, f64> = BTreeMap::new();
    all.retain(|s| {
        let best = longest.entry(s.state).or_insert(f64::NEG_INFINITY);
        let keep = seconds(s) > *best;
        *best = best.max(seconds(s));
        keep
    });
    all
}

pub(super) fn converters(boat: &Boat, cases: &[Case], sums: &Sums) -> Vec<ConverterDemand> {
    let mut output: BTreeMap<&str, BTreeMap<usize, f64>> = BTreeMap::new();
    // Added up in the order of ids, so that the order of the file decides nothing.
    let mut order: Vec<usize> = (0..boat.circuits.len()).collect();
    order.sort_by(|a, b| boat.circuits[*a].id.cmp(&boat.circuits[*b].id));
    for at in order.into_iter().filter(|at| !matches!(boat.circuits[*at].feeds, Feeds::Source(_))) {
        let of = output.entry(boat.circuits[at].from.as_str()).or_default();
        for (case, sum) in sums[at].iter().filter(|(case, _)| cases[*case].kind != CaseKind::Charging) {
            *of.entry(*case).or_default() += sum.worst;
        }
    }
    let inputs: BTreeMap<&str, &str> = boat
        .circuits
        .iter()
        .filter_map(|c| match &c.feeds {
            Feeds::Converter(id) => Some((id.as_str(), c.id.as_str())),
            _ => None,
        })
        .collect();
    boat.sources
        .iter()
        .filter(|s| s.kind == SourceKind::Converter)
        .map(|s| {
            let list = output.get(s.id.as_str());
            let mut best = (0.0, String::new());
            for (case, sum) in list.into_iter().flatten() {
                if *sum > best.0 {
                    best = (*sum, cases[*case].id.clone());
                }
            }
            ConverterDemand {
                converter: s.id.clone(),
                circuit: inputs.get(s.id.as_str()).map(|id| (*id).to_string()),
                output: list
                    .into_iter()
                    .flatten()
                    .map(|(case, sum)| (cases[*case].id.clone(), current(*sum)))
                    .collect(),
                design: current(best.0),
                case: best.1,
                rating: s.rating,
            }
        })
        .collect()
}
