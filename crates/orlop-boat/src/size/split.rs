//! How a load's permitted drop is shared along its path.
//!
//! On a single path of continuous areas the least copper has drops in proportion to `length x sqrt(current)`
//! (minimise the sum of `A L` under the sum of `I L / A`: then `A` goes with `sqrt(I)`). Each segment gets that share of
//! what the segments before it have left; a feeder takes the share of the load and scenario that leave it least.

use super::envelope::{Envelope, LoadPath};
use orlop::circuit::Budget;
use orlop_units::{Quantity, amperes, volts};

/// Volts lost, or left to lose, in one scenario: physical and by the rule set's formula.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Lost {
    pub physical: f64,
    pub rule: f64,
}

/// Permitted volts at a current; the tightest has the fewest volts for each ampere.
#[derive(Clone, Copy, Debug)]
struct Share {
    current: f64,
    volts: f64,
}

impl Share {
    fn tighter(best: Option<Self>, other: Self) -> Option<Self> {
        let resistance = |s: Self| s.volts / s.current;
        Some(best.filter(|b| resistance(*b) <= resistance(other)).unwrap_or(other))
    }
}

/// The budget of one segment: the tightest over all loads behind it and the scenarios that have them on, and the
/// circuit's own limit. `left` tells what the n-th scenario of a load leaves to the segment, the at-th of its path; none when
/// that load has no say here.
pub(super) fn budget(
    envelope: &Envelope,
    segment: usize,
    left: &dyn Fn(&LoadPath, usize, usize) -> Option<Lost>,
) -> Option<Budget> {
    let mut physical = None;
    let mut rule = None;
    for (path, at) in envelope.behind(segment) {
        for (n, (_, currents)) in path.scenarios.iter().enumerate().filter(|(_, (_, i))| i[at] > 0.0) {
            let Some(left) = left(path, at, n) else { continue };
            // Where nothing is left, ask for what cannot be had: the loop sees it and raises what lies before.
            let of = |volts: f64| Share { current: currents[at], volts: volts.max(1e-9) };
            physical = Share::tighter(physical, of(left.physical));
            rule = Share::tighter(rule, of(left.rule));
        }
    }
    if let Some(volts) = envelope.segments[segment].own_limit {
        let own = Share { current: envelope.segments[segment].question.current.si(), volts };
        physical = Share::tighter(physical, own);
        rule = Share::tighter(rule, own);
    }
    let (physical, rule) = (physical?, rule?);
    // One current for both: the rule's volts are scaled to it.
    Some(Budget {
        current: amperes(physical.current),
        physical: volts(physical.volts),
        rule: volts(rule.volts * physical.current / rule.current),
    })
}

/// What a segment may use of what its load's path has not lost yet.
pub(super) fn share(envelope: &Envelope, path: &LoadPath, at: usize, lost: Lost) -> Lost {
    let ahead: f64 = path.segments[at..].iter().map(|s| envelope.segments[*s].weight).sum();
    let share = envelope.segments[path.segments[at]].weight / ahead;
    Lost { physical: (path.permitted - lost.physical) * share, rule: (path.permitted - lost.rule) * share }
}
