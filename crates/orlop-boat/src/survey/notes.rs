//! What is no finding: observations, what was not opened or tested, and what is in order.

use super::gather::{Gathered, matter, place};
use crate::check::RULES;
use crate::check::found::judged;
use crate::design::{Design, Origin};
use crate::found::{Evidence, Item};
use crate::model::State;
use orlop::{Judgement, Verdict};

/// What a note is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum NoteKind {
    /// Seen, and nothing to judge it by.
    Observation,
    /// Could not be opened or reached.
    NotOpened,
    /// Was there and was not tested, or not stated.
    NotTested,
    /// Looked at and in order.
    InOrder,
}

impl NoteKind {
    /// The word in tables.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Observation => "observation",
            Self::NotOpened => "not-opened",
            Self::NotTested => "not-tested",
            Self::InOrder => "in-order",
        }
    }
}

/// One note.
#[derive(Clone, Debug, PartialEq)]
pub struct Note {
    /// What it is.
    pub kind: NoteKind,
    /// What it is about.
    pub subject: String,
    /// The same for people.
    pub place: String,
    /// How it is known.
    pub evidence: Evidence,
    /// What it says.
    pub text: String,
    /// The reading; empty where there is none.
    pub reading: String,
}

pub(super) fn notes(design: &Design, gathered: &Gathered) -> Vec<Note> {
    let note = |kind, subject: &str, evidence, text: String, reading: &str| {
        let place = place(design, subject);
        let text = once(&place, text);
        Note { kind, subject: subject.to_string(), place, evidence, text, reading: reading.to_string() }
    };
    let mut out = Vec::new();
    for j in judged(design) {
        let r = j.reading;
        let kind = match r.item {
            Item::Seen => NoteKind::Observation,
            Item::NotOpened => NoteKind::NotOpened,
            Item::NotTested => NoteKind::NotTested,
            Item::InOrder => continue,
            _ if j.judgement.is_some() => continue,
            _ => NoteKind::Observation,
        };
        let text = match &r.value {
            Some(value) => format!(
                "{}{} {value}, with no limit in the file to judge it by",
                named(&r.name),
                r.item.info().says
            ),
            None => format!("{}{}", named(&r.name), r.text),
        };
        out.push(note(kind, &r.at, Evidence::Seen, text, &r.id));
    }
    for j in &gathered.overruled {
        let text = format!("worked out as beyond its limit, but the reading keeps it: {}", j.what);
        out.push(note(NoteKind::Observation, &j.subject, Evidence::Inferred, text, ""));
    }
    for (circuit, text) in not_stated(design) {
        out.push(note(NoteKind::NotTested, &format!("circuit.{circuit}"), Evidence::Inferred, text, ""));
    }
    let answered = |j: &&Judgement| gathered.answered.contains(&matter(design, j, ""));
    for j in design.not_tested().filter(|j| !answered(j)) {
        let to_do = if j.to_do.is_empty() { String::new() } else { format!(": {}", j.to_do) };
        out.push(note(NoteKind::NotTested, &j.subject, Evidence::Inferred, format!("{}{to_do}", j.what), ""));
    }
    out.sort_by_key(|n| n.kind);
    out
}

fn named(name: &str) -> String {
    if name.is_empty() { String::new() } else { format!("{name}: ") }
}

/// A text that does not begin with the place, which stands before it anyway.
fn once(place: &str, text: String) -> String {
    text.strip_prefix(place).and_then(|rest| rest.strip_prefix(": ")).map_or(text.clone(), str::to_string)
}

/// Conductors and devices of a boat as found or built that the file does not state.
fn not_stated(design: &Design) -> Vec<(String, String)> {
    if design.boat.state == State::Design {
        return Vec::new();
    }
    let bare: Vec<&str> =
        design.boat.found.iter().filter(|r| r.item == Item::NoDevice).map(|r| r.at.as_str()).collect();
    let mut out = Vec::new();
    for c in &design.circuits {
        if c.conductor_origin == Origin::Chosen {
            let size = c.conductor.size();
            out.push((c.id.clone(), format!("the size of the conductor is not stated; {size} was assumed")));
        }
        let seen_without = bare.contains(&format!("circuit.{}", c.id).as_str());
        if c.device_origin == Origin::Chosen
            && !seen_without
            && let Some(device) = &c.device
        {
            out.push((c.id.clone(), format!("the device is not stated; {device} was assumed")));
        }
    }
    out
}

pub(super) fn confirmations(design: &Design) -> Vec<Note> {
    let read = judged(design);
    let mut out = Vec::new();
    for j in &read {
        let r = j.reading;
        let text = match &j.judgement {
            Some(judgement) if judgement.verdict == Verdict::Pass => judgement.what.clone(),
            None if r.item == Item::InOrder => format!("{}{}", named(&r.name), r.text),
            _ => continue,
        };
        let place = place(design, &r.at);
        out.push(Note {
            kind: NoteKind::InOrder,
            subject: r.at.clone(),
            text: once(&place, text),
            place,
            evidence: r.evidence(),
            reading: r.id.clone(),
        });
    }
    let own = |j: &Judgement| read.iter().any(|r| r.judgement.as_ref() == Some(j));
    for rule in RULES {
        let kept = |j: &&Judgement| j.rule == rule.id && !own(j) && j.verdict == Verdict::Pass;
        let passed: Vec<&str> = design.judgements.iter().filter(kept).map(|j| j.subject.as_str()).collect();
        if passed.is_empty() {
            continue;
        }
        out.push(Note {
            kind: NoteKind::InOrder,
            subject: "boat".into(),
            place: design.boat.name.clone(),
            evidence: Evidence::Inferred,
            text: format!("{} Yes for {} of them.", rule.asks, passed.len()),
            reading: String::new(),
        });
    }
    out
}
