//! How long a conductor survives a short circuit, with no heat leaving it.
//!
//! I^2 t = k^2 A^2, k = 226 sqrt(ln((234.5 + Tf)/(234.5 + Ti))) for copper and 148 sqrt(ln((228 + Tf)/(228 + Ti))) for
//! aluminium, in A s^0.5/mm2. Ti is the temperature before, Tf the one the insulation survives. Valid to 5 s; longer
//! times are computed and marked, and err on the safe side.

use super::{Conductor, Material};
use crate::error::{Error, positive};
use crate::source::{Citation, Confidence};
use crate::tables::thermal::{Insulation, final_temperature};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Current, LetThrough, Quantity, Temperature, Time, seconds, show};

pub(crate) static ADIABATIC: Citation = Citation::fixed(
    "iec60364-5-54-adiabatic-formula",
    "IEC 60364-5-54",
    "",
    "Annex A",
    "I^2 t = k^2 A^2, k = 226 sqrt(ln((234.5 + Tf)/(234.5 + Ti))) copper, 148 and 228 aluminium",
    Confidence::Published,
    "recomputed against a printed table of k",
);

/// Longest time the adiabatic formula is for, s.
const VALID_TO_S: f64 = 5.0;

/// How long a conductor survives a fault current.
#[derive(Clone, Debug, PartialEq)]
pub struct Withstand {
    /// Time until the insulation's final temperature.
    pub time: Time,
    /// That temperature.
    pub final_temperature: Temperature,
    /// Whether the time lies where the formula is valid.
    pub within_five_seconds: bool,
    /// What a reader must know.
    pub flags: Vec<String>,
}

/// k of the adiabatic formula, A s^0.5/mm2; none unless the conductor gets hotter.
///
/// ```
/// use orlop::{conductor::{withstand::adiabatic_k, Material}, units::Temperature};
/// let k = adiabatic_k(Material::Copper, Temperature::celsius(70.0), Temperature::celsius(160.0)).unwrap();
/// assert!((k - 115.0).abs() < 0.5);
/// ```
#[must_use]
pub fn adiabatic_k(material: Material, start: Temperature, end: Temperature) -> Option<f64> {
    let (constant, zero) = match material {
        Material::Copper => (226.0, 234.5),
        Material::Aluminium => (148.0, 228.0),
    };
    let (start, end) = (start.degrees_celsius(), end.degrees_celsius());
    let k = constant * f64::sqrt(f64::ln((zero + end) / (zero + start)));
    (start > -zero && end > start && k.is_finite()).then_some(k)
}

