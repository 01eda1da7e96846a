//! How probable everything is after what was seen.

use super::model::Model;
use crate::error::Error;
use crate::solve::{chi_squared_tail, normal_cdf};

/// One thing that was seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Seen {
    /// A value was read.
    Value {
        /// Its place among the values.
        of: usize,
        /// What the meter showed.
        reading: f64,
        /// Standard uncertainty of this reading alone.
        standard: f64,
    },
    /// A question was answered.
    Answer {
        /// Its place among the answers.
        of: usize,
        /// Yes or no.
        yes: bool,
    },
}

/// What is believed of one node.
#[derive(Clone, Debug)]
pub(super) struct Held {
    /// Logarithm of prior times likelihood.
    pub log: f64,
    /// Sum of the squares of surprises, in standard deviations.
    pub misfit: f64,
    /// Mean and covariance of the common unknowns and of the axis.
    pub mean: Vec<f64>,
    pub covariance: Vec<f64>,
}

/// Probabilities of all causes and magnitudes, given what was seen.
///
/// Each node of each grid holds its own Gaussian of the common unknowns; a reading moves it as the filter of Kalman does, and its
/// likelihood is that of the surprise. The order in which things are seen is of no effect.
///
/// ```
/// use orlop::proving::diagnose::{Belief, Hypothesis, Model, Point, Seen};
/// // A test that finds 90 % of what 1 % have, and gives false alarm for 9 % of the others: the textbook question.
/// let who = |odds, chance| Hypothesis { odds, points: vec![Point { chances: vec![chance], ..Point::default() }] };
/// let model = Model::new(0, vec![who(1.0, 0.90), who(99.0, 0.09)])?;
/// let mut belief = Belief::new(&model);
/// belief.see(Seen::Answer { of: 0, yes: true })?;
/// assert!((belief.probabilities()[0] - 0.009 / (0.009 + 0.0891)).abs() < 1e-12);
/// # Ok::<(), orlop::Error>(())
/// ```
#[derive(Clone, Debug)]
pub struct Belief<'a> {
    pub(super) model: &'a Model,
    pub(super) held: Vec<Held>,
    readings: usize,
}

/// Nodes with less than this of all probability are left out of magnitudes and of what is still to be learned.
pub(super) const NEGLIGIBLE: f64 = 1e-9;

impl<'a> Belief<'a> {
    /// Before anything was seen.
    #[must_use]
    pub fn new(model: &'a Model) -> Self {
        let total: f64 = model.hypotheses.iter().map(|h| h.odds).sum();
        let mut sizes = vec![0_usize; model.len()];
        model.nodes.iter().for_each(|n| sizes[n.hypothesis] += 1);
        let k = model.unknowns + 1;
        let mut unit = vec![0.0; k * k];
        (0..k).for_each(|i| unit[i * k + i] = 1.0);
        let held = model.nodes.iter().map(|n| Held {
            log: (model.hypotheses[n.hypothesis].odds / total / sizes[n.hypothesis] as f64).ln(),
            misfit: 0.0,
            mean: vec![0.0; k],
            covariance: unit.clone(),
        });
        Self { model, held: held.collect(), readings: 0 }
    }

    /// Takes in one thing that was seen.
    ///
    /// # Errors
    /// [`Error::Input`] for a place that the model does not predict, a reading that is not finite, or a standard uncertainty
    /// that is not above zero.
    pub fn see(&mut self, seen: Seen) -> Result<(), Error> {
        let point = &self.model.hypotheses[0].points[0];
        match seen {
            Seen::Value { of, reading, standard } => {
                if of >= point.values.len() {
                    let expected = format!("one of {} values", point.values.len());
                    return Err(Error::input("value", format!("number {of}"), expected));
                }
                if !reading.is_finite() {
                    return Err(Error::input("reading", reading.to_string(), "a finite number"));
                }
                if !(standard.is_finite() && standard > 0.0) {
                    let expected = "a finite number above zero";
                    return Err(Error::input("standard uncertainty", standard.to_string(), expected));
                }
                self.readings += 1;
                self.value(of, reading, standard);
            }
            Seen::Answer { of, yes } => {
                if of >= point.chances.len() {
                    let expected = format!("one of {} answers", point.chances.len());
                    return Err(Error::input("answer", format!("number {of}"), expected));
                }
                for (node, held) in self.model.nodes.iter().zip(&mut self.held) {
                    let chance = self.model.chance(node, of);
                    held.log += if yes { chance } else { 1.0 - chance }.max(f64::MIN_POSITIVE).ln();
                }
            }
        }
        Ok(())
    }

    fn value(&mut self, of: usize, reading: f64, standard: f64) {
        let k = self.model.unknowns + 1;
        let (mut slopes, mut moved) = (Vec::with_capacity(k), vec![0.0; k]);
        for (node, held) in self.model.nodes.iter().zip(&mut self.held) {
            self.model.slopes(node, of, &mut slopes);
            let expected = self.model.value(node, of).0 + dot(&slopes, &held.mean);
            for (i, m) in moved.iter_mut().enumerate() {
                *m = dot(&held.covariance[i * k..(i + 1) * k], &slopes);
            }
            let variance = dot(&slopes, &moved) + self.model.spread(node, of).powi(2) + standard * standard;
            let surprise = reading - expected;
            let square = surprise * surprise / variance;
            held.log -= 0.5 * (square + variance.ln() + (2.0 * std::f64::consts::PI).ln());
            held.misfit += square;
            for i in 0..k {
                held.mean[i] += moved[i] * surprise / variance;
                for j in 0..k {
                    held.covariance[i * k + j] -= moved[i] * moved[j] / variance;
                }
            }
        }
    }

