//! Puts corners and states together: totals at nodes, currents through branches, contributions.

use super::case::Case;
use super::plan::{Plan, UNLIMITED};
use super::stiff::stiff;
use super::{Contribution, ContributionKind, FaultLevel, FaultLevels, Through};
use crate::error::Error;
use crate::network::{Corner, Network};
use crate::range::Range;
use orlop_units::{Current, Quantity, amperes, ohms, volts};

/// So many cells of contributions are kept for a whole network.
const CELLS: usize = 2_000_000;

/// The two corners of one network.
pub(super) struct Corners<'n> {
    net: &'n Network,
    pub high: Plan,
    pub low: Plan,
    stiff: Option<Plan>,
}

/// Least and most of one current over all states.
#[derive(Clone, Copy)]
struct Span {
    /// Least that flows at all, and the state of the low corner that gives it.
    least: Option<(f64, Option<usize>)>,
    most: f64,
}

impl Span {
    const NONE: Self = Self { least: None, most: 0.0 };

    fn least(&mut self, amps: f64, state: Option<usize>) {
        // A NaN never becomes the least, and is the most for good.
        if amps > 0.0 && self.least.is_none_or(|(l, _)| amps < l) {
            self.least = Some((amps, state));
        }
    }
    fn most(&mut self, amps: f64) {
        if amps.is_nan() || amps > self.most {
            self.most = amps;
        }
    }
}

/// All spans of a network.
struct Spans {
    nodes: Vec<Span>,
    /// Toward the second end of each branch, and toward the first.
    ways: Vec<[Span; 2]>,
    /// A number overflowed.
    failed: bool,
}

impl<'n> Corners<'n> {
    pub fn new(net: &'n Network) -> Self {
        let high = Plan::new(net, Corner::High);
        let stiff = stiff(net, &high);
        Self { net, high, low: Plan::new(net, Corner::Low), stiff }
    }

    fn spans(&self) -> Spans {
        let mut spans = Spans {
            nodes: vec![Span::NONE; self.high.nodes],
            ways: vec![[Span::NONE; 2]; self.net.branches().len()],
            failed: false,
        };
        for plan in [&self.high, &self.low] {
            for (k, state) in plan.states.iter().enumerate() {
                let Some(case) = Case::new(plan, state, false) else {
                    spans.failed = true;
                    continue;
                };
                spans.take(plan, k, &case, self.net);
            }
        }
        // Of the two upper bounds the lesser counts.
        if let Some(plan) = &self.stiff
            && let Some(case) = Case::new(plan, &plan.states[0], false)
        {
            spans.no_more_than(plan, &case, self.net);
        }
        spans
    }

    /// The upper bound of an island, when it is one.
    fn upper(&self, amps: f64, island: usize, failed: bool) -> Option<Current> {
        let known = !failed && !self.high.blind[island] && amps <= UNLIMITED;
        known.then(|| amperes(amps))
    }

    /// The lower bound of an island: nothing flows, unless that is only because something is not known.
    fn lower(&self, least: Option<(f64, Option<usize>)>, island: usize, failed: bool) -> Option<Current> {
        let known = !failed && !self.low.blind[island];
        match least.filter(|(amps, _)| *amps <= UNLIMITED) {
            Some((amps, _)) if known => Some(amperes(amps)),
            None if known && least.is_none() && !self.low.unknown.contains_key(&island) => Some(amperes(0.0)),
            _ => None,
        }
    }

    fn flags(&self, island: usize, failed: bool) -> Vec<String> {
        let mut all = Vec::new();
        for plan in [&self.high, &self.low] {
            for list in [plan.unknown.get(&island), plan.flags.get(&island)].into_iter().flatten() {
                all.extend(list.iter().filter(|t| !all.contains(*t)).cloned().collect::<Vec<_>>());
            }
        }
        if failed {
            all.push("a number overflows: no bound is given".into());
        }
        all
    }

