//! Capacity tests of one bank over time, and the line through them.

use super::{YEAR_S, years_inside};
use crate::error::Error;
use crate::proving::uncertainty::{Budget, Relation};
use crate::range::Range;
use crate::solve::{LeastSquares, chi_squared_tail, normal_quantile};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Charge, Fraction, Quantity, Time, coulombs, seconds, show, significant};

/// One capacity test with its date.
#[derive(Clone, Debug, PartialEq)]
pub struct DatedTest {
    /// Time since the bank was new.
    pub time: Time,
    /// Full equivalent cycles since then.
    pub full_cycles: f64,
    /// The capacity at the reference temperature.
    pub capacity: Budget<Charge>,
}

/// Tests of one bank, in the order of time.
#[derive(Clone, Debug, PartialEq)]
pub struct Tests {
    pub(super) tests: Vec<DatedTest>,
    pub(super) relation: Relation,
}

/// A straight line through tests whose uncertainties are known.
#[derive(Clone, Debug, PartialEq)]
pub struct Trend {
    /// Capacity at time zero, by the line.
    pub start: Charge,
    /// Change in a year.
    pub per_year: Charge,
    /// Half of the interval of the change in a year.
    pub per_year_half_width: Charge,
    /// Whether the change is told from none.
    pub significant: bool,
    /// Probability of a misfit as large as this by chance; none for two tests.
    pub fits: Option<Fraction>,
    pub(super) interval_factor: f64,
    pub(super) cofactors: [f64; 3],
}

impl Tests {
    /// From tests in the order of time, and what they share.
    ///
    /// # Errors
    /// [`Error::Input`] for fewer than two tests, times out of order, cycles that fall or are not finite, and a test without any error of its
    /// own (by name and place).
    pub fn new(tests: Vec<DatedTest>, relation: Relation) -> Result<Self, Error> {
        if tests.len() < 2 {
            return Err(Error::input(
                "tests",
                format!("{} tests", tests.len()),
                "two capacity tests or more",
            ));
        }
        for (k, pair) in tests.windows(2).enumerate() {
            let (a, b) = (&pair[0], &pair[1]);
            if !(b.time > a.time && b.time.si().is_finite() && a.time.si() >= 0.0) {
                let got = format!("test {} at {} after one at {}", k + 2, show(b.time), show(a.time));
                return Err(Error::input("tests", got, "times that rise from zero or later"));
            }
            if !(b.full_cycles >= a.full_cycles && a.full_cycles >= 0.0 && b.full_cycles.is_finite()) {
                let got =
                    format!("test {} at {} cycles after one at {}", k + 2, b.full_cycles, a.full_cycles);
                return Err(Error::input("tests", got, "cycles that do not fall"));
            }
        }
        for (k, t) in tests.iter().enumerate() {
            let own: f64 = t
                .capacity
                .terms()
                .iter()
                .filter(|c| !relation.shares(c.common))
                .map(|c| c.effect.powi(2))
                .sum();
            if own <= 0.0 {
                let got = format!("test {} with shared errors only", k + 1);
                return Err(Error::input(
                    "tests",
                    got,
                    "at least one error of its own in each test, such as the offset",
                ));
            }
        }
        Ok(Self { tests, relation })
    }

    /// The tests.
    #[must_use]
    pub fn tests(&self) -> &[DatedTest] {
        &self.tests
    }

