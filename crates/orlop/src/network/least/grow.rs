//! Dynamic programming over the tree: from the leaves to the source, and back with the sizes.
//!
//! Each subtree is answered in the form that suits it:
//! * one limiting dimension: a staircase ([`super::stairs`]);
//! * several, near the source: one value for each combination of the segments before it;
//! * several, far from the source: the points that none dominates ([`super::skyline`]).

use super::frame::{FREE, Frame, TOO_MUCH, Value, minus, plus};
use super::problem::Effort;
use super::skyline::{Points, Side, bound, thin_out};
use super::stairs::{self, Stairs};
use std::borrow::Cow;

/// Segments in a row that may be answered combination by combination.
const DEEPEST_LIST: usize = 40;
/// Amounts taken before a node that are kept one by one, per dimension.
const MOST_LEVELS: usize = 4096;
/// Candidates that are thinned out at once.
const BATCH: usize = 1 << 18;

/// The answer for one subtree.
enum Answer {
    Stairs(Stairs),
    Points(Points),
    /// Answered for the combinations before it; filled when they are known.
    Listed {
        option: Vec<u16>,
        behind: Vec<u32>,
    },
}

const NO_STATE: u32 = u32::MAX;

pub(super) struct Grown {
    /// The option of each segment; none without a solution.
    pub options: Option<Vec<usize>>,
    /// What they cost, or the bound found from below.
    pub value: Value,
    /// Whether points were left out.
    pub bounded: bool,
    /// Cost over the slack left at the source, where one dimension limits.
    pub stairs: Option<Stairs>,
}

struct Grower<'f> {
    frame: &'f Frame,
    effort: Effort,
    side: Side,
    answers: Vec<Option<Answer>>,
    /// For each dimension: what may be taken before a segment, rising; none when there are too many.
    levels: Vec<Vec<Option<Vec<i64>>>>,
    bounded: bool,
}

/// Solves the tree, or bounds it.
pub(super) fn grow(frame: &Frame, effort: Effort, side: Side) -> Grown {
    let segments = frame.tree.order.len();
    let mut grower = Grower {
        frame,
        effort,
        side,
        answers: (0..segments).map(|_| None).collect(),
        levels: Vec::new(),
        bounded: false,
    };
    let listed = grower.which_are_listed();
    if (0..segments).any(|s| frame.active[s].len() > 1 && !listed[s]) {
        grower.find_levels();
    }
    for &s in frame.tree.order.iter().rev() {
        let answer = match frame.active[s].len() {
            0 | 1 => Answer::Stairs(grower.stairs(s)),
            _ if listed[s] => Answer::Listed { option: Vec::new(), behind: Vec::new() },
            _ => Answer::Points(grower.points(s)),
        };
        grower.answers[s] = Some(answer);
    }
    grower.finish()
}

