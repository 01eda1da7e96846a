//! At most so many different sizes: subsets of the series, cheapest bound first.

use super::missing;
use super::optimum::Optimum;
use super::problem::LeastCopper;
use super::solve::{self, Found, optimum};
use crate::conductor::equivalent_area_order;
use crate::error::Error;
use orlop_units::ConductorSize;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Sizes that may be used, those that must be among the final ones, and the optimum over the former: a bound for every
/// subset of them.
struct Node {
    allowed: Vec<bool>,
    kept: Vec<bool>,
    found: Found,
}

pub(super) fn at_most(problem: &LeastCopper, most: usize) -> Result<Optimum<'_>, Error> {
    if most == 0 {
        return Err(Error::input("at_most_sizes", "0", "1 size or more"));
    }
    match search(problem, most)? {
        Some(found) => Ok(optimum(problem, &found, Some(most))),
        None if solve::search(problem, &|_| true)?.is_none() => Err(missing::explain(problem)),
        None => Err(Error::NoSolution {
            what: format!("no {most} different sizes keep all limits"),
            hint: "allow more different sizes".into(),
        }),
    }
}

/// The best with at most so many sizes; none when nothing keeps all limits.
pub(super) fn search(problem: &LeastCopper, most: usize) -> Result<Option<Found>, Error> {
    let mut sizes: Vec<ConductorSize> =
        problem.segments.iter().flat_map(|s| s.choices.iter().map(|c| c.size)).collect();
    sizes.sort_by(equivalent_area_order);
    sizes.dedup();
    let place = |size: ConductorSize| sizes.partition_point(|s| equivalent_area_order(s, &size).is_lt());
    let solve = |allowed: &[bool]| solve::search(problem, &|choice| allowed[place(choice.size)]);
    let used = |found: &Found| {
        let mut used = vec![false; sizes.len()];
        for (segment, at) in problem.segments.iter().zip(&found.choices) {
            used[place(segment.choices[*at].size)] = true;
        }
        used
    };
    let count = |set: &[bool]| set.iter().filter(|in_it| **in_it).count();

    let Some(found) = solve(&vec![true; sizes.len()])? else { return Ok(None) };
    // A segment that offers one size only must have it.
    let mut kept = vec![false; sizes.len()];
    for segment in &problem.segments {
        let first = segment.choices[0].size;
        if segment.choices.iter().all(|c| c.size == first) {
            kept[place(first)] = true;
        }
    }
    if count(&kept) > most {
        let given: Vec<String> =
            sizes.iter().zip(&kept).filter(|(_, k)| **k).map(|(s, _)| s.to_string()).collect();
        return Err(Error::NoSolution {
            what: format!("at most {most} sizes, but {} have no other choice", given.join(", ")),
            hint: "ask for more sizes, or offer others in those segments".into(),
        });
    }
    // Nodes by their bound; equal ones in the order in which they came.
    let mut nodes = vec![Node { allowed: vec![true; sizes.len()], kept, found }];
    let mut queue = BinaryHeap::from([Reverse((nodes[0].found.value, 0_usize))]);
    while let Some(Reverse((_, at))) = queue.pop() {
        let node = &nodes[at];
        let in_use = used(&node.found);
        if count(&in_use) <= most {
            // Every other subset costs no less than its own bound.
            let gap = nodes.iter().map(|n| n.found.gap).fold(0.0, f64::max);
            return Ok(Some(Found { gap, ..node.found.clone() }));
        }
        let Some(next) = (0..sizes.len()).filter(|s| in_use[*s] && !node.kept[*s]).min_by_key(|s| {
            // The size in fewest segments is the one whose fate decides most.
            let here = |(segment, c): &(&super::Segment, &usize)| place(segment.choices[**c].size) == *s;
            problem.segments.iter().zip(&node.found.choices).filter(here).count()
        }) else {
            continue;
        };
        let without = Node {
            allowed: but(&node.allowed, next, false),
            kept: node.kept.clone(),
            found: node.found.clone(),
        };
        let mut with = Node {
            allowed: node.allowed.clone(),
            kept: but(&node.kept, next, true),
            found: node.found.clone(),
        };
        let full = count(&with.kept) == most;
        if full {
            with.allowed.clone_from(&with.kept);
        }
        for (mut child, solve_again) in [(without, true), (with, full)] {
            if solve_again {
                match solve(&child.allowed)? {
                    Some(found) => child.found = found,
                    None => continue,
                }
            }
            queue.push(Reverse((child.found.value, nodes.len())));
            nodes.push(child);
        }
    }
    Ok(None)
}

fn but(set: &[bool], at: usize, value: bool) -> Vec<bool> {
    let mut set = set.to_vec();
    set[at] = value;
    set
}
