//! Points of which none is both dearer and tighter than another, in any number of dimensions.

use super::frame::Value;
use std::collections::BTreeMap;

/// Points in rows: so much slack in each of `width` dimensions, for a value. In order of value once [`thin_out`] is done.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Points {
    pub width: usize,
    pub slack: Vec<i64>,
    pub value: Vec<Value>,
    pub option: Vec<u16>,
}

impl Points {
    pub fn new(width: usize) -> Self {
        Self { width, ..Self::default() }
    }
    pub fn len(&self) -> usize {
        self.value.len()
    }
    pub fn row(&self, at: usize) -> &[i64] {
        &self.slack[at * self.width..(at + 1) * self.width]
    }
    pub fn push(&mut self, slack: &[i64], value: Value, option: u16) {
        self.slack.extend_from_slice(slack);
        self.value.push(value);
        self.option.push(option);
    }
    fn pick(&self, rows: &[usize]) -> Self {
        let mut picked = Self::new(self.width);
        for &at in rows {
            picked.push(self.row(at), self.value[at], self.option[at]);
        }
        picked
    }
    /// The cheapest point with slack for so much taken before, where points are in order of value.
    pub fn cheapest(&self, taken: &[i64]) -> Option<usize> {
        (0..self.len()).find(|at| covers(self.row(*at), taken))
    }
}

fn covers(slack: &[i64], other: &[i64]) -> bool {
    slack.iter().zip(other).all(|(a, b)| a >= b)
}

/// Leaves out every point that another one dominates: at least as much slack everywhere for no more.
pub(super) fn thin_out(points: &Points) -> Points {
    let mut order: Vec<usize> = (0..points.len()).collect();
    // A point can only be dominated by one before it.
    order.sort_unstable_by(|a, b| {
        let key = |i: usize| (points.value[i], std::cmp::Reverse(points.row(i)), points.option[i], i);
        key(*a).cmp(&key(*b))
    });
    let kept = match points.width {
        0 => order.into_iter().take(1).collect(),
        1 => along_a_line(points, order),
        2 => in_a_plane(points, order),
        _ => in_space(points, order),
    };
    points.pick(&kept)
}

fn along_a_line(points: &Points, order: Vec<usize>) -> Vec<usize> {
    let mut most = i64::MIN;
    let rises = |at: &usize| {
        let slack = points.slack[*at];
        let rises = slack > most;
        most = most.max(slack);
        rises
    };
    order.into_iter().filter(rises).collect()
}

/// The points kept so far make a staircase: as the first slack rises, the second falls.
fn in_a_plane(points: &Points, order: Vec<usize>) -> Vec<usize> {
    let mut stairs: BTreeMap<i64, i64> = BTreeMap::new();
    let mut kept = Vec::new();
    for at in order {
        let (x, y) = (points.row(at)[0], points.row(at)[1]);
        if stairs.range(x..).next().is_some_and(|(_, most)| *most >= y) {
            continue;
        }
        while let Some((&left, _)) = stairs.range(..=x).next_back().filter(|(_, other)| **other <= y) {
            stairs.remove(&left);
        }
        stairs.insert(x, y);
        kept.push(at);
    }
    kept
}

/// Kept points in blocks, each with its greatest slack in every dimension: most blocks are passed over at a glance.
fn in_space(points: &Points, order: Vec<usize>) -> Vec<usize> {
    const BLOCK: usize = 16;
    let width = points.width;
    let mut kept: Vec<usize> = Vec::new();
    let mut greatest: Vec<i64> = Vec::new();
    for at in order {
        let row = points.row(at);
        let dominated = greatest.chunks_exact(width).enumerate().any(|(block, most)| {
            covers(most, row)
                && kept[block * BLOCK..].iter().take(BLOCK).any(|other| covers(points.row(*other), row))
        });
        if dominated {
            continue;
        }
        if kept.len().is_multiple_of(BLOCK) {
            greatest.extend_from_slice(row);
        } else {
            let last = greatest.len() - width;
            for (most, slack) in greatest[last..].iter_mut().zip(row) {
                *most = (*most).max(*slack);
            }
        }
        kept.push(at);
    }
    kept
}

