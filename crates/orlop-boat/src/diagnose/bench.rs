//! The boat with something wrong in it, solved as a network.

use super::scene::Scene;
use crate::model::{Demand as Draws, LoadState};
use crate::network::middle;
use orlop::network::{Converter, Corner, Demand, Load, Network, Part, RETURN, Source};
use orlop::{Error, Range};
use orlop_units::{Fraction, Quantity, amperes, ohms, volts, watts};

/// What differs from the boat as it should be.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Ail {
    /// Electromotive force of the bank, where it is not the usual one.
    pub emf: Option<f64>,
    /// Added to the usual one.
    pub charge: f64,
    /// Ohms added in the leads of the bank, and a factor of its own resistance.
    pub terminal: f64,
    pub inside: f64,
    /// Excess ohms in one run of a circuit.
    pub excess: Option<(usize, f64)>,
    /// Factor of the conductor of a circuit.
    pub thinner: Option<(usize, f64)>,
    /// Factor of all conductors, joints and devices.
    pub wires: f64,
    /// Factor of what all loads draw, and of one of them.
    pub draw: f64,
    pub load: Option<(usize, f64)>,
    /// Amperes drawn at a node.
    pub drain: Option<(usize, f64)>,
    /// Limit of all converters on the way, zero for off; factor of their volts.
    pub limit: Option<f64>,
    pub output: f64,
    /// One charger: volts added to its target, none for off.
    pub charger: Option<(usize, Option<f64>)>,
}

impl Ail {
    pub const NONE: Self = Self {
        emf: None,
        charge: 0.0,
        terminal: 0.0,
        inside: 1.0,
        excess: None,
        thinner: None,
        wires: 1.0,
        draw: 1.0,
        load: None,
        drain: None,
        limit: None,
        output: 1.0,
        charger: None,
    };
}

/// Ohms of what is open: enough that nothing flows.
pub(super) const OPEN: f64 = 1e7;
/// Where the file says nothing of a bank's resistance: volts lost at one ampere, as a share of nominal; from memory.
const INSIDE: f64 = 1.0 / 2400.0;
/// Relative standard deviation of the resistance of a sound device with its holder, from memory.
const DEVICES_DIFFER: f64 = 0.4;
/// Below this share of nominal a load without a stated minimum does not do its work; from memory.
const GIVES_UP: f64 = 0.6;

/// One operating point.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Solved {
    /// Volts of each node; 0 where nothing feeds it or it is not in the network.
    pub volts: Vec<f64>,
    /// Amperes of each circuit, all runs.
    pub amps: Vec<f64>,
    /// Amperes out of the bank.
    pub bank: f64,
    /// What loads still do, and which do not do their work: a bit each, in the order of the scene.
    pub state: u32,
}

/// Which things are on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Moment<'a> {
    Loads(&'a [usize]),
    Charging,
}

/// What loads and converters still do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Gives {
    /// What they are asked to.
    AsAsked = 0,
    /// What cannot have its power is a resistor by then: a motor that stands, a lamp.
    Resistors = 1,
    /// Converters have given up as well.
    Dead = 2,
}

