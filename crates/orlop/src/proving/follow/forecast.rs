//! When a capacity is reached, from tests and published ageing models together.

use super::YEAR_S;
use super::tests::Tests;
use crate::cell::ageing::{AgeingModel, Cycling, Storage};
use crate::error::{Error, positive};
use crate::range::Range;
use crate::solve::{bracketed, normal_quantile};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Charge, Fraction, Quantity, Time, seconds};

/// How far a published model may be off for these cells, as a standard deviation of its factor: models differ by a factor of four on
/// the same question.
const MODEL_SPREAD: f64 = 0.7;
const LONGEST_YEARS: f64 = 100.0;

/// How the bank is kept and used from now on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ageing {
    /// How it is kept.
    pub storage: Storage,
    /// How it is cycled.
    pub cycling: Cycling,
    /// Full equivalent cycles a year.
    pub full_cycles_a_year: f64,
}

/// What one pair of models says, fitted to the tests.
#[derive(Clone, Debug, PartialEq)]
pub struct ByModel {
    /// Model of the calendar.
    pub calendar: AgeingModel,
    /// Model of the cycles.
    pub cycles: AgeingModel,
    /// By how much the cells age faster than the model says, and its standard uncertainty.
    pub factor: (f64, f64),
    /// When the capacity is reached; a bound beyond a hundred years is none.
    pub reached: Range<Time>,
}

/// When a capacity is reached.
#[derive(Clone, Debug, PartialEq)]
pub struct Forecast {
    /// By the straight line through the tests alone.
    pub by_tests: Range<Time>,
    /// By each model, fitted to the tests.
    pub by_model: Vec<ByModel>,
    /// From the earliest of the models to the latest.
    pub band: Range<Time>,
}

impl Tests {
    /// When the capacity falls to `end`, as a band.
    ///
    /// Each pair of models gives a shape m(t), the share lost after t. C(t) = C0 (1 - a m(t)) is fitted to the tests with a known beforehand as
    /// 1 +- 0.7; so few tests leave the model as it is, and many overrule it. The band runs from the earliest lower end to the
    /// latest upper end.
    ///
    /// # Errors
    /// [`Error::Input`] for no models, an end that is not above zero, a probability not between 0 and 100 %, both excluded, cycles that are negative, and
    /// conditions that the models refuse.
    pub fn forecast(
        &self,
        end: Charge,
        models: &[(AgeingModel, AgeingModel)],
        ageing: &Ageing,
        probability: Fraction,
    ) -> Result<Forecast, Error> {
        self.forecast_recorded(end, models, ageing, probability, &mut Silent)
    }

    /// The same with its steps, those of the line through the tests first.
    ///
    /// # Errors
    /// As [`Tests::forecast`].
    pub fn forecast_recorded(
        &self,
        end: Charge,
        models: &[(AgeingModel, AgeingModel)],
        ageing: &Ageing,
        probability: Fraction,
        rec: &mut impl Recorder,
    ) -> Result<Forecast, Error> {
        let end = positive(end, "end")?;
        if models.is_empty() {
            return Err(Error::input("models", "none", "at least one pair of ageing models"));
        }
        if !(ageing.full_cycles_a_year >= 0.0 && ageing.full_cycles_a_year.is_finite()) {
            let got = ageing.full_cycles_a_year.to_string();
            return Err(Error::input("full_cycles_a_year", got, "a finite number of zero or more"));
        }
        let trend = self.trend_recorded(probability, &mut *rec)?;
        let z = normal_quantile(0.5 * (1.0 + probability.value()));
        let by_model = models
            .iter()
            .map(|(calendar, cycles)| self.by_model(*calendar, *cycles, end, ageing, z))
            .collect::<Result<Vec<_>, _>>()?;
        let low =
            by_model.iter().filter_map(|m| m.reached.low()).min_by(|a, b| orlop_units::total_cmp(*a, *b));
        let highs: Option<Vec<Time>> = by_model.iter().map(|m| m.reached.high()).collect();
        let high = highs.and_then(|h| h.into_iter().max_by(|a, b| orlop_units::total_cmp(*a, *b)));
        let forecast =
            Forecast { by_tests: trend.reaches(end), by_model, band: Range::from_bounds(low, high) };
        rec.step(|| {
            Step::new("when the line through the tests is there", "t", forecast.by_tests.to_string())
                .formula("|a + b t - C_end| within the interval of the line")
                .input("C_end", end)
        });
        for m in &forecast.by_model {
            let named = format!("{} on the calendar, {} by cycles", m.calendar.word(), m.cycles.word());
            rec.step(|| {
                Step::new(format!("how much faster than {named}"), "k", m.factor.0)
                    .formula("C = C0 (1 - k m(t)) fitted to the tests, m the share lost by the models, k beforehand 1 +- 0.7")
                    .input("standard uncertainty", m.factor.1)
                    .input("full cycles a year", ageing.full_cycles_a_year)
            });
            rec.step(|| {
                Step::new("when that is there", "t", m.reached.to_string())
                    .formula("m(t) = (C0 - C_end)/(k C0), k at either end of its interval")
                    .input("coverage", probability)
            });
        }
        rec.step(|| {
            Step::new("band", "", forecast.band.to_string())
                .formula("from the earliest of the models to the latest")
        });
        Ok(forecast)
    }

