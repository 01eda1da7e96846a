//! Judges one device against what its place asks: the same for a device found aboard and one being chosen.

use super::device::Device;
use super::need::{LOAD_PRACTICE, Need};
use crate::error::{Error, not_negative, positive};
use crate::judgement::{Judgement, Sense, Severity, Verdict, meets};
use crate::source::Confidence;
use orlop_units::{Current, LetThrough, Quantity, Time, amperes, show, volts};

/// Ids of the rules, in the order in which they are judged.
pub(super) const CARRIES: &str = "device-carries";
pub(super) const PROTECTS: &str = "device-protects";
pub(super) const VOLTAGE: &str = "device-voltage";
pub(super) const BREAKING: &str = "device-breaking";
pub(super) const CLEARS: &str = "device-clears";
pub(super) const WITHSTAND: &str = "device-withstand";
pub(super) const LET_THROUGH: &str = "device-let-through";
pub(super) const HOLDS: &str = "device-holds";

/// Every criterion of a device in a place, with value, limit and verdict.
///
/// | rule | value | limit |
/// |---|---|---|
/// | `device-carries` | rating at the ambient | at least 1.25 times the design current |
/// | `device-protects` | rating | at most the least of conductor, bus, switch, terminal |
/// | `device-voltage` | DC voltage rating, none counts as zero | at least the highest charging voltage |
/// | `device-breaking` | DC breaking capacity, none counts as zero | at least the highest fault current |
/// | `device-clears` | slowest opening at the lowest fault current | at most the permitted time |
/// | `device-withstand` | slowest let-through at the lowest fault current | at most `k2 A2` of the conductor |
/// | `device-let-through` | slowest let-through at the highest fault current | the same; not tested beyond, for no standard here limits it for direct current |
/// | `device-holds` | fastest opening at each inrush | at least as long as it lasts |
///
/// What is not stated makes its criterion not tested, never passed.
///
/// # Errors
/// [`Error::Input`] for impossible values in the need.
pub fn judge(subject: &str, device: &Device, need: &Need) -> Result<Vec<Judgement>, Error> {
    let window = need.window(device.family())?;
    let family = device.family();
    let stated = family.citation.confidence;
    let mut all = Vec::new();

    let carried = device.rating_at(need.ambient);
    all.push(
        Judgement::compare(CARRIES, subject, Severity::B, carried, Sense::AtLeast, window.lowest)
            .clause(
                LOAD_PRACTICE.document.clone(),
                LOAD_PRACTICE.confidence.weaker(family.derating_confidence),
            )
            .what(format!(
                "{device} carries {} at {}; the design current of {} asks for {}",
                show(carried),
                show(need.ambient),
                show(need.design),
                show(window.lowest)
            ))
            .to_do("fit a larger rating, on a larger conductor where that one does not allow it"),
    );
    all.push(
        Judgement::compare(PROTECTS, subject, Severity::A, device.rating(), Sense::AtMost, window.highest)
            .clause(
                format!("rating at most the least limit: {}", window.governed_by()),
                Confidence::Published,
            )
            .what(format!(
                "{device} is rated {}; {} allows {}",
                show(device.rating()),
                window.governed_by(),
                show(window.highest)
            ))
            .to_do(format!("fit a rating of at most {}, or raise that limit", show(window.highest))),
    );
    let voltage = device.voltage_rating();
    all.push(
        Judgement::compare(
            VOLTAGE,
            subject,
            Severity::A,
            voltage.unwrap_or(volts(0.0)),
            Sense::AtLeast,
            need.voltage,
        )
        .clause("DC voltage rating at least the highest charging voltage", stated)
        .what(voltage.map_or_else(
            || format!("{device} has no stated DC voltage, which counts as zero: {}", family.breaking_note),
            |v| format!("{device} is rated {} DC; charging reaches {}", show(v), show(need.voltage)),
        ))
        .to_do(format!("fit a device rated for at least {} DC", show(need.voltage))),
    );
    all.push(judge_breaking(subject, device, need.fault_high));
    all.push(judge_clearing(subject, device, need.fault_low_through(device), need.clear_within)?);
    all.push(withstand(subject, device, need)?);
    all.push(let_through(subject, device, need)?);
    for (current, lasting) in &need.inrush {
        all.push(holds(subject, device, *current, *lasting)?);
    }
    Ok(all)
}

