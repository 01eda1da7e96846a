//! From solved readings to the map of joints.

use crate::pretty;
use crate::view::{JointMap, JointPiece, JointRemark, JointRow};
use orlop::Verdict;
use orlop_boat::Design;
use orlop_boat::found::Leg;
use orlop_boat::joints::{BoatJoints, Piece};
use orlop_units::{Quantity, show};

/// Less heat than this has no number of its own, in watts.
const LEAST: f64 = 0.1;

/// The pieces that drops were read over; none where the readings cannot be solved, which is a finding of the survey.
pub(super) fn solved(design: &Design) -> BoatJoints {
    BoatJoints::of(design).unwrap_or_default()
}

/// The map; none where no drop was read over a piece of a circuit.
#[must_use]
pub fn joint_map(design: &Design) -> Option<JointMap> {
    map(design, &solved(design))
}

pub(super) fn map(design: &Design, joints: &BoatJoints) -> Option<JointMap> {
    if joints.pieces.is_empty() {
        return None;
    }
    let circuits = &design.boat.circuits;
    let tree = &design.demand.tree;
    let place = |id: &str| circuits.iter().position(|c| c.id == id);
    let parents: Vec<Option<usize>> = circuits.iter().map(|c| tree.parent(&c.id).and_then(place)).collect();
    // Circuits with readings, and all that they hang on.
    let mut shown = vec![false; circuits.len()];
    for piece in &joints.pieces {
        let mut here = Some(piece.circuit);
        while let Some(at) = here.filter(|at| !shown[*at]) {
            shown[at] = true;
            here = parents[at];
        }
    }
    let mut rows = Vec::new();
    let mut open: Vec<(usize, usize)> = (0..circuits.len())
        .rev()
        .filter(|at| shown[*at] && parents[*at].is_none())
        .map(|at| (at, 0))
        .collect();
    while let Some((at, depth)) = open.pop() {
        rows.push(row(design, joints, at, depth));
        let children: Vec<usize> = tree.children(&circuits[at].id).into_iter().filter_map(place).collect();
        open.extend(children.into_iter().rev().filter(|c| shown[*c]).map(|c| (c, depth + 1)));
    }
    Some(JointMap { left_out: circuits.len() - rows.len(), circuits: rows })
}

fn row(design: &Design, joints: &BoatJoints, circuit: usize, depth: usize) -> JointRow {
    let c = &design.boat.circuits[circuit];
    let of: Vec<&Piece> = joints.pieces.iter().filter(|p| p.circuit == circuit).collect();
    let leg = |leg: Leg| of.iter().filter(|p| p.leg == leg).map(|p| piece(p)).collect();
    let name = if c.name.is_empty() { format!("to {}", c.feeds.words()) } else { c.name.clone() };
    let told = of.iter().enumerate().filter(|(_, p)| p.verdict != Verdict::Pass);
    // Of a group the first speaks for all.
    let first = |at: usize, p: &Piece| !of[..at].iter().any(|q| q.or_else.contains(&p.id));
    let remarks = told.filter(|(at, p)| first(*at, p)).map(|(_, p)| remark(design, joints, p)).collect();
    JointRow {
        id: c.id.clone(),
        name,
        depth,
        positive: leg(Leg::Positive),
        negative: leg(Leg::Negative),
        remarks,
    }
}

fn piece(p: &Piece) -> JointPiece {
    JointPiece {
        part: p.part.word(),
        watts: p.watts_full.si(),
        label: if p.watts_full.si() < LEAST { "<0.1 W".into() } else { show(p.watts_full) },
        bad: p.verdict == Verdict::Fail,
        doubt: p.verdict != Verdict::Fail && p.verdict != Verdict::Pass,
    }
}

fn remark(design: &Design, joints: &BoatJoints, p: &Piece) -> JointRemark {
    let mut text =
        format!("{}: {}, {} at {}", p.name(), show(p.resistance), show(p.watts_full), show(p.full));
    if let Some(rise) = p.rise {
        text += &format!(", rise {rise}");
    }
    let called = |id: &String| {
        let other = joints.pieces.iter().find(|q| q.id == *id);
        other.map_or_else(String::new, |q| {
            let circuit = &design.boat.circuits[q.circuit].id;
            if q.circuit == p.circuit { q.name() } else { format!("{} of {circuit}", q.name()) }
        })
    };
    if p.contradicted {
        text = format!("{}: readings through it contradict each other, or its length and size", p.name());
    } else if !p.or_else.is_empty() {
        let others: Vec<String> = p.or_else.iter().map(called).collect();
        text += &format!("; or else {}", others.join(" or "));
    } else if !p.or_both.is_empty() {
        let others: Vec<String> = p.or_both.iter().map(called).collect();
        text += &format!("; or both {}", others.join(" and "));
    }
    let mark = if p.verdict == Verdict::Fail { p.severity.word().chars().next().unwrap_or('?') } else { '?' };
    JointRemark { mark, text: pretty::units(&text) }
}