    pub fn all(&self) -> FaultLevels {
        let spans = self.spans();
        let wanted: Vec<usize> = (0..self.high.nodes).collect();
        let parts = self.net.sources().len() + self.high.limited.len();
        let few = parts.saturating_mul(self.high.nodes) <= CELLS;
        let mut nodes = self.levels(&spans, &wanted);
        if few {
            self.contributions(&spans, &wanted, &mut nodes);
        }
        let through = (0..self.net.branches().len()).map(|e| self.through(&spans, e)).collect();
        FaultLevels { nodes, through }
    }

    pub fn one(&self, node: usize) -> FaultLevel {
        let spans = self.spans();
        let mut levels = self.levels(&spans, &[node]);
        self.contributions(&spans, &[node], &mut levels);
        levels.remove(0)
    }

    fn levels(&self, spans: &Spans, wanted: &[usize]) -> Vec<FaultLevel> {
        let steady = self.high.states.first().and_then(|s| Case::new(&self.high, s, false));
        let pulse = (!self.high.charged.is_empty())
            .then(|| self.high.states.first().and_then(|s| Case::new(&self.high, s, true)))
            .flatten();
        let level = |node: &usize| {
            let (node, island) = (*node, self.high.island[*node]);
            let span = &spans.nodes[node];
            let total = Range::from_bounds(
                self.lower(span.least, island, spans.failed),
                self.upper(span.most, island, spans.failed),
            );
            let burst = steady.as_ref().zip(pulse.as_ref()).and_then(|(s, p)| {
                let (before, with) = (s.driven(node), p.driven(node));
                let amps = with - before;
                (amps > 1e-9 * with).then(|| self.upper(amps, island, spans.failed)).flatten()
            });
            FaultLevel {
                node: self.net.nodes()[node].clone(),
                total,
                pulse: burst,
                contributions: Vec::new(),
                voltage: Range::from_bounds(None, None),
                resistance: Range::from_bounds(None, None),
                open: self.opened(span, island),
                limited: node != 0 && !self.high.fed[island] && span.most > 0.0,
                flags: self.flags(island, spans.failed),
            }
        };
        wanted.iter().map(level).collect()
    }

    /// What is open where the least current flows.
    fn opened(&self, span: &Span, island: usize) -> Vec<String> {
        let state = span.least.and_then(|l| l.1).map(|k| &self.low.states[k]);
        state.map(|s| self.low.open_in(self.net, s, island)).unwrap_or_default()
    }

