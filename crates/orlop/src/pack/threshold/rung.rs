//! One threshold, and where the cells are when it acts.

use crate::choice::choice;
use crate::error::{Error, not_negative, positive};
use crate::range::Range;
use orlop_units::{Current, Quantity, Resistance, Voltage, show, volts};

choice! {
    /// What a threshold does, in the order in which they should stand on the axis, the lowest first.
    Role {
        /// What no cell may fall below.
        LowLimit = "low-limit",
        /// The manager opens.
        LowCutOff = "low-cut-off",
        /// Loads are told to stop, or a low-voltage cut-off sheds them.
        LoadStop = "load-stop",
        /// The crew is warned.
        LowAlarm = "low-alarm",
        /// Where a charger or a regulator stops rising.
        ChargeTarget = "charge-target",
        /// The crew is warned.
        HighAlarm = "high-alarm",
        /// Chargers are told to stop.
        ChargeStop = "charge-stop",
        /// The manager opens.
        HighCutOff = "high-cut-off",
        /// What no cell may rise above.
        HighLimit = "high-limit",
    }
}

impl Role {
    /// Whether it concerns charging.
    #[must_use]
    pub fn is_high(self) -> bool {
        self >= Self::ChargeTarget
    }
}

/// A threshold with its setting and its errors.
#[derive(Clone, Debug, PartialEq)]
pub struct Rung {
    id: String,
    role: Role,
    setting: Voltage,
    cells: u32,
    tolerance: Voltage,
    spread: Voltage,
    cable: Resistance,
    current: Current,
}

impl Rung {
    /// A threshold that reads so many cells in series: 1 for a manager that reads each, 8 for a charger on a bank of 8.
    ///
    /// # Errors
    /// [`Error::Input`] for no name, a setting not above zero, or no cell.
    pub fn new(id: &str, role: Role, setting: Voltage, cells: u32) -> Result<Self, Error> {
        let id = id.trim();
        if id.is_empty() {
            return Err(Error::input("threshold", "''", "a name"));
        }
        if cells == 0 {
            return Err(Error::input(&format!("cells of {id}"), "0", "cells in series that it reads"));
        }
        let setting = positive(setting, &format!("setting of {id}"))?;
        let (none, zero) = (volts(0.0), Quantity::from_si(0.0));
        Ok(Self {
            id: id.into(),
            role,
            setting,
            cells,
            tolerance: none,
            spread: none,
            cable: zero,
            current: Quantity::from_si(0.0),
        })
    }

    /// The same with the error of its reading, either way, at its own terminals.
    ///
    /// # Errors
    /// [`Error::Input`] for a negative value.
    pub fn with_tolerance(self, tolerance: Voltage) -> Result<Self, Error> {
        let field = format!("tolerance of {}", self.id);
        Ok(Self { tolerance: not_negative(tolerance, &field)?, ..self })
    }

    /// The same with how far one cell may stand from the mean when it reads several; it does not count for one that reads each.
    ///
    /// # Errors
    /// [`Error::Input`] for a negative value.
    pub fn with_spread(self, spread: Voltage) -> Result<Self, Error> {
        let field = format!("spread of {}", self.id);
        Ok(Self { spread: not_negative(spread, &field)?, ..self })
    }

    /// The same with the cable (both legs) between it and the cells, and the largest current in it when it acts.
    ///
    /// # Errors
    /// [`Error::Input`] for a negative value.
    pub fn with_cable(self, cable: Resistance, current: Current) -> Result<Self, Error> {
        let (r, i) = (format!("cable of {}", self.id), format!("current of {}", self.id));
        Ok(Self { cable: not_negative(cable, &r)?, current: not_negative(current, &i)?, ..self })
    }

    /// Its name.
    #[must_use]
    pub fn id(&self) -> &str {
        &self.id
    }
    /// What it does.
    #[must_use]
    pub fn role(&self) -> Role {
        self.role
    }
    /// Its setting at its own terminals.
    #[must_use]
    pub fn setting(&self) -> Voltage {
        self.setting
    }
    /// Cells in series that it reads.
    #[must_use]
    pub fn cells(&self) -> u32 {
        self.cells
    }
    /// Its setting over the cells it reads.
    #[must_use]
    pub fn per_cell(&self) -> Voltage {
        self.setting / f64::from(self.cells)
    }

    /// Where a cell can be when it acts. See the [module](super) for the formula.
    ///
    /// ```
    /// use orlop::{pack::threshold::{Role, Rung}, units::{amperes, ohms, volts}};
    /// let charger = Rung::new("shore", Role::ChargeTarget, volts(28.4), 8)?
    ///     .with_tolerance(volts(0.08))?
    ///     .with_cable(ohms(0.01), amperes(50.0))?;
    /// assert_eq!(charger.at_cell().to_string(), "3.48 V to 3.56 V");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    #[must_use]
    pub fn at_cell(&self) -> Range<Voltage> {
        let n = f64::from(self.cells);
        let (setting, error, drop) =
            (self.setting.si(), self.tolerance.si(), self.cable.si() * self.current.si());
        let spread = if self.cells > 1 { self.spread.si() } else { 0.0 };
        let (low, high) = if self.role.is_high() {
            ((setting - error - drop) / n, (setting + error) / n + spread)
        } else {
            ((setting - error) / n - spread, (setting + error + drop) / n)
        };
        Range::new(volts(low), volts(high))
    }

    pub(super) fn ends(&self) -> (Voltage, Voltage) {
        let range = self.at_cell();
        (range.low().expect("both are known"), range.high().expect("both are known"))
    }

    pub(super) fn text(&self) -> String {
        format!("{} ({} at {})", self.id, self.role.word(), show(self.setting))
    }
}
