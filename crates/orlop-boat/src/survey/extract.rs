//! What an insurer asks for: the vessel, what was looked at and how, bank, protection, what is in order, what must be put right. No more.

use super::compare::{Outcome, Resurvey};
use super::gather::place;
use super::notes::NoteKind;
use super::{SurveyFinding, of};
use crate::design::{Design, Origin};
use crate::found::Evidence;
use crate::model::{Feeds, State};
use orlop::{Confidence, Severity, Verdict};
use orlop_units::show;

/// What a line of the extract is part of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Part {
    /// The vessel.
    Vessel,
    /// What was inspected, how, and what was not opened.
    Inspection,
    /// Batteries.
    Bank,
    /// Devices of feeders, sources and whatever starts at a bank.
    Protection,
    /// Open findings of severity A and B.
    Open,
    /// Findings of severity A and B that were put right since the visit before.
    Closed,
    /// What was looked at and is in order.
    InOrder,
}

impl Part {
    /// The word in tables.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Vessel => "vessel",
            Self::Inspection => "inspection",
            Self::Bank => "bank",
            Self::Protection => "protection",
            Self::Open => "open",
            Self::Closed => "closed",
            Self::InOrder => "in-order",
        }
    }
}

/// One line.
#[derive(Clone, Debug, PartialEq)]
pub struct ExtractLine {
    /// What it is part of.
    pub part: Part,
    /// What it says something about, in words.
    pub item: String,
    /// What it says.
    pub text: String,
    /// How soon to act, for findings.
    pub severity: Option<Severity>,
    /// How it is known.
    pub evidence: Option<Evidence>,
    /// What may come of it.
    pub risk: String,
    /// What must be true afterwards.
    pub correction: String,
    /// Document and clause, or the practice.
    pub standard: String,
    /// How far our copy of that can be trusted.
    pub confidence: Option<Confidence>,
    /// Readings that it rests on.
    pub readings: String,
    /// The visit on which it was first reported.
    pub reported: String,
    /// The visit on which it was found in order again.
    pub closed: String,
}

impl ExtractLine {
    fn fact(part: Part, item: impl Into<String>, text: impl Into<String>) -> Self {
        Self {
            part,
            item: item.into(),
            text: text.into(),
            severity: None,
            evidence: None,
            risk: String::new(),
            correction: String::new(),
            standard: String::new(),
            confidence: None,
            readings: String::new(),
            reported: String::new(),
            closed: String::new(),
        }
    }
}

/// The extract of a survey; with the visit before, findings have the day of that visit where they were open then, and those that were
/// put right are listed.
#[must_use]
pub fn extract(design: &Design, since: Option<&Resurvey>) -> Vec<ExtractLine> {
    let mut out = vessel(design);
    out.extend(inspection(design));
    out.extend(banks(design));
    out.extend(protection(design));
    out.extend(open(design, since));
    out.extend(since.into_iter().flat_map(closed));
    let survey = of(design);
    let seen = survey.confirmations.iter().filter(|n| n.evidence != Evidence::Inferred);
    out.extend(seen.map(|n| ExtractLine {
        evidence: Some(n.evidence),
        readings: n.reading.clone(),
        ..ExtractLine::fact(Part::InOrder, &n.place, &n.text)
    }));
    out
}

/// Facts, without those that the file does not state.
fn facts(part: Part, list: Vec<(&str, String)>) -> impl Iterator<Item = ExtractLine> {
    list.into_iter()
        .filter(|(_, text)| !text.is_empty())
        .map(move |(item, text)| ExtractLine::fact(part, item, text))
}

fn vessel(design: &Design) -> Vec<ExtractLine> {
    let boat = &design.boat;
    let state = match boat.state {
        State::AsFound => "as found",
        State::AsBuilt => "as built",
        State::Design => "a design, not yet built",
    };
    let list = vec![
        ("Name", boat.name.clone()),
        ("Hull or register number", boat.hull.clone()),
        ("Kind", boat.kind.clone()),
        ("System", format!("direct current, {} nominal", show(boat.nominal))),
        ("State", state.into()),
    ];
    facts(Part::Vessel, list).collect()
}

