//! Least copper for the whole feed tree: every useful size of every circuit as a choice, the cheapest choices taken together.
//!
//! Currents are those of each scenario, temperatures those at the design current, so what a circuit drops depends on its own
//! size alone, and [`orlop::network::least`] is exact. What a choice must keep by itself (heat, protection, smallest
//! area, the feeder's own limit) decides whether it is offered at all. [`super::settle`] verifies the sizes with the devices
//! that then follow.

use super::envelope::Envelope;
use super::settle::hot;
use orlop::circuit::{Criterion, Evaluation, evaluate_sizes};
use orlop::conductor::equivalent_area_order;
use orlop::network::least::{Choice, Dimension, LeastCopper, Segment};
use orlop::protection::{Device, NoDevice, fitting};
use orlop::{Error, Sense, meets};
use orlop_units::{ConductorSize, Current, Mass, Quantity, Resistance, Voltage, ohms, volts};

/// One size of one circuit.
#[derive(Clone, Debug)]
struct Candidate {
    size: ConductorSize,
    mass: Mass,
    /// Conductor, device and joints, warm.
    ohms: f64,
    /// Volts by the rule set's formula at one ampere.
    rule: f64,
    /// Conductor and joints at the insulation's rating.
    hot: f64,
    /// Most hot ohms from the source to the far end with which its device still clears.
    clears: Option<f64>,
}

/// Every size of every circuit, worked through once.
pub(super) struct Candidates {
    all: Vec<Vec<Candidate>>,
    asked: Vec<Asked>,
}

/// What the candidates of a circuit rest on, besides what never changes while sizes settle.
#[derive(PartialEq)]
struct Asked {
    breaks: Option<Current>,
    families: Vec<String>,
    /// Hot ohms of everything before it, with the largest and with the smallest sizes.
    before: (f64, f64),
}

/// The sizes of a whole boat.
pub(super) struct Plan {
    pub circuits: Vec<Planned>,
    /// By how much the mass may exceed the least.
    pub gap: Mass,
}

/// What was planned for one circuit.
#[derive(Clone, Copy, Debug)]
pub(super) struct Planned {
    pub size: ConductorSize,
    pub ohms: f64,
    pub rule: f64,
}

/// How a boat's tree is put as a problem: the case dimensions, for shadow prices.
pub(super) struct Posed {
    pub problem: LeastCopper,
    pub drops: Vec<Dimension<Voltage>>,
    taken_from: Vec<Vec<Candidate>>,
}

impl Candidates {
    /// # Errors
    /// [`Error::Input`] for a circuit that cannot even be judged.
    pub fn of(envelope: &Envelope) -> Result<Self, Error> {
        Self::again(envelope, None)
    }

    /// The same, taking over from the `last` time what still holds: of an envelope that differs only in what a network told.
    ///
    /// # Errors
    /// As [`Self::of`].
    pub fn again(envelope: &Envelope, last: Option<&Self>) -> Result<Self, Error> {
        let mut all: Vec<Vec<Candidate>> = vec![Vec::new(); envelope.segments.len()];
        let mut before = vec![(0.0, 0.0); envelope.segments.len()];
        let mut kept: Vec<Option<Asked>> = envelope.segments.iter().map(|_| None).collect();
        for &at in &envelope.order {
            if let Some(up) = envelope.segments[at].parent {
                let hot = || all[up].iter().map(|c| c.hot);
                let (least, most) = (hot().fold(f64::INFINITY, f64::min), hot().fold(0.0, f64::max));
                before[at] = (before[up].0 + least, before[up].1 + most);
            }
            let families = envelope.segments[at].question.families.clone();
            let asked = Asked { breaks: envelope.breaks[at], families, before: before[at] };
            all[at] = match last.filter(|l| l.asked[at] == asked) {
                Some(last) => last.all[at].clone(),
                None => candidates(envelope, at, before[at])?,
            };
            kept[at] = Some(asked);
        }
        Ok(Self { all, asked: kept.into_iter().map(|a| a.expect("every segment is in the order")).collect() })
    }