fn not_tested(rule: &'static str, subject: &str, severity: Severity, what: &str, to_do: &str) -> Judgement {
    Judgement::bare(rule, subject, severity, Verdict::NotTested).what(what).to_do(to_do)
}

/// Whether a device breaks the highest current that can flow through it, back-feed included.
///
/// A device without a stated DC breaking capacity breaks nothing, and the finding says so; a fault current that is not known
/// is not tested.
///
/// ```
/// use orlop::Verdict;
/// use orlop::protection::{Device, judge_breaking};
/// use orlop::units::amperes;
/// let strip = Device::new("iso8820-5-strip", amperes(150.0))?;
/// assert_eq!(judge_breaking("bank.1", &strip, Some(amperes(10_600.0))).verdict, Verdict::Fail);
/// # Ok::<(), orlop::Error>(())
/// ```
#[must_use]
pub fn judge_breaking(subject: &str, device: &Device, fault_high: Option<Current>) -> Judgement {
    let Some(fault) = fault_high else {
        return not_tested(
            BREAKING,
            subject,
            Severity::A,
            "the highest fault current is not known",
            "state or measure the resistance of the source, so that the fault current can be computed",
        );
    };
    let stated = device.breaking_capacity();
    let what = stated.map_or_else(
        || {
            let note = &device.family().breaking_note;
            format!("{device} has no stated DC breaking capacity, which counts as zero: {note}")
        },
        |c| format!("{device} breaks {} DC; up to {} can flow", show(c), show(fault)),
    );
    Judgement::compare(BREAKING, subject, Severity::A, stated.unwrap_or(amperes(0.0)), Sense::AtLeast, fault)
        .clause(
            "DC breaking capacity at least the highest fault current; a missing value counts as zero",
            device.family().citation.confidence,
        )
        .what(what)
        .to_do(format!("fit a device that breaks at least {} DC", show(fault)))
}

/// Whether a device surely opens in time at the lowest current through it.
///
/// Behind a converter that current is the converter's limit, or zero when it shuts down: a device that does not open on it is a
/// finding.
///
/// # Errors
/// [`Error::Input`] for a time that is not above zero or a current below zero.
pub fn judge_clearing(
    subject: &str,
    device: &Device,
    fault_low: Option<Current>,
    within: Time,
) -> Result<Judgement, Error> {
    let within = positive(within, "within")?;
    let fault_low = fault_low.map(|f| not_negative(f, "fault_low")).transpose()?;
    let Some(fault) = fault_low else {
        return Ok(not_tested(
            CLEARS,
            subject,
            Severity::A,
            "the lowest fault current is not known",
            "state the source's resistance and the loop length, so that the fault at the far end can be computed",
        ));
    };
    let slowest = if fault.si() > 0.0 { device.opening_time(fault)?.high() } else { None };
    let wanted = device.opens_within(within).map_or_else(
        || format!("no current makes it open within {} by its standard", show(within)),
        |c| format!("it needs {} to open within {}", show(c), show(within)),
    );
    let judgement = match slowest {
        Some(time) => {
            Judgement::compare(CLEARS, subject, Severity::A, time, Sense::AtMost, within).what(format!(
                "{device} opens within {} at {}, the lowest fault current; {wanted}",
                show(time),
                show(fault)
            ))
        }
        None => Judgement {
            limit: Some(within.into()),
            ..Judgement::bare(CLEARS, subject, Severity::A, Verdict::Fail)
        }
        .what(format!("{device} need not open at {}, the lowest fault current; {wanted}", show(fault))),
    };
    Ok(judgement
        .clause("the slowest edge at the lowest fault current clears in time", device.confidence())
        .to_do(
            "raise the fault current (larger conductor, shorter run, local source) or fit a smaller rating",
        ))
}