fn inspection(design: &Design) -> Vec<ExtractLine> {
    let (boat, visit) = (&design.boat, &design.boat.visit);
    let survey = of(design);
    let measured = boat.found.iter().filter(|r| r.evidence() == Evidence::Measured).count();
    let instruments =
        if visit.instruments.is_empty() { instruments(design).join("; ") } else { visit.instruments.clone() };
    let list = vec![
        ("Date of the visit", visit.date.map_or_else(|| "not stated".into(), |day| day.to_string())),
        ("Surveyed by", visit.by.clone()),
        ("Scope", visit.scope.clone()),
        ("Conditions", visit.conditions.clone()),
        ("Instruments", instruments),
        ("How", format!("{measured} readings, {} things seen or stated", boat.found.len() - measured)),
        ("Judged by", boat.rules.word().into()),
    ];
    let barred = survey.notes.iter().filter(|n| n.kind == NoteKind::NotOpened);
    let barred = barred.map(|n| ExtractLine {
        readings: n.reading.clone(),
        ..ExtractLine::fact(Part::Inspection, "Not opened", format!("{}: {}", n.place, n.text))
    });
    let untested = survey.notes.iter().filter(|n| n.kind == NoteKind::NotTested && !n.reading.is_empty());
    let untested = untested.map(|n| ExtractLine {
        readings: n.reading.clone(),
        ..ExtractLine::fact(Part::Inspection, "Not tested", format!("{}: {}", n.place, n.text))
    });
    facts(Part::Inspection, list).chain(barred).chain(untested).collect()
}

/// Instruments that the readings name, each once.
#[must_use]
pub fn instruments(design: &Design) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for one in design.boat.found.iter().flat_map(|r| r.instrument.split(", ")).filter(|i| !i.is_empty()) {
        if !out.iter().any(|i| i == one) {
            out.push(one.to_string());
        }
    }
    out
}

fn banks(design: &Design) -> Vec<ExtractLine> {
    let of_bank = |b: &crate::model::Bank| {
        let mut text = format!("{} nominal", show(b.nominal));
        if let Some(capacity) = b.capacity {
            text += &format!(", {} stated", show(capacity));
        }
        if let Some(build) = &b.build {
            text += &format!(", {} cells {}", build.pack.cells(), build.cell_name);
        }
        if b.strings > 1 {
            text += &format!(", {} strings", b.strings);
        }
        if let Some(place) = design.boat.place(&b.place) {
            text += &format!("; {}", place.name);
        }
        ExtractLine::fact(Part::Bank, &b.name, text)
    };
    design.boat.banks.iter().map(of_bank).collect()
}

fn protection(design: &Design) -> Vec<ExtractLine> {
    let boat = &design.boat;
    let mut out = Vec::new();
    let (mut branches, mut stated) = (0, 0);
    for (c, circuit) in design.circuits.iter().zip(&boat.circuits) {
        let bare = boat
            .found
            .iter()
            .any(|r| r.item == crate::found::Item::NoDevice && r.at == format!("circuit.{}", c.id));
        let device = c.device.as_ref().filter(|_| !bare && c.device_origin == Origin::Given);
        let main = boat.bank(&circuit.from).is_some() || !matches!(circuit.feeds, Feeds::Loads(_));
        if !main {
            branches += 1;
            stated += usize::from(device.is_some());
            continue;
        }
        let device = match device {
            Some(device) => {
                let capacity =
                    device.breaking_capacity().map_or_else(String::new, |i| format!(", breaks {}", show(i)));
                format!("{device}{capacity}")
            }
            None if bare => "none seen".into(),
            None => "device not stated".into(),
        };
        let size = if c.conductor_origin == Origin::Given {
            format!("{}:", c.conductor.size())
        } else {
            "size not stated,".into()
        };
        let fault = c.fault_start.high().map_or_else(|| "not known".into(), |i| format!("up to {}", show(i)));
        let name = if circuit.name.is_empty() { circuit.feeds.words() } else { circuit.name.clone() };
        let text = format!("{size} {device}; fault current at its place {fault}");
        out.push(ExtractLine::fact(Part::Protection, name, text));
    }
    if branches > 0 {
        let text = format!("{stated} of {branches} with a device stated");
        out.push(ExtractLine::fact(Part::Protection, "Branch circuits behind panels", text));
    }
    out
}

