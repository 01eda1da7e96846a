//! What is known of the instrument, and the definitions of a capacity test.

use super::Any;
use crate::asked::Asked;
use crate::convert;
use crate::errors::raise;
use orlop::Error;
use orlop::proving::capacity::{Instrument, Procedure, Stop, TemperatureCorrection};
use orlop_units::{Charge, Fraction, Temperature, TemperatureRise, Voltage, amperes, volts};
use pyo3::prelude::*;

/// The arguments of a capacity test, as they were given.
pub struct Definitions<'a, 'py> {
    pub rated: &'a Bound<'py, PyAny>,
    pub full: Any<'a, 'py>,
    pub stop_cell: Any<'a, 'py>,
    pub stop_bank: Any<'a, 'py>,
    pub stop_indicated: Any<'a, 'py>,
    pub gain: Any<'a, 'py>,
    pub offset: Any<'a, 'py>,
    pub clock: Any<'a, 'py>,
    pub thermometer: Any<'a, 'py>,
    pub cell_meter: Any<'a, 'py>,
    pub empty: Any<'a, 'py>,
    pub temperature_coefficient: Any<'a, 'py>,
    pub coefficient_within: Any<'a, 'py>,
    pub reference: Any<'a, 'py>,
    pub instrument: Any<'a, 'py>,
}

impl Definitions<'_, '_> {
    /// Reads all of them.
    pub fn read(&self, asked: &mut Asked) -> PyResult<(Instrument, Procedure)> {
        let py = self.rated.py();
        let rated: Charge = asked.quantity("rated", self.rated)?;
        let full = asked.optional("full", self.full)?;
        let stop = self.stop(asked)?;
        let name = match self.instrument {
            None => "the instrument".to_string(),
            Some(i) => convert::text(i, "instrument", "its name")?,
        };
        let meter = Instrument {
            gain: asked.optional("gain", self.gain)?.unwrap_or(Fraction::new(0.0)),
            offset: asked.optional("offset", self.offset)?.unwrap_or(amperes(0.0)),
            clock: asked.optional("clock", self.clock)?.unwrap_or(Fraction::new(0.0)),
            thermometer: asked
                .optional("thermometer", self.thermometer)?
                .unwrap_or(TemperatureRise::kelvins(0.0)),
            cell_voltage: asked.optional("cell_meter", self.cell_meter)?.unwrap_or(volts(0.0)),
            name: name.clone(),
        };
        asked.said("instrument", name);
        let empty = asked.optional("empty", self.empty)?;
        let per_kelvin: Option<Fraction> =
            asked.optional("temperature_coefficient", self.temperature_coefficient)?;
        let within: Option<Fraction> = asked.optional("coefficient_within", self.coefficient_within)?;
        let reference: Option<Temperature> = asked.optional("reference", self.reference)?;
        if per_kelvin.is_none() && (within.is_some() || reference.is_some()) {
            let expected = "temperature_coefficient= where coefficient_within= or reference= are given";
            return Err(raise(py, &Error::input("temperature_coefficient", "none", expected)));
        }
        let temperature = per_kelvin.map(|k| TemperatureCorrection {
            per_kelvin: k.value(),
            half_width: within.map_or(0.0, Fraction::value),
            reference: reference.unwrap_or(Temperature::celsius(25.0)),
        });
        Ok((meter, Procedure { rated, full, empty, stop, temperature, rate: None }))
    }

    fn stop(&self, asked: &mut Asked) -> PyResult<Stop> {
        let cell: Option<Voltage> = asked.optional("stop_cell", self.stop_cell)?;
        let bank: Option<Voltage> = asked.optional("stop_bank", self.stop_bank)?;
        let indicated: Option<Fraction> = asked.optional("stop_indicated", self.stop_indicated)?;
        match (cell, bank, indicated) {
            (None, None, None) => Ok(Stop::Unknown),
            (Some(v), None, None) => Ok(Stop::Cell(v)),
            (None, Some(v), None) => Ok(Stop::Bank(v)),
            (None, None, Some(p)) => Ok(Stop::Indicated(p)),
            _ => {
                let expected = "at most one of stop_cell=, stop_bank=, stop_indicated=";
                Err(raise(self.rated.py(), &Error::input("stop", "more than one", expected)))
            }
        }
    }
}
