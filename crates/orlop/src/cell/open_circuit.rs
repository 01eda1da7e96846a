//! The voltage of a rested cell by charge and temperature, and the charge a rested voltage stands for.

use super::curve::{Curve, CurveAt};
use super::{Chemistry, StateOfCharge};
use crate::error::{Error, not_negative, positive};
use crate::range::Range;
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Fraction, Quantity, Temperature, Voltage, show, significant, volts};

/// The voltage of a rested cell.
#[derive(Clone, Debug, PartialEq)]
pub struct OpenCircuit {
    /// By the curve asked for.
    pub voltage: Voltage,
    /// Over all curves of the chemistry.
    pub spread: Range<Voltage>,
    /// How far the voltage rises over a whole charge at this slope.
    pub slope: Voltage,
    /// The curve.
    pub curve: &'static str,
    /// What a reader must know.
    pub flags: Vec<String>,
}

impl OpenCircuit {
    /// What a millivolt is worth here: the charge over which the curve rises by one. None where it is flat, and a voltmeter
    /// tells nothing.
    ///
    /// ```
    /// use orlop::{cell::{ChemistryId, StateOfCharge}, units::{show, Temperature}};
    /// let at = |share| ChemistryId::Lfp.chemistry().open_circuit(StateOfCharge::new(share)?, Temperature::celsius(25.0));
    /// assert_eq!(show(at(0.5)?.millivolt().unwrap()), "1.25 %");
    /// assert_eq!(at(0.8)?.millivolt(), None);
    /// # Ok::<(), orlop::Error>(())
    /// ```
    #[must_use]
    pub fn millivolt(&self) -> Option<Fraction> {
        (self.slope.si() > 0.0).then(|| Fraction::new(1e-3 / self.slope.si()))
    }
}

/// The charge that a rested voltage stands for.
#[derive(Clone, Debug, PartialEq)]
pub struct FromRest {
    /// Over all curves that reach the voltage, with the reading as far off as its meter permits.
    pub charge: Range<StateOfCharge>,
    /// What a reader must know.
    pub flags: Vec<String>,
}

/// One curve at a temperature, with how far it may be moved by temperatures it was not measured at.
struct Moved {
    curve: &'static Curve,
    at: CurveAt,
    low: f64,
    high: f64,
}

impl Chemistry {
    fn moved(&'static self, curve: &'static Curve, celsius: f64) -> Result<Moved, Error> {
        let (low, high) = curve.ends();
        let at = curve.at(celsius);
        let tolerance = curve.tolerance_v();
        let off = celsius - celsius.clamp(low, high);
        if off != 0.0 && curve.follows_temperature() {
            return Err(Error::OutOfTable {
                table: format!("open-circuit curve {}", curve.id()),
                asked: format!("{} degC", significant(celsius, 4)),
                range: format!("{low} to {high} degC"),
                hint: "ask for another curve, or for a temperature between".into(),
            });
        }
        let moves = [off * self.entropy.low().si(), off * self.entropy.high().si()];
        let (a, b) = (moves[0].min(moves[1]), moves[0].max(moves[1]));
        Ok(Moved { curve, at, low: a - tolerance, high: b + tolerance })
    }

    /// All curves that know this temperature, and the flags of those that are moved or silent.
    fn all_moved(&'static self, celsius: f64) -> (Vec<Moved>, Vec<String>) {
        let mut flags = Vec::new();
        let mut all = Vec::new();
        for curve in self.curves() {
            match self.moved(curve, celsius) {
                Ok(moved) => {
                    if moved.high > moved.low {
                        let (off, own) = (celsius - curve.ends().0, curve.ends().0);
                        let mut flag = format!(
                            "{}: within {} V",
                            curve.id(),
                            significant(moved.high.max(-moved.low), 2)
                        );
                        if off != 0.0 {
                            flag = format!(
                                "{}: measured at {own} degC only, moved by {}",
                                curve.id(),
                                self.entropy.value
                            );
                        }
                        flags.push(flag);
                    }
                    all.push(moved);
                }
                Err(error) => flags.push(format!("left out, {error}")),
            }
        }
        (all, flags)
    }

