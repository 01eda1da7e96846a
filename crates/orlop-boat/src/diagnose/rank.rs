//! Probabilities of the causes, and what to measure next.

use super::Asked;
use super::answer::{
    CAUTIONS, DECIDED, Diagnosis, NextMeasurement, RankedCause, UNEXPLAINED, describe, magnitude_word,
};
use super::ask::{METERS, Probe, Trial, counted, standard};
use super::cause::{Axis, Cause, CauseKind, FAULT_ODDS, Target};
use super::predict::Predictor;
use super::reading::{FaultReading, Told, What, Where};
use super::scene::Scene;
use super::sign::{SIGNS, heat};
use crate::check::found::HALF_WIDTH;
use crate::design::Design;
use orlop::proving::diagnose::{Belief, Model, Seen, entropy};
use orlop::{Error, Step, Working};
use orlop_units::{AnyQuantity, Kind, Quantity, show_si, significant, watts};

/// Causes that are less probable are left out of the list, all but the first ten.
const LISTED: f64 = 1e-4;
/// Two readings of one thing that differ by more than this many standard deviations contradict each other.
const CONTRADICT: f64 = 5.0;

pub(super) fn rank(design: &Design, asked: &Asked) -> Result<Diagnosis, Error> {
    let scene = Scene::of(design, &asked.symptoms, &asked.readings)?;
    let (probes, trials) = (scene.probes(), scene.trials());
    let mut causes = scene.causes();
    for cause in &mut causes {
        for (_, factor) in asked.odds.iter().filter(|(kind, _)| *kind == cause.kind) {
            cause.odds *= factor;
        }
    }
    let mut predictor = Predictor::new(&scene, &probes, &trials, &asked.symptoms)?;
    let hypotheses: Vec<_> = causes.iter().map(|c| predictor.hypothesis(c)).collect::<Result<_, _>>()?;
    let model = Model::new(predictor.unknowns.len(), hypotheses)?;
    let finder = Finder { scene: &scene, probes: &probes, trials: &trials, causes: &causes };

    let mut seen: Vec<(String, Seen)> = asked
        .symptoms
        .iter()
        .enumerate()
        .map(|(k, s)| (s.to_string(), Seen::Answer { of: k, yes: true }))
        .collect();
    let mut read: Vec<(String, Seen)> = Vec::new();
    for reading in &asked.readings {
        read.push((reading.to_string(), finder.seen(reading, asked.symptoms.len())?));
    }
    contradictions(&read)?;
    read.sort_by(|a, b| a.0.cmp(&b.0));
    seen.extend(read);

    let mut belief = Belief::new(&model);
    let prior = belief.probabilities();
    let mut working = Working::new("causes");
    finder.step(&mut working, "before anything was seen", &prior, &FAULT_ODDS);
    for (text, one) in &seen {
        belief.see(*one)?;
        let source = if matches!(one, Seen::Value { .. }) { &METERS } else { &SIGNS };
        finder.step(&mut working, text, &belief.probabilities(), source);
    }
    let probabilities = belief.probabilities();
    let mut order: Vec<usize> = (0..causes.len()).collect();
    order.sort_by_key(|h| (descending(probabilities[*h]), *h));
    order = order
        .iter()
        .enumerate()
        .filter(|(k, h)| *k < 10 || probabilities[**h] > LISTED)
        .map(|x| *x.1)
        .collect();
    let mut listed = Vec::new();
    for (k, h) in order.iter().enumerate() {
        listed.push(finder.ranked(k + 1, *h, prior[*h], probabilities[*h], &belief, &predictor)?);
    }
    let explained = belief.explained();
    let decided = probabilities[order[0]] >= DECIDED && explained >= UNEXPLAINED;
    let next =
        if decided || explained < UNEXPLAINED { Vec::new() } else { finder.next(&belief, asked, &seen) };
    let verdict = verdict(&listed, decided, explained, &next);
    Ok(Diagnosis {
        symptoms: asked.symptoms.iter().map(ToString::to_string).collect(),
        readings: asked.readings.iter().map(ToString::to_string).collect(),
        switched_on: scene.switched_on(),
        verdict,
        decided,
        explained,
        missing_bits: entropy(&probabilities),
        causes: listed,
        next,
        cautions: CAUTIONS.to_vec(),
        working,
    })
}

