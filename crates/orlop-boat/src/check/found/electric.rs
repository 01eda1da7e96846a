//! Volts, amperes, ohms and temperatures.

use super::{compare, finish, id, place, told, value};
use crate::design::Design;
use crate::found::{Leg, LegPart, Reading};
use crate::model::{Feeds, Load};
use crate::network::Trials;
use orlop::proving::resistance::{Drain, Leakage, ThreeVoltages, least_insulation};
use orlop::rules::Limit;
use orlop::{Confidence, Judgement, Sense, Verdict};
use orlop_units::{
    Current, Fraction, Quantity, Resistance, Temperature, Time, Voltage, amperes, ohms, show, volts,
};

pub(crate) use crate::found::METER;
/// Allowance on the resting drain beyond what is meant to run: common practice.
const ALLOWANCE: f64 = 0.050;
/// Tolerance of the resistor across a pole: the usual class.
const RESISTOR: Fraction = Fraction::new(0.01);

fn stated<Q>(value: Q, clause: &str) -> Limit<Q> {
    Limit { value, clause: clause.into(), confidence: Confidence::Published }
}

pub(super) fn drop(design: &Design, r: &Reading) -> Option<Judgement> {
    let (read, at) = (value::<Voltage>(r)?, r.current?);
    if r.is_part() {
        return compare(r, read, Sense::AtMost, &sound_part(design, r, at)?).into();
    }
    if r.at.starts_with("circuit.") {
        return compare(r, read, Sense::AtMost, &sound(design, id(r), at)?).into();
    }
    let result = design.load(id(r))?;
    let load = design.boat.load(id(r))?;
    let rule = design.boat.rules.drop_limit(load.drop_class);
    let limit = volts(result.limit.value() * result.nominal.si());
    let limit = if rule.value == result.limit {
        Limit { value: limit, clause: rule.clause, confidence: rule.confidence }
    } else {
        stated(limit, "drop limit stated in the boat file")
    };
    let mut j = compare(r, read, Sense::AtMost, &limit);
    // A pass at part of the current is none at the whole of it.
    let most = design.demand.load(id(r))?.continuous;
    let at_most = read.si() * (most.si() / at.si());
    if j.verdict == Verdict::Pass && at_most > limit.value.si() {
        j.verdict = Verdict::Undecided;
        let what = format!(
            "{}{}; that would be {} at {}, at most {} is asked for",
            place(r),
            told(r),
            show(volts(at_most)),
            show(most),
            show(limit.value)
        );
        j = j.what(what).to_do("read it again with the load at its full current");
    }
    Some(j)
}

/// The most that a sound circuit loses on both legs at a current.
fn sound(design: &Design, circuit: &str, at: Current) -> Option<Limit<Voltage>> {
    let number = design.boat.circuits.iter().position(|c| c.id == circuit)?;
    let trials = Trials::of(&design.boat, &design.routes, &design.circuits);
    let legs = trials.legs(number, at, trials.temperature(number, at));
    let most = legs.positive.high()? + legs.negative.high()?;
    let clause = "a sound circuit: its conductor, joints and device at their highest".into();
    Some(Limit { value: most + volts(METER), clause, confidence: Confidence::CommonPractice })
}

/// The most that sound parts of a circuit lose at a current. None for one leg of a whole way to a load: its pieces are judged together.
fn sound_part(design: &Design, r: &Reading, at: Current) -> Option<Limit<Voltage>> {
    let circuit = r.at.strip_prefix("circuit.")?;
    let number = design.boat.circuits.iter().position(|c| c.id == circuit)?;
    let trials = Trials::of(&design.boat, &design.routes, &design.circuits);
    let rated = design.circuits[number].device.as_ref().map(orlop::protection::Device::rating);
    let pieces = trials.sections(number, at, rated, r.parts.contains(&LegPart::Switch));
    let counts = |s: &&crate::network::Section| {
        (r.leg == Leg::Both || r.leg == s.leg) && (r.parts.is_empty() || r.parts.contains(&s.part))
    };
    let most: f64 = pieces.iter().filter(counts).map(|s| s.sound_to().si()).sum();
    let clause = "sound parts of a circuit: conductor, joints and device at their highest".into();
    Some(Limit { value: at * ohms(most) + volts(METER), clause, confidence: Confidence::CommonPractice })
}

pub(super) fn voltage(design: &Design, r: &Reading) -> Option<Judgement> {
    let limit = match design.boat.load(id(r)) {
        Some(load) => stated(load.minimum?, "lowest voltage stated for the load"),
        None => stated(design.boat.bank(id(r))?.lowest, "lowest service voltage stated for the bank"),
    };
    Some(compare(r, value(r)?, Sense::AtLeast, &limit))
}

