//! The one loop: size from the roots outwards, see which loads get their volts, raise a floor, again.
//!
//! A floor is the smallest conductor a segment may have. Floors never fall and sizes are finite, so the loop ends; a
//! promise that no floor can keep becomes a judgement.

use super::envelope::{Envelope, LoadPath, Segment};
use super::least::{Candidates, Plan};
use super::split::{self, Lost};
use crate::design::{LoadResult, Margin, Method, Origin, SizedCircuit};
use crate::model::Boat;
use crate::network::BoatNetwork;
use orlop::circuit::{
    CircuitAnswer, CircuitQuestion, Criterion, Evaluation, size_circuit, size_circuit_unjudged,
};
use orlop::conductor::{Conductor, equivalent_area_order, standard_sizes};
use orlop::protection::Device;
use orlop::{Error, Judgement, Range, Sense, meets};
use orlop_units::{ConductorSize, Mass, Quantity, Resistance, amperes, ohms, volts};

/// More rounds than any boat needs; a guard against our own mistakes, not a limit of the method.
const MOST_ROUNDS: u32 = 2_000;

/// One segment as sized in the last round.
pub(crate) struct Sized {
    pub question: CircuitQuestion,
    pub answer: CircuitAnswer,
    /// Warm resistance of conductor, device and joints of one run.
    pub resistance: Resistance,
}

pub(crate) struct Settled {
    pub sized: Vec<Sized>,
    pub rounds: u32,
    /// By how much the mass may exceed the least; none where sizes were shared out, not chosen together.
    pub gap: Option<Mass>,
}

/// Sizes every segment until the promises hold or nothing can be raised.
///
/// # Errors
/// [`Error::Input`] for a circuit that cannot even be judged.
pub(crate) fn settle(envelope: &Envelope, method: Method) -> Result<Settled, Error> {
    match method {
        Method::LeastCopper => settle_among(envelope, Some(&Candidates::of(envelope)?)),
        Method::Split => settle_among(envelope, None),
    }
}

/// The same with every size worked through already; without, drops are shared out.
///
/// # Errors
/// As [`settle`].
pub(super) fn settle_among(envelope: &Envelope, candidates: Option<&Candidates>) -> Result<Settled, Error> {
    let mut floors: Vec<Option<ConductorSize>> =
        envelope.segments.iter().map(|s| s.question.minimum_size).collect();
    let useful: Vec<Vec<ConductorSize>> =
        envelope.segments.iter().map(|s| useful_sizes(&s.question)).collect();
    let mut rounds = 1;
    loop {
        let plan = match candidates {
            Some(candidates) => candidates.plan(envelope, &floors)?,
            None => None,
        };
        let sized = round(envelope, &floors, plan.as_ref())?;
        if rounds >= MOST_ROUNDS || !raise(envelope, &sized, &useful, &mut floors) {
            return Ok(Settled { sized, rounds, gap: plan.map(|p| p.gap) });
        }
        rounds += 1;
    }
}

