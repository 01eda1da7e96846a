//! What a cell may be asked for at a temperature.

use super::{Chemistry, Fact};
use crate::error::Error;
use orlop_units::{Number, Quantity, Temperature, show, significant};

/// Whether something is permitted, by all sources, by none, or by some.
#[derive(Clone, Debug, PartialEq)]
pub enum Permission {
    /// Every source permits it.
    Yes,
    /// Every source forbids it; why.
    No(String),
    /// Sources differ; how. Take it for no unless the maker of the cell says yes.
    SourcesDiffer(String),
}

impl Permission {
    /// Whether every source permits it.
    #[must_use]
    pub fn granted(&self) -> bool {
        *self == Self::Yes
    }
}

impl Chemistry {
    /// Whether a cell may be charged at a temperature of its own.
    ///
    /// # Errors
    /// [`Error::Input`] for no temperature.
    ///
    /// ```
    /// use orlop::{cell::{ChemistryId, Permission}, units::Temperature};
    /// let lfp = ChemistryId::Lfp.chemistry();
    /// assert!(lfp.charging_at(Temperature::celsius(20.0))?.granted());
    /// assert!(matches!(lfp.charging_at(Temperature::celsius(-1.0))?, Permission::No(_)));
    /// assert!(matches!(lfp.charging_at(Temperature::celsius(50.0))?, Permission::SourcesDiffer(_)));
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn charging_at(&self, cell: Temperature) -> Result<Permission, Error> {
        between("charging", &self.charge_from, &self.charge_to, cell)
    }

    /// Whether a cell may be discharged at a temperature of its own.
    ///
    /// # Errors
    /// [`Error::Input`] for no temperature.
    pub fn discharging_at(&self, cell: Temperature) -> Result<Permission, Error> {
        between("discharging", &self.discharge_from, &self.discharge_to, cell)
    }

    /// Whether a continuous rate of discharge, in multiples of the capacity per hour, is permitted.
    #[must_use]
    pub fn discharge_rate_permitted(&self, rate: super::Rate) -> Permission {
        at_most("discharge", &self.discharge_rate, rate.per_hour())
    }

    /// Whether a continuous rate of charge, in multiples of the capacity per hour, is permitted.
    #[must_use]
    pub fn charge_rate_permitted(&self, rate: super::Rate) -> Permission {
        at_most("charge", &self.charge_rate, rate.per_hour())
    }
}

fn between(
    what: &str,
    from: &Fact<Temperature>,
    to: &Fact<Temperature>,
    cell: Temperature,
) -> Result<Permission, Error> {
    if !cell.si().is_finite() {
        return Err(Error::input("temperature", cell.si().to_string(), "a temperature"));
    }
    let (t, widest) = (show(cell), format!("{} to {}", show(from.low()), show(to.high())));
    if cell < from.low() || cell > to.high() {
        return Ok(Permission::No(format!("{what} at {t} is outside {widest}")));
    }
    if cell < from.high() || cell > to.low() {
        return Ok(Permission::SourcesDiffer(format!(
            "{what} at {t}: some sources permit {widest}, others only {} to {}",
            show(from.high()),
            show(to.low())
        )));
    }
    Ok(Permission::Yes)
}

fn at_most(what: &str, limit: &Fact<Number>, rate: f64) -> Permission {
    let (low, high, shown) = (limit.low().get(), limit.high().get(), significant(rate, 3));
    if rate <= low {
        Permission::Yes
    } else if rate <= high {
        Permission::SourcesDiffer(format!("{what} at {shown}C: sources permit {low} to {high}C"))
    } else {
        Permission::No(format!("{what} at {shown}C is above {high}C"))
    }
}
