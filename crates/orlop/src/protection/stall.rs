//! A motor that cannot turn: the device must open before the winding burns.

use super::device::Device;
use crate::error::{Error, positive};
use crate::judgement::{Judgement, Sense, Severity, Verdict};
use orlop_units::{Current, Time, show};

/// Id of the rule.
const STALL: &str = "device-stall";

/// A motor with its rotor locked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stall {
    /// What it draws.
    pub current: Current,
    /// How long its winding bears that, from warm.
    pub withstand: Option<Time>,
    /// It opens its own circuit when it gets too hot, as declared by its maker.
    pub thermal_protection: bool,
    /// Nobody is there to notice: bilge pumps and other motors that start by themselves.
    pub unattended: bool,
}

/// Whether a device opens on a sustained stall before the motor burns.
///
/// The slowest edge at the stall current must be within the motor's withstand time. A device that need not open there, or a
/// withstand time that is not known, is a finding unless the motor declares thermal protection: of severity A for
/// unattended motors, B for others. Whether the device holds a start, and a stall of a stated brief time, is [`holds`](super::holds).
///
/// ```
/// use orlop::protection::{Device, Stall, judge_stall};
/// use orlop::units::{amperes, seconds};
/// use orlop::{Severity, Verdict};
/// // A bilge pump that stalls at 9 A behind a fuse of 10 A: the fuse need never open.
/// let fuse = Device::new("iso8820-3-blade", amperes(10.0))?;
/// let pump = Stall { current: amperes(9.0), withstand: Some(seconds(30.0)), thermal_protection: false, unattended: true };
/// let judgement = judge_stall("load.pump", &fuse, &pump)?;
/// assert_eq!((judgement.verdict, judgement.severity), (Verdict::Fail, Severity::A));
/// # Ok::<(), orlop::Error>(())
/// ```
///
/// # Errors
/// [`Error::Input`] when current or withstand time is not above zero.
pub fn judge_stall(subject: &str, device: &Device, stall: &Stall) -> Result<Judgement, Error> {
    let current = positive(stall.current, "stall current")?;
    let withstand = stall.withstand.map(|t| positive(t, "stall withstand")).transpose()?;
    let severity = if stall.unattended { Severity::A } else { Severity::B };
    let slowest = device.opening_time(current)?.high();
    let clause = "the slowest edge opens on a locked rotor within the time the motor bears it";
    let judgement = match (slowest, withstand) {
        (Some(slowest), Some(bears)) => {
            Judgement::compare(STALL, subject, severity, slowest, Sense::AtMost, bears).what(format!(
                "stalled at {} the motor bears {}; {device} opens within {}",
                show(current),
                show(bears),
                show(slowest)
            ))
        }
        (None, _) => Judgement {
            limit: withstand.map(Into::into),
            ..Judgement::bare(STALL, subject, severity, Verdict::Fail)
        }
        .what(format!("{device} need not open at {}, the current of a locked rotor", show(current))),
        (Some(slowest), None) => Judgement {
            value: Some(slowest.into()),
            ..Judgement::bare(STALL, subject, severity, Verdict::Undecided)
        }
        .what(format!(
            "stalled at {} {device} opens within {}; how long the motor bears that is not known",
            show(current),
            show(slowest)
        )),
    };
    let judgement = judgement.clause(clause, device.confidence());
    if stall.thermal_protection && judgement.is_finding() {
        let what = format!("{}; the motor declares thermal protection of its own", judgement.what);
        return Ok(Judgement { verdict: Verdict::Pass, margin: None, ..judgement }.what(what));
    }
    Ok(judgement.to_do(
        "fit a smaller or faster device that still holds the start, or a motor with thermal protection; ask the maker how long it bears a locked rotor",
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use orlop_units::{amperes, seconds};

    fn stall(current: f64, withstand: Option<f64>) -> Stall {
        Stall {
            current: amperes(current),
            withstand: withstand.map(seconds),
            thermal_protection: false,
            unattended: true,
        }
    }

    #[test]
    fn every_case_of_the_definition() {
        let fuse = Device::new("iso8820-3-blade", amperes(10.0)).unwrap();
        let judge = |s: &Stall| judge_stall("load.pump", &fuse, s).unwrap();
        // At twice the rating the slowest edge is 5 s.
        assert_eq!(judge(&stall(20.0, Some(6.0))).verdict, Verdict::Pass);
        assert_eq!(judge(&stall(20.0, Some(4.0))).verdict, Verdict::Fail);
        let unknown = judge(&stall(20.0, None));
        assert_eq!((unknown.verdict, unknown.severity), (Verdict::Undecided, Severity::A));
        assert!(unknown.is_finding() && !unknown.to_do.is_empty());
        assert_eq!(judge(&stall(9.0, None)).verdict, Verdict::Fail);
        let attended = Stall { unattended: false, ..stall(9.0, None) };
        assert_eq!(judge(&attended).severity, Severity::B);
        let guarded = Stall { thermal_protection: true, ..stall(9.0, None) };
        let judgement = judge(&guarded);
        assert_eq!(judgement.verdict, Verdict::Pass);
        assert!(judgement.what.contains("thermal protection") && judgement.to_do.is_empty());
    }

    #[test]
    fn bad_input_is_refused() {
        let fuse = Device::new("iso8820-3-blade", amperes(10.0)).unwrap();
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(judge_stall("x", &fuse, &stall(bad, None)).is_err());
            assert!(judge_stall("x", &fuse, &stall(9.0, Some(bad))).is_err());
        }
    }
}
