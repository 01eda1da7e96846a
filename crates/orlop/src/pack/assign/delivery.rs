//! A crate of cells with what was measured on each.

use crate::error::{Error, not_negative, positive};
use orlop_units::{Charge, Mass, Quantity, Resistance, Voltage, show};
use std::collections::BTreeSet;

/// One cell as it was delivered and tested: its serial and what was measured on it.
///
/// Only the capacity must be known. Self-discharge is the fall of the rest voltage over the same days for every cell.
#[derive(Clone, Debug, PartialEq)]
pub struct Delivered {
    id: String,
    capacity: Charge,
    resistance_dc: Option<Resistance>,
    resistance_1khz: Option<Resistance>,
    arrival_voltage: Option<Voltage>,
    self_discharge: Option<Voltage>,
    mass: Option<Mass>,
}

impl Delivered {
    /// A cell of which only serial and tested capacity are known.
    ///
    /// # Errors
    /// [`Error::Input`] for no serial or a capacity not above zero.
    pub fn new(id: &str, capacity: Charge) -> Result<Self, Error> {
        let id = id.trim();
        if id.is_empty() {
            return Err(Error::input("cell", "''", "the serial of the cell"));
        }
        let capacity = positive(capacity, &format!("capacity of {id}"))?;
        if capacity.out() > 1e6 {
            return Err(Error::input(
                &format!("capacity of {id}"),
                show(capacity),
                "at most a million ampere-hours",
            ));
        }
        Ok(Self {
            id: id.to_string(),
            capacity,
            resistance_dc: None,
            resistance_1khz: None,
            arrival_voltage: None,
            self_discharge: None,
            mass: None,
        })
    }

    /// The same with its resistance after ten seconds of direct current.
    ///
    /// # Errors
    /// [`Error::Input`] for a value not above zero, or below that at 1 kHz.
    pub fn with_resistance_dc(self, resistance: Resistance) -> Result<Self, Error> {
        let field = format!("resistance_dc of {}", self.id);
        Self { resistance_dc: Some(positive(resistance, &field)?), ..self }.ordered()
    }

    /// The same with its resistance at 1 kHz.
    ///
    /// # Errors
    /// [`Error::Input`] for a value not above zero, or above that of direct current.
    pub fn with_resistance_1khz(self, resistance: Resistance) -> Result<Self, Error> {
        let field = format!("resistance_1khz of {}", self.id);
        Self { resistance_1khz: Some(positive(resistance, &field)?), ..self }.ordered()
    }

    /// The same with the voltage it arrived with.
    ///
    /// # Errors
    /// [`Error::Input`] for a negative value.
    pub fn with_arrival_voltage(self, voltage: Voltage) -> Result<Self, Error> {
        let field = format!("arrival_voltage of {}", self.id);
        Ok(Self { arrival_voltage: Some(not_negative(voltage, &field)?), ..self })
    }

    /// The same with the fall of its rest voltage over the days of the test.
    ///
    /// # Errors
    /// [`Error::Input`] for no number.
    pub fn with_self_discharge(self, fall: Voltage) -> Result<Self, Error> {
        if !fall.si().is_finite() {
            let field = format!("self_discharge of {}", self.id);
            return Err(Error::input(&field, show(fall), "the fall of the rest voltage"));
        }
        Ok(Self { self_discharge: Some(fall), ..self })
    }

    /// The same with its mass.
    ///
    /// # Errors
    /// [`Error::Input`] for a value not above zero.
    pub fn with_mass(self, mass: Mass) -> Result<Self, Error> {
        let field = format!("mass of {}", self.id);
        Ok(Self { mass: Some(positive(mass, &field)?), ..self })
    }

    fn ordered(self) -> Result<Self, Error> {
        match (self.resistance_1khz, self.resistance_dc) {
            (Some(fast), Some(slow)) if fast > slow => Err(Error::Input {
                field: format!("resistance_1khz, resistance_dc of {}", self.id),
                got: format!("{} and {}", show(fast), show(slow)),
                expected: "a resistance at 1 kHz that is not above that of ten seconds".into(),
                hint: "perhaps they are interchanged".into(),
            }),
            _ => Ok(self),
        }
    }

    /// Its serial.
    #[must_use]
    pub fn id(&self) -> &str {
        &self.id
    }
    /// Its tested capacity.
    #[must_use]
    pub fn capacity(&self) -> Charge {
        self.capacity
    }
    /// Its resistance after ten seconds of direct current.
    #[must_use]
    pub fn resistance_dc(&self) -> Option<Resistance> {
        self.resistance_dc
    }
    /// Its resistance at 1 kHz.
    #[must_use]
    pub fn resistance_1khz(&self) -> Option<Resistance> {
        self.resistance_1khz
    }
    /// The voltage it arrived with.
    #[must_use]
    pub fn arrival_voltage(&self) -> Option<Voltage> {
        self.arrival_voltage
    }
    /// The fall of its rest voltage.
    #[must_use]
    pub fn self_discharge(&self) -> Option<Voltage> {
        self.self_discharge
    }
    /// Its mass.
    #[must_use]
    pub fn mass(&self) -> Option<Mass> {
        self.mass
    }

    /// The resistance that decides how parallel cells share: that of direct current, else that at 1 kHz.
    pub(super) fn sharing_resistance(&self) -> Option<f64> {
        self.resistance_dc.or(self.resistance_1khz).map(Quantity::si)
    }

    /// Capacity in millionths of an ampere-hour: what all comparisons count in.
    #[allow(clippy::cast_possible_truncation)]
    pub(super) fn millionths(&self) -> i64 {
        (self.capacity.out() * 1e6).round() as i64
    }
}

/// All cells of a delivery, in the order in which they came.
#[derive(Clone, Debug, PartialEq)]
pub struct Delivery {
    cells: Vec<Delivered>,
}

impl Delivery {
    /// A delivery of cells.
    ///
    /// # Errors
    /// [`Error::Input`] for no cell, or a serial that is there twice.
    pub fn new(cells: Vec<Delivered>) -> Result<Self, Error> {
        if cells.is_empty() {
            return Err(Error::input("cells", "none", "at least one cell"));
        }
        let mut seen = BTreeSet::new();
        for cell in &cells {
            if !seen.insert(cell.id()) {
                return Err(Error::Input {
                    field: "cells".into(),
                    got: format!("'{}' twice", cell.id()),
                    expected: "each cell once".into(),
                    hint: "a cell cannot stand in two places; check its serial".into(),
                });
            }
        }
        Ok(Self { cells })
    }

    /// The cells.
    #[must_use]
    pub fn cells(&self) -> &[Delivered] {
        &self.cells
    }

    /// The place of a serial.
    ///
    /// # Errors
    /// [`Error::Input`] when there is no such cell.
    pub(super) fn place(&self, id: &str, field: &str) -> Result<usize, Error> {
        self.cells.iter().position(|c| c.id() == id.trim()).ok_or_else(|| {
            let ids: Vec<&str> = self.cells.iter().take(8).map(Delivered::id).collect();
            let more = if self.cells.len() > ids.len() { ", ..." } else { "" };
            Error::input(
                field,
                format!("'{}'", id.trim()),
                format!("a cell of the delivery: {}{more}", ids.join(", ")),
            )
        })
    }
}
