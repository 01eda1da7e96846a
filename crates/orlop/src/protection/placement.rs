//! Where along the conductor a device stands: distance from the source against its limit.
//!
//! The limit depends on rule set, kind of source and enclosure; it is handed in with its clause.

use crate::judgement::{Judgement, Sense, Severity, Verdict};
use crate::source::Confidence;
use orlop_units::{Length, Quantity, show};

const RULE: &str = "device-distance";

/// Whether a device stands near enough to the source that feeds the conductor.
///
/// `distance` is measured along the conductor, from the source's terminal to the device; a distance that is not stated is
/// not tested. `source` names the terminal for people: "battery positive post".
///
/// ```
/// use orlop::protection::placement;
/// use orlop::units::metres;
/// use orlop::{Confidence, Verdict};
/// let at = |distance| {
///     placement::judge(
///         "circuit.H1", "battery positive post", distance, metres(7.0 * 0.0254), "33 CFR 183.455(b)(1)", Confidence::Published,
///     )
/// };
/// assert_eq!(at(Some(metres(0.15))).verdict, Verdict::Pass);
/// assert_eq!(at(Some(metres(0.30))).verdict, Verdict::Fail);
/// assert_eq!(at(None).verdict, Verdict::NotTested);
/// ```
#[must_use]
pub fn judge(
    subject: &str,
    source: &str,
    distance: Option<Length>,
    limit: Length,
    clause: &str,
    confidence: Confidence,
) -> Judgement {
    let with_limit = |verdict| Judgement {
        limit: Some(limit.into()),
        ..Judgement::bare(RULE, subject, Severity::A, verdict).clause(clause, confidence)
    };
    match distance {
        None => with_limit(Verdict::NotTested)
            .what(format!("the distance from the {source} to the device is not stated"))
            .to_do(format!(
                "measure along the conductor from the {source} to the device, and whether it is sheathed or enclosed all the way; loose loom is no enclosure"
            )),
        Some(d) if !(d.si().is_finite() && d.si() >= 0.0) => with_limit(Verdict::Undecided)
            .what(format!("{} is no distance", show(d)))
            .to_do(format!("measure along the conductor from the {source} to the device")),
        Some(d) => Judgement::compare(RULE, subject, Severity::A, d, Sense::AtMost, limit)
            .clause(clause, confidence)
            .what(format!("{} of conductor between the {source} and the device; {} allowed", show(d), show(limit)))
            .to_do(format!("move the device to within {} of the {source}, along the conductor", show(limit))),
    }
}

/// A conductor that a source can feed at this end, and no device there.
///
/// A battery manager or its semiconductor switch is no device in this sense: it can fail closed.
#[must_use]
pub fn missing(subject: &str, source: &str, clause: &str, confidence: Confidence) -> Judgement {
    Judgement::bare("device-missing", subject, Severity::A, Verdict::Fail)
        .clause(clause, confidence)
        .what(format!("the conductor starts at the {source} without a fuse or breaker"))
        .to_do(format!("fit a device at the {source}; a battery manager does not count as one"))
}
