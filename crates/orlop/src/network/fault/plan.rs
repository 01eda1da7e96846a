//! A network at one corner as faults see it: conductances, sources, limited currents, one-way paths, and which sources may be
//! absent. Everything that does not depend on which of them are.

use super::forest::{Forest, Sets};
use super::inverse::Pattern;
use crate::network::{Corner, Network, Part, RETURN};
use orlop_units::Quantity;
use std::collections::BTreeMap;

/// Stands for zero ohms: an ideal source, or a resistance whose least value is not known. Small enough to change no answer
/// in the first five digits, large enough not to drown the others.
pub(super) const NEARLY_ZERO: f64 = 1e-9;

/// More than this flows only where nothing known limits it.
pub(super) const UNLIMITED: f64 = 1e9;

/// So many sources of one island that may be absent are tried in every combination.
pub(super) const EVERY_COMBINATION: usize = 6;

/// A branch, conducting both ways.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wire {
    pub a: usize,
    pub b: usize,
    pub siemens: f64,
}

/// A diode that is the only way between the parts that it joins.
#[derive(Clone, Copy, Debug)]
pub(super) struct OneWay {
    pub branch: usize,
    pub anode: usize,
    pub cathode: usize,
    pub ohms: f64,
    pub forward: f64,
}

/// An electromotive force behind a conductance.
#[derive(Clone, Copy, Debug)]
pub(super) struct Emf {
    pub wire: Wire,
    pub volts: f64,
}

/// A current that does not grow with the fault: a converter or a motor.
#[derive(Clone, Copy, Debug)]
pub(super) struct Limited {
    pub a: usize,
    pub b: usize,
    pub amps: f64,
    /// Above this voltage it holds its voltage instead of its limit; motors have none.
    pub output: f64,
    /// A charging source: may be off.
    pub may_open: bool,
}

/// A charged capacitor.
#[derive(Clone, Copy, Debug)]
pub(super) struct Charged {
    pub wire: Wire,
    /// A converter's output, where nothing else says to what it is charged.
    pub output: f64,
}

/// One network at one corner. Node 0 is that of zero volts.
pub(super) struct Plan {
    pub corner: Corner,
    pub nodes: usize,
    pub wires: Vec<Option<Wire>>,
    pub diodes: Vec<OneWay>,
    pub sources: Vec<Option<Emf>>,
    /// Converters, then the motors among the loads.
    pub limited: Vec<Option<Limited>>,
    pub charged: Vec<Charged>,
    /// Connected parts, diodes and sources included, converters not.
    pub island: Vec<usize>,
    pub zone: Forest,
    /// Of the matrix: wires, then sources, then charged capacitors.
    pub pattern: Pattern,
    /// Volts of every electromotive force of a zone, where one value bounds them.
    pub volts: Vec<Option<f64>>,
    /// Islands in which something that this corner needs is not known.
    pub unknown: BTreeMap<usize, Vec<String>>,
    pub flags: BTreeMap<usize, Vec<String>>,
    /// Whether an electromotive force of the island is not known at this corner: nothing can be said then.
    pub blind: Vec<bool>,
    /// Whether the island has a source that is no converter.
    pub fed: Vec<bool>,
    /// Which sources and charging sources are closed, by state; the first has all closed.
    pub states: Vec<State>,
}

/// Which sources and converters are in, by index.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct State {
    pub sources: Vec<bool>,
    pub limited: Vec<bool>,
}

fn siemens(ohms: f64) -> f64 {
    1.0 / ohms.max(NEARLY_ZERO)
}

impl Plan {
    pub fn new(net: &Network, corner: Corner) -> Self {
        let count = net.nodes().len();
        let island = islands(net);
        let mut plan = Self {
            corner,
            nodes: count,
            wires: vec![None; net.branches().len()],
            diodes: Vec::new(),
            sources: Vec::new(),
            limited: Vec::new(),
            charged: Vec::new(),
            zone: Forest::new(0, &[]),
            pattern: Pattern::new(1, std::iter::empty()),
            volts: vec![None; count],
            island,
            unknown: BTreeMap::new(),
            flags: BTreeMap::new(),
            blind: vec![false; count],
            fed: vec![false; count],
            states: Vec::new(),
        };
        plan.read_sources(net);
        plan.read_branches(net);
        plan.read_limited(net);
        plan.zone = plan.forest();
        let sources = plan.sources.iter().map(|s| s.as_ref().map(|s| &s.wire));
        let charged = plan.charged.iter().map(|c| Some(&c.wire));
        plan.pattern =
            Pattern::new(count, plan.wires.iter().map(Option::as_ref).chain(sources).chain(charged));
        plan.sort_diodes();
        plan.bound_volts(net);
        plan.states = plan.all_states(net);
        plan
    }

