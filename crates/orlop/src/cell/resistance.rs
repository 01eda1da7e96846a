//! The resistance of a cell by method, charge and temperature, and what stands in for values nobody gave.
//!
//! R = R25 f(charge) exp(Ea/R (1/T - 1/298.15 K)), R25 the cell's own value at 25 degC and half charge, T in kelvin. Ea is a
//! range over the sources of the chemistry. f is 1 at 1 kHz; for ten seconds it comes from measured tables of LFP cells, and
//! for other chemistries it widens from 1 at half charge to the recalled 1.5 at both ends.

use super::open_circuit::charge_text;
use super::{Cell, Chemistry, ChemistryId, StateOfCharge};
use crate::choice::choice;
use crate::error::Error;
use crate::range::Range;
use crate::source::{Citation, Confidence};
use crate::tables::file;
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Quantity, Resistance, Temperature, ohms, show, significant};
use std::sync::LazyLock;

pub(crate) static ARRHENIUS: Citation = Citation::fixed(
    "cell-resistance-temperature",
    "law of Arrhenius on the resistance of cells",
    "",
    "R = R25 exp(Ea/R (1/T - 1/298.15 K))",
    "resistance of a cell by temperature; activation energies as a range by chemistry",
    Confidence::Published,
    "activation energies of LFP computed from two published tables, those of other chemistries recalled",
);

/// Gas constant, J/(mol K).
pub(super) const GAS_CONSTANT: f64 = 8.314_462_618;
/// Reference temperature of resistances, K.
const REFERENCE_K: f64 = 298.15;
/// The least that a 1 kHz resistance may be of its data-sheet maximum: common practice.
const SHARE_OF_MAXIMUM: f64 = 0.6;
/// Ten-second resistance at both ends of the charge over that at half charge, where no table is at hand: recalled.
const AT_THE_ENDS: f64 = 1.5;

choice! {
    /// How a resistance is measured.
    Method {
        /// Alternating current of 1 kHz.
        OneKilohertz = "1khz",
        /// Voltage drop after ten seconds of direct current.
        TenSeconds = "10s",
    }
}

/// Bounds of the resistance of a cell.
#[derive(Clone, Debug, PartialEq)]
pub struct CellResistance {
    /// Both bounds, always known.
    pub value: Range<Resistance>,
    low: Resistance,
    high: Resistance,
    /// What was assumed.
    pub flags: Vec<String>,
}

impl CellResistance {
    /// The lower bound.
    #[must_use]
    pub fn low(&self) -> Resistance {
        self.low
    }
    /// The upper bound.
    #[must_use]
    pub fn high(&self) -> Resistance {
        self.high
    }
}

