//! Both insulation resistances from three raw voltages, each pole read with a known resistor across it.

use super::leakage::INSULATION;
use crate::error::{Error, not_negative, positive};
use crate::judgement::{Judgement, Sense, Severity, Verdict};
use crate::proving::uncertainty::HALF_WIDTH;
use crate::range::Range;
use crate::source::{Citation, Confidence};
use orlop_units::{Fraction, Quantity, Resistance, Voltage, ohms, show};

pub(crate) static RATIO_INTERVAL: Citation = Citation::fixed(
    "ratio-interval",
    "Fieller, Some problems in interval estimation, J. R. Stat. Soc. B 16 (1954)",
    "",
    "pp. 175-185",
    "interval of a ratio of two normal quantities, open where the lower one may be zero",
    Confidence::Memory,
    "textbook form recalled and derived anew",
);

/// A pole counts as bonded to the hull when its insulation is surely below this.
const BONDED_OHMS: f64 = 100.0;

/// Three voltages with the bank at rest and the circuits under test switched on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThreeVoltages {
    /// Volts from positive to negative.
    pub system: Voltage,
    /// Volts from positive to the hull, with the resistor between these two.
    pub positive_to_hull: Voltage,
    /// Volts from the hull to negative, with the resistor between these two.
    pub negative_to_hull: Voltage,
    /// The resistor.
    pub resistor: Resistance,
    /// Half-width of its tolerance: `1 %` for a resistor of that class.
    pub tolerance: Fraction,
    /// Resistance of the meter itself; 10 Mohm is usual.
    pub meter: Resistance,
    /// Standard uncertainty of a reading: resolution and noise.
    pub noise: Voltage,
}

/// Insulation of each pole from the hull, with its 95 % interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Insulation {
    /// From positive to the hull. No upper end where the readings show no leak.
    pub positive: Range<Resistance>,
    /// From negative to the hull. No upper end where the readings show no leak.
    pub negative: Range<Resistance>,
    /// The likeliest value from positive to the hull; none where no leak was seen.
    pub likely_positive: Option<Resistance>,
    /// The likeliest value from negative to the hull; none where no leak was seen.
    pub likely_negative: Option<Resistance>,
}

impl ThreeVoltages {
    /// Both insulation resistances.
    ///
    /// With x and z the shares of the system voltage that are read from positive and from negative to the hull, and R the resistor
    /// beside the meter: `R_negative = R (1 - x - z)/x`, `R_positive = R (1 - x - z)/z`. Intervals are those of a ratio (Fieller), so that
    /// a reading of nothing gives a lower bound only.
    ///
    /// # Errors
    /// [`Error::Input`] for a system voltage, resistor, meter or noise that is not above zero, a tolerance outside 0 to 1, and voltages
    /// that are negative or together exceed that of the system beyond their noise.
    ///
    /// ```
    /// use orlop::proving::resistance::ThreeVoltages;
    /// use orlop::units::{Fraction, ohms, show, volts};
    /// // 100 kohm from positive and 400 kohm from negative, read with 100 kohm and a meter of 10 Mohm.
    /// let readings = ThreeVoltages {
    ///     system: volts(25.6),
    ///     positive_to_hull: volts(2.832),
    ///     negative_to_hull: volts(11.327),
    ///     resistor: ohms(1e5),
    ///     tolerance: Fraction::new(0.0),
    ///     meter: ohms(1e7),
    ///     noise: volts(0.001),
    /// };
    /// let insulation = readings.solve()?;
    /// assert_eq!(show(insulation.likely_positive.unwrap()), "100 kohm");
    /// assert_eq!(show(insulation.likely_negative.unwrap()), "400 kohm");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn solve(&self) -> Result<Insulation, Error> {
        let system = positive(self.system, "system voltage")?.si();
        let across =
            1.0 / positive(self.resistor, "resistor")?.si() + 1.0 / positive(self.meter, "meter")?.si();
        let noise = positive(self.noise, "noise")?.si();
        let tolerance = not_negative(self.tolerance, "tolerance")?.value();
        if tolerance >= 1.0 {
            return Err(Error::input("tolerance", show(self.tolerance), "less than 100 %, such as 1 %"));
        }
        let share = |v: Voltage, field: &str| {
            if !v.si().is_finite() || v.si() < -3.0 * noise {
                return Err(Error::input(field, show(v), "zero or more: swap the probes where it is below"));
            }
            Ok(v.si().max(0.0) / system)
        };
        let x = share(self.positive_to_hull, "positive_to_hull")?;
        let z = share(self.negative_to_hull, "negative_to_hull")?;
        let rest = 1.0 - x - z;
        let relative = noise / system;
        let own = |s: f64| relative * relative * (1.0 + s * s);
        let shared = relative * relative * x * z;
        let rest_variance = own(x) + own(z) + 2.0 * shared;
        if rest < -3.0 * rest_variance.sqrt() {
            let together = Voltage::from_si((x + z) * system);
            let got = format!("{} from the poles to the hull together", show(together));
            let most = format!("at most the system voltage of {}", show(self.system));
            return Err(Error::input("positive_to_hull, negative_to_hull", got, most));
        }
        let from = |s: f64| {
            let (low, high) = ratio((rest, rest_variance), (s, own(s)), -(own(s) + shared));
            let low = ohms(low * (1.0 - tolerance) / across);
            let likely = high.is_finite().then(|| ohms(rest.max(0.0) / s / across));
            (Range::from_bounds(Some(low), likely.map(|_| ohms(high * (1.0 + tolerance) / across))), likely)
        };
        let ((negative, likely_negative), (positive, likely_positive)) = (from(x), from(z));
        Ok(Insulation { positive, negative, likely_positive, likely_negative })
    }
}

