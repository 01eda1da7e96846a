//! From a sized boat to networks: one for operating points, one for fault currents. Both legs of a circuit are one branch.

use super::wire::Wire;
use crate::demand::FeedTree;
use crate::model::{Bank, Boat, Circuit, Feeds, Load, LoadState, Source, SourceKind};
use orlop::network::{Converter, Demand, Load as NetLoad, Network, Part, RETURN, Source as NetSource};
use orlop::{Error, Range};
use orlop_units::{Current, Fraction, Quantity, Resistance, Voltage, amperes, ohms, volts};

/// What a node of the boat is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum NodeKind {
    /// The terminals of a bank.
    Bank,
    /// A panel or bus.
    Panel,
    /// The terminals of a charging source, or the output of a converter.
    Source,
    /// The far end of a circuit: its loads, or the input of a converter.
    End,
}

impl NodeKind {
    /// The word in tables.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Bank => "bank",
            Self::Panel => "panel",
            Self::Source => "source",
            Self::End => "far end",
        }
    }
}

/// A node of the boat: positive and negative side by side, as a meter meets them.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// Its address: `bank.BANK`, `panel.DCL`, `source.N12`, or `circuit.F5` for the far end of a circuit.
    pub id: String,
    /// Its name for people.
    pub name: String,
    /// What it is.
    pub kind: NodeKind,
    /// The circuit that ends here; none at a bank or the output of a converter.
    pub circuit: Option<usize>,
    /// Loads here, in the order of the file.
    pub loads: Vec<usize>,
}

/// Nodes of a boat, and where each circuit begins and ends.
pub(crate) struct Nodes {
    pub list: Vec<Node>,
    /// Node at the beginning and end of each circuit.
    pub ends: Vec<(usize, usize)>,
    /// The node of each load; none where no circuit feeds it.
    pub of_load: Vec<Option<usize>>,
}

impl Nodes {
    pub fn of(boat: &Boat) -> Self {
        let mut nodes = Self { list: Vec::new(), ends: Vec::new(), of_load: vec![None; boat.loads.len()] };
        for bank in &boat.banks {
            nodes.add(format!("bank.{}", bank.id), bank.name.clone(), NodeKind::Bank, None);
        }
        for source in boat.sources.iter().filter(|s| s.kind == SourceKind::Converter) {
            nodes.add(format!("source.{}", source.id), source.name.clone(), NodeKind::Source, None);
        }
        for (at, circuit) in boat.circuits.iter().enumerate() {
            let (id, name, kind) = match &circuit.feeds {
                Feeds::Panel(id) => (format!("panel.{id}"), boat.panel(id).map(|p| &p.name), NodeKind::Panel),
                Feeds::Source(id) => {
                    (format!("source.{id}"), boat.source(id).map(|s| &s.name), NodeKind::Source)
                }
                Feeds::Loads(_) | Feeds::Converter(_) => {
                    (format!("circuit.{}", circuit.id), Some(&circuit.name), NodeKind::End)
                }
            };
            let end = nodes.add(id, name.cloned().unwrap_or_default(), kind, Some(at));
            if let Feeds::Loads(ids) = &circuit.feeds {
                let places = boat.loads.iter().enumerate().filter(|(_, l)| ids.contains(&l.id));
                for (l, load) in places {
                    nodes.of_load[l] = Some(end);
                    nodes.list[end].loads.push(l);
                    if nodes.list[end].name.is_empty() {
                        nodes.list[end].name.clone_from(&load.name);
                    }
                }
            }
            nodes.ends.push((0, end));
        }
        for (at, circuit) in boat.circuits.iter().enumerate() {
            nodes.ends[at].0 = nodes.start(boat, circuit);
        }
        nodes
    }

    fn add(&mut self, id: String, name: String, kind: NodeKind, circuit: Option<usize>) -> usize {
        if let Some(at) = self.list.iter().position(|n| n.id == id) {
            return at;
        }
        self.list.push(Node { id, name, kind, circuit, loads: Vec::new() });
        self.list.len() - 1
    }

