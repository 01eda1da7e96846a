//! The operating point: voltages, currents, losses.

use super::build::{Element, Network};
use super::element::{Corner, Demand};
use super::flow::Flow;
use super::plan::{Draw, Mode, Values};
use crate::choice::choice;
use crate::error::Error;
use crate::working::{Recorder, Step};
use orlop_units::{Current, Power, Quantity, Voltage, amperes, ohms, significant, volts, watts};

choice! {
    /// How a network was solved.
    Method {
        /// No loops: leaf to root and back.
        Tree = "tree",
        /// With loops: sparse elimination.
        Mesh = "mesh",
    }
}

choice! {
    /// What a converter does at an operating point.
    ConverterState {
        /// It holds its output voltage.
        Holds = "holds its voltage",
        /// It gives its limit, below its output voltage.
        AtLimit = "at its limit",
        /// Something else holds its output above its own voltage; it gives nothing.
        Idle = "idle",
        /// Its input is below the least at which it works.
        LowInput = "input too low",
        /// Its input is dark.
        NoInput = "no input",
        /// It does not run.
        Rests = "does not run",
    }
}

/// Voltages and currents of a network in one corner.
///
/// What no branch or source joins to the return is [dark](Self::dark): it has no voltage, and loads there draw nothing.
#[derive(Clone, Debug)]
pub struct Operating {
    pub(super) net: Network,
    pub(super) corner: Corner,
    pub(super) flow: Flow,
    pub(super) values: Values,
    pub(super) dark: Vec<bool>,
    pub(super) unfed: Vec<bool>,
    pub(super) low_input: Vec<bool>,
    pub(super) method: Method,
    pub(super) iterations: usize,
    pub(super) balance: f64,
}

impl Operating {
    /// The network that was solved.
    #[must_use]
    pub fn network(&self) -> &Network {
        &self.net
    }
    /// The corner that was solved.
    #[must_use]
    pub fn corner(&self) -> Corner {
        self.corner
    }
    /// Voltage of a node against the return; none in the dark.
    ///
    /// # Errors
    /// [`Error::Input`] for a node that does not exist.
    pub fn voltage(&self, node: &str) -> Result<Option<Voltage>, Error> {
        let at = self.net.node_at(node).ok_or_else(|| unknown("node", node))?;
        Ok(self.voltage_at(at))
    }
    /// The same by index.
    #[must_use]
    pub fn voltage_at(&self, node: usize) -> Option<Voltage> {
        let v = *self.flow.volts.get(node)?;
        (!self.dark[node]).then(|| volts(v))
    }
    /// Volts of all nodes in their order, NaN in the dark.
    #[must_use]
    pub fn volts(&self) -> &[f64] {
        &self.flow.volts
    }
    /// Voltage across an element, first node against second; none when an end is dark.
    ///
    /// # Errors
    /// [`Error::Input`] for an id that does not exist.
    pub fn across(&self, id: &str) -> Result<Option<Voltage>, Error> {
        let (from, to) = match self.element(id)? {
            (Element::Source, k) => ends(&self.net.sources()[k]),
            (Element::Branch, k) => ends(&self.net.branches()[k]),
            (Element::Load, k) => ends(&self.net.loads()[k]),
            (Element::Converter, k) => ends(&self.net.converters()[k].output),
        };
        Ok(self.voltage_at(from).zip(self.voltage_at(to)).map(|(a, b)| a - b))
    }
    /// Current of an element: through a branch or load from its first node to its second, out of the first node of a source
    /// or converter.
    ///
    /// # Errors
    /// [`Error::Input`] for an id that does not exist.
    pub fn current(&self, id: &str) -> Result<Current, Error> {
        Ok(amperes(match self.element(id)? {
            (Element::Source, k) => self.flow.source[k],
            (Element::Branch, k) => self.flow.branch[k],
            (Element::Load, k) => self.flow.load[k],
            (Element::Converter, k) => self.flow.output[k],
        }))
    }
    /// Amperes of all branches in their order, first node to second.
    #[must_use]
    pub fn branch_amperes(&self) -> &[f64] {
        &self.flow.branch
    }
    /// Amperes that the sources deliver, in their order.
    #[must_use]
    pub fn source_amperes(&self) -> &[f64] {
        &self.flow.source
    }
    /// Amperes that the loads draw, in their order.
    #[must_use]
    pub fn load_amperes(&self) -> &[f64] {
        &self.flow.load
    }
    /// Amperes that the converters deliver, in their order.
    #[must_use]
    pub fn converter_amperes(&self) -> &[f64] {
        &self.flow.output
    }
    /// Amperes that the converters take, in their order.
    #[must_use]
    pub fn converter_input_amperes(&self) -> &[f64] {
        &self.flow.input
    }

