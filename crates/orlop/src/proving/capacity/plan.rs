//! What a test was made with, and by which definitions.

use crate::error::{Error, not_negative, positive};
use crate::source::{Citation, Confidence};
use orlop_units::{Charge, Current, Fraction, Number, Quantity, Temperature, TemperatureRise, Voltage};

pub(crate) static LINEAR_CORRECTION: Citation = Citation::fixed(
    "capacity-temperature",
    "IEC 60896 form of the temperature correction",
    "",
    "C = C_t / (1 + k (t - 25 degC))",
    "k = 0.006/K at the 10 h and 20 h rates, 0.010/K at 1 h to 3 h, lead-acid",
    Confidence::Memory,
    "one maker's copy; the clause recalled",
);
pub(crate) static LFP_CORRECTION: Citation = Citation::fixed(
    "capacity-temperature-lfp",
    "measured capacity of lithium iron phosphate cells against temperature",
    "",
    "20 to 30 degC",
    "0.10 %/K measured on one small cell, 0.25 +- 0.10 %/K assumed for large ones",
    Confidence::Memory,
    "one open data set; the wider value recalled",
);

/// An instrument: limits of error, each to both sides.
///
/// The same name in two tests means the same instrument.
#[derive(Clone, Debug, PartialEq)]
pub struct Instrument {
    /// Its name: "shunt monitor, string A".
    pub name: String,
    /// Error of the current in proportion to it.
    pub gain: Fraction,
    /// Error of the current at zero.
    pub offset: Current,
    /// Error of the clock in proportion to time.
    pub clock: Fraction,
    /// Error of the temperature of the cells.
    pub thermometer: TemperatureRise,
    /// Error of a cell's volts.
    pub cell_voltage: Voltage,
}

/// What ended the discharge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stop {
    /// The first cell came down to this under load.
    Cell(Voltage),
    /// The bank came down to this under load.
    Bank(Voltage),
    /// The monitor showed this much left.
    Indicated(Fraction),
    /// Something else, or nobody knows.
    Unknown,
}

/// How capacity moves with temperature: C = C_t / (1 + k (t - reference)).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TemperatureCorrection {
    /// k, share per kelvin.
    pub per_kelvin: f64,
    /// Limits of k, to both sides.
    pub half_width: f64,
    /// Temperature that results are stated at.
    pub reference: Temperature,
}

impl TemperatureCorrection {
    /// Lithium iron phosphate near room temperature: 0.25 %/K, give or take 0.10 (recalled; a small cell was measured at 0.10).
    #[must_use]
    pub fn lfp() -> Self {
        Self { per_kelvin: 0.0025, half_width: 0.0010, reference: Temperature::celsius(25.0) }
    }
    /// Lead-acid at rates of 10 h and longer: 0.6 %/K; its limits, 0.1 %/K, are common practice.
    #[must_use]
    pub fn lead_acid_slow() -> Self {
        Self { per_kelvin: 0.006, half_width: 0.001, reference: Temperature::celsius(25.0) }
    }
    /// Lead-acid at rates of 1 h to 3 h: 1 %/K; its limits, 0.2 %/K, are common practice.
    #[must_use]
    pub fn lead_acid_fast() -> Self {
        Self { per_kelvin: 0.010, half_width: 0.002, reference: Temperature::celsius(25.0) }
    }
}

/// How capacity moves with the current: C = Q (I/I_reference)^(k-1), Peukert's law.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RateCorrection {
    /// Peukert's exponent.
    pub exponent: f64,
    /// Its limits, to both sides.
    pub half_width: f64,
    /// Current that results are stated at.
    pub reference: Current,
}

/// The definitions of a capacity test.
#[derive(Clone, Debug, PartialEq)]
pub struct Procedure {
    /// Rated capacity.
    pub rated: Charge,
    /// Limits of how full "full" was, as a share of the capacity; none when the bank was not brought to full by a definition.
    pub full: Option<Fraction>,
    /// Limits of how empty "empty" was; none takes what the cell meter's error means at the slope of the end.
    pub empty: Option<Fraction>,
    /// What ended it.
    pub stop: Stop,
    /// Correction to the reference temperature; none leaves the result at the temperature of the test.
    pub temperature: Option<TemperatureCorrection>,
    /// Correction to a reference current; none leaves the result at the current of the test.
    pub rate: Option<RateCorrection>,
}

impl Instrument {
    pub(super) fn checked(&self) -> Result<(), Error> {
        not_negative(self.gain, "gain")?;
        not_negative(self.offset, "offset")?;
        not_negative(self.clock, "clock")?;
        not_negative(self.thermometer, "thermometer")?;
        not_negative(self.cell_voltage, "cell_voltage")?;
        Ok(())
    }
}

impl Procedure {
    pub(super) fn checked(&self) -> Result<(), Error> {
        positive(self.rated, "rated")?;
        for (share, field) in [(self.full, "full"), (self.empty, "empty")] {
            not_negative(share.unwrap_or(Fraction::new(0.0)), field)?;
        }
        match self.stop {
            Stop::Cell(v) => positive(v, "stop").map(drop)?,
            Stop::Bank(v) => positive(v, "stop").map(drop)?,
            Stop::Indicated(share) if !(0.0..1.0).contains(&share.value()) => {
                return Err(Error::input(
                    "stop",
                    orlop_units::show(share),
                    "a percentage left, from 0 % to below 100 %",
                ));
            }
            _ => {}
        }
        if let Some(t) = self.temperature {
            not_negative(Number::of(t.half_width), "temperature coefficient, half width")?;
            if !(t.per_kelvin.is_finite() && t.reference.si().is_finite()) {
                return Err(Error::input(
                    "temperature coefficient",
                    t.per_kelvin.to_string(),
                    "a finite share per kelvin",
                ));
            }
        }
        if let Some(r) = self.rate {
            not_negative(Number::of(r.half_width), "exponent, half width")?;
            positive(r.reference, "reference current")?;
            if !(1.0..=2.0).contains(&r.exponent) {
                return Err(Error::input(
                    "exponent",
                    r.exponent.to_string(),
                    "a Peukert exponent from 1 to 2",
                ));
            }
        }
        Ok(())
    }
}
