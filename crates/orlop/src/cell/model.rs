//! One cell as it is bought or measured.

use super::{Chemistry, ChemistryId, Size};
use crate::error::{Error, positive};
use crate::range::Range;
use orlop_units::{Charge, Energy, Mass, Quantity, Resistance, SpecificEnergy, Temperature, Voltage, joules};

/// A cell: its chemistry, capacity, and what else is known of it.
///
/// Resistances are those of a cell at 25 degC and half charge. A measured value is [`Range::exactly`]; a data-sheet maximum
/// is a range of which only the upper bound is known.
///
/// ```
/// use orlop::{Range, cell::{Cell, ChemistryId, Size}, units::{ampere_hours, kilograms, ohms, show}};
/// let cell = Cell::new(ChemistryId::Lfp, ampere_hours(230.0))?
///     .with_size(Size::parse("54 x 174 x 207 mm", "size")?)
///     .with_mass(kilograms(4.15))?
///     .with_resistance_1khz(Range::exactly(ohms(0.18e-3)))?
///     .with_resistance_dc(Range::exactly(ohms(0.55e-3)))?;
/// assert_eq!(show(cell.energy()), "736 Wh");
/// assert_eq!(show(cell.specific_energy().unwrap()), "177 Wh/kg");
/// # Ok::<(), orlop::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cell {
    chemistry: ChemistryId,
    capacity: Charge,
    size: Option<Size>,
    mass: Option<Mass>,
    resistance_1khz: Option<Range<Resistance>>,
    resistance_dc: Option<Range<Resistance>>,
}

impl Cell {
    /// A cell of which only chemistry and capacity are known.
    ///
    /// # Errors
    /// [`Error::Input`] for a capacity not above zero.
    pub fn new(chemistry: ChemistryId, capacity: Charge) -> Result<Self, Error> {
        let capacity = positive(capacity, "capacity")?;
        Ok(Self { chemistry, capacity, size: None, mass: None, resistance_1khz: None, resistance_dc: None })
    }

    /// The same with its size.
    #[must_use]
    pub fn with_size(self, size: Size) -> Self {
        Self { size: Some(size), ..self }
    }

    /// The same with its mass.
    ///
    /// # Errors
    /// [`Error::Input`] for a mass not above zero.
    pub fn with_mass(self, mass: Mass) -> Result<Self, Error> {
        Ok(Self { mass: Some(positive(mass, "mass")?), ..self })
    }

    /// The same with its resistance at 1 kHz.
    ///
    /// # Errors
    /// [`Error::Input`] for a bound not above zero, for no bound at all, or for one that lies above the ten-second
    /// resistance.
    pub fn with_resistance_1khz(self, resistance: Range<Resistance>) -> Result<Self, Error> {
        let resistance = Some(bounds(resistance, "resistance_1khz")?);
        Self { resistance_1khz: resistance, ..self }.ordered()
    }

    /// The same with its resistance after ten seconds of direct current.
    ///
    /// # Errors
    /// As [`Cell::with_resistance_1khz`].
    pub fn with_resistance_dc(self, resistance: Range<Resistance>) -> Result<Self, Error> {
        let resistance = Some(bounds(resistance, "resistance_dc")?);
        Self { resistance_dc: resistance, ..self }.ordered()
    }

    /// The slower resistance holds the faster one in it.
    fn ordered(self) -> Result<Self, Error> {
        let fast = self.resistance_1khz.and_then(Range::low);
        let slow = self.resistance_dc.and_then(Range::high);
        if let (Some(fast), Some(slow)) = (fast, slow)
            && fast > slow
        {
            return Err(Error::Input {
                field: "resistance_1khz, resistance_dc".into(),
                got: format!("{} and {}", orlop_units::show(fast), orlop_units::show(slow)),
                expected: "a resistance at 1 kHz that is not above that of ten seconds".into(),
                hint: "perhaps they are interchanged".into(),
            });
        }
        Ok(self)
    }

    /// What is known of its chemistry.
    #[must_use]
    pub fn chemistry(&self) -> &'static Chemistry {
        self.chemistry.chemistry()
    }
    /// Its capacity.
    #[must_use]
    pub fn capacity(&self) -> Charge {
        self.capacity
    }
    /// Its size.
    #[must_use]
    pub fn size(&self) -> Option<Size> {
        self.size
    }
    /// Its mass.
    #[must_use]
    pub fn mass(&self) -> Option<Mass> {
        self.mass
    }
    /// Its resistance at 1 kHz, 25 degC and half charge, as it was given.
    #[must_use]
    pub fn resistance_1khz(&self) -> Option<Range<Resistance>> {
        self.resistance_1khz
    }
    /// Its ten-second resistance at 25 degC and half charge, as it was given.
    #[must_use]
    pub fn resistance_dc(&self) -> Option<Range<Resistance>> {
        self.resistance_dc
    }
    /// Nominal voltage: the middle of what the sources say.
    #[must_use]
    pub fn nominal_voltage(&self) -> Voltage {
        self.chemistry().nominal_voltage.middle()
    }
    /// Lowest and highest voltage in service.
    #[must_use]
    pub fn voltage_window(&self) -> Range<Voltage> {
        self.chemistry().voltage_window()
    }
    /// Capacity times nominal voltage.
    #[must_use]
    pub fn energy(&self) -> Energy {
        self.capacity * self.nominal_voltage()
    }
    /// Energy between empty and full at no current: the capacity times the mean of the default open-circuit curve.
    ///
    /// # Errors
    /// As [`Chemistry::open_circuit`].
    pub fn energy_at_rest(&self, temperature: Temperature) -> Result<Energy, Error> {
        let curve = self.chemistry().curve_at(None, temperature)?;
        Ok(joules(self.capacity.si() * curve.integral(1.0)))
    }
    /// Energy over mass, where the mass is known.
    #[must_use]
    pub fn specific_energy(&self) -> Option<SpecificEnergy> {
        self.mass.map(|m| SpecificEnergy::joules_per_kilogram(self.energy().si() / m.si()))
    }
}

fn bounds(resistance: Range<Resistance>, field: &str) -> Result<Range<Resistance>, Error> {
    let check = |r: Option<Resistance>| r.map(|r| positive(r, field)).transpose();
    let (low, high) = (check(resistance.low())?, check(resistance.high())?);
    if low.is_none() && high.is_none() {
        return Err(Error::input(field, "no bound", "a resistance, or leave it out"));
    }
    Ok(Range::from_bounds(low, high))
}