    /// The lightest sizes that keep every promise that can be kept; none when they cannot be had together.
    ///
    /// # Errors
    /// [`Error::Input`] for what cannot be computed.
    pub fn plan(&self, envelope: &Envelope, floors: &[Option<ConductorSize>]) -> Result<Option<Plan>, Error> {
        for clearing in [true, false] {
            let posed = self.pose(envelope, floors, clearing);
            match posed.problem.solve() {
                Ok(best) => {
                    let planned = best.taken.iter().zip(&posed.taken_from).map(|(taken, from)| {
                        let c = &from[taken.choice];
                        Planned { size: c.size, ohms: c.ohms, rule: c.rule }
                    });
                    return Ok(Some(Plan { circuits: planned.collect(), gap: Mass::from_si(best.gap) }));
                }
                Err(Error::NoSolution { .. }) => {}
                Err(error) => return Err(error),
            }
        }
        Ok(None)
    }

    /// The tree as a problem of least copper.
    pub fn pose(&self, envelope: &Envelope, floors: &[Option<ConductorSize>], clearing: bool) -> Posed {
        let mut cases: Vec<&str> =
            envelope.loads.iter().flat_map(|l| l.scenarios.iter().map(|s| s.0.as_str())).collect();
        cases.sort_unstable();
        cases.dedup();
        let place = |case: &str| cases.binary_search(&case).expect("all cases are listed");
        let mut amperes = vec![vec![0.0; cases.len()]; envelope.segments.len()];
        for load in &envelope.loads {
            for (case, currents) in &load.scenarios {
                for (s, current) in load.segments.iter().zip(currents) {
                    amperes[*s][place(case)] = *current;
                }
            }
        }
        let mut offered: Vec<Vec<Candidate>> =
            self.all.iter().zip(floors).map(|(all, floor)| from_floor(all, *floor)).collect();

        let mut problem = LeastCopper::new();
        let physical: Vec<_> =
            cases.iter().map(|c| problem.dimension::<Voltage>(format!("the drop in {c}"))).collect();
        let rule: Vec<_> = cases
            .iter()
            .map(|c| problem.dimension::<Voltage>(format!("the drop by formula in {c}")))
            .collect();
        let way = problem.dimension::<Resistance>("the loop resistance");

        let mut caps: Vec<Vec<(usize, Voltage)>> = vec![Vec::new(); envelope.segments.len()];
        for load in &envelope.loads {
            let Some(&last) = load.segments.last() else { continue };
            let least = |currents: &[f64], of: fn(&Candidate) -> f64| -> f64 {
                let each = load.segments.iter().zip(currents);
                each.map(|(s, i)| i * offered[*s].iter().map(of).fold(f64::INFINITY, f64::min)).sum()
            };
            let kept = |volts| meets(volts, Sense::AtMost, load.permitted);
            let hopeless = load.scenarios.iter().any(|(_, currents)| {
                !kept(least(currents, |c| c.ohms)) || !kept(least(currents, |c| c.rule))
            });
            if hopeless {
                // Nothing before it is enlarged in vain; its judgement tells.
                if let Some(largest) = offered[last].pop() {
                    offered[last] = vec![Candidate { clears: None, ..largest }];
                }
                continue;
            }
            caps[last].extend(load.scenarios.iter().map(|(case, _)| (place(case), volts(load.permitted))));
        }
        for (at, segment) in envelope.segments.iter().enumerate() {
            let choices = offered[at].iter().map(|c| {
                let mut choice = Choice::new(c.size, c.mass);
                for (n, current) in amperes[at].iter().enumerate().filter(|(_, i)| **i > 0.0) {
                    choice = choice.uses(physical[n], volts(current * c.ohms));
                    choice = choice.uses(rule[n], volts(current * c.rule));
                }
                choice = choice.uses(way, ohms(c.hot));
                match c.clears.filter(|_| clearing) {
                    Some(most) => choice.within(way, ohms(most)),
                    None => choice,
                }
            });
            let mut one = Segment::new(&segment.circuit.id).choices(choices);
            if let Some(up) = segment.parent {
                one = one.after(&envelope.segments[up].circuit.id);
            }
            for (n, permitted) in &caps[at] {
                one = one.within(physical[*n], *permitted).within(rule[*n], *permitted);
            }
            problem.add(one);
        }
        Posed { problem, drops: physical.into_iter().chain(rule).collect(), taken_from: offered }
    }
}

/// Those that are not smaller than a floor; the largest when all are.
fn from_floor(all: &[Candidate], floor: Option<ConductorSize>) -> Vec<Candidate> {
    let large = |c: &&Candidate| floor.is_none_or(|f| equivalent_area_order(&c.size, &f).is_ge());
    let kept: Vec<Candidate> = all.iter().filter(large).cloned().collect();
    if kept.is_empty() { all.last().cloned().into_iter().collect() } else { kept }
}

