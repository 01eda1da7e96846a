//! Whether the fuse clears a fault before the contactor tries to.

use crate::error::{Error, positive};
use crate::judgement::{Judgement, Sense, Severity, Verdict};
use crate::protection::Device;
use crate::range::Range;
use crate::source::Confidence;
use orlop_units::{Current, Time, show};

/// A contactor: the largest current it breaks at the bank's voltage, and how long after the fault its contacts part at the
/// earliest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contactor {
    breaks: Option<Current>,
    parts_after: Option<Time>,
}

impl Contactor {
    /// A contactor; what is not stated counts as nothing.
    ///
    /// # Errors
    /// [`Error::Input`] for a value not above zero.
    pub fn new(breaks: Option<Current>, parts_after: Option<Time>) -> Result<Self, Error> {
        Ok(Self {
            breaks: breaks.map(|i| positive(i, "breaks")).transpose()?,
            parts_after: parts_after.map(|t| positive(t, "parts_after")).transpose()?,
        })
    }
}

/// Rule `contactor-breaking`: at either end of the fault current the contactor breaks it, or the fuse has cleared it before.
///
/// The fuse is taken at its slowest. A manager never counts as overcurrent protection; this asks only that it is not destroyed,
/// or welded shut, by trying to be one.
///
/// # Errors
/// [`Error::Input`] for a fault current of which no bound is known or that is not above zero.
pub fn judge_breaking(
    contactor: &Contactor,
    fuse: &Device,
    fault: Range<Current>,
) -> Result<Judgement, Error> {
    let ends: Vec<Current> = [fault.low(), fault.high()].into_iter().flatten().collect();
    if ends.is_empty() {
        return Err(Error::input("fault", "not known", "at least one bound of the fault current"));
    }
    let parts = contactor.parts_after;
    let mut worst: Option<(Current, Option<Time>)> = None;
    for fault in ends {
        let slowest = fuse.opening_time(positive(fault, "fault")?)?.high();
        let cleared = matches!((slowest, parts), (Some(t), Some(parts)) if t <= parts);
        let broken = contactor.breaks.is_some_and(|most| fault <= most);
        if !cleared && !broken && worst.is_none_or(|(current, _)| fault > current) {
            worst = Some((fault, slowest));
        }
    }
    let clause = "common practice: the fuse clears a fault before contacts part";
    let subject = "bank.contactor";
    Ok(match (worst, contactor.breaks) {
        (None, _) => Judgement::bare("contactor-breaking", subject, Severity::A, Verdict::Pass)
            .what(format!("at {fault} the fuse clears before the contacts part, or the contactor breaks it")),
        (Some((current, slowest)), breaks) => {
            let told = slowest.map_or("need not open".to_string(), |t| format!("may take {}", show(t)));
            let judgement = match breaks {
                Some(most) => {
                    Judgement::compare("contactor-breaking", subject, Severity::A, current, Sense::AtMost, most)
                }
                None => Judgement::bare("contactor-breaking", subject, Severity::A, Verdict::Fail),
            };
            judgement
                .what(format!(
                    "at {} the fuse {told}; the contacts part {} and break {}",
                    show(current),
                    parts.map_or("at a time not stated".to_string(), |t| format!("after {}", show(t))),
                    breaks.map_or("nothing that is stated".to_string(), show)
                ))
                .to_do("let the manager hold its contactor on short circuit, choose a faster fuse, or a contactor that breaks it")
        }
    }
    .clause(clause, Confidence::CommonPractice.weaker(fuse.confidence())))
}
