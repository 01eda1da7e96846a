//! The shortest way from place to place along the trunks.

use super::geometry::{distance, nearest_on};
use super::way::{Line, Portion, Way};
use crate::model::{Boat, Point, Run};
use orlop::Error;
use orlop_units::{Quantity, metres, show};
use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

/// Trunks that come this near to each other at a corner of one of them are joined, m.
pub const JOINED: f64 = 0.1;

/// How far a place may lie from a trunk when the circuit gives no tail, m.
pub const REACH: f64 = 1.0;

/// Of ways equally long the one that changes trunks least often is taken: a change counts as this, m.
const CHANGE: f64 = 1e-9;

/// Stops nearer than this along one trunk are one, m.
const SAME: f64 = 1e-9;

/// A point of a trunk where a way can begin, end or change.
struct Stop {
    line: usize,
    s: f64,
}

/// Where a place meets a trunk.
#[derive(Clone, Copy)]
struct Meeting {
    line: usize,
    s: f64,
    gap: f64,
}

/// A corner of one trunk and the point of another that it is joined to: trunk, and distance along it.
struct Join {
    corner: (usize, f64),
    other: (usize, f64),
}

/// Length of the shortest way to each stop, and the stop before it.
type Tree = (Vec<f64>, Vec<Option<usize>>);

pub(super) struct Graph<'a> {
    lines: &'a [Line<'a>],
    /// By id of trunk, then along it.
    stops: Vec<Stop>,
    /// Stops of each trunk: a range of `stops`.
    of_line: Vec<std::ops::Range<usize>>,
    /// For each stop the others that it leads to, and how far they are; along a trunk, then across a join.
    along: Vec<Vec<(usize, f64)>>,
    across: Vec<Vec<(usize, f64)>>,
    /// Where each place meets each trunk, nearest first.
    meetings: BTreeMap<&'a str, Vec<Meeting>>,
    found: BTreeMap<(&'a str, u64), Tree>,
}

