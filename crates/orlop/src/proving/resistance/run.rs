//! Which part of a run is bad, from drops read between a few places on it.

use super::joint::JOINT_PRACTICE;
use crate::error::{Error, not_negative, positive};
use crate::judgement::{Judgement, Severity, Verdict};
use crate::solve::{LeastSquares, NonNegative};
use orlop_units::{Current, Fraction, Power, Quantity, Resistance, Voltage, ohms, show, watts};

/// A part stands out when it is so many standard uncertainties above what a sound one may have: one false alarm in forty for a part that is
/// just sound, far fewer for others.
const STANDS_OUT: f64 = 2.0;
/// A sound conductor may be so many standard uncertainties above what is expected of it.
const SOUND_CONDUCTOR: f64 = 2.0;
/// Two parts whose estimates pull so strongly against each other are told apart by no reading.
const PULL: f64 = -0.5;
/// How far a joint may be from a good one before it was measured, as a standard deviation: nothing is known.
const JOINT_PRIOR_OHMS: f64 = 3e-3;

/// What a part is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PartKind {
    /// A piece of conductor: its resistance is known by length and size, within a standard share.
    Conductor {
        /// Standard uncertainty of the expected resistance, as a share of it.
        known_within: Fraction,
    },
    /// A joint, switch or fuse: sound ones have up to so much, bad ones any.
    Joint {
        /// The most that a sound one has.
        sound_to: Resistance,
    },
}

/// One part of a run.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its address: `joint.J4`.
    pub id: String,
    /// What it is.
    pub kind: PartKind,
    /// Resistance of a sound one, at the temperature of the test.
    pub expected: Resistance,
    /// Current at full load.
    pub design: Current,
}

/// One drop that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Drop {
    /// Parts between the probes, by place, each with the current through it from the first probe to the second.
    pub through: Vec<(usize, Current)>,
    /// The reading.
    pub drop: Voltage,
}

/// Parts and readings, with the errors of the meter.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// The parts, of both legs.
    pub parts: Vec<Part>,
    /// The readings.
    pub drops: Vec<Drop>,
    /// Standard uncertainty of a reading that does not depend on its size.
    pub noise: Voltage,
    /// Standard uncertainty in proportion to the reading.
    pub gain: Fraction,
}

/// What is known of one part after the readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// The part, by place.
    pub part: usize,
    /// Its resistance.
    pub resistance: Resistance,
    /// Standard uncertainty of that.
    pub standard: Resistance,
    /// Excess over what a sound part may have, in standard uncertainties; negative for a sound one.
    pub excess: f64,
    /// Heat of the excess at the largest current of the readings.
    pub heat_now: Power,
    /// Heat of the part at full load.
    pub heat_at_design: Power,
    /// Whether it stands out.
    pub bad: bool,
    /// Parts that no reading tells from it, where only all together stand out.
    pub or_else: Vec<usize>,
}

/// The parts of a run after the readings, worst first.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// The parts, by excess.
    pub found: Vec<Found>,
}

impl Part {
    /// The most that a sound one has, in ohms.
    fn sound_to(&self) -> f64 {
        match self.kind {
            PartKind::Conductor { known_within } => {
                self.expected.si() * (1.0 + SOUND_CONDUCTOR * known_within.value())
            }
            PartKind::Joint { sound_to } => sound_to.si(),
        }
    }
}

impl Run {
    /// The resistances that explain the readings best, none below zero.
    ///
    /// Minimises sum((drop - sum I R)²/u²) + sum((R - expected)²/prior²) over R >= 0 (Lawson and Hanson). Conductors are held to what
    /// their length and size say; joints are free. Uncertainties are those of the same problem without the bound.
    ///
    /// # Errors
    /// [`Error::Input`] for no readings or parts, a reading that names no part or one that is not there, values that are not finite, and
    /// uncertainties of zero.
    pub fn solve(&self) -> Result<Answer, Error> {
        let n = self.parts.len();
        if n == 0 || self.drops.is_empty() {
            let got = format!("{n} parts and {} readings", self.drops.len());
            return Err(Error::input("run", got, "parts and at least one reading"));
        }
        positive(self.noise, "noise")?;
        not_negative(self.gain, "gain")?;
        let (mut a, mut y) = (Vec::new(), Vec::new());
        for (k, d) in self.drops.iter().enumerate() {
            let name = format!("drop {}", k + 1);
            let sigma = self.noise.si().hypot(self.gain.value() * d.drop.si());
            if d.through.is_empty() || !d.drop.si().is_finite() {
                let got = format!("{} across {} parts", show(d.drop), d.through.len());
                return Err(Error::input(&name, got, "a reading across at least one part"));
            }
            let mut row = vec![0.0; n];
            for (part, current) in &d.through {
                if *part >= n || !current.si().is_finite() {
                    let got = format!("{} through part {} of {n}", show(*current), part + 1);
                    return Err(Error::input(&name, got, "a finite current through a part of the run"));
                }
                row[*part] += current.si();
            }
            a.extend(row.iter().map(|i| i / sigma));
            y.push(d.drop.si() / sigma);
        }
        for (k, p) in self.parts.iter().enumerate() {
            let expected = not_negative(p.expected, &p.id)?.si();
            positive(p.design, &format!("{}, design current", p.id))?;
            let prior = match p.kind {
                PartKind::Conductor { known_within } => {
                    positive(known_within, &p.id)?.value() * positive(p.expected, &p.id)?.si()
                }
                PartKind::Joint { sound_to } => {
                    if not_negative(sound_to, &p.id)?.si() < expected {
                        let got = format!("sound up to {}, expected {}", show(sound_to), show(p.expected));
                        return Err(Error::input(&p.id, got, "a sound range that holds what is expected"));
                    }
                    JOINT_PRIOR_OHMS
                }
            };
            a.extend((0..n).map(|j| if j == k { 1.0 / prior } else { 0.0 }));
            y.push(expected / prior);
        }
        let values = NonNegative::new(&a, n, &y)?.values;
        let spread = LeastSquares::new(&a, n, &y)?.cofactors;
        let mut found: Vec<Found> = (0..n).map(|k| self.found(k, &values, &spread)).collect();
        found.sort_by(|a, b| b.excess.total_cmp(&a.excess).then(a.part.cmp(&b.part)));
        Ok(Answer { found })
    }