impl Cell {
    /// Resistance by method, charge and temperature; a missing value takes the worst end of what the chemistry permits.
    ///
    /// See the [module](self) for the formula.
    ///
    /// # Errors
    /// [`Error::OutOfTable`] for a temperature at which the chemistry does not work; [`Error::Input`] for a state of
    /// charge outside 0 to 100 %.
    ///
    /// ```
    /// use orlop::{Range, cell::{Cell, ChemistryId, Method, StateOfCharge}, units::{ampere_hours, ohms, Temperature}};
    /// let cell = Cell::new(ChemistryId::Lfp, ampere_hours(230.0))?
    ///     .with_resistance_1khz(Range::exactly(ohms(0.18e-3)))?;
    /// let half = StateOfCharge::new(0.5)?;
    /// let measured = cell.resistance(Method::OneKilohertz, half, Temperature::celsius(25.0))?;
    /// assert_eq!(measured.value.to_string(), "180 uohm");
    /// let slow = cell.resistance(Method::TenSeconds, half, Temperature::celsius(25.0))?;
    /// assert_eq!(slow.value.to_string(), "225 uohm to 648 uohm");
    /// assert!(slow.flags[0].contains("1.25 to 3.6 times"));
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn resistance(
        &self,
        method: Method,
        charge: StateOfCharge,
        temperature: Temperature,
    ) -> Result<CellResistance, Error> {
        self.resistance_recorded(method, charge, temperature, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Cell::resistance`].
    pub fn resistance_recorded(
        &self,
        method: Method,
        charge: StateOfCharge,
        temperature: Temperature,
        rec: &mut impl Recorder,
    ) -> Result<CellResistance, Error> {
        let soc = charge.checked("state of charge")?.share();
        let celsius = self.chemistry().at_work(temperature)?;
        let mut flags = Vec::new();
        let base = self.base(method, &mut flags, rec);
        let by_charge = by_charge(self.chemistry(), method, soc, celsius, &mut flags);
        let by_temperature = by_temperature(self.chemistry(), celsius);
        rec.step(|| {
            Step::new("factor of the charge", "f", two(by_charge))
                .input("charge", charge_text(charge))
                .formula(match (method, self.chemistry().id) {
                    (Method::OneKilohertz, _) => "1 at 1 kHz",
                    (_, ChemistryId::Lfp) => "R(charge, T)/R(half charge, T) over three measured tables",
                    _ => "from 1 at half charge to 1.5 at both ends, recalled",
                })
        });
        rec.step(|| {
            Step::new("factor of the temperature", "k", two(by_temperature))
                .formula("exp(Ea/R (1/T - 1/298.15 K)), both ends of Ea in kJ/mol")
                .input("Ea", self.chemistry().activation_energy.value.to_string())
                .input("T", temperature)
                .source(&ARRHENIUS)
        });
        let low = ohms(base.0 * by_charge.0 * by_temperature.0);
        let high = ohms(base.1 * by_charge.1 * by_temperature.1);
        let value = Range::new(low, high);
        rec.step(|| {
            Step::new("resistance of the cell", "R", value.to_string())
                .formula("R25 f k")
                .input("method", method.word())
        });
        Ok(CellResistance { value, low, high, flags })
    }

    /// Both bounds at 25 degC and half charge, ohm.
    fn base(&self, method: Method, flags: &mut Vec<String>, rec: &mut impl Recorder) -> (f64, f64) {
        let chemistry = self.chemistry();
        let ratio = &chemistry.ten_seconds_over_1khz;
        let (own, other) = match method {
            Method::OneKilohertz => (self.resistance_1khz(), self.resistance_dc()),
            Method::TenSeconds => (self.resistance_dc(), self.resistance_1khz()),
        };
        let (bounds, step) = if let Some(own) = own {
            let step = Step::new("resistance as given, at 25 degC and half charge", "R25", own.to_string());
            (fill(own, flags), step)
        } else if let Some(other) = other {
            let (low, high) = fill(other, flags);
            let (least, most) = (ratio.low().get(), ratio.high().get());
            let bounds = match method {
                Method::TenSeconds => (low * least, high * most),
                Method::OneKilohertz => (low / most, high / least),
            };
            flags.push(format!(
                "no {} resistance was given: the ten-second one is taken for {least} to {most} times that at 1 kHz ({})",
                method.word(),
                ratio.citation.confidence.word()
            ));
            let step = Step::new(
                format!("{} resistance from the other one", method.word()),
                "R25",
                two_ohms(bounds),
            )
            .formula("the ten-second resistance is r times that at 1 kHz")
            .input("r", ratio.value.to_string())
            .source(&ratio.citation);
            (bounds, step)
        } else {
            let product = &chemistry.resistance_capacity;
            let hours = self.capacity().si() / 3600.0;
            let maximum = |mohm_ah: f64| mohm_ah * 1e-3 / hours;
            let (low, high) =
                (SHARE_OF_MAXIMUM * maximum(product.low().get()), maximum(product.high().get()));
            let bounds = match method {
                Method::OneKilohertz => (low, high),
                Method::TenSeconds => (low * ratio.low().get(), high * ratio.high().get()),
            };
            flags.push(format!(
                "no resistance was given: {} mOhm Ah over the capacity are taken for the maximum at 1 kHz ({})",
                product.value,
                product.citation.confidence.word()
            ));
            let step = Step::new("resistance from the capacity", "R25", two_ohms(bounds))
                .formula("product of maximum 1 kHz resistance and capacity, over the capacity")
                .input("R Q in mOhm Ah", product.value.to_string())
                .input("Q", self.capacity())
                .source(&product.citation);
            (bounds, step)
        };
        rec.step(|| step);
        bounds
    }
}

/// A bound that is missing: a data-sheet maximum is scaled down, a minimum up.
fn fill(given: Range<Resistance>, flags: &mut Vec<String>) -> (f64, f64) {
    match (given.low(), given.high()) {
        (Some(low), Some(high)) => (low.si(), high.si()),
        (None, Some(high)) => {
            flags.push(format!(
                "{} is a maximum: a cell may have as little as {SHARE_OF_MAXIMUM} of it (common practice); measure it",
                show(high)
            ));
            (SHARE_OF_MAXIMUM * high.si(), high.si())
        }
        (low, None) => {
            let low = low.map_or(0.0, Quantity::si);
            flags.push(format!(
                "only a minimum was given: the maximum is taken for 1/{SHARE_OF_MAXIMUM} of it (common practice)"
            ));
            (low, low / SHARE_OF_MAXIMUM)
        }
    }
}

fn by_temperature(chemistry: &Chemistry, celsius: f64) -> (f64, f64) {
    let at = |kilojoule: f64| {
        (1e3 * kilojoule / GAS_CONSTANT * (1.0 / (celsius + 273.15) - 1.0 / REFERENCE_K)).exp()
    };
    ordered(at(chemistry.activation_energy.low().get()), at(chemistry.activation_energy.high().get()))
}

fn by_charge(
    chemistry: &Chemistry,
    method: Method,
    soc: f64,
    celsius: f64,
    flags: &mut Vec<String>,
) -> (f64, f64) {
    if method == Method::OneKilohertz {
        return (1.0, 1.0);
    }
    if chemistry.id != ChemistryId::Lfp {
        return (1.0, 1.0 + (AT_THE_ENDS - 1.0) * (2.0 * soc - 1.0).abs());
    }
    if celsius < 10.0 {
        flags.push("the effect of charge was measured down to 10 degC; that of 10 degC is taken".into());
    }
    let ratios = LFP_PROFILES.iter().map(|grid| grid.at(soc, celsius) / grid.at(0.5, celsius));
    ratios.fold((f64::INFINITY, 0.0), |(low, high): (f64, f64), r| (low.min(r), high.max(r)))
}

/// Charge and discharge by long pulses, and discharge by 2 s pulses.
static LFP_PROFILES: LazyLock<[Grid; 3]> = LazyLock::new(|| {
    let long = "cell_resistance_lfp_26650_2018";
    [
        Grid::read(long, "charge_"),
        Grid::read(long, "discharge_"),
        Grid::read("cell_resistance_lfp_26650_2s", "r_"),
    ]
});

/// A table by temperature, then by charge; straight between its cells, held at its ends.
struct Grid(Vec<(f64, Vec<(f64, f64)>)>);

impl Grid {
    /// The columns whose names are the prefix and a temperature.
    fn read(name: &str, prefix: &str) -> Self {
        let table = file(name);
        let column = |column: &String| {
            let celsius = column.strip_prefix(prefix)?.parse().ok()?;
            let points = table.rows().map(|row| (row.number("soc_percent") / 100.0, row.number(column)));
            Some((celsius, points.collect()))
        };
        Self(table.columns().iter().filter_map(column).collect())
    }

    fn at(&self, soc: f64, celsius: f64) -> f64 {
        let by_temperature: Vec<(f64, f64)> =
            self.0.iter().map(|(t, points)| (*t, straight(points, soc))).collect();
        straight(&by_temperature, celsius)
    }
}

/// Straight between points in ascending order, held at the ends.
pub(super) fn straight(points: &[(f64, f64)], x: f64) -> f64 {
    let b = points.partition_point(|p| p.0 <= x).clamp(1, points.len() - 1);
    let ((xa, ya), (xb, yb)) = (points[b - 1], points[b]);
    ya + (yb - ya) * ((x - xa) / (xb - xa)).clamp(0.0, 1.0)
}

fn ordered(a: f64, b: f64) -> (f64, f64) {
    (a.min(b), a.max(b))
}

fn two(pair: (f64, f64)) -> String {
    let (a, b) = (significant(pair.0, 4), significant(pair.1, 4));
    if a == b { a } else { format!("{a} to {b}") }
}

fn two_ohms(pair: (f64, f64)) -> String {
    Range::new(ohms(pair.0), ohms(pair.1)).to_string()
}
