//! Which cell is the smallest, which the most resistive: two weaknesses that are not the same.

use super::log::Log;
use super::trace::Point;
use orlop_units::{Charge, Quantity, Voltage, coulombs, volts};

/// Of the charge drawn, the part in which the plateau is measured.
const PLATEAU: (f64, f64) = (0.25, 0.75);
/// A cell is at its knee when it has fallen so far below its plateau: common practice for flat curves.
const KNEE_V: f64 = 0.1;

/// How one cell ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Knee {
    /// Place of the cell in the log, from 0.
    pub cell: usize,
    /// Its volts in the last row under load.
    pub end: Voltage,
    /// How far it fell below its own plateau: its resistance drops out.
    pub fall: Voltage,
    /// Charge by which it would have reached the end of the first cell later; none while it is not at its knee.
    pub behind: Option<Charge>,
}

/// The weak cells of a bank.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Weakness {
    /// Cells in the order in which they reach their knees; empty without cells, or when none is at its knee.
    ///
    /// With all cells full at the start, the first is the smallest.
    pub knees: Vec<Knee>,
    /// The cell that sags most under load, and whether that is measured by steps of the load (else inferred from its lower
    /// plateau).
    pub most_resistive: Option<(usize, bool)>,
}

impl Weakness {
    /// From a log.
    #[must_use]
    pub fn of(log: &Log) -> Self {
        let count = log.end_cells.len();
        let plateaus: Vec<Option<f64>> =
            (0..count).map(|c| plateau(&log.course, c, log.charge.si())).collect();
        let known: Vec<f64> = plateaus.iter().flatten().copied().collect();
        let most_resistive = by_steps(log).or_else(|| by_plateau(&log.course, log.charge.si(), count));
        if known.is_empty() {
            return Self { knees: Vec::new(), most_resistive };
        }
        let usual = known.iter().sum::<f64>() / known.len() as f64;
        let mut knees: Vec<Knee> = log
            .end_cells
            .iter()
            .enumerate()
            .filter_map(|(cell, end)| {
                let end = (*end)?;
                let fall = plateaus[cell].unwrap_or(usual) - end.si();
                Some(Knee { cell, end, fall: volts(fall), behind: None })
            })
            .collect();
        knees.sort_by(|a, b| b.fall.si().total_cmp(&a.fall.si()).then(a.cell.cmp(&b.cell)));
        if knees.first().is_none_or(|k| k.fall.si() < KNEE_V) {
            return Self { knees: Vec::new(), most_resistive };
        }
        let first = knees[0];
        let from = plateaus[first.cell].unwrap_or(usual);
        for k in &mut knees {
            k.behind = behind(log, first.cell, from - k.fall.si()).filter(|_| k.fall.si() >= KNEE_V);
        }
        Self { knees, most_resistive }
    }
}

fn on_plateau(course: &[Point], drawn: f64) -> impl Iterator<Item = &Point> {
    course.iter().filter(move |p| p.drawn_c >= PLATEAU.0 * drawn && p.drawn_c <= PLATEAU.1 * drawn)
}

fn plateau(course: &[Point], cell: usize, drawn: f64) -> Option<f64> {
    let values: Vec<f64> = on_plateau(course, drawn).filter_map(|p| p.cells_v[cell]).collect();
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

/// Charge drawn since the first cell stood at these volts.
fn behind(log: &Log, first: usize, at: f64) -> Option<Charge> {
    let total = log.charge.si();
    let end = (total, log.end_cells[first]?.si());
    let mut after = end;
    for p in log.course.iter().rev() {
        let Some(v) = p.cells_v[first].filter(|_| p.drawn_c < after.0) else { continue };
        let here = (p.drawn_c, v);
        if here.1 >= at {
            let share = if here.1 > after.1 { (at - after.1) / (here.1 - after.1) } else { 0.0 };
            return Some(coulombs((total - after.0 + share.clamp(0.0, 1.0) * (after.0 - here.0)).max(0.0)));
        }
        after = here;
    }
    None
}

/// The cell of the highest resistance by steps, when it stands out of its uncertainty.
fn by_steps(log: &Log) -> Option<(usize, bool)> {
    let all: Vec<_> = log.cell_resistances.iter().enumerate().filter_map(|(k, r)| Some((k, (*r)?))).collect();
    let top = all.iter().max_by(|a, b| a.1.resistance.si().total_cmp(&b.1.resistance.si()))?;
    let next = all.iter().filter(|r| r.0 != top.0).map(|r| r.1.resistance.si()).fold(0.0, f64::max);
    (all.len() > 1 && top.1.resistance.si() - next > 2.0 * top.1.standard.si()).then_some((top.0, true))
}

/// The cell that is lowest in most points of the plateau, more often than by chance.
fn by_plateau(course: &[Point], drawn: f64, count: usize) -> Option<(usize, bool)> {
    let mut lowest = vec![0_usize; count];
    let mut points = 0;
    for p in on_plateau(course, drawn) {
        let there = p.cells_v.iter().enumerate().filter_map(|(k, v)| Some((k, (*v)?)));
        if let Some((k, _)) = there.min_by(|a, b| a.1.total_cmp(&b.1)) {
            lowest[k] += 1;
            points += 1;
        }
    }
    let (k, times) = lowest.iter().enumerate().max_by(|a, b| a.1.cmp(b.1).then(b.0.cmp(&a.0)))?;
    (points > 0 && 10 * times >= 9 * points).then_some((k, false))
}