    fn found(&self, k: usize, values: &[f64], spread: &[f64]) -> Found {
        let n = self.parts.len();
        let part = &self.parts[k];
        let over = |j: usize| values[j] - self.parts[j].sound_to();
        let cov = |i: usize, j: usize| spread[i * n + j];
        let standard = cov(k, k).sqrt();
        let excess = over(k) / standard;
        let bad = excess > STANDS_OUT;
        // With those that pull against it: what only their sum can show. One that stands out by itself explains itself.
        let stands_out = |j: usize| over(j) > STANDS_OUT * cov(j, j).sqrt();
        let pulls = |j: usize| cov(k, j) / (standard * cov(j, j).sqrt()) < PULL;
        let twins: Vec<usize> = (0..n).filter(|j| *j != k && pulls(*j) && !stands_out(*j)).collect();
        let group: Vec<usize> = std::iter::once(k).chain(twins.iter().copied()).collect();
        let variance: f64 = group.iter().flat_map(|i| group.iter().map(move |j| cov(*i, *j))).sum();
        let sum: f64 = group.iter().map(|j| over(*j)).sum();
        let together = !bad && !twins.is_empty() && sum > STANDS_OUT * variance.max(0.0).sqrt();
        let currents = self.drops.iter().flat_map(|d| &d.through).filter(|(p, _)| *p == k);
        let now = currents.map(|(_, i)| i.si().abs()).fold(0.0, f64::max);
        Found {
            part: k,
            resistance: ohms(values[k]),
            standard: ohms(standard),
            excess,
            heat_now: watts(now * now * over(k).max(0.0)),
            heat_at_design: watts(part.design.si().powi(2) * values[k]),
            bad,
            or_else: if together { twins } else { Vec::new() },
        }
    }
}

impl Answer {
    /// One judgement for each part: bad, sound, or not to be told from its neighbours.
    #[must_use]
    pub fn judgements(&self, run: &Run) -> Vec<Judgement> {
        self.found
            .iter()
            .map(|f| {
                let part = &run.parts[f.part];
                let verdict = match (f.bad, f.or_else.is_empty()) {
                    (true, _) => Verdict::Fail,
                    (false, false) => Verdict::Undecided,
                    (false, true) => Verdict::Pass,
                };
                let severity = match f.heat_at_design.si() {
                    p if p >= 50.0 && f.bad => Severity::A,
                    p if p >= 5.0 => Severity::B,
                    _ => Severity::C,
                };
                let mut j = Judgement::compare(
                    "section-resistance",
                    part.id.clone(),
                    severity,
                    f.resistance,
                    crate::judgement::Sense::AtMost,
                    ohms(part.sound_to()),
                )
                .clause(JOINT_PRACTICE.short(), JOINT_PRACTICE.confidence);
                j.verdict = verdict;
                j.uncertainty = Some(f.standard.into());
                let mut what = format!(
                    "{} where a sound one has up to {}; {} at full load",
                    show(f.resistance),
                    show(ohms(part.sound_to())),
                    show(f.heat_at_design)
                );
                let others: Vec<&str> = f.or_else.iter().map(|k| run.parts[*k].id.as_str()).collect();
                if !others.is_empty() {
                    what += &format!(
                        "; no reading tells it from {}, and together they are bad",
                        others.join(", ")
                    );
                }
                j.what(what).to_do(if others.is_empty() {
                    "open it, clean and re-make it, then read the drop again"
                } else {
                    "put a probe between them and read again"
                })
            })
            .collect()
    }
}