fn round(
    envelope: &Envelope,
    floors: &[Option<ConductorSize>],
    plan: Option<&Plan>,
) -> Result<Vec<Sized>, Error> {
    let mut sized: Vec<Option<Sized>> = envelope.segments.iter().map(|_| None).collect();
    for &at in &envelope.order {
        // What one segment of a path loses: as sized, or as planned where its turn has not come.
        let loses = |s: usize, current: f64| match (&sized[s], plan) {
            (Some(s), _) => Lost {
                physical: current * s.resistance.si(),
                rule: rule_volts(&s.question, &s.answer.taken.conductor, current),
            },
            (None, Some(plan)) => {
                Lost { physical: current * plan.circuits[s].ohms, rule: current * plan.circuits[s].rule }
            }
            (None, None) => Lost::default(),
        };
        let left = |path: &LoadPath, place: usize, scenario: usize| {
            let mut lost = Lost::default();
            let others = path.scenarios[scenario].1.iter().zip(&path.segments).filter(|(_, s)| **s != at);
            for (current, s) in others {
                let one = loses(*s, *current);
                lost.physical += one.physical;
                lost.rule += one.rule;
            }
            let Some(plan) = plan else { return Some(split::share(envelope, path, place, lost)) };
            let current = path.scenarios[scenario].1[place];
            let with_own =
                |others: f64, own: f64| meets(others + current * own, Sense::AtMost, path.permitted);
            let own = &plan.circuits[at];
            let kept = with_own(lost.physical, own.ohms) && with_own(lost.rule, own.rule);
            // The plan has given a load up that cannot be served: nothing before its own circuit is enlarged in vain.
            (kept || place + 1 == path.segments.len()).then_some(Lost {
                physical: path.permitted - lost.physical,
                rule: path.permitted - lost.rule,
            })
        };
        let mut question = envelope.segments[at].question.clone();
        question.budget = split::budget(envelope, at, &left);
        question.minimum_size = floors[at];
        question.supply = envelope.supply(at, before(envelope, &sized, at));
        question.steady = plan.is_none();
        let planned = plan.map(|p| p.circuits[at].size);
        let mut one = size_one(question, size_circuit_unjudged)?;
        // Where the plan wants more than this circuit itself does: another one's fault current may rest on it.
        let smaller = |p: &ConductorSize| {
            equivalent_area_order(&one.answer.taken.conductor.size(), p).is_lt()
                && one.question.size.is_none()
        };
        if let Some(size) = planned.filter(smaller) {
            let floor = CircuitQuestion { minimum_size: Some(size), ..one.question };
            one = size_one(floor, size_circuit_unjudged)?;
        }
        sized[at] = Some(one);
    }
    Ok(sized.into_iter().map(|s| s.expect("every segment is in the order")).collect())
}

/// Resistance of all circuits before a segment, hot, with their joints and devices at their highest.
fn before(envelope: &Envelope, sized: &[Option<Sized>], at: usize) -> Resistance {
    let mut all = ohms(0.0);
    let mut next = envelope.segments[at].parent;
    while let Some(parent) = next {
        let s = sized[parent].as_ref().expect("parents come first");
        let circuit = envelope.segments[parent].circuit;
        let side_by_side = if circuit.alone { 1.0 } else { f64::from(circuit.runs) };
        all += hot(&s.question, &s.answer.taken) / side_by_side;
        next = envelope.segments[parent].parent;
    }
    all
}

/// One run at its highest resistance: both legs at the insulation's rating, device, joints and switches.
pub(super) fn hot(q: &CircuitQuestion, e: &Evaluation) -> Resistance {
    let device = e.taken().and_then(Device::resistance).and_then(Range::high);
    e.wire_hot + device.unwrap_or_else(|| ohms(0.0)) + q.joints + q.extra
}

/// Sizes one circuit; without a solution it takes the largest size that the rule set has an ampacity for, and the
/// judgements tell what is wrong with it.
fn size_one(
    question: CircuitQuestion,
    answer_to: fn(&CircuitQuestion) -> Result<CircuitAnswer, Error>,
) -> Result<Sized, Error> {
    let answer = answer_to(&question).or_else(|_| {
        let mut largest = question.clone();
        for size in standard_sizes(question.sizes).iter().rev() {
            largest.size = Some(question.size.unwrap_or(*size));
            let answer = answer_to(&largest)?;
            if answer.taken.ampacity.is_ok() || question.size.is_some() {
                return Ok(answer);
            }
        }
        // No size has an ampacity: aluminium under a rule set that knows only copper, say.
        answer_to(&largest)
    })?;
    Ok(Sized { resistance: answer.taken.resistance(&question), question, answer })
}

/// Volts by the rule set's formula at a current.
pub(super) fn rule_volts(q: &CircuitQuestion, conductor: &Conductor, current: f64) -> f64 {
    conductor.rule_drop(q.rules, orlop_units::amperes(current), q.run).si()
}

/// The sizes that may stand in a circuit: the given one, or those for which the rule set has an ampacity.
fn useful_sizes(q: &CircuitQuestion) -> Vec<ConductorSize> {
    if let Some(size) = q.size {
        return vec![size];
    }
    let has_ampacity = |size: &ConductorSize| {
        Conductor::new(*size, q.insulation, q.material, q.tinned)
            .is_ok_and(|c| c.ampacity(&q.ampacity_question()).is_ok())
    };
    standard_sizes(q.sizes).iter().copied().filter(has_ampacity).collect()
}