pub(super) fn rest_difference(design: &Design, r: &Reading) -> Option<Judgement> {
    Some(compare(r, value(r)?, Sense::AtMost, &design.boat.rules.rest_difference()))
}

pub(super) fn current(design: &Design, r: &Reading) -> Option<Judgement> {
    let ampacity = design.circuit(id(r))?.ampacity?;
    let runs =
        design.demand.circuit(id(r)).map_or(1.0, |c| if c.alone { 1.0 } else { f64::from(c.runs.max(1)) });
    let clause = "ampacity of the rule set, with its factors";
    Some(compare(r, value(r)?, Sense::AtMost, &stated(ampacity * runs, clause)))
}

pub(super) fn stray(design: &Design, r: &Reading) -> Option<Judgement> {
    let limit = design.boat.rules.bonding_current();
    let mut j = compare(r, value::<Current>(r)?, Sense::AtMost, &limit);
    if j.verdict != Verdict::Undecided && !r.text.is_empty() {
        j.what = format!("{}{}, where no current should flow: {}", place(r), told(r), r.text);
    }
    Some(j)
}

pub(super) fn temperature(design: &Design, r: &Reading) -> Option<Judgement> {
    let limit: Limit<Temperature> = match design.boat.space(id(r)) {
        Some(space) => stated(space.ambient, "ambient temperature that the boat is designed for"),
        None => stated(design.circuit(id(r))?.conductor.insulation(), "rating of the insulation"),
    };
    Some(compare(r, value(r)?, Sense::AtMost, &limit))
}

/// What runs day and night by the file: loads with 24 hours of work in every profile, and on a live panel; and coils that hold a bank closed.
pub(crate) fn meant_at_rest(design: &Design) -> Current {
    let day = Time::from_si(86_400.0);
    let always = |l: &Load| !l.hours.is_empty() && l.hours.iter().all(|(_, h)| *h >= day);
    let live = |l: &Load| {
        let fed = |c: &&crate::model::Circuit| matches!(&c.feeds, Feeds::Loads(ids) if ids.contains(&l.id));
        // With everything off only the bank itself and panels that stay live give anything.
        design.boat.circuits.iter().find(fed).is_some_and(|c| {
            design.boat.bank(&c.from).is_some() || design.boat.panel(&c.from).is_some_and(|p| p.always_on)
        })
    };
    let loads = design.boat.loads.iter().filter(|l| always(l) && live(l));
    let each = loads.filter_map(|l| design.demand.load(&l.id)).map(|d| d.nominal.si());
    amperes(each.sum::<f64>() + coils(design).si())
}

/// What the coils of contactors take that hold the banks closed.
fn coils(design: &Design) -> Current {
    let each = design.boat.banks.iter().filter_map(|b| Some(b.build.as_ref()?.coils() / b.nominal));
    each.fold(amperes(0.0), |sum, i| sum + i)
}

/// The most that a boat may draw at rest.
pub(crate) fn resting_limit(design: &Design) -> Current {
    meant_at_rest(design) + amperes(ALLOWANCE)
}

pub(super) fn drain(design: &Design, r: &Reading) -> Option<Judgement> {
    let standard = amperes(r.uncertainty.unwrap_or(0.0) / super::HALF_WIDTH);
    let drain = Drain { current: value(r)?, standard };
    let j = drain.judge(meant_at_rest(design), amperes(ALLOWANCE)).ok()?;
    let what = format!("{}{}", place(r), j.what);
    Some(finish(r, Judgement { subject: r.at.clone(), ..j }, what))
}

pub(super) fn insulation_of(r: &Reading) -> Option<Judgement> {
    let poles = r.poles?;
    let readings = ThreeVoltages {
        system: value(r)?,
        positive_to_hull: poles.positive_to_hull,
        negative_to_hull: poles.negative_to_hull,
        resistor: poles.resistor,
        tolerance: RESISTOR,
        meter: poles.meter,
        noise: volts(r.uncertainty.unwrap_or(METER).max(1e-6) / super::HALF_WIDTH),
    };
    let j = readings.solve().and_then(|i| i.judge(least_insulation())).ok()?;
    let what = format!("{}{}, at least {} is asked for", place(r), j.what, show(least_insulation()));
    let to_do = j.to_do.clone();
    Some(Judgement { subject: r.at.clone(), ..j }.what(what).to_do(to_do))
}

pub(super) fn leakage(r: &Reading) -> Option<Judgement> {
    let read: Resistance = value(r)?;
    let found = Leakage {
        positive: Some(read),
        negative: None,
        at_least: read,
        current: amperes(0.0),
        negative_bonded: false,
        positive_bonded: false,
    };
    let j = found.judge(least_insulation()).ok()?;
    let what =
        format!("{}{} to the hull, at least {} is asked for", place(r), told(r), show(least_insulation()));
    Some(finish(r, Judgement { subject: r.at.clone(), ..j }, what))
}