    fn high(&self) -> bool {
        self.corner == Corner::High
    }

    /// The island of a part: that of an end which is not the node of zero volts.
    pub fn island_of(&self, a: usize, b: usize) -> usize {
        self.island[if a == 0 { b } else { a }]
    }

    fn read_sources(&mut self, net: &Network) {
        for s in net.sources() {
            let at = self.island_of(s.from, s.to);
            self.fed[at] = true;
            let volts = self.corner.volts(s.part.emf).map(Quantity::si);
            let ohms = self.corner.ohms(s.part.resistance).map(Quantity::si);
            if volts.is_none() {
                let end = if self.high() { "highest" } else { "lowest" };
                self.note(at, format!("the {end} voltage of {} is not known", s.id));
                self.blind[at] = true;
            }
            if ohms.is_none() {
                let end = if self.high() { "least" } else { "largest" };
                self.note(at, format!("the {end} resistance of {} is not known", s.id));
            }
            let ohms = ohms.or(self.high().then_some(0.0));
            self.sources.push(volts.zip(ohms).map(|(volts, ohms)| Emf {
                wire: Wire { a: s.from, b: s.to, siemens: siemens(ohms) },
                volts,
            }));
        }
    }

    fn note(&mut self, island: usize, text: String) {
        self.unknown.entry(island).or_default().push(text);
    }
    fn flag(&mut self, island: usize, text: String) {
        let all = self.flags.entry(island).or_default();
        if !all.contains(&text) {
            all.push(text);
        }
    }

    fn read_branches(&mut self, net: &Network) {
        let ring = ring_diodes(net);
        for (e, branch) in net.branches().iter().enumerate() {
            let (a, b) = (branch.from, branch.to);
            let at = self.island_of(a, b);
            match branch.part {
                Part::Resistance(range) => {
                    let ohms = self.corner.ohms(range).map(Quantity::si);
                    if ohms.is_none() {
                        let (end, so) = if self.high() {
                            ("least", "counted as zero")
                        } else {
                            ("largest", "counted as open")
                        };
                        self.note(at, format!("the {end} resistance of {} is not known, {so}", branch.id));
                    }
                    let ohms = ohms.or(self.high().then_some(0.0));
                    self.wires[e] = ohms.map(|ohms| Wire { a, b, siemens: siemens(ohms) });
                }
                Part::Diode { .. } if a == 0 || b == 0 => {
                    self.flag(at, format!("the diode {} at {RETURN} is left out", branch.id));
                }
                Part::Diode { forward, slope } if !ring[e] => self.diodes.push(OneWay {
                    branch: e,
                    anode: a,
                    cathode: b,
                    ohms: slope.si(),
                    // Leaving it out errs to the high side.
                    forward: if self.high() { 0.0 } else { forward.si() },
                }),
                Part::Diode { slope, .. } => {
                    self.flag(
                        at,
                        format!(
                            "the diode {} lies in a ring: conducting both ways in the upper bound, open in the lower",
                            branch.id
                        ),
                    );
                    if self.high() {
                        self.wires[e] = Some(Wire { a, b, siemens: siemens(slope.si()) });
                    }
                }
            }
        }
    }

    fn read_limited(&mut self, net: &Network) {
        for feed in net.converters() {
            let (c, part) = (&feed.output, &feed.output.part);
            // One that stops on a short adds nothing that a device could count on.
            let amps = if part.shuts_down && !self.high() { 0.0 } else { part.limit.si() };
            self.limited.push(Some(Limited {
                a: c.from,
                b: c.to,
                amps,
                output: part.output.si(),
                may_open: feed.input.is_none(),
            }));
            if let (Some((_, ohms)), true) = (part.capacitor, self.high()) {
                let wire = Wire { a: c.from, b: c.to, siemens: siemens(ohms.si()) };
                self.charged.push(Charged { wire, output: part.output.si() });
            }
        }
        for load in net.loads() {
            let part = &load.part;
            self.limited.push(part.motor.filter(|_| self.high()).map(|amps| Limited {
                a: load.from,
                b: load.to,
                amps: amps.si(),
                output: f64::INFINITY,
                may_open: false,
            }));
            if let (Some((_, ohms)), true) = (part.capacitor, self.high()) {
                let wire = Wire { a: load.from, b: load.to, siemens: siemens(ohms.si()) };
                self.charged.push(Charged { wire, output: 0.0 });
            }
        }
    }

