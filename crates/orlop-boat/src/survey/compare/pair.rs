//! Which matter of one visit is which of the other, and how it stands.

use super::difference::{Change, Difference, difference, two_digits};
use super::matter::{Matter, Outcome, Side};
use crate::check::found::judged;
use crate::design::{Design, Origin};
use crate::found::{Item, Reading};
use crate::model::{Boat, Feeds};
use crate::survey::gather::{Known, Standing, matters as judged_matters, place, standing};
use orlop::{Error, Judgement, Verdict};
use orlop_units::{AnyQuantity, Kind, show};
use std::collections::BTreeSet;

pub(super) fn matters(earlier: &Design, later: &Design) -> Result<Vec<Matter>, Error> {
    let old_label = |r: &Reading| plain(&r.name);
    // A number that was kept names the same joint, whatever it is called now.
    let new_label = |r: &Reading| {
        let kept = earlier.boat.found.iter().find(|o| o.id == r.id && o.at == r.at && joint(o));
        kept.filter(|_| joint(r)).map_or_else(|| plain(&r.name), old_label)
    };
    told_apart(&earlier.boat, "earlier", &old_label)?;
    told_apart(&later.boat, "later", &new_label)?;
    let (old_read, new_read) = (judged(earlier), judged(later));
    let old = judged_matters(earlier, &old_read, &old_label);
    let new = judged_matters(later, &new_read, &new_label);
    let keys: BTreeSet<_> = old.keys().chain(new.keys()).collect();
    let mut out: Vec<Matter> = Vec::new();
    for key in keys {
        let stood = old.get(key).map(|m| standing(earlier, m));
        let stands = new.get(key).map(|m| standing(later, m));
        out.extend(one(earlier, later, stood.as_ref(), stands.as_ref()));
    }
    let way = |m: &Matter| m.difference.as_ref().map_or(Change::NotKnown, |d| d.change);
    out.sort_by(|a, b| {
        (a.outcome, a.severity(), way(a), &a.subject, a.rule).cmp(&(
            b.outcome,
            b.severity(),
            way(b),
            &b.subject,
            b.rule,
        ))
    });
    for (at, matter) in out.iter_mut().enumerate() {
        matter.number = at + 1;
    }
    Ok(out)
}

fn joint(r: &Reading) -> bool {
    matches!(r.item, Item::Joint | Item::Resistance)
}

