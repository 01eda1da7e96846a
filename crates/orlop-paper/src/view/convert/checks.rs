//! Findings, what passed, what could not be checked, guesses, rules, sources.

use super::words;
use crate::pretty;
use crate::view::{Finding, Guess, NotTested, Passed, Rule, Source, Trust};
use orlop::rules::RuleSetId;
use orlop::{Confidence, Judgement, Sense, Verdict};
use orlop_boat::Design;
use orlop_boat::check::RULES;

pub(super) fn findings(design: &Design) -> Vec<Finding> {
    let mut out: Vec<Finding> = design.findings().map(|j| finding(design, j)).collect();
    out.sort_by_key(|f| (f.severity, f.undecided));
    out
}

fn finding(design: &Design, j: &Judgement) -> Finding {
    let at_most = j.sense == Sense::AtMost;
    // Refusals end in their remedies; those stand under what to do.
    let what = j.what.strip_suffix(j.to_do.as_str()).map_or(j.what.as_str(), |w| {
        w.trim_end().trim_end_matches("what would help:").trim_end_matches([' ', ';'])
    });
    Finding {
        severity: words::letter(j.severity),
        place: words::place(&design.boat, &j.subject),
        address: j.subject.clone(),
        what: words::lines(&words::with_names(&design.boat, what)),
        value: j.value.as_ref().map(pretty::any),
        limit: j.limit.as_ref().map(|l| format!("{} {}", j.sense.word(), pretty::any(l))),
        margin: j.margin.map(|m| pretty::margin(m, at_most)),
        undecided: j.verdict == Verdict::Undecided,
        case: if j.case.is_empty() { String::new() } else { words::case(design, &j.case) },
        clause: j.clause.clone(),
        to_do: words::lines(&j.to_do),
        trust: j.confidence.into(),
    }
}

/// Rules that were kept, in the order of the list, each with its closest call.
pub(super) fn passed(design: &Design) -> Vec<Passed> {
    let known = RULES.iter().map(|r| (r.id, r.asks));
    known
        .filter_map(|(id, asks)| {
            let all: Vec<&Judgement> = design.confirmations().filter(|j| j.rule == id).collect();
            let room = |j: &Judgement| j.margin.unwrap_or(f64::INFINITY);
            let tightest = all.iter().copied().min_by(|a, b| room(a).total_cmp(&room(b)))?;
            let weakest = all.iter().map(|j| j.confidence).max().unwrap_or(Confidence::Published);
            Some(Passed {
                title: asks.into(),
                count: all.len(),
                tightest: words::place(&design.boat, &tightest.subject),
                margin: tightest.margin.map(pretty::percent),
                clause: tightest.clause.clone(),
                trust: weakest.into(),
            })
        })
        .collect()
}

/// What could not be checked: one entry for each rule and thing to find out.
pub(super) fn not_tested(design: &Design) -> Vec<NotTested> {
    /// Most sentences that are printed for one entry; the table of judgements has them all.
    const FEW: usize = 3;
    /// Most places that are named in full.
    const NAMED: usize = 6;
    let mut out: Vec<NotTested> = Vec::new();
    for j in design.not_tested() {
        let title = RULES.iter().find(|r| r.id == j.rule).map_or(j.rule, |r| r.asks);
        let to_do = words::sentence(&j.to_do);
        let place = j.subject.clone();
        let what = words::sentence(&j.what);
        match out.iter_mut().find(|n| n.title == title && n.to_do == to_do) {
            Some(entry) => {
                entry.places.push(place);
                if !entry.what.contains(&what) {
                    entry.what.push(what);
                }
            }
            None => out.push(NotTested { title: title.into(), to_do, places: vec![place], what: vec![what] }),
        }
    }
    for entry in &mut out {
        if entry.what.len() > FEW {
            entry.what.clear();
        }
        if entry.places.len() <= NAMED {
            entry.places = entry.places.iter().map(|p| words::place(&design.boat, p)).collect();
        } else {
            entry.places = entry.places.iter().map(|p| p.replacen('.', "\u{a0}", 1)).collect();
        }
    }
    out
}

pub(super) fn guesses(design: &Design) -> Vec<Guess> {
    design
        .boat
        .guesses
        .iter()
        .map(|(address, value)| Guess {
            address: address.clone(),
            place: words::place(&design.boat, address),
            value: pretty::units(&value.as_written.clone().unwrap_or_else(|| value.to_string())),
        })
        .collect()
}

pub(super) fn rules() -> Vec<Rule> {
    RULES.iter().map(|r| Rule { id: r.id.into(), severity: r.severity.into(), asks: r.asks.into() }).collect()
}

/// All sources but those of the other rule set.
pub(super) fn sources(design: &Design) -> Vec<Source> {
    let other: &[&str] = match design.boat.rules {
        RuleSetId::UsSmallCraft => &["iso13297", "rules-iso"],
        RuleSetId::IsoSmallCraft => &["cfr33", "rules-us"],
    };
    orlop::sources()
        .into_iter()
        .filter(|c| !other.iter().any(|o| c.id.starts_with(o)))
        .map(|c| {
            let mut document = c.document.to_string();
            if !c.edition.is_empty() {
                document += &format!(":{}", c.edition);
            }
            if !c.place.is_empty() {
                document += &format!(", {}", c.place);
            }
            Source {
                id: c.id.to_string(),
                document,
                title: c.title.to_string(),
                trust: Trust::from(c.confidence),
                reading: c.reading.to_string(),
            }
        })
        .collect()
}
