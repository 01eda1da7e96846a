//! The answer of a capacity test: a capacity with its interval, or a lower bound only.

use super::circular::Indicated;
use super::knees::Weakness;
use super::log::Log;
use super::plan::{Instrument, LINEAR_CORRECTION, Procedure, Stop};
use crate::error::Error;
use crate::proving::uncertainty::{Budget, Common, GUM, Term};
use crate::range::Range;
use crate::working::{Recorder, Silent, Step};
use orlop_units::{
    Charge, Fraction, Number, Quantity, Temperature, TemperatureRise, coulombs, show, significant,
};

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
fn show_fine(q: Charge) -> String {
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

/// Terms of the charge as measured; `whole` is the result they act on, in coulombs.
fn measured(log: &Log, instrument: &Instrument, whole: f64) -> Vec<Term> {
    let scale = whole / log.charge.si();
    vec![
        Term::tolerance("gain", instrument.gain, whole, Common::Instrument),
        Term::tolerance("offset", instrument.offset, scale * log.duration.si(), Common::Own),
        Term::tolerance("clock", instrument.clock, whole, Common::Instrument),
        Term::normal("current between rows", log.integration, scale, Common::Own),
        Term::normal("current in gaps", log.in_gaps, scale, Common::Own),
    ]
}

pub(super) fn corrected(
    log: &Log,
    instrument: &Instrument,
    procedure: &Procedure,
    rec: &mut impl Recorder,
) -> Result<Budget<Charge>, Error> {
    let mut whole = log.charge.si();
    rec.step(|| {
        Step::new("charge drawn", "Q", show_fine(log.charge))
            .formula("integral of the current from row to row")
            .input("duration", show(log.duration))
            .input("charged back", show_fine(log.charged_back))
    });
    let temperature = match procedure.temperature {
        None => None,
        Some(c) => Some((c, by_temperature(log, c.per_kelvin, c.reference)?)),
    };
    if let Some((c, (factor, rise))) = temperature {
        whole /= factor;
        rec.step(|| {
            Step::new("at the reference temperature", "Q", show_fine(coulombs(whole)))
                .formula("Q / (1 + k (t - t_ref))")
                .input("k", format!("{} %/K", significant(100.0 * c.per_kelvin, 3)))
                .input("t - t_ref", format!("{} K", significant(rise, 3)))
                .source(&LINEAR_CORRECTION)
        });
    }
    let rate = procedure.rate.map(|r| (r, (log.load_current.si() / r.reference.si()).ln()));
    if let Some((r, ratio)) = rate {
        whole *= (ratio * (r.exponent - 1.0)).exp();
        rec.step(|| {
            Step::new("at the reference current", "Q", show_fine(coulombs(whole)))
                .formula("Q (I/I_ref)^(p - 1)")
                .input("I", show(log.load_current))
                .input("I_ref", show(r.reference))
                .input("p", significant(r.exponent, 3))
                .source(&crate::cell::PEUKERT)
        });
    }
    if !(0.5..2.0).contains(&(whole / log.charge.si())) {
        let got = format!("{} corrected to {}", show(log.charge), show(coulombs(whole)));
        return Err(Error::input("corrections", got, "corrections that change the charge by less than half"));
    }
    let mut terms = measured(log, instrument, whole);
    let full = procedure.full.unwrap_or(Fraction::new(0.0));
    terms.push(Term::tolerance("definition of full", full, whole, Common::Procedure));
    let (empty, own) = match procedure.empty {
        Some(share) => (share, Common::Procedure),
        None => (empty_by_slope(log, instrument), Common::Instrument),
    };
    terms.push(Term::tolerance("definition of empty", empty, whole, own));
    if let Some((c, (factor, rise))) = temperature {
        let thermometer = instrument.thermometer;
        terms.push(Term::tolerance(
            "thermometer",
            thermometer,
            -whole * c.per_kelvin / factor,
            Common::Instrument,
        ));
        let coefficient = Number::of(c.half_width);
        terms.push(Term::tolerance(
            "temperature coefficient",
            coefficient,
            -whole * rise / factor,
            Common::Procedure,
        ));
    }
    if let Some((r, ratio)) = rate {
        terms.push(Term::tolerance(
            "rate exponent",
            Number::of(r.half_width),
            whole * ratio,
            Common::Procedure,
        ));
    }
    for t in terms.iter().filter(|t| t.effect != 0.0) {
        rec.step(|| {
            Step::new(format!("uncertainty: {}", t.name), "u", show_fine(coulombs(t.effect.abs())))
                .formula("slope of the result times the standard uncertainty of the cause")
                .input("cause", t.input.clone())
                .source(&GUM)
        });
    }
    Budget::new(coulombs(whole), terms)
}

/// The factor 1 + k (t - t_ref), and t - t_ref in kelvins.
fn by_temperature(log: &Log, per_kelvin: f64, reference: Temperature) -> Result<(f64, f64), Error> {
    let Some(mean) = log.mean_temperature else {
        return Err(Error::Input {
            field: "temperature".into(),
            got: "a log without temperatures".into(),
            expected: "a temperature column where results are corrected to a reference temperature".into(),
            hint: "add the column, or ask for no temperature correction".into(),
        });
    };
    let rise: TemperatureRise = mean.minus(reference);
    let factor = 1.0 + per_kelvin * rise.in_kelvins();
    if factor <= 0.0 {
        return Err(Error::input(
            "temperature coefficient",
            per_kelvin.to_string(),
            "a coefficient that leaves a capacity",
        ));
    }
    Ok((factor, rise.in_kelvins()))
}

/// What the error of the cell meter means for the charge, at the slope with which the first cell fell at the end.
fn empty_by_slope(log: &Log, instrument: &Instrument) -> Fraction {
    let Some((cell, end)) = log.lowest_at_end() else { return Fraction::new(0.0) };
    let total = log.charge.si();
    // The last point well above the end: the knee is steep, so a chord over it overstates the charge per volt, if anything.
    let before = log
        .course
        .iter()
        .rev()
        .filter_map(|p| Some((p.drawn_c, p.cells_v[cell]?)))
        .find(|(drawn, v)| *drawn < total && *v > end.si() + 2.0 * instrument.cell_voltage.si());
    match before {
        Some((drawn, v)) => {
            Fraction::new((total - drawn) / (v - end.si()) * instrument.cell_voltage.si() / total)
        }
        None => Fraction::new(0.0),
    }
}
