//! The way of a circuit as portions of trunks.

use super::geometry::{between, distance};
use super::graph::{Graph, JOINED};
use super::{Segment, spaces};
use crate::model::{Boat, Circuit, Point, Run, Trunk};
use orlop::Error;
use orlop_units::{Quantity, show};
use std::collections::BTreeMap;

/// A trunk with the distance of each corner from its beginning.
pub(super) struct Line<'a> {
    pub trunk: &'a Trunk,
    pub at: Vec<f64>,
}

impl Line<'_> {
    /// From the first corner to the last.
    pub fn length(&self) -> f64 {
        self.at[self.at.len() - 1]
    }
    /// The point a way along it.
    pub fn point(&self, s: f64) -> Point {
        let i = self.at.partition_point(|c| *c <= s).clamp(1, self.at.len() - 1);
        let (from, to) = (self.at[i - 1], self.at[i]);
        let share = if to > from { ((s - from) / (to - from)).clamp(0.0, 1.0) } else { 0.0 };
        between(self.trunk.points[i - 1], self.trunk.points[i], share)
    }
}

/// A part of a trunk, from one distance along it to another; backwards when `from` is the larger.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Portion {
    /// Place of the trunk in the file.
    pub line: usize,
    pub from: f64,
    pub to: f64,
}

impl Portion {
    pub fn length(&self) -> f64 {
        (self.to - self.from).abs()
    }
    /// The lower and the higher distance.
    pub fn ends(&self) -> (f64, f64) {
        (self.from.min(self.to), self.from.max(self.to))
    }
}

/// A way along trunks.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Way {
    pub portions: Vec<Portion>,
    /// The gaps where trunks join, m.
    pub gaps: f64,
    /// What lies outside the trunks, m.
    pub outside: f64,
    /// Straight ways from the places to the trunks, m.
    pub reach: f64,
    /// The places it was found between, when it was.
    pub places: Vec<String>,
}

impl Way {
    /// Along the trunks and the gaps between them.
    pub fn along(&self) -> f64 {
        self.portions.iter().map(Portion::length).sum::<f64>() + self.gaps
    }
}

pub(super) fn lines(boat: &Boat) -> Result<Vec<Line<'_>>, Error> {
    boat.trunks
        .iter()
        .map(|trunk| {
            if trunk.points.len() < 2 {
                let field = format!("trunk.{}.path", trunk.id);
                return Err(Error::input(
                    &field,
                    format!("{} corner", trunk.points.len()),
                    "two corners or more",
                ));
            }
            let mut at = vec![0.0];
            for pair in trunk.points.windows(2) {
                at.push(at[at.len() - 1] + distance(pair[0], pair[1]));
            }
            Ok(Line { trunk, at })
        })
        .collect()
}

/// The pieces of a whole trunk.
pub(super) fn whole(boat: &Boat, line: &Line) -> Result<Vec<Segment>, Error> {
    let pairs = line.trunk.points.windows(2).enumerate();
    pairs.map(|(i, pair)| spaces::segment(boat, line.trunk, i, pair[0], pair[1])).collect()
}

/// The pieces of a way, in its order; `whole` holds those of all trunks.
pub(super) fn segments(
    boat: &Boat,
    way: &Way,
    lines: &[Line],
    whole: &[Vec<Segment>],
) -> Result<Vec<Segment>, Error> {
    let mut out = Vec::new();
    for portion in &way.portions {
        let (line, (low, high)) = (&lines[portion.line], portion.ends());
        let mut part = Vec::new();
        for (i, piece) in whole[portion.line].iter().enumerate() {
            let (from, to) = (line.at[i], line.at[i + 1]);
            let (begin, end) = (from.max(low), to.min(high));
            if begin == from && end == to {
                part.push(piece.clone());
            } else if begin < end {
                let point = |s: f64| between(piece.from, piece.to, (s - from) / (to - from));
                part.push(spaces::segment(boat, line.trunk, i, point(begin), point(end))?);
            }
        }
        if portion.from > portion.to {
            part.reverse();
            for piece in &mut part {
                std::mem::swap(&mut piece.from, &mut piece.to);
            }
        }
        out.append(&mut part);
    }
    Ok(out)
}

