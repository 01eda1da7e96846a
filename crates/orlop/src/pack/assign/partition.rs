//! Groups of equal size whose smallest sum is as large as can be, with proof: for up to 32 cells.
//!
//! The search asks whether every group can reach a target. The group of the largest cell left is tried in every way that
//! leaves the others enough; a set of cells that failed once is not tried again. The target starts at the mean and falls in
//! growing steps until it can be reached; then it rises until it cannot. Without a step limit this ends with the optimum.

use super::window;
use std::collections::HashSet;

/// The cells that one search may hold.
pub(super) const MOST: usize = 32;
/// A list of sets longer than this is not worth its memory; the search gives up.
const LONGEST: usize = 400_000;

/// What a search found.
pub(super) struct Found {
    /// Groups as lists of places in the weights; none when no split beats what was asked.
    pub groups: Option<Vec<Vec<usize>>>,
    /// Whether nothing better exists.
    pub proved: bool,
    /// The steps it took.
    pub steps: u64,
}

/// The unit of all differences: every sum of `size` weights is congruent to every other modulo this.
pub(super) fn unit(weights: &[i64]) -> i64 {
    let gcd = |mut a: i64, mut b: i64| {
        while b != 0 {
            (a, b) = (b, a % b);
        }
        a
    };
    let first = weights[0];
    weights.iter().fold(0, |g, w| gcd(g, (w - first).abs())).max(1)
}

/// No smallest sum can be above this. `weights` fall.
///
/// The j largest cells lie in at most j groups; the others, m - j of them or more, share at best the largest of what is left, and
/// the smallest is not above their mean. The least of these bounds over all j, rounded down to a sum that can occur.
pub(super) fn bound(weights: &[i64], groups: usize) -> i64 {
    let size = weights.len() / groups;
    let (unit, base) = (unit(weights), size as i64 * weights[0]);
    let round = |x: i64| base - (base - x + unit - 1).div_euclid(unit) * unit;
    let shared = |j: usize| {
        let rest = groups - j;
        weights[j..j + rest * size].iter().sum::<i64>().div_euclid(rest as i64)
    };
    round((0..groups).map(shared).min().expect("a group"))
}

/// The best split of falling `weights` into so many groups of equal size whose smallest sum is at least `floor`; the search
/// is content with `enough`, and gives up after `steps`.
pub(super) fn best(weights: &[i64], groups: usize, floor: i64, enough: i64, steps: u64) -> Found {
    let n = weights.len();
    assert!(n <= MOST && n.is_multiple_of(groups), "a search of the wrong size");
    let size = n / groups;
    let top = bound(weights, groups).min(enough);
    let everything = u32::MAX >> (32 - n);
    let unit = unit(weights);
    let mut search = Search {
        weights,
        size,
        unit,
        enough: top,
        target: top,
        stack: Vec::new(),
        found: None,
        failed: HashSet::new(),
        steps,
        done: false,
    };
    let mut step = unit;
    loop {
        if search.target < floor {
            search.target = floor;
        }
        let asked = search.target;
        search.failed.clear();
        search.stack.clear();
        search.visit(everything, groups);
        if search.found.is_some() || asked <= floor || search.steps < 2 {
            break;
        }
        search.target = asked - step;
        step = step.saturating_mul(4);
    }
    let groups = search.found.map(|sets| sets.into_iter().map(places).collect());
    Found { groups, proved: search.steps > 1, steps: steps - search.steps }
}

fn places(set: u32) -> Vec<usize> {
    (0..MOST).filter(|i| set & (1 << i) != 0).collect()
}

struct Search<'a> {
    weights: &'a [i64],
    size: usize,
    unit: i64,
    target: i64,
    enough: i64,
    stack: Vec<(i64, u32)>,
    found: Option<Vec<u32>>,
    failed: HashSet<u32>,
    steps: u64,
    done: bool,
}

impl Search<'_> {
    fn sum(&self, set: u32) -> i64 {
        self.weights.iter().enumerate().filter(|(i, _)| set & (1 << i) != 0).map(|(_, w)| w).sum()
    }

    fn record(&mut self) {
        let smallest = self.stack.iter().map(|(sum, _)| *sum).min().expect("a group");
        if smallest >= self.target {
            self.found = Some(self.stack.iter().map(|(_, set)| *set).collect());
            self.done = smallest >= self.enough;
            self.target = smallest + self.unit;
        }
    }

    /// Splits what is left in every way in which all groups reach the target.
    fn visit(&mut self, left: u32, groups: usize) {
        let total = self.sum(left);
        if groups == 1 {
            self.stack.push((total, left));
            self.record();
            self.stack.pop();
            return;
        }
        let slack = total - groups as i64 * self.target;
        if slack < 0 || self.done || self.steps < 2 || self.failed.contains(&left) {
            return;
        }
        let first = left.trailing_zeros();
        let weight = self.weights[first as usize];
        let (low, high) = (self.target - weight, self.target + slack - weight);
        let most = usize::try_from(self.steps).unwrap_or(usize::MAX).min(LONGEST);
        let mut sets = window::sets(self.weights, left & (left - 1), self.size - 1, (low, high), most);
        let effort = window::effort(left.count_ones() as usize - 1, self.size - 1) + sets.len() as u64;
        self.steps = if sets.len() >= most { 0 } else { self.steps.saturating_sub(effort) };
        let groups_left = groups as i64;
        sets.sort_unstable_by_key(|(sum, set)| (((sum + weight) * groups_left - total).abs(), *set));
        if groups == 2 {
            // The most even cut is the best there is.
            sets.truncate(1);
        }
        for (sum, set) in sets {
            let sum = sum + weight;
            if sum < self.target || total - sum < (groups_left - 1) * self.target {
                continue;
            }
            let set = set | 1 << first;
            self.stack.push((sum, set));
            self.visit(left & !set, groups - 1);
            self.stack.pop();
            if self.done || self.steps < 2 {
                return;
            }
        }
        self.failed.insert(left);
    }
}