    /// Zones: what conducts both ways. Sources between two nodes tie them, whether closed or not.
    fn forest(&self) -> Forest {
        let both = |w: &Wire| (w.a != 0 && w.b != 0).then_some((w.a, w.b));
        let mut edges: Vec<_> = self.wires.iter().map(|w| w.as_ref().and_then(both)).collect();
        edges.extend(self.sources.iter().map(|s| s.as_ref().and_then(|s| both(&s.wire))));
        Forest::new(self.nodes, &edges)
    }

    /// Diodes in the order in which current can pass them; those of a ring are no longer among them, so there is one.
    fn sort_diodes(&mut self) {
        let mut left = std::mem::take(&mut self.diodes);
        let mut indegree = vec![0_usize; self.nodes];
        let mut out: Vec<Vec<usize>> = vec![Vec::new(); self.nodes];
        for (k, d) in left.iter().enumerate() {
            indegree[self.zone.root(d.cathode)] += 1;
            out[self.zone.root(d.anode)].push(k);
        }
        let mut ready: Vec<usize> =
            (0..self.nodes).filter(|n| self.zone.root(*n) == *n && indegree[*n] == 0).collect();
        let mut sorted = Vec::with_capacity(left.len());
        while let Some(root) = ready.pop() {
            for k in &out[root] {
                sorted.push(left[*k]);
                let next = self.zone.root(left[*k].cathode);
                indegree[next] -= 1;
                if indegree[next] == 0 {
                    ready.push(next);
                }
            }
        }
        left.clear();
        self.diodes = sorted;
    }

    /// One voltage that bounds every electromotive force of a zone, where all sources of its island stand on the node of
    /// zero volts and nothing else does. Then every current is that voltage times a conductance (see the module).
    fn bound_volts(&mut self, net: &Network) {
        let mut mixed = vec![false; self.nodes];
        for s in self.sources.iter().flatten() {
            mixed[self.island_of(s.wire.a, s.wire.b)] |= s.wire.b != 0;
        }
        for w in self.wires.iter().flatten().filter(|w| w.a == 0 || w.b == 0) {
            mixed[self.island[w.a.max(w.b)]] = true;
        }
        let high = self.high();
        let worse = |a: Option<f64>, b: f64| Some(a.map_or(b, |a| if high { a.max(b) } else { a.min(b) }));
        for s in self.sources.iter().flatten() {
            let zone = self.zone.root(s.wire.a);
            self.volts[zone] = worse(self.volts[zone], s.volts);
        }
        for d in &self.diodes {
            let (up, down) = (self.zone.root(d.anode), self.zone.root(d.cathode));
            if let Some(volts) = self.volts[up] {
                self.volts[down] = worse(self.volts[down], (volts - d.forward).max(0.0));
            }
        }
        for node in 1..self.nodes {
            let root = self.zone.root(node);
            self.volts[node] = if mixed[self.island[node]] { None } else { self.volts[root] };
        }
        // Zero volts belongs to no zone.
        self.volts[0] = None;
        let several: Vec<usize> = (0..self.nodes).filter(|n| mixed[*n]).collect();
        for island in several {
            if net.sources().iter().any(|s| self.island_of(s.from, s.to) == island) {
                self.flag(
                    island,
                    "sources in series or a return that is drawn: the bounds are those of the two corners"
                        .into(),
                );
            }
        }
    }

