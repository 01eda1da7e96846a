//! One corner in one state of its sources, solved: volts without a fault, and what a fault draws.

use super::forest::Sets;
use super::inverse::{Conductances, Inverse};
use super::plan::{Limited, Plan, State, Wire};
use crate::network::Corner;

/// A diode's upstream part, seen from its cathode.
#[derive(Clone, Copy, Debug)]
struct Behind {
    diode: usize,
    siemens: f64,
    volts: f64,
}

/// A limited current and the volts that it makes everywhere.
struct Column {
    limited: Limited,
    volts: Vec<f64>,
}

/// A solved state.
pub(super) struct Case<'a> {
    plan: &'a Plan,
    state: &'a State,
    inverse: Inverse<'a>,
    /// Volts before the fault, by node; zero where no source reaches.
    pub volts: Vec<f64>,
    /// Whether a node has a path to zero volts through a source.
    live: Vec<bool>,
    behind: Vec<Behind>,
    /// Sums over the forest: paths to zero volts, and limited currents.
    paths: Vec<f64>,
    limits: Vec<f64>,
    columns: Vec<Column>,
}

/// Adds a current from node `b` to node `a`.
fn inject(into: &mut [f64], a: usize, b: usize, amps: f64) {
    into[a] += amps;
    into[b] -= amps;
}

impl<'a> Case<'a> {
    /// Solves a state; with `charged`, capacitors stand as they do in the first instant. None when a number overflows.
    pub fn new(plan: &'a Plan, state: &'a State, charged: bool) -> Option<Self> {
        let mut matrix = Conductances::new(&plan.pattern);
        let mut amps = vec![0.0; plan.nodes];
        let mut paths = vec![0.0; plan.nodes];
        let mut joined = Sets::new(plan.nodes);
        let mut add = |nth: usize, wire: &Wire, volts: f64| {
            matrix.add(nth, wire);
            inject(&mut amps, wire.a, wire.b, volts * wire.siemens);
            if wire.a != 0 && wire.b != 0 {
                joined.join(wire.a, wire.b);
            } else {
                paths[wire.a.max(wire.b)] += 1.0;
            }
        };
        for (e, wire) in plan.wires.iter().enumerate() {
            wire.iter().for_each(|w| add(e, w, 0.0));
        }
        for (k, s) in plan.sources.iter().enumerate().filter(|(k, _)| state.sources[*k]) {
            let Some(s) = s else { continue };
            add(plan.wires.len() + k, &s.wire, plan.volts[s.wire.a].unwrap_or(s.volts));
        }
        if charged {
            let outputs = outputs(plan);
            let first = plan.wires.len() + plan.sources.len();
            for (k, c) in plan.charged.iter().enumerate() {
                add(first + k, &c.wire, plan.volts[c.wire.a].unwrap_or(outputs[plan.zone.root(c.wire.a)]));
            }
        }
        let part: Vec<usize> = (0..plan.nodes).map(|n| joined.find(n)).collect();
        let mut grounded = vec![false; plan.nodes];
        (1..plan.nodes).filter(|n| paths[*n] > 0.0).for_each(|n| grounded[part[n]] = true);

        let mut behind: Vec<Behind> = Vec::new();
        let levels = levels(plan);
        let deepest = levels.iter().copied().max().map_or(0, |d| d + 1);
        let mut solved = None;
        for level in 0..=deepest {
            let mut all = matrix.clone();
            // A part without a path to zero gets one that carries nothing, so that the matrix has an inverse.
            let loose = (1..plan.nodes).filter(|n| part[*n] == *n && !grounded[*n]);
            loose.for_each(|n| all.ground(n, 1.0));
            let inverse = all.invert()?;
            let volts = inverse.solve(&amps);
            for (k, d) in plan.diodes.iter().enumerate().filter(|(k, _)| levels[*k] == level) {
                let open = volts[d.anode] - d.forward;
                if !grounded[part[d.anode]] || open <= 0.0 {
                    continue;
                }
                let siemens = 1.0 / (d.ohms + inverse.own(d.anode));
                let seen = Behind { diode: k, siemens, volts: plan.volts[d.cathode].unwrap_or(open) };
                matrix.ground(d.cathode, siemens);
                amps[d.cathode] += siemens * seen.volts;
                paths[d.cathode] += 1.0;
                grounded[part[d.cathode]] = true;
                behind.push(seen);
            }
            solved = Some((inverse, volts));
        }
        let (inverse, mut volts) = solved?;
        let live: Vec<bool> = (0..plan.nodes).map(|n| n > 0 && grounded[part[n]]).collect();
        (0..plan.nodes).filter(|n| !live[*n]).for_each(|n| volts[n] = 0.0);
        let mut case = Self {
            plan,
            state,
            inverse,
            volts,
            live,
            behind,
            paths: plan.zone.sums(&paths),
            limits: Vec::new(),
            columns: Vec::new(),
        };
        case.limits = case.limit_sums();
        if plan.corner == Corner::Low {
            case.columns = plan.limited_in(state).map(|(_, l)| case.column(l)).collect();
        }
        Some(case)
    }

