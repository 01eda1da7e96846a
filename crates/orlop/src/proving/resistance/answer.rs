//! What a run's readings say of its parts.

use super::joint::JOINT_PRACTICE;
use super::run::Run;
use crate::judgement::{Judgement, Severity, Verdict};
use orlop_units::{Power, Quantity, Resistance, show};

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
    /// Whether it stands out, and no other part explains the readings as well.
    pub bad: bool,
    /// Parts that explain the readings as well as this one, each by itself.
    pub or_else: Vec<usize>,
    /// Two parts that explain them as well together.
    pub or_both: Vec<usize>,
    /// Least excess that the readings would have shown; infinite where none goes through it.
    pub shown_from: Resistance,
    /// Whether a reading goes through it.
    pub read: bool,
    /// Whether a reading through it contradicts the others.
    pub contradicted: bool,
}

/// The parts of a run after the readings, worst first.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// The parts, by excess.
    pub found: Vec<Found>,
    /// Readings, by place, that no resistances bring together with the others.
    pub contradicting: Vec<usize>,
}

impl Found {
    /// Bad, sound, or not to be told: by other parts that explain as much, or by a contradiction.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        match (self.bad, self.or_else.is_empty() && self.or_both.is_empty() && !self.contradicted) {
            (true, _) => Verdict::Fail,
            (false, false) => Verdict::Undecided,
            (false, true) => Verdict::Pass,
        }
    }

    /// What leaves it undecided, as the end of a sentence, and what to do about it.
    #[must_use]
    pub fn doubt(&self, name: impl Fn(usize) -> String) -> (String, &'static str) {
        let names = |parts: &[usize], and: &str| parts.iter().map(|k| name(*k)).collect::<Vec<_>>().join(and);
        if self.contradicted {
            let said =
                "; the readings through it contradict each other, or what is stated of length and size";
            return (said.into(), "check length and size, then read again, each at a steady current");
        }
        if !self.or_else.is_empty() {
            let said =
                format!("; no reading tells it from {}, and one of them is bad", names(&self.or_else, ", "));
            return (said, "put a probe between them and read again");
        }
        if !self.or_both.is_empty() {
            let said = format!("; or instead of it {} are bad", names(&self.or_both, " and "));
            return (said, "read the drop across each of them alone");
        }
        (String::new(), "open it, clean and re-make it, then read the drop again")
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
                let verdict = f.verdict();
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
                    part.sound_to(),
                )
                .clause(JOINT_PRACTICE.short(), JOINT_PRACTICE.confidence);
                j.verdict = verdict;
                j.uncertainty = Some(f.standard.into());
                let what = format!(
                    "{} where a sound one has up to {}; {} at full load",
                    show(f.resistance),
                    show(part.sound_to()),
                    show(f.heat_at_design)
                );
                let (doubt, to_do) = f.doubt(|k| run.parts[k].id.clone());
                j.what(what + &doubt).to_do(to_do)
            })
            .collect()
    }
}
