//! Many cells: a good split made better, a few groups at a time.
//!
//! Cells are dealt by falling weight to the group with the smallest sum that still has room (Graham 1969). Then the smallest
//! group is split anew together with one other, with two others, with as many as the exact search can hold, for as long as that
//! raises it.

use super::partition::{self, MOST};
use crate::solve::Draws;

/// Steps of one search among a few groups, at most.
const ONE_SEARCH: u64 = 200_000;
/// Groups above this size first try to exchange a cell or two.
const LARGE: usize = 8;

/// Groups as lists of places in the falling weights.
pub(super) type Groups = Vec<Vec<usize>>;

/// Deals cells by falling weight to the smallest group with room.
pub(super) fn deal(weights: &[i64], groups: usize) -> Groups {
    let size = weights.len() / groups;
    let mut dealt: Groups = vec![Vec::with_capacity(size); groups];
    let mut sums = vec![0_i64; groups];
    for (place, weight) in weights.iter().enumerate() {
        let open = (0..groups).filter(|g| dealt[*g].len() < size);
        let poorest = open.min_by_key(|g| (sums[*g], *g)).expect("room for every cell");
        dealt[poorest].push(place);
        sums[poorest] += weight;
    }
    dealt
}

/// The smallest sum of the groups.
pub(super) fn smallest(weights: &[i64], groups: &Groups) -> i64 {
    groups.iter().map(|g| sum(weights, g)).min().unwrap_or(0)
}

fn sum(weights: &[i64], group: &[usize]) -> i64 {
    group.iter().map(|place| weights[*place]).sum()
}

/// Raises the smallest group until `enough`, or until no few groups together can raise it, or the steps are used up.
pub(super) fn raise(weights: &[i64], groups: &mut Groups, enough: i64, mut steps: u64) {
    let unit = partition::unit(weights);
    let mut draws = Draws::new(0, groups.len() as u64);
    while steps > 0 {
        let sums: Vec<i64> = groups.iter().map(|g| sum(weights, g)).collect();
        let poorest = (0..sums.len()).min_by_key(|g| (sums[*g], *g)).expect("a group");
        if sums[poorest] >= enough {
            return;
        }
        let mut others: Vec<usize> = (0..sums.len()).filter(|g| *g != poorest).collect();
        others.sort_by_key(|g| (-sums[*g], *g));
        let mut work = Work { weights, floor: sums[poorest] + unit, enough, steps };
        let raised = work.with_others(groups, poorest, &others, 1)
            || work.with_others(groups, poorest, &others, 2)
            || work.with_many(groups, poorest, &mut others, &mut draws);
        steps = work.steps;
        if !raised {
            return;
        }
    }
}

struct Work<'a> {
    weights: &'a [i64],
    floor: i64,
    enough: i64,
    steps: u64,
}