/// Interval of a/b, neither below zero, from their variances and covariance; the upper end is infinite where b may be zero.
fn ratio((a, var_a): (f64, f64), (b, var_b): (f64, f64), cov: f64) -> (f64, f64) {
    let h = HALF_WIDTH * HALF_WIDTH;
    // (a - r b)^2 <= h (var_a - 2 r cov + r^2 var_b), a quadratic in r.
    let (p, q, c) = (b * b - h * var_b, a * b - h * cov, a * a - h * var_a);
    let root = (q * q - p * c).max(0.0).sqrt();
    let low = if q + root > 0.0 { (c / (q + root)).max(0.0) } else { 0.0 };
    let high = if p > 0.0 { (q + root) / p } else { f64::INFINITY };
    (low, high.max(0.0))
}

impl Insulation {
    /// Whether positive is surely bonded to the hull, or as good as.
    #[must_use]
    pub fn positive_bonded(&self) -> bool {
        self.positive.high().is_some_and(|r| r.si() < BONDED_OHMS)
    }

    /// Whether negative is.
    #[must_use]
    pub fn negative_bonded(&self) -> bool {
        self.negative.high().is_some_and(|r| r.si() < BONDED_OHMS)
    }

    /// The worse pole against a least resistance (0.33 Mohm by class practice).
    ///
    /// Undecided where the limit lies within its interval, and where a pole is bonded to the hull by design: lift the bond for the test.
    ///
    /// # Errors
    /// [`Error::Input`] for a limit that is not above zero.
    pub fn judge(&self, limit: Resistance) -> Result<Judgement, Error> {
        let limit = positive(limit, "limit")?;
        let low = |r: Range<Resistance>| r.low().map_or(0.0, Quantity::si);
        let (worse, likely) = if low(self.positive) <= low(self.negative) {
            (self.positive, self.likely_positive)
        } else {
            (self.negative, self.likely_negative)
        };
        let value = likely.unwrap_or_else(|| ohms(low(worse)));
        let mut j = Judgement::compare("hull-leakage", "hull", Severity::B, value, Sense::AtLeast, limit)
            .clause(INSULATION.short(), INSULATION.confidence);
        if let (Some(_), Some(high)) = (likely, worse.high()) {
            let wider = (high.si() - value.si()).max(value.si() - low(worse));
            j.uncertainty = Some(ohms(wider / HALF_WIDTH).into());
        }
        let surely = worse.low().is_some_and(|r| r >= limit);
        let never = worse.high().is_some_and(|r| r < limit);
        let text = |range: Range<Resistance>, likely: Option<Resistance>| match (
            likely,
            range.low(),
            range.high(),
        ) {
            (Some(r), Some(low), Some(high)) => format!("{} ({} to {})", show(r), show(low), show(high)),
            (_, low, _) => format!("at least {}", show(low.unwrap_or_else(|| ohms(0.0)))),
        };
        let mut what = format!(
            "positive to hull {}, negative to hull {}",
            text(self.positive, self.likely_positive),
            text(self.negative, self.likely_negative)
        );
        j.verdict = match (surely, never) {
            (true, _) => Verdict::Pass,
            (_, true) => Verdict::Fail,
            _ => Verdict::Undecided,
        };
        if self.negative_bonded() || self.positive_bonded() {
            j.verdict = Verdict::Undecided;
            let pole = if self.negative_bonded() { "negative" } else { "positive" };
            what += &format!("; {pole} stands bonded to the hull");
        }
        Ok(j.what(what).to_do("switch circuits off one by one and read again; where a pole is bonded by design, lift the bond for the test"))
    }
}
