//! Brown-outs: what one load's start, stall or short peak does to the others that are on.
//!
//! Before the moment the bank's terminals stand at its lowest service voltage; behind them lies its resistance, cold, aged, of
//! ten seconds. So the dip is that of the bank and of every conductor that both share. Conductors keep their temperature: the
//! moment is short.

use super::build::{Behind, Charging, Nodes, operating};
use super::operating::{CaseAnswer, demand, fed};
use super::wire::Wire;
use crate::demand::{CaseKind, Demand as BoatDemand, short_states};
use crate::model::{Boat, LoadState};
use orlop::network::{Corner, Demand};
use orlop::{Error, Range};
use orlop_units::{Quantity, Voltage, amperes, ohms, volts};
use std::collections::BTreeMap;

/// The worst that one load's moment does to another that is on.
#[derive(Clone, Debug, PartialEq)]
pub struct Dip {
    /// The load that starts, stalls or peaks.
    pub cause: usize,
    /// Its state.
    pub state: LoadState,
    /// The load that feels it.
    pub victim: usize,
    /// The case in which it is worst.
    pub case: String,
    /// Volts at the victim before.
    pub before: Voltage,
    /// Volts in the moment; none when the network cannot carry the moment at all.
    pub during: Option<Voltage>,
    /// What the bank's own resistance takes of the dip.
    pub in_bank: Voltage,
}

/// # Errors
/// [`Error::Input`] for values that make no network.
pub(super) fn all(
    boat: &Boat,
    boat_demand: &BoatDemand,
    nodes: &Nodes,
    wires: &[Wire],
    cases: &[CaseAnswer],
) -> Result<Vec<Dip>, Error> {
    let mut worst: BTreeMap<(usize, LoadState, usize), Dip> = BTreeMap::new();
    let of_scenario = |c: &&CaseAnswer| boat_demand.cases[c.number].kind == CaseKind::Scenario;
    for case in cases.iter().filter(of_scenario) {
        for dip in of_case(boat, nodes, wires, case)? {
            let key = (dip.cause, dip.state, dip.victim);
            let volts = |d: &Dip| d.during.map_or(f64::NEG_INFINITY, Quantity::si);
            if worst.get(&key).is_none_or(|w| volts(&dip) < volts(w)) {
                worst.insert(key, dip);
            }
        }
    }
    Ok(worst.into_values().collect())
}

fn of_case(boat: &Boat, nodes: &Nodes, wires: &[Wire], case: &CaseAnswer) -> Result<Vec<Dip>, Error> {
    let running: Vec<(usize, LoadState)> =
        case.on.iter().copied().filter(|(l, _)| !case.unfed.contains(l)).collect();
    let causes: Vec<(usize, LoadState)> =
        running.iter().flat_map(|(l, _)| short_states(&boat.loads[*l]).map(|s| (*l, s))).collect();
    if causes.is_empty() || running.len() < 2 {
        return Ok(Vec::new());
    }
    let banks: Vec<Behind> = boat.banks.iter().map(|bank| behind(boat, nodes, case, &bank.id)).collect();
    let mut prepared = operating(boat, nodes, wires, &banks, Charging::Off)?.prepare(Corner::Low)?;
    for (at, wire) in wires.iter().enumerate() {
        prepared.set_resistance(at, wire.resistance(case.temperatures[at]) / wire.sharing())?;
    }
    let fed = fed(nodes);
    let mut demands: Vec<Option<Demand>> = vec![None; fed.len()];
    for (load, state) in &running {
        if let Ok(at) = fed.binary_search(load) {
            demands[at] = Some(demand(boat, *load, *state));
        }
    }
    let node = |load: usize| nodes.of_load[load];
    let mut dips = Vec::new();
    for (cause, state) in causes {
        let Ok(at) = fed.binary_search(&cause) else { continue };
        let steady = demands[at].replace(demand(boat, cause, state));
        let point = match prepared.solve(&demands) {
            Ok(point) => Some(point),
            Err(Error::NoSolution { .. }) => None,
            Err(other) => return Err(other),
        };
        demands[at] = steady;
        let volts_at = |id: &str| point.as_ref().and_then(|p| p.voltage(id).ok().flatten());
        for (victim, _) in running.iter().filter(|(l, _)| *l != cause) {
            let Some(here) = node(*victim) else { continue };
            let Some(before) = case.volts[here] else { continue };
            let root = root_of(nodes, here);
            let lost = case.volts[root].zip(volts_at(&nodes.list[root].id)).map(|(a, b)| a - b);
            dips.push(Dip {
                cause,
                state,
                victim: *victim,
                case: case.case.clone(),
                before,
                during: volts_at(&nodes.list[here].id),
                in_bank: lost.unwrap_or_else(|| volts(0.0)),
            });
        }
    }
    Ok(dips)
}

/// The bank or converter at the beginning of the way to a node.
fn root_of(nodes: &Nodes, node: usize) -> usize {
    let mut here = node;
    while let Some(circuit) = nodes.list[here].circuit {
        here = nodes.ends[circuit].0;
    }
    here
}

/// Electromotive force with which the terminals stand at their lowest service voltage before the moment.
fn behind(boat: &Boat, nodes: &Nodes, case: &CaseAnswer, id: &str) -> Behind {
    let bank = boat.bank(id).expect("a bank of this boat");
    let resistance = bank.string_high.unwrap_or_else(|| ohms(0.0)) / f64::from(bank.strings.max(1));
    let address = format!("bank.{id}");
    let begins =
        nodes.ends.iter().zip(&case.currents).filter(|((from, _), _)| nodes.list[*from].id == address);
    let drawn: f64 = begins.map(|(_, i)| i.si()).sum();
    Behind { emf: Range::exactly(bank.lowest + amperes(drawn) * resistance), resistance }
}
