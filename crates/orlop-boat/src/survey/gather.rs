//! From judgements to findings: those on one matter of one thing are one.

use super::SurveyFinding;
use crate::check::found::{Judged, judged};
use crate::design::Design;
use crate::found::Evidence;
use crate::model::Feeds;
use orlop::{Judgement, Verdict};
use orlop_units::AnyQuantity;
use std::collections::{BTreeMap, BTreeSet};

/// What was gathered.
pub(super) struct Gathered {
    pub findings: Vec<SurveyFinding>,
    pub undecided: Vec<SurveyFinding>,
    /// Calculations that a reading has overruled.
    pub overruled: Vec<Judgement>,
    /// Things and matters that a reading has answered.
    pub answered: BTreeSet<(String, String)>,
}

/// A judgement with how it is known.
struct Known<'a> {
    judgement: &'a Judgement,
    reading: Option<&'a Judged<'a>>,
}

impl Known<'_> {
    fn evidence(&self) -> Evidence {
        self.reading.map_or(Evidence::Inferred, |r| r.reading.evidence())
    }
    /// The 95 % half-width as the file states it, or from the judgement's own standard uncertainty.
    fn half_width(&self) -> Option<AnyQuantity> {
        let standard = self.judgement.uncertainty.as_ref().filter(|u| u.si > 0.0)?;
        Some(AnyQuantity { si: standard.si * crate::check::found::HALF_WIDTH, ..standard.clone() })
    }
}

pub(super) fn gather(design: &Design) -> Gathered {
    let read = judged(design);
    let own = read.iter().filter_map(|r| Some(Known { judgement: r.judgement.as_ref()?, reading: Some(r) }));
    let of_reading = |j: &Judgement| read.iter().any(|r| r.judgement.as_ref() == Some(j));
    let inferred = design.judgements.iter().filter(|j| !of_reading(j));
    let all: Vec<Known> = own.chain(inferred.map(|judgement| Known { judgement, reading: None })).collect();

    let mut matters: BTreeMap<(String, String), Vec<&Known>> = BTreeMap::new();
    for known in &all {
        let reading = known.reading.map_or("", |r| &r.reading.id);
        matters.entry(matter(design, known.judgement, reading)).or_default().push(known);
    }
    let mut out = Gathered {
        findings: Vec::new(),
        undecided: Vec::new(),
        overruled: Vec::new(),
        answered: BTreeSet::new(),
    };
    for (matter, together) in matters {
        if together.iter().any(|k| k.reading.is_some()) {
            out.answered.insert(matter);
        }
        one(design, together, &mut out);
    }
    for list in [&mut out.findings, &mut out.undecided] {
        list.sort_by(|a, b| {
            (a.severity, a.evidence, &a.readings, &a.subject, a.rule).cmp(&(
                b.severity,
                b.evidence,
                &b.readings,
                &b.subject,
                b.rule,
            ))
        });
        for (at, finding) in list.iter_mut().enumerate() {
            finding.number = at + 1;
        }
    }
    out
}

/// Judgements on one matter of one thing.
fn one(design: &Design, together: Vec<&Known>, out: &mut Gathered) {
    let bad = |k: &&&Known| k.judgement.is_finding();
    let decided = together.iter().any(|k| k.reading.is_some() && k.judgement.verdict == Verdict::Pass);
    let read_bad = together.iter().any(|k| k.reading.is_some() && k.judgement.is_finding());
    if decided && !read_bad {
        out.overruled.extend(together.iter().filter(bad).map(|k| k.judgement.clone()));
        return;
    }
    let mut bad: Vec<&Known> = together.iter().filter(bad).copied().collect();
    // A failure leads what is undecided; a reading leads a calculation.
    bad.sort_by_key(|k| (k.judgement.verdict == Verdict::Undecided, k.evidence(), k.judgement.severity));
    let Some((lead, others)) = bad.split_first() else { return };
    let others: Vec<&Judgement> = others.iter().map(|k| k.judgement).collect();
    let readings = bad.iter().filter_map(|k| k.reading).map(|r| r.reading.id.clone()).collect();
    let place = place(design, &lead.judgement.subject);
    let finding =
        SurveyFinding::new(lead.judgement, lead.evidence(), lead.half_width(), readings, place, &others);
    if lead.judgement.verdict == Verdict::Fail {
        out.findings.push(finding);
    } else {
        out.undecided.push(finding);
    }
}

