//! The two ends of a cell in a bolted fault: most current for breaking, least for clearing.

use super::{Cell, Method, StateOfCharge};
use crate::error::{Error, positive};
use crate::range::Range;
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Current, Quantity, Resistance, Temperature, Voltage, amperes, ohms, show};

/// Between which conditions the cell lives. What is not given is taken at the worst end that the chemistry permits, and said.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FaultConditions {
    /// Warmest design temperature of the cells: new and full, for the upper bound; none takes the highest at which they may be discharged.
    pub warmest: Option<Temperature>,
    /// Coldest design temperature of the cells: aged, for the lower bound; none takes the lowest at which they may be discharged.
    pub coldest: Option<Temperature>,
    /// Least charge with which a fault must still be cleared; none takes an empty cell.
    pub least_charge: Option<StateOfCharge>,
    /// Highest cell voltage with sources charging; none takes the chemistry's.
    pub highest_voltage: Option<Voltage>,
    /// Lowest cell voltage before cut-off; none takes the chemistry's.
    pub lowest_voltage: Option<Voltage>,
}

/// What a cell brings into a fault.
#[derive(Clone, Debug, PartialEq)]
pub struct FaultEnds {
    /// Lowest and highest voltage behind the resistance.
    pub voltage: Range<Voltage>,
    /// Lowest (1 kHz, warm, new) and highest (ten seconds, cold, aged) resistance.
    pub resistance: Range<Resistance>,
    /// Current with nothing but the cell in the way: lowest voltage over highest resistance, and the other way round.
    pub current: Range<Current>,
    /// What was assumed.
    pub flags: Vec<String>,
}

impl Cell {
    /// Voltage and resistance at both ends of a bolted fault.
    ///
    /// High: highest voltage with sources charging over the lowest 1 kHz resistance at the warmest temperature, new. Low: lowest
    /// voltage before cut-off over the highest ten-second resistance at the coldest temperature, at the least charge, aged.
    /// An arcing fault may lie below the lower bound.
    ///
    /// # Errors
    /// As [`Cell::resistance`]; [`Error::Input`] for a coldest temperature above the warmest or voltages in the wrong order.
    ///
    /// ```
    /// use orlop::{Range, cell::{Cell, ChemistryId, FaultConditions, StateOfCharge}, units::{ampere_hours, ohms, Temperature}};
    /// let cell = Cell::new(ChemistryId::Lfp, ampere_hours(230.0))?
    ///     .with_resistance_1khz(Range::exactly(ohms(0.18e-3)))?
    ///     .with_resistance_dc(Range::exactly(ohms(0.55e-3)))?;
    /// let ends = cell.fault(FaultConditions {
    ///     warmest: Some(Temperature::celsius(25.0)),
    ///     coldest: Some(Temperature::celsius(25.0)),
    ///     least_charge: Some(StateOfCharge::new(0.5)?),
    ///     ..FaultConditions::default()
    /// })?;
    /// assert_eq!(ends.current.to_string(), "2.27 kA to 20.3 kA"); // 2.5 V over 2 x 0.55 mOhm, 3.65 V over 0.18 mOhm
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn fault(&self, conditions: FaultConditions) -> Result<FaultEnds, Error> {
        self.fault_recorded(conditions, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Cell::fault`].
    pub fn fault_recorded(&self, c: FaultConditions, rec: &mut impl Recorder) -> Result<FaultEnds, Error> {
        let chemistry = self.chemistry();
        let mut flags = Vec::new();
        let warmest = c.warmest.unwrap_or_else(|| {
            let most = chemistry.discharge_to.high();
            flags.push(format!(
                "no warmest temperature given: {}, the highest for discharge, is taken",
                show(most)
            ));
            most
        });
        let coldest = c.coldest.unwrap_or_else(|| {
            let least = chemistry.discharge_from.low();
            flags.push(format!(
                "no coldest temperature given: {}, the lowest for discharge, is taken",
                show(least)
            ));
            least
        });
        let least_charge = c.least_charge.unwrap_or_else(|| {
            flags.push("no least charge given: an empty cell is taken".into());
            StateOfCharge::EMPTY
        });
        if coldest > warmest {
            return Err(Error::input(
                "coldest, warmest",
                format!("{} and {}", show(coldest), show(warmest)),
                "a coldest temperature that is not above the warmest",
            ));
        }
        let given = |v: Option<Voltage>, field| v.map(|v| positive(v, field)).transpose();
        let top = given(c.highest_voltage, "highest_voltage")?.unwrap_or(chemistry.highest_voltage.high());
        let bottom = given(c.lowest_voltage, "lowest_voltage")?.unwrap_or(chemistry.lowest_voltage.low());
        if bottom > top {
            return Err(Error::input(
                "lowest_voltage, highest_voltage",
                format!("{} and {}", show(bottom), show(top)),
                "a lowest voltage that is not above the highest",
            ));
        }
        let new = self.resistance_recorded(Method::OneKilohertz, StateOfCharge::FULL, warmest, rec)?;
        let old = self.resistance_recorded(Method::TenSeconds, least_charge, coldest, rec)?;
        let aged = &chemistry.aged_resistance;
        let high = old.high().si() * aged.high().get();
        rec.step(|| {
            Step::new("highest resistance, aged", "R_high", ohms(high))
                .formula("ten-second resistance, cold, times its growth to the end of life")
                .input("R", old.high())
                .input("growth", aged.high().get())
                .source(&aged.citation)
        });
        let current = Range::new(amperes(bottom.si() / high), amperes(top.si() / new.low().si()));
        rec.step(|| {
            Step::new("current of the bare cell", "I", current.to_string())
                .formula("lowest voltage / highest resistance, highest voltage / lowest resistance")
                .input("U_low", bottom)
                .input("U_high", top)
                .input("R_low", new.low())
        });
        for flag in new.flags.iter().chain(&old.flags) {
            if !flags.contains(flag) {
                flags.push(flag.clone());
            }
        }
        flags.push(format!(
            "aged cells are taken for {} times their resistance when new ({})",
            aged.high().get(),
            aged.citation.confidence.word()
        ));
        Ok(FaultEnds {
            voltage: Range::new(bottom, top),
            resistance: Range::new(new.low(), ohms(high)),
            current,
            flags,
        })
    }
}