    fn column(&self, limited: Limited) -> Column {
        let mut amps = vec![0.0; self.plan.nodes];
        inject(&mut amps, limited.a, limited.b, limited.amps);
        Column { limited, volts: self.inverse.solve(&amps) }
    }

    /// Limited currents that can reach each subtree, those behind diodes included.
    fn limit_sums(&self) -> Vec<f64> {
        let plan = self.plan;
        let mut weight = vec![0.0; plan.nodes];
        let mut zone = vec![0.0; plan.nodes];
        for (_, l) in plan.limited_in(self.state) {
            let at = if l.a == 0 { l.b } else { l.a };
            weight[at] += l.amps;
            zone[plan.zone.root(at)] += l.amps;
        }
        // What comes through a diode is an upper bound; the lower bound leaves it out.
        if plan.corner == Corner::High {
            for d in &plan.diodes {
                let amps = zone[plan.zone.root(d.anode)];
                weight[d.cathode] += amps;
                zone[plan.zone.root(d.cathode)] += amps;
            }
        }
        plan.zone.sums(&weight)
    }

    /// Ohms between a node and zero volts; none where no source reaches.
    pub fn ohms(&self, node: usize) -> Option<f64> {
        (node > 0 && self.live[node]).then(|| self.inverse.own(node))
    }

    /// The current that sources drive into a fault at a node, without the limited ones.
    pub fn driven(&self, node: usize) -> f64 {
        self.ohms(node).map_or(0.0, |z| (self.volts[node] / z).abs())
    }

    /// The whole current into a fault at a node.
    pub fn total(&self, node: usize) -> f64 {
        if node == 0 {
            return 0.0;
        }
        if self.plan.corner == Corner::High || !self.live[node] {
            return self.driven(node) + self.limits[self.plan.zone.root(node)];
        }
        self.driven(node) + self.columns.iter().map(|c| self.holds_limit(c, node).unwrap_or(0.0)).sum::<f64>()
    }

    /// What a limited source adds to a fault at a node, when its own voltage has then fallen below the one it holds.
    fn holds_limit(&self, column: &Column, node: usize) -> Option<f64> {
        let z = self.ohms(node)?;
        let (c, l) = (&column.volts, column.limited);
        let transfer = c[node] / l.amps;
        let before = self.volts[l.a] - self.volts[l.b] - transfer * self.volts[node] / z;
        let own = c[l.a] - c[l.b] - c[node] * transfer / z;
        (before + own < l.output).then_some((c[node] / z).max(0.0))
    }

    /// Current from one end of a branch to the other for a fault at that other end: with its own resistance, and without it.
    pub fn toward(&self, branch: usize, from: usize, to: usize) -> (f64, f64) {
        let Some(wire) = self.plan.wires[branch].filter(|_| from > 0 && to > 0) else { return (0.0, 0.0) };
        let bridge = self.plan.zone.is_bridge(branch);
        let mut limited = self.plan.zone.beside(branch, from, &self.limits);
        // A difference of sums leaves a grain where there is nothing.
        if limited < 1e-12 * self.limits[self.plan.zone.root(from)] {
            limited = 0.0;
        }
        let (mut with, mut without) = (0.0, 0.0);
        let fed = self.plan.zone.beside(branch, from, &self.paths) > 0.0;
        if self.live[to] && fed {
            let (aa, bb) = (self.inverse.own(from), self.inverse.own(to));
            let ab = self.inverse.across(branch);
            let across = self.volts[from] - self.volts[to] * ab / bb;
            with = (across * wire.siemens).abs();
            without = (across / (aa - ab * ab / bb)).abs();
            if !bridge && without <= 1e-9 * self.driven(to) {
                (with, without) = (0.0, 0.0);
            }
        }
        if self.plan.corner == Corner::High {
            return (with, without + limited);
        }
        if self.live[to] {
            let extra: f64 =
                self.columns.iter().map(|c| self.limited_toward(c, branch, wire, from, to)).sum();
            return (with + extra, without + extra);
        }
        if bridge {
            return (limited, limited);
        }
        // Without a source the whole of each limit flows into the fault, and divides by the resistances between.
        let share = |c: &Column| {
            let own = self.inverse.own(to) - self.inverse.across(branch);
            (c.volts[from] - c.volts[to] + c.limited.amps * own) * wire.siemens
        };
        let same = |c: &&Column| self.plan.zone.root(c.limited.a) == self.plan.zone.root(to);
        let sum = self.columns.iter().filter(same).map(share).sum::<f64>().max(0.0);
        (sum, sum)
    }