impl<'a> Graph<'a> {
    pub fn new(boat: &'a Boat, lines: &'a [Line<'a>]) -> Self {
        let mut order: Vec<usize> = (0..lines.len()).collect();
        order.sort_by(|a, b| lines[*a].trunk.id.cmp(&lines[*b].trunk.id));
        let meetings = meetings(boat, lines, &order);
        let joins = joins(lines, &order);
        let mut along_lines: Vec<Vec<f64>> = lines.iter().map(|l| l.at.clone()).collect();
        for (line, s) in joins.iter().flat_map(|j| [j.corner, j.other]) {
            along_lines[line].push(s);
        }
        for m in meetings.values().flatten() {
            along_lines[m.line].push(m.s);
        }
        let (mut stops, mut of_line) = (Vec::new(), vec![0..0; lines.len()]);
        for line in order {
            let mut list = std::mem::take(&mut along_lines[line]);
            list.sort_by(f64::total_cmp);
            list.dedup_by(|b, a| *b - *a <= SAME);
            let begin = stops.len();
            stops.extend(list.into_iter().map(|s| Stop { line, s }));
            of_line[line] = begin..stops.len();
        }
        let count = stops.len();
        let mut graph = Self {
            lines,
            stops,
            of_line,
            along: vec![Vec::new(); count],
            across: vec![Vec::new(); count],
            meetings,
            found: BTreeMap::new(),
        };
        graph.connect(&joins);
        graph
    }

    fn connect(&mut self, joins: &[Join]) {
        for range in &self.of_line {
            for at in range.clone().skip(1) {
                let step = self.stops[at].s - self.stops[at - 1].s;
                self.along[at].push((at - 1, step));
                self.along[at - 1].push((at, step));
            }
        }
        for join in joins {
            let [a, b] = [join.corner, join.other].map(|(line, s)| self.stop(line, s));
            let gap = distance(self.point(a), self.point(b));
            self.across[a].push((b, gap));
            self.across[b].push((a, gap));
        }
    }

    fn point(&self, stop: usize) -> Point {
        let stop = &self.stops[stop];
        self.lines[stop.line].point(stop.s)
    }

    /// The stop at a distance along a trunk; it is there.
    fn stop(&self, line: usize, s: f64) -> usize {
        let range = self.of_line[line].clone();
        let here = &self.stops[range.clone()];
        let after = here.partition_point(|stop| stop.s < s).min(here.len() - 1);
        let before = after.saturating_sub(1);
        let nearer = (here[before].s - s).abs() <= (here[after].s - s).abs();
        range.start + if nearer { before } else { after }
    }

    /// The stops a place is connected to, with the straight way there.
    fn reached(&self, circuit: &str, place: &str, tail: Option<f64>) -> Result<Vec<(usize, f64)>, Error> {
        let field = format!("circuit.{circuit}.path");
        let Some(meetings) = self.meetings.get(place) else {
            return Err(Error::input(&field, format!("'{place}'"), "the id of a place of this boat"));
        };
        let allowance = tail.unwrap_or(REACH);
        let Some(nearest) = meetings.first() else {
            return Err(Error::Input {
                field,
                got: format!("no trunk reaches place '{place}': the boat has none"),
                expected: "trunks from place to place".into(),
                hint: "add a trunk, or give the circuit one_way with spaces".into(),
            });
        };
        // A place on a trunk is on that trunk; else every trunk within the allowance counts.
        let radius = if nearest.gap <= JOINED { JOINED } else { allowance };
        if nearest.gap > radius {
            let (id, gap) = (&self.lines[nearest.line].trunk.id, show(metres(nearest.gap)));
            return Err(Error::Input {
                field,
                got: format!("no trunk reaches place '{place}'; the nearest, '{id}', is {gap} away"),
                expected: format!("a trunk within {} of the place", show(metres(allowance))),
                hint: format!(
                    "lead a trunk to '{place}', or give the circuit tail = \"...\" of {gap} or more"
                ),
            });
        }
        let near = meetings.iter().take_while(|m| m.gap <= radius);
        Ok(near.map(|m| (self.stop(m.line, m.s), m.gap)).collect())
    }

    /// The shortest way between two places.
    ///
    /// `tail` is what lies outside the trunks; without it the straight ways from places to trunks count.
    pub fn shortest(
        &mut self,
        circuit: &str,
        from: &'a str,
        to: &'a str,
        tail: Option<f64>,
    ) -> Result<Way, Error> {
        let starts = self.reached(circuit, from, tail)?;
        let ends = self.reached(circuit, to, tail)?;
        let key = (from, tail.unwrap_or(REACH).to_bits());
        if !self.found.contains_key(&key) {
            let tree = self.tree(&starts);
            self.found.insert(key, tree);
        }
        let (length, before) = &self.found[&key];
        // Nearest first; of equals the one whose trunk's id comes first.
        let end = ends
            .iter()
            .map(|(stop, gap)| (length[*stop] + gap, *stop, *gap))
            .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))
            .filter(|(sum, ..)| sum.is_finite());
        let Some((_, last, end_gap)) = end else {
            return Err(Error::Input {
                field: format!("circuit.{circuit}.path"),
                got: format!("no trunks lead from place '{from}' to place '{to}'"),
                expected: "trunks that join all the way".into(),
                hint:
                    "trunks join where a corner of one is within 0.1 m of the other; or give path or one_way"
                        .into(),
            });
        };
        let mut chain = vec![last];
        while let Some(stop) = before[chain[chain.len() - 1]] {
            chain.push(stop);
        }
        chain.reverse();
        let start_gap = starts
            .iter()
            .filter(|(stop, _)| *stop == chain[0])
            .map(|(_, gap)| *gap)
            .min_by(f64::total_cmp)
            .unwrap_or(0.0);
        let reach = start_gap + end_gap;
        let (portions, gaps) = self.portions(&chain);
        let outside = tail.map_or(reach, |tail| tail.max(reach));
        Ok(Way { portions, gaps, outside, reach, places: vec![from.to_string(), to.to_string()] })
    }

    fn portions(&self, chain: &[usize]) -> (Vec<Portion>, f64) {
        let (mut out, mut gaps): (Vec<Portion>, f64) = (Vec::new(), 0.0);
        for pair in chain.windows(2) {
            let (a, b) = (&self.stops[pair[0]], &self.stops[pair[1]]);
            if a.line != b.line {
                gaps += distance(self.point(pair[0]), self.point(pair[1]));
                continue;
            }
            match out.last_mut().filter(|p| p.line == a.line && p.to == a.s) {
                Some(portion) => portion.to = b.s,
                None => out.push(Portion { line: a.line, from: a.s, to: b.s }),
            }
        }
        (out, gaps)
    }

    /// Shortest ways from some stops to all others; of equal ones by the stop before that comes first.
    fn tree(&self, starts: &[(usize, f64)]) -> Tree {
        let count = self.stops.len();
        let (mut length, mut before) = (vec![f64::INFINITY; count], vec![None; count]);
        // Lengths are never negative, so that their bits are in the order of the numbers.
        let mut queue = BinaryHeap::new();
        for (stop, gap) in starts {
            if *gap < length[*stop] {
                length[*stop] = *gap;
                queue.push(Reverse((gap.to_bits(), *stop)));
            }
        }
        while let Some(Reverse((bits, here))) = queue.pop() {
            let sum = f64::from_bits(bits);
            if sum > length[here] {
                continue;
            }
            let along = self.along[here].iter().map(|(next, step)| (*next, *step));
            let across = self.across[here].iter().map(|(next, gap)| (*next, gap + CHANGE));
            for (next, step) in along.chain(across) {
                let there = sum + step;
                if there < length[next] {
                    length[next] = there;
                    before[next] = Some(here);
                    queue.push(Reverse((there.to_bits(), next)));
                } else if there == length[next] && before[next].is_some_and(|b| here < b) {
                    before[next] = Some(here);
                }
            }
        }
        (length, before)
    }
}

