//! The choice: smallest size for each criterion, the largest of them taken.

use super::drop::SmallerLoads;
use super::evaluate::Evaluation;
use super::question::{CircuitQuestion, Criterion};
use super::rules;
use crate::conductor::{equivalent_area_order, standard_sizes};
use crate::error::Error;
use crate::judgement::{Judgement, Sense, meets};
use crate::protection::NoDevice;
use crate::source::Confidence;
use crate::working::{Recorder, Silent, Step};
use orlop_units::{ConductorSize, Current, Quantity};
use std::cmp::Ordering;

/// One criterion: what it asks for, and what room the size taken leaves.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct CriterionMargin {
    /// Which.
    pub criterion: Criterion,
    /// Smallest size that meets it; none when no standard size does.
    pub asks_for: Option<ConductorSize>,
    /// Room left over its limit, as a share of it.
    pub margin: Option<f64>,
}

/// A circuit with its conductor and device.
#[derive(Clone, Debug)]
pub struct CircuitAnswer {
    /// The size taken, worked through.
    pub taken: Evaluation,
    /// What asked for the largest size.
    pub governed_by: Criterion,
    /// Every criterion.
    pub margins: Vec<CriterionMargin>,
    /// Every rule of a single circuit, passes as well as failures.
    pub judgements: Vec<Judgement>,
    /// Why no device fits, when none does.
    pub no_device: Option<NoDevice>,
    /// Lowest and highest rating that would do.
    pub window: (Current, Option<Current>),
    /// Weakest source it rests on.
    pub confidence: Confidence,
    /// Remarks.
    pub flags: Vec<String>,
}

impl CircuitAnswer {
    /// Judgements that failed or could not be decided.
    pub fn findings(&self) -> impl Iterator<Item = &Judgement> {
        self.judgements.iter().filter(|j| j.is_finding())
    }
}

/// Which conductor and device does this circuit need?
///
/// For each of [`Criterion`] the smallest standard size that meets it alone; the largest of them is taken.
/// A given size is only judged.
///
/// # Errors
/// [`Error::Input`] for values that cannot be computed, [`Error::OutOfTable`] where the rule set has no ampacity,
/// [`Error::NoSolution`] when no standard size meets heat or drop. A device that does not exist is a finding, no error.
pub fn size_circuit(q: &CircuitQuestion) -> Result<CircuitAnswer, Error> {
    size_circuit_recorded(q, &mut Silent)
}

/// [`size_circuit`] with its working.
///
/// # Errors
/// As [`size_circuit`].
pub fn size_circuit_recorded(q: &CircuitQuestion, rec: &mut impl Recorder) -> Result<CircuitAnswer, Error> {
    let (governed_by, asks, tried, at) = choose(q)?;
    let taken = Evaluation::of(q, &SmallerLoads::of(q), tried[at].conductor.size(), rec)?;
    let (governed_by, margins) = margins(q, governed_by, &asks, &tried, &taken);
    rec.step(|| {
        let mut step = Step::new("Conductor taken", "", taken.conductor.size().to_string())
            .formula(format!("the largest that any criterion asks for; {} governs", governed_by.word()));
        for m in &margins {
            let size = m.asks_for.map_or_else(|| "no standard size".to_string(), |s| s.to_string());
            let room = m.margin.map_or_else(String::new, |x| format!(", margin {:.0} %", 100.0 * x));
            step = step.input(m.criterion.word(), format!("{size}{room}"));
        }
        step
    });
    let judgements = rules::judge(q, &taken);
    Ok(finish(q, taken, governed_by, margins, judgements))
}

/// [`size_circuit`] with neither judgements nor reasons why no device fits: for a choice that is made many times before it stands.
///
/// # Errors
/// As [`size_circuit`].
pub fn size_circuit_unjudged(q: &CircuitQuestion) -> Result<CircuitAnswer, Error> {
    let (governed_by, asks, mut tried, at) = choose(q)?;
    let (governed_by, margins) = margins(q, governed_by, &asks, &tried, &tried[at]);
    Ok(finish(q, tried.swap_remove(at), governed_by, margins, Vec::new()))
}

/// What each criterion asks for: the place of a size among those tried.
type Asks = Vec<(Criterion, Option<usize>)>;

