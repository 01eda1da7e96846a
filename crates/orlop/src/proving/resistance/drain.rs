//! What the boat draws when everything is off.

use crate::error::{Error, not_negative, positive};
use crate::judgement::{Judgement, Sense, Severity, Verdict};
use crate::source::{Citation, Confidence};
use orlop_units::{Charge, Current, Quantity, Time, amperes, seconds, show};

pub(crate) static RESTING: Citation = Citation::fixed(
    "resting-drain",
    "vehicle workshop practice on parasitic draw",
    "",
    "",
    "50 mA at most beyond what is meant to run, 10 to 30 mA typical; modules take 5 to 75 min to go to sleep",
    Confidence::CommonPractice,
    "four texts, which differ on the time to sleep",
);

/// A resting current, measured after everything went to sleep.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drain {
    /// The current.
    pub current: Current,
    /// Standard uncertainty of it: at rest, mostly the meter's offset.
    pub standard: Current,
}

impl Drain {
    /// From the charge that went in a time at rest, by the difference of two rest states.
    ///
    /// # Errors
    /// [`Error::Input`] for a time that is not above zero, or a charge or uncertainty that is negative.
    pub fn from_charge(gone: Charge, standard: Charge, time: Time) -> Result<Self, Error> {
        let t = positive(time, "time")?.si();
        Ok(Self {
            current: amperes(not_negative(gone, "charge")?.si() / t),
            standard: amperes(not_negative(standard, "standard uncertainty")?.si() / t),
        })
    }

    /// Charge that goes in a time.
    ///
    /// # Errors
    /// [`Error::Input`] for a current or time that is negative.
    ///
    /// ```
    /// use orlop::{proving::resistance::Drain, units::{amperes, seconds, show}};
    /// let drain = Drain { current: amperes(0.050), standard: amperes(0.005) };
    /// assert_eq!(show(drain.in_time(seconds(86400.0))?), "1.2 Ah");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn in_time(&self, time: Time) -> Result<Charge, Error> {
        Ok(not_negative(self.current, "current")? * not_negative(time, "time")?)
    }

    /// Time in which it takes a charge out.
    ///
    /// # Errors
    /// [`Error::Input`] for a current or charge that is not above zero.
    pub fn time_to_take(&self, charge: Charge) -> Result<Time, Error> {
        Ok(seconds(positive(charge, "charge")?.si() / positive(self.current, "current")?.si()))
    }

    /// Against what is meant to run at rest, and the allowance beyond it (50 mA by practice).
    ///
    /// # Errors
    /// [`Error::Input`] for a current, uncertainty or allowance that is negative.
    pub fn judge(&self, meant: Current, allowance: Current) -> Result<Judgement, Error> {
        let current = not_negative(self.current, "current")?;
        let limit = not_negative(meant, "always-on loads")? + not_negative(allowance, "allowance")?;
        let mut j = Judgement::compare("resting-drain", "bank", Severity::B, current, Sense::AtMost, limit)
            .clause(RESTING.short(), RESTING.confidence);
        if (current - limit).si().abs() < 2.0 * not_negative(self.standard, "standard uncertainty")?.si() {
            j.verdict = Verdict::Undecided;
        }
        j.uncertainty = Some(self.standard.into());
        let what = format!("{} at rest, {} of it meant to run", show(current), show(meant));
        Ok(j.what(what).to_do("pull fuses one at a time, with the meter bridged first so that nothing wakes"))
    }
}
