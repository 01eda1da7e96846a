//! Heat that comes and goes with the current: the entropy of the cell.

use super::resistance::straight;
use super::{Chemistry, ChemistryId, StateOfCharge};
use crate::error::Error;
use crate::range::Range;
use crate::source::{Citation, Confidence};
use crate::tables::file;
use orlop_units::{Current, Power, Quantity, Temperature, VoltagePerTemperature, watts};

pub(crate) static REVERSIBLE: Citation = Citation::fixed(
    "cell-reversible-heat",
    "Bernardi, J. Electrochem. Soc. 132:5",
    "1985",
    "q = I (U - V) - I T dU/dT",
    "heat of a cell under current",
    Confidence::Memory,
    "recalled",
);

impl Chemistry {
    /// Entropy coefficient dU/dT at a state of charge. For LFP between the two tables, which disagree even in sign; for the
    /// other chemistries their whole range.
    ///
    /// # Errors
    /// [`Error::Input`] for a state of charge outside 0 to 100 %.
    pub fn entropy_at(&self, charge: StateOfCharge) -> Result<Range<VoltagePerTemperature>, Error> {
        let s = charge.checked("state of charge")?.share();
        if self.id != ChemistryId::Lfp {
            return Ok(self.entropy.value);
        }
        let column = |name: &str| {
            let rows = file("cell_entropy_lfp").rows();
            let points: Vec<(f64, f64)> = rows
                .filter_map(|row| Some((row.number("soc_percent") / 100.0, row.optional(name)?)))
                .collect();
            VoltagePerTemperature::volts_per_kelvin(1e-3 * straight(&points, s))
        };
        Ok(Range::new(column("half_cells_mv_k"), column("rest_table_mv_k")))
    }

    /// Heat given off by the entropy under a current, discharge positive: -I T dU/dT. Negative where the cell is cooled.
    ///
    /// # Errors
    /// As [`Chemistry::entropy_at`]; [`Error::OutOfTable`] for a temperature at which the chemistry does not work;
    /// [`Error::Input`] for a current that is no number.
    ///
    /// ```
    /// use orlop::{cell::{ChemistryId, StateOfCharge}, units::{amperes, Temperature}};
    /// let lfp = ChemistryId::Lfp.chemistry();
    /// let heat = lfp.reversible_heat(amperes(100.0), StateOfCharge::new(0.5)?, Temperature::celsius(25.0))?;
    /// assert_eq!(heat.to_string(), "-8.94 W to 1.15 W");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn reversible_heat(
        &self,
        current: Current,
        charge: StateOfCharge,
        temperature: Temperature,
    ) -> Result<Range<Power>, Error> {
        let kelvin = self.at_work(temperature)? + 273.15;
        if !current.si().is_finite() {
            return Err(Error::input("current", current.si().to_string(), "a current"));
        }
        let entropy = self.entropy_at(charge)?;
        let heat = |c: Option<VoltagePerTemperature>| c.map(|c| watts(-current.si() * kelvin * c.si()));
        Ok(Range::from_bounds(heat(entropy.low()), heat(entropy.high())))
    }
}