/// The criterion that governs, what each asks for, the sizes tried and which of them is taken.
fn choose(q: &CircuitQuestion) -> Result<(Criterion, Asks, Vec<Evaluation>, usize), Error> {
    q.check()?;
    let smaller = SmallerLoads::of(q);
    let mut asks: Asks = Criterion::ALL.iter().map(|c| (*c, None)).collect();
    let mut tried: Vec<Evaluation> = Vec::new();
    for size in candidates(q)? {
        let evaluation = Evaluation::candidate(q, &smaller, size)?;
        for (criterion, at) in &mut asks {
            if at.is_none() && evaluation.keeps(q, *criterion) {
                *at = Some(tried.len());
            }
        }
        tried.push(evaluation);
        if asks.iter().all(|(_, at)| at.is_some()) {
            break;
        }
    }
    // Where no size gets a device, the conductor is still sized by everything else, and the finding says why.
    let last = tried.len() - 1;
    let missing =
        asks.iter().filter(|(c, at)| at.is_none() && *c != Criterion::Protection).map(|(c, _)| *c).next();
    if let Some(criterion) = missing.filter(|_| q.size.is_none()) {
        return Err(no_size(q, criterion, &tried[last]));
    }
    let (governed_by, at) = govern(&asks, last, q.size.is_some());
    Ok((governed_by, asks, tried, at))
}

/// Every criterion with the room it leaves, and the one that governs.
fn margins(
    q: &CircuitQuestion,
    mut governed_by: Criterion,
    asks: &Asks,
    tried: &[Evaluation],
    taken: &Evaluation,
) -> (Criterion, Vec<CriterionMargin>) {
    let margins: Vec<CriterionMargin> = asks
        .iter()
        .map(|(criterion, at)| CriterionMargin {
            criterion: *criterion,
            asks_for: at.map(|at| tried[at].conductor.size()),
            margin: margin(*criterion, q, taken),
        })
        .collect();
    // Nothing was asked of a given size: the tightest criterion governs it.
    let tightest = margins.iter().filter_map(|m| m.margin.map(|room| (room, m.criterion)));
    if let Some((_, criterion)) = tightest.min_by(|a, b| a.0.total_cmp(&b.0)).filter(|_| q.size.is_some()) {
        governed_by = criterion;
    }
    (governed_by, margins)
}

/// Every size of the series (or the given one), small to large, each worked through: what a choice among circuits needs.
///
/// # Errors
/// [`Error::Input`] for values that cannot be computed.
pub fn evaluate_sizes(q: &CircuitQuestion) -> Result<Vec<Evaluation>, Error> {
    q.check()?;
    let smaller = SmallerLoads::of(q);
    candidates(q)?.into_iter().map(|size| Evaluation::candidate(q, &smaller, size)).collect()
}

fn finish(
    q: &CircuitQuestion,
    taken: Evaluation,
    governed_by: Criterion,
    margins: Vec<CriterionMargin>,
    judgements: Vec<Judgement>,
) -> CircuitAnswer {
    let mut confidence = Confidence::Published;
    let mut flags = Vec::new();
    if let Ok(ampacity) = &taken.ampacity {
        confidence = confidence.weaker(ampacity.confidence);
        flags.extend(ampacity.flags.iter().cloned());
    }
    if let Ok(heat) = &taken.heat {
        flags.extend(heat.flags.iter().cloned());
    }
    if let Some(device) = taken.taken() {
        confidence = confidence.weaker(device.confidence());
    }
    flags.dedup();
    CircuitAnswer {
        window: (q.current * 1.25, taken.device_limit),
        no_device: taken.device.as_ref().err().cloned(),
        taken,
        governed_by,
        margins,
        judgements,
        confidence,
        flags,
    }
}

/// The sizes to try, small to large.
fn candidates(q: &CircuitQuestion) -> Result<Vec<ConductorSize>, Error> {
    if let Some(size) = q.size {
        return Ok(vec![size]);
    }
    let all = standard_sizes(q.sizes).to_vec();
    if all.is_empty() {
        return Err(Error::input("sizes", q.sizes.word(), "a series with standard sizes"));
    }
    Ok(all)
}

/// The criterion that asks for the largest size, and that size.
fn govern(asks: &[(Criterion, Option<usize>)], last: usize, given: bool) -> (Criterion, usize) {
    let mut best = (Criterion::Heat, 0);
    for (criterion, at) in asks {
        let at = match at {
            Some(at) => *at,
            None if *criterion == Criterion::Protection && !given => continue,
            None => last,
        };
        if at > best.1 {
            best = (*criterion, at);
        }
    }
    best
}

