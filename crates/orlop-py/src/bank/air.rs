//! Air for a lead-acid bank.

use super::answer::{BankAnswer, Value};
use crate::asked::Asked;
use crate::errors::OrRaise;
use orlop::Working;
use orlop::pack::ventilation::{Gassing, air_by_cfr46, hydrogen_per_hour, ventilation_recorded};
use orlop_units::{Charge, Current, Quantity, Temperature, amperes};
use pyo3::prelude::*;

/// Air that a lead-acid bank needs, its openings, and the distance to anything that sparks: IEC 62485-2, and the form of 46 CFR.
///
/// Parameters
/// ----------
/// cells : int
///     In series: 12 in a bank of 24 V.
/// capacity : str or quantity
///     At the ten-hour rate, all strings together.
/// charging : {"vented-float", "vented-boost", "valve-float", "valve-boost"}
///     How it is built and charged. A boat's charger boosts.
/// charger : str or quantity, optional
///     Its current: then the air by 46 CFR 111.15-10 is told as well.
/// temperature : str or quantity, optional
///     Then the hydrogen of the gassing current is told, by Faraday's law.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> air = orlop.ventilation(cells=12, capacity="200 Ah", charging="vented-boost")
/// >>> f"{air['air_per_hour'].m_as('m**3'):.2f} m3/h, {air['opening'].m_as('cm**2'):.0f} cm2"
/// '2.40 m3/h, 67 cm2'
#[pyfunction]
#[pyo3(signature = (*, cells, capacity, charging, charger=None, temperature=None))]
pub fn ventilation(
    cells: &Bound<'_, PyAny>,
    capacity: &Bound<'_, PyAny>,
    charging: &Bound<'_, PyAny>,
    charger: Option<&Bound<'_, PyAny>>,
    temperature: Option<&Bound<'_, PyAny>>,
) -> PyResult<BankAnswer> {
    let py = cells.py();
    let mut asked = Asked::default();
    let cells = asked.count("cells", cells)?;
    let capacity: Charge = asked.quantity("capacity", capacity)?;
    let gassing = asked.word("charging", charging, Gassing::parse)?;
    let charger: Option<Current> = asked.optional("charger", charger)?;
    let temperature: Option<Temperature> = asked.optional("temperature", temperature)?;
    let mut working = Working::new("air for a lead-acid bank");
    let air = ventilation_recorded(cells, capacity, gassing, &mut working).or_raise(py)?;
    let current = amperes(gassing.milliamperes_per_ampere_hour() * 1e-3 * capacity.out());
    let mut values = vec![
        ("air_per_hour", Value::of(air.air_per_hour)),
        ("opening", Value::of(air.opening)),
        ("keep_away", Value::of(air.keep_away)),
        ("gassing_current", Value::of(current)),
    ];
    if let Some(charger) = charger {
        let air = air_by_cfr46(cells, current, charger).or_raise(py)?;
        values.push(("air_per_hour_46cfr", Value::of(air)));
    }
    if let Some(temperature) = temperature {
        values.push((
            "hydrogen_per_hour",
            Value::of(hydrogen_per_hour(cells, current, temperature).or_raise(py)?),
        ));
    }
    Ok(BankAnswer::new("ventilation", "air_per_hour", asked).values(values).worked(working))
}