    /// Voltage of a rested cell by the default curve, with the spread over all curves.
    ///
    /// Between points and between temperatures the curve is straight. A curve measured at several temperatures is not used
    /// outside them; one measured at a single temperature is moved by the entropy coefficient, which widens the spread.
    ///
    /// # Errors
    /// [`Error::OutOfTable`] for a temperature the default curve or the chemistry does not reach; [`Error::Input`] for a
    /// state of charge outside 0 to 100 %.
    ///
    /// ```
    /// use orlop::{cell::{ChemistryId, StateOfCharge}, units::{Quantity, Temperature}};
    /// let lfp = ChemistryId::Lfp.chemistry();
    /// let rest = lfp.open_circuit(StateOfCharge::new(0.5)?, Temperature::celsius(25.0))?;
    /// assert_eq!(rest.voltage.out(), 3.290);
    /// assert_eq!(rest.spread.to_string(), "3.28 V to 3.3 V");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn open_circuit(
        &'static self,
        charge: StateOfCharge,
        temperature: Temperature,
    ) -> Result<OpenCircuit, Error> {
        self.open_circuit_recorded(None, charge, temperature, &mut Silent)
    }

    /// The same by a named curve, or the default, with its steps.
    ///
    /// # Errors
    /// As [`Chemistry::open_circuit`], and [`Error::Input`] for an unknown curve.
    pub fn open_circuit_recorded(
        &'static self,
        curve: Option<&str>,
        charge: StateOfCharge,
        temperature: Temperature,
        rec: &mut impl Recorder,
    ) -> Result<OpenCircuit, Error> {
        let soc = charge.checked("state of charge")?.share();
        let celsius = self.at_work(temperature)?;
        let asked = curve.map_or(Ok(&self.curves()[0]), |id| self.curve(id))?;
        let own = self.moved(asked, celsius)?;
        let (all, flags) = self.all_moved(celsius);
        let each: Vec<(f64, f64)> = all
            .iter()
            .map(|m| {
                let v = m.at.voltage(soc);
                (v + m.low, v + m.high)
            })
            .collect();
        let low = each.iter().map(|e| e.0).fold(f64::INFINITY, f64::min);
        let high = each.iter().map(|e| e.1).fold(f64::NEG_INFINITY, f64::max);
        let answer = OpenCircuit {
            voltage: volts(own.at.voltage(soc)),
            spread: Range::new(volts(low), volts(high)),
            slope: volts(own.at.slope(soc)),
            curve: asked.id(),
            flags,
        };
        rec.step(|| {
            Step::new("voltage of the rested cell", "U", answer.voltage)
                .formula(format!("curve {}, straight between its points", asked.id()))
                .input("charge", charge_text(charge))
                .input("T", temperature)
                .source(asked.citation())
        });
        for (m, (a, b)) in all.iter().zip(&each).filter(|(m, _)| m.curve.id() != asked.id()) {
            rec.step(|| {
                let shown = Range::new(volts(*a), volts(*b)).to_string();
                Step::new(format!("by the curve {}", m.curve.id()), "", shown).source(m.curve.citation())
            });
        }
        rec.step(|| Step::new("over all curves", "", answer.spread.to_string()));
        Ok(answer)
    }

    /// State of charge that a rested voltage stands for, by all curves, when the reading may be off by `meter`.
    ///
    /// On the plateau of LFP a few millivolts are tens of percent: then the answer is wide, and that is the answer.
    ///
    /// # Errors
    /// [`Error::NoSolution`] for a voltage no curve reaches; [`Error::Input`] for a voltage not above zero or a negative
    /// meter error; [`Error::OutOfTable`] for a temperature the chemistry does not reach.
    ///
    /// ```
    /// use orlop::{cell::ChemistryId, units::{volts, Temperature}};
    /// let lfp = ChemistryId::Lfp.chemistry();
    /// let rest = lfp.charge_from_rest(volts(3.30), volts(0.005), Temperature::celsius(25.0))?;
    /// assert_eq!(rest.charge.to_string(), "40.4 % to 69.7 %");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn charge_from_rest(
        &'static self,
        voltage: Voltage,
        meter: Voltage,
        temperature: Temperature,
    ) -> Result<FromRest, Error> {
        self.charge_from_rest_recorded(voltage, meter, temperature, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Chemistry::charge_from_rest`].
    pub fn charge_from_rest_recorded(
        &'static self,
        voltage: Voltage,
        meter: Voltage,
        temperature: Temperature,
        rec: &mut impl Recorder,
    ) -> Result<FromRest, Error> {
        let v = positive(voltage, "voltage")?.si();
        let off = not_negative(meter, "meter")?.si();
        let celsius = self.at_work(temperature)?;
        let (all, mut flags) = self.all_moved(celsius);
        let mut total: Option<(f64, f64)> = None;
        for m in &all {
            let found = m.at.charge_between(v - off - m.high, v + off - m.low);
            if let Some((a, b)) = found {
                total = Some(total.map_or((a, b), |(x, y)| (x.min(a), y.max(b))));
            }
            rec.step(|| {
                let text = found.map_or("not reached".to_string(), |(a, b)| {
                    Range::new(StateOfCharge::from_si(a), StateOfCharge::from_si(b)).to_string()
                });
                Step::new(format!("charge by the curve {}", m.curve.id()), "", text)
                    .input("U", voltage)
                    .input("off by", meter)
                    .source(m.curve.citation())
            });
        }
        let (low, high) = total.ok_or_else(|| Error::NoSolution {
            what: format!("no curve of {} shows {} at rest", self.id.word(), show(voltage)),
            hint: "give the voltage of one cell after hours without current".into(),
        })?;
        if self.id == super::ChemistryId::Lfp {
            flags.push("rest voltages after charge lie 5 to 25 mV above those after discharge".into());
        }
        let charge = Range::new(StateOfCharge::from_si(low), StateOfCharge::from_si(high));
        rec.step(|| Step::new("charge by all curves", "", charge.to_string()));
        Ok(FromRest { charge, flags })
    }

    /// The curve at a temperature as plain numbers, for everything that runs over time.
    ///
    /// # Errors
    /// As [`Chemistry::open_circuit`].
    pub fn curve_at(&'static self, curve: Option<&str>, temperature: Temperature) -> Result<CurveAt, Error> {
        let celsius = self.at_work(temperature)?;
        let asked = curve.map_or(Ok(&self.curves()[0]), |id| self.curve(id))?;
        self.moved(asked, celsius).map(|m| m.at)
    }
}

/// A state of charge as people write it.
pub(super) fn charge_text(charge: StateOfCharge) -> String {
    show(charge)
}
