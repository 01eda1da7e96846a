//! `bank-resistance`: what is stated for a string is no safer than what its cells give.
//!
//! The upper end decides whether a fault is cleared, the lower one what devices must break.

use super::Subject;
use orlop::{Confidence, Judgement, Sense, Severity, Verdict};
use orlop_units::{Quantity, Resistance, show};

/// Apart by less than this share, two numbers are one.
const APART: f64 = 0.01;

pub(super) fn judge(of: &Subject<'_>) -> Vec<Judgement> {
    let Some(fault) = &of.answer.built().fault else { return Vec::new() };
    let cells = fault.string_resistance;
    let pair = |a: Option<Resistance>, b: Option<Resistance>| a.zip(b);
    let mut all = Vec::new();
    if let Some((stated, worst)) = pair(of.bank.string_high, cells.high()) {
        let unsafe_side = stated.si() < worst.si() * (1.0 - APART);
        let current = |r: Resistance| show(of.bank.lowest / r);
        all.push(judged(of, "string-high", (stated, worst), Sense::AtLeast, unsafe_side).what(format!(
            "the highest resistance of one string is stated as {}; its cells, aged, at {} and {} full, give up to {}: a fault may drive {} instead of {}",
            show(stated),
            show(of.build.coldest),
            orlop_units::show(orlop_units::Fraction::new(of.build.least_charge.share())),
            show(worst),
            current(worst),
            current(stated),
        )));
    }
    if let Some((stated, least)) = pair(of.bank.string_low, cells.low()) {
        let unsafe_side = stated.si() > least.si() * (1.0 + APART);
        let current = |r: Resistance| show(of.bank.highest / r);
        all.push(judged(of, "string-low", (stated, least), Sense::AtMost, unsafe_side).what(format!(
            "the lowest resistance of one string is stated as {}; its cells, new, at {} and 1 kHz, give as little as {}: a fault may drive {} instead of {}",
            show(stated),
            show(of.build.warmest),
            show(least),
            current(least),
            current(stated),
        )));
    }
    all
}

/// Stated and reckoned differ: which of them is true is not decided until it is measured.
fn judged(
    of: &Subject<'_>,
    end: &str,
    (stated, cells): (Resistance, Resistance),
    sense: Sense,
    unsafe_side: bool,
) -> Judgement {
    let to_do = if end == "string-high" {
        "measure the drop of one string after 10 s of a known current, cold and nearly empty, and state that; or leave string_resistance out"
    } else {
        "measure one string warm at 1 kHz and state that; or leave string_resistance out"
    };
    let verdict = if unsafe_side { Verdict::Undecided } else { Verdict::Pass };
    Judgement {
        value: Some(stated.into()),
        limit: Some(cells.into()),
        sense,
        ..Judgement::bare("bank-resistance", of.address(end), Severity::B, verdict)
    }
    .clause("law of Arrhenius, measured tables of charge, recalled growth by age", Confidence::Memory)
    .to_do(to_do)
}
