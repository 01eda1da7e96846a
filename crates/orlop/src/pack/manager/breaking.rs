//! Whether the fuse clears a fault before the contactor tries to.

use crate::error::{Error, positive};
use crate::judgement::{Judgement, Sense, Severity, Verdict};
use crate::protection::Device;
use crate::range::Range;
use crate::source::Confidence;
use orlop_units::{Current, Quantity, Time, amperes, show};

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

/// Rule `contactor-breaking`: whatever current a fault drives, the contactor breaks it or the fuse has cleared it before its contacts part.
///
/// Neither end of the fault current decides: a fuse is slowest where the current is small, a contactor fails where it is large. Between the
/// current that the contactor breaks and the least one that the fuse, at its slowest, clears in time, neither acts. A manager never counts as
/// overcurrent protection; this asks only that it is not destroyed, or welded shut, by trying to be one.
///
/// # Errors
/// [`Error::Input`] for a fault current of which no bound is known or that is not above zero.
///
/// ```
/// use orlop::pack::manager::{Contactor, judge_breaking};
/// use orlop::{Range, Verdict, protection::Device, units::{amperes, seconds}};
/// let fuse = Device::new("iec60269-gg", amperes(100.0))?;
/// let contactor = Contactor::new(Some(amperes(500.0)), Some(seconds(0.02)))?;
/// // It breaks 400 A, and the fuse clears 10 kA before it parts; at 600 A neither acts in time.
/// assert_eq!(judge_breaking(&contactor, &fuse, Range::exactly(amperes(400.0)))?.verdict, Verdict::Pass);
/// assert_eq!(judge_breaking(&contactor, &fuse, Range::exactly(amperes(10e3)))?.verdict, Verdict::Pass);
/// assert_eq!(judge_breaking(&contactor, &fuse, Range::new(amperes(400.0), amperes(10e3)))?.verdict, Verdict::Fail);
/// # Ok::<(), orlop::Error>(())
/// ```
pub fn judge_breaking(
    contactor: &Contactor,
    fuse: &Device,
    fault: Range<Current>,
) -> Result<Judgement, Error> {
    for end in [fault.low(), fault.high()].into_iter().flatten() {
        positive(end, "fault")?;
    }
    if fault.low().is_none() && fault.high().is_none() {
        return Err(Error::input("fault", "not known", "at least one bound of the fault current"));
    }
    let si = |i: Option<Current>, unknown: f64| i.map_or(unknown, Quantity::si);
    let (least, most) = (si(fault.low(), 0.0), si(fault.high(), f64::INFINITY));
    let broken_to = si(contactor.breaks, 0.0);
    let cleared_from = si(contactor.parts_after.and_then(|parts| fuse.opens_within(parts)), f64::INFINITY);
    let parts =
        contactor.parts_after.map_or("at a time not stated".to_string(), |t| format!("after {}", show(t)));
    let (rule, subject) = ("contactor-breaking", "bank.contactor");
    // Some current that may flow is above what the contactor breaks and below what the fuse clears in time.
    let neither = broken_to < cleared_from && least < cleared_from && most > broken_to;
    let judged = if neither {
        let (from, to) = (least.max(broken_to), most.min(cleared_from));
        let span = if to.is_infinite() {
            format!("above {}", show(amperes(from)))
        } else if from < to {
            format!("from {} to {}", show(amperes(from)), show(amperes(to)))
        } else {
            format!("at {}", show(amperes(to)))
        };
        Judgement {
            value: to.is_finite().then(|| amperes(to).into()),
            limit: contactor.breaks.map(Into::into),
            sense: Sense::AtMost,
            ..Judgement::bare(rule, subject, Severity::A, Verdict::Fail)
        }
        .what(format!(
            "{span} the fuse need not have cleared when the contacts part {parts}, and they break {}",
            contactor.breaks.map_or("nothing that is stated".to_string(), show)
        ))
        .to_do("let the manager hold its contactor on short circuit, choose a faster fuse, or a contactor that breaks it")
    } else {
        let what = format!("at {fault} the fuse clears before the contacts part ({parts}), or they break it");
        Judgement::bare(rule, subject, Severity::A, Verdict::Pass).what(what)
    };
    let clause = "common practice: the fuse clears a fault before contacts part";
    Ok(judged.clause(clause, Confidence::CommonPractice.weaker(fuse.confidence())))
}
