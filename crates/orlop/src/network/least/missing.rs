//! Why there is no solution: which segment it is, and the least it would need.

use super::frame::Tree;
use super::problem::{LeastCopper, Segment};
use super::solve::search;
use crate::error::Error;
use crate::judgement::{Sense, meets};
use orlop_units::show_si;

const HINT: &str =
    "permit more there, shorten the run, raise the voltage, use parallel runs, or offer larger sizes";

/// The message for a problem that has no solution.
pub(super) fn explain(problem: &LeastCopper) -> Error {
    match Tree::of(problem) {
        Ok(tree) => alone(problem, &tree).unwrap_or_else(|| together(problem, &tree)),
        Err(error) => error,
    }
}

fn used(segment: &Segment, choice: usize, dimension: usize) -> f64 {
    segment.choices[choice].uses.iter().filter(|a| a.dimension == dimension).map(|a| a.si).sum()
}

fn cap(segment: &Segment, choice: usize, dimension: usize) -> f64 {
    let caps = segment.choices[choice].caps.iter().chain(&segment.caps);
    caps.filter(|a| a.dimension == dimension).map(|a| a.si).fold(f64::INFINITY, f64::min)
}

/// A segment that cannot keep one limit even with the least of everything before it.
fn alone(problem: &LeastCopper, tree: &Tree) -> Option<Error> {
    let segments = &problem.segments;
    for (d, name) in problem.dimensions.iter().enumerate() {
        let mut least = vec![0.0; segments.len()];
        for &s in &tree.order {
            let before: f64 = tree.parent[s].map_or(0.0, |up| least[up]);
            let all = 0..segments[s].choices.len();
            least[s] = before + all.clone().map(|c| used(&segments[s], c, d)).fold(f64::INFINITY, f64::min);
            if all
                .clone()
                .any(|c| meets(before + used(&segments[s], c, d), Sense::AtMost, cap(&segments[s], c, d)))
            {
                continue;
            }
            // The choice that comes nearest to its limit.
            let short = |c: &usize| before + used(&segments[s], *c, d) - cap(&segments[s], *c, d);
            let nearest = all.min_by(|a, b| short(a).total_cmp(&short(b)))?;
            let text = |si| show_si(name.kind, si);
            return Some(Error::NoSolution {
                what: format!(
                    "{}: {} is at least {} on its path, with the least of every choice; {} is permitted, so it lacks {}",
                    segments[s].id,
                    name.name,
                    text(before + used(&segments[s], nearest, d)),
                    text(cap(&segments[s], nearest, d)),
                    text(short(&nearest)),
                ),
                hint: HINT.into(),
            });
        }
    }
    None
}

/// Each limit can be kept by itself, but not all together: the first segment, from the source outwards, whose limits cannot be
/// kept beside those before it, and the share by which they would have to grow.
fn together(problem: &LeastCopper, tree: &Tree) -> Error {
    let solvable = |p: &LeastCopper| matches!(search(p, &|_| true), Ok(Some(_)));
    // Limits of all segments after the n-th in order are lifted, those of the n-th stretched.
    let first = |n: usize, stretch: f64| {
        let mut some = problem.clone();
        for (at, &s) in tree.order.iter().enumerate() {
            let segment = &mut some.segments[s];
            let caps = segment.caps.iter_mut().chain(segment.choices.iter_mut().flat_map(|c| &mut c.caps));
            let by = if at < n {
                1.0
            } else if at == n {
                stretch
            } else {
                f64::INFINITY
            };
            caps.for_each(|cap| cap.si = if by.is_finite() { cap.si * by } else { f64::INFINITY });
        }
        some
    };
    let (mut low, mut high) = (0, tree.order.len());
    // The smallest n for which the first n + 1 segments cannot all be satisfied.
    while low < high {
        let middle = usize::midpoint(low, high);
        if solvable(&first(middle, 1.0)) { low = middle + 1 } else { high = middle }
    }
    let at = low.min(tree.order.len() - 1);
    let id = &problem.segments[tree.order[at]].id;
    let most = 1e6;
    if !solvable(&first(at, most)) {
        return Error::NoSolution {
            what: format!("{id}: no choice keeps all limits beside those of the segments before it"),
            hint: HINT.into(),
        };
    }
    let (mut fails, mut keeps) = (1.0_f64, most);
    while keeps / fails > 1.000_1 {
        let middle = (fails * keeps).sqrt();
        if solvable(&first(at, middle)) { keeps = middle } else { fails = middle }
    }
    Error::NoSolution {
        what: format!(
            "{id}: each of its limits can be kept, but not all at once; together they would have to be {} % wider",
            orlop_units::significant(100.0 * (keeps - 1.0), 3)
        ),
        hint: HINT.into(),
    }
}
