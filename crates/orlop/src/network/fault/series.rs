//! Which branches stand in series on the way into a fault.

use super::case::Case;
use super::levels::Corners;
use crate::network::Network;
use crate::range::Range;
use orlop_units::{Current, Quantity};

/// Two of the branches asked for, by their place in the question.
pub(in crate::network) struct InSeries {
    pub upstream: usize,
    pub downstream: usize,
    /// Current through the downstream one for a fault just behind it.
    pub fault: Range<Current>,
    /// Largest share of it that the upstream one carries, over both corners and all states.
    pub share: f64,
}

/// A current less than this share of the other is none.
const GRAIN: f64 = 1e-9;

/// Every two of some branches such that the first carries current that the second passes on into a fault just behind it.
///
/// Behind a bridge these are the branches on its far side. In a ring every branch that carries current into the fault counts.
pub(in crate::network) fn in_series(net: &Network, branches: &[usize]) -> Vec<InSeries> {
    let corners = Corners::new(net);
    let levels = corners.all();
    let count = branches.len();
    // By direction, downstream and upstream.
    let mut shares = vec![0.0_f64; 2 * count * count];
    for plan in [&corners.high, &corners.low] {
        for state in &plan.states {
            let Some(case) = Case::new(plan, state, false) else { continue };
            for (d, e) in branches.iter().enumerate() {
                let ends = (net.branches()[*e].from, net.branches()[*e].to);
                for (way, to) in [ends.1, ends.0].into_iter().enumerate() {
                    let through = &levels.through[*e];
                    let most = if way == 0 { through.forward } else { through.backward };
                    if to == 0 || most.high().is_some_and(|c| c.si() == 0.0) {
                        continue;
                    }
                    let faulted = case.faulted(to);
                    let own = faulted.through(*e).0;
                    if own <= 0.0 {
                        continue;
                    }
                    for (u, other) in branches.iter().enumerate().filter(|(u, _)| *u != d) {
                        let part = &net.branches()[*other];
                        let beyond = |n: usize| {
                            n == 0
                                || !plan.same_zone(n, to)
                                || plan.zone.far_end(*e, ends, n).is_none_or(|far| far == to)
                        };
                        let share = faulted.through(*other).0 / own;
                        if beyond(part.from) && beyond(part.to) && share > GRAIN {
                            let at = (way * count + d) * count + u;
                            shares[at] = shares[at].max(share);
                        }
                    }
                }
            }
        }
    }
    let mut found = Vec::new();
    for (d, e) in branches.iter().enumerate() {
        let through = &levels.through[*e];
        for u in 0..count {
            let ways = [through.forward, through.backward].into_iter().enumerate();
            let of_way = |(way, fault)| {
                let share = shares[(way * count + d) * count + u];
                (share > 0.0).then_some(InSeries { upstream: u, downstream: d, fault, share })
            };
            // Where both directions are possible the one with more current decides.
            let most = |s: &InSeries| s.fault.high().map_or(f64::INFINITY, Quantity::si);
            found.extend(ways.filter_map(of_way).reduce(|a, b| if most(&b) > most(&a) { b } else { a }));
        }
    }
    found
}