/// The nearest point of a trunk: distance along it, and how far it is.
fn nearest(line: &Line, p: Point) -> (f64, f64) {
    let mut best = (0.0, f64::INFINITY);
    for (i, pair) in line.trunk.points.windows(2).enumerate() {
        let (share, gap) = nearest_on(pair[0], pair[1], p);
        if gap < best.1 {
            best = ((line.at[i + 1] - line.at[i]).mul_add(share, line.at[i]), gap);
        }
    }
    best
}

fn meetings<'a>(boat: &'a Boat, lines: &[Line], order: &[usize]) -> BTreeMap<&'a str, Vec<Meeting>> {
    let mut out = BTreeMap::new();
    let mut reach = REACH;
    let mut wanted = Vec::new();
    for circuit in &boat.circuits {
        if let Run::Shortest { from, to, tail } = &circuit.run {
            wanted.extend([from, to]);
            reach = reach.max(tail.map_or(0.0, Quantity::si));
        }
    }
    for place in wanted.into_iter().filter_map(|id| boat.place(id)) {
        out.entry(place.id.as_str()).or_insert_with(|| {
            let mut list: Vec<Meeting> = order
                .iter()
                .map(|line| {
                    let (s, gap) = nearest(&lines[*line], place.at);
                    Meeting { line: *line, s, gap }
                })
                .collect();
            list.sort_by(|a, b| a.gap.total_cmp(&b.gap));
            // The nearest stays, to be named when it is too far.
            let near = list.partition_point(|m| m.gap <= reach).max(1);
            list.truncate(near);
            list
        });
    }
    out
}

/// Where trunks are joined: at a corner of one, with the point of the other nearest to it.
fn joins(lines: &[Line], order: &[usize]) -> Vec<Join> {
    let bounds: Vec<[(f64, f64); 3]> = lines.iter().map(|l| bounds(&l.trunk.points)).collect();
    let near = |p: Point, b: &[(f64, f64); 3]| {
        [p.x, p.y, p.z].iter().zip(b).all(|(v, (low, high))| *v >= low - JOINED && *v <= high + JOINED)
    };
    let mut out = Vec::new();
    for a in order {
        for (corner, s) in lines[*a].trunk.points.iter().zip(&lines[*a].at) {
            for b in order.iter().filter(|b| *b != a && near(*corner, &bounds[**b])) {
                let (on_b, gap) = nearest(&lines[*b], *corner);
                if gap <= JOINED {
                    out.push(Join { corner: (*a, *s), other: (*b, on_b) });
                }
            }
        }
    }
    out
}

fn bounds(points: &[Point]) -> [(f64, f64); 3] {
    let of = |axis: fn(&Point) -> f64| {
        points
            .iter()
            .map(axis)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)))
    };
    [of(|p| p.x), of(|p| p.y), of(|p| p.z)]
}