    /// Power that sources, and converters without an input, deliver at their terminals.
    #[must_use]
    pub fn delivered(&self) -> Power {
        let sources = self.net.sources().iter().zip(&self.flow.source);
        let sources: f64 = sources.map(|(s, i)| self.power(ends(s), *i)).sum();
        let chargers = self.net.converters().iter().zip(&self.flow.output);
        let chargers = chargers.filter(|(feed, _)| feed.input.is_none());
        let chargers: f64 = chargers.map(|(feed, i)| self.power(ends(&feed.output), *i)).sum();
        watts(sources + chargers)
    }
    /// Power that the loads draw.
    #[must_use]
    pub fn drawn(&self) -> Power {
        let loads = self.net.loads().iter().zip(&self.flow.load);
        watts(loads.map(|(l, i)| self.power(ends(l), *i)).sum())
    }
    /// Heat in branches and in converters; [`Self::delivered`] less this is [`Self::drawn`].
    #[must_use]
    pub fn losses(&self) -> Power {
        let branches: f64 = (0..self.net.branches().len()).map(|k| self.heat(k).si()).sum();
        let feeds = self.net.converters().iter().enumerate();
        let converters: f64 = feeds
            .filter_map(|(k, feed)| {
                let taken = self.power(feed.input?, self.flow.input[k]);
                Some(taken - self.power(ends(&feed.output), self.flow.output[k]))
            })
            .sum();
        watts(branches + converters)
    }
    /// Heat in one branch.
    #[must_use]
    pub fn heat(&self, branch: usize) -> Power {
        let amps = self.flow.branch[branch];
        // By the current alone: the difference of two large voltages would lose its digits.
        watts(amps * (amps / self.values.siemens[branch] + self.values.threshold[branch]))
    }
    /// Heat inside the sources, on their own resistance.
    #[must_use]
    pub fn internal(&self) -> Power {
        watts(self.flow.source.iter().zip(&self.values.behind).map(|(i, r)| i * i * r).sum())
    }
    fn power(&self, (from, to): (usize, usize), amps: f64) -> f64 {
        if amps == 0.0 { 0.0 } else { amps * (self.flow.volts[from] - self.flow.volts[to]) }
    }

    /// Names of the nodes that nothing feeds, in their order.
    #[must_use]
    pub fn dark(&self) -> Vec<&str> {
        let nodes = self.net.nodes().iter().zip(&self.dark);
        nodes.filter(|(_, dark)| **dark).map(|(name, _)| name.as_str()).collect()
    }
    /// Whether a node is dark.
    #[must_use]
    pub fn is_dark(&self, node: usize) -> bool {
        self.dark[node]
    }
    /// Ids of the loads that would draw something but are not fed, in their order.
    #[must_use]
    pub fn unfed(&self) -> Vec<&str> {
        let loads = self.net.loads().iter().enumerate();
        let wants = |k: usize| !matches!(self.values.draw[k], Draw::Off);
        loads.filter(|(k, _)| self.unfed[*k] && wants(*k)).map(|(_, l)| l.id.as_str()).collect()
    }
    /// What a converter does, by index.
    #[must_use]
    pub fn converter_state(&self, converter: usize) -> ConverterState {
        match self.values.mode[converter] {
            Mode::Held => ConverterState::Holds,
            Mode::Limited => ConverterState::AtLimit,
            Mode::Idle => ConverterState::Idle,
            Mode::Off if !self.net.converters()[converter].output.part.runs => ConverterState::Rests,
            Mode::Off if self.low_input[converter] => ConverterState::LowInput,
            Mode::Off => ConverterState::NoInput,
        }
    }
    /// What a load drew: its demand, or none when it was switched off.
    #[must_use]
    pub fn demand(&self, load: usize) -> Option<Demand> {
        match self.values.draw[load] {
            Draw::Off => None,
            Draw::Amps(i) => Some(Demand::Current(amperes(i))),
            Draw::Watts(p) => Some(Demand::Power(watts(p))),
            Draw::Ohms(r) => Some(Demand::Resistance(ohms(r))),
        }
    }
    /// How it was solved.
    #[must_use]
    pub fn method(&self) -> Method {
        self.method
    }
    /// Newton steps taken, all rounds together.
    #[must_use]
    pub fn iterations(&self) -> usize {
        self.iterations
    }
    /// Currents that do not balance at the nodes, as a share of what the loads draw.
    #[must_use]
    pub fn balance(&self) -> f64 {
        self.balance
    }

    pub(super) fn record(&self, mut rec: impl Recorder) {
        rec.step(|| {
            Step::new("operating point", "", format!("{} nodes", self.volts().len()))
                .formula("Newton on the conductance matrix; a load of power P counts as -P/V^2")
                .input("corner", self.corner.word())
                .input("method", self.method.word())
                .input("steps", self.iterations.to_string())
                .input("current left over", format!("{:.1e} of what is drawn", self.balance))
        });
        rec.step(|| {
            Step::new("power balance", "drawn", self.drawn())
                .formula("drawn = delivered at the terminals - losses")
                .input("delivered", self.delivered())
                .input("losses", self.losses())
        });
        let dark = self.dark();
        if !dark.is_empty() {
            rec.step(|| {
                Step::new("nodes that nothing feeds", "", dark.join(", "))
                    .formula("no branch, source or converter joins them to the return")
                    .input("loads there", significant(self.unfed().len() as f64, 6))
            });
        }
    }

    fn element(&self, id: &str) -> Result<(Element, usize), Error> {
        self.net.find(id).ok_or_else(|| unknown("id", id))
    }
}

fn ends<T>(branch: &super::build::Branch<T>) -> (usize, usize) {
    (branch.from, branch.to)
}

pub(super) fn unknown(kind: &str, name: &str) -> Error {
    let expected = if kind == "node" { "the name of a node" } else { "the id of an element" };
    Error::input(kind, format!("'{name}'"), format!("{expected} of this network"))
}
