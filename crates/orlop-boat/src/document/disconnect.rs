//! What the file says of the switch of each manager.

use super::bank::{Built, refuse};
use super::row::Row;
use crate::model::{Disconnect, Warming};
use orlop::pack::manager::{Coil, Switch};
use orlop_units::{Current, Fraction, Power, Resistance, Temperature, TemperatureRise, Time, watts};

/// Growth of the resistance for each kelvin where none is stated: the highest that is usual for field-effect transistors, from memory.
const GROWTH: f64 = 0.007;

/// None where nothing is said of it.
pub(super) fn read(row: &Row, warmest: Temperature) -> Built<'_, Option<Disconnect>> {
    let opens_after: Option<Time> = row.quantity("switch_opens_after");
    let breaks = row.quantity::<Current>("switch_breaks").zip(row.quantity("switch_breaks_at"));
    let (warming, coil) = (warming(row, warmest)?, coil(row)?);
    let said = breaks.is_some() || opens_after.is_some() || warming.is_some() || coil.is_some();
    Ok(said.then_some(Disconnect { breaks, opens_after, warming, coil }))
}

fn warming(row: &Row, warmest: Temperature) -> Built<'_, Option<Warming>> {
    let Some(resistance) = row.quantity::<Resistance>("switch_resistance") else { return Ok(None) };
    let growth: Option<Fraction> = row.quantity("switch_growth");
    let rise: TemperatureRise = row.quantity("switch_rise_per_watt").ok_or(None)?;
    let hottest: Temperature = row.quantity("switch_hottest").ok_or(None)?;
    let ambient = row.quantity("switch_ambient").unwrap_or(warmest);
    if ambient >= hottest {
        let got = format!("{} where it stands in {}", orlop_units::show(hottest), orlop_units::show(ambient));
        let error = orlop::Error::input("switch_hottest", got, "above its surroundings");
        return Err(refuse(row, "switch_hottest")(error));
    }
    let switch = Switch::new(resistance, growth.map_or(GROWTH, Fraction::value), rise, watts(1.0))
        .map_err(refuse(row, "switch_resistance"))?;
    Ok(Some(Warming { switch, growth_stated: growth.is_some(), ambient, hottest }))
}

fn coil(row: &Row) -> Built<'_, Option<Coil>> {
    let Some(hold) = row.quantity::<Power>("coil_hold") else { return Ok(None) };
    let coil = Coil::new(hold).map_err(refuse(row, "coil_hold"))?;
    Ok(Some(match row.quantity::<Power>("coil_pull").zip(row.quantity::<Time>("coil_pull_time")) {
        Some((power, time)) => coil.with_pull_in(power, time).map_err(refuse(row, "coil_pull"))?,
        None => coil,
    }))
}
