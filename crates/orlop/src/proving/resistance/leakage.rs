//! Leakage to the hull or bonding system at system voltage, by the resistor method.

use crate::error::{Error, not_negative, positive};
use crate::judgement::{Judgement, Sense, Severity, Verdict};
use crate::source::{Citation, Confidence};
use orlop_units::{Current, Quantity, Resistance, Voltage, amperes, ohms, show};

pub(crate) static RESISTOR_METHOD: Citation = Citation::fixed(
    "leakage-resistor",
    "49 CFR 571.305, electrical isolation",
    "",
    "S7.6",
    "R_i = R_0 (1 + V_2/V_1)(V_1 - V_1')/V_1'",
    Confidence::Memory,
    "recalled, and derived anew; here with the meter's own resistance",
);
/// The least insulation to the hull that class practice accepts.
#[must_use]
pub fn least_insulation() -> Resistance {
    ohms(0.33e6)
}

/// Resistance of a usual meter, where its own is not stated.
#[must_use]
pub fn usual_meter() -> Resistance {
    ohms(1e7)
}

pub(crate) static INSULATION: Citation = Citation::fixed(
    "insulation-small",
    "class practice for circuits below 50 V",
    "",
    "",
    "at least 0.33 Mohm to the hull",
    Confidence::CommonPractice,
    "one society's clause on communication circuits, one excerpt",
);

/// A pole counts as bonded to the hull below this.
const BONDED_OHMS: f64 = 100.0;

/// Three readings with the bank at rest and the circuits under test switched on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeakageReadings {
    /// Volts from positive to negative.
    pub system: Voltage,
    /// Volts from positive to the hull.
    pub positive_to_hull: Voltage,
    /// Volts from the hull to negative.
    pub negative_to_hull: Voltage,
    /// The larger of the two once more, with the resistor across it.
    pub with_resistor: Voltage,
    /// The resistor.
    pub resistor: Resistance,
    /// Resistance of the meter itself; 10 Mohm is usual.
    pub meter: Resistance,
    /// Standard uncertainty of a reading: resolution and noise.
    pub noise: Voltage,
}

/// How well each pole is insulated from the hull.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leakage {
    /// From positive to the hull; none where the readings show no leakage.
    pub positive: Option<Resistance>,
    /// From negative to the hull; none where the readings show no leakage.
    pub negative: Option<Resistance>,
    /// Both side by side, at least (95 %, one-sided).
    pub at_least: Resistance,
    /// Current that flows through the hull now.
    pub current: Current,
    /// Whether negative stands bonded to the hull: then nothing is said about positive until the bond is lifted.
    pub negative_bonded: bool,
    /// Whether positive does.
    pub positive_bonded: bool,
}

