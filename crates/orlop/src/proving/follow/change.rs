//! Whether a reading jumped: one step in a level that may also drift.

use crate::error::Error;
use crate::solve::{LeastSquares, fisher_tail, student_quantile};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Fraction, Quantity, Time, show};

/// The likeliest step in a series of readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChangePoint {
    /// Time of the last reading before it.
    pub after: Time,
    /// Time of the first reading after it.
    pub before: Time,
    /// Its size beside the steady drift, in the unit of the readings.
    pub step: f64,
    /// Half of the 95 % interval of the size, the moment taken as known.
    pub half_width: f64,
    /// Difference of the two readings next to it.
    pub between_neighbours: f64,
    /// Drift per second apart from the step.
    pub drift: f64,
    /// Probability of a step as clear as this by chance, over all places where it might have been.
    pub chance: f64,
    /// Whether that is below the probability of a false alarm that was asked for.
    pub significant: bool,
}

impl ChangePoint {
    /// Looks for one step in readings that may drift: y = a + b t + c (t after the step).
    ///
    /// Every place with two readings on each side is tried; F-test of the step, times the number of places (Bonferroni). Scatter below
    /// what the `resolution` of the readings allows is not believed. A reading that is NaN is missing.
    ///
    /// # Errors
    /// [`Error::Input`] for lists of different lengths, times that do not rise, fewer than six readings, an infinite one, a resolution
    /// that is not above zero, or a false alarm not between 0 and 100 %, both excluded.
    ///
    /// ```
    /// use orlop::{proving::follow::ChangePoint, units::{seconds, Fraction}};
    /// let months: Vec<_> = (0..8).map(|m| seconds(f64::from(m) * 2.6e6)).collect();
    /// let milliohms = [5.03, 5.04, 5.02, 5.06, 5.05, 5.38, 5.41, 5.39];
    /// let change = ChangePoint::find(&months, &milliohms, 0.01, Fraction::new(0.05))?;
    /// assert!(change.significant && change.after == months[4] && change.before == months[5]);
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn find(
        times: &[Time],
        values: &[f64],
        resolution: f64,
        false_alarm: Fraction,
    ) -> Result<Self, Error> {
        Self::find_recorded(times, values, resolution, false_alarm, |_| String::new(), &mut Silent)
    }

    /// The same with its steps; `shown` writes a difference of readings for people.
    ///
    /// # Errors
    /// As [`ChangePoint::find`].
    pub fn find_recorded(
        times: &[Time],
        values: &[f64],
        resolution: f64,
        false_alarm: Fraction,
        shown: impl Fn(f64) -> String,
        rec: &mut impl Recorder,
    ) -> Result<Self, Error> {
        if times.len() != values.len() {
            let got = format!("{} readings at {} times", values.len(), times.len());
            return Err(Error::input("readings", got, "one reading for each time"));
        }
        if !(resolution > 0.0 && resolution.is_finite()) {
            return Err(Error::input("resolution", resolution.to_string(), "a resolution above zero"));
        }
        let alarm = false_alarm.value();
        if !(alarm > 0.0 && alarm < 1.0) {
            let expected = "a probability between 0 % and 100 %, both excluded";
            return Err(Error::input("false_alarm", show(false_alarm), expected));
        }
        if let Some(k) =
            times.windows(2).position(|w| w[1].partial_cmp(&w[0]) != Some(std::cmp::Ordering::Greater))
        {
            let got = format!("{} after {} at place {}", show(times[k + 1]), show(times[k]), k + 2);
            return Err(Error::input("times", got, "times that rise"));
        }
        let kept: Vec<usize> = (0..values.len()).filter(|k| !values[*k].is_nan()).collect();
        let n = kept.len();
        if n < 6 {
            return Err(Error::input("readings", format!("{n} readings"), "six readings or more"));
        }
        let y: Vec<f64> = kept.iter().map(|k| values[*k]).collect();
        let origin = times[kept[0]].si();
        let t: Vec<f64> = kept.iter().map(|k| times[*k].si() - origin).collect();
        let plain: Vec<f64> = t.iter().flat_map(|t| [1.0, *t]).collect();
        let without = LeastSquares::new(&plain, 2, &y)?.residual_sum();
        let freedom = (n - 3) as f64;
        let floor = freedom * resolution * resolution / 12.0;
        let mut best: Option<(f64, usize, LeastSquares)> = None;
        for split in 2..=n - 2 {
            let x: Vec<f64> =
                t.iter().enumerate().flat_map(|(k, t)| [1.0, *t, f64::from(u8::from(k >= split))]).collect();
            let fit = LeastSquares::new(&x, 3, &y)?;
            let f = (without - fit.residual_sum()).max(0.0) / (fit.residual_sum().max(floor) / freedom);
            if best.as_ref().is_none_or(|b| f > b.0) {
                best = Some((f, split, fit));
            }
        }
        let Some((f, split, fit)) = best else {
            return Err(Error::input("readings", "no place for a step", "six readings or more"));
        };
        let chance = (fisher_tail(f, 1.0, freedom) * (n - 3) as f64).min(1.0);
        let deviation = (fit.residual_sum().max(floor) / freedom).sqrt();
        let found = Self {
            after: times[kept[split - 1]],
            before: times[kept[split]],
            step: fit.coefficients[2],
            half_width: student_quantile(0.975, freedom) * fit.covariance(2, 2, deviation).sqrt(),
            between_neighbours: y[split] - y[split - 1],
            drift: fit.coefficients[1],
            chance,
            significant: chance < alarm,
        };
        rec.step(|| {
            Step::new("scatter about a line without a step", "s0", shown((without / (n - 2) as f64).sqrt()))
                .formula("least squares of y = a + b t")
                .input("readings", n as f64)
        });
        rec.step(|| {
            Step::new("scatter with the likeliest step", "s1", shown(deviation))
                .formula("least squares of y = a + b t + c (t after the step) where that leaves least; at least r/sqrt(12)")
                .input("after", found.after)
                .input("before", found.before)
                .input("r", shown(resolution))
        });
        rec.step(|| {
            Step::new("size of the step", "c", shown(found.step))
                .formula("of that fit, +- t(97.5 %) times its standard uncertainty")
                .input("+-", shown(found.half_width))
        });
        rec.step(|| {
            Step::new("how much the step explains", "F", f).formula("(s0^2 (n - 2) - s1^2 (n - 3))/s1^2")
        });
        rec.step(|| {
            Step::new("chance of as clear a step", "p", found.chance)
                .formula(
                    "(n - 3) P(F(1, n - 3) > F), at most 1: so many places might have been the likeliest",
                )
                .input("accepted", false_alarm)
        });
        Ok(found)
    }
}
