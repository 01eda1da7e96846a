//! One joint: its watts, how warm it gets, and how bad that is.

use crate::error::{Error, positive};
use crate::judgement::{Judgement, Severity, Verdict};
use crate::range::Range;
use crate::source::{Citation, Confidence};
use orlop_units::{
    Area, Current, Fraction, Length, Power, Quantity, Resistance, ResistancePerLength, TemperatureRise, ohms,
    show, significant, watts,
};

pub(crate) static JOINT_PRACTICE: Citation = Citation::fixed(
    "joint-limits",
    "trade practice on joints",
    "",
    "",
    "no warmer than its cable: at most the resistance of an equal length; 30 K and 5 W soon, 60 K and 50 W at once",
    Confidence::CommonPractice,
    "recalled; terminals of low-voltage switchgear are allowed 60 K to 70 K",
);
pub(crate) static FIN: Citation = Citation::fixed(
    "joint-fin",
    "heat conduction along a rod that loses heat from its side",
    "",
    "P = dT sqrt(h p k A)",
    "a warm end of a long rod; the cables carry the joint's heat away",
    Confidence::Memory,
    "textbook form recalled; 5 to 15 W/(m2 K) at the side, copper 390 W/(m K)",
);

const COPPER_CONDUCTIVITY: f64 = 390.0;
const SIDE: (f64, f64) = (5.0, 15.0);
/// Milliohms that flag a joint for a look, whatever the current: trade practice.
const FLAG_OHMS: f64 = 1e-3;

/// The cables that leave a joint, all alike.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cable {
    /// Resistance of the cable.
    pub resistance: ResistancePerLength,
    /// Cross-section of its copper.
    pub area: Area,
    /// Over the insulation.
    pub outside_diameter: Length,
    /// How many leave the joint: two where it joins two ends.
    pub count: u32,
}

/// A joint, measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joint {
    /// Its resistance.
    pub resistance: Resistance,
    /// Standard uncertainty of that.
    pub standard: Resistance,
    /// Length of the joint from probe to probe.
    pub length: Length,
    /// The cables at it; none where they are not known.
    pub cable: Option<Cable>,
    /// Rise over the cable, measured at the test current; none where it was not.
    pub measured_rise: Option<TemperatureRise>,
}

/// What a joint does at one current.
#[derive(Clone, Debug, PartialEq)]
pub struct JointHeat {
    /// I²R.
    pub power: Power,
    /// Rise over the air, from the measured one by the square of the current, or from the cables that cool it; none where neither is known.
    pub rise: Option<Range<TemperatureRise>>,
    /// Whether the rise is scaled from a measured one.
    pub rise_measured: bool,
}