/// Raises one floor where a load does not get its volts; false when there is none to raise.
///
/// A load that could not get them with the largest useful conductor in every circuit is left alone: nothing is enlarged in
/// vain, and its judgement tells.
fn raise(
    envelope: &Envelope,
    sized: &[Sized],
    useful: &[Vec<ConductorSize>],
    floors: &mut [Option<ConductorSize>],
) -> bool {
    for path in &envelope.loads {
        let (_, physical, rule) = worst(path, sized);
        let kept = |volts| meets(volts, Sense::AtMost, path.permitted);
        if (kept(physical) && kept(rule)) || !kept(least_drop(envelope, path, sized, useful)) {
            continue;
        }
        // The step that wins most volts for its metal.
        let step = path
            .segments
            .iter()
            .enumerate()
            .filter_map(|(i, &s)| {
                let segment = &envelope.segments[s];
                let now = &sized[s].answer.taken.conductor;
                let at = useful[s].iter().position(|size| *size == now.size())?;
                // A floor that did not help is not raised again.
                let next = useful[s].get(at + 1).copied().filter(|next| floors[s] != Some(*next))?;
                let larger =
                    Conductor::new(next, segment.question.insulation, now.material(), now.tinned()).ok()?;
                let length = segment.question.run.0.si();
                let metal = (larger.area().si() - now.area().si()) * length;
                let volts =
                    path.peak_current(i) * length * (per_metre(segment, now) - per_metre(segment, &larger));
                Some((s, next, volts / metal))
            })
            .max_by(|a, b| a.2.total_cmp(&b.2).then(b.0.cmp(&a.0)));
        if let Some((s, next, _)) = step {
            floors[s] = Some(next);
            return true;
        }
    }
    false
}

/// Ohms of a metre at the insulation's rating.
fn per_metre(segment: &Segment, conductor: &Conductor) -> f64 {
    conductor.resistance_per_length(segment.question.insulation).in_ohms_per_metre()
}

/// A lower bound of the drop to a load, in volts: the largest useful conductor in every circuit, cold, without devices.
fn least_drop(envelope: &Envelope, path: &LoadPath, sized: &[Sized], useful: &[Vec<ConductorSize>]) -> f64 {
    let of = |currents: &Vec<f64>| -> f64 {
        currents
            .iter()
            .zip(&path.segments)
            .map(|(current, &s)| {
                let q = &envelope.segments[s].question;
                let now = &sized[s].answer.taken.conductor;
                let largest = useful[s]
                    .last()
                    .and_then(|size| Conductor::new(*size, q.insulation, q.material, q.tinned).ok())
                    .unwrap_or_else(|| now.clone());
                let ambient = largest.resistance_per_length(q.run_ambient()) * q.run.0;
                current * (ambient + q.joints + q.extra).si()
            })
            .sum()
    };
    path.scenarios.iter().map(|(_, currents)| of(currents)).fold(0.0, f64::max)
}

/// The scenario of the largest physical drop, that drop, and the largest drop by formula, in volts.
fn worst(path: &LoadPath, sized: &[Sized]) -> (usize, f64, f64) {
    let mut worst = (0, 0.0, 0.0_f64);
    for (n, (_, currents)) in path.scenarios.iter().enumerate() {
        let mut physical = 0.0;
        let mut rule = 0.0;
        for (current, &s) in currents.iter().zip(&path.segments) {
            physical += current * sized[s].resistance.si();
            rule += rule_volts(&sized[s].question, &sized[s].answer.taken.conductor, *current);
        }
        if physical > worst.1 {
            worst = (n, physical, worst.2);
        }
        worst.2 = worst.2.max(rule);
    }
    worst
}

impl Settled {
    /// The question that sized a circuit in the last round.
    pub fn question(&self, envelope: &Envelope, id: &str) -> &CircuitQuestion {
        let at =
            envelope.segments.iter().position(|s| s.circuit.id == id).expect("the caller checked the id");
        &self.sized[at].question
    }

    /// The same with every judgement, and the reasons where no device fits: while sizes settle nobody asks for them.
    ///
    /// # Errors
    /// As [`settle`].
    pub fn judged(mut self) -> Result<Self, Error> {
        let judge = |s: Sized| size_one(s.question, size_circuit);
        self.sized = self.sized.into_iter().map(judge).collect::<Result<_, _>>()?;
        Ok(self)
    }