impl Work<'_> {
    /// Tries the poorest group with every `n` of the others, the richest first.
    fn with_others(&mut self, groups: &mut Groups, poorest: usize, others: &[usize], n: usize) -> bool {
        let size = groups[0].len();
        if n > others.len() {
            return false;
        }
        let mut trades = others.iter().map(|rich| (poorest, *rich));
        if n == 1 && size > LARGE && trades.any(|pair| trade(self.weights, groups, pair, self.floor)) {
            return true;
        }
        if (n + 1) * size > MOST {
            return false;
        }
        let mut choice: Vec<usize> = (0..n).collect();
        loop {
            let chosen = choice.iter().map(|c| others[*c]);
            let taken: Vec<usize> = std::iter::once(poorest).chain(chosen).collect();
            if self.again(groups, &taken) {
                return true;
            }
            if self.steps == 0 || !next(&mut choice, others.len()) {
                return false;
            }
        }
    }

    /// Tries the poorest group with as many others as a search holds, drawn at random.
    fn with_many(
        &mut self,
        groups: &mut Groups,
        poorest: usize,
        others: &mut [usize],
        draws: &mut Draws,
    ) -> bool {
        let n = (MOST / groups[0].len()).min(others.len() + 1);
        if n < 4 {
            return false;
        }
        while self.steps > 0 {
            draws.shuffle(others);
            let taken: Vec<usize> = std::iter::once(poorest).chain(others[..n - 1].iter().copied()).collect();
            if self.again(groups, &taken) {
                return true;
            }
            if n == others.len() + 1 {
                return false;
            }
        }
        false
    }

    /// Splits the taken groups anew, where all of them can reach the floor.
    fn again(&mut self, groups: &mut Groups, taken: &[usize]) -> bool {
        let mut places: Vec<usize> = taken.iter().flat_map(|g| groups[*g].iter().copied()).collect();
        places.sort_unstable();
        let part: Vec<i64> = places.iter().map(|p| self.weights[*p]).collect();
        if part.iter().sum::<i64>() < self.floor * taken.len() as i64 {
            self.steps = self.steps.saturating_sub(4);
            return false;
        }
        let allowed = self.steps.min(ONE_SEARCH);
        let found = partition::best(&part, taken.len(), self.floor, self.enough, allowed);
        self.steps = self.steps.saturating_sub(found.steps.max(4));
        let Some(split) = found.groups else { return false };
        for (group, part) in taken.iter().zip(split) {
            groups[*group] = part.into_iter().map(|i| places[i]).collect();
        }
        true
    }
}

/// The next choice of ascending places below `n`.
fn next(choice: &mut [usize], n: usize) -> bool {
    let k = choice.len();
    let Some(at) = (0..k).rev().find(|i| choice[*i] < n - k + i) else { return false };
    choice[at] += 1;
    for i in at + 1..k {
        choice[i] = choice[i - 1] + 1;
    }
    true
}

/// Exchanges one cell for one, or two for two, between two large groups, so that both reach the floor.
fn trade(weights: &[i64], groups: &mut Groups, (poor, rich): (usize, usize), floor: i64) -> bool {
    let (have, spare) = (sum(weights, &groups[poor]), sum(weights, &groups[rich]) - floor);
    let (need, wish) = (floor - have, (spare + floor - have) / 2);
    if spare < need {
        return false;
    }
    for count in 1..=2 {
        let (give, take) = (handfuls(weights, &groups[poor], count), handfuls(weights, &groups[rich], count));
        let mut best: Option<(i64, &[usize], &[usize])> = None;
        for (out, gone) in &give {
            let at = take.partition_point(|(sum, _)| sum - out < wish);
            for (into, come) in take[at.saturating_sub(1)..].iter().take(2) {
                let gain = into - out;
                if gain >= need
                    && gain <= spare
                    && best.is_none_or(|b| (gain - wish).abs() < (b.0 - wish).abs())
                {
                    best = Some((gain, gone, come));
                }
            }
        }
        if let Some((_, gone, come)) = best {
            let (gone, come) = (gone.to_vec(), come.to_vec());
            for (out, into) in gone.iter().zip(&come) {
                let at = groups[poor].iter().position(|p| p == out).expect("it is there");
                let from = groups[rich].iter().position(|p| p == into).expect("it is there");
                (groups[poor][at], groups[rich][from]) = (*into, *out);
            }
            return true;
        }
    }
    false
}

/// Every one cell, or every two cells, of a group with their sum, by rising sum.
fn handfuls(weights: &[i64], group: &[usize], count: usize) -> Vec<(i64, Vec<usize>)> {
    let mut all: Vec<(i64, Vec<usize>)> = match count {
        1 => group.iter().map(|p| (weights[*p], vec![*p])).collect(),
        _ => group
            .iter()
            .enumerate()
            .flat_map(|(i, p)| group[..i].iter().map(move |q| (weights[*p] + weights[*q], vec![*p, *q])))
            .collect(),
    };
    all.sort();
    all
}