/// How a set of points that has grown too large is made smaller.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    /// Points are left out: what is found can be built, but might cost more than the least.
    Above,
    /// Neighbours become one point that is as good as all of them: what is found is no dearer than the least.
    Below,
}

/// At most `most` points: neighbours in halves of halves along the longest side. Returns whether anything was lost.
pub(super) fn bound(points: &mut Points, most: usize, side: Side) -> bool {
    if points.len() <= most {
        return false;
    }
    let mut boxes: Vec<Vec<usize>> = vec![(0..points.len()).collect()];
    // A slack apart for the widest point of each dimension, so that they can be compared.
    let spans: Vec<f64> = (0..points.width).map(|d| span(points, &boxes[0], d).max(1.0)).collect();
    let cost_span = cost_span(points, &boxes[0]).max(1.0);
    let wanted = most.saturating_sub(points.width).max(1);
    while boxes.len() < wanted {
        let mut halves = Vec::with_capacity(2 * boxes.len());
        let count = boxes.len();
        for (done, mut rows) in boxes.into_iter().enumerate() {
            if rows.len() < 2 || halves.len() + (count - done) >= wanted {
                halves.push(rows);
                continue;
            }
            let along = |d: usize| span(points, &rows, d) / spans[d];
            let widest = (0..points.width).max_by(|a, b| along(*a).total_cmp(&along(*b)).then(b.cmp(a)));
            match widest.filter(|d| along(*d) >= cost_span_share(points, &rows, cost_span)) {
                Some(d) => rows.sort_by_key(|at| (points.row(*at)[d], *at)),
                None => rows.sort_by_key(|at| (points.value[*at], *at)),
            }
            let upper = rows.split_off(rows.len() / 2);
            halves.extend([rows, upper]);
        }
        if halves.len() == count {
            boxes = halves;
            break;
        }
        boxes = halves;
    }
    let mut fewer = Points::new(points.width);
    for rows in &boxes {
        let Some(&cheapest) = rows.iter().min_by_key(|at| (points.value[**at], **at)) else { continue };
        let mut slack = points.row(cheapest).to_vec();
        if side == Side::Below {
            for &at in rows {
                for (most, other) in slack.iter_mut().zip(points.row(at)) {
                    *most = (*most).max(*other);
                }
            }
        }
        fewer.push(&slack, points.value[cheapest], points.option[cheapest]);
    }
    if side == Side::Above {
        // What has most slack in each dimension stays, or a solution might be lost altogether.
        for d in 0..points.width {
            let best = (0..points.len()).max_by_key(|at| (points.row(*at)[d], std::cmp::Reverse(*at)));
            if let Some(at) = best {
                fewer.push(points.row(at), points.value[at], points.option[at]);
            }
        }
    }
    *points = thin_out(&fewer);
    true
}

#[allow(clippy::cast_precision_loss)]
fn span(points: &Points, rows: &[usize], d: usize) -> f64 {
    let (low, high) = rows
        .iter()
        .map(|at| points.row(*at)[d])
        .fold((i64::MAX, i64::MIN), |(low, high), x| (low.min(x), high.max(x)));
    high as f64 - low as f64
}

#[allow(clippy::cast_precision_loss)]
fn cost_span(points: &Points, rows: &[usize]) -> f64 {
    let (low, high) = rows
        .iter()
        .map(|at| points.value[*at].cost)
        .fold((i64::MAX, i64::MIN), |(low, high), x| (low.min(x), high.max(x)));
    high as f64 - low as f64
}

fn cost_span_share(points: &Points, rows: &[usize], whole: f64) -> f64 {
    cost_span(points, rows) / whole
}
