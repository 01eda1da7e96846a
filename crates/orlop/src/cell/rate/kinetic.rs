//! The kinetic model of a lead cell: a well at hand and a well bound, with a valve between.
//!
//! The available well q1 holds the share c of the charge, the bound well q2 the rest; charge flows between them in proportion to
//! the difference of their levels. Under a constant current I, with q0 = q1 + q2,
//! q1(t) = q1 e + (q0 k c - I)(1 - e)/k - I c (k t - 1 + e)/k and q2(t) = q2 e + q0 (1 - c)(1 - e) - I (1 - c)(k t - 1 + e)/k,
//! e = exp(-k t). The cell is empty when q1 is, however much is bound.

use crate::conductor::bracketed;
use crate::error::{Error, positive};
use crate::source::{Citation, Confidence};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Charge, Current, Quantity, Time, amperes, coulombs, seconds, show, significant};

pub(crate) static KINETIC: Citation = Citation::fixed(
    "kinetic-battery-model",
    "Manwell and McGowan, Solar Energy 50:399",
    "1993",
    "two wells with a valve, closed form for a constant current",
    "what a lead battery gives at a current, and what it recovers",
    Confidence::Published,
    "recalled, checked against two copies of its numbers",
);

/// The model of one battery.
///
/// ```
/// use orlop::{cell::KineticModel, units::{ampere_hours, seconds, show}};
/// let h = |hours: f64| seconds(3600.0 * hours);
/// let ratings = [(ampere_hours(60.0), h(1.0)), (ampere_hours(93.0), h(10.0)), (ampere_hours(100.0), h(20.0))];
/// let battery = KineticModel::from_ratings(ratings)?;
/// assert_eq!(show(battery.largest()), "108 Ah");
/// assert_eq!(show(battery.deliverable(h(5.0))?), "82.2 Ah");
/// # Ok::<(), orlop::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KineticModel {
    /// Share of the charge at hand.
    share: f64,
    /// Rate of the valve, 1/s.
    rate: f64,
    /// Charge of both wells when full, C.
    largest: f64,
}

/// What is in the wells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wells {
    /// Charge at hand.
    pub available: Charge,
    /// Charge that must first flow over.
    pub bound: Charge,
}

impl Wells {
    /// Both together.
    #[must_use]
    pub fn total(self) -> Charge {
        self.available + self.bound
    }
}

impl KineticModel {
    /// From its three constants: the share at hand, the rate of the valve per hour, the largest charge.
    ///
    /// # Errors
    /// [`Error::Input`] for a share not between 0 and 1, or a rate or charge not above zero.
    pub fn new(share: f64, rate_per_hour: f64, largest: Charge) -> Result<Self, Error> {
        if !(share > 0.0 && share < 1.0) {
            return Err(Error::input("share", share.to_string(), "a share between 0 and 1, both excluded"));
        }
        if !(rate_per_hour.is_finite() && rate_per_hour > 0.0) {
            return Err(Error::input("rate", rate_per_hour.to_string(), "a rate per hour above zero"));
        }
        Ok(Self { share, rate: rate_per_hour / 3600.0, largest: positive(largest, "largest charge")?.si() })
    }