impl Grower<'_> {
    /// Subtrees with several dimensions and few combinations before them.
    fn which_are_listed(&self) -> Vec<bool> {
        let frame = self.frame;
        let mut listed = vec![false; frame.tree.order.len()];
        let mut before = vec![(1_usize, 0_usize); frame.tree.order.len()];
        for &s in &frame.tree.order {
            let mut open = true;
            if let Some(up) = frame.tree.parent[s] {
                let (states, depth) = before[up];
                before[s] = (states.saturating_mul(frame.options[up].len()), depth + 1);
                open = listed[up];
            }
            let (states, depth) = before[s];
            listed[s] =
                open && depth <= DEEPEST_LIST && states <= self.effort.listed && frame.active[s].len() > 1;
        }
        listed
    }

    fn stairs_of(&self, segment: usize) -> Option<&Stairs> {
        match &self.answers[segment] {
            Some(Answer::Stairs(stairs)) => Some(stairs),
            _ => None,
        }
    }

    fn stairs(&mut self, s: usize) -> Stairs {
        let children: Vec<&Stairs> =
            self.frame.tree.children[s].iter().filter_map(|c| self.stairs_of(*c)).collect();
        let behind = match children.as_slice() {
            [one] => Cow::Borrowed(*one),
            many => Cow::Owned(stairs::side_by_side(many)),
        };
        let stairs = stairs::in_front(self.frame, s, self.frame.active[s].first().copied(), &behind);
        self.fewer_steps(stairs)
    }

    /// Keeps a staircase within the frontier limit.
    fn fewer_steps(&mut self, steps: Stairs) -> Stairs {
        let most = self.effort.frontier;
        if steps.len() <= most {
            return steps;
        }
        self.bounded = true;
        let size = steps.len().div_ceil(most);
        match self.side {
            // The step with most slack and every step after a full group: all can be built.
            Side::Above => steps.into_iter().step_by(size).collect(),
            // A group has the slack of its first step and the value of its last.
            Side::Below => {
                steps.chunks(size).map(|g| stairs::Step { slack: g[0].slack, ..g[g.len() - 1] }).collect()
            }
        }
    }

    /// What may be taken before each segment: sums over all combinations, dimension by dimension.
    fn find_levels(&mut self) {
        let frame = self.frame;
        let mut levels: Vec<Vec<Option<Vec<i64>>>> = vec![Vec::new(); frame.tree.order.len()];
        for &s in &frame.tree.order {
            levels[s] = match frame.tree.parent[s] {
                None => vec![Some(vec![0]); frame.dims],
                Some(up) => (0..frame.dims)
                    .map(|d| {
                        if !frame.active[s].contains(&d) {
                            return None;
                        }
                        let before = levels[up][d].as_ref()?;
                        let uses: Vec<i64> = frame.options[up].iter().map(|o| frame.used(o)[d]).collect();
                        if before.len() * uses.len() > 8 * MOST_LEVELS {
                            return None;
                        }
                        let mut sums: Vec<i64> =
                            uses.iter().flat_map(|u| before.iter().map(|b| plus(*b, *u))).collect();
                        sums.sort_unstable();
                        sums.dedup();
                        (sums.len() <= MOST_LEVELS).then_some(sums)
                    })
                    .collect(),
            };
        }
        self.levels = levels;
    }

    /// Rounds slack before a segment down to what can really be taken there; false when even the least is too much.
    fn snap(&self, s: usize, dims: &[usize], slack: &mut [i64]) -> bool {
        for (d, left) in dims.iter().zip(slack) {
            match &self.levels[s][*d] {
                Some(levels) => match highest(levels, *left) {
                    Some(level) => *left = level,
                    None => return false,
                },
                None if *left < self.frame.before(s)[*d] => return false,
                None => {}
            }
        }
        true
    }

    /// A child's answer as points in the dimensions of its parent.
    fn widened(&self, child: usize, dims: &[usize]) -> Points {
        let mut out = Points::new(dims.len());
        match &self.answers[child] {
            Some(Answer::Stairs(stairs)) => {
                let own = self.frame.active[child].first();
                for step in stairs.iter().rev() {
                    let row: Vec<i64> =
                        dims.iter().map(|d| if Some(d) == own { step.slack } else { FREE }).collect();
                    out.push(&row, step.value, 0);
                }
            }
            Some(Answer::Points(points)) => {
                let own = &self.frame.active[child];
                let place: Vec<Option<usize>> =
                    dims.iter().map(|d| own.iter().position(|o| o == d)).collect();
                for at in 0..points.len() {
                    let from = points.row(at);
                    let row: Vec<i64> = place.iter().map(|p| p.map_or(FREE, |p| from[p])).collect();
                    out.push(&row, points.value[at], 0);
                }
            }
            _ => {}
        }
        out
    }

    fn points(&mut self, s: usize) -> Points {
        let frame = self.frame;
        let dims = &frame.active[s];
        let mut behind: Vec<Points> = frame.tree.children[s].iter().map(|c| self.widened(*c, dims)).collect();
        // Small ones first; the result does not depend on it.
        behind.sort_by_key(Points::len);
        let mut all = Points::new(dims.len());
        all.push(&vec![FREE; dims.len()], Value::default(), 0);
        let mut slack = vec![0; dims.len()];
        for child in &behind {
            let mut both = Batch::new(dims.len());
            for a in 0..all.len() {
                for b in 0..child.len() {
                    for ((both, x), y) in slack.iter_mut().zip(all.row(a)).zip(child.row(b)) {
                        *both = (*x).min(*y);
                    }
                    if self.snap_behind(s, dims, &mut slack) {
                        both.push(&slack, all.value[a] + child.value[b], 0);
                    }
                }
            }
            all = both.done();
            self.bounded |= bound(&mut all, self.effort.frontier, self.side);
        }
        let mut front = Batch::new(dims.len());
        for (at, option) in frame.options[s].iter().enumerate() {
            let (caps, used) = (frame.caps(option), frame.used(option));
            for a in 0..all.len() {
                for ((left, x), d) in slack.iter_mut().zip(all.row(a)).zip(dims) {
                    *left = minus((*x).min(caps[*d]), used[*d]);
                }
                if self.snap(s, dims, &mut slack) {
                    #[allow(clippy::cast_possible_truncation)]
                    front.push(&slack, all.value[a] + option.value, at as u16);
                }
            }
        }
        let mut front = front.done();
        self.bounded |= bound(&mut front, self.effort.frontier, self.side);
        front
    }

    /// Rounds slack behind a segment down to what can be taken up to there.
    fn snap_behind(&self, s: usize, dims: &[usize], slack: &mut [i64]) -> bool {
        // Every child has the same segments before it; one that knows a dimension's levels speaks for all.
        for (d, left) in dims.iter().zip(slack) {
            let known = self.frame.tree.children[s].iter().find_map(|c| self.levels[*c][*d].as_ref());
            if let Some(levels) = known {
                match highest(levels, *left) {
                    Some(level) => *left = level,
                    None => return false,
                }
            }
        }
        true
    }

    /// Least value of a subtree for each state: what has been taken before it, a row of all dimensions each.
    fn evaluate(&mut self, s: usize, states: &[i64]) -> Vec<Value> {
        let frame = self.frame;
        let dims = frame.dims;
        let own = &frame.active[s];
        let rows = || states.chunks_exact(dims);
        match &self.answers[s] {
            Some(Answer::Stairs(stairs)) => {
                let taken = |row: &[i64]| own.first().map_or(0, |d| row[*d]);
                let value = |row| stairs::cheapest(stairs, taken(row)).map_or(Value::NONE, |s| s.value);
                rows().map(value).collect()
            }
            Some(Answer::Points(points)) => {
                let value = |row: &[i64]| {
                    let taken: Vec<i64> = own.iter().map(|d| row[*d]).collect();
                    points.cheapest(&taken).map_or(Value::NONE, |at| points.value[at])
                };
                rows().map(value).collect()
            }
            _ => self.list(s, states),
        }
    }

    /// The same, combination by combination.
    fn list(&mut self, s: usize, states: &[i64]) -> Vec<Value> {
        let frame = self.frame;
        let (dims, count) = (frame.dims, frame.options[s].len());
        let own = &frame.active[s];
        let leaf = frame.tree.children[s].is_empty();
        let mut after: Vec<i64> = Vec::new();
        let mut behind = vec![NO_STATE; states.len() / dims.max(1) * count];
        let mut reached = 0;
        for (state, row) in states.chunks_exact(dims).enumerate() {
            for (at, option) in frame.options[s].iter().enumerate() {
                let (used, caps) = (frame.used(option), frame.caps(option));
                if own.iter().all(|d| plus(row[*d], used[*d]) <= caps[*d]) {
                    behind[state * count + at] = reached;
                    reached += 1;
                    if !leaf {
                        after.extend(row.iter().zip(used).map(|(a, b)| plus(*a, *b)));
                    }
                }
            }
        }
        let mut sum = vec![Value::default(); reached as usize];
        for &child in &frame.tree.children[s] {
            for (sum, value) in sum.iter_mut().zip(self.evaluate(child, &after)) {
                *sum = if sum.is_some() && value.is_some() { *sum + value } else { Value::NONE };
            }
        }
        let mut best = vec![(Value::NONE, 0_u16); states.len() / dims.max(1)];
        for (best, places) in best.iter_mut().zip(behind.chunks_exact(count)) {
            for (at, (option, place)) in frame.options[s].iter().zip(places).enumerate() {
                if let Some(rest) = sum.get(*place as usize).filter(|v| v.is_some())
                    && *rest + option.value < best.0
                {
                    #[allow(clippy::cast_possible_truncation)]
                    let at = at as u16;
                    *best = (*rest + option.value, at);
                }
            }
        }
        let option = best.iter().map(|b| b.1).collect();
        self.answers[s] = Some(Answer::Listed { option, behind });
        best.into_iter().map(|b| b.0).collect()
    }

    fn finish(mut self) -> Grown {
        let frame = self.frame;
        let start = vec![0_i64; frame.dims];
        let mut value = Value::default();
        for &root in &frame.tree.roots {
            // Without any dimension a state is an empty row; a staircase needs none.
            let one = match self.stairs_of(root) {
                Some(stairs) => stairs::cheapest(stairs, 0).map_or(Value::NONE, |s| s.value),
                None => self.evaluate(root, &start)[0],
            };
            if !one.is_some() {
                return Grown { options: None, value: Value::NONE, bounded: self.bounded, stairs: None };
            }
            value += one;
        }
        let roots: Option<Vec<&Stairs>> = frame.tree.roots.iter().map(|r| self.stairs_of(*r)).collect();
        let mut limiting: Vec<usize> =
            frame.tree.roots.iter().flat_map(|r| frame.active[*r].clone()).collect();
        limiting.dedup();
        let stairs = roots.filter(|_| limiting.len() <= 1).map(|r| stairs::side_by_side(&r));
        let options = (self.side == Side::Above).then(|| self.trace());
        Grown { options, value, bounded: self.bounded, stairs }
    }

    /// The options that led to the value, from the source to the leaves.
    fn trace(&self) -> Vec<usize> {
        let frame = self.frame;
        let mut chosen = vec![0; frame.tree.order.len()];
        // What is taken before each segment, and its place in a list.
        let mut taken = vec![(vec![0_i64; frame.dims], 0_u32); frame.tree.order.len()];
        for &s in &frame.tree.order {
            let (row, state) = std::mem::take(&mut taken[s]);
            let own = &frame.active[s];
            let mut next = NO_STATE;
            let option = match &self.answers[s] {
                Some(Answer::Stairs(stairs)) => {
                    let at = own.first().map_or(0, |d| row[*d]);
                    stairs::cheapest(stairs, at).map_or(0, |step| step.option)
                }
                Some(Answer::Points(points)) => {
                    let at: Vec<i64> = own.iter().map(|d| row[*d]).collect();
                    points.cheapest(&at).map_or(0, |at| points.option[at])
                }
                Some(Answer::Listed { option, behind }) => {
                    let option = option[state as usize];
                    next = behind[state as usize * frame.options[s].len() + usize::from(option)];
                    option
                }
                None => 0,
            };
            chosen[s] = usize::from(option);
            let used = frame.used(&frame.options[s][chosen[s]]);
            for &child in &frame.tree.children[s] {
                let after = row.iter().zip(used).map(|(a, b)| plus(*a, *b)).collect();
                taken[child] = (after, next);
            }
        }
        chosen
    }
}

/// The highest of rising levels within some slack. What stopped at [`TOO_MUCH`] is no amount to count back from: whoever has slack for it has no
/// limit.
fn highest(levels: &[i64], slack: i64) -> Option<i64> {
    let level = levels[levels.partition_point(|l| *l <= slack).checked_sub(1)?];
    Some(if level == TOO_MUCH { FREE } else { level })
}

/// Points that are thinned out whenever they become many.
struct Batch {
    points: Points,
    next: usize,
}

impl Batch {
    fn new(width: usize) -> Self {
        Self { points: Points::new(width), next: BATCH }
    }
    fn push(&mut self, slack: &[i64], value: Value, option: u16) {
        self.points.push(slack, value, option);
        if self.points.len() >= self.next {
            self.points = thin_out(&self.points);
            self.next = 2 * self.points.len().max(BATCH / 2);
        }
    }
    fn done(self) -> Points {
        thin_out(&self.points)
    }
}