    fn through(&self, spans: &Spans, branch: usize) -> Through {
        let b = &self.net.branches()[branch];
        let island = self.high.island_of(b.from, b.to);
        let [to, from] = spans.ways[branch].map(|span| {
            Range::from_bounds(
                self.lower(span.least, island, spans.failed),
                self.upper(span.most, island, spans.failed),
            )
        });
        let flows = |r: Range<Current>| r.low().filter(|c| *c > amperes(0.0));
        let least = match (flows(to), flows(from)) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b).or(to.low().and(from.low())),
        };
        let least = if to.low().is_none() || from.low().is_none() { None } else { least };
        let most = to.high().zip(from.high()).map(|(a, b)| a.max(b));
        let [x, y] = spans.ways[branch];
        let least_span = match (x.least, y.least) {
            (Some(a), Some(b)) if b.0 < a.0 => y,
            (None, Some(_)) => y,
            _ => x,
        };
        Through {
            branch: b.id.clone(),
            forward: to,
            backward: from,
            through: Range::from_bounds(least, most),
            open: self.opened(&least_span, island),
            limited: !self.high.fed[island] && (x.most > 0.0 || y.most > 0.0),
            flags: self.flags(island, spans.failed),
        }
    }

    /// Current through one branch for a fault at one node.
    pub fn at_distance(&self, branch: usize, node: usize) -> Range<Current> {
        let b = &self.net.branches()[branch];
        let island = self.high.island_of(b.from, b.to);
        let mut span = Span::NONE;
        let mut failed = false;
        for plan in [&self.high, &self.low] {
            for (k, state) in plan.states.iter().enumerate() {
                let Some(case) = Case::new(plan, state, false) else {
                    failed = true;
                    continue;
                };
                let (with, without) = case.faulted(node).through(branch);
                span.least(with, (plan.corner == Corner::Low).then_some(k));
                span.most(without);
            }
        }
        if let Some(plan) = self.stiff.as_ref().filter(|p| p.zone.is_bridge(branch))
            && let Some(case) = Case::new(plan, &plan.states[0], false)
        {
            span.most = span.most.min(case.faulted(node).through(branch).1);
        }
        Range::from_bounds(self.lower(span.least, island, failed), self.upper(span.most, island, failed))
    }

    /// Fills in voltage, resistance and who feeds the fault, at both bounds.
    fn contributions(&self, spans: &Spans, wanted: &[usize], levels: &mut [FaultLevel]) {
        let parts = self.net.sources().len() + self.high.limited.len();
        let mut high = vec![vec![None; parts]; wanted.len()];
        let mut low = vec![vec![None; parts]; wanted.len()];
        let mut ends: Vec<[Option<(f64, f64)>; 2]> = vec![[None; 2]; wanted.len()];
        if let Some(case) = self.high.states.first().and_then(|s| Case::new(&self.high, s, false)) {
            let rows: Vec<usize> = (0..wanted.len()).collect();
            self.shares(&case, &rows, wanted, &mut high);
            rows.iter()
                .for_each(|r| ends[*r][0] = case.ohms(wanted[*r]).map(|z| (case.volts[wanted[*r]], z)));
        }
        let mut by_state = vec![Vec::new(); self.low.states.len()];
        for (row, node) in wanted.iter().enumerate() {
            if let Some((_, Some(k))) = spans.nodes[*node].least {
                by_state[k].push(row);
            }
        }
        for (k, rows) in by_state.iter().enumerate().filter(|(_, rows)| !rows.is_empty()) {
            if let Some(case) = Case::new(&self.low, &self.low.states[k], false) {
                self.shares(&case, rows, wanted, &mut low);
                rows.iter()
                    .for_each(|r| ends[*r][1] = case.ohms(wanted[*r]).map(|z| (case.volts[wanted[*r]], z)));
            }
        }
        for (row, level) in levels.iter_mut().enumerate() {
            let [most, least] = ends[row];
            level.voltage = Range::from_bounds(least.map(|e| volts(e.0)), most.map(|e| volts(e.0)));
            level.resistance = Range::from_bounds(most.map(|e| ohms(e.1)), least.map(|e| ohms(e.1)));
            level.contributions = (0..parts)
                .filter(|p| high[row][*p].is_some() || low[row][*p].is_some())
                .map(|p| {
                    let end = |amps: Option<f64>| {
                        let amps = amps.unwrap_or(0.0);
                        (amps <= UNLIMITED).then(|| amperes(amps))
                    };
                    let (id, kind) = self.part(p);
                    Contribution { id, kind, lower: end(low[row][p]), upper: end(high[row][p]) }
                })
                .collect();
        }
    }

    fn shares(&self, case: &Case<'_>, rows: &[usize], wanted: &[usize], out: &mut [Vec<Option<f64>>]) {
        let sources = self.net.sources().len();
        for (s, _) in self.net.sources().iter().enumerate() {
            let own = case.of_source(s);
            for row in rows {
                let node = wanted[*row];
                let amps = case.ohms(node).map(|z| (own[node] / z).abs());
                out[*row][s] = amps.filter(|a| *a > 1e-9 * case.driven(node));
            }
        }
        let zones = case.limited_by_zone();
        for row in rows.iter().filter(|r| wanted[**r] != 0) {
            for (k, amps) in case.of_limited(wanted[*row], &zones) {
                out[*row][sources + k] = Some(amps);
            }
        }
    }

    fn part(&self, index: usize) -> (String, ContributionKind) {
        let net = self.net;
        let (sources, converters) = (net.sources().len(), net.converters().len());
        if index < sources {
            return (net.sources()[index].id.clone(), ContributionKind::Source);
        }
        match index - sources {
            c if c < converters => (net.converters()[c].output.id.clone(), ContributionKind::Limited),
            l => (net.loads()[l - converters].id.clone(), ContributionKind::Motor),
        }
    }
}