    /// The straight line through the tests, weighted by what is known of each and of what they share.
    ///
    /// Generalised least squares with the joint covariance. Where the tests scatter more than their uncertainties say, these are
    /// widened by the ratio (Birge, Phys. Rev. 40:207, 1932).
    ///
    /// # Errors
    /// [`Error::Input`] for a probability not between 0 and 100 %, both excluded.
    pub fn trend(&self, probability: Fraction) -> Result<Trend, Error> {
        self.trend_recorded(probability, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Tests::trend`].
    pub fn trend_recorded(&self, probability: Fraction, rec: &mut impl Recorder) -> Result<Trend, Error> {
        let p = probability.value();
        if !(p > 0.0 && p < 1.0) {
            let expected = "a probability between 0 % and 100 %, both excluded";
            return Err(Error::input("coverage", show(probability), expected));
        }
        let years = |t: &DatedTest| t.time.si() / YEAR_S;
        let columns: Vec<Vec<f64>> =
            vec![vec![1.0; self.tests.len()], self.tests.iter().map(years).collect()];
        let fit = self.weighted(&columns, &[])?;
        let freedom = fit.degrees_of_freedom;
        let misfit = fit.residual_sum();
        let scatter = if freedom > 0 { (misfit / freedom as f64).sqrt() } else { 0.0 };
        let factor = scatter.max(1.0) * normal_quantile(0.5 * (1.0 + p));
        let half = factor * fit.covariance(1, 1, 1.0).sqrt();
        let trend = Trend {
            start: coulombs(fit.coefficients[0]),
            per_year: coulombs(fit.coefficients[1]),
            per_year_half_width: coulombs(half),
            significant: fit.coefficients[1].abs() > half,
            fits: (freedom > 0).then(|| Fraction::new(chi_squared_tail(misfit, freedom as f64))),
            interval_factor: factor,
            cofactors: [fit.covariance(0, 0, 1.0), fit.covariance(0, 1, 1.0), fit.covariance(1, 1, 1.0)],
        };
        for (k, t) in self.tests.iter().enumerate() {
            rec.step(|| {
                let value = format!("{} Ah", significant(t.capacity.value().out(), 4));
                Step::new(format!("test {}", k + 1), format!("C{}", k + 1), value)
                    .input("at", t.time)
                    .input("standard uncertainty", t.capacity.combined())
            });
        }
        rec.step(|| {
            Step::new("change in a year", "b", trend.per_year)
                .formula("generalised least squares of C = a + b t, with the covariance of the tests: shared errors in all of them")
                .input("a", trend.start)
        });
        rec.step(|| {
            let step =
                Step::new("how much more they scatter than their uncertainties say", "f", scatter.max(1.0))
                    .formula("sqrt(misfit/(n - 2)), at least 1 (Birge 1932)")
                    .input("misfit", misfit)
                    .input("n", self.tests.len() as f64);
            match trend.fits {
                Some(chance) => step.input("chance of as large a misfit", chance),
                None => step,
            }
        });
        rec.step(|| {
            Step::new("half of its interval", "U", trend.per_year_half_width)
                .formula("z f u(b)")
                .input("coverage", probability)
        });
        Ok(trend)
    }

    /// Generalised least squares of the capacities on columns, with further rows (coefficients, observation) of unit variance.
    pub(super) fn weighted(
        &self,
        columns: &[Vec<f64>],
        further: &[(Vec<f64>, f64)],
    ) -> Result<LeastSquares, Error> {
        let n = self.tests.len();
        let lower = cholesky(&self.covariance(), n);
        let whiten = |v: &[f64]| -> Vec<f64> {
            let mut out = vec![0.0; n];
            for i in 0..n {
                let known: f64 = (0..i).map(|j| lower[i * n + j] * out[j]).sum();
                out[i] = (v[i] - known) / lower[i * n + i];
            }
            out
        };
        let capacities: Vec<f64> = self.tests.iter().map(|t| t.capacity.value().si()).collect();
        let white: Vec<Vec<f64>> = columns.iter().map(|c| whiten(c)).collect();
        let mut x: Vec<f64> = (0..n).flat_map(|i| white.iter().map(move |c| c[i])).collect();
        let mut y = whiten(&capacities);
        for (row, value) in further {
            x.extend(row);
            y.push(*value);
        }
        LeastSquares::new(&x, columns.len(), &y)
    }

    /// Covariance of the capacities: shared errors between all, own errors on the diagonal.
    fn covariance(&self) -> Vec<f64> {
        let n = self.tests.len();
        let mut v = vec![0.0; n * n];
        for (i, a) in self.tests.iter().enumerate() {
            for (j, b) in self.tests.iter().enumerate() {
                for t in a.capacity.terms() {
                    let twin = if i == j {
                        Some(t.effect)
                    } else if self.relation.shares(t.common) {
                        let same = |o: &&crate::proving::uncertainty::Term| {
                            o.name == t.name && self.relation.shares(o.common)
                        };
                        b.capacity.terms().iter().find(same).map(|o| o.effect)
                    } else {
                        None
                    };
                    v[i * n + j] += t.effect * twin.unwrap_or(0.0);
                }
            }
        }
        v
    }
}

impl Trend {
    /// The line at a time, with half of its interval.
    #[must_use]
    pub fn at(&self, time: Time) -> (Charge, Charge) {
        let [c00, c01, c11] = self.cofactors;
        let t = time.si() / YEAR_S;
        let half = self.interval_factor * (c00 + 2.0 * t * c01 + t * t * c11).max(0.0).sqrt();
        (coulombs(self.start.si() + t * self.per_year.si()), coulombs(half))
    }

    /// When the line falls to a capacity: the range of times by the interval of the line. A bound is none where it lies beyond a
    /// hundred years or never comes.
    #[must_use]
    pub fn reaches(&self, capacity: Charge) -> Range<Time> {
        years_inside(|years| {
            let (line, half) = self.at(seconds(years * YEAR_S));
            (line.si() - capacity.si()).abs() <= half.si()
        })
    }

    /// The verdict in one sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        let rate = self.per_year.out();
        format!(
            "{}{} Ah a year, give or take {} Ah: {}",
            if rate < 0.0 { "-" } else { "+" },
            significant(rate.abs(), 2),
            significant(self.per_year_half_width.out(), 2),
            if self.significant { "significant" } else { "not yet significant" }
        )
    }
}

/// The lower factor L of a positive definite matrix, row by row: V = L Lᵀ.
fn cholesky(v: &[f64], n: usize) -> Vec<f64> {
    let mut l = vec![0.0; n * n];
    for i in 0..n {
        for j in 0..=i {
            let known: f64 = (0..j).map(|k| l[i * n + k] * l[j * n + k]).sum();
            // Own errors keep the diagonal above what is shared; rounding may not take that away.
            let left =
                (v[i * n + j] - known).max(if i == j { 1e-14 * v[i * n + i] } else { f64::NEG_INFINITY });
            l[i * n + j] = if i == j { left.sqrt() } else { left / l[j * n + j] };
        }
    }
    l
}
