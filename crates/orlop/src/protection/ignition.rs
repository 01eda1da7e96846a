//! Devices that spark, in spaces where petrol or gas vapour can gather.

use crate::judgement::{Judgement, Severity, Verdict};
use crate::source::{Citation, Confidence};

/// What ignition protection means.
pub const IGNITION: Citation = Citation::fixed(
    "cfr33-183-410",
    "33 CFR 183.410",
    "2015",
    "(a)",
    "no ignition of 4.25 to 5.25 percent of propane in air",
    Confidence::Published,
    "two copies",
);

/// Whether a device may stand in its space.
///
/// `sparks`: it opens or closes contacts, or melts an open element. `vapour`: petrol or gas vapour can gather there.
/// `declared`: whether its maker declares ignition protection; nothing stated counts as no.
///
/// ```
/// use orlop::protection::ignition;
/// use orlop::{Severity, Verdict};
/// let breaker = ignition::judge("circuit.P2", true, true, None);
/// assert_eq!((breaker.verdict, breaker.severity), (Verdict::Fail, Severity::A));
/// assert_eq!(ignition::judge("circuit.P2", true, true, Some(true)).verdict, Verdict::Pass);
/// assert_eq!(ignition::judge("circuit.P2", true, false, None).verdict, Verdict::NotApplicable);
/// ```
#[must_use]
pub fn judge(subject: &str, sparks: bool, vapour: bool, declared: Option<bool>) -> Judgement {
    let verdict = match (sparks && vapour, declared) {
        (false, _) => Verdict::NotApplicable,
        (true, Some(true)) => Verdict::Pass,
        (true, _) => Verdict::Fail,
    };
    let what = match verdict {
        Verdict::NotApplicable => "no spark-capable device in a space with petrol or gas vapour",
        Verdict::Pass => "the device is declared ignition protected",
        _ if declared == Some(false) => {
            "a device that can spark, not ignition protected, stands in a space with petrol or gas vapour"
        }
        _ => "a device that can spark stands in a space with petrol or gas vapour; no protection is declared",
    };
    Judgement::bare("device-ignition", subject, Severity::A, verdict)
        .clause(format!("{} {}", IGNITION.document, IGNITION.place), IGNITION.confidence)
        .what(what)
        .to_do("move it out of the space, or replace it by one declared ignition protected")
}
