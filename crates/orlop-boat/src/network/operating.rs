//! Volts, amperes and temperatures of the whole boat, case by case.
//!
//! The terminals of a bank stand at its lowest or highest service voltage; what flows, and how warm each conductor gets by it, are
//! found together: the network is solved, each conductor settles at its current, and so on until no temperature moves by a
//! millikelvin.

use super::build::{Behind, Charging, Nodes, operating};
use super::wire::Wire;
use crate::demand::{CaseKind, Demand as BoatDemand};
use crate::model::{self, Boat, LoadState};
use orlop::network::{Corner, Demand, Operating, Prepared};
use orlop::{Error, Range};
use orlop_units::{Current, Quantity, Temperature, Voltage, amperes, ohms, watts};

/// Temperatures are settled when none moves by more than this.
const SETTLED: f64 = 1e-3;
/// More rounds than any boat needs: each wins at least a digit.
const MOST_ROUNDS: u32 = 60;

/// One case of the whole boat, solved.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseAnswer {
    /// `scenario@corner`: `low` with the bank at its lowest service voltage, `high` at its highest.
    pub case: String,
    /// Place of the case in [`crate::demand::Demand::cases`].
    pub number: usize,
    /// Volts of each node; none in the dark.
    pub volts: Vec<Option<Voltage>>,
    /// Amperes of each circuit, all its runs together, away from the bank.
    pub currents: Vec<Current>,
    /// Temperature of the metal of each circuit.
    pub temperatures: Vec<Temperature>,
    /// Loads that are on and their states, in the order of the case.
    pub on: Vec<(usize, LoadState)>,
    /// Loads that are on and cannot have what they ask for, or whose converter has too little: they count as off.
    pub unfed: Vec<usize>,
    /// How often the network was solved until temperatures stood still.
    pub rounds: u32,
}

impl CaseAnswer {
    /// Whether a load is on and gets its current.
    #[must_use]
    pub fn feeds(&self, load: usize) -> bool {
        self.on.iter().any(|(l, _)| *l == load) && !self.unfed.contains(&load)
    }
}

/// What a load asks for, the upper end of a guess, with the boat's growth allowance.
pub(super) fn demand(boat: &Boat, load: usize, state: LoadState) -> Demand {
    let grown = 1.0 + boat.growth.value();
    match boat.loads[load].demand_in(state) {
        model::Demand::Power(p) => Demand::Power(watts(p.high().si() * grown)),
        model::Demand::Current(i) => Demand::Current(amperes(i.high().si() * grown)),
        model::Demand::Resistance(r) => Demand::Resistance(ohms(r.low().si() / grown)),
    }
}

/// The loads that are fed, in the order of the network.
pub(super) fn fed(nodes: &Nodes) -> Vec<usize> {
    nodes.of_load.iter().enumerate().filter_map(|(l, n)| n.map(|_| l)).collect()
}

/// One network in one corner, ready for case after case.
pub(super) struct Bench<'a> {
    boat: &'a Boat,
    nodes: &'a Nodes,
    wires: &'a [Wire],
    prepared: Prepared,
    corner: Corner,
    fed: Vec<usize>,
    temperatures: Vec<Temperature>,
}

impl<'a> Bench<'a> {
    fn new(
        boat: &'a Boat,
        nodes: &'a Nodes,
        wires: &'a [Wire],
        corner: Corner,
        charging: Charging,
    ) -> Result<Self, Error> {
        let stiff =
            |bank: &model::Bank| Behind { emf: Range::new(bank.lowest, bank.highest), resistance: ohms(0.0) };
        let banks: Vec<Behind> = boat.banks.iter().map(stiff).collect();
        let prepared = operating(boat, nodes, wires, &banks, charging)?.prepare(corner)?;
        let temperatures = wires.iter().map(Wire::ambient).collect();
        Ok(Self { boat, nodes, wires, prepared, corner, fed: fed(nodes), temperatures })
    }

    fn case(&mut self, number: usize, id: &str, on: Vec<(usize, LoadState)>) -> Result<CaseAnswer, Error> {
        let mut demands: Vec<Option<Demand>> = vec![None; self.fed.len()];
        for (load, state) in &on {
            if let Ok(at) = self.fed.binary_search(load) {
                demands[at] = Some(demand(self.boat, *load, *state));
            }
        }
        let mut unfed = Vec::new();
        let mut rounds = 0;
        let point = loop {
            rounds += 1;
            let point = match self.prepared.solve(&demands) {
                Ok(point) => point,
                Err(error @ Error::NoSolution { .. }) => {
                    let asks = hopeless(self.boat, self.nodes, self.wires, &self.fed, &demands);
                    // Nothing asks for much: whatever it is, the rest of the boat is told without it.
                    let Some(at) = asks.or_else(|| demands.iter().position(Option::is_some)) else {
                        return Err(error);
                    };
                    demands[at] = None;
                    unfed.push(self.fed[at]);
                    continue;
                }
                Err(other) => return Err(other),
            };
            if self.settle(&point)? < SETTLED || rounds >= MOST_ROUNDS {
                break point;
            }
        };
        for load in point.unfed() {
            let id = load.trim_start_matches("load.");
            unfed.extend(self.boat.loads.iter().position(|l| l.id == id));
        }
        unfed.sort_unstable();
        let net = point.network();
        let volts = |n: &super::Node| net.node_at(&n.id).and_then(|at| point.voltage_at(at));
        Ok(CaseAnswer {
            case: format!("{id}@{}", self.corner.word()),
            number,
            volts: self.nodes.list.iter().map(volts).collect(),
            currents: point.branch_amperes().iter().map(|i| amperes(*i)).collect(),
            temperatures: self.reported(&point),
            on,
            unfed,
            rounds,
        })
    }