impl Conductor {
    fn insulation_survives(&self) -> &'static Insulation {
        final_temperature(self.insulation().degrees_celsius())
            .expect("the table reaches to the highest rating")
    }

    /// Let-through the conductor survives from a temperature: k^2 A^2.
    ///
    /// # Errors
    /// [`Error::Input`] when `start` is not below the insulation's final temperature.
    pub fn withstand_let_through(&self, start: Temperature) -> Result<LetThrough, Error> {
        self.let_through_recorded(start, &mut Silent)
    }

    fn let_through_recorded(&self, start: Temperature, rec: &mut impl Recorder) -> Result<LetThrough, Error> {
        let insulation = self.insulation_survives();
        let end = Temperature::celsius(insulation.value);
        let k = (start.degrees_celsius() >= -100.0)
            .then(|| adiabatic_k(self.material(), start, end))
            .flatten()
            .ok_or_else(|| {
                Error::input(
                    "start",
                    show(start),
                    format!("a temperature of -100 degC or more and below the {} it survives", show(end)),
                )
            })?;
        rec.step(|| {
            Step::new("temperature the insulation survives", "Tf", end)
                .input("taken as", insulation.assumed)
                .input("rating", self.insulation())
                .source(&insulation.citation)
        });
        rec.step(|| {
            Step::new("adiabatic factor", "k", format!("{k:.1} A s^0.5/mm2"))
                .formula(match self.material() {
                    Material::Copper => "226 sqrt(ln((234.5 + Tf)/(234.5 + Ti)))",
                    Material::Aluminium => "148 sqrt(ln((228 + Tf)/(228 + Ti)))",
                })
                .input("Tf", end)
                .input("Ti", start)
                .source(&ADIABATIC)
        });
        let survives = LetThrough::ampere_squared_seconds((k * self.area().si() * 1e6).powi(2));
        rec.step(|| {
            Step::new("let-through survived", "I2t", survives).formula("k^2 A^2").input("A", self.area())
        });
        Ok(survives)
    }

    /// Time this conductor survives a fault current: t = (k A / I)^2.
    ///
    /// `start` is its temperature before the fault. See the [module](self) for k and validity. The insulation is known
    /// by its rating only; what it is taken for is flagged.
    ///
    /// # Errors
    /// [`Error::Input`] for a current that is not above zero, or a start that is not below the final temperature.
    ///
    /// ```
    /// use orlop::conductor::{Conductor, Material};
    /// use orlop::units::{amperes, ConductorSize, Temperature};
    /// let wire = Conductor::new(ConductorSize::Metric(1600), Temperature::celsius(105.0), Material::Copper, true)?;
    /// let answer = wire.withstand_time(amperes(4000.0), Temperature::celsius(105.0))?;
    /// assert!(answer.within_five_seconds && answer.final_temperature.degrees_celsius() == 160.0);
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn withstand_time(&self, fault: Current, start: Temperature) -> Result<Withstand, Error> {
        self.withstand_time_recorded(fault, start, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Conductor::withstand_time`].
    pub fn withstand_time_recorded(
        &self,
        fault: Current,
        start: Temperature,
        rec: &mut impl Recorder,
    ) -> Result<Withstand, Error> {
        let fault = positive(fault, "fault")?;
        let survives = self.let_through_recorded(start, rec)?;
        let time = seconds(survives.si() / fault.si().powi(2));
        let within = crate::meets(time.si(), crate::Sense::AtMost, VALID_TO_S);
        rec.step(|| {
            Step::new("time survived", "t", time)
                .formula("k^2 A^2 / I^2")
                .input("I", fault)
                .input("k^2 A^2", survives)
                .source(&ADIABATIC)
        });
        let insulation = self.insulation_survives();
        let end = Temperature::celsius(insulation.value);
        let mut flags = Vec::new();
        if self.insulation().degrees_celsius() > 85.0 {
            flags.push(format!(
                "insulation material not stated: {} rated {} taken to survive {}",
                insulation.assumed,
                show(self.insulation()),
                show(end)
            ));
        }
        if !within {
            flags.push(
                "longer than 5 s: heat leaves the conductor and the formula is not meant for it".into(),
            );
        }
        Ok(Withstand { time, final_temperature: end, within_five_seconds: within, flags })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use orlop_units::{ConductorSize, amperes};

    fn wire(size: ConductorSize, insulation: f64) -> Conductor {
        Conductor::new(size, Temperature::celsius(insulation), Material::Copper, true).unwrap()
    }

    // k 105 to 160 degC is 87.6 by the formula of IEC 60364-5-54.
    #[test]
    fn unknown_105_degree_insulation_survives_160_and_says_so() {
        let start = Temperature::celsius(105.0);
        let answer = wire(ConductorSize::Metric(1600), 105.0).withstand_time(amperes(4000.0), start).unwrap();
        assert_relative_eq!(answer.time.si(), (87.6_f64 * 16.0 / 4000.0).powi(2), max_relative = 2e-3);
        assert!(answer.flags[0].contains("160 degC"), "{:?}", answer.flags);
        assert!(answer.within_five_seconds);
        let slow = wire(ConductorSize::Metric(1600), 105.0).withstand_time(amperes(300.0), start).unwrap();
        assert!(!slow.within_five_seconds && slow.flags.len() == 2);
    }

    #[test]
    fn bad_input_has_no_answer() {
        let wire = wire(ConductorSize::Metric(1600), 105.0);
        let start = Temperature::celsius(60.0);
        for fault in [0.0, -5.0, f64::NAN] {
            assert!(wire.withstand_time(amperes(fault), start).is_err());
        }
        for start in [160.0, 500.0, -300.0, f64::NAN] {
            assert!(wire.withstand_let_through(Temperature::celsius(start)).is_err());
        }
    }
}