    /// Weight of each node; all add up to 1.
    pub(super) fn weights(&self) -> Vec<f64> {
        let most = self.held.iter().map(|h| h.log).fold(f64::NEG_INFINITY, f64::max);
        let raw: Vec<f64> = self.held.iter().map(|h| (h.log - most).exp()).collect();
        let total: f64 = raw.iter().sum();
        raw.into_iter().map(|w| w / total).collect()
    }

    /// Probability of each hypothesis, in their order; they add up to 1.
    #[must_use]
    pub fn probabilities(&self) -> Vec<f64> {
        let mut all = vec![0.0; self.model.len()];
        for (node, weight) in self.model.nodes.iter().zip(self.weights()) {
            all[node.hypothesis] += weight;
        }
        all
    }

    /// Where on its axis the magnitude of a hypothesis is, if it is the cause: the median, and the bounds that hold it with the
    /// given probability; none without a free magnitude.
    #[must_use]
    pub fn magnitude(&self, hypothesis: usize, coverage: f64) -> Option<(f64, f64, f64)> {
        let k = self.model.unknowns + 1;
        let mine = |w: f64, n: usize| self.model.nodes[n].hypothesis == hypothesis && w > 0.0;
        let logs: Vec<f64> = self.held.iter().map(|h| h.log).collect();
        let own: Vec<usize> = (0..logs.len()).filter(|n| mine(1.0, *n)).collect();
        let most = own.iter().map(|n| logs[*n]).fold(f64::NEG_INFINITY, f64::max);
        let bells: Vec<(f64, f64, f64)> = own
            .iter()
            .map(|&n| {
                let (node, held) = (&self.model.nodes[n], &self.held[n]);
                let centre = self.model.at(node) + node.width * held.mean[k - 1];
                let width = node.width * held.covariance[k * k - 1].max(0.0).sqrt();
                ((logs[n] - most).exp(), centre, width)
            })
            .filter(|(w, _, width)| *w > NEGLIGIBLE && *width > 0.0)
            .collect();
        let total: f64 = bells.iter().map(|b| b.0).sum();
        if bells.is_empty() || !(coverage > 0.0 && coverage < 1.0) {
            return None;
        }
        let below = |x: f64| -> f64 {
            bells.iter().map(|(w, c, s)| w * normal_cdf((x - c) / s)).sum::<f64>() / total
        };
        let low = bells.iter().map(|(_, c, s)| c - 8.0 * s).fold(f64::INFINITY, f64::min);
        let high = bells.iter().map(|(_, c, s)| c + 8.0 * s).fold(f64::NEG_INFINITY, f64::max);
        let quantile = |p: f64| {
            let (mut a, mut b) = (low, high);
            for _ in 0..40 {
                let middle = 0.5 * (a + b);
                if below(middle) < p { a = middle } else { b = middle }
            }
            0.5 * (a + b)
        };
        Some((quantile(0.5), quantile(0.5 - 0.5 * coverage), quantile(0.5 + 0.5 * coverage)))
    }

    /// Means of the common unknowns if a hypothesis is the cause, in their prior standard deviations.
    #[must_use]
    pub fn unknowns(&self, hypothesis: usize) -> Vec<f64> {
        let own = || self.model.nodes.iter().zip(&self.held).filter(|(n, _)| n.hypothesis == hypothesis);
        let most = own().map(|(_, h)| h.log).fold(f64::NEG_INFINITY, f64::max);
        let (mut sums, mut total) = (vec![0.0; self.model.unknowns], 0.0);
        for (_, held) in own() {
            let weight = (held.log - most).exp();
            total += weight;
            sums.iter_mut().zip(&held.mean).for_each(|(s, m)| *s += weight * m);
        }
        sums.into_iter().map(|s| s / total).collect()
    }

    /// How well a hypothesis explains the values that were read, at its best magnitude: the probability of a misfit at least as large,
    /// were it the cause (chi-squared, one degree for each value). 1 when nothing was read.
    #[must_use]
    pub fn fits(&self, hypothesis: usize) -> f64 {
        let own = self.model.nodes.iter().zip(&self.held).filter(|(n, _)| n.hypothesis == hypothesis);
        let least = own.map(|(_, h)| h.misfit).fold(f64::INFINITY, f64::min);
        if self.readings == 0 { 1.0 } else { chi_squared_tail(least, self.readings as f64) }
    }

    /// The largest [`Self::fits`]: where it is very small, none of the hypotheses explains what was read.
    #[must_use]
    pub fn explained(&self) -> f64 {
        (0..self.model.len()).map(|h| self.fits(h)).fold(0.0, f64::max)
    }
}

pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}
