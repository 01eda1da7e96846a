//! The choice against chance: random orders, and errors of the measured capacities.

use super::answer::Assignment;
use super::partition;
use super::solve::value;
use crate::error::{Error, not_negative};
use crate::pack::Order;
use crate::solve::Draws;
use orlop_units::{Charge, Fraction, Quantity, ampere_hours};

/// What random orders of the same cells hold. Made by [`Assignment::against_random`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RandomOrders {
    /// How many were drawn.
    pub trials: u32,
    /// Mean.
    pub mean: Charge,
    /// Five of a hundred hold this or less.
    pub low: Charge,
    /// Five of a hundred hold this or more.
    pub high: Charge,
    /// The most that any of them holds.
    pub most: Charge,
    /// Share of them that hold less than the choice.
    pub below_choice: Fraction,
    /// Share of them that hold less than the order of delivery.
    pub below_delivery: Fraction,
}

/// How sure the choice is when capacities are not. Made by [`Assignment::under_error`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Certainty {
    /// How many times errors were drawn.
    pub trials: u32,
    /// Share of trials in which no assignment holds more than the choice by more than what matters. For groups of three and
    /// more cells the comparison is with a bound, so that the truth is this or higher.
    pub stays_best: Fraction,
    /// Share of trials in which the same cells are left out.
    pub same_spares: Fraction,
    /// Share of trials in which the choice holds at least as much as the order of delivery.
    pub beats_delivery: Fraction,
    /// Mean of what the choice holds.
    pub mean: Charge,
    /// Five of a hundred trials hold this or less.
    pub low: Charge,
    /// Mean of what the best for the trial would hold more (for three and more in parallel: at most).
    pub mean_loss: Charge,
}

fn quantile(sorted: &[i64], share: f64) -> Charge {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let rank = ((share * sorted.len() as f64).ceil() as usize).clamp(1, sorted.len());
    ampere_hours(sorted[rank - 1] as f64 / 1e6)
}

fn mean(values: &[i64]) -> Charge {
    ampere_hours(values.iter().map(|v| *v as f64).sum::<f64>() / values.len() as f64 / 1e6)
}

fn trials_of(trials: u32) -> Result<u32, Error> {
    if (1..=1_000_000).contains(&trials) {
        return Ok(trials);
    }
    Err(Error::input("trials", trials.to_string(), "1 to 1,000,000"))
}

impl Assignment {
    /// Builds the bank from the same accepted cells in random order, many times: which are left out and which go where are both
    /// drawn.
    ///
    /// # Errors
    /// [`Error::Input`] for no trial or more than a million.
    pub fn against_random(&self, trials: u32, seed: u64) -> Result<RandomOrders, Error> {
        let trials = trials_of(trials)?;
        let capacity = self.millionths();
        let (_, size) = self.plan.shape();
        let mut cells: Vec<usize> = (0..capacity.len()).filter(|i| !self.rejected.contains(i)).collect();
        let mut values: Vec<i64> = (0..u64::from(trials))
            .map(|row| {
                cells.sort_unstable();
                Draws::new(seed, row).shuffle(&mut cells);
                let groups = cells[..self.plan.cells()].chunks(size).map(<[usize]>::to_vec).collect();
                value(self.plan.order(), &capacity, &groups)
            })
            .collect();
        values.sort_unstable();
        let share =
            |limit: i64| Fraction::new(values.partition_point(|v| *v < limit) as f64 / f64::from(trials));
        let choice = value(self.plan.order(), &capacity, &self.groups);
        Ok(RandomOrders {
            trials,
            mean: mean(&values),
            low: quantile(&values, 0.05),
            high: quantile(&values, 0.95),
            most: quantile(&values, 1.0),
            below_choice: share(choice),
            below_delivery: share(self.as_delivered()),
        })
    }

    /// Draws errors of the measured capacities, many times, and asks whether the choice is still the best for the true ones.
    ///
    /// `error` is the standard uncertainty of one capacity against the others, as a share: what is common to all cells (a gain of
    /// the meter, a temperature) changes no order and does not count. Losses up to `matters` do not count.
    ///
    /// # Errors
    /// [`Error::Input`] for a negative error or one above 20 percent, a negative loss, no trial or more than a million.
    pub fn under_error(
        &self,
        error: Fraction,
        matters: Charge,
        trials: u32,
        seed: u64,
    ) -> Result<Certainty, Error> {
        let trials = trials_of(trials)?;
        let error = not_negative(error, "error")?.value();
        if error > 0.2 {
            return Err(Error::input("error", orlop_units::show(Fraction::new(error)), "at most 20 %"));
        }
        let matters = not_negative(matters, "matters")?.out() * 1e6;
        let measured = self.millionths();
        let accepted: Vec<usize> = (0..measured.len()).filter(|i| !self.rejected.contains(i)).collect();
        let used: Vec<usize> = {
            let mut all: Vec<usize> = self.groups.iter().flatten().copied().collect();
            all.sort_unstable();
            all
        };
        let (groups, size) = self.plan.shape();
        let delivered = self.delivered_groups();
        let (mut best, mut same, mut beats) = (0_u32, 0_u32, 0_u32);
        let (mut held, mut lost) = (Vec::new(), Vec::new());
        for row in 0..u64::from(trials) {
            let mut draws = Draws::new(seed, row);
            #[allow(clippy::cast_possible_truncation)]
            let truth: Vec<i64> = measured
                .iter()
                .map(|c| (*c as f64 * (1.0 + error * draws.normal())).round() as i64)
                .collect();
            let mut ranked = accepted.clone();
            ranked.sort_by_key(|c| (-truth[*c], *c));
            let own = value(self.plan.order(), &truth, &self.groups);
            let weights: Vec<i64> = ranked[..used.len()].iter().map(|c| truth[*c]).collect();
            let most = match self.plan.order() {
                Order::ParallelFirst if size > 2 && groups > 1 => partition::bound(&weights, groups),
                order => super::solve::solve(order, &truth, &ranked, groups, size).value,
            };
            ranked.truncate(used.len());
            ranked.sort_unstable();
            best += u32::from((most - own) as f64 <= matters);
            same += u32::from(ranked == used);
            beats += u32::from(own >= value(self.plan.order(), &truth, &delivered));
            held.push(own);
            lost.push((most - own).max(0));
        }
        held.sort_unstable();
        let share = |n: u32| Fraction::new(f64::from(n) / f64::from(trials));
        Ok(Certainty {
            trials,
            stays_best: share(best),
            same_spares: share(same),
            beats_delivery: share(beats),
            mean: mean(&held),
            low: quantile(&held, 0.05),
            mean_loss: mean(&lost),
        })
    }
}