    fn start(&self, boat: &Boat, circuit: &Circuit) -> usize {
        let section = if boat.bank(&circuit.from).is_some() {
            "bank"
        } else if boat.source(&circuit.from).is_some() {
            "source"
        } else {
            "panel"
        };
        let id = format!("{section}.{}", circuit.from);
        self.list.iter().position(|n| n.id == id).unwrap_or(0)
    }
}

/// The branch of a circuit.
pub(crate) fn branch_id(circuit: &Circuit) -> String {
    format!("circuit.{}", circuit.id)
}

fn load_id(load: &Load) -> String {
    format!("load.{}", load.id)
}

/// Terminals of a bank before anything is drawn, and the resistance behind them.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Behind {
    pub emf: Range<Voltage>,
    pub resistance: Resistance,
}

/// What charging sources do in an operating point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Charging {
    Off,
    /// Each gives its rating.
    Full,
}

/// A network for operating points. Branches stand in the order of circuits, loads in the order of those that are fed.
///
/// Converters hold their output whatever they deliver: whether they can is a judgement of its own.
///
/// # Errors
/// [`Error::Input`] for values that make no network.
pub(crate) fn operating(
    boat: &Boat,
    nodes: &Nodes,
    wires: &[Wire],
    banks: &[Behind],
    charging: Charging,
) -> Result<Network, Error> {
    let mut net = Network::new();
    for (bank, behind) in boat.banks.iter().zip(banks) {
        let resistance = Range::exactly(behind.resistance);
        let source = NetSource { emf: behind.emf, resistance, may_open: false };
        net.source(&format!("bank.{}", bank.id), &format!("bank.{}", bank.id), RETURN, source)?;
    }
    branches(boat, nodes, wires, &mut net, |w| Range::exactly(w.resistance(w.ambient()) / w.sharing()))?;
    converters(boat, &mut net, Some(amperes(1e9)))?;
    if charging == Charging::Full {
        for source in chargers(boat) {
            // Held far above the bank, so that it is at its limit.
            let output = boat.banks.first().map_or(boat.nominal, |b| b.highest) * 10.0;
            charger(source, output, true, &mut net)?;
        }
    }
    for (load, node) in boat.loads.iter().zip(&nodes.of_load) {
        if let Some(node) = node {
            let nothing = NetLoad::new(Demand::Current(amperes(0.0)));
            net.load(&load_id(load), &nodes.list[*node].id, RETURN, nothing)?;
        }
    }
    Ok(net)
}

/// Largest current that a running motor without a stated stall feeds into a fault, as a multiple of its running current:
/// the upper end of 7 to 10 (definition of the upper bound; common practice).
const MOTOR: f64 = 10.0;
/// Least resistance in series with a capacitor, from memory: the upper bound wants the lower end.
const IN_SERIES: f64 = 1e-3;

/// The network of fault currents: every string a source, every circuit a branch with both its ends, motors, capacitors, and
/// sources that limit themselves.
///
/// # Errors
/// [`Error::Input`] for values that make no network.
pub(crate) fn faults(boat: &Boat, tree: &FeedTree, nodes: &Nodes, wires: &[Wire]) -> Result<Network, Error> {
    let mut net = Network::new();
    for bank in &boat.banks {
        for string in 1..=bank.strings.max(1) {
            let id = format!("bank.{}", bank.id);
            let own = if bank.strings > 1 { format!("{id}.{string}") } else { id.clone() };
            net.source(&own, &id, RETURN, string_of(bank))?;
        }
    }
    branches(boat, nodes, wires, &mut net, Wire::bounds)?;
    converters(boat, &mut net, None)?;
    for source in chargers(boat) {
        let circuit =
            boat.circuits.iter().find(|c| matches!(&c.feeds, Feeds::Source(id) if *id == source.id));
        let supply = circuit.and_then(|c| tree.supply(&c.id));
        charger(source, supply.map_or(boat.nominal, |s| s.highest), false, &mut net)?;
    }
    for (at, circuit) in boat.circuits.iter().enumerate() {
        let Some(supply) = tree.supply(&circuit.id) else { continue };
        for l in &nodes.list[nodes.ends[at].1].loads {
            let load = &boat.loads[*l];
            let capacitor = load.capacitance.map(|c| (c, ohms(IN_SERIES)));
            let motor = load.is_motor().then(|| back_fed(load, supply.lowest, supply.highest));
            if capacitor.is_some() || motor.is_some() {
                let part = NetLoad { demand: Demand::Current(amperes(0.0)), motor, capacitor };
                net.load(&load_id(load), &nodes.list[nodes.ends[at].1].id, RETURN, part)?;
            }
        }
    }
    Ok(net)
}