    /// From three ratings, each a charge with the hours in which a constant current empties the battery.
    ///
    /// The rate of the valve is the one for which the first and the second rating ask for the same share against the third.
    ///
    /// # Errors
    /// [`Error::Input`] for ratings that are not above zero, not of ascending hours, or whose charges do not grow with them;
    /// [`Error::NoSolution`] when no two wells give all three.
    pub fn from_ratings(ratings: [(Charge, Time); 3]) -> Result<Self, Error> {
        Self::from_ratings_recorded(ratings, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`KineticModel::from_ratings`].
    pub fn from_ratings_recorded(
        ratings: [(Charge, Time); 3],
        rec: &mut impl Recorder,
    ) -> Result<Self, Error> {
        let mut r = [(0.0, 0.0); 3];
        for (to, (charge, time)) in r.iter_mut().zip(ratings) {
            *to = (positive(charge, "charge")?.si(), positive(time, "hours")?.si());
        }
        let shown: Vec<String> =
            ratings.iter().map(|(q, t)| format!("{} in {}", show(*q), show(*t))).collect();
        let falls =
            |w: &[(f64, f64)]| w[0].1 < w[1].1 && w[0].0 < w[1].0 && w[0].0 / w[0].1 > w[1].0 / w[1].1;
        if !r.windows(2).all(falls) {
            return Err(Error::Input {
                field: "ratings".into(),
                got: shown.join(", "),
                expected: "ascending hours with more charge and less current in each".into(),
                hint: "a sheet gives them as capacity at 1 h, 10 h and 20 h".into(),
            });
        }
        let ([one, two], last) = ([r[0], r[1]], r[2]);
        let unequal = |k: f64| share(k, one, last) - share(k, two, last);
        // The valve is looked for between a thousandth of the longest and ten times the shortest discharge.
        let (slow, fast) = (1e-3 / last.1, 10.0 / one.1);
        let steps = 400;
        let at = |n: i32| slow * (fast / slow).powf(f64::from(n) / f64::from(steps));
        let rate = (0..steps)
            .find_map(|n| bracketed(at(n), at(n + 1), unequal))
            .filter(|k| share(*k, one, last) > 0.0 && share(*k, one, last) < 1.0)
            .ok_or_else(|| Error::NoSolution {
                what: format!("no two wells give {}", shown.join(", ")),
                hint: "check the ratings; those of lithium cells hardly differ and need no kinetic model"
                    .into(),
            })?;
        let c = share(rate, one, last);
        let model = Self { share: c, rate, largest: last.0 / given(c, rate, last.1) };
        rec.step(|| {
            Step::new("rate of the valve", "k", format!("{} per hour", significant(3600.0 * rate, 4)))
                .formula("the rate for which two ratings ask for the same share at hand")
                .input("ratings", shown.join(", "))
                .source(&KINETIC)
        });
        rec.step(|| Step::new("share at hand", "c", c).source(&KINETIC));
        rec.step(|| {
            Step::new("largest charge", "q_max", model.largest())
                .formula("Q(t) (1 - e + c (k t - 1 + e))/(k c t), e = exp(-k t)")
                .source(&KINETIC)
        });
        Ok(model)
    }

    /// Share of the charge that is at hand.
    #[must_use]
    pub fn share(&self) -> f64 {
        self.share
    }
    /// Rate of the valve per hour.
    #[must_use]
    pub fn rate_per_hour(&self) -> f64 {
        self.rate * 3600.0
    }
    /// Charge of both wells when full: what an endlessly slow discharge gives.
    #[must_use]
    pub fn largest(&self) -> Charge {
        coulombs(self.largest)
    }

    /// Wells at rest at a share of the largest charge.
    #[must_use]
    pub fn rested(&self, charge: crate::cell::StateOfCharge) -> Wells {
        let all = charge.share().clamp(0.0, 1.0) * self.largest;
        Wells { available: coulombs(self.share * all), bound: coulombs((1.0 - self.share) * all) }
    }

    /// What a constant current draws that empties the full battery in just this time.
    ///
    /// # Errors
    /// [`Error::Input`] for a time not above zero.
    pub fn deliverable(&self, time: Time) -> Result<Charge, Error> {
        let t = positive(time, "time")?.si();
        Ok(coulombs(self.largest * given(self.share, self.rate, t)))
    }

    /// The wells after a constant current, discharge positive. With no current the bound well refills the other.
    ///
    /// # Errors
    /// [`Error::NoSolution`] when the available well runs dry before, or over; [`Error::Input`] for a time not above zero, a
    /// current that is no number, or wells that this battery cannot hold.
    pub fn after(&self, wells: Wells, current: Current, time: Time) -> Result<Wells, Error> {
        let (q1, q2) = self.checked(wells)?;
        let t = positive(time, "time")?.si();
        let i = current.si();
        if !i.is_finite() {
            return Err(Error::input("current", i.to_string(), "a current"));
        }
        // With a constant current the available well is lowest and fullest at the ends of the time.
        let (a, b) = self.step(q1, q2, i, t);
        let full = self.share * self.largest;
        let slack = 1e-9 * self.largest;
        if a < -slack || a > full + slack {
            let limit = self.limit(q1, q1 + q2, if i > 0.0 { 0.0 } else { full }, t);
            return Err(Error::NoSolution {
                what: format!(
                    "{} for {} {} the charge at hand",
                    show(current),
                    show(time),
                    if i > 0.0 { "exhausts" } else { "overfills" }
                ),
                hint: format!("at most {} flow for so long", show(amperes(limit.abs()))),
            });
        }
        Ok(Wells { available: coulombs(a.clamp(0.0, full)), bound: coulombs(b.max(0.0)) })
    }

    /// The largest current that flows for a time.
    ///
    /// # Errors
    /// As [`KineticModel::after`].
    pub fn largest_current(&self, wells: Wells, time: Time) -> Result<Current, Error> {
        let (q1, q2) = self.checked(wells)?;
        let t = positive(time, "time")?.si();
        Ok(amperes(self.limit(q1, q1 + q2, 0.0, t)))
    }

    /// How long a constant current flows until the available well is dry.
    ///
    /// # Errors
    /// As [`KineticModel::after`], and [`Error::Input`] for a current not above zero.
    pub fn time(&self, wells: Wells, current: Current) -> Result<Time, Error> {
        let (q1, q2) = self.checked(wells)?;
        let i = positive(current, "current")?.si();
        // No battery gives more than it holds, so it ends by then; and the level only crosses zero once.
        let last = (q1 + q2) / i;
        if q1 == 0.0 {
            return Ok(seconds(0.0));
        }
        let end = bracketed(0.0, last, |t| self.step(q1, q2, i, t).0);
        Ok(seconds(end.unwrap_or(last)))
    }

    fn checked(&self, wells: Wells) -> Result<(f64, f64), Error> {
        let (q1, q2) = (wells.available.si(), wells.bound.si());
        let slack = 1.0 + 1e-9;
        let fits = |q: f64, share: f64| q >= 0.0 && q <= slack * share * self.largest;
        if fits(q1, self.share) && fits(q2, 1.0 - self.share) {
            return Ok((q1, q2));
        }
        Err(Error::input(
            "wells",
            format!("{} available and {} bound", show(wells.available), show(wells.bound)),
            format!(
                "at most {} and {}",
                show(coulombs(self.share * self.largest)),
                show(coulombs((1.0 - self.share) * self.largest))
            ),
        ))
    }

    fn step(&self, q1: f64, q2: f64, i: f64, t: f64) -> (f64, f64) {
        let (c, k, q0) = (self.share, self.rate, q1 + q2);
        let (fade, lag) = fade_and_lag(k * t);
        let a = q1 * (1.0 - fade) + (q0 * k * c - i) * fade / k - i * c * lag / k;
        let b = q2 * (1.0 - fade) + q0 * (1.0 - c) * fade - i * (1.0 - c) * lag / k;
        (a, b)
    }

    /// The current after which a given charge is at hand: q1 e + q0 c (1 - e) - stays = I ((1 - e) + c (k t - 1 + e))/k.
    fn limit(&self, q1: f64, q0: f64, stays: f64, t: f64) -> f64 {
        let (c, k) = (self.share, self.rate);
        let (fade, lag) = fade_and_lag(k * t);
        k * (q1 * (1.0 - fade) + q0 * c * fade - stays) / (fade + c * lag)
    }
}

/// 1 - exp(-x) and x - 1 + exp(-x), both without loss of digits for small x.
fn fade_and_lag(x: f64) -> (f64, f64) {
    let fade = -(-x).exp_m1();
    let lag = if x < 1e-4 { x * x * (0.5 - x / 6.0) } else { x - fade };
    (fade, lag)
}

/// Share of the largest charge that a discharge of a given time delivers.
fn given(c: f64, k: f64, t: f64) -> f64 {
    let (fade, lag) = fade_and_lag(k * t);
    k * c * t / (fade + c * lag)
}

/// The share at hand for which a fast and a slow rating belong to one battery.
fn share(k: f64, fast: (f64, f64), slow: (f64, f64)) -> f64 {
    // Q(t) = q_max k c t/(f + c g) for both, f and g as above: c from their quotient.
    let ((q1, t1), (q2, t2)) = (fast, slow);
    let ((f1, g1), (f2, g2)) = (fade_and_lag(k * t1), fade_and_lag(k * t2));
    let (a, b) = (q1 / t1, q2 / t2);
    (b * f2 - a * f1) / (a * g1 - b * g2)
}
