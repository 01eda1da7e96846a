//! The answer of a capacity test: a capacity with its interval, or a lower bound only.

use super::circular::Indicated;
use super::correct::{corrected, measured};
use super::knees::Weakness;
use super::log::Log;
use super::plan::{Instrument, Procedure, Stop};
use crate::error::Error;
use crate::proving::uncertainty::{Budget, GUM};
use crate::range::Range;
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Charge, Fraction, Quantity, show, significant};

/// What a test shows.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// A capacity, at the reference temperature and current where corrections were asked for.
    Capacity(Budget<Charge>),
    /// At least so much, as measured; the capacity itself was not tested.
    AtLeast {
        /// What was drawn, with its budget.
        drawn: Budget<Charge>,
        /// Why there is no more to be said.
        why: String,
    },
}

/// A capacity test, evaluated.
#[derive(Clone, Debug, PartialEq)]
pub struct CapacityTest {
    /// What the log shows.
    pub log: Log,
    /// The instrument.
    pub instrument: Instrument,
    /// The definitions.
    pub procedure: Procedure,
    /// The answer.
    pub outcome: Outcome,
    /// The weak cells.
    pub weakness: Weakness,
    /// What the monitor's percentage follows; none without one.
    pub indicated: Option<Indicated>,
    /// What a reader must know.
    pub flags: Vec<String>,
}

impl CapacityTest {
    /// Evaluates a log by a procedure and an instrument.
    ///
    /// Q_ref = Q / (1 + k (t - t_ref)) * (I/I_ref)^(p-1)
    ///
    /// The budget has the gain, offset times duration, clock, definitions of full and empty, thermometer, temperature coefficient, rate exponent,
    /// current between rows, and current in gaps. A discharge that did not end at a voltage, or did not begin at a defined full, is
    /// a lower bound and no estimate.
    ///
    /// # Errors
    /// [`Error::Input`] for limits that are negative, a rated capacity or end voltage that is not above zero, a temperature correction
    /// without a temperature in the log, and a correction of more than half of the charge.
    pub fn new(log: Log, instrument: Instrument, procedure: Procedure) -> Result<Self, Error> {
        Self::new_recorded(log, instrument, procedure, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`CapacityTest::new`].
    pub fn new_recorded(
        log: Log,
        instrument: Instrument,
        procedure: Procedure,
        rec: &mut impl Recorder,
    ) -> Result<Self, Error> {
        instrument.checked()?;
        procedure.checked()?;
        let weakness = Weakness::of(&log);
        let indicated = Indicated::of(&log);
        let mut flags = log.care.sentences();
        if log.gap_count > 0 {
            flags.push(format!(
                "{} gaps of {} together; the longest is {} before row {}",
                log.gap_count,
                show(log.gap_time),
                show(orlop_units::seconds(log.gaps[0].seconds)),
                log.gaps[0].before_row
            ));
        }
        if log.sign_known_by.starts_with("no volts") {
            flags.push(log.sign_known_by.clone());
        }
        let outcome = match unfinished(&log, &instrument, &procedure, indicated.as_ref(), &mut flags) {
            Some(why) => Outcome::AtLeast {
                drawn: Budget::new(log.charge, measured(&log, &instrument, log.charge.si()))?,
                why,
            },
            None => Outcome::Capacity(corrected(&log, &instrument, &procedure, rec)?),
        };
        rec.step(|| match &outcome {
            Outcome::Capacity(b) => Step::new("capacity", "C", show_fine(b.value()))
                .input("standard uncertainty", show_fine(b.combined()))
                .source(&GUM),
            Outcome::AtLeast { drawn, why } => {
                Step::new("lower bound only", "C", format!("at least {}", show_fine(drawn.value())))
                    .formula(why.clone())
            }
        });
        Ok(Self { log, instrument, procedure, outcome, weakness, indicated, flags })
    }

    /// The capacity with its budget; none when there is a lower bound only.
    #[must_use]
    pub fn capacity(&self) -> Option<&Budget<Charge>> {
        match &self.outcome {
            Outcome::Capacity(budget) => Some(budget),
            Outcome::AtLeast { .. } => None,
        }
    }

    /// Bounds of the capacity with this probability. A lower bound has no upper end, and its lower end is one-sided.
    ///
    /// # Errors
    /// [`Error::Input`] for a probability not between 0 and 100 %, both excluded.
    pub fn bounds(&self, probability: Fraction) -> Result<Range<Charge>, Error> {
        match &self.outcome {
            Outcome::Capacity(budget) => budget.interval(probability),
            Outcome::AtLeast { drawn, .. } => {
                let p = probability.value();
                // One side of the interval that leaves as much outside on one side as the asked one on both.
                let one_sided = if p > 0.5 && p < 1.0 { Fraction::new(2.0 * p - 1.0) } else { probability };
                let half = drawn.half_width(one_sided)?;
                Ok(Range::from_bounds(Some(drawn.value() - half), None))
            }
        }
    }

    /// The answer in one sentence.
    ///
    /// # Errors
    /// As [`CapacityTest::bounds`].
    pub fn sentence(&self, probability: Fraction) -> Result<String, Error> {
        Ok(match &self.outcome {
            Outcome::Capacity(budget) => format!(
                "{} +- {} ({}), {} of the rated {}",
                show_fine(budget.value()),
                show_fine(budget.half_width(probability)?),
                show(probability),
                show(Fraction::new(budget.value().si() / self.procedure.rated.si())),
                show(self.procedure.rated)
            ),
            Outcome::AtLeast { drawn, why } => {
                format!("lower bound {}, no estimate: {why}", show_fine(drawn.value()))
            }
        })
    }
}

/// A charge with one decimal more than [`show`] gives from 100 Ah on.
pub(super) fn show_fine(q: Charge) -> String {
    format!("{} Ah", significant(q.out(), if q.out().abs() >= 100.0 { 4 } else { 2 }))
}

/// Why the discharge is no test of the capacity; none when it is one.
fn unfinished(
    log: &Log,
    instrument: &Instrument,
    procedure: &Procedure,
    indicated: Option<&Indicated>,
    flags: &mut Vec<String>,
) -> Option<String> {
    if procedure.full.is_none() {
        return Some("the bank was not brought to full by a definition (cell volts and tail current)".into());
    }
    match procedure.stop {
        Stop::Unknown => Some("it is not known what ended the discharge".into()),
        Stop::Indicated(left) => {
            let setting = indicated.filter(|i| i.repeats_setting).map_or(String::new(), |i| {
                format!("; here it follows the counted charge as if 100 % were {}", show(i.implied))
            });
            Some(format!(
                "it was stopped at {} indicated, which the monitor computes from the capacity typed into it: the result would repeat \
                 that setting{setting}",
                show(left)
            ))
        }
        Stop::Cell(end) => match log.lowest_at_end() {
            None => {
                flags.push("that a cell came down to its end voltage is stated, not seen in the log".into());
                None
            }
            Some((_, lowest)) if lowest.si() <= end.si() + instrument.cell_voltage.si() => None,
            Some((_, lowest)) => {
                Some(format!("the lowest cell still stood at {}, above {}", show(lowest), show(end)))
            }
        },
        Stop::Bank(end) => match log.end_voltage {
            None => {
                flags
                    .push("that the bank came down to its end voltage is stated, not seen in the log".into());
                None
            }
            Some(v)
                if v.si() <= end.si() + instrument.cell_voltage.si() * log.end_cells.len().max(1) as f64 =>
            {
                None
            }
            Some(v) => Some(format!("the bank still stood at {}, above {}", show(v), show(end))),
        },
    }
}