fn string_of(bank: &Bank) -> NetSource {
    let highest = volts(bank.highest.si().max(bank.open_circuit.map_or(0.0, Quantity::si)));
    NetSource {
        emf: Range::new(bank.lowest, highest),
        // Unknown: no upper bound without a least resistance, no lower one without a largest.
        resistance: Range::from_bounds(bank.string_low.or(Some(ohms(0.0))), bank.string_high),
        may_open: bank.strings > 1,
    }
}

/// What a running motor feeds into a fault: its stall where the file gives it, else a multiple of its running current.
fn back_fed(load: &Load, lowest: Voltage, highest: Voltage) -> Current {
    let at = |state| match load.demand_in(state) {
        crate::model::Demand::Power(p) => p.high() / lowest,
        crate::model::Demand::Current(i) => i.high(),
        crate::model::Demand::Resistance(r) => highest / r.low(),
    };
    let stall = load.demand.iter().any(|(s, _)| *s == LoadState::Stall).then(|| at(LoadState::Stall));
    stall.unwrap_or_else(|| at(LoadState::Run) * MOTOR)
}

fn branches(
    boat: &Boat,
    nodes: &Nodes,
    wires: &[Wire],
    net: &mut Network,
    resistance: impl Fn(&Wire) -> Range<Resistance>,
) -> Result<(), Error> {
    for ((circuit, (from, to)), wire) in boat.circuits.iter().zip(&nodes.ends).zip(wires) {
        let part = Part::Resistance(resistance(wire));
        net.branch(&branch_id(circuit), &nodes.list[*from].id, &nodes.list[*to].id, part)?;
    }
    Ok(())
}

/// Converters with their inputs; `limit` stands in for their ratings.
fn converters(boat: &Boat, net: &mut Network, limit: Option<Current>) -> Result<(), Error> {
    for source in boat.sources.iter().filter(|s| s.kind == SourceKind::Converter) {
        let feeder =
            boat.circuits.iter().find(|c| matches!(&c.feeds, Feeds::Converter(id) if *id == source.id));
        let input = feeder.map(branch_id);
        let id = format!("source.{}", source.id);
        let converter = Converter {
            output: source.nominal.unwrap_or(boat.nominal),
            limit: limit.unwrap_or(source.rating),
            efficiency: source.efficiency,
            minimum: source.minimum,
            shuts_down: false,
            capacitor: None,
            runs: true,
        };
        net.converter(&id, &id, RETURN, input.as_deref().map(|i| (i, RETURN)), converter)?;
    }
    Ok(())
}

fn chargers(boat: &Boat) -> impl Iterator<Item = &Source> {
    let fed = |s: &Source| boat.circuits.iter().any(|c| matches!(&c.feeds, Feeds::Source(id) if *id == s.id));
    boat.sources.iter().filter(move |s| s.kind != SourceKind::Converter && fed(s))
}

fn charger(source: &Source, output: Voltage, runs: bool, net: &mut Network) -> Result<(), Error> {
    let id = format!("source.{}", source.id);
    let converter = Converter {
        output,
        limit: source.rating,
        efficiency: Fraction::new(1.0),
        minimum: None,
        shuts_down: false,
        capacitor: None,
        runs,
    };
    net.converter(&id, &id, RETURN, None, converter)
}