fn plain(name: &str) -> String {
    name.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

/// Two joints of one thing need a name each.
fn told_apart(boat: &Boat, which: &str, label: &dyn Fn(&Reading) -> String) -> Result<(), Error> {
    let joints: Vec<&Reading> = boat.found.iter().filter(|r| joint(r)).collect();
    for (at, r) in joints.iter().enumerate() {
        if let Some(twin) = joints[..at].iter().find(|o| o.at == r.at && label(o) == label(r)) {
            let name =
                if r.name.is_empty() { "without a name".into() } else { format!("named '{}'", r.name) };
            let got =
                format!("'{}' and '{}' of '{}', both joints of {} {name}", twin.id, r.id, boat.name, r.at);
            return Err(Error::input(
                which,
                got,
                "joints of one thing with a name each, so that each is found again",
            ));
        }
    }
    Ok(())
}

/// One matter, unless neither visit has anything to say on it.
fn one(
    earlier: &Design,
    later: &Design,
    stood: Option<&Standing>,
    stands: Option<&Standing>,
) -> Option<Matter> {
    let (old, new) = (stood.and_then(|s| s.lead), stands.and_then(|s| s.lead));
    let was_bad = stood.is_some_and(|s| s.finding.is_some());
    let bad = stands.and_then(|s| s.finding.as_ref());
    let moved = old.zip(new).and_then(|(o, n)| difference(&o, &n));
    let lead = new.or(old)?.judgement;
    let (outcome, why) = match bad {
        Some(f) if f.verdict == Verdict::Undecided => (Outcome::Undecided, f.deficiency.clone()),
        Some(f) if was_bad => (Outcome::Open, still(old, new, moved.as_ref(), &f.deficiency)),
        Some(f) => (Outcome::New, newly(old, &f.deficiency)),
        None if was_bad => settled(later, old?, new),
        // In order twice is worth a line where both were read.
        None => {
            old?.reading?;
            new?.reading?;
            (Outcome::InOrder, still(old, new, moved.as_ref(), &lead.what))
        }
    };
    // What is closed or not seen again is named as the earlier survey named it.
    let named =
        if matches!(outcome, Outcome::Resolved | Outcome::NotChecked) { old?.judgement } else { lead };
    let wording = crate::check::wording(named.rule);
    let design = if on_board(&later.boat, &named.subject) { later } else { earlier };
    Some(Matter {
        number: 0,
        outcome,
        subject: named.subject.clone(),
        place: place(design, &named.subject),
        rule: named.rule,
        sense: named.sense,
        before: stood.and_then(|s| side(s, stood_readings(s))),
        now: stands
            .filter(|_| on_board(&later.boat, &named.subject))
            .and_then(|s| side(s, stood_readings(s))),
        difference: moved,
        why,
        risk: wording.map_or_else(String::new, |w| w.risk.into()),
        correction: wording.map_or_else(|| named.to_do.clone(), |w| w.correction.into()),
        standard: named.clause.clone(),
        confidence: named.confidence,
    })
}

fn stood_readings(standing: &Standing) -> Vec<String> {
    match &standing.finding {
        Some(finding) => finding.readings.clone(),
        None => standing.lead.and_then(|k| k.reading).map(|r| r.id.clone()).into_iter().collect(),
    }
}

fn side(standing: &Standing, readings: Vec<String>) -> Option<Side> {
    let known = standing.lead?;
    let j = known.judgement;
    Some(Side {
        verdict: j.verdict,
        severity: standing.finding.as_ref().map(|f| f.severity),
        evidence: known.evidence(),
        what: j.what.clone(),
        value: j.value.clone(),
        uncertainty: known.half_width(),
        limit: j.limit.clone(),
        readings,
        instrument: known.reading.map_or_else(String::new, |r| r.instrument.clone()),
    })
}

/// What was wrong and is wrong no longer, or was not looked at.
fn settled(later: &Design, old: Known, new: Option<Known>) -> (Outcome, String) {
    let subject = &old.judgement.subject;
    if !on_board(&later.boat, subject) {
        return (Outcome::Resolved, "it is no longer on board".into());
    }
    if let Some(new) = new {
        if new.reading.is_some() {
            return (Outcome::Resolved, new.judgement.what.clone());
        }
        // A calculation answers a calculation; it does not answer a reading.
        if old.reading.is_none() {
            return (Outcome::Resolved, format!("worked out as in order: {}", new.judgement.what));
        }
    }
    let rule = old.judgement.rule;
    if rule == "found-no-device"
        && let Some(device) = fitted(later, subject)
    {
        return (Outcome::Resolved, format!("the boat file now states {device} at this end"));
    }
    let words = |list: Vec<&Reading>| list.iter().map(|r| r.text.as_str()).collect::<Vec<_>>().join("; ");
    let barred = words(barred(&later.boat, subject).collect());
    let praised = later.boat.found.iter().filter(|r| r.item == Item::InOrder && r.at == *subject);
    let praised = words(praised.collect());
    let why = if !barred.is_empty() {
        format!("not opened or tested this time: {barred}")
    } else if !praised.is_empty() {
        format!("no reading of it this time; words alone do not close it: {praised}")
    } else {
        "no reading of it this time".to_string()
    };
    (Outcome::NotChecked, why)
}

/// The device that the file states for a circuit, where its place is in order as well.
fn fitted(design: &Design, subject: &str) -> Option<String> {
    let circuit = design.circuit(subject.strip_prefix("circuit.")?)?;
    let misplaced = |j: &Judgement| {
        j.subject == subject
            && j.verdict == Verdict::Fail
            && matches!(j.rule, "device-distance" | "charging-end")
    };
    if circuit.device_origin != Origin::Given || design.judgements.iter().any(misplaced) {
        return None;
    }
    circuit.device.as_ref().map(ToString::to_string)
}

/// Statements that bar a thing, or the place or way where it is, from being looked at.
fn barred<'a>(boat: &'a Boat, subject: &'a str) -> impl Iterator<Item = &'a Reading> {
    let (section, id) = subject.split_once('.').unwrap_or((subject, ""));
    let place = match section {
        "bank" => boat.bank(id).map(|x| x.place.as_str()),
        "panel" => boat.panel(id).and_then(|x| x.place.as_deref()),
        _ => None,
    };
    let whole =
        move |r: &&Reading| r.at == subject || place.is_some_and(|p| r.at.strip_prefix("place.") == Some(p));
    boat.found.iter().filter(|r| matches!(r.item, Item::NotOpened | Item::NotTested)).filter(whole)
}

/// Whether a thing is in the file.
fn on_board(boat: &Boat, subject: &str) -> bool {
    let (section, id) = subject.split_once('.').unwrap_or((subject, ""));
    let fed = |id: &str| {
        boat.circuits.iter().any(|c| matches!(&c.feeds, Feeds::Loads(l) if l.iter().any(|l| l == id)))
    };
    match section {
        "bank" => boat.bank(id).is_some(),
        "source" => boat.source(id).is_some(),
        "panel" => boat.panel(id).is_some(),
        "load" => boat.load(id).is_some() && fed(id),
        "circuit" => boat.circuit(id).is_some(),
        "ground" => boat.ground(id).is_some(),
        "bond" => boat.bond(id).is_some(),
        "space" => boat.space(id).is_some(),
        "trunk" => boat.trunk(id).is_some(),
        _ => true,
    }
}

fn newly(old: Option<Known>, deficiency: &str) -> String {
    match old.map(|k| k.reading.is_some()) {
        Some(true) => format!("it was in order on the earlier visit; {deficiency}"),
        _ => deficiency.to_string(),
    }
}

/// How a value has moved, for people.
fn still(old: Option<Known>, new: Option<Known>, moved: Option<&Difference>, what: &str) -> String {
    let values =
        old.and_then(|k| k.judgement.value.as_ref()).zip(new.and_then(|k| k.judgement.value.as_ref()));
    let (Some(d), Some((then, now))) = (moved, values) else {
        let read = |k: Option<Known>| k.is_some_and(|k| k.reading.is_some());
        return if read(old) && !read(new) {
            format!("not read again; worked out: {what}")
        } else {
            what.to_string()
        };
    };
    if d.change == Change::Same {
        return format!("{}: {what}", d.change.words());
    }
    let at = |known: Option<Known>| known.and_then(|k| k.reading).and_then(|r| r.current);
    let now = match (&d.now_scaled, at(old)) {
        (Some(scaled), Some(current)) => format!("{now}, which is {scaled} at the {} of then", show(current)),
        _ => now.to_string(),
    };
    let by = uncertain(d).map_or_else(String::new, |by| format!(" ({by})"));
    format!("{}: {then} then, now {now}{by}", d.change.words())
}

/// The difference with its uncertainty, and the other verdict where it is another.
fn uncertain(d: &Difference) -> Option<String> {
    if d.change == Change::NotKnown {
        return None;
    }
    let sign = if d.value.si > 0.0 { "+" } else { "-" };
    let size = AnyQuantity { si: d.value.si.abs(), as_written: None, ..d.value.clone() };
    let size = if size.kind == Kind::Fraction { format!("{size} of all") } else { size.to_string() };
    let width = |q: &AnyQuantity| AnyQuantity { si: two_digits(q.si), as_written: None, ..q.clone() };
    let half = |q: &AnyQuantity| format!("{sign}{size} \u{b1} {}", width(q));
    Some(match (&d.same_instrument, &d.independent) {
        (Some(same), Some(_)) if d.change != d.if_independent => {
            format!("{}, one instrument; independent ones would leave it open", half(same))
        }
        (Some(same), _) => format!("{}, one instrument", half(same)),
        (None, Some(u)) if u.si > 0.0 => half(u),
        _ => format!("{sign}{size}"),
    })
}