impl LeakageReadings {
    /// Solves the three readings.
    ///
    /// With conductances G and the meter G_m in every reading, V_1/V_1' = 1 + G_0/(G_p + G_n + G_m), and G_other/G_this = V_1/V_2.
    ///
    /// # Errors
    /// [`Error::Input`] for a system voltage, resistor or meter that is not above zero, readings that are negative or above the system
    /// voltage, readings of zero on both sides, or a reading with the resistor that is not below the one without, within the noise.
    ///
    /// ```
    /// use orlop::proving::resistance::LeakageReadings;
    /// use orlop::units::{ohms, show, volts};
    /// // 100 kohm from positive, 400 kohm from negative, read with a meter of 10 Mohm.
    /// let readings = LeakageReadings {
    ///     system: volts(25.6),
    ///     positive_to_hull: volts(5.079365),
    ///     negative_to_hull: volts(20.317460),
    ///     with_resistor: volts(11.327434),
    ///     resistor: ohms(1e5),
    ///     meter: ohms(1e7),
    ///     noise: volts(0.001),
    /// };
    /// let leakage = readings.solve()?;
    /// assert_eq!(show(leakage.positive.unwrap()), "100 kohm");
    /// assert_eq!(show(leakage.negative.unwrap()), "400 kohm");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn solve(&self) -> Result<Leakage, Error> {
        let system = positive(self.system, "system voltage")?.si();
        let resistor = 1.0 / positive(self.resistor, "resistor")?.si();
        let meter = 1.0 / positive(self.meter, "meter")?.si();
        let noise = not_negative(self.noise, "noise")?.si();
        let within = |v: Voltage, field: &str| {
            let v = not_negative(v, field)?;
            if v.si() > system + 3.0 * noise {
                return Err(Error::input(
                    field,
                    show(v),
                    format!("at most the system voltage of {}", show(self.system)),
                ));
            }
            Ok(v.si())
        };
        let up = within(self.positive_to_hull, "positive_to_hull")?;
        let down = within(self.negative_to_hull, "negative_to_hull")?;
        let shunted = within(self.with_resistor, "with_resistor")?;
        let larger = up.max(down);
        let pull = larger - shunted;
        if larger <= 3.0 * noise {
            // Nothing reaches the hull that the meter could see: only its own resistance bounds the leakage.
            let most = 1.645 * noise / system * meter;
            let at_least = ohms(1.0 / most.max(f64::MIN_POSITIVE));
            return Ok(Leakage {
                positive: None,
                negative: None,
                at_least,
                current: amperes(0.0),
                negative_bonded: false,
                positive_bonded: false,
            });
        }
        if pull < -3.0 * noise {
            let got = format!(
                "{} with the resistor, {} without",
                show(self.with_resistor),
                show(Voltage::from_si(larger))
            );
            return Err(Error::input(
                "with_resistor",
                got,
                "a reading no higher than the one without the resistor",
            ));
        }
        // One reading with the resistor that is hardly lower means that the hull is held hard: the error of the pull bounds it.
        let pull_error = 2.0_f64.sqrt() * noise;
        let total = resistor * shunted / pull.max(pull_error).max(1e-12 * system);
        let leak = total - meter;
        let smallest_pull = (pull - 1.645 * pull_error).max(1e-12 * system);
        let most = resistor * shunted / smallest_pull - meter;
        let at_least = ohms(1.0 / most.max(1e-15));
        // The larger reading stands over the better insulated side.
        let (mut positive, mut negative) = (None, None);
        if leak > 0.0 {
            let (g_up, g_down) = (leak * down / (up + down), leak * up / (up + down));
            positive = (g_up > 0.0).then(|| ohms(1.0 / g_up));
            negative = (g_down > 0.0).then(|| ohms(1.0 / g_down));
        }
        let through = match (positive, negative) {
            (Some(p), Some(n)) => system / (p.si() + n.si()),
            _ => 0.0,
        };
        let bonded = |r: Option<Resistance>| r.is_some_and(|r| r.si() < BONDED_OHMS);
        Ok(Leakage {
            positive,
            negative,
            at_least,
            current: amperes(through),
            negative_bonded: bonded(negative),
            positive_bonded: bonded(positive),
        })
    }
}

impl Leakage {
    /// Against a least resistance of either pole (0.33 Mohm by class practice).
    ///
    /// Undecided where a pole is bonded to the hull by design: lift the bond for the test.
    ///
    /// # Errors
    /// [`Error::Input`] for a limit that is not above zero.
    pub fn judge(&self, limit: Resistance) -> Result<Judgement, Error> {
        let limit = positive(limit, "limit")?;
        let poles = [self.positive, self.negative];
        let worst = poles
            .into_iter()
            .flatten()
            .min_by(|a, b| orlop_units::total_cmp(*a, *b))
            .unwrap_or(self.at_least);
        let mut j = Judgement::compare("hull-leakage", "hull", Severity::B, worst, Sense::AtLeast, limit)
            .clause(INSULATION.short(), INSULATION.confidence);
        let text =
            |r: Option<Resistance>| r.map_or_else(|| format!("at least {}", show(self.at_least)), show);
        let mut what = format!(
            "positive to hull {}, negative to hull {}, {} through the hull now",
            text(self.positive),
            text(self.negative),
            show(self.current)
        );
        if self.negative_bonded || self.positive_bonded {
            j.verdict = Verdict::Undecided;
            what += if self.negative_bonded {
                "; negative stands bonded to the hull"
            } else {
                "; positive stands bonded to the hull"
            };
        } else if poles.iter().all(Option::is_none) && self.at_least < limit {
            // Nothing was seen, but the readings could not have seen so little.
            j.verdict = Verdict::Undecided;
        }
        Ok(j.what(what).to_do("switch circuits off one by one and read again; where a pole is bonded by design, lift the bond for the test"))
    }
}
