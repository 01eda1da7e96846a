//! From judgements to findings: those on one matter of one thing are one.

use super::SurveyFinding;
use crate::check::found::{Judged, judged};
use crate::design::Design;
use crate::found::{Evidence, Reading};
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
#[derive(Clone, Copy)]
pub(super) struct Known<'a> {
    pub judgement: &'a Judgement,
    pub reading: Option<&'a Reading>,
}

impl Known<'_> {
    pub fn evidence(&self) -> Evidence {
        self.reading.map_or(Evidence::Inferred, Reading::evidence)
    }
    /// The 95 % half-width as the file states it, or from the judgement's own standard uncertainty.
    pub fn half_width(&self) -> Option<AnyQuantity> {
        let standard = self.judgement.uncertainty.as_ref().filter(|u| u.si > 0.0)?;
        Some(AnyQuantity { si: standard.si * crate::check::found::HALF_WIDTH, ..standard.clone() })
    }
}

/// What was judged, by thing and matter.
pub(super) type Matters<'a> = BTreeMap<(String, String), Vec<Known<'a>>>;

/// Everything that was judged on a boat, by thing and matter; `label` tells joints of one thing apart.
pub(super) fn matters<'a>(
    design: &'a Design,
    read: &'a [Judged<'a>],
    label: &dyn Fn(&Reading) -> String,
) -> Matters<'a> {
    let own = read
        .iter()
        .filter_map(|r| Some(Known { judgement: r.judgement.as_ref()?, reading: Some(r.reading) }));
    let of_reading = |j: &Judgement| read.iter().any(|r| r.judgement.as_ref() == Some(j));
    let inferred = design.judgements.iter().filter(|j| !of_reading(j));
    let mut out = Matters::new();
    for known in own.chain(inferred.map(|judgement| Known { judgement, reading: None })) {
        let label = known.reading.map_or_else(String::new, label);
        out.entry(matter(design, known.judgement, &label)).or_default().push(known);
    }
    out
}

pub(super) fn gather(design: &Design) -> Gathered {
    let read = judged(design);
    let mut out = Gathered {
        findings: Vec::new(),
        undecided: Vec::new(),
        overruled: Vec::new(),
        answered: BTreeSet::new(),
    };
    for (matter, together) in matters(design, &read, &|r| r.id.clone()) {
        if together.iter().any(|k| k.reading.is_some()) {
            out.answered.insert(matter);
        }
        let standing = standing(design, &together);
        out.overruled.extend(standing.overruled);
        match standing.finding {
            Some(finding) if finding.verdict == Verdict::Fail => out.findings.push(finding),
            Some(finding) => out.undecided.push(finding),
            None => {}
        }
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

/// How one matter of one thing stands.
pub(super) struct Standing<'a> {
    /// The judgement that leads; none where nothing was judged.
    pub lead: Option<Known<'a>>,
    /// What is wrong or undecided.
    pub finding: Option<SurveyFinding>,
    /// Calculations that a reading has overruled.
    pub overruled: Vec<Judgement>,
}

/// Judgements on one matter of one thing.
pub(super) fn standing<'a>(design: &Design, together: &[Known<'a>]) -> Standing<'a> {
    let passes = |k: &&Known| k.judgement.verdict == Verdict::Pass;
    let mut bad: Vec<Known> = together.iter().filter(|k| k.judgement.is_finding()).copied().collect();
    let decided = together.iter().filter(|k| k.reading.is_some()).find(passes);
    let read_bad = bad.iter().any(|k| k.reading.is_some());
    if let (Some(decided), false) = (decided, read_bad) {
        let overruled = bad.iter().map(|k| k.judgement.clone()).collect();
        return Standing { lead: Some(*decided), finding: None, overruled };
    }
    // A failure leads what is undecided; a reading leads a calculation.
    bad.sort_by_key(|k| (k.judgement.verdict == Verdict::Undecided, k.evidence(), k.judgement.severity));
    let Some((lead, others)) = bad.split_first() else {
        return Standing {
            lead: together.iter().find(passes).copied(),
            finding: None,
            overruled: Vec::new(),
        };
    };
    let others: Vec<&Judgement> = others.iter().map(|k| k.judgement).collect();
    let readings = bad.iter().filter_map(|k| k.reading).map(|r| r.id.clone()).collect();
    let place = place(design, &lead.judgement.subject);
    let finding =
        SurveyFinding::new(lead.judgement, lead.evidence(), lead.half_width(), readings, place, &others);
    Standing { lead: Some(*lead), finding: Some(finding), overruled: Vec::new() }
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
