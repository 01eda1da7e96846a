//! How much rated capacity a current asks for, by how long it flows.

use crate::cell::Chemistry;
use crate::error::{Error, positive};
use orlop_units::{Charge, Current, Number, Quantity, Time, coulombs, seconds, show, significant};

/// Capacity at the rated hours that each ampere needs in order to flow for a time: `K(t)`, in hours (Ah per ampere).
#[derive(Clone, Debug, PartialEq)]
pub enum RateFactor {
    /// By Peukert's law: `K = H (t/H)^(1/k)`, and `K = t` from the rated hours on.
    Peukert {
        /// Rated hours.
        hours: Time,
        /// Exponent, 1 or more.
        exponent: f64,
    },
    /// By the maker's points: time, and capacity for each ampere of it. Straight on double-logarithmic paper between them.
    Points(Vec<(Time, Time)>),
}

impl RateFactor {
    /// By Peukert's law.
    ///
    /// # Errors
    /// [`Error::Input`] for hours not above zero or an exponent below 1 or above 2.
    pub fn peukert(hours: Time, exponent: f64) -> Result<Self, Error> {
        positive(hours, "rated hours")?;
        if !(1.0..=2.0).contains(&exponent) {
            return Err(Error::input("exponent", exponent.to_string(), "a Peukert exponent from 1 to 2"));
        }
        Ok(Self::Peukert { hours, exponent })
    }

    /// By Peukert's law with the highest exponent that the sources give for a chemistry.
    #[must_use]
    pub fn of(chemistry: &Chemistry) -> Self {
        let exponent = chemistry.peukert.high().get().clamp(1.0, 2.0);
        Self::Peukert { hours: chemistry.rated_hours.middle(), exponent }
    }

    /// By points: time, and capacity for each ampere that flows so long.
    ///
    /// # Errors
    /// [`Error::Input`] for fewer than two points, values not above zero, times that do not rise, factors that fall, or a factor below its time: no
    /// battery gives more than was put in.
    pub fn points(points: impl IntoIterator<Item = (Time, Time)>) -> Result<Self, Error> {
        let points: Vec<(Time, Time)> = points.into_iter().collect();
        if points.len() < 2 {
            return Err(Error::input("factors", format!("{} points", points.len()), "two points or more"));
        }
        for (n, (time, factor)) in points.iter().enumerate() {
            positive(*time, "time")?;
            positive(*factor, "factor")?;
            if factor.si() < time.si() * (1.0 - 1e-9) {
                let hours = significant(factor.si() / 3600.0, 3);
                let got = format!("{hours} Ah for each ampere that flows {}", show(*time));
                return Err(Error::input(
                    "factors",
                    got,
                    "at least the time itself: an ampere-hour for each hour",
                ));
            }
            if n > 0 && (*time <= points[n - 1].0 || *factor < points[n - 1].1) {
                let got = format!("{} after {}", show(*time), show(points[n - 1].0));
                return Err(Error::input("factors", got, "rising times, with factors that never fall"));
            }
        }
        Ok(Self::Points(points))
    }

    /// Capacity at the rated hours that each ampere needs to flow for this time, as a time: ampere-hours per ampere.
    ///
    /// # Errors
    /// [`Error::Input`] for a time not above zero; [`Error::OutOfTable`] for one outside the points.
    pub fn at(&self, time: Time) -> Result<Time, Error> {
        let t = positive(time, "time")?.si();
        match self {
            Self::Peukert { hours, exponent } => {
                let h = hours.si();
                Ok(seconds(if t >= h { t } else { h * (t / h).powf(1.0 / exponent) }))
            }
            Self::Points(points) => {
                let inside = |w: &&[(Time, Time)]| (w[0].0.si()..=w[1].0.si()).contains(&t);
                let Some(w) = points.windows(2).find(inside) else {
                    let (first, last) = (points[0].0, points[points.len() - 1].0);
                    return Err(Error::OutOfTable {
                        table: "capacity factors".into(),
                        asked: format!("capacity factor for {}", show(time)),
                        range: format!("{} to {}", show(first), show(last)),
                        hint: "take more points from the sheet of the cells".into(),
                    });
                };
                let share = (t / w[0].0.si()).ln() / (w[1].0.si() / w[0].0.si()).ln();
                Ok(seconds(w[0].1.si() * (w[1].1.si() / w[0].1.si()).powf(share)))
            }
        }
    }

    /// Rated capacity that holds a charge when it is drawn at a current.
    ///
    /// # Errors
    /// As [`RateFactor::at`], and for a charge or current not above zero.
    ///
    /// ```
    /// use orlop::{energy::RateFactor, units::{amperes, ampere_hours, seconds, show}};
    /// let rate = RateFactor::peukert(seconds(20.0 * 3600.0), 1.2)?;
    /// // 100 Ah at 20 h give 87.1 Ah at 10 A.
    /// assert_eq!(show(rate.capacity(ampere_hours(87.06), amperes(10.0))?), "100 Ah");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn capacity(&self, charge: Charge, current: Current) -> Result<Charge, Error> {
        let (q, i) = (positive(charge, "charge")?.si(), positive(current, "current")?.si());
        Ok(coulombs(i * self.at(seconds(q / i))?.si()))
    }

    /// The exponent of Peukert's law; none by points.
    #[must_use]
    pub fn exponent(&self) -> Option<Number> {
        match self {
            Self::Peukert { exponent, .. } => Some(Number::of(*exponent)),
            Self::Points(_) => None,
        }
    }
}