/// Thing and matter: what one person would put under one number.
pub(super) fn matter(design: &Design, j: &Judgement, reading: &str) -> (String, String) {
    let topic = match j.rule {
        // A part of a circuit says nothing of the whole way to a load.
        "found-drop" if design.boat.found.iter().any(|r| r.id == reading && r.is_part()) => {
            return (j.subject.clone(), format!("drop {reading}"));
        }
        "drop-physical" | "drop-rule" | "load-voltage" | "brown-out" | "found-drop" | "found-voltage" => {
            "drop"
        }
        "heat-table" | "heat-balance" | "found-current" | "found-temperature" => "heat",
        "device-exists"
        | "device-protects"
        | "device-clears"
        | "device-withstand"
        | "device-let-through"
        | "device-window"
        | "device-voltage"
        | "device-breaking"
        | "found-device-rating"
            if !overloaded(design, &j.subject) =>
        {
            "protection"
        }
        // Where the conductor is too small for its load, no device fits it either.
        "device-exists" | "device-protects" | "device-window" | "found-device-rating" => "heat",
        "device-clears" | "device-withstand" | "device-let-through" | "device-voltage"
        | "device-breaking" => "protection",
        // A loop through bonding, and the current in it.
        "negative-paths" | "one-bond" | "forbidden-share" | "found-stray-current" => {
            return ("boat".into(), "negative".into());
        }
        "support" | "found-support" => "support",
        // Each joint is a thing of its own.
        "joint-heat" if j.case.is_empty() => return (j.subject.clone(), format!("joint {reading}")),
        "joint-heat" | "section-resistance" => return (j.subject.clone(), format!("joint {}", j.case)),
        rule => rule,
    };
    (thing(design, &j.subject, topic), topic.to_string())
}

/// Whether the conductor of a circuit carries more than it may.
fn overloaded(design: &Design, subject: &str) -> bool {
    let heat = |j: &Judgement| j.rule == "heat-table" && j.subject == subject && j.verdict == Verdict::Fail;
    design.judgements.iter().any(heat)
}

/// A circuit with one load, and that load, are one thing where volts are concerned.
fn thing(design: &Design, subject: &str, topic: &str) -> String {
    if let Some(circuit) = subject.strip_prefix("circuit.").and_then(|id| design.boat.circuit(id))
        && topic == "drop"
        && let Feeds::Loads(loads) = &circuit.feeds
        && let [load] = loads.as_slice()
    {
        return format!("load.{load}");
    }
    subject.to_string()
}

/// The name for people of what an address names.
pub(crate) fn place(design: &Design, subject: &str) -> String {
    let boat = &design.boat;
    let (section, id) = subject.split_once('.').unwrap_or((subject, ""));
    let name = match section {
        "boat" => Some(&boat.name),
        "bank" => boat.bank(id).map(|x| &x.name),
        "source" => boat.source(id).map(|x| &x.name),
        "panel" => boat.panel(id).map(|x| &x.name),
        "load" => boat.load(id).map(|x| &x.name),
        "circuit" => boat.circuit(id).map(|x| &x.name),
        "ground" => boat.ground(id).map(|x| &x.name),
        "bond" => boat.bond(id).map(|x| &x.name),
        "space" => boat.space(id).map(|x| &x.name),
        "trunk" => boat.trunk(id).map(|x| &x.name),
        "place" => boat.place(id).map(|x| &x.name),
        _ => None,
    };
    name.cloned().unwrap_or_else(|| subject.to_string())
}
