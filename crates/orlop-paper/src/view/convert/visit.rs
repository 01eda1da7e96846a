//! From two visits to their section of the report, and from a survey to the insurer's extract.

use super::{head, words};
use crate::cautions::ALWAYS;
use crate::pretty;
use crate::view::{ExtractItem, ExtractPage, Since, SinceGroup, SinceLine};
use orlop_boat::Design;
use orlop_boat::model::Boat;
use orlop_boat::survey::{ExtractLine, Matter, Outcome, Part, Resurvey, Side, extract};

/// The section on the time since an earlier visit.
#[must_use]
pub fn since(design: &Design, two: &Resurvey) -> Since {
    let group = |outcome: Outcome| SinceGroup {
        title: outcome.title().into(),
        lines: two.of(outcome).map(|m| line(&design.boat, m)).collect(),
    };
    Since {
        before: two.before.to_string(),
        now: two.now.to_string(),
        groups: Outcome::ALL.map(group).into_iter().filter(|g| !g.lines.is_empty()).collect(),
    }
}

fn line(boat: &Boat, m: &Matter) -> SinceLine {
    let severity = |s: &Option<Side>| match s {
        Some(s) => s.severity.map_or("\u{2013}".to_string(), |s| words::letter(s).to_string()),
        None => "\u{2013}".into(),
    };
    let whether = m.rule == "found-no-device";
    let value = |s: &Option<Side>| {
        let s = s.as_ref()?;
        let value = s.value.as_ref()?;
        Some(if whether { "no device".into() } else { pretty::with_width(value, s.uncertainty.as_ref()) })
    };
    let mut readings: Vec<&str> = Vec::new();
    for id in [&m.before, &m.now].into_iter().flatten().flat_map(|s| &s.readings) {
        if !readings.contains(&id.as_str()) {
            readings.push(id);
        }
    }
    let limit = m.now.as_ref().or(m.before.as_ref()).and_then(|s| s.limit.as_ref());
    let change = match (m.outcome, &m.difference) {
        (Outcome::New | Outcome::Resolved | Outcome::NotChecked, _) | (_, None) => "",
        (_, Some(d)) => d.change.words(),
    };
    let why = m.why.strip_prefix(change).and_then(|rest| rest.strip_prefix(": ")).unwrap_or(&m.why);
    SinceLine {
        severity: format!("{}\u{a0}\u{2192}\u{a0}{}", severity(&m.before), now_severity(m, &severity)),
        place: m.place.clone(),
        readings: readings.join(", "),
        before: value(&m.before),
        now: value(&m.now),
        limit: limit.map(|l| {
            if whether { "a device".into() } else { format!("{} {}", m.sense.word(), pretty::any(l)) }
        }),
        change: change.into(),
        why: words::sentence(&words::with_names(boat, why)),
    }
}

/// What nobody looked at again is as urgent as it was.
fn now_severity(m: &Matter, severity: &dyn Fn(&Option<Side>) -> String) -> String {
    if m.outcome == Outcome::NotChecked { format!("{}?", severity(&m.before)) } else { severity(&m.now) }
}

/// The extract for an insurer.
#[must_use]
pub fn extract_page(design: &Design, two: Option<&Resurvey>, date: Option<String>) -> ExtractPage {
    let lines = extract(design, two);
    let pairs = |part: Part| -> Vec<(String, String)> {
        let all = lines.iter().filter(|l| l.part == part);
        all.map(|l| (l.item.clone(), words::plain(&l.text))).collect()
    };
    let items = |part: Part| lines.iter().filter(|l| l.part == part).map(|l| item(&design.boat, l)).collect();
    let (limits, inspection) =
        pairs(Part::Inspection).into_iter().partition(|(item, _)| item.starts_with("Not "));
    let head = head::head(design, date);
    let inspection: Vec<(String, String)> = inspection;
    let inspection = inspection.into_iter().map(|(item, text)| match item.as_str() {
        "Judged by" => (item, format!("{text}: {}", head.rules_name)),
        _ => (item, text),
    });
    let facts: Vec<(String, String)> = pairs(Part::Vessel).into_iter().chain(inspection).collect();
    let mut in_order: Vec<(String, String)> = Vec::new();
    for (item, text) in pairs(Part::InOrder) {
        in_order.push((item, words::sentence(&text)));
    }
    ExtractPage {
        head,
        caution: ALWAYS,
        facts,
        limits,
        banks: pairs(Part::Bank),
        protection: pairs(Part::Protection),
        open: items(Part::Open),
        closed: items(Part::Closed),
        in_order,
    }
}

fn item(boat: &Boat, l: &ExtractLine) -> ExtractItem {
    ExtractItem {
        severity: l.severity.map_or(' ', words::letter),
        place: l.item.clone(),
        readings: l.readings.clone(),
        text: words::sentence(&words::with_names(boat, &l.text)),
        evidence: l.evidence.map_or("", |e| e.word()),
        risk: l.risk.clone(),
        correction: l.correction.clone(),
        standard: l.standard.clone(),
        trust: l.confidence.map(Into::into),
        reported: l.reported.clone(),
        closed: l.closed.clone(),
    }
}