/// The sizes of one circuit that keep all that does not depend on the others.
fn candidates(envelope: &Envelope, at: usize, before: (f64, f64)) -> Result<Vec<Candidate>, Error> {
    let segment = &envelope.segments[at];
    let mut q = segment.question.clone();
    q.budget = None;
    q.supply = envelope.supply(at, ohms(before.0));
    let near = evaluate_sizes(&q)?;
    let far = near.iter().map(|e| behind(envelope, at, e, before)).collect::<Result<Vec<_>, _>>()?;

    let has_device = near.iter().any(|e| e.keeps(&q, Criterion::Protection));
    let keeps = |e: &Evaluation| {
        let own = segment.own_limit.unwrap_or(f64::INFINITY);
        let amperes = q.current.si();
        [Criterion::Heat, Criterion::Mechanical, Criterion::Termination].iter().all(|c| e.keeps(&q, *c))
            && (!has_device || e.keeps(&q, Criterion::Protection))
            && meets(amperes * e.resistance(&q).si(), Sense::AtMost, own)
            && meets(amperes * rule_ohms(&q, e), Sense::AtMost, own)
    };
    let runs = f64::from(segment.circuit.runs);
    let candidate = |e: &Evaluation, clears| Candidate {
        size: e.conductor.size(),
        mass: e.conductor.mass_per_length() * q.run.0 * runs,
        ohms: e.resistance(&q).si(),
        rule: rule_ohms(&q, e),
        hot: hot(&q, e).si(),
        clears,
    };
    let mut all = Vec::new();
    for (near, far) in near.iter().zip(&far).filter(|(e, _)| q.size.is_none() && keeps(e)) {
        if near.taken() == far.taken() {
            all.push(candidate(near, None));
            continue;
        }
        // Behind enough resistance another device is needed, or none is left.
        let most = reach(envelope, at, near, before)?;
        all.push(candidate(near, Some(most + hot(&q, near).si())));
        if far.taken().is_some() && keeps(far) {
            all.push(candidate(far, None));
        }
    }
    if all.is_empty() {
        // The given size, or the largest that the rule set has an ampacity for.
        let largest = near.iter().rev().find(|e| e.ampacity.is_ok()).or(near.last());
        all.extend(largest.map(|e| candidate(e, None)));
    }
    Ok(all)
}

fn rule_ohms(q: &orlop::circuit::CircuitQuestion, e: &Evaluation) -> f64 {
    super::settle::rule_volts(q, &e.conductor, 1.0)
}

/// The device that a size gets behind so many hot ohms; none where none fits.
fn device_behind(
    envelope: &Envelope,
    at: usize,
    e: &Evaluation,
    before: f64,
) -> Result<Option<Device>, Error> {
    let q = &envelope.segments[at].question;
    if q.exempt || q.device.is_some() || q.families.is_empty() || e.ampacity.is_err() {
        return Ok(e.taken().cloned());
    }
    let supply = envelope.supply(at, ohms(before));
    let way = e.wire_hot + q.joints + q.extra;
    let far_end = match supply.limit {
        Some(limit) => Some(limit.min(supply.lowest / way)),
        None => supply.fault.low().map(|i| supply.lowest / (supply.lowest / i + way)),
    };
    let mut need = e.need(q)?;
    (need.voltage, need.fault_high, need.fault_low) = (supply.highest, supply.fault.high(), far_end);
    need.fault_from = supply.limit.is_none().then_some(supply.lowest);
    fitting(&need, &q.families)
}

/// A size with the device that it gets behind the most ohms.
fn behind(
    envelope: &Envelope,
    at: usize,
    near: &Evaluation,
    before: (f64, f64),
) -> Result<Evaluation, Error> {
    let mut far = near.clone();
    if before.0 < before.1 && near.device.is_ok() {
        let device = device_behind(envelope, at, near, before.1)?;
        if device.as_ref() != near.taken() {
            far.device = device.map(Some).ok_or(NoDevice::NoneFits(Vec::new()));
        }
    }
    Ok(far)
}

/// The most hot ohms before a circuit with which a size still gets the same device.
fn reach(envelope: &Envelope, at: usize, near: &Evaluation, before: (f64, f64)) -> Result<f64, Error> {
    let (mut same, mut other) = before;
    for _ in 0..30 {
        let middle = f64::midpoint(same, other);
        let device = device_behind(envelope, at, near, middle)?;
        if device.as_ref() == near.taken() { same = middle } else { other = middle }
    }
    Ok(same)
}