impl Scene<'_> {
    /// Usual electromotive force, and what it may differ by as a standard deviation: full to nearly empty.
    pub fn emf(&self) -> (f64, f64) {
        let bank = &self.boat.banks[self.bank];
        (bank.nominal.si(), 0.25 * (bank.highest.si() - bank.lowest.si()))
    }

    /// Resistance of the bank, and its relative standard deviation.
    pub fn inside(&self) -> (f64, f64) {
        let bank = &self.boat.banks[self.bank];
        let strings = f64::from(bank.strings.max(1));
        match (bank.string_low.map(Quantity::si), bank.string_high.map(Quantity::si)) {
            (Some(low), Some(high)) if high > 0.0 => {
                (0.5 * (low + high) / strings, (high - low) / (high + low) / 3_f64.sqrt())
            }
            (Some(one), None) | (None, Some(one)) if one > 0.0 => (one / strings, 0.3),
            _ => (self.boat.nominal.si() * INSIDE, 0.5),
        }
    }

    /// One sound run, and the whole circuit with what ails it.
    pub fn circuit_ohms(&self, c: usize, ail: &Ail) -> (f64, f64) {
        let parts = &self.anatomy.parts[c];
        let thinner = ail.thinner.filter(|(t, _)| *t == c).map_or(1.0, |t| t.1);
        let run = (ail.wires * (parts.run() + 2.0 * parts.leg * (thinner - 1.0))).max(1e-7);
        let excess = ail.excess.filter(|(e, _)| *e == c).map_or(0.0, |e| e.1);
        (run, 1.0 / ((parts.runs - 1.0) / run + 1.0 / (run + excess)))
    }

    /// Amperes in the run that ails, or in each where none does.
    pub fn run_amps(&self, c: usize, ail: &Ail, solved: &Solved) -> f64 {
        let (run, all) = self.circuit_ohms(c, ail);
        let excess = ail.excess.filter(|(e, _)| *e == c).map_or(0.0, |e| e.1);
        solved.amps[c] * all / (run + excess)
    }

    /// # Errors
    /// [`Error::Input`] for values that make no network.
    pub fn solve(&self, ail: &Ail, moment: Moment<'_>) -> Result<Solved, Error> {
        let loads: &[usize] = match moment {
            Moment::Loads(loads) => loads,
            Moment::Charging => &[],
        };
        let mut found = None;
        for gives in [Gives::AsAsked, Gives::Resistors, Gives::Dead] {
            match self.network(ail, loads, moment == Moment::Charging, gives)?.solve(Corner::Low) {
                Ok(point) => {
                    found = Some((point, gives));
                    break;
                }
                Err(Error::NoSolution { .. }) => {}
                Err(other) => return Err(other),
            }
        }
        let Some((point, gives)) = found else { return Ok(self.dark(loads)) };
        let net = point.network();
        let mut volts_of = vec![0.0; self.anatomy.nodes.len()];
        for (at, id) in self.anatomy.nodes.iter().enumerate() {
            volts_of[at] = net.node_at(id).and_then(|n| point.voltage_at(n)).map_or(0.0, Quantity::si);
        }
        let mut amps = vec![0.0; self.boat.circuits.len()];
        for (branch, amperes) in net.branches().iter().zip(point.branch_amperes()) {
            let id = branch.id.trim_start_matches("circuit.");
            if let Some(c) = self.boat.circuits.iter().position(|c| c.id == id) {
                amps[c] = *amperes;
            }
        }
        let bank = point.source_amperes().first().copied().unwrap_or(0.0);
        let mut state = gives as u32;
        for (k, load) in loads.iter().enumerate().take(28) {
            let node = self.anatomy.of_load[*load].unwrap_or(self.bank_node);
            state |= u32::from(volts_of[node] < self.least(*load)) << (k + 2);
        }
        Ok(Solved { volts: volts_of, amps, bank, state })
    }

    /// Volts below which a load does not do its work.
    pub fn least(&self, load: usize) -> f64 {
        let node = self.anatomy.of_load[load].unwrap_or(self.bank_node);
        self.boat.loads[load].minimum.map_or(GIVES_UP * self.nominal(node), Quantity::si)
    }

    fn dark(&self, loads: &[usize]) -> Solved {
        Solved {
            volts: vec![0.0; self.anatomy.nodes.len()],
            amps: vec![0.0; self.boat.circuits.len()],
            bank: 0.0,
            state: (4 << loads.len().min(28)) - 1,
        }
    }

    fn network(&self, ail: &Ail, loads: &[usize], charging: bool, gives: Gives) -> Result<Network, Error> {
        let resistors = gives != Gives::AsAsked;
        let node = |at: usize| self.anatomy.nodes[at].as_str();
        let mut net = Network::new();
        let usual = self.emf().0 + ail.charge;
        let emf = Range::exactly(volts(ail.emf.unwrap_or(usual)));
        let behind = Range::exactly(ohms(self.inside().0 * ail.inside + ail.terminal));
        let bank = node(self.bank_node);
        net.source(bank, bank, RETURN, Source { emf, resistance: behind, may_open: false })?;
        let mut circuits = self.wired.clone();
        if charging {
            for (_, c) in &self.chargers {
                circuits.extend(self.anatomy.way(self.anatomy.ends[*c].1));
            }
        }
        circuits.sort_unstable();
        circuits.dedup();
        for c in circuits {
            let (from, to) = self.anatomy.ends[c];
            let ohm = Range::exactly(ohms(self.circuit_ohms(c, ail).1));
            net.branch(
                &format!("circuit.{}", self.boat.circuits[c].id),
                node(from),
                node(to),
                Part::Resistance(ohm),
            )?;
        }
        for (source, feeder) in &self.converters {
            let source = &self.boat.sources[*source];
            let rated = ail.limit.unwrap_or(source.rating.si());
            let limit = if gives == Gives::Dead { 0.0 } else { rated };
            let id = format!("source.{}", source.id);
            let converter = Converter {
                output: source.nominal.unwrap_or(self.boat.nominal) * ail.output,
                limit: amperes(limit.max(1e-6)),
                efficiency: source.efficiency,
                minimum: source.minimum,
                shuts_down: false,
                capacitor: None,
                runs: limit > 0.0,
            };
            let input = node(self.anatomy.ends[*feeder].1).to_string();
            net.converter(&id, &id, RETURN, Some((&input, RETURN)), converter)?;
            if gives == Gives::Dead && rated > 0.0 {
                // Its input pulls down whatever is left there.
                let nominal = self.nominal(self.anatomy.ends[*feeder].1);
                let power = source.nominal.unwrap_or(self.boat.nominal).si() * source.rating.si();
                let input = Load::new(Demand::Resistance(ohms(nominal * nominal / power)));
                net.load(&format!("{id}.input"), node(self.anatomy.ends[*feeder].1), RETURN, input)?;
            }
        }
        for (source, _) in self.chargers.iter().filter(|_| charging) {
            let shift = ail.charger.filter(|(s, _)| s == source).map_or(Some(0.0), |c| c.1);
            let source = &self.boat.sources[*source];
            let id = format!("source.{}", source.id);
            let target = self.boat.banks[self.bank].highest.si() + shift.unwrap_or(0.0);
            let converter = Converter {
                output: volts(target),
                limit: source.rating,
                efficiency: Fraction::new(1.0),
                minimum: None,
                shuts_down: false,
                capacitor: None,
                runs: shift.is_some(),
            };
            net.converter(&id, &id, RETURN, None, converter)?;
        }
        if let Some((at, amps)) = ail.drain {
            // As a resistor: what leaks does not push.
            let nominal = self.nominal(at);
            net.load("drain", node(at), RETURN, Load::new(Demand::Resistance(ohms(nominal / amps))))?;
        }
        for load in loads {
            let Some(at) = self.anatomy.of_load[*load] else { continue };
            let factor = ail.draw * ail.load.filter(|(l, _)| l == load).map_or(1.0, |l| l.1);
            if factor <= 0.0 {
                continue;
            }
            let nominal = self.nominal(at);
            let demand = match self.boat.loads[*load].demand_in(LoadState::Run) {
                Draws::Power(p) if resistors => {
                    Demand::Resistance(ohms(nominal * nominal / (p.q.si() * factor)))
                }
                Draws::Current(i) if resistors => Demand::Resistance(ohms(nominal / (i.q.si() * factor))),
                Draws::Power(p) => Demand::Power(watts(p.q.si() * factor)),
                Draws::Current(i) => Demand::Current(amperes(i.q.si() * factor)),
                Draws::Resistance(r) => Demand::Resistance(ohms(r.q.si() / factor)),
            };
            net.load(&format!("load.{}", self.boat.loads[*load].id), node(at), RETURN, Load::new(demand))?;
        }
        Ok(net)
    }

    /// Ohms of a load when it is measured dead, as its work suggests.
    pub fn load_ohms(&self, load: usize) -> f64 {
        let node = self.anatomy.of_load[load].unwrap_or(self.bank_node);
        let nominal = self.nominal(node);
        match self.boat.loads[load].demand_in(LoadState::Run) {
            Draws::Power(p) => nominal * nominal / p.q.si(),
            Draws::Current(i) => nominal / i.q.si(),
            Draws::Resistance(r) => r.q.si(),
        }
    }

    /// Half way between cold and hot of a device, or between the ends of a joint.
    pub fn part_ohms(&self, c: usize, spot: super::Spot) -> (f64, f64) {
        use super::Spot;
        let p = &self.anatomy.parts[c];
        let (joint, device) = (middle(p.joint), middle(p.device));
        let deviation = |(low, high): (f64, f64)| (high - low) / 12_f64.sqrt();
        // Fuses of one rating differ more between families and makers than one of them does from cold to hot.
        let holder = deviation(p.device).max(DEVICES_DIFFER * device);
        let pair = 2_f64.sqrt() * deviation(p.joint);
        match spot {
            Spot::Positive => (p.leg + 2.0 * joint + device + p.switch, pair.hypot(holder)),
            Spot::Negative => (p.leg + 2.0 * joint, pair),
            Spot::Supply => (joint + device + p.switch, deviation(p.joint).hypot(holder)),
            Spot::Device => (device, holder),
            Spot::Switch => (p.switch, 0.3 * p.switch),
            Spot::StartPositive | Spot::EndPositive | Spot::StartNegative | Spot::EndNegative => {
                (joint, deviation(p.joint))
            }
        }
    }
}