    /// States of the sources: those that may be absent, in every combination up to six in one island, beyond that each alone and
    /// all. Islands do not touch each other, so one state stands for one combination in each of them at once.
    fn all_states(&mut self, net: &Network) -> Vec<State> {
        let all = State {
            sources: self.sources.iter().map(Option::is_some).collect(),
            limited: self.limited.iter().map(Option::is_some).collect(),
        };
        // By island: whether something always stays, and what may go. Sources first; converters where there are no sources.
        let mut islands: BTreeMap<usize, (bool, Vec<(bool, usize)>)> = BTreeMap::new();
        for (k, s) in net.sources().iter().enumerate() {
            let entry = islands.entry(self.island_of(s.from, s.to)).or_default();
            if s.part.may_open {
                entry.1.push((true, k));
            } else {
                entry.0 = true;
            }
        }
        let fed = islands.clone();
        for (k, feed) in net.converters().iter().enumerate() {
            let at = self.island_of(feed.output.from, feed.output.to);
            if fed.contains_key(&at) {
                continue;
            }
            let entry = islands.entry(at).or_default();
            if feed.input.is_none() {
                entry.1.push((false, k));
            } else {
                entry.0 = true;
            }
        }
        let mut states = vec![all.clone()];
        for (at, (_, openable)) in &islands {
            if openable.len() > EVERY_COMBINATION {
                self.flag(
                    *at,
                    format!(
                        "{} sources may be absent: through devices, each alone and all together were tried",
                        openable.len()
                    ),
                );
            }
        }
        let combinations = |open: &[(bool, usize)], stays: bool| -> Vec<Vec<bool>> {
            let p = open.len();
            let mut list = Vec::new();
            if p <= EVERY_COMBINATION {
                let from = usize::from(!stays);
                for bits in from..(1_usize << p).saturating_sub(1) {
                    list.push((0..p).map(|k| bits >> k & 1 == 1).collect());
                }
            } else {
                if stays {
                    list.push(vec![false; p]);
                }
                list.extend((0..p).map(|only| (0..p).map(|k| k == only).collect()));
            }
            list
        };
        for (stays, openable) in islands.values() {
            for (row, closed) in combinations(openable, *stays).into_iter().enumerate() {
                if states.len() <= row + 1 {
                    states.push(all.clone());
                }
                for ((is_source, k), closed) in openable.iter().zip(closed) {
                    let list =
                        if *is_source { &mut states[row + 1].sources } else { &mut states[row + 1].limited };
                    list[*k] = list[*k] && closed;
                }
            }
        }
        states
    }

    /// Whether two nodes lie in one zone.
    pub fn same_zone(&self, a: usize, b: usize) -> bool {
        self.zone.root(a) == self.zone.root(b)
    }

    /// What is open in a state, among the parts of one island.
    pub fn open_in(&self, net: &Network, state: &State, island: usize) -> Vec<String> {
        let sources = net
            .sources()
            .iter()
            .zip(&state.sources)
            .filter(|(s, closed)| !**closed && s.part.may_open && self.island_of(s.from, s.to) == island);
        let mut open: Vec<String> = sources.map(|(s, _)| s.id.clone()).collect();
        for (feed, on) in net.converters().iter().zip(&state.limited) {
            let c = &feed.output;
            let counts = self.counts(feed.input.is_none(), island);
            if self.island_of(c.from, c.to) == island && !(*on && counts) {
                open.push(c.id.clone());
            }
        }
        open
    }

    /// Whether a converter counts in this corner: a charging source may be off, unless it alone feeds its island.
    fn counts(&self, charging: bool, island: usize) -> bool {
        self.high() || !charging || !self.fed[island]
    }

    /// The limited currents that count in a state.
    pub fn limited_in<'a>(&'a self, state: &'a State) -> impl Iterator<Item = (usize, Limited)> + 'a {
        let on = self.limited.iter().enumerate().zip(&state.limited);
        on.filter_map(|((k, l), on)| l.filter(|_| *on).map(|l| (k, l)))
            .filter(|(_, l)| l.amps > 0.0 && self.counts(l.may_open, self.island_of(l.a, l.b)))
    }
}

fn islands(net: &Network) -> Vec<usize> {
    let mut sets = Sets::new(net.nodes().len());
    let ends = net.branches().iter().map(|b| (b.from, b.to));
    for (a, b) in ends.chain(net.sources().iter().map(|s| (s.from, s.to))) {
        if a != 0 && b != 0 {
            sets.join(a, b);
        }
    }
    (0..net.nodes().len()).map(|n| sets.find(n)).collect()
}

/// Diodes beside which another way leads around.
fn ring_diodes(net: &Network) -> Vec<bool> {
    let mut sets = Sets::new(net.nodes().len());
    let resistive = net.branches().iter().filter(|b| matches!(b.part, Part::Resistance(_)));
    let ends = resistive.map(|b| (b.from, b.to));
    for (a, b) in ends.chain(net.sources().iter().map(|s| (s.from, s.to))) {
        if a != 0 && b != 0 {
            sets.join(a, b);
        }
    }
    let edges: Vec<_> = net
        .branches()
        .iter()
        .map(|b| {
            let diode = matches!(b.part, Part::Diode { .. }) && b.from != 0 && b.to != 0;
            diode.then(|| (sets.find(b.from), sets.find(b.to)))
        })
        .collect();
    let looped: Vec<bool> = edges.iter().map(|e| e.is_some_and(|(a, b)| a == b)).collect();
    let proper: Vec<_> = edges.iter().map(|e| e.filter(|(a, b)| a != b)).collect();
    let forest = Forest::new(net.nodes().len(), &proper);
    (0..edges.len()).map(|e| looped[e] || (proper[e].is_some() && !forest.is_bridge(e))).collect()
}
