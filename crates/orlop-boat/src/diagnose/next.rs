//! What to measure next, and what each outcome would mean.

use super::answer::{NextMeasurement, OutcomeMeans, how};
use super::ask::uncounted;
use super::cause::Target;
use super::rank::{Finder, descending};
use super::reading::{What, Where};
use super::{Asked, Spot};
use orlop::proving::diagnose::{Ask, Belief, Outcome, Seen};
use orlop_units::show_si;

/// Measurements that tell less than this are not worth the while.
const LEAST_BITS: f64 = 0.02;
/// How many measurements are named.
const NAMED: usize = 5;

impl Finder<'_, '_> {
    /// What to measure next: nothing that was read already, nothing that tells nothing.
    pub(super) fn next(
        &self,
        belief: &Belief<'_>,
        asked: &Asked,
        seen: &[(String, Seen)],
    ) -> Vec<NextMeasurement> {
        let done = |ask: &Ask| {
            seen.iter().any(|(_, s)| match (s, ask) {
                (Seen::Value { of: a, .. }, Ask::Value { of: b, .. }) => a == b,
                (Seen::Answer { of: a, .. }, Ask::Answer(b)) => a == b,
                _ => false,
            })
        };
        let values = self.probes.iter().enumerate().map(|(of, p)| {
            // The ohms are counted by their logarithm: a tenth of an ohm of leads beside the least that is told apart.
            let ask = match p.place.what {
                What::Resistance => Ask::Value { of, relative: 0.0, least: 0.3 },
                _ => Ask::Value { of, relative: p.relative, least: p.least },
            };
            (ask, &p.place, p.minutes)
        });
        let answers = self
            .trials
            .iter()
            .enumerate()
            .map(|(k, t)| (Ask::Answer(asked.symptoms.len() + k), &t.place, t.minutes));
        let all: Vec<(Ask, &Where, f64)> = values.chain(answers).filter(|(ask, ..)| !done(ask)).collect();
        let asks: Vec<Ask> = all.iter().map(|(ask, ..)| *ask).collect();
        let bits = belief.information_of(&asks);
        let mut order: Vec<usize> = (0..all.len()).filter(|k| bits[*k] >= LEAST_BITS).collect();
        let worth = |k: usize| bits[k] / all[k].2;
        order.sort_by_key(|k| (descending(worth(*k)), *k));
        let groups = self.groups();
        let mut named: Vec<usize> = Vec::new();
        for k in order {
            // The same current is the same at every circuit of the way.
            let alike = |n: &usize| {
                let (a, b) = (all[*n].1, all[k].1);
                a.what == b.what && a.when == b.when && (bits[*n] - bits[k]).abs() < 0.02 * bits[k]
            };
            if named.len() < NAMED && !named.iter().any(alike) {
                named.push(k);
            }
        }
        named
            .into_iter()
            .map(|k| {
                let (ask, place, minutes) = &all[k];
                let outcomes = belief.outcomes(*ask);
                NextMeasurement {
                    ask: place.to_string(),
                    how: how(place, &self.scene.name(&place.at)),
                    bits: bits[k],
                    minutes: *minutes,
                    outcomes: outcomes.into_iter().map(|o| self.means(place, *ask, &o, &groups)).collect(),
                }
            })
            .collect()
    }

    /// Causes that are named together: one leg of one circuit, one load, the bank.
    fn groups(&self) -> (Vec<usize>, Vec<String>) {
        let (mut of, mut names): (Vec<usize>, Vec<String>) = (Vec::new(), Vec::new());
        for cause in self.causes {
            let name = self.scene.name(&self.address(cause));
            let group = match cause.target {
                Target::Circuit(_) => match cause.spot {
                    Some(Spot::Negative | Spot::StartNegative | Spot::EndNegative) => {
                        format!("the negative leg of {name}")
                    }
                    Some(_) => format!("the positive leg of {name}"),
                    None => format!("the conductor of {name}"),
                },
                Target::Nothing => self.words(cause),
                _ => name,
            };
            let at = names.iter().position(|n| *n == group).unwrap_or_else(|| {
                names.push(group);
                names.len() - 1
            });
            of.push(at);
        }
        (of, names)
    }

    fn means(
        &self,
        place: &Where,
        ask: Ask,
        outcome: &Outcome,
        groups: &(Vec<usize>, Vec<String>),
    ) -> OutcomeMeans {
        let mut sums = vec![0.0; groups.1.len()];
        groups.0.iter().zip(&outcome.after).for_each(|(g, p)| sums[*g] += p);
        let lead = (0..sums.len()).max_by(|a, b| sums[*a].total_cmp(&sums[*b]).then(b.cmp(a))).unwrap_or(0);
        let one = (0..self.causes.len())
            .filter(|h| groups.0[*h] == lead)
            .max_by(|a, b| outcome.after[*a].total_cmp(&outcome.after[*b]).then(b.cmp(a)));
        let (means, probability) = match one {
            // One cause holds most of its group: it is named by itself.
            Some(h) if outcome.after[h] > 0.7 * sums[lead] => (self.words(&self.causes[h]), outcome.after[h]),
            _ => (groups.1[lead].clone(), sums[lead]),
        };
        let least = match ask {
            Ask::Value { least, .. } if place.what != What::Resistance => least,
            _ => 0.1,
        };
        let text = |x: f64| {
            let kind = place.what.kind();
            let si = uncounted(place.what, x);
            show_si(kind, rounded(si, least))
        };
        let said = match (place.what.answers(), outcome.from, outcome.to) {
            (Some((yes, no)), from, to) => match (from, to) {
                (Some(_), _) => yes.to_string(),
                (None, Some(_)) => no.to_string(),
                (None, None) => format!("{yes} or {no}"),
            },
            (None, None, None) => "whatever it shows".to_string(),
            (None, None, Some(to)) => format!("below {}", text(to)),
            (None, Some(from), None) => format!("above {}", text(from)),
            (None, Some(from), Some(to)) => format!("{} to {}", text(from), text(to)),
        };
        OutcomeMeans { outcome: said, chance: outcome.chance, means, probability }
    }
}

/// Two digits for small values, large ones to a hundredth, none finer than the meter tells apart.
fn rounded(si: f64, least: f64) -> f64 {
    let digits = 10_f64.powf(si.abs().max(1e-9).log10().floor() - 1.0).min(0.01);
    let step = digits.max(10_f64.powf(least.log10().floor()));
    // Adding zero makes of a negative zero a positive one.
    (si / step).round() * step + 0.0
}
