//! Loss and temperature of the switch: semiconductors or a contact.
//!
//! P = I^2 R(T), R(T) = R25 (1 + alpha (T - 25)), T = Ta + P Rth: a straight line in T, solved at once. When I^2 R25 alpha Rth
//! reaches 1 the temperature has no end.

use crate::error::{Error, not_negative, positive};
use crate::judgement::{Judgement, Sense, Severity};
use crate::source::Confidence;
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Current, Power, Quantity, Resistance, Temperature, TemperatureRise, amperes, show};

/// A switch that warms with its current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Switch {
    at_25: Resistance,
    per_kelvin: f64,
    /// K/W.
    thermal: f64,
}

/// A switch under a lasting current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Warm {
    /// Its loss.
    pub loss: Power,
    /// Its temperature.
    pub temperature: Temperature,
}

impl Switch {
    /// A switch by its resistance at 25 degC (all paths of both directions), the growth of that resistance per kelvin (silicon
    /// field-effect transistors 0.004 to 0.007, contacts of copper or silver 0.004: from memory), and the rise that a power gives.
    ///
    /// # Errors
    /// [`Error::Input`] for a resistance, rise or power not above zero, or a growth that is negative or above 0.02.
    pub fn new(
        at_25: Resistance,
        growth_per_kelvin: f64,
        rise: TemperatureRise,
        at_power: Power,
    ) -> Result<Self, Error> {
        let at_25 = positive(at_25, "resistance")?;
        let thermal = positive(rise, "rise")?.in_kelvins() / positive(at_power, "at_power")?.si();
        if !(0.0..=0.02).contains(&growth_per_kelvin) {
            return Err(Error::input("growth_per_kelvin", growth_per_kelvin.to_string(), "0 to 0.02"));
        }
        Ok(Self { at_25, per_kelvin: growth_per_kelvin, thermal })
    }

    /// Its resistance at 25 degC.
    #[must_use]
    pub fn resistance(&self) -> Resistance {
        self.at_25
    }

    /// Loss and temperature under a lasting current.
    ///
    /// # Errors
    /// [`Error::Input`] for a negative current or no temperature; [`Error::NoSolution`] when it runs away.
    pub fn under(&self, current: Current, ambient: Temperature) -> Result<Warm, Error> {
        self.under_recorded(current, ambient, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Switch::under`].
    pub fn under_recorded(
        &self,
        current: Current,
        ambient: Temperature,
        rec: &mut impl Recorder,
    ) -> Result<Warm, Error> {
        let i = not_negative(current, "current")?.si();
        let air = ambient.degrees_celsius();
        if !air.is_finite() {
            return Err(Error::input("ambient", air.to_string(), "a temperature"));
        }
        let heat = i * i * self.at_25.si() * self.thermal;
        let feedback = heat * self.per_kelvin;
        if feedback >= 1.0 {
            let most = i / feedback.sqrt();
            return Err(Error::NoSolution {
                what: format!("the switch runs away at {}", show(current)),
                hint: format!("stay well below {}, or cool it better", show(amperes(most))),
            });
        }
        let rise = heat * (1.0 + self.per_kelvin * (air - 25.0)) / (1.0 - feedback);
        let warm = Warm {
            loss: Power::from_si(rise / self.thermal),
            temperature: ambient.plus(TemperatureRise::kelvins(rise)),
        };
        rec.step(|| {
            Step::new("temperature of the switch", "T", warm.temperature)
                .formula("Ta + P Rth, P = I^2 R25 (1 + alpha (T - 25 degC))")
                .input("I", current)
                .input("R25", self.at_25)
                .input("alpha in 1/K", self.per_kelvin)
                .input("Rth in K/W", self.thermal)
                .input("Ta", ambient)
        });
        rec.step(|| Step::new("loss of the switch", "P", warm.loss).formula("(T - Ta)/Rth"));
        Ok(warm)
    }

    /// The current that warms it to a limit: the derating for its place.
    ///
    /// # Errors
    /// [`Error::Input`] for no temperature or an ambient that is not below the limit.
    pub fn current_at(&self, limit: Temperature, ambient: Temperature) -> Result<Current, Error> {
        let room = positive(limit.minus(ambient), "limit over ambient")?.in_kelvins();
        let warm = self.at_25.si() * (1.0 + self.per_kelvin * (limit.degrees_celsius() - 25.0));
        if warm <= 0.0 {
            return Err(Error::input("limit", show(limit), "a temperature at which the switch works"));
        }
        Ok(amperes((room / self.thermal / warm).sqrt()))
    }

    /// Whether it stays below its limit: rule `switch-temperature`.
    ///
    /// # Errors
    /// As [`Switch::under`]; a switch that runs away fails instead.
    pub fn judge(
        &self,
        current: Current,
        ambient: Temperature,
        limit: Temperature,
    ) -> Result<Judgement, Error> {
        let practice = "heat balance with the maker's thermal resistance";
        let judged = |j: Judgement| j.clause(practice, Confidence::Published);
        match self.under(current, ambient) {
            Ok(warm) => Ok(judged(
                Judgement::compare(
                    "switch-temperature",
                    "bank.switch",
                    Severity::B,
                    warm.temperature,
                    Sense::AtMost,
                    limit,
                )
                .what(format!("{} at {} warm it to {}", show(current), show(ambient), show(warm.temperature)))
                .to_do(format!(
                    "keep below {} there, move it to a cooler place, or choose a larger one",
                    self.current_at(limit, ambient).map_or("any current".to_string(), show)
                )),
            )),
            Err(Error::NoSolution { what, hint }) => Ok(judged(
                Judgement::bare(
                    "switch-temperature",
                    "bank.switch",
                    Severity::B,
                    crate::judgement::Verdict::Fail,
                )
                .what(what)
                .to_do(hint),
            )),
            Err(other) => Err(other),
        }
    }
}
