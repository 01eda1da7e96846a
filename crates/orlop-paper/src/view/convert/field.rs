//! From a design to its test sheet and its survey report.

use super::{head, words};
use crate::cautions::ALWAYS;
use crate::pretty;
use crate::view::{Sheet, SheetGroup, SheetLine, SheetRule, SurveyItem, SurveyNote, SurveyReport};
use orlop::{Error, Sense, Severity};
use orlop_boat::Design;
use orlop_boat::found::Evidence;
use orlop_boat::model::Boat;
use orlop_boat::sheet::{Test, sheet as tests};
use orlop_boat::survey::{self, Note, NoteKind, Resurvey, SurveyFinding};
use orlop_units::{AnyQuantity, Quantity};

/// The test sheet of a design.
///
/// # Errors
/// For values that make no network; a design that was sized has none.
pub fn sheet(design: &Design, date: Option<String>) -> Result<Sheet, Error> {
    let tests = tests(design)?;
    let mut legend: Vec<SheetRule> = Vec::new();
    let mut groups: Vec<SheetGroup> = Vec::new();
    let mut last = "";
    for t in &tests {
        let what = words::sentence(t.kind.title());
        if !legend.iter().any(|l| l.what == what) {
            let (verdict, if_not) = (words::sentence(&t.verdict), words::sentence(&t.if_not));
            legend.push(SheetRule { what: what.clone(), verdict, if_not });
        }
        let title = group(design, t);
        if groups.last().is_none_or(|g| g.title != title) {
            groups.push(SheetGroup { title, lines: Vec::new() });
            last = "";
        }
        let switch_on = if t.switch_on == last { String::new() } else { t.switch_on.clone() };
        last = &t.switch_on;
        if let Some(group) = groups.last_mut() {
            group.lines.push(line(t, what, switch_on));
        }
    }
    let tests = tests.len();
    Ok(Sheet { head: head::head(design, date), caution: ALWAYS, legend, groups, tests })
}

/// A load is tested with the circuit that feeds it, a panel with its feeder; what is tested dead and at rest stands together.
fn group(design: &Design, t: &Test) -> String {
    let (section, id) = t.subject.split_once('.').unwrap_or(("", ""));
    let fed = |loads: &[String]| loads.iter().any(|l| l == id);
    let circuit = match section {
        "circuit" => design.boat.circuit(id),
        "load" => design.boat.circuits.iter().find(|c| match &c.feeds {
            orlop_boat::model::Feeds::Loads(loads) => fed(loads),
            _ => false,
        }),
        "panel" => design.boat.circuits.iter().find(|c| match &c.feeds {
            orlop_boat::model::Feeds::Panel(panel) => panel == id,
            _ => false,
        }),
        "bond" => return "Dead: bonds from end to end".into(),
        _ => return "At rest: bank, drain, insulation".into(),
    };
    circuit.map_or_else(|| t.name.clone(), |c| words::named(&c.id, &c.name))
}

fn line(t: &Test, what: String, switch_on: String) -> SheetLine {
    let shown = |q: &AnyQuantity| {
        if q.kind == orlop_units::Kind::Voltage && q.si.abs() < 1.0 {
            pretty::lost(q.si)
        } else {
            pretty::any(q)
        }
    };
    SheetLine {
        number: t.number,
        what,
        switch_on,
        probe: t.probe.clone(),
        current: t.current.filter(|i| i.si() > 0.0).map(pretty::show),
        expected: t.expected.as_ref().map(shown),
        limit: t.limit.as_ref().map(|l| {
            let side = if t.sense == Sense::AtMost { "\u{2264}" } else { "\u{2265}" };
            format!("{side}\u{a0}{}", shown(l))
        }),
        reading: t.found.as_ref().map(|(_, value)| shown(value)),
    }
}

/// The survey report of a design; with an earlier visit, what has changed since then.
#[must_use]
pub fn survey_report(design: &Design, two: Option<&Resurvey>, date: Option<String>) -> SurveyReport {
    let survey = survey::of(design);
    let joints = super::joints::solved(design);
    let list = |kind: NoteKind, inferred: Option<bool>| -> Vec<SurveyNote> {
        let all = survey.notes.iter().chain(&survey.confirmations).filter(|n| n.kind == kind);
        all.filter(|n| inferred.is_none_or(|i| (n.evidence == Evidence::Inferred) == i)).map(note).collect()
    };
    SurveyReport {
        head: head::head(design, date),
        caution: ALWAYS,
        counts: [Severity::A, Severity::B, Severity::C].map(|s| survey.count(s)),
        findings: survey.findings.iter().map(|f| item(&design.boat, f)).collect(),
        undecided: survey.undecided.iter().map(|f| item(&design.boat, f)).collect(),
        observations: list(NoteKind::Observation, None),
        not_opened: list(NoteKind::NotOpened, None),
        not_tested: list(NoteKind::NotTested, None),
        in_order: list(NoteKind::InOrder, Some(false)),
        worked_out: list(NoteKind::InOrder, Some(true)),
        visit: visit(&design.boat),
        since: two.map(|two| super::visit::since(design, two)),
        instruments: if design.boat.visit.instruments.is_empty() {
            survey::instruments(design)
        } else {
            Vec::new()
        },
        readings: design.boat.found.len(),
        tree: super::tree::tree(design, &joints),
        joints: super::joints::map(design, &joints),
    }
}

/// What the file says of the visit.
fn visit(boat: &Boat) -> Vec<(String, String)> {
    let v = &boat.visit;
    let date = v.date.map_or_else(String::new, |day| day.to_string());
    let list = [
        ("Hull or register number", &boat.hull),
        ("Date of the visit", &date),
        ("Surveyed by", &v.by),
        ("Scope", &v.scope),
        ("Conditions", &v.conditions),
        ("Instruments, last checked", &v.instruments),
    ];
    list.into_iter()
        .filter(|(_, text)| !text.is_empty())
        .map(|(k, text)| (k.into(), words::plain(text)))
        .collect()
}

fn note(n: &Note) -> SurveyNote {
    // The boat as a whole stands at the head of the paper.
    let place = if n.subject == "boat" { String::new() } else { n.place.clone() };
    SurveyNote { place, text: words::sentence(&n.text), reading: n.reading.clone() }
}

fn item(boat: &Boat, f: &SurveyFinding) -> SurveyItem {
    // Whether there is a device at all is no number.
    let whether = f.rule == "found-no-device";
    let value = f.value.as_ref().map(|v| pretty::with_width(v, f.uncertainty.as_ref()));
    let limit = f.limit.as_ref().map(|l| format!("{} {}", f.sense.word(), pretty::any(l)));
    SurveyItem {
        number: f.number,
        severity: words::letter(f.severity),
        place: f.place.clone(),
        readings: f.readings.join(", "),
        evidence: f.evidence.word(),
        deficiency: words::sentence(&words::with_names(boat, &f.deficiency)),
        value: if whether { Some("no device".into()) } else { value },
        limit: limit.filter(|_| !whether),
        margin: f.margin.filter(|_| !whether).map(|m| pretty::margin(m, f.sense == Sense::AtMost)),
        risk: f.risk.clone(),
        correction: f.correction.clone(),
        standard: f.standard.clone(),
        trust: f.confidence.into(),
        beside: f.beside.iter().map(|(_, what)| words::sentence(&words::with_names(boat, what))).collect(),
    }
}