    /// Current that comes along a branch into a fault at its end `to`, its own resistance counted, however much else flows there.
    pub fn along(&self, branch: usize, from: usize, to: usize) -> f64 {
        let Some(wire) = self.plan.wires[branch].filter(|_| from > 0 && to > 0 && self.live[to]) else {
            return 0.0;
        };
        let (ab, bb) = (self.inverse.across(branch), self.inverse.own(to));
        ((self.volts[from] - self.volts[to] * ab / bb) * wire.siemens).abs()
    }

    fn limited_toward(&self, column: &Column, branch: usize, wire: Wire, from: usize, to: usize) -> f64 {
        if self.holds_limit(column, to).is_none() {
            return 0.0;
        }
        let (ab, bb) = (self.inverse.across(branch), self.inverse.own(to));
        ((column.volts[from] - column.volts[to] * ab / bb) * wire.siemens).max(0.0)
    }

    /// Forward current through a diode for a fault at its cathode: with its own resistance, and without it.
    pub fn through_diode(&self, diode: usize) -> (f64, f64) {
        let d = &self.plan.diodes[diode];
        let Some(z) = self.ohms(d.anode) else {
            let limited = self.limits[self.plan.zone.root(d.anode)];
            return (self.promised(limited), limited);
        };
        let limited = match self.plan.corner {
            Corner::High => self.limits[self.plan.zone.root(d.anode)],
            Corner::Low => 0.0,
        };
        let open = (self.volts[d.anode] - d.forward).max(0.0);
        (open / (z + d.ohms), open / z + limited)
    }

    /// What of the limited currents surely flows: those of the lower corner.
    fn promised(&self, limited: f64) -> f64 {
        if self.plan.corner == Corner::Low { limited } else { 0.0 }
    }

    /// Volts by node that one source alone would make, the others shorted: divided by [`ohms`](Self::ohms), its share of a fault.
    pub fn of_source(&self, source: usize) -> Vec<f64> {
        let plan = self.plan;
        let mut amps = vec![0.0; plan.nodes];
        let Some(s) = plan.sources[source].filter(|_| self.state.sources[source]) else {
            return vec![0.0; plan.nodes];
        };
        let volts = plan.volts[s.wire.a].unwrap_or(s.volts);
        inject(&mut amps, s.wire.a, s.wire.b, volts * s.wire.siemens);
        let mut own = self.inverse.solve(&amps);
        // Diodes stand in the order in which current passes them; one solve more for each that this source reaches.
        for b in &self.behind {
            let d = &plan.diodes[b.diode];
            let share = own[d.anode] / self.volts[d.anode];
            if share > 0.0 {
                amps[d.cathode] += share * b.siemens * b.volts;
                own = self.inverse.solve(&amps);
            }
        }
        own
    }

    /// Limited currents that count for a fault in each zone, by its first node, each with all that it can add.
    pub fn limited_by_zone(&self) -> Vec<Vec<(usize, f64)>> {
        let plan = self.plan;
        let mut zones: Vec<Vec<(usize, f64)>> = vec![Vec::new(); plan.nodes];
        for (k, l) in plan.limited_in(self.state) {
            zones[plan.zone.root(if l.a == 0 { l.b } else { l.a })].push((k, l.amps));
        }
        if plan.corner == Corner::High {
            for d in &plan.diodes {
                let up = zones[plan.zone.root(d.anode)].clone();
                zones[plan.zone.root(d.cathode)].extend(up);
            }
        }
        zones
    }

    /// What the limited currents add at a node, by index: of `limited_by_zone`, or less where the state says so.
    pub fn of_limited(&self, node: usize, zones: &[Vec<(usize, f64)>]) -> Vec<(usize, f64)> {
        if self.plan.corner == Corner::High || !self.live[node] {
            return zones[self.plan.zone.root(node)].clone();
        }
        let list = self.plan.limited_in(self.state).zip(&self.columns);
        list.map(|((k, _), c)| (k, self.holds_limit(c, node).unwrap_or(0.0)))
            .filter(|(_, a)| *a > 0.0)
            .collect()
    }

