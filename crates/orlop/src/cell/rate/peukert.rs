//! Peukert's law: t = H (C/(I H))^k.

use crate::cell::Chemistry;
use crate::error::{Error, positive};
use crate::range::Range;
use crate::source::{Citation, Confidence};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Charge, Current, Number, Quantity, Time, seconds, show};

pub(crate) static PEUKERT: Citation = Citation::fixed(
    "peukert",
    "Peukert's law with the rated hours",
    "",
    "t = H (C/(I H))^k, C the capacity at H hours",
    "time of a discharge at a constant current",
    Confidence::Published,
    "several pages; one page takes the rated capacity for that at 1 A, which is wrong for a 20 h rating",
);

/// A capacity with the hours it is rated at, and an exponent.
///
/// Below the rated current the law promises more than the cell holds: there the capacity stays at the rated one.
///
/// ```
/// use orlop::{cell::Peukert, units::{amperes, ampere_hours, seconds, show}};
/// let battery = Peukert::new(ampere_hours(100.0), seconds(20.0 * 3600.0), 1.2)?;
/// assert_eq!(show(battery.time(amperes(10.0))?), "8.71 h");
/// assert_eq!(show(battery.capacity(amperes(10.0))?), "87.1 Ah");
/// assert_eq!(show(battery.capacity(amperes(2.5))?), "100 Ah"); // not the 114.9 Ah of the law
/// # Ok::<(), orlop::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Peukert {
    rated: Charge,
    hours: Time,
    exponent: f64,
}

impl Peukert {
    /// From the rated capacity, the hours it is rated at and the exponent.
    ///
    /// # Errors
    /// [`Error::Input`] for a capacity or time not above zero, or an exponent below 1 or above 2.
    pub fn new(rated: Charge, hours: Time, exponent: f64) -> Result<Self, Error> {
        if !(1.0..=2.0).contains(&exponent) {
            return Err(Error::input("exponent", exponent.to_string(), "a Peukert exponent from 1 to 2"));
        }
        Ok(Self {
            rated: positive(rated, "rated capacity")?,
            hours: positive(hours, "rated hours")?,
            exponent,
        })
    }

    /// From two ratings of the same battery: k = ln(H1/H2)/ln(I2/I1).
    ///
    /// # Errors
    /// [`Error::Input`] for ratings not above zero, of the same hours, or of which the faster gives more.
    ///
    /// ```
    /// use orlop::{cell::Peukert, units::{ampere_hours, seconds}};
    /// let h = |hours: f64| seconds(3600.0 * hours);
    /// let battery = Peukert::from_ratings((ampere_hours(100.0), h(20.0)), (ampere_hours(83.0), h(5.0)))?;
    /// assert!((battery.exponent() - 1.15528).abs() < 1e-5);
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn from_ratings(one: (Charge, Time), other: (Charge, Time)) -> Result<Self, Error> {
        let check = |r: (Charge, Time)| Ok::<_, Error>((positive(r.0, "capacity")?, positive(r.1, "hours")?));
        let (one, other) = (check(one)?, check(other)?);
        let (slow, fast) = if one.1 >= other.1 { (one, other) } else { (other, one) };
        if slow.1 == fast.1 {
            return Err(Error::input("ratings", format!("both at {}", show(slow.1)), "two different hours"));
        }
        let currents = (slow.0.si() / slow.1.si(), fast.0.si() / fast.1.si());
        let exponent = (slow.1.si() / fast.1.si()).ln() / (currents.1 / currents.0).ln();
        if !(1.0..=2.0).contains(&exponent) {
            return Err(Error::Input {
                field: "ratings".into(),
                got: format!("{} in {} and {} in {}", show(slow.0), show(slow.1), show(fast.0), show(fast.1)),
                expected: "less capacity in the shorter time".into(),
                hint: "perhaps the two are interchanged".into(),
            });
        }
        Self::new(slow.0, slow.1, exponent)
    }

    /// The exponent.
    #[must_use]
    pub fn exponent(&self) -> f64 {
        self.exponent
    }
    /// The current that empties it in the rated hours.
    #[must_use]
    pub fn rated_current(&self) -> Current {
        self.rated / self.hours
    }

    /// How long a current flows until the battery is empty.
    ///
    /// # Errors
    /// [`Error::Input`] for a current not above zero.
    pub fn time(&self, current: Current) -> Result<Time, Error> {
        self.time_recorded(current, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Peukert::time`].
    pub fn time_recorded(&self, current: Current, rec: &mut impl Recorder) -> Result<Time, Error> {
        let i = positive(current, "current")?.si();
        let rated = self.rated_current();
        let slow = i <= rated.si();
        let exponent = if slow { 1.0 } else { self.exponent };
        let time = seconds(self.hours.si() * (rated.si() / i).powf(exponent));
        rec.step(|| {
            Step::new("time of the discharge", "t", time)
                .formula(if slow {
                    "C/I: below the rated current the capacity stays"
                } else {
                    "H (C/(I H))^k"
                })
                .input("C", self.rated)
                .input("H", self.hours)
                .input("I", current)
                .input("k", self.exponent)
                .source(&PEUKERT)
        });
        Ok(time)
    }

    /// What a current draws until the battery is empty.
    ///
    /// # Errors
    /// As [`Peukert::time`].
    pub fn capacity(&self, current: Current) -> Result<Charge, Error> {
        Ok(current * self.time(current)?)
    }
}

impl Chemistry {
    /// What a current draws from a rated capacity, over the range of exponents of the chemistry.
    ///
    /// # Errors
    /// As [`Peukert::new`] and [`Peukert::time`].
    pub fn capacity_at(&self, rated: Charge, hours: Time, current: Current) -> Result<Range<Charge>, Error> {
        let at = |k: Number| Peukert::new(rated, hours, k.get())?.capacity(current);
        Ok(Range::new(at(self.peukert.low())?, at(self.peukert.high())?))
    }
}