    /// Temperatures of this case: the ambient where no current flows.
    fn reported(&self, point: &Operating) -> Vec<Temperature> {
        let each = self.temperatures.iter().zip(self.wires).zip(point.branch_amperes());
        each.map(|((t, wire), i)| if *i == 0.0 { wire.ambient() } else { *t }).collect()
    }

    /// Lets every conductor settle at its current, unless none would move any more; the largest move.
    fn settle(&mut self, point: &Operating) -> Result<f64, Error> {
        let settled: Vec<Temperature> = self
            .wires
            .iter()
            .zip(point.branch_amperes())
            .map(|(wire, current)| wire.temperature(amperes(current.abs())))
            .collect();
        let moves = settled.iter().zip(&self.temperatures).zip(point.branch_amperes());
        let moved =
            moves.filter(|(_, i)| **i != 0.0).map(|((a, b), _)| (a.si() - b.si()).abs()).fold(0.0, f64::max);
        if moved >= SETTLED {
            for (at, now) in settled.into_iter().enumerate() {
                if now != self.temperatures[at] {
                    self.temperatures[at] = now;
                    let wire = &self.wires[at];
                    self.prepared.set_resistance(at, wire.resistance(now) / wire.sharing())?;
                }
            }
        }
        Ok(moved)
    }
}

/// The load that asks most of what its way could give at all: `4 R P / U^2` for a power, `I R / U` for a current.
fn hopeless(
    boat: &Boat,
    nodes: &Nodes,
    wires: &[Wire],
    fed: &[usize],
    demands: &[Option<Demand>],
) -> Option<usize> {
    let asks = |at: usize| -> f64 {
        let Some(node) = nodes.of_load[fed[at]] else { return 0.0 };
        let (mut way, mut here) = (0.0, node);
        let mut volts = boat.nominal.si();
        while let Some(circuit) = nodes.list[here].circuit {
            way += wires[circuit].resistance(wires[circuit].ambient()).si() / wires[circuit].sharing();
            here = nodes.ends[circuit].0;
        }
        let root = nodes.list[here].id.split_once('.').map_or("", |(_, id)| id);
        if let Some(bank) = boat.bank(root) {
            volts = bank.lowest.si();
        } else if let Some(converter) = boat.source(root) {
            volts = converter.nominal.unwrap_or(boat.nominal).si();
        }
        match demands[at] {
            Some(Demand::Power(p)) => 4.0 * way * p.si() / (volts * volts),
            Some(Demand::Current(i)) => way * i.si() / volts,
            Some(Demand::Resistance(_)) | None => 0.0,
        }
    };
    let all = (0..fed.len()).filter(|at| demands[*at].is_some()).map(|at| (at, asks(at)));
    all.filter(|(_, a)| *a > 0.0).max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0))).map(|(at, _)| at)
}

/// Loads that are on in a case, moments counting as running.
pub(super) fn on(boat: &Boat, demand: &BoatDemand, number: usize) -> Vec<(usize, LoadState)> {
    let case = &demand.cases[number];
    let of = |(id, state): &(String, LoadState)| {
        let at = boat.loads.iter().position(|l| l.id == *id)?;
        Some((at, crate::demand::lasting(&boat.loads[at], *state)))
    };
    case.on.iter().filter_map(of).collect()
}

/// Every case that a promise is made for, at the low corner: what a load gets at the least.
///
/// # Errors
/// As [`all`].
pub(super) fn low(
    boat: &Boat,
    demand: &BoatDemand,
    nodes: &Nodes,
    wires: &[Wire],
) -> Result<Vec<CaseAnswer>, Error> {
    let mut bench = Bench::new(boat, nodes, wires, Corner::Low, Charging::Off)?;
    let mut answers = Vec::new();
    for (number, case) in demand.cases.iter().enumerate().filter(|(_, c)| c.kind != CaseKind::Charging) {
        answers.push(bench.case(number, &case.id, on(boat, demand, number))?);
    }
    Ok(answers)
}

/// Sets of loads that are on together with nothing else, at the low corner of the banks.
///
/// # Errors
/// As [`low`].
pub(super) fn at_lowest(
    boat: &Boat,
    nodes: &Nodes,
    wires: &[Wire],
    sets: &[Vec<(usize, LoadState)>],
) -> Result<Vec<CaseAnswer>, Error> {
    let mut bench = Bench::new(boat, nodes, wires, Corner::Low, Charging::Off)?;
    sets.iter().enumerate().map(|(number, on)| bench.case(number, "test", on.clone())).collect()
}

/// Scenarios, and charging with the loads off, at the high corner.
///
/// # Errors
/// [`Error::Input`] for values that make no network.
pub(super) fn high(
    boat: &Boat,
    demand: &BoatDemand,
    nodes: &Nodes,
    wires: &[Wire],
) -> Result<Vec<CaseAnswer>, Error> {
    let mut bench = Bench::new(boat, nodes, wires, Corner::High, Charging::Off)?;
    let mut answers = Vec::new();
    for (number, case) in demand.cases.iter().enumerate() {
        match case.kind {
            CaseKind::Scenario => answers.push(bench.case(number, &case.id, on(boat, demand, number))?),
            CaseKind::Alone => {}
            CaseKind::Charging => {
                let mut bench = Bench::new(boat, nodes, wires, Corner::High, Charging::Full)?;
                answers.push(bench.case(number, &case.id, Vec::new())?);
            }
        }
    }
    Ok(answers)
}