fn open(design: &Design, since: Option<&Resurvey>) -> Vec<ExtractLine> {
    let survey = of(design);
    let now = design.boat.visit.date.map_or_else(String::new, |day| day.to_string());
    let counts = |s: &Severity| matches!(s, Severity::A | Severity::B);
    let reported = |f: &SurveyFinding| {
        let before = since.and_then(|r| {
            let open = r.matters.iter().filter(|m| matches!(m.outcome, Outcome::Open | Outcome::Undecided));
            let mut same = open.filter(|m| m.subject == f.subject && m.rule == f.rule);
            same.find(|m| m.before.as_ref().is_some_and(|b| b.severity.is_some()))
                .map(|_| r.before.to_string())
        });
        before.unwrap_or_else(|| now.clone())
    };
    let listed = survey.findings.iter().chain(&survey.undecided).filter(|f| counts(&f.severity));
    let mut out: Vec<ExtractLine> = listed
        .map(|f| ExtractLine {
            severity: Some(f.severity),
            evidence: Some(f.evidence),
            risk: f.risk.clone(),
            correction: f.correction.clone(),
            standard: f.standard.clone(),
            confidence: Some(f.confidence),
            readings: f.readings.join(", "),
            reported: reported(f),
            ..ExtractLine::fact(Part::Open, &f.place, said(f))
        })
        .collect();
    // What nobody looked at again is as open as it was.
    let unseen = since.into_iter().flat_map(|r| r.of(Outcome::NotChecked).map(move |m| (r, m)));
    for (r, m) in unseen.filter(|(_, m)| m.severity().is_some_and(|s| counts(&s))) {
        let Some(before) = &m.before else { continue };
        out.push(ExtractLine {
            severity: m.severity(),
            evidence: Some(before.evidence),
            risk: m.risk.clone(),
            correction: m.correction.clone(),
            standard: m.standard.clone(),
            confidence: Some(m.confidence),
            readings: before.readings.join(", "),
            reported: r.before.to_string(),
            ..ExtractLine::fact(Part::Open, place(design, &m.subject), format!("{}; {}", before.what, m.why))
        });
    }
    out.sort_by_key(|line| line.severity);
    out
}

/// The deficiency; where it is not known whether there is one, that comes first.
fn said(f: &SurveyFinding) -> String {
    let what = &f.deficiency;
    if f.verdict == Verdict::Undecided && !what.contains("cannot be decided") {
        return format!("this cannot be decided: {what}");
    }
    what.clone()
}

fn closed(since: &Resurvey) -> Vec<ExtractLine> {
    let counts = |s: Severity| matches!(s, Severity::A | Severity::B);
    let listed = since.of(Outcome::Resolved).filter(|m| m.severity().is_some_and(counts));
    listed
        .map(|m| ExtractLine {
            severity: m.severity(),
            evidence: m.now.as_ref().map(|n| n.evidence),
            readings: m.now.as_ref().map_or_else(String::new, |n| n.readings.join(", ")),
            reported: since.before.to_string(),
            closed: since.now.to_string(),
            ..ExtractLine::fact(
                Part::Closed,
                &m.place,
                format!("{}; now: {}", m.before.as_ref().map_or("", |b| &b.what), m.why),
            )
        })
        .collect()
}
