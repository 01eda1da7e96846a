//! A bank for so much energy a day and so many days.

use super::rate::RateFactor;
use crate::error::{Error, positive};
use crate::range::Range;
use crate::source::{Citation, Confidence};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Charge, Current, Energy, Fraction, Number, Quantity, Voltage, coulombs};

pub(crate) static SIMPLE_FORM: Citation = Citation::fixed(
    "bank-for-days",
    "off-grid sizing practice",
    "",
    "",
    "C = E_day days k_T (1 + margin)/(U depth left efficiency), then for the rate",
    Confidence::CommonPractice,
    "several pages; 80 percent left at the end of life is that of IEEE 485",
);

/// What a bank is asked for: energy each day, for some days without charging.
#[derive(Clone, Debug, PartialEq)]
pub struct BankNeed {
    energy: Energy,
    days: f64,
    nominal: Voltage,
    depth: Fraction,
    left: Fraction,
    efficiency: Fraction,
    margin: Fraction,
    temperature: Range<Number>,
    rate: Option<(RateFactor, Current)>,
}

/// How large it has to be.
#[derive(Clone, Debug, PartialEq)]
pub struct BankSize {
    /// Charge that is drawn in all the days.
    pub drawn: Charge,
    /// Rated capacity when new: by the mildest and by the strictest of the factors.
    pub capacity: Range<Charge>,
    /// The strictest at nominal voltage.
    pub energy: Energy,
}

fn share(value: Fraction, field: &str) -> Result<Fraction, Error> {
    if value.value() > 0.0 && value.value() <= 1.0 {
        return Ok(value);
    }
    Err(Error::input(field, orlop_units::show(value), "above 0 % and at most 100 %"))
}

impl BankNeed {
    /// Energy a day at the loads, days, nominal voltage, and the share of the capacity that may be drawn. A bank counts as worn out at 80 % of its
    /// capacity; nothing is lost on the way, no margin, no cold, no haste.
    ///
    /// # Errors
    /// [`Error::Input`] for an energy, voltage or number of days not above zero, or a depth outside 0 to 100 %.
    pub fn new(energy_a_day: Energy, days: f64, nominal: Voltage, depth: Fraction) -> Result<Self, Error> {
        positive(Number::of(days), "days")?;
        Ok(Self {
            energy: positive(energy_a_day, "energy_a_day")?,
            days,
            nominal: positive(nominal, "nominal")?,
            depth: share(depth, "depth")?,
            left: Fraction::new(0.8),
            efficiency: Fraction::new(1.0),
            margin: Fraction::new(0.0),
            temperature: Range::exactly(Number::of(1.0)),
            rate: None,
        })
    }

    /// The same with the share of its capacity that a worn-out bank still has.
    ///
    /// # Errors
    /// [`Error::Input`] outside 0 to 100 %.
    pub fn with_left(self, left: Fraction) -> Result<Self, Error> {
        Ok(Self { left: share(left, "left")?, ..self })
    }
    /// The same with what arrives at the loads of what leaves the bank.
    ///
    /// # Errors
    /// [`Error::Input`] outside 0 to 100 %.
    pub fn with_efficiency(self, efficiency: Fraction) -> Result<Self, Error> {
        Ok(Self { efficiency: share(efficiency, "efficiency")?, ..self })
    }
    /// The same with a margin for what was not thought of.
    ///
    /// # Errors
    /// [`Error::Input`] for a negative margin or one above 100 %.
    pub fn with_margin(self, margin: Fraction) -> Result<Self, Error> {
        if !(0.0..=1.0).contains(&margin.value()) {
            return Err(Error::input("margin", orlop_units::show(margin), "0 % to 100 %"));
        }
        Ok(Self { margin, ..self })
    }
    /// The same with the multiplier of [`temperature_factor`](super::temperature_factor), or one from a sheet.
    ///
    /// # Errors
    /// [`Error::Input`] for a bound that is missing or not above zero.
    pub fn with_temperature(self, factor: Range<Number>) -> Result<Self, Error> {
        for end in [factor.low(), factor.high()] {
            let Some(end) = end else {
                return Err(Error::input("temperature_factor", factor.to_string(), "both bounds"));
            };
            positive(end, "temperature_factor")?;
        }
        Ok(Self { temperature: factor, ..self })
    }
    /// The same with the current at which it is drawn: a bank gives less in haste.
    ///
    /// # Errors
    /// [`Error::Input`] for a current not above zero.
    pub fn with_rate(self, factor: RateFactor, current: Current) -> Result<Self, Error> {
        Ok(Self { rate: Some((factor, positive(current, "current")?)), ..self })
    }

    /// How large the bank has to be.
    ///
    /// `Q = E days/(U efficiency)`; `Q_needed = Q k_T (1 + margin)/(depth left)`; the rated capacity is that which gives `Q_needed` at the
    /// current, `Q_needed` itself where none is stated.
    ///
    /// # Errors
    /// As [`RateFactor::capacity`].
    ///
    /// ```
    /// use orlop::energy::BankNeed;
    /// use orlop::units::{Fraction, parse, show, volts};
    /// // 4.48 kWh a day for two days from 25.6 V, 80 % of it, until 80 % of it is left.
    /// let need = BankNeed::new(parse("4.48 kWh", "energy")?, 2.0, volts(25.6), Fraction::new(0.8))?;
    /// assert_eq!(show(need.size()?.drawn), "350 Ah");
    /// assert_eq!(need.size()?.capacity.to_string(), "547 Ah");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn size(&self) -> Result<BankSize, Error> {
        self.size_recorded(&mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`BankNeed::size`].
    pub fn size_recorded(&self, rec: &mut impl Recorder) -> Result<BankSize, Error> {
        let drawn = coulombs(self.energy.si() * self.days / (self.nominal.si() * self.efficiency.value()));
        rec.step(|| {
            Step::new("charge drawn in all the days", "Q", drawn)
                .formula("E_day days/(U efficiency)")
                .input("E_day", self.energy)
                .input("days", self.days)
                .input("U", self.nominal)
                .input("efficiency", self.efficiency)
        });
        let shares = (1.0 + self.margin.value()) / (self.depth.value() * self.left.value());
        let needed = |k: Option<Number>| drawn * (k.map_or(1.0, Number::get) * shares);
        let both = [needed(self.temperature.low()), needed(self.temperature.high())];
        rec.step(|| {
            Step::new(
                "with depth, age, margin and cold",
                "Q_needed",
                Range::new(both[0], both[1]).to_string(),
            )
            .formula("Q k_T (1 + margin)/(depth left)")
            .input("k_T", self.temperature.to_string())
            .input("margin", self.margin)
            .input("depth", self.depth)
            .input("left", self.left)
            .source(&SIMPLE_FORM)
        });
        let rated = |q: Charge| match &self.rate {
            Some((factor, current)) => factor.capacity(q, *current),
            None => Ok(q),
        };
        let capacity = Range::new(rated(both[0])?, rated(both[1])?);
        if let Some((factor, current)) = &self.rate {
            rec.step(|| {
                let step =
                    Step::new("rated capacity that gives it at the current", "C", capacity.to_string())
                        .formula("I K(Q_needed/I)")
                        .input("I", *current);
                match factor.exponent() {
                    Some(k) => step.input("k", k).source(&crate::cell::PEUKERT),
                    None => step,
                }
            });
        }
        let most = capacity.high().unwrap_or(both[1]);
        Ok(BankSize { drawn, capacity, energy: Energy::from_si(most.si() * self.nominal.si()) })
    }
}
