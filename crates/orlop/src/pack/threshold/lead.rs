//! How long before the bank cuts off the crew is warned.

use super::{Ladder, Role};
use crate::cell::CurveAt;
use crate::error::{Error, positive};
use crate::judgement::{Judgement, Sense, Severity};
use crate::range::Range;
use crate::source::Confidence;
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Charge, Current, Fraction, Quantity, Resistance, Time, Voltage, seconds, show};

/// A steady discharge of one cell (or of one group of cells side by side).
#[derive(Clone, Debug, PartialEq)]
pub struct Discharge {
    curve: CurveAt,
    capacity: Charge,
    resistance: Resistance,
    current: Current,
}

impl Discharge {
    /// A cell with its rest-voltage curve, its capacity, the resistance of a slow current, and the current.
    ///
    /// # Errors
    /// [`Error::Input`] for a value not above zero.
    pub fn new(
        curve: CurveAt,
        capacity: Charge,
        resistance: Resistance,
        current: Current,
    ) -> Result<Self, Error> {
        Ok(Self {
            curve,
            capacity: positive(capacity, "capacity")?,
            resistance: positive(resistance, "resistance")?,
            current: positive(current, "current")?,
        })
    }

    /// The share of charge left when the loaded voltage first falls to so many volts; 0 when it stays above to the end.
    fn left_at(&self, loaded: f64) -> f64 {
        let rest = loaded + self.current.si() * self.resistance.si();
        let points: Vec<(f64, f64)> = self.curve.points().collect();
        if points.last().is_some_and(|(_, v)| *v <= rest) {
            return 1.0;
        }
        let crossing = points.windows(2).rev().find(|w| w[0].1 <= rest && rest < w[1].1);
        crossing.map_or(0.0, |w| w[0].0 + (w[1].0 - w[0].0) * (rest - w[0].1) / (w[1].1 - w[0].1))
    }
}

impl Ladder {
    /// Time between a warning and a cut-off under a steady current: from the worst to the best combination of their errors.
    ///
    /// (z1 - z2) Q/I, z where the curve less I R meets either threshold. Zero when the cut-off may come first.
    ///
    /// # Errors
    /// [`Error::Input`] for a name that is not there.
    pub fn lead_time(&self, warning: &str, cut_off: &str, of: &Discharge) -> Result<Range<Time>, Error> {
        self.lead_time_recorded(warning, cut_off, of, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Ladder::lead_time`].
    pub fn lead_time_recorded(
        &self,
        warning: &str,
        cut_off: &str,
        of: &Discharge,
        rec: &mut impl Recorder,
    ) -> Result<Range<Time>, Error> {
        let (warning, cut_off) = (self.rung(warning)?, self.rung(cut_off)?);
        let (warned, cut) = (warning.ends(), cut_off.ends());
        let mut time = |case: &str, warned: Voltage, cut: Voltage| {
            let (left, still) = (of.left_at(warned.si()), of.left_at(cut.si()));
            let time = seconds((left - still).max(0.0) * of.capacity.si() / of.current.si());
            rec.step(|| {
                Step::new(format!("time between them at the {case}"), "t", time)
                    .formula("(z1 - z2) Q/I, z where the curve less I R comes down to the voltage of a cell; 0 where the second comes first")
                    .input(format!("{} at", warning.id()), warned)
                    .input("z1", Fraction::new(left))
                    .input(format!("{} at", cut_off.id()), cut)
                    .input("z2", Fraction::new(still))
                    .input("Q", of.capacity)
                    .input("I", of.current)
                    .input("R", of.resistance)
            });
            time
        };
        let worst = time("worst", warned.0, cut.1);
        Ok(Range::new(worst, time("best", warned.1, cut.0)))
    }

    /// Whether every low alarm leaves so much time before every low cut-off: rule `alarm-lead-time`.
    ///
    /// # Errors
    /// [`Error::Input`] for a time not above zero.
    pub fn warned_in_time(&self, wanted: Time, of: &Discharge) -> Result<Vec<Judgement>, Error> {
        let wanted = positive(wanted, "wanted")?;
        let mut all = Vec::new();
        let named = |role| self.rungs().iter().filter(move |r| r.role() == role);
        for warning in named(Role::LowAlarm) {
            for cut in named(Role::LowCutOff) {
                let range = self.lead_time(warning.id(), cut.id(), of)?;
                let worst = range.low().expect("both are known");
                let subject = format!("threshold.{}.{}", warning.id(), cut.id());
                all.push(
                    Judgement::compare(
                        "alarm-lead-time",
                        subject,
                        Severity::B,
                        worst,
                        Sense::AtLeast,
                        wanted,
                    )
                    .clause("common practice: time to act before a black-out", Confidence::CommonPractice)
                    .what(format!(
                        "at {} {} comes {range} before {}",
                        show(of.current),
                        warning.text(),
                        cut.text()
                    ))
                    .to_do("raise the alarm, or let it go by charge left instead of volts"),
                );
            }
        }
        Ok(all)
    }
}