/// Slowest let-through at a current against the conductor's withstand.
fn against_withstand(
    rule: &'static str,
    subject: &str,
    device: &Device,
    fault: Option<Current>,
    need: &Need,
) -> Result<Option<(Judgement, bool)>, Error> {
    let (Some(fault), Some(limit)) = (fault, need.withstand) else { return Ok(None) };
    let slowest: Option<LetThrough> = if fault.si() > 0.0 { device.let_through(fault)?.high() } else { None };
    let Some(value) = slowest else {
        let bare = Judgement {
            limit: Some(limit.into()),
            ..Judgement::bare(rule, subject, Severity::A, Verdict::Fail)
        };
        return Ok(Some((bare.what(format!("at {} {device} need not open", show(fault))), false)));
    };
    let fits = meets(value.si(), Sense::AtMost, limit.si());
    let judgement = Judgement::compare(rule, subject, Severity::A, value, Sense::AtMost, limit)
        .what(format!(
            "at {} {device} lets through up to {}; the conductor bears {}",
            show(fault),
            show(value),
            show(limit)
        ))
        .clause("let-through at most k2 A2 of the conductor (adiabatic)", device.confidence())
        .to_do("use a larger conductor, or a faster device");
    Ok(Some((judgement, fits)))
}

fn withstand(subject: &str, device: &Device, need: &Need) -> Result<Judgement, Error> {
    let found = against_withstand(WITHSTAND, subject, device, need.fault_low_through(device), need)?;
    Ok(found.map_or_else(
        || {
            not_tested(
                WITHSTAND,
                subject,
                Severity::A,
                "the lowest fault current or the conductor's withstand is not known",
                "state the conductor's insulation and what the fault current rests on",
            )
        },
        |f| f.0,
    ))
}

fn let_through(subject: &str, device: &Device, need: &Need) -> Result<Judgement, Error> {
    let found = against_withstand(LET_THROUGH, subject, device, need.fault_high, need)?;
    Ok(match found {
        None => not_tested(
            LET_THROUGH,
            subject,
            Severity::C,
            "the highest fault current or the conductor's withstand is not known",
            "state what the fault current rests on",
        ),
        Some((judgement, true)) => Judgement { severity: Severity::C, ..judgement },
        // No standard here limits the let-through of direct current below 10 ms: a larger number proves nothing.
        Some((judgement, false)) => {
            Judgement { severity: Severity::C, verdict: Verdict::NotTested, margin: None, ..judgement }
                .to_do("ask the maker for the DC let-through at that current")
        }
    })
}

/// Whether a device holds a current of limited duration, such as the inrush of a motor.
///
/// The fastest opening its standard permits, from cold, must not be sooner than the current ends. Where the standard says
/// nothing of the fastest opening the verdict is undecided.
///
/// ```
/// use orlop::Verdict;
/// use orlop::protection::{Device, holds};
/// use orlop::units::{amperes, seconds};
/// let fuse = Device::new("iso8820-3-high-current", amperes(60.0)).unwrap();
/// assert_eq!(holds("circuit.W1", &fuse, amperes(120.0), seconds(1.5)).unwrap().verdict, Verdict::Pass);
/// assert_eq!(holds("circuit.W1", &fuse, amperes(120.0), seconds(3.0)).unwrap().verdict, Verdict::Fail);
/// ```
///
/// # Errors
/// [`Error::Input`] when current or duration is not above zero.
pub fn holds(subject: &str, device: &Device, current: Current, lasting: Time) -> Result<Judgement, Error> {
    let lasting = positive(lasting, "lasting")?;
    let said = format!("{} for {}", show(current), show(lasting));
    let judgement = match device.opening_time(current)?.low() {
        None => Judgement::bare(HOLDS, subject, Severity::B, Verdict::Pass)
            .what(format!("{device} never opens at {}", show(current))),
        Some(fastest) if fastest.si() == 0.0 => {
            Judgement::bare(HOLDS, subject, Severity::C, Verdict::Undecided)
                .what(format!("{device} must hold {said}; its standard does not say how soon it may open"))
        }
        Some(fastest) => Judgement::compare(HOLDS, subject, Severity::B, fastest, Sense::AtLeast, lasting)
            .what(format!("{device} must hold {said}; it may open after {}", show(fastest))),
    };
    Ok(judgement
        .clause("the fastest edge, from cold, is later than the end of the current", device.confidence())
        .to_do("fit a slower family or a larger rating where the conductor allows it; ask the maker for the curve"))
}

/// Whether a criterion keeps a device from being chosen: failed, or undecided other than in its let-through and in an
/// inrush of which its standard says nothing.
pub(super) fn bars(judgement: &Judgement) -> bool {
    let silent = judgement.rule == HOLDS && judgement.verdict == Verdict::Undecided;
    judgement.is_finding() && judgement.rule != LET_THROUGH && !silent
}
