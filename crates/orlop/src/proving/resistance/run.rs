//! Which part of a run is bad, from drops read between a few places on it.

use super::answer::{Answer, Found};
use super::suspects::Problem;
use crate::error::{Error, not_negative, positive};
use orlop_units::{Current, Fraction, Quantity, Resistance, Voltage, ohms, show, watts};

/// A sound conductor may be so many standard uncertainties above what is expected of it.
const SOUND_CONDUCTOR: f64 = 2.0;
/// A reading that is so many standard uncertainties off what the others make of it contradicts them.
const CONTRADICTS: f64 = 4.0;

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
    /// Its own standard uncertainty, instead of that of the run.
    pub standard: Option<Voltage>,
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

impl Part {
    /// The most that a sound one has.
    #[must_use]
    pub fn sound_to(&self) -> Resistance {
        ohms(match self.kind {
            PartKind::Conductor { known_within } => {
                self.expected.si() * (1.0 + SOUND_CONDUCTOR * known_within.value())
            }
            PartKind::Joint { sound_to } => sound_to.si(),
        })
    }

    /// Standard uncertainty of a sound one: the end of the sound range is two of them away.
    fn spread(&self) -> f64 {
        ((self.sound_to().si() - self.expected.si()) / 2.0).max(1e-7)
    }
}

impl Run {
    /// The fewest bad parts that explain the readings, and the resistances that then explain them best, none below zero.
    ///
    /// Minimises sum((drop - sum I R)²/u²) + sum((R - expected)²/spread²) over R >= 0 (non-negative least squares by active set), where
    /// bad parts have no second term. A part is bad when it takes at least 3² from that sum; the one that takes most goes first.
    /// Parts that explain as much (within 2²) are named together. Uncertainties are those of the same problem without the bound.
    ///
    /// # Errors
    /// [`Error::Input`] for no readings or parts, a reading that names no part or one that is not there, values that are not finite, a drop
    /// below zero beyond its noise, and uncertainties of zero.
    pub fn solve(&self) -> Result<Answer, Error> {
        let n = self.parts.len();
        if n == 0 || self.drops.is_empty() {
            let got = format!("{n} parts and {} readings", self.drops.len());
            return Err(Error::input("run", got, "parts and at least one reading"));
        }
        positive(self.noise, "noise")?;
        not_negative(self.gain, "gain")?;
        self.parts.iter().try_for_each(Part::check)?;
        let (mut rows, mut drops) = (Vec::new(), Vec::new());
        for (k, d) in self.drops.iter().enumerate() {
            let (row, sigma) = self.row(d, &format!("drop {}", k + 1))?;
            rows.push(row);
            drops.push((d.drop.si(), sigma * sigma));
        }
        let expected = self.parts.iter().map(|p| (p.expected.si(), p.spread().powi(2))).collect();
        let explained = Problem::new(&rows, drops, expected).explain();
        let out_of_hand = || {
            let got = "values too far apart to compute with";
            Error::input("run", got, "readings and parts of one boat, in the units they were read in")
        };
        let explained = explained.ok_or_else(out_of_hand)?;
        let contradicting: Vec<usize> =
            (0..rows.len()).filter(|i| explained.off[*i].abs() > CONTRADICTS).collect();
        let mut found = Vec::new();
        for (k, part) in self.parts.iter().enumerate() {
            let (value, standard) = explained.values[k];
            let over = value - part.sound_to().si();
            let through = |i: &usize| rows[*i].iter().any(|(p, _)| *p == k);
            let currents = rows.iter().flatten().filter(|(p, _)| *p == k);
            let now = currents.map(|(_, i)| i.abs()).fold(0.0, f64::max);
            let suspect = explained.suspects.iter().find(|s| s.part == k || s.or_else.contains(&k));
            let group = suspect.map_or_else(Vec::new, |s| {
                let mut group: Vec<usize> =
                    std::iter::once(s.part).chain(s.or_else.iter().copied()).collect();
                group.sort_unstable();
                group.retain(|j| *j != k);
                group
            });
            let or_both = suspect.map_or_else(Vec::new, |s| s.or_both.clone());
            let contradicted = contradicting.iter().any(through);
            found.push(Found {
                part: k,
                resistance: ohms(value),
                standard: ohms(standard),
                excess: over / standard,
                heat_now: watts(now * now * over.max(0.0)),
                heat_at_design: watts(part.design.si().powi(2) * value),
                bad: suspect.is_some() && group.is_empty() && or_both.is_empty() && !contradicted,
                or_else: group,
                or_both,
                shown_from: ohms(explained.shown_from[k]),
                read: (0..rows.len()).any(|i| through(&i)),
                contradicted,
            });
        }
        found.sort_by(|a, b| b.excess.total_cmp(&a.excess).then(a.part.cmp(&b.part)));
        Ok(Answer { found, contradicting })
    }

    /// Parts of a reading with their currents, and its standard uncertainty.
    fn row(&self, d: &Drop, name: &str) -> Result<(Vec<(usize, f64)>, f64), Error> {
        let n = self.parts.len();
        if d.through.is_empty() || !d.drop.si().is_finite() {
            let got = format!("{} across {} parts", show(d.drop), d.through.len());
            return Err(Error::input(name, got, "a reading across at least one part"));
        }
        let sigma = match d.standard {
            Some(own) => positive(own, name)?.si(),
            None => self.noise.si().hypot(self.gain.value() * d.drop.si()),
        };
        let mut row: Vec<(usize, f64)> = Vec::new();
        for (part, current) in &d.through {
            if *part >= n || !current.si().is_finite() {
                let got = format!("{} through part {} of {n}", show(*current), part + 1);
                return Err(Error::input(name, got, "a finite current through a part of the run"));
            }
            match row.iter_mut().find(|(k, _)| k == part) {
                Some((_, sum)) => *sum += current.si(),
                None => row.push((*part, current.si())),
            }
        }
        let none = row.iter().all(|(_, i)| *i == 0.0);
        if none {
            return Err(Error::input(name, "no current", "the current that flowed, above zero"));
        }
        if d.drop.si() < -4.0 * sigma && row.iter().all(|(_, i)| *i >= 0.0) {
            let got = format!("{} with the current", show(d.drop));
            return Err(Error::input(
                name,
                got,
                "a drop of zero or more: swap the probes, or give the current below zero",
            ));
        }
        Ok((row, sigma))
    }
}

impl Part {
    /// Whether its numbers are numbers.
    fn check(&self) -> Result<(), Error> {
        let expected = not_negative(self.expected, &self.id)?.si();
        positive(self.design, &format!("{}, design current", self.id))?;
        match self.kind {
            PartKind::Conductor { known_within } => {
                positive(known_within, &self.id)?;
                positive(self.expected, &self.id)?;
            }
            PartKind::Joint { sound_to } => {
                if not_negative(sound_to, &self.id)?.si() < expected {
                    let got = format!("sound up to {}, expected {}", show(sound_to), show(self.expected));
                    return Err(Error::input(&self.id, got, "a sound range that holds what is expected"));
                }
            }
        }
        Ok(())
    }
}