/// The way of every circuit; none where the file states the wire length.
pub(super) fn ways(boat: &Boat, lines: &[Line]) -> Result<Vec<Option<Way>>, Error> {
    let number: BTreeMap<&str, usize> =
        lines.iter().enumerate().map(|(i, l)| (l.trunk.id.as_str(), i)).collect();
    let mut graph: Option<Graph> = None;
    let mut out = Vec::new();
    for circuit in &boat.circuits {
        out.push(match &circuit.run {
            Run::OneWay { .. } => None,
            Run::Trunks { path, tail } => {
                let mut way = explicit(circuit, path, lines, &number)?;
                way.outside = tail.map_or(0.0, Quantity::si);
                Some(way)
            }
            Run::Shortest { from, to, tail } => {
                let graph = graph.get_or_insert_with(|| Graph::new(boat, lines));
                Some(graph.shortest(&circuit.id, from, to, tail.map(Quantity::si))?)
            }
        });
    }
    Ok(out)
}

/// Trunks as named, each from end to end, turned so that they join.
fn explicit(
    circuit: &Circuit,
    path: &[String],
    lines: &[Line],
    number: &BTreeMap<&str, usize>,
) -> Result<Way, Error> {
    let field = format!("circuit.{}.path", circuit.id);
    let mut chain = Vec::new();
    for id in path {
        match number.get(id.as_str()) {
            Some(line) => chain.push(*line),
            None => return Err(Error::input(&field, format!("'{id}'"), "ids of trunks of this boat")),
        }
    }
    if chain.is_empty() {
        return Err(Error::input(&field, "an empty path", "one trunk or more"));
    }
    // For each direction of the last trunk, the least sum of gaps so far and the directions that give it.
    let end = |line: usize, backwards: bool, far: bool| {
        let points = &lines[line].trunk.points;
        if backwards == far { points[0] } else { points[points.len() - 1] }
    };
    let mut best: [Option<(f64, Vec<bool>)>; 2] = [Some((0.0, vec![false])), Some((0.0, vec![true]))];
    for (i, pair) in chain.windows(2).enumerate() {
        let mut nearest = f64::INFINITY;
        let next = [false, true].map(|backwards| {
            let mut found: Option<(f64, Vec<bool>)> = None;
            for (before, state) in [false, true].into_iter().zip(&best) {
                let Some((sum, turns)) = state else { continue };
                let gap = distance(end(pair[0], before, true), end(pair[1], backwards, false));
                nearest = nearest.min(gap);
                if gap <= JOINED && found.as_ref().is_none_or(|(least, _)| sum + gap < *least) {
                    let turns = turns.iter().copied().chain([backwards]).collect();
                    found = Some((sum + gap, turns));
                }
            }
            found
        });
        if next.iter().all(Option::is_none) {
            let (a, b) = (&path[i], &path[i + 1]);
            let gap = show(orlop_units::metres(nearest));
            return Err(Error::Input {
                field,
                got: format!("'{a}' then '{b}', whose ends are {gap} apart"),
                expected: "trunks that join end to end, within 0.1 m".into(),
                hint: "split a trunk where a way branches off".into(),
            });
        }
        best = next;
    }
    let [forwards, backwards] = best;
    let (gaps, turns) = match (forwards, backwards) {
        (Some(a), Some(b)) => {
            if b.0 < a.0 {
                b
            } else {
                a
            }
        }
        (Some(a), None) | (None, Some(a)) => a,
        (None, None) => unreachable!("a chain that joins has a direction"),
    };
    let portions = chain
        .into_iter()
        .zip(turns)
        .map(|(line, backwards)| {
            let length = lines[line].length();
            if backwards {
                Portion { line, from: length, to: 0.0 }
            } else {
                Portion { line, from: 0.0, to: length }
            }
        })
        .collect();
    Ok(Way { portions, gaps, outside: 0.0, reach: 0.0, places: Vec::new() })
}