    /// Current through each wire and diode for a fault at any node, as a function of the branch: with its own
    /// resistance, and without it.
    pub fn faulted(&self, node: usize) -> Faulted<'_, 'a> {
        let plan = self.plan;
        let mut unit = vec![0.0; plan.nodes];
        unit[node] = 1.0;
        let row = self.inverse.solve(&unit);
        let mut volts = self.volts.clone();
        let mut exit = vec![None; plan.nodes];
        exit[plan.zone.root(node)] = Some(node);
        if let Some(z) = self.ohms(node) {
            let amps = self.volts[node] / z;
            volts.iter_mut().zip(&row).for_each(|(v, z)| *v -= z * amps);
        }
        let mut diode = vec![0.0; plan.diodes.len()];
        for (k, d) in plan.diodes.iter().enumerate().rev() {
            if exit[plan.zone.root(d.cathode)].is_none() {
                continue;
            }
            exit[plan.zone.root(d.anode)] = Some(d.anode);
            if let Some(b) = self.behind.iter().find(|b| b.diode == k) {
                diode[k] = b.siemens * (b.volts - volts[d.cathode]);
                let mut amps = vec![0.0; plan.nodes];
                amps[d.anode] = diode[k];
                let drop = self.inverse.solve(&amps);
                volts.iter_mut().zip(&drop).for_each(|(v, u)| *v -= u);
            }
        }
        Faulted { case: self, node, row, volts, exit, diode }
    }
}

/// The highest output of the converters with a charged capacitor, by zone.
fn outputs(plan: &Plan) -> Vec<f64> {
    let mut outputs = vec![0.0_f64; plan.nodes];
    for c in &plan.charged {
        let root = plan.zone.root(c.wire.a);
        outputs[root] = outputs[root].max(c.output);
    }
    outputs
}

/// How many diodes stand before each, counted along the way of the current.
fn levels(plan: &Plan) -> Vec<usize> {
    let mut zone = vec![0; plan.nodes];
    plan.diodes
        .iter()
        .map(|d| {
            let level = zone[plan.zone.root(d.anode)];
            let down = plan.zone.root(d.cathode);
            zone[down] = zone[down].max(level + 1);
            level
        })
        .collect()
}

/// One state with a bolted fault at one node.
pub(super) struct Faulted<'c, 'a> {
    case: &'c Case<'a>,
    node: usize,
    row: Vec<f64>,
    volts: Vec<f64>,
    /// Where the current leaves each zone on its way to the fault.
    exit: Vec<Option<usize>>,
    diode: Vec<f64>,
}

impl Faulted<'_, '_> {
    pub fn through(&self, branch: usize) -> (f64, f64) {
        let (case, plan) = (self.case, self.case.plan);
        let Some(wire) = plan.wires[branch] else {
            let Some(k) = plan.diodes.iter().position(|d| d.branch == branch) else { return (0.0, 0.0) };
            let d = &plan.diodes[k];
            let on_the_way = self.exit[plan.zone.root(d.cathode)].is_some();
            let limited = if on_the_way && (plan.corner == Corner::High || !case.live[d.anode]) {
                case.limits[plan.zone.root(d.anode)]
            } else {
                0.0
            };
            return (self.diode[k] + case.promised(limited), self.diode[k] + limited);
        };
        if wire.a == 0 || wire.b == 0 {
            let other = wire.a.max(wire.b);
            let amps = if case.live[other] { (self.volts[other] * wire.siemens).abs() } else { 0.0 };
            return (amps, amps);
        }
        let Some(exit) = self.exit[plan.zone.root(wire.a)] else { return (0.0, 0.0) };
        let far = plan.zone.far_end(branch, (wire.a, wire.b), exit);
        let side =
            |sums: &[f64]| far.map_or(sums[plan.zone.root(wire.a)], |f| plan.zone.beside(branch, f, sums));
        let mut limited = side(&case.limits);
        if limited < 1e-12 * case.limits[plan.zone.root(wire.a)]
            || (plan.corner == Corner::Low && (case.live[wire.a] || far.is_none()))
        {
            limited = 0.0;
        }
        if !case.live[wire.a] || side(&case.paths) == 0.0 {
            return (case.promised(limited), limited);
        }
        let across = self.volts[wire.a] - self.volts[wire.b];
        let with = (across * wire.siemens).abs();
        let mut without = with;
        if exit == self.node {
            let apart = self.row[wire.a] - self.row[wire.b];
            let inverse = &case.inverse;
            let own = inverse.own(wire.a) - 2.0 * inverse.across(branch) + inverse.own(wire.b);
            let seen = own - apart * apart / inverse.own(self.node);
            without = (across / seen).abs().max(with);
        }
        if far.is_none() && without <= 1e-9 * case.driven(self.node) {
            return (case.promised(limited), limited);
        }
        (with + case.promised(limited), without + limited)
    }
}
