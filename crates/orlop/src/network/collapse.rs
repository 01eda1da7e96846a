//! Why a network has no operating point, and how much of it there could be.

use super::build::Network;
use super::kernel::Kernel;
use super::plan::Plan;
use crate::error::Error;
use orlop_units::{amperes, show, significant, watts};

/// Loads tried for being the one too much.
const CANDIDATES: usize = 12;

/// The load of constant current that would have to push its current into the network, the worst of them.
pub fn backward(net: &Network, kernel: &Kernel) -> Option<usize> {
    (0..kernel.currents.len())
        .filter(|&k| kernel.currents[k].owner < net.loads().len() && kernel.currents[k].amps > 0.0)
        .filter(|&k| kernel.across_current(k) < -1e-9 * (1.0 + kernel.currents[k].base.abs()))
        .min_by(|&a, &b| kernel.across_current(a).total_cmp(&kernel.across_current(b)))
}

/// The error for a network without an operating point in its present states.
pub fn explain(net: &Network, plan: &Plan, kernel: &mut Kernel, is_backward: bool) -> Error {
    if is_backward && let Some(k) = backward(net, kernel) {
        return explain_current(net, plan, kernel, k);
    }
    let asked: Vec<f64> = kernel.constants.iter().map(|c| c.watts).collect();
    let set = |kernel: &mut Kernel, watts: &dyn Fn(usize) -> f64| {
        kernel.constants.iter_mut().enumerate().for_each(|(k, c)| c.watts = watts(k));
    };
    // All loads smaller together, until there is a solution: there the network is about to give way.
    let together = bisect(1e-6, |share| {
        set(kernel, &|k| share * asked[k]);
        kernel.solve(plan, false).is_ok()
    });
    set(kernel, &|k| together * asked[k]);
    let weak = match kernel.solve(plan, false) {
        Ok(_) => ranked(plan, kernel),
        // Not even without them: something has no voltage to begin with.
        Err(_) => (0..asked.len()).collect(),
    };
    // The first of them without which the others could be fed.
    let alone = weak.iter().take(CANDIDATES).copied().find(|&weak| {
        set(kernel, &|k| if k == weak { 0.0 } else { asked[k] });
        kernel.solve(plan, false).is_ok()
    });
    let named = alone.or_else(|| weak.first().copied()).unwrap_or(0);
    let most = alone.map(|weak| {
        let share = bisect(1e-9, |share| {
            set(kernel, &|k| if k == weak { share * asked[k] } else { asked[k] });
            kernel.solve(plan, false).is_ok()
        });
        watts(floored(share * asked[weak]))
    });
    set(kernel, &|k| asked[k]);
    let owner = kernel.constants[named].owner;
    let (subject, node) = name(net, owner);
    let wanted = show(watts(asked[named]));
    let rest = match most {
        Some(most) => format!("at most {} with the others as they are", show(most)),
        None => format!(
            "nothing with the others as they are; all constant powers together could be at most {} % of what is asked",
            significant(100.0 * together, 3)
        ),
    };
    Error::NoSolution {
        what: format!("{subject} at {node} asks for {wanted} and could have {rest}"),
        hint: "larger conductors or shorter runs to it, fewer loads at a time, a battery near it, or a higher voltage"
            .into(),
    }
}

fn explain_current(net: &Network, plan: &Plan, kernel: &mut Kernel, k: usize) -> Error {
    let (subject, node) = name(net, kernel.currents[k].owner);
    let asked = kernel.currents[k].amps;
    let share = bisect(1e-9, |share| {
        kernel.currents[k].amps = share * asked;
        kernel.solve(plan, false).is_ok() && kernel.across_current(k) >= 0.0
    });
    kernel.currents[k].amps = asked;
    let most = show(amperes(floored(share * asked)));
    Error::NoSolution {
        what: format!(
            "{subject} at {node} asks for {} and could have at most {most}, with no volts left, with the others as they are",
            show(amperes(asked))
        ),
        hint: "larger conductors or shorter runs to it, fewer loads at a time, or a battery near it".into(),
    }
}

/// Constant powers by their part in the direction in which the network gives way, the largest first.
fn ranked(plan: &Plan, kernel: &Kernel) -> Vec<usize> {
    let mode = kernel.weakest(plan);
    let part: Vec<f64> = kernel
        .constants
        .iter()
        .map(|c| {
            let apart = (mode[c.ends.a as usize] - mode[c.ends.b as usize]) / kernel.across(c);
            c.watts * apart * apart
        })
        .collect();
    let mut ranked: Vec<usize> = (0..part.len()).collect();
    ranked.sort_by(|&a, &b| part[b].total_cmp(&part[a]).then(a.cmp(&b)));
    ranked
}

fn name(net: &Network, owner: usize) -> (String, &str) {
    let loads = net.loads();
    if let Some(load) = loads.get(owner) {
        return (format!("load {}", load.id), &net.nodes()[load.from]);
    }
    let feed = &net.converters()[owner - loads.len()];
    let node = feed.input.map_or(feed.output.from, |(a, _)| a);
    (format!("the input of converter {}", feed.output.id), &net.nodes()[node])
}

/// The largest share, of those from nothing to all, that still can be; 0 when none can.
fn bisect(digits: f64, mut can: impl FnMut(f64) -> bool) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    while high - low > digits * high && high > 1e-15 {
        let middle = 0.5 * (low + high);
        if can(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

/// Three digits, rounded down: what is said to be possible is.
fn floored(x: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    let digit = 10.0_f64.powf(x.log10().floor() - 2.0);
    // Bisection ends a hair below the true bound.
    (x * (1.0 + 1e-7) / digit).floor() * digit
}
