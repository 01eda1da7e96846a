//! How far a charge counter drifts between full charges, and how well it is kept in step.

use crate::error::{Error, not_negative, positive};
use crate::judgement::{Judgement, Sense, Severity};
use crate::solve::{LeastSquares, student_quantile};
use crate::source::{Citation, Confidence};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Charge, Current, Fraction, Quantity, Time, amperes, seconds, show};

pub(crate) static SYNC: Citation = Citation::fixed(
    "monitor-sync",
    "practice with charge counters",
    "",
    "",
    "a full charge every week or two, so that the counter starts again from full",
    Confidence::CommonPractice,
    "recalled",
);
/// The longest time between full charges that practice allows, in seconds.
const LONGEST_S: f64 = 14.0 * 86400.0;

/// One return to full at which the monitor set itself right.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sync {
    /// Time since the one before.
    pub since_last: Time,
    /// By how much the indicated charge jumped: positive when it had shown too little.
    pub jump: Fraction,
}

/// A monitor and its returns to full.
#[derive(Clone, Debug, PartialEq)]
pub struct Monitor {
    /// Capacity that stands for 100 %.
    pub capacity: Charge,
    /// Its returns to full.
    pub syncs: Vec<Sync>,
}

/// How a monitor drifts.
#[derive(Clone, Debug, PartialEq)]
pub struct Drift {
    /// Offset of the current that explains the jumps: positive when it counts too much discharge.
    pub offset: Current,
    /// Half of its 95 % interval.
    pub half_width: Current,
    /// Whether the offset is told from none.
    pub significant: bool,
    /// The longest time between returns to full.
    pub longest: Time,
}

impl Monitor {
    /// Error of the indicated charge after a time with an offset of the current: offset x time / capacity.
    ///
    /// # Errors
    /// [`Error::Input`] for a capacity that is not above zero, or a time that is negative.
    ///
    /// ```
    /// use orlop::{proving::follow::Monitor, units::{ampere_hours, amperes, seconds, show}};
    /// let monitor = Monitor { capacity: ampere_hours(460.0), syncs: vec![] };
    /// let error = monitor.error_after(amperes(0.15), seconds(14.0 * 86400.0))?;
    /// assert_eq!(show(error), "11 %"); // 50 Ah in two weeks
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn error_after(&self, offset: Current, time: Time) -> Result<Fraction, Error> {
        let capacity = positive(self.capacity, "capacity")?;
        let charge = offset * not_negative(time, "time")?;
        Ok(Fraction::new(charge.si() / capacity.si()))
    }

    /// Time after which the error reaches a limit.
    ///
    /// # Errors
    /// [`Error::Input`] for an offset of zero, or a capacity or limit that is not above zero.
    pub fn time_to_error(&self, offset: Current, limit: Fraction) -> Result<Time, Error> {
        let size = positive(amperes(offset.si().abs()), "size of the offset")?.si();
        Ok(seconds(positive(limit, "limit")?.value() * positive(self.capacity, "capacity")?.si() / size))
    }

    /// The offset that explains the jumps: regression of the jump on the time since the last, through zero.
    ///
    /// # Errors
    /// [`Error::Input`] for fewer than two returns to full, times that are not above zero, or jumps that are not finite.
    pub fn drift(&self) -> Result<Drift, Error> {
        self.drift_recorded(&mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Monitor::drift`].
    pub fn drift_recorded(&self, rec: &mut impl Recorder) -> Result<Drift, Error> {
        let capacity = positive(self.capacity, "capacity")?.si();
        if self.syncs.len() < 2 {
            let got = format!("{} returns to full", self.syncs.len());
            return Err(Error::input("syncs", got, "two returns to full or more"));
        }
        let mut longest = seconds(0.0);
        for (k, s) in self.syncs.iter().enumerate() {
            positive(s.since_last, &format!("sync {}", k + 1))?;
            longest = if s.since_last > longest { s.since_last } else { longest };
        }
        let x: Vec<f64> = self.syncs.iter().map(|s| s.since_last.si()).collect();
        let y: Vec<f64> = self.syncs.iter().map(|s| s.jump.value() * capacity).collect();
        let fit = LeastSquares::new(&x, 1, &y)?;
        let error = fit.standard_error(0).unwrap_or(f64::NAN);
        let half = student_quantile(0.975, fit.degrees_of_freedom as f64) * error;
        let drift = Drift {
            offset: amperes(fit.coefficients[0]),
            half_width: amperes(half),
            significant: fit.coefficients[0].abs() > half,
            longest,
        };
        rec.step(|| {
            Step::new("offset that explains the jumps", "I0", drift.offset)
                .formula("sum(t j C)/sum(t^2), t the time since the last full charge, j the jump then")
                .input("C", self.capacity)
                .input("returns to full", self.syncs.len() as f64)
        });
        rec.step(|| {
            Step::new("half of its 95 % interval", "U", drift.half_width)
                .formula("t(97.5 %) s/sqrt(sum(t^2)), s from what the line leaves of the jumps")
                .input("degrees of freedom", fit.degrees_of_freedom as f64)
        });
        rec.step(|| {
            let told = if drift.significant { "told from none" } else { "not told from none" };
            Step::new("whether there is an offset", "", told).formula("|I0| > U")
        });
        Ok(drift)
    }
}

impl Drift {
    /// Whether the bank is brought to full often enough for the counter (practice: every two weeks).
    #[must_use]
    pub fn judge_sync(&self) -> Judgement {
        Judgement::compare(
            "monitor-sync",
            "monitor",
            Severity::C,
            self.longest,
            Sense::AtMost,
            seconds(LONGEST_S),
        )
        .clause(SYNC.short(), SYNC.confidence)
        .what(format!("{} between full charges at the longest", show(self.longest)))
        .to_do("charge to full by cell volts and tail current every week or two")
    }
}