/// A key that sorts downwards and takes for equal what differs in the tenth digit: what was told in another order.
pub(super) fn descending(x: f64) -> i64 {
    #[allow(clippy::cast_possible_truncation)] // The logarithm of a float is below a thousand.
    let key = (-1e9 * x.max(f64::MIN_POSITIVE).ln()).round() as i64;
    key
}

fn percent(p: f64) -> String {
    let text = match 100.0 * p {
        x if x >= 99.5 => "more than 99".to_string(),
        x if x < 1.0 => "less than 1".to_string(),
        x => format!("{x:.0}"),
    };
    text + " %"
}

fn verdict(listed: &[RankedCause], decided: bool, explained: f64, next: &[NextMeasurement]) -> String {
    let first = &listed[0];
    let chance = percent(first.probability);
    if explained < UNEXPLAINED {
        return format!(
            "None of these causes by itself explains the readings. Nearest is: {}. Measure again, with the same things switched on; \
             there may be two faults, or the boat is not as its file says.",
            first.what
        );
    }
    if decided {
        let size = first.size.as_ref().map_or(String::new(), |[best, low, high]| {
            format!("; {} {} ({} to {})", first.magnitude, short(best), short(low), short(high))
        });
        return format!("{} ({chance}){size}.", first.what);
    }
    match next.first() {
        Some(next) => format!("Most probable: {} ({chance}). Next: {}.", first.what, next.how),
        None => {
            let share = 0.1 * first.probability;
            let alike: Vec<&str> =
                listed.iter().filter(|c| c.probability > share).map(|c| c.what.as_str()).collect();
            format!("Cannot be told apart by what can be read here: {}.", alike.join("; "))
        }
    }
}

/// A value with three digits.
pub(super) fn short(q: &AnyQuantity) -> String {
    if q.kind == Kind::Number { significant(q.si, 3) } else { show_si(q.kind, q.si) }
}

/// # Errors
/// [`Error::Input`] naming two readings of one thing that cannot both be right.
fn contradictions(read: &[(String, Seen)]) -> Result<(), Error> {
    for (k, (text, one)) in read.iter().enumerate() {
        for (other, two) in &read[..k] {
            let differ = match (one, two) {
                (
                    Seen::Value { of: a, reading: x, standard: u },
                    Seen::Value { of: b, reading: y, standard: v },
                ) => a == b && (x - y).abs() > CONTRADICT * u.hypot(*v),
                (Seen::Answer { of: a, yes: x }, Seen::Answer { of: b, yes: y }) => a == b && x != y,
                _ => false,
            };
            if differ {
                return Err(Error::Input {
                    field: "readings".into(),
                    got: format!("'{other}' and '{text}'"),
                    expected: "readings of one thing that agree".into(),
                    hint: "measure again with the same things switched on, and give the later one only"
                        .into(),
                });
            }
        }
    }
    Ok(())
}

pub(super) struct Finder<'a, 'b> {
    pub scene: &'b Scene<'a>,
    pub probes: &'b [Probe],
    pub trials: &'b [Trial],
    pub causes: &'b [Cause],
}

impl Finder<'_, '_> {
    /// A reading as the model sees it.
    fn seen(&self, reading: &FaultReading, symptoms: usize) -> Result<Seen, Error> {
        let place = &reading.place;
        match &reading.told {
            Told::Answer(yes) => {
                let of = self.trials.iter().position(|t| t.place == *place);
                let all = || self.trials.iter().map(|t| &t.place).collect();
                let of = of.ok_or_else(|| self.no_such(place, all()))?;
                Ok(Seen::Answer { of: symptoms + of, yes: *yes })
            }
            Told::Value(value, half) => {
                let of = self.probes.iter().position(|p| self.same(&p.place, place));
                let all = || self.probes.iter().map(|p| &p.place).collect();
                let of = of.ok_or_else(|| self.no_such(place, all()))?;
                let stated = half.map(|h| h / HALF_WIDTH);
                let standard = standard(&self.probes[of], value.si, stated);
                Ok(Seen::Value { of, reading: counted(place.what, value.si), standard })
            }
        }
    }

