//! Heat that comes and goes with the current: the entropy of the cell.

use super::resistance::straight;
use super::{Cell, Chemistry, ChemistryId, Method, StateOfCharge};
use crate::error::Error;
use crate::range::Range;
use crate::source::{Citation, Confidence};
use crate::tables::file;
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Current, Power, Quantity, Resistance, Temperature, VoltagePerTemperature, show, watts};

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

/// Heat that a current makes in a cell.
#[derive(Clone, Debug, PartialEq)]
pub struct CellHeat {
    /// Of its resistance: I^2 R.
    pub ohmic: Range<Power>,
    /// Of its entropy; negative where it cools the cell.
    pub reversible: Range<Power>,
    /// Both together.
    pub total: Range<Power>,
    /// What a reader must know.
    pub flags: Vec<String>,
}

impl Cell {
    /// Heat under a lasting current, discharge positive: that of the ten-second resistance and that of the entropy.
    ///
    /// # Errors
    /// As [`Cell::resistance`] and [`Chemistry::reversible_heat`].
    ///
    /// ```
    /// use orlop::{Range, cell::{Cell, ChemistryId, StateOfCharge}, units::{amperes, ampere_hours, ohms, Temperature}};
    /// let cell = Cell::new(ChemistryId::Lfp, ampere_hours(230.0))?.with_resistance_dc(Range::exactly(ohms(0.55e-3)))?;
    /// let heat = cell.heat(amperes(100.0), StateOfCharge::new(0.5)?, Temperature::celsius(25.0))?;
    /// assert_eq!(heat.ohmic.to_string(), "5.5 W");
    /// assert_eq!(heat.total.to_string(), "-3.44 W to 6.65 W");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn heat(
        &self,
        current: Current,
        charge: StateOfCharge,
        temperature: Temperature,
    ) -> Result<CellHeat, Error> {
        self.heat_recorded(current, charge, temperature, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Cell::heat`].
    pub fn heat_recorded(
        &self,
        current: Current,
        charge: StateOfCharge,
        temperature: Temperature,
        rec: &mut impl Recorder,
    ) -> Result<CellHeat, Error> {
        let entropy = self.chemistry().entropy_at(charge)?;
        let reversible = self.chemistry().reversible_heat(current, charge, temperature)?;
        let r = self.resistance_recorded(Method::TenSeconds, charge, temperature, &mut *rec)?;
        let of = |r: Resistance| watts(current.si() * current.si() * r.si());
        let ohmic = Range::from_bounds(r.value.low().map(of), r.value.high().map(of));
        if ![ohmic.low(), ohmic.high()].iter().flatten().all(|p| p.si().is_finite()) {
            return Err(Error::input("current", show(current), "a current that a cell can carry"));
        }
        let both = |a: Option<Power>, b: Option<Power>| Some(a? + b?);
        let total =
            Range::from_bounds(both(ohmic.low(), reversible.low()), both(ohmic.high(), reversible.high()));
        rec.step(|| {
            Step::new("heat of the resistance", "P_R", ohmic.to_string()).formula("I^2 R").input("I", current)
        });
        rec.step(|| {
            Step::new("heat of the entropy", "P_S", reversible.to_string())
                .formula("-I T dU/dT")
                .input("I", current)
                .input("T", temperature)
                .input("dU/dT", entropy.to_string())
                .source(&REVERSIBLE)
        });
        rec.step(|| Step::new("heat of the cell", "P", total.to_string()).formula("P_R + P_S"));
        Ok(CellHeat { ohmic, reversible, total, flags: r.flags })
    }
}