impl Joint {
    /// From volts across it at a current, each with its standard uncertainty.
    ///
    /// # Errors
    /// [`Error::Input`] for a current, length or voltage that is not above zero.
    ///
    /// ```
    /// use orlop::{proving::resistance::Joint, units::{amperes, millimetres, show, volts}};
    /// let joint = Joint::measured(volts(0.176), volts(0.001), amperes(62.0), amperes(0.3), millimetres(20.0))?;
    /// assert_eq!(show(joint.resistance), "2.84 mohm");
    /// assert_eq!(show(joint.heat(amperes(62.0), amperes(62.0))?.power), "10.9 W");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn measured(
        across: orlop_units::Voltage,
        across_standard: orlop_units::Voltage,
        current: Current,
        current_standard: Current,
        length: Length,
    ) -> Result<Self, Error> {
        let (u, i) = (positive(across, "volts across the joint")?.si(), positive(current, "current")?.si());
        let relative = (across_standard.si() / u).hypot(current_standard.si() / i);
        if !relative.is_finite() {
            return Err(Error::input("standard uncertainty", relative.to_string(), "finite uncertainties"));
        }
        let length = positive(length, "length of the joint")?;
        let resistance = ohms(u / i);
        Ok(Self { resistance, standard: resistance * relative, length, cable: None, measured_rise: None })
    }

    /// Its heat and rise at a current; `tested_at` is the current of the measured rise.
    ///
    /// # Errors
    /// [`Error::Input`] for a current, or a cable's size, that is not above zero.
    pub fn heat(&self, at: Current, tested_at: Current) -> Result<JointHeat, Error> {
        let (i, tested) = (positive(at, "current")?.si(), positive(tested_at, "test current")?.si());
        let power = i * i * positive(self.resistance, "resistance")?.si();
        if let Some(rise) = self.measured_rise {
            let scaled = TemperatureRise::kelvins(rise.in_kelvins() * (i / tested).powi(2));
            return Ok(JointHeat {
                power: watts(power),
                rise: Some(Range::exactly(scaled)),
                rise_measured: true,
            });
        }
        let rise = match self.cable {
            None => None,
            Some(c) => {
                let area = positive(c.area, "area")?.si();
                let side = std::f64::consts::PI * positive(c.outside_diameter, "outside diameter")?.si();
                if c.count == 0 {
                    return Err(Error::input("cables", "none", "one cable or more at the joint"));
                }
                let by = |h: f64| {
                    let conductance = f64::from(c.count) * (h * side * COPPER_CONDUCTIVITY * area).sqrt();
                    TemperatureRise::kelvins(power / conductance)
                };
                Some(Range::new(by(SIDE.1), by(SIDE.0)))
            }
        };
        Ok(JointHeat { power: watts(power), rise, rise_measured: false })
    }

    /// Its resistance over that of an equal length of its cable; none without a cable.
    #[must_use]
    pub fn ratio(&self) -> Option<f64> {
        let same = self.cable?.resistance.in_ohms_per_metre() * self.length.si();
        (same > 0.0).then(|| self.resistance.si() / same)
    }

    /// How bad it is at the design current: by watts and rise there, and by its ratio to an equal length of cable. Milliohms alone
    /// only flag.
    ///
    /// # Errors
    /// As [`Joint::heat`].
    pub fn judge(&self, subject: &str, design: Current, tested_at: Current) -> Result<Judgement, Error> {
        let heat = self.heat(design, tested_at)?;
        // Where the rise is a range from a model, only its cool end is certain.
        let rise = heat.rise.and_then(Range::low).map_or(0.0, TemperatureRise::in_kelvins);
        let (power, ratio) = (heat.power.si(), self.ratio());
        let severity = if power >= 50.0 || rise >= 60.0 {
            Some(Severity::A)
        } else if power >= 5.0 || rise >= 30.0 {
            Some(Severity::B)
        } else if ratio.is_some_and(|r| r > 1.0) {
            Some(Severity::C)
        } else {
            None
        };
        let milliohms_only = severity.is_none() && self.resistance.si() >= FLAG_OHMS;
        let verdict = if severity.is_some() { Verdict::Fail } else { Verdict::Pass };
        let mut judgement = Judgement::bare("joint-heat", subject, severity.unwrap_or(Severity::C), verdict)
            .clause(JOINT_PRACTICE.short(), JOINT_PRACTICE.confidence);
        judgement.value = Some(heat.power.into());
        judgement.uncertainty = Some((heat.power * (self.standard.si() / self.resistance.si())).into());
        let mut what = format!("{}, {} at {}", show(self.resistance), show(heat.power), show(design));
        if let Some(range) = heat.rise {
            let how = if heat.rise_measured { "scaled from the measured one" } else { "predicted" };
            what += &format!(", rise {range} {how}");
        }
        if let Some(r) = ratio {
            what += &format!(", {} times an equal length of its cable", significant(r, 2));
        }
        if milliohms_only {
            what += "; the milliohms alone are worth a look, the heat is not";
        }
        Ok(judgement
            .what(what)
            .to_do("take it apart, clean and re-make it, then measure again at the same current"))
    }

    /// Relative standard uncertainty of its resistance.
    #[must_use]
    pub fn relative(&self) -> Fraction {
        Fraction::new(self.standard.si() / self.resistance.si())
    }
}
