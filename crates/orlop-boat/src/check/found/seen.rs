//! What a tape, a pull and a count tell.

use super::{compare, finish, id, place, told, value};
use crate::design::Design;
use crate::found::Reading;
use crate::model::Feeds;
use orlop::rules::{Limit, SourceOfPower};
use orlop::{Judgement, Sense};
use orlop_units::{Current, Fraction, Length, Number, Quantity, show};

/// One device is asked for at this end, and there is none.
pub(super) fn no_device(design: &Design, r: &Reading) -> Option<Judgement> {
    let circuit = design.boat.circuit(id(r))?;
    let source = match &circuit.feeds {
        _ if design.boat.bank(&circuit.from).is_some() => SourceOfPower::Battery,
        Feeds::Source(_) => SourceOfPower::Charging,
        _ => SourceOfPower::Other,
    };
    let limit = design.boat.rules.unprotected_length(source, circuit.device_enclosed);
    let info = r.item.info();
    let (none, one) = (Number::of(0.0), Number::of(1.0));
    let j = Judgement::compare(info.rule, r.at.clone(), info.severity, none, Sense::AtLeast, one)
        .clause(limit.clause.clone(), limit.confidence);
    let size = circuit.size.map_or_else(String::new, |s| format!(" of {s}"));
    let what = format!(
        "{}{} of conductor{size} without a fuse or breaker; one is asked for within {} of the source",
        place(r),
        show(value::<Length>(r)?),
        show(limit.value)
    );
    Some(finish(&Reading { uncertainty: None, ..r.clone() }, j, what))
}

/// The rating against the highest that conductor, bus, switch and load allow.
pub(super) fn device_rating(design: &Design, r: &Reading) -> Option<Judgement> {
    let rule = design.boat.rules.device_limit(&design.boat.options);
    let sized = design.circuit(id(r))?;
    let limit = Limit { value: sized.device_window.1, clause: rule.clause, confidence: rule.confidence };
    let j = compare(r, value::<Current>(r)?, Sense::AtMost, &limit);
    let size = sized.conductor.size();
    Some(j.what(format!("{}{} on {size}, which allows {}", place(r), told(r), show(limit.value))))
}

pub(super) fn support(design: &Design, r: &Reading) -> Option<Judgement> {
    let from_bank = |c: &&crate::model::Circuit| design.boat.bank(&c.from).is_some();
    let on_trunk = |c: &crate::model::Circuit| {
        design.routes.circuit(&c.id).is_some_and(|route| route.path.iter().any(|t| t == id(r)))
    };
    let battery = design.boat.circuits.iter().filter(from_bank).any(|c| c.id == id(r) || on_trunk(c));
    Some(compare(r, value(r)?, Sense::AtMost, &design.boat.rules.support_spacing(battery)))
}

pub(super) fn movement(design: &Design, r: &Reading) -> Option<Judgement> {
    Some(compare(r, value(r)?, Sense::AtMost, &design.boat.rules.battery_movement()))
}

pub(super) fn lugs(design: &Design, r: &Reading) -> Option<Judgement> {
    Some(counted(r, "lugs on one post", &design.boat.rules.lugs_per_stud()))
}

pub(super) fn twist_on(design: &Design, r: &Reading) -> Option<Judgement> {
    Some(counted(r, "twist-on connectors", &design.boat.rules.twist_on_connectors()))
}

fn counted(r: &Reading, what: &str, limit: &Limit<Number>) -> Judgement {
    let count = value::<Number>(r).unwrap_or_else(|| Number::of(f64::NAN));
    let j = compare(r, count, Sense::AtMost, limit);
    let told = format!("{}{} {what}, at most {} allowed", place(r), told(r), show(limit.value));
    j.what(told)
}

pub(super) fn labels(design: &Design, r: &Reading) -> Option<Judgement> {
    let (count, of) = (value::<Number>(r)?, f64::from(r.of?));
    let share = Fraction::new(count.si() / of);
    let j = compare(r, share, Sense::AtLeast, &design.boat.rules.labelled_circuits());
    Some(j.what(format!("{}{} of {} circuits are marked at both ends", place(r), show(count), of)))
}
