//! How a load's permitted drop is shared along its path.
//!
//! On a single path of continuous areas the least copper has drops in proportion to `length x sqrt(current)`
//! (minimise the sum of `A L` under the sum of `I L / A`: then `A` goes with `sqrt(I)`). Each segment gets that share of
//! what the segments before it have left; a feeder takes the share of the load that leaves it least.

use super::envelope::{Envelope, LoadPath};
use orlop::circuit::Budget;
use orlop_units::{amperes, volts};

/// What is already lost before a segment, by load: physical and by the rule set's formula, in volts.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Lost {
    pub physical: f64,
    pub rule: f64,
}

/// The budget of one segment: the tightest share over all loads behind it.
pub(super) fn budget(envelope: &Envelope, segment: usize, lost: &dyn Fn(&LoadPath) -> Lost) -> Option<Budget> {
    let tightest = |left: &dyn Fn(&LoadPath) -> f64| {
        envelope
            .behind(segment)
            .map(|(path, at)| {
                let ahead: f64 = path.segments[at..].iter().map(|s| envelope.segments[*s].weight).sum();
                let share = envelope.segments[segment].weight / ahead;
                // Where nothing is left, ask for what cannot be had: the loop sees it and raises what lies before.
                let volts = (left(path) * share).max(1e-9);
                (path.peak_current(at), volts)
            })
            .filter(|(current, _)| *current > 0.0)
            .min_by(|a, b| (a.1 / a.0).total_cmp(&(b.1 / b.0)))
    };
    let physical = tightest(&|path| path.permitted - lost(path).physical)?;
    let rule = tightest(&|path| path.permitted - lost(path).rule)?;
    // One current for both: the rule's volts are scaled to it.
    Some(Budget {
        current: amperes(physical.0),
        physical: volts(physical.1),
        rule: volts(rule.1 * physical.0 / rule.0),
    })
}