    /// Kilograms of all conductors.
    pub fn mass(&self, envelope: &Envelope) -> f64 {
        self.circuits(envelope).iter().map(|c| c.mass.si()).sum()
    }

    /// The circuits in the order of the file.
    pub fn circuits(&self, envelope: &Envelope) -> Vec<SizedCircuit> {
        envelope.segments.iter().zip(&self.sized).map(|(segment, s)| circuit(segment, s)).collect()
    }

    /// The largest drop on the way to a load, physical or by formula, in volts.
    pub fn worst_drop(&self, path: &LoadPath) -> f64 {
        let (_, physical, rule) = worst(path, &self.sized);
        physical.max(rule)
    }

    /// One load with its drop, and the voltage that the network gives it.
    pub fn load(
        &self,
        envelope: &Envelope,
        path: &LoadPath,
        network: &BoatNetwork,
        boat: &Boat,
    ) -> LoadResult {
        let (scenario, drop, rule) = worst(path, &self.sized);
        let place = boat.loads.iter().position(|l| l.id == path.load);
        let lowest = place.and_then(|l| network.lowest_voltage(l));
        LoadResult {
            id: path.load.clone(),
            path: path.segments.iter().map(|s| envelope.segments[*s].circuit.id.clone()).collect(),
            case: path.scenarios.get(scenario).map_or_else(String::new, |(name, _)| format!("{name}@low")),
            drop: volts(drop),
            rule_drop: volts(rule),
            nominal: path.nominal,
            limit: path.limit,
            lowest_voltage: lowest.map(|l| l.0),
            lowest_case: lowest.map_or_else(String::new, |l| l.1.to_string()),
        }
    }

    /// What each circuit says of itself. The drop of one circuit alone is no promise: loads are judged on their path.
    pub fn own_judgements(&self, envelope: &Envelope) -> Vec<Judgement> {
        let mut all = Vec::new();
        for (segment, s) in envelope.segments.iter().zip(&self.sized) {
            for judgement in s.answer.judgements.iter().filter(|j| !j.rule.starts_with("drop-")) {
                let mut judgement = judgement.clone();
                judgement.subject = format!("circuit.{}", segment.circuit.id);
                judgement.case.clone_from(&segment.case);
                all.push(judgement);
            }
        }
        all
    }
}

fn circuit(segment: &Segment, sized: &Sized) -> SizedCircuit {
    let (q, answer) = (&sized.question, &sized.answer);
    let taken = &answer.taken;
    let conductor = taken.conductor.clone();
    let legs = conductor.mass_per_length() * q.run.0;
    let origin = |given: bool| if given { Origin::Given } else { Origin::Chosen };
    // A floor that the loop has raised serves the drop of the loads behind.
    let raised = q.minimum_size != segment.question.minimum_size;
    let governed_by = match answer.governed_by {
        Criterion::Termination if raised => Criterion::Drop,
        other => other,
    };
    SizedCircuit {
        id: segment.circuit.id.clone(),
        conductor_origin: origin(q.size.is_some()),
        device: taken.taken().cloned(),
        device_origin: origin(q.device.is_some()),
        need: taken.need(q).ok().filter(|_| !q.exempt),
        device_problems: answer
            .no_device
            .iter()
            .flat_map(|none| none.refusals())
            .map(|r| format!("{}: {}", r.family, r.why))
            .collect(),
        device_window: (answer.window.0, answer.window.1.unwrap_or_else(|| amperes(0.0))),
        one_way: q.run.one_way(),
        design_current: q.current,
        case: segment.case.clone(),
        ambient: q.run_ambient(),
        bundled: q.bundled,
        ampacity: taken.ampacity.as_ref().ok().map(|a| a.current),
        temperature: taken.heat.as_ref().ok().map(|h| h.temperature),
        resistance: sized.resistance,
        drop: q.current * sized.resistance,
        mass: legs * f64::from(segment.circuit.runs),
        fault_start: q.supply.fault,
        fault_end: taken.far_end_through(q),
        governed_by,
        margins: answer
            .margins
            .iter()
            .map(|m| Margin { criterion: m.criterion, asks_for: m.asks_for, margin: m.margin })
            .collect(),
        confidence: answer.confidence,
        flags: answer.flags.clone(),
        conductor,
    }
}