impl Evaluation {
    /// Whether this size meets one criterion of the question it was worked through for.
    #[must_use]
    pub fn keeps(&self, q: &CircuitQuestion, criterion: Criterion) -> bool {
        let e = self;
        match criterion {
            Criterion::Heat => {
                let carries = q.exempt
                    || e.ampacity
                        .as_ref()
                        .is_ok_and(|a| meets(q.current.si(), Sense::AtMost, a.current.si()));
                let cool = e
                    .heat
                    .as_ref()
                    .is_ok_and(|h| meets(h.temperature.si(), Sense::AtMost, q.insulation.si()));
                carries && cool
            }
            Criterion::Protection => match &e.device {
                Ok(Some(device)) if q.device.is_some() => {
                    q.exempt
                        || e.device_limit.is_some_and(|l| meets(device.rating().si(), Sense::AtMost, l.si()))
                }
                Ok(_) => true,
                Err(_) => false,
            },
            Criterion::Drop => q.budget.is_none_or(|b| {
                meets(e.drop_floor.si(), Sense::AtMost, b.physical.si())
                    && meets(e.rule_drop.si(), Sense::AtMost, b.rule.si())
            }),
            Criterion::Mechanical => at_least(e.conductor.size(), q.rules.minimum_area(q.sheathed).value),
            Criterion::Termination => q.minimum_size.is_none_or(|least| at_least(e.conductor.size(), least)),
        }
    }
}

pub(super) fn at_least(size: ConductorSize, least: ConductorSize) -> bool {
    equivalent_area_order(&size, &least) != Ordering::Less
}

/// Room left for one criterion, as a share of its limit: the smaller where it has two limits.
fn margin(criterion: Criterion, q: &CircuitQuestion, e: &Evaluation) -> Option<f64> {
    let room = |value: f64, limit: f64| (limit > 0.0).then(|| (limit - value) / limit);
    let least = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    };
    match criterion {
        Criterion::Heat => {
            let ambient = q.run_ambient();
            let rise = e.heat.as_ref().ok().and_then(|h| {
                room(h.temperature.minus(ambient).in_kelvins(), q.insulation.minus(ambient).in_kelvins())
            });
            let carried = e.ampacity.as_ref().ok().and_then(|a| room(q.current.si(), a.current.si()));
            least(carried, rise)
        }
        Criterion::Protection => {
            let rating = e.taken()?.rating();
            e.device_limit.and_then(|limit| room(rating.si(), limit.si()))
        }
        Criterion::Drop => {
            let budget = q.budget?;
            least(room(e.drop.si(), budget.physical.si()), room(e.rule_drop.si(), budget.rule.si()))
        }
        Criterion::Mechanical => area_margin(e, q.rules.minimum_area(q.sheathed).value, q),
        Criterion::Termination => area_margin(e, q.minimum_size?, q),
    }
}

fn area_margin(e: &Evaluation, least: ConductorSize, q: &CircuitQuestion) -> Option<f64> {
    let least = crate::conductor::Conductor::new(least, q.insulation, q.material, q.tinned).ok()?;
    Some(e.conductor.area().si() / least.area().si() - 1.0)
}

fn no_size(q: &CircuitQuestion, criterion: Criterion, largest: &Evaluation) -> Error {
    if let (Criterion::Heat, Err(error @ Error::OutOfTable { .. })) = (criterion, &largest.ampacity) {
        return error.clone();
    }
    let size = largest.conductor.size();
    let what = match criterion {
        Criterion::Heat => match &largest.ampacity {
            Ok(a) => format!(
                "even {size} carries only {} here, {} are asked for",
                orlop_units::show(a.current),
                orlop_units::show(q.current)
            ),
            Err(error) => error.to_string(),
        },
        Criterion::Drop => format!(
            "even {size} drops {} over this run, {} are left",
            orlop_units::show(largest.drop_floor),
            q.budget.map_or_else(String::new, |b| orlop_units::show(b.physical))
        ),
        _ => format!("no standard {} size is large enough", q.sizes.word()),
    };
    let hint = match criterion {
        Criterion::Heat => "split the load, use parallel runs, a cooler way or a smaller bundle",
        Criterion::Drop => {
            "shorten the run, raise the system voltage, use parallel runs, or permit more drop where the rules do"
        }
        _ => "ask for a smaller minimum size or another series",
    };
    Error::NoSolution { what, hint: hint.into() }
}