impl Spans {
    fn no_more_than(&mut self, plan: &Plan, case: &Case<'_>, net: &Network) {
        // Into a node flows what comes along its branches, and what stands there by itself.
        let mut most = vec![0.0; plan.nodes];
        for s in net.sources() {
            let ends = s.part.emf.high().zip(s.part.resistance.low());
            most[s.from] += ends.map_or(f64::INFINITY, |(e, r)| e.si() / r.si());
        }
        for c in net.converters() {
            most[c.output.from] += c.output.part.limit.si();
        }
        for l in net.loads() {
            most[l.from] += l.part.motor.map_or(0.0, Quantity::si);
        }
        for (e, branch) in net.branches().iter().enumerate() {
            for (from, to) in [(branch.from, branch.to), (branch.to, branch.from)] {
                most[to] += case.along(e, from, to);
            }
        }
        for (span, most) in self.nodes.iter_mut().zip(most).skip(1) {
            span.most = span.most.min(most);
        }
        for (e, branch) in net.branches().iter().enumerate().filter(|(e, _)| plan.zone.is_bridge(*e)) {
            let ways = [(branch.from, branch.to), (branch.to, branch.from)];
            for (span, (from, to)) in self.ways[e].iter_mut().zip(ways) {
                span.most = span.most.min(case.toward(e, from, to).1);
            }
        }
    }

    fn take(&mut self, plan: &Plan, state: usize, case: &Case<'_>, net: &Network) {
        let low = plan.corner == Corner::Low;
        let at = low.then_some(state);
        for node in 1..plan.nodes {
            let total = case.total(node);
            if low {
                self.nodes[node].least(total, at);
            } else {
                self.nodes[node].most(total);
            }
        }
        for (e, branch) in net.branches().iter().enumerate() {
            let ways = [case.toward(e, branch.from, branch.to), case.toward(e, branch.to, branch.from)];
            for (span, (with, without)) in self.ways[e].iter_mut().zip(ways) {
                // Of a bridge the low corner is the least; in a ring either may be, and either the most.
                if low || !plan.zone.is_bridge(e) {
                    span.least(with, at);
                }
                span.most(without);
            }
        }
        for (k, d) in plan.diodes.iter().enumerate() {
            let (with, without) = case.through_diode(k);
            let span = &mut self.ways[d.branch][0];
            if low {
                span.least(with, at);
            }
            span.most(without);
        }
    }
}

/// The index of a branch.
///
/// # Errors
/// [`Error::Input`] when there is none of that id.
pub(super) fn branch_at(net: &Network, id: &str) -> Result<usize, Error> {
    net.branches().iter().position(|b| b.id == id).ok_or_else(|| {
        Error::input("branch", format!("'{id}'"), "the id of a conductor, device or diode of this network")
    })
}

/// The index of a node other than that of zero volts.
///
/// # Errors
/// [`Error::Input`] when there is none of that name.
pub(super) fn node_at(net: &Network, name: &str) -> Result<usize, Error> {
    match net.node_at(name) {
        Some(0) => {
            Err(Error::input("node", "the node of zero volts", "the node at which the fault to it is"))
        }
        Some(at) => Ok(at),
        None => Err(Error::input("node", format!("'{name}'"), "the name of a node of this network")),
    }
}
