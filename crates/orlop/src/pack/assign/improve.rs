//! Many cells: a good split made better, a few groups at a time.
//!
//! Cells are dealt by falling weight to the group with the smallest sum that still has room (Graham 1969). Then the smallest
//! group is split anew together with one other, two others, three others, by the exact search, for as long as that raises it.

use super::partition::{self, MOST};

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
    while steps > 0 {
        let sums: Vec<i64> = groups.iter().map(|g| sum(weights, g)).collect();
        let poorest = (0..sums.len()).min_by_key(|g| (sums[*g], *g)).expect("a group");
        if sums[poorest] >= enough {
            return;
        }
        let mut others: Vec<usize> = (0..sums.len()).filter(|g| *g != poorest).collect();
        others.sort_by_key(|g| (-sums[*g], *g));
        let floor = sums[poorest] + unit;
        if !(1..=3).any(|n| with_others(weights, groups, (poorest, &others), n, (floor, enough), &mut steps))
        {
            return;
        }
    }
}

/// Tries the poorest group with every `n` of the others, the richest first.
fn with_others(
    weights: &[i64],
    groups: &mut Groups,
    (poorest, others): (usize, &[usize]),
    n: usize,
    (floor, enough): (i64, i64),
    steps: &mut u64,
) -> bool {
    let size = groups[0].len();
    if n > others.len() {
        return false;
    }
    if (n + 1) * size > MOST {
        return n == 1 && others.iter().any(|&rich| trade(weights, groups, (poorest, rich), floor));
    }
    let mut choice: Vec<usize> = (0..n).collect();
    loop {
        let taken: Vec<usize> = std::iter::once(poorest).chain(choice.iter().map(|c| others[*c])).collect();
        if again(weights, groups, &taken, (floor, enough), steps) {
            return true;
        }
        if *steps == 0 || !next(&mut choice, others.len()) {
            return false;
        }
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

/// Splits the taken groups anew, where all of them can reach the floor.
fn again(
    weights: &[i64],
    groups: &mut Groups,
    taken: &[usize],
    (floor, enough): (i64, i64),
    steps: &mut u64,
) -> bool {
    let mut places: Vec<usize> = taken.iter().flat_map(|g| groups[*g].iter().copied()).collect();
    places.sort_unstable();
    let part: Vec<i64> = places.iter().map(|p| weights[*p]).collect();
    if part.iter().sum::<i64>() < floor * taken.len() as i64 {
        *steps = steps.saturating_sub(1);
        return false;
    }
    let allowed = (*steps).min(20_000);
    let found = partition::best(&part, taken.len(), floor, enough, allowed);
    *steps = steps.saturating_sub(found.steps.max(1));
    let Some(split) = found.groups else { return false };
    for (group, part) in taken.iter().zip(split) {
        groups[*group] = part.into_iter().map(|i| places[i]).collect();
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
