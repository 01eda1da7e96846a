//! Among assignments that hold the same: alike resistances, then alike self-discharge.
//!
//! Two cells of different groups, or one in use and one spare, change places where that keeps the capacity and makes the groups
//! more alike, until no exchange does. This is no proof of the most alike, and needs none: no charge depends on it.

use super::improve::Groups;
use crate::pack::Order;

/// What is known of the cells beside their capacity; empty where some cell lacks it.
pub(super) struct Known<'a> {
    pub order: Order,
    pub capacity: &'a [i64],
    /// Ohms.
    pub resistance: Vec<f64>,
    /// Volts lost over the days of the test.
    pub self_discharge: Vec<f64>,
}

/// A sweep over all exchanges is repeated at most so often.
const SWEEPS: usize = 40;

impl Known<'_> {
    /// What one group holds.
    fn holds(&self, group: &[usize]) -> i64 {
        let each = group.iter().map(|c| self.capacity[*c]);
        match self.order {
            Order::ParallelFirst => each.sum(),
            Order::SeriesFirst => each.min().unwrap_or(0),
        }
    }

    /// The conductance of a group side by side, the resistance of a string.
    fn electric(&self, group: &[usize]) -> f64 {
        match self.order {
            _ if self.resistance.is_empty() => 0.0,
            Order::ParallelFirst => group.iter().map(|c| 1.0 / self.resistance[*c]).sum(),
            Order::SeriesFirst => group.iter().map(|c| self.resistance[*c]).sum(),
        }
    }

    /// What balancing must make up: groups against each other, or cells within their string.
    fn drift(&self, group: &[usize]) -> f64 {
        let each = || group.iter().map(|c| self.self_discharge[*c]);
        match self.order {
            _ if self.self_discharge.is_empty() => 0.0,
            Order::ParallelFirst => each().sum(),
            Order::SeriesFirst => {
                let mean = each().sum::<f64>() / group.len() as f64;
                each().map(|x| (x - mean).powi(2)).sum()
            }
        }
    }

    /// Unlikeness of the groups; smaller is better, the first counts before the second.
    fn score(&self, groups: &Groups) -> [f64; 2] {
        let squares = |values: Vec<f64>| {
            let mean = values.iter().sum::<f64>() / values.len() as f64;
            values.iter().map(|x| (x - mean).powi(2)).sum::<f64>()
        };
        let electric = squares(groups.iter().map(|g| self.electric(g)).collect());
        let drifts: Vec<f64> = groups.iter().map(|g| self.drift(g)).collect();
        let drift = match self.order {
            Order::ParallelFirst => squares(drifts),
            Order::SeriesFirst => drifts.iter().sum(),
        };
        [electric, drift]
    }

    /// Makes the groups more alike without losing capacity.
    pub(super) fn settle(&self, groups: &mut Groups, spares: &mut [usize]) {
        if self.resistance.is_empty() && self.self_discharge.is_empty() {
            return;
        }
        let floor = groups.iter().map(|g| self.holds(g)).min().unwrap_or(0);
        let mut score = self.score(groups);
        for _ in 0..SWEEPS {
            let mut moved = false;
            for first in 0..groups.len() {
                for second in first + 1..groups.len() {
                    moved |= self.between(groups, (first, second), floor, &mut score);
                }
                moved |= self.with_spares(groups, spares, first, floor, &mut score);
            }
            if !moved {
                return;
            }
        }
    }

    fn between(
        &self,
        groups: &mut Groups,
        (first, second): (usize, usize),
        floor: i64,
        score: &mut [f64; 2],
    ) -> bool {
        let mut moved = false;
        for i in 0..groups[first].len() {
            for j in 0..groups[second].len() {
                let before = (self.holds(&groups[first]), self.holds(&groups[second]));
                let swap = |groups: &mut Groups| {
                    let (a, b) = (groups[first][i], groups[second][j]);
                    (groups[first][i], groups[second][j]) = (b, a);
                };
                swap(groups);
                let after = (self.holds(&groups[first]), self.holds(&groups[second]));
                let kept = match self.order {
                    Order::ParallelFirst => after.0.min(after.1) >= floor,
                    Order::SeriesFirst => after.0 + after.1 >= before.0 + before.1,
                };
                if kept && self.better(groups, score) {
                    moved = true;
                } else {
                    swap(groups);
                }
            }
        }
        moved
    }

    fn with_spares(
        &self,
        groups: &mut Groups,
        spares: &mut [usize],
        group: usize,
        floor: i64,
        score: &mut [f64; 2],
    ) -> bool {
        let mut moved = false;
        for i in 0..groups[group].len() {
            for spare in spares.iter_mut() {
                let before = self.holds(&groups[group]);
                std::mem::swap(&mut groups[group][i], spare);
                let after = self.holds(&groups[group]);
                let kept = match self.order {
                    Order::ParallelFirst => after >= floor,
                    Order::SeriesFirst => after >= before,
                };
                if kept && self.better(groups, score) {
                    moved = true;
                } else {
                    std::mem::swap(&mut groups[group][i], spare);
                }
            }
        }
        moved
    }

    /// Whether the groups are more alike than the score says; then the score is theirs.
    fn better(&self, groups: &Groups, score: &mut [f64; 2]) -> bool {
        let new = self.score(groups);
        let slack = |x: f64| 1e-9 * x.abs() + f64::MIN_POSITIVE;
        let less = |at: usize| new[at] < score[at] - slack(score[at]);
        let better = less(0) || (new[0] <= score[0] + slack(score[0]) && less(1));
        if better {
            *score = new;
        }
        better
    }
}