    /// The same place, under whichever of its names.
    fn same(&self, a: &Where, b: &Where) -> bool {
        let one_node = a.what == What::Voltage && self.scene.node(&a.at) == self.scene.node(&b.at);
        a.what == b.what && a.spot == b.spot && a.when == b.when && (a.at == b.at || one_node)
    }

    fn no_such(&self, place: &Where, all: Vec<&Where>) -> Error {
        let alike: Vec<String> =
            all.iter().filter(|w| w.what == place.what).take(8).map(|w| format!("'{w}'")).collect();
        let expected = if alike.is_empty() {
            "something that can be read on the way of what is complained of".to_string()
        } else {
            format!("something on the way of what is complained of: {}", alike.join(", "))
        };
        Error::input("reading", format!("'{place}'"), expected)
    }

    pub fn address(&self, cause: &Cause) -> String {
        let boat = self.scene.boat;
        match cause.target {
            Target::Circuit(c) => format!("circuit.{}", boat.circuits[c].id),
            Target::Load(l) => format!("load.{}", boat.loads[l].id),
            Target::Bank(b) => format!("bank.{}", boat.banks[b].id),
            Target::Source(s) => format!("source.{}", boat.sources[s].id),
            Target::Node(n) => self.scene.anatomy.nodes[n].clone(),
            Target::Nothing => "boat".into(),
        }
    }

    pub fn words(&self, cause: &Cause) -> String {
        describe(cause, &self.scene.name(&self.address(cause)))
    }

    fn step(&self, working: &mut Working, what: &str, probabilities: &[f64], source: &orlop::Citation) {
        let mut order: Vec<usize> = (0..probabilities.len()).collect();
        order.sort_by_key(|h| (descending(probabilities[*h]), *h));
        // Rounding may leave a little less than nothing.
        let bits = format!("{:.2} bits missing", entropy(probabilities).max(0.0));
        let mut step = Step::new(what, "", bits)
            .formula("P(cause | seen) = P(seen | cause, magnitude) P(cause), summed over magnitudes, of the sum over all causes")
            .source(source);
        for h in order.into_iter().take(3) {
            step = step.input(self.words(&self.causes[h]), percent(probabilities[h]));
        }
        working.steps.push(step);
    }

    fn ranked(
        &self,
        rank: usize,
        h: usize,
        prior: f64,
        probability: f64,
        belief: &Belief<'_>,
        predictor: &Predictor<'_, '_>,
    ) -> Result<RankedCause, Error> {
        let cause = &self.causes[h];
        let found = belief.magnitude(h, 0.95).filter(|_| cause.axis != Axis::Fixed);
        let kind = match cause.axis {
            Axis::Ohms(..) => Kind::Resistance,
            Axis::Amps(..) => Kind::Current,
            Axis::Volts(..) => Kind::Voltage,
            Axis::Times(..) | Axis::Fixed => Kind::Number,
        };
        let size = found.map(|(best, low, high)| {
            [best, low, high].map(|at| AnyQuantity { kind, si: cause.axis.magnitude(at), as_written: None })
        });
        let hot = cause.kind.is_series() || matches!(cause.kind, CauseKind::Terminal | CauseKind::Undersized);
        let (mut heat_now, mut heat_full) = (None, None);
        if let Some([best, ..]) = size.as_ref().filter(|_| hot) {
            let solved = predictor.solved(cause, best.si, &belief.unknowns(h))?;
            heat_now = Some(watts(heat(self.scene, cause, best.si, &solved)));
            if let (Target::Circuit(c), true) = (cause.target, cause.kind.is_series()) {
                let amps = self.scene.design.circuits[c].design_current.si();
                heat_full = Some(watts(amps * amps * best.si));
            }
        }
        Ok(RankedCause {
            rank,
            kind: cause.kind,
            at: self.address(cause),
            spot: cause.spot,
            what: self.words(cause),
            prior,
            probability,
            magnitude: magnitude_word(cause.kind),
            size,
            heat_now,
            heat_full,
            fit: belief.fits(h),
            remedy: cause.kind.remedy(),
        })
    }
}
