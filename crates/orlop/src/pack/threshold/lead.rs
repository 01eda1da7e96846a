//! How long before the bank cuts off the crew is warned.

use super::{Ladder, Role};
use crate::cell::CurveAt;
use crate::error::{Error, positive};
use crate::judgement::{Judgement, Sense, Severity};
use crate::range::Range;
use crate::source::Confidence;
use orlop_units::{Charge, Current, Quantity, Resistance, Time, seconds, show};

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
        let (warning, cut_off) = (self.rung(warning)?.ends(), self.rung(cut_off)?.ends());
        let time = |warned: f64, cut: f64| {
            let share = (of.left_at(warned) - of.left_at(cut)).max(0.0);
            seconds(share * of.capacity.si() / of.current.si())
        };
        let worst = time(warning.0.si(), cut_off.1.si());
        Ok(Range::new(worst, time(warning.1.si(), cut_off.0.si())))
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
