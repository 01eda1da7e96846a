//! Subtrees in which one dimension limits: least cost as a staircase over what may be taken before them.
//!
//! Side by side, staircases add up: their steps are sorted together once. A segment in front shifts the staircase once for
//! each of its choices; the lower envelope is merged pair by pair. No products of steps anywhere.

use super::frame::{FREE, Frame, Value, minus};

/// With at most `slack` taken before the subtree, it can be had for `value`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Step {
    pub slack: i64,
    pub value: Value,
    /// The option that the nearest segment then has.
    pub option: u16,
}

/// Slack and value both fall from step to step.
pub(super) type Stairs = Vec<Step>;

/// What stands behind a node: all its children's staircases together.
pub(super) fn side_by_side(children: &[&Stairs]) -> Stairs {
    let none = Step { slack: FREE, value: Value::default(), option: 0 };
    match children {
        [] => return vec![none],
        [one] => return (*one).clone(),
        _ => {}
    }
    // A subtree without solution has no steps, and then neither has the whole.
    let Some(start) = children.iter().map(|c| c.first().map(|s| s.slack)).min().flatten() else {
        return Vec::new();
    };
    let mut value = Value::default();
    let mut falls: Vec<(i64, Value)> = Vec::with_capacity(children.iter().map(|c| c.len()).sum());
    for child in children {
        // The cheapest step that still has slack enough.
        let at = child.partition_point(|s| s.slack >= start) - 1;
        value += child[at].value;
        falls.extend(child[at..].windows(2).map(|w| (w[1].slack, w[1].value - w[0].value)));
    }
    // Runs that are sorted already: the sort merges them.
    falls.sort_by_key(|f| std::cmp::Reverse(f.0));
    let mut all = vec![Step { slack: start, value, option: 0 }];
    for (slack, fall) in falls {
        value += fall;
        match all.last_mut() {
            Some(last) if last.slack == slack => last.value = value,
            _ => all.push(Step { slack, value, option: 0 }),
        }
    }
    all
}

/// The staircase in front of a segment, given the one behind it.
pub(super) fn in_front(frame: &Frame, segment: usize, dimension: Option<usize>, behind: &Stairs) -> Stairs {
    let least = dimension.map_or(0, |d| frame.before(segment)[d]);
    let mut shifted: Vec<Stairs> = Vec::with_capacity(frame.options[segment].len());
    for (at, option) in frame.options[segment].iter().enumerate() {
        let (cap, used) = dimension.map_or((FREE, 0), |d| (frame.caps(option)[d], frame.used(option)[d]));
        // Of the steps with more slack than the limit only the cheapest counts.
        let from = behind.partition_point(|s| s.slack >= cap).saturating_sub(1);
        #[allow(clippy::cast_possible_truncation)]
        let steps = behind[from..].iter().map(|s| Step {
            slack: minus(s.slack.min(cap), used),
            value: s.value + option.value,
            option: at as u16,
        });
        shifted.push(steps.take_while(|s| s.slack >= least).collect());
    }
    while shifted.len() > 1 {
        shifted = shifted.chunks(2).map(|pair| lower(&pair[0], pair.get(1).map_or(&[], |b| b))).collect();
    }
    shifted.pop().unwrap_or_default()
}

/// The lower envelope of two staircases.
fn lower(a: &[Step], b: &[Step]) -> Stairs {
    let mut out: Stairs = Vec::with_capacity(a.len() + b.len());
    let (mut i, mut j) = (0, 0);
    loop {
        let next = match (a.get(i), b.get(j)) {
            (Some(x), Some(y)) => {
                // At the same slack the cheaper one, then the smaller size.
                let first = (y.slack, x.value, x.option) <= (x.slack, y.value, y.option);
                if first { (i += 1, *x).1 } else { (j += 1, *y).1 }
            }
            (Some(x), None) => (i += 1, *x).1,
            (None, Some(y)) => (j += 1, *y).1,
            (None, None) => return out,
        };
        if out.last().is_none_or(|last| next.value < last.value) {
            out.push(next);
        }
    }
}

/// The cheapest step when so much is taken before.
pub(super) fn cheapest(stairs: &Stairs, taken: i64) -> Option<Step> {
    stairs.partition_point(|s| s.slack >= taken).checked_sub(1).map(|at| stairs[at])
}