    fn by_model(
        &self,
        calendar: AgeingModel,
        cycles: AgeingModel,
        end: Charge,
        ageing: &Ageing,
        z: f64,
    ) -> Result<ByModel, Error> {
        let (on_calendar, on_cycles) =
            (calendar.calendar(&ageing.storage)?, cycles.cycling(&ageing.cycling)?);
        let lost = |days: f64, full: f64| -> Result<f64, Error> {
            Ok(on_calendar.after(days)?.value() + on_cycles.after(full)?.value())
        };
        let start = lost(0.0, 0.0)?;
        let shape: Vec<f64> = self
            .tests
            .iter()
            .map(|t| Ok(lost(t.time.si() / 86400.0, t.full_cycles)? - start))
            .collect::<Result<_, Error>>()?;
        let scale = self.tests[0].capacity.value().si();
        // C = c0 - b m, and b = c0 beforehand within the spread of the models.
        let columns = vec![vec![1.0; shape.len()], shape.iter().map(|m| -m).collect()];
        let prior = 1.0 / (MODEL_SPREAD * scale);
        let fit = self.weighted(&columns, &[(vec![-prior, prior], 0.0)])?;
        let (c0, b) = (fit.coefficients[0], fit.coefficients[1]);
        let v = |i, j| fit.covariance(i, j, 1.0);
        let a = b / c0;
        let a_standard = ((v(1, 1) - 2.0 * a * v(0, 1) + a * a * v(0, 0)) / (c0 * c0)).max(0.0).sqrt();
        // Last test to come: the future adds to its losses at the rate of use.
        let last = &self.tests[self.tests.len() - 1];
        let later = |years: f64| {
            let (days, used) = (
                years * YEAR_S / 86400.0,
                last.full_cycles - ageing.full_cycles_a_year * last.time.si() / YEAR_S,
            );
            lost(days, (used + ageing.full_cycles_a_year * years).max(0.0)).unwrap_or(f64::NAN) - start
        };
        let when = |factor: f64| {
            let wanted = (c0 - end.si()) / (factor * c0);
            if wanted <= 0.0 {
                return Some(seconds(0.0));
            }
            if factor <= 0.0 {
                return None;
            }
            bracketed(0.0, LONGEST_YEARS, |y| later(y) - wanted).map(|y| seconds(y * YEAR_S))
        };
        let (fast, slow) = (a + z * a_standard, (a - z * a_standard).max(0.0));
        Ok(ByModel {
            calendar,
            cycles,
            factor: (a, a_standard),
            reached: Range::from_bounds(when(fast), when(slow)),
        })
    }
}

impl Forecast {
    /// The band in one sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        let year = |t: Option<Time>, none: &str| {
            t.map_or(none.to_string(), |t| format!("{:.1} years", t.si() / YEAR_S))
        };
        let tests = match (self.by_tests.low(), self.by_tests.high()) {
            (None, None) => "the tests alone do not reach it within a hundred years".to_string(),
            (low, high) => format!(
                "the tests alone say {} to {}",
                year(low, "an unknown date"),
                year(high, "no known date")
            ),
        };
        let band = match (self.band.low(), self.band.high()) {
            (None, None) => format!("not within {LONGEST_YEARS} years"),
            (low, high) => format!(
                "between {} and {}",
                year(low, "an unknown date"),
                year(high, &format!("more than {LONGEST_YEARS} years"))
            ),
        };
        format!("{band} by tests and models together; {tests}")
    }
}
