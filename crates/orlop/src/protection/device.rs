//! One device: a family and a rating.

use super::band::step;
use super::curves::Band;
use super::family::{Family, family};
use crate::error::{Error, positive};
use crate::range::Range;
use crate::source::Confidence;
use crate::working::{Recorder, Silent, Step};
use orlop_units::{
    Current, LetThrough, Quantity, Resistance, Temperature, Time, Voltage, amperes, seconds, show,
};

/// A fuse or breaker of one family and rating.
///
/// ```
/// use orlop::protection::Device;
/// use orlop::units::{amperes, seconds, show};
/// let fuse = Device::new("iso8820-3-blade", amperes(10.0)).unwrap();
/// let time = fuse.opening_time(amperes(20.0)).unwrap();
/// assert_eq!(time.to_string(), "0.15 s to 5 s");
/// assert_eq!(show(fuse.opens_within(seconds(5.0)).unwrap()), "20 A");
/// assert!(Device::new("iso8820-3-blade", amperes(12.0)).is_err());
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Device {
    family: &'static Family,
    rating: Current,
    voltage: Option<Voltage>,
    breaking: Option<Current>,
    resistance: Option<Range<Resistance>>,
    band: &'static Band,
}

impl Device {
    /// A device of a family.
    ///
    /// # Errors
    /// [`Error::Input`] when there is no such family or the family has no such rating.
    pub fn new(family_id: &str, rating: Current) -> Result<Self, Error> {
        Self::of(family(family_id)?, positive(rating, "rating")?)
    }

    pub(super) fn of(family: &'static Family, rating: Current) -> Result<Self, Error> {
        let same = |r: &&Current| (r.si() - rating.si()).abs() <= 1e-9 * r.si();
        let Some(at) = family.ratings.iter().position(|r| same(&r)) else {
            let list: Vec<_> = family.ratings.iter().map(|r| show(*r)).collect();
            return Err(Error::Input {
                field: "rating".into(),
                got: show(rating),
                expected: format!("a rating of {}: {}", family.id, list.join(", ")),
                hint: String::new(),
            });
        };
        Ok(Self::at(family, at))
    }

    /// The device of a family's rating by its place in the list.
    pub(super) fn at(family: &'static Family, at: usize) -> Self {
        Self {
            family,
            rating: family.ratings[at],
            voltage: family.voltage,
            breaking: family.breaking,
            resistance: family.resistances[at],
            band: &family.bands[at],
        }
    }

    /// The same device with the DC breaking capacity that its maker declares at a DC voltage.
    ///
    /// # Errors
    /// [`Error::Input`] when either is not above zero.
    pub fn declared(mut self, voltage: Voltage, breaking: Current) -> Result<Self, Error> {
        self.voltage = Some(positive(voltage, "voltage")?);
        self.breaking = Some(positive(breaking, "breaking")?);
        Ok(self)
    }

    /// Its family.
    #[must_use]
    pub fn family(&self) -> &'static Family {
        self.family
    }
    /// Its rated current.
    #[must_use]
    pub fn rating(&self) -> Current {
        self.rating
    }
    /// Highest DC voltage, when one is stated.
    #[must_use]
    pub fn voltage_rating(&self) -> Option<Voltage> {
        self.voltage
    }
    /// DC breaking capacity, when one is stated; none counts as zero.
    #[must_use]
    pub fn breaking_capacity(&self) -> Option<Current> {
        self.breaking
    }
    /// How far its time-current band can be trusted.
    #[must_use]
    pub fn confidence(&self) -> Confidence {
        self.band.confidence
    }
    pub(super) fn band(&self) -> &'static Band {
        self.band
    }

    /// When it opens at a constant current: the fastest and the slowest time its standard permits, from cold.
    ///
    /// A missing lower bound means that it never opens: the current is below the conventional non-operating
    /// current. A missing upper bound means that it need not open: below the conventional operating current.
    /// A lower bound of zero means that nothing is known but that it may open at once.
    ///
    /// Straight lines on double-logarithmic paper join the points of the standard; a magnetic release is a
    /// step. Beyond the last point a fuse keeps its `I2 t` (slowest edge: never below 10 ms, where the
    /// arc counts), a breaker keeps its last slowest time and may open at once.
    ///
    /// # Errors
    /// [`Error::Input`] when the current is not above zero.
    pub fn opening_time(&self, current: Current) -> Result<Range<Time>, Error> {
        self.opening_time_recorded(current, &mut Silent)
    }

    /// [`opening_time`](Self::opening_time) with its steps.
    ///
    /// # Errors
    /// As there.
    pub fn opening_time_recorded(
        &self,
        current: Current,
        rec: &mut impl Recorder,
    ) -> Result<Range<Time>, Error> {
        let current = positive(current, "current")?;
        let (fast, fast_how) = self.band.fastest.at(current.si(), true);
        let (slow, slow_how) = self.band.slowest.at(current.si(), false);
        let (fast, slow) = (fast.map(seconds), slow.map(seconds));
        let source = crate::Citation { confidence: self.band.confidence, ..self.family.citation.clone() };
        rec.step(|| {
            Step::new("share of the rating", "I/In", current.si() / self.rating.si())
                .formula("I / In")
                .input("I", current)
                .input("In", self.rating)
        });
        rec.step(|| step("fastest opening", "t fastest", current, (fast, fast_how), "never").source(&source));
        rec.step(|| {
            step("slowest opening", "t slowest", current, (slow, slow_how), "need not open").source(&source)
        });
        Ok(Range::from_bounds(fast, slow))
    }

    /// Least current at which it surely opens within a time; none when its standard promises no such thing.
    #[must_use]
    pub fn opens_within(&self, time: Time) -> Option<Current> {
        self.band.slowest.within(time.si()).map(amperes)
    }

    /// The current it carries for good at an ambient: `In (1 - d (Ta - Tref))`, at most `In`, at least zero.
    ///
    /// `d` is the family's share lost per kelvin, `Tref` its reference ambient.
    #[must_use]
    pub fn rating_at(&self, ambient: Temperature) -> Current {
        let over = ambient.si() - self.family.reference_ambient.si();
        if over <= 0.0 {
            return self.rating;
        }
        // `max` turns a NaN into zero, the safe end.
        self.rating * (1.0 - self.family.derating_per_kelvin * over).max(0.0)
    }

    /// Its resistance from cold to hot, where a source gives it: medium blade fuses of 1 A to 10 A.
    ///
    /// Between table ratings interpolated on double-logarithmic paper; typical values, not limits.
    #[must_use]
    pub fn resistance(&self) -> Option<Range<Resistance>> {
        self.resistance
    }

    /// What it lets through while it opens: `I2 t` at both ends of [`opening_time`](Self::opening_time).
    ///
    /// # Errors
    /// [`Error::Input`] when the current is not above zero.
    pub fn let_through(&self, current: Current) -> Result<Range<LetThrough>, Error> {
        let time = self.opening_time(current)?;
        let i = current.si();
        // A current whose square is beyond any number has no let-through to speak of.
        let at =
            |t: Time| Some(i * i * t.si()).filter(|x| x.is_finite()).map(LetThrough::ampere_squared_seconds);
        Ok(Range::from_bounds(time.low().and_then(at), time.high().and_then(at)))
    }
}

impl std::fmt::Display for Device {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {}", self.family.id, show(self.rating))
    }
}
