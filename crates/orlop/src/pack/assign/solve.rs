//! The assignment itself, on places of cells and millionths of an ampere-hour.

use super::improve::{self, Groups};
use super::partition::{self, MOST};
use crate::pack::Order;

/// Steps of the search for a proof, at most; ordinary deliveries need thousands.
const PROOF: u64 = 20_000_000;
/// Steps of the improvement before the proof, at most.
const FIRST: u64 = 100_000;
/// Steps of the improvement of many cells, at most.
const EFFORT: u64 = 1_000_000;
/// Many cells: the search is content when it is so near the bound, as a share; no meter reads so finely.
const CONTENT: i64 = 1_000_000;

/// Groups of places, what they hold, and what nothing can exceed.
pub(super) struct Solved {
    pub groups: Groups,
    pub value: i64,
    pub bound: i64,
}

/// What the groups hold together: the smallest sum, or the sum of the smallest.
pub(super) fn value(order: Order, capacity: &[i64], groups: &Groups) -> i64 {
    match order {
        Order::ParallelFirst => improve::smallest(capacity, groups),
        Order::SeriesFirst => groups.iter().map(|g| least(capacity, g)).sum(),
    }
}

fn least(capacity: &[i64], group: &[usize]) -> i64 {
    group.iter().map(|place| capacity[*place]).min().unwrap_or(0)
}

/// The best groups of `size` cells from those `ranked` by falling capacity.
///
/// To leave out the smallest is best: a larger cell in the place of a smaller one never holds less. Strings: the largest cells
/// together, cut off in order; the k-th best string cannot have a smallest cell above the (k size)-th of all. Pairs: largest
/// with smallest. Larger groups: the search.
pub(super) fn solve(order: Order, capacity: &[i64], ranked: &[usize], groups: usize, size: usize) -> Solved {
    let taken = &ranked[..groups * size];
    if order == Order::SeriesFirst || size == 1 || groups == 1 {
        let cut: Groups = taken.chunks(size).map(<[usize]>::to_vec).collect();
        let value = value(order, capacity, &cut);
        return Solved { groups: cut, value, bound: value };
    }
    if size == 2 {
        let pairs: Groups = (0..groups).map(|i| vec![taken[i], taken[2 * groups - 1 - i]]).collect();
        let value = value(order, capacity, &pairs);
        return Solved { groups: pairs, value, bound: value };
    }
    let weights: Vec<i64> = taken.iter().map(|place| capacity[*place]).collect();
    let mut bound = partition::bound(&weights, groups);
    let mut split = improve::deal(&weights, groups);
    let few = weights.len() <= MOST;
    let (enough, effort) = if few { (bound, FIRST) } else { (bound - bound / CONTENT, EFFORT) };
    improve::raise(&weights, &mut split, enough, effort);
    let mut value = improve::smallest(&weights, &split);
    if value < bound && few {
        let found = partition::best(&weights, groups, value + partition::unit(&weights), bound, PROOF);
        if let Some(better) = found.groups {
            value = improve::smallest(&weights, &better);
            split = better;
        }
        if found.proved {
            bound = value;
        }
    }
    let named = split.into_iter().map(|g| g.into_iter().map(|i| taken[i]).collect()).collect();
    Solved { groups: named, value, bound }
}
