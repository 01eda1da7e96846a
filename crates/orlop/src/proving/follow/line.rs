//! A straight line through readings of unknown scatter.

use super::{YEAR_S, years_inside};
use crate::error::Error;
use crate::range::Range;
use crate::solve::{LeastSquares, student_quantile};
use orlop_units::{Fraction, Quantity, Time, seconds, show};

/// An ordinary regression line over time; its scatter is judged from the readings themselves.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    fit: LeastSquares,
    deviation: f64,
}

impl Line {
    /// From times and readings in base units; a reading that is NaN is missing.
    ///
    /// # Errors
    /// [`Error::Input`] for lists of different lengths, fewer than three readings, infinite ones, or times that are all the same.
    pub fn fit(times: &[Time], values: &[f64]) -> Result<Self, Error> {
        if times.len() != values.len() {
            let got = format!("{} readings at {} times", values.len(), times.len());
            return Err(Error::input("readings", got, "one reading for each time"));
        }
        let kept: Vec<(f64, f64)> = times
            .iter()
            .zip(values)
            .filter(|(_, v)| !v.is_nan())
            .map(|(t, v)| (t.si() / YEAR_S, *v))
            .collect();
        if kept.len() < 3 {
            return Err(Error::input(
                "readings",
                format!("{} readings", kept.len()),
                "three readings or more",
            ));
        }
        let x: Vec<f64> = kept.iter().flat_map(|(t, _)| [1.0, *t]).collect();
        let y: Vec<f64> = kept.iter().map(|k| k.1).collect();
        let fit = LeastSquares::new(&x, 2, &y)?;
        let deviation = fit.deviation().unwrap_or(f64::NAN);
        Ok(Self { fit, deviation })
    }

    /// Growth in a year, in the base unit of the readings.
    #[must_use]
    pub fn per_year(&self) -> f64 {
        self.fit.coefficients[1]
    }

    /// Half of the interval of the growth in a year.
    ///
    /// # Errors
    /// [`Error::Input`] for a probability not between 0 and 100 %, both excluded.
    pub fn per_year_half_width(&self, probability: Fraction) -> Result<f64, Error> {
        Ok(self.factor(probability)? * self.fit.covariance(1, 1, self.deviation).sqrt())
    }

    /// The line at a time, in the base unit of the readings, with half of its interval.
    ///
    /// # Errors
    /// [`Error::Input`] for a probability not between 0 and 100 %, both excluded.
    pub fn at(&self, time: Time, probability: Fraction) -> Result<(f64, f64), Error> {
        let t = time.si() / YEAR_S;
        let c = |i, j| self.fit.covariance(i, j, self.deviation);
        let variance = c(0, 0) + 2.0 * t * c(0, 1) + t * t * c(1, 1);
        let value = self.fit.coefficients[0] + t * self.fit.coefficients[1];
        Ok((value, self.factor(probability)? * variance.max(0.0).sqrt()))
    }

    /// When the line reaches a value: the range of times at which the value lies within the interval of the line (Fieller). A bound
    /// is none where it lies beyond a hundred years or never comes.
    ///
    /// # Errors
    /// [`Error::Input`] for a probability not between 0 and 100 %, both excluded, or a value that is not finite.
    pub fn reaches(&self, value: f64, probability: Fraction) -> Result<Range<Time>, Error> {
        if !value.is_finite() {
            return Err(Error::input("value", value.to_string(), "a finite value"));
        }
        self.factor(probability)?;
        Ok(years_inside(|years| {
            self.at(seconds(years * YEAR_S), probability)
                .is_ok_and(|(line, half)| (line - value).abs() <= half)
        }))
    }

    fn factor(&self, probability: Fraction) -> Result<f64, Error> {
        let p = probability.value();
        if !(p > 0.0 && p < 1.0) {
            let expected = "a probability between 0 % and 100 %, both excluded";
            return Err(Error::input("coverage", show(probability), expected));
        }
        Ok(student_quantile(0.5 * (1.0 + p), self.fit.degrees_of_freedom as f64))
    }
}
