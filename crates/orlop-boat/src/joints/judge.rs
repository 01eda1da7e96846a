//! Judgements on the pieces: what is bad, what cannot be told, which circuits are sound.

use super::{BoatJoints, Piece};
use crate::design::Design;
use orlop::{Confidence, Judgement, Severity, Verdict};
use orlop_units::{Quantity, show, significant, watts};

/// The rule of the pieces.
const RULE: &str = "section-resistance";
/// More heat than this at full load needs work soon: trade practice.
const SOON: f64 = 5.0;
const PRACTICE: &str = "trade practice on joints";

/// One judgement for each bad piece or group of them, for each reading that contradicts, and for each circuit without either.
pub(crate) fn judge(design: &Design) -> Vec<Judgement> {
    match BoatJoints::of(design) {
        Ok(joints) => all(design, &joints),
        Err(error) => {
            let j = Judgement::bare(RULE, "boat", Severity::B, Verdict::Undecided);
            vec![
                j.what(format!("the drops that were read could not be solved: {error}"))
                    .to_do("correct these readings"),
            ]
        }
    }
}

fn all(design: &Design, joints: &BoatJoints) -> Vec<Judgement> {
    let mut out = Vec::new();
    for id in &joints.contradicting {
        let Some(r) = design.boat.found.iter().find(|r| r.id == *id) else { continue };
        let value = r.value.as_ref().map_or_else(String::new, ToString::to_string);
        let at = r.current.map_or_else(String::new, show);
        let j = bare(&r.at, Severity::B, Verdict::Undecided).case(format!("reading {id}"));
        out.push(
            j.what(format!(
                "{value} at {at} fits neither the other readings nor the length and size in the boat file"
            ))
            .to_do("check length and size, then read again, each at a steady current"),
        );
    }
    for (at, p) in joints.pieces.iter().enumerate() {
        if p.contradicted || p.verdict == Verdict::Pass {
            continue;
        }
        // Of a group the hottest speaks for all.
        let louder = |q: &Piece| q.watts_full > p.watts_full && p.or_else.contains(&q.id);
        let same_and_before = |q: &Piece| q.watts_full == p.watts_full && p.or_else.contains(&q.id);
        if joints.pieces.iter().any(louder) || joints.pieces[..at].iter().any(same_and_before) {
            continue;
        }
        out.push(of_piece(design, joints, p));
    }
    for circuit in 0..design.boat.circuits.len() {
        let of: Vec<&Piece> = joints.pieces.iter().filter(|p| p.circuit == circuit).collect();
        if !of.is_empty() && of.iter().all(|p| p.verdict == Verdict::Pass) {
            out.push(sound(&format!("circuit.{}", design.boat.circuits[circuit].id), &of));
        }
    }
    out
}

fn bare(subject: &str, severity: Severity, verdict: Verdict) -> Judgement {
    Judgement::bare(RULE, subject, severity, verdict).clause(PRACTICE, Confidence::CommonPractice)
}

fn of_piece(design: &Design, joints: &BoatJoints, p: &Piece) -> Judgement {
    let circuit = &design.boat.circuits[p.circuit].id;
    let case = format!("{}.{}", p.leg.word(), p.part.word());
    let mut j = bare(&format!("circuit.{circuit}"), p.severity, p.verdict).case(case);
    j.value = Some(p.watts_full.into());
    let half = p.interval.high().map_or(0.0, |h| h.si() - p.resistance.si());
    j.uncertainty =
        Some((p.watts_full * (half / crate::found::HALF_WIDTH / p.resistance.si().max(1e-12))).into());
    if p.watts_full.si() > SOON {
        j.limit = Some(watts(SOON).into());
        j.margin = Some((SOON - p.watts_full.si()) / SOON);
    }
    let called = |id: &String| {
        let piece = joints.pieces.iter().find(|q| q.id == *id);
        piece.map_or_else(
            || id.clone(),
            |q| {
                let other = &design.boat.circuits[q.circuit].id;
                if other == circuit { q.name() } else { format!("{} of {other}", q.name()) }
            },
        )
    };
    let others: Vec<String> = p.or_else.iter().map(called).collect();
    let name = match others.split_last() {
        None => p.name(),
        Some((last, [])) => format!("{} or {last}", p.name()),
        Some((last, more)) => format!("{}, {} or {last}", p.name(), more.join(", ")),
    };
    let mut what = format!("{name}: {}", said(p));
    let mut to_do = "take it apart, clean and re-make it, then read the drop again at the same current";
    if !others.is_empty() {
        what += "; no reading tells which of them";
        to_do = "read the drop across each of them alone";
    } else if !p.or_both.is_empty() {
        let both: Vec<String> = p.or_both.iter().map(called).collect();
        what += &format!("; or instead of it both {}", both.join(" and "));
        to_do = "read the drop across each of them alone";
    }
    j.what(what).to_do(to_do)
}

/// Resistance, heat and rise of a piece in words.
pub(super) fn said(p: &Piece) -> String {
    let (low, high) = (p.interval.low().unwrap_or(p.resistance), p.interval.high().unwrap_or(p.resistance));
    let mut what = format!(
        "{} ({} to {}) where a sound one has up to {}; {} at {}",
        show(p.resistance),
        show(low),
        show(high),
        show(p.sound_to),
        show(p.watts_full),
        show(p.full)
    );
    if let Some(rise) = p.rise {
        what += &format!(", rise {rise} predicted");
    }
    if let Some(ratio) = p.ratio {
        what += &format!(", {} times an equal length of its cable", significant(ratio, 2));
    }
    what
}

/// A circuit none of whose pieces stands out; undecided where the readings would not have shown one that heats.
fn sound(subject: &str, of: &[&Piece]) -> Judgement {
    // What would have shown, or what the upper end of its interval heats at the most.
    let most = |p: &Piece| {
        let heat = p.interval.high().map_or(f64::INFINITY, |r| r.si() * p.full.si().powi(2));
        watts(p.shown_from.si().min(heat))
    };
    let hidden = of.iter().map(|p| most(p)).fold(watts(0.0), orlop_units::Power::max);
    let blind = hidden.si() > SOON;
    let verdict = if blind { Verdict::Undecided } else { Verdict::Pass };
    let j = bare(subject, Severity::B, verdict);
    let what = format!(
        "{}; one of more than {} at full load would have",
        if of.len() == 1 {
            "its one piece that was read does not stand out".to_string()
        } else {
            format!("{} pieces of it, none stands out", of.len())
        },
        show(hidden)
    );
    if blind {
        return j
            .what(format!("{what}, but not one that needs work soon, of {}", show(watts(SOON))))
            .to_do("read again at a higher current, or across fewer pieces at a time");
    }
    j.what(what)
}
