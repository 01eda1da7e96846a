//! Voltages of all nodes and currents of all elements, from the unknowns.

use super::build::Network;
use super::kernel::Kernel;
use super::plan::{Draw, Mode, Plan, Values};
use crate::solve::peeling;
use orlop_units::Quantity;

/// Voltages and currents in SI units.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Flow {
    /// By node; NaN in the dark.
    pub volts: Vec<f64>,
    /// Through each branch, first node to second.
    pub branch: Vec<f64>,
    /// Out of the first node of each source.
    pub source: Vec<f64>,
    /// Into the first node of each load.
    pub load: Vec<f64>,
    /// Out of the first output node of each converter.
    pub output: Vec<f64>,
    /// Into the first input node of each converter.
    pub input: Vec<f64>,
}

/// All node voltages.
pub fn volts(plan: &Plan, u: &[f64], out: &mut Vec<f64>) {
    out.clear();
    out.extend(
        (0..plan.base.len())
            .map(|v| if plan.dark[v] { f64::NAN } else { plan.base[v] + u[plan.unknown[v] as usize] }),
    );
}

/// All voltages and currents.
pub fn flow(net: &Network, plan: &Plan, values: &Values, kernel: &Kernel) -> Flow {
    let mut flow = Flow::default();
    volts(plan, &kernel.u, &mut flow.volts);
    let volts = &flow.volts;
    let branches = net.branches().len();
    flow.branch = (0..branches).map(|k| kernel.line_current(k)).collect();
    flow.source = (0..net.sources().len()).map(|k| -kernel.line_current(branches + k)).collect();
    let loads = net.loads().iter().enumerate();
    flow.load = loads
        .map(|(k, load)| match values.draw[k] {
            _ if plan.unfed[k] => 0.0,
            Draw::Off => 0.0,
            Draw::Amps(amps) => amps,
            Draw::Watts(0.0) => 0.0,
            Draw::Watts(watts) => watts / (volts[load.from] - volts[load.to]),
            Draw::Ohms(r) => (volts[load.from] - volts[load.to]) / r,
        })
        .collect();
    let feeds = net.converters().iter().enumerate();
    flow.input = feeds
        .clone()
        .map(|(k, feed)| match feed.input {
            Some((a, b)) if values.taken[k] > 0.0 && values.mode[k] != Mode::Off => {
                values.taken[k] / (volts[a] - volts[b])
            }
            _ => 0.0,
        })
        .collect();
    flow.output = feeds
        .map(|(k, feed)| if values.mode[k] == Mode::Limited { feed.output.part.limit.si() } else { 0.0 })
        .collect();
    ideal(net, values, &mut flow, None);
    flow
}

/// Currents of ideal sources and converters that hold their voltage: what balances at their nodes, leaves first. They never
/// form a loop, so each is determined.
///
/// `fault` draws a further current from a node to the return.
pub fn ideal(net: &Network, values: &Values, flow: &mut Flow, fault: Option<(usize, f64)>) {
    let (sources, feeds) = (net.sources(), net.converters());
    let mut ends: Vec<(usize, usize)> = Vec::new();
    let mut owner: Vec<usize> = Vec::new();
    for (k, source) in sources.iter().enumerate() {
        if values.source_on[k] && values.behind[k] == 0.0 {
            ends.push((source.from, source.to));
            owner.push(k);
        }
    }
    for (k, feed) in feeds.iter().enumerate().filter(|(k, _)| values.mode[*k] == Mode::Held) {
        ends.push((feed.output.from, feed.output.to));
        owner.push(sources.len() + k);
    }
    if ends.is_empty() {
        return;
    }
    let n = flow.volts.len();
    let mut leaving = vec![0.0; n];
    let mut add = |from: usize, to: usize, amps: f64| {
        leaving[from] += amps;
        leaving[to] -= amps;
    };
    for (branch, amps) in net.branches().iter().zip(&flow.branch) {
        add(branch.from, branch.to, *amps);
    }
    for (source, amps) in sources.iter().zip(&flow.source) {
        add(source.to, source.from, *amps);
    }
    for (load, amps) in net.loads().iter().zip(&flow.load) {
        add(load.from, load.to, *amps);
    }
    for (feed, (output, input)) in feeds.iter().zip(flow.output.iter().zip(&flow.input)) {
        add(feed.output.to, feed.output.from, *output);
        if let Some((a, b)) = feed.input {
            add(a, b, *input);
        }
    }
    if let Some((node, amps)) = fault {
        add(node, 0, amps);
    }
    // Counted from the far end, so that the return is a leaf only when nothing else is.
    let flip = |v: usize| (n - 1 - v) as u32;
    let flipped: Vec<(u32, u32)> = ends.iter().map(|&(a, b)| (flip(a), flip(b))).collect();
    let (order, parent) = peeling(n, &flipped);
    let mut edge = vec![usize::MAX; n];
    for (k, &(a, b)) in flipped.iter().enumerate() {
        let child = if parent[a as usize] == b { a } else { b };
        edge[child as usize] = k;
    }
    for v in order {
        let (child, k) = (flip(v as usize) as usize, edge[v as usize]);
        if k == usize::MAX {
            continue;
        }
        // Everything that leaves the child must come up through this one element.
        let up = leaving[child];
        let other = flip(parent[v as usize] as usize) as usize;
        leaving[other] += up;
        let delivered = if ends[k].0 == child { up } else { -up };
        match owner[k] {
            k if k < sources.len() => flow.source[k] = delivered,
            k => flow.output[k - sources.len()] = delivered,
        }
    }
}
