//! Readings of the boat file against their limits: joints, drops, currents where none should be, and what can be counted.
//!
//! A reading nearer to its limit than its uncertainty decides nothing: [`Verdict::Undecided`]. Statements are not judged.

pub(crate) mod electric;
mod joint;
mod seen;

use crate::design::Design;
use crate::found::{Item, Reading};
use orlop::rules::Limit;
use orlop::{Judgement, Sense, Verdict};
use orlop_units::{AnyQuantity, Kind, Quantity, show, show_si};

pub(crate) use crate::found::HALF_WIDTH;

/// A reading and what came of it.
#[derive(Clone, Debug)]
pub struct Judged<'a> {
    /// The reading.
    pub reading: &'a Reading,
    /// Against its limit; none for statements, and where the file gives no limit to judge by.
    pub judgement: Option<Judgement>,
}

/// Every reading of the file, in its order.
#[must_use]
pub fn judged(design: &Design) -> Vec<Judged<'_>> {
    let of = |reading| Judged { reading, judgement: one(design, reading) };
    design.boat.found.iter().map(of).collect()
}

pub(super) fn judge(design: &Design) -> Vec<Judgement> {
    judged(design).into_iter().filter_map(|j| j.judgement).collect()
}

/// Circuits of which somebody saw that they have no device at one end: what a device there would be is beside the point.
pub(super) fn without_device(design: &Design) -> impl Iterator<Item = &str> {
    design.boat.found.iter().filter(|r| r.item == Item::NoDevice).map(|r| r.at.as_str())
}

fn one(design: &Design, r: &Reading) -> Option<Judgement> {
    match r.item {
        Item::Drop => electric::drop(design, r),
        Item::Voltage => electric::voltage(design, r),
        Item::RestDifference => electric::rest_difference(design, r),
        Item::Joint | Item::Resistance => joint::judge(design, r),
        Item::Current => electric::current(design, r),
        Item::StrayCurrent => electric::stray(design, r),
        Item::Temperature => electric::temperature(design, r),
        Item::Drain => electric::drain(design, r),
        Item::Leakage => electric::leakage(r),
        Item::Insulation => electric::insulation_of(r),
        Item::NoDevice => seen::no_device(design, r),
        Item::DeviceRating => seen::device_rating(design, r),
        Item::Support => seen::support(design, r),
        Item::Movement => seen::movement(design, r),
        Item::Lugs => seen::lugs(design, r),
        Item::TwistOn => seen::twist_on(design, r),
        Item::Labels => seen::labels(design, r),
        Item::InOrder | Item::Seen | Item::NotOpened | Item::NotTested => None,
    }
}

/// The id of the subject: what stands behind `circuit.`.
fn id(r: &Reading) -> &str {
    r.at.split_once('.').map_or("", |(_, id)| id)
}

/// The value as the quantity that the item holds.
fn value<Q: Quantity>(r: &Reading) -> Option<Q> {
    r.value.as_ref()?.get()
}

/// Where it was read, as the beginning of a sentence.
fn place(r: &Reading) -> String {
    if r.name.is_empty() { String::new() } else { format!("{}: ", r.name) }
}

/// The value with its uncertainty and its current, for people.
fn told(r: &Reading) -> String {
    let Some(value) = &r.value else { return String::new() };
    let mut out = value.to_string();
    if let Some(half) = r.uncertainty {
        out += &format!(" \u{b1} {}", show_si(width_kind(value.kind), half));
    }
    if let Some(current) = r.current {
        out += &format!(" at {}", show(current));
    }
    out
}

/// What a difference of two values of a kind is.
fn width_kind(kind: Kind) -> Kind {
    if kind == Kind::Temperature { Kind::TemperatureRise } else { kind }
}

/// A reading against a limit.
fn compare<Q: Quantity>(r: &Reading, value: Q, sense: Sense, limit: &Limit<Q>) -> Judgement {
    let info = r.item.info();
    let j = Judgement::compare(info.rule, r.at.clone(), info.severity, value, sense, limit.value)
        .clause(limit.clause.clone(), limit.confidence);
    let what = format!("{}{}, {} {} is asked for", place(r), told(r), sense.word(), show(limit.value));
    finish(r, j, what)
}

/// Puts in the uncertainty, and what to do.
fn finish(r: &Reading, mut j: Judgement, what: String) -> Judgement {
    let mut near = false;
    if let (Some(half), Some(value)) = (r.uncertainty, &j.value) {
        if j.uncertainty.is_none() {
            let si = half / HALF_WIDTH;
            j.uncertainty = Some(AnyQuantity { kind: width_kind(value.kind), si, as_written: None });
        }
        let half = j.uncertainty.as_ref().map_or(0.0, |u| u.si) * HALF_WIDTH;
        near = j.limit.as_ref().is_some_and(|l| (l.si - value.si).abs() < half);
    }
    if near && matches!(j.verdict, Verdict::Pass | Verdict::Fail) {
        j.verdict = Verdict::Undecided;
        let what = format!("{what}; this cannot be decided with this instrument");
        return j.what(what).to_do("read it again with an instrument whose uncertainty is below the margin");
    }
    let correction = super::wording(j.rule).map_or("", |w| w.correction);
    j.what(what).to_do(correction)
}
