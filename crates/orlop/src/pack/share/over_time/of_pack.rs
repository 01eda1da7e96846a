//! A pack as a network that runs over time, from what is known of its cells.

use super::{Wired, Wiring};
use crate::cell::{EquivalentCircuit, Pair};
use crate::error::Error;
use crate::pack::share::Tie;
use crate::pack::topology::Pack;
use orlop_units::{Charge, Resistance, Temperature, ohms};

impl Pack {
    /// The pack as a network, all cells at one temperature, on the default open-circuit curve.
    ///
    /// `capacities` and `resistances` are those of the single cells, group by group or string by string; empty lists take the cell of the
    /// pack, its ten-second resistance in the middle of its bounds. `pairs` are the same for all. Links and parts count with their upper bound;
    /// parts that are not known count as nothing. When `watched`, the managers open at the voltage window of the chemistry.
    ///
    /// # Errors
    /// [`Error::Input`] for a list of another length than cells, a resistance or capacity not above zero, more than two pairs, no
    /// ten-second resistance where none is listed, or links that are not known; as [`crate::cell::Chemistry::curve_at`] and
    /// [`Wired::new`].
    ///
    /// ```
    /// use orlop::{Range, cell::{Cell, ChemistryId, CircuitState, StateOfCharge}, pack::{Order, Pack, TakeOff}};
    /// use orlop::units::{ampere_hours, ohms, seconds, Temperature};
    /// let cell = Cell::new(ChemistryId::Lfp, ampere_hours(100.0))?.with_resistance_dc(Range::exactly(ohms(0.6e-3)))?;
    /// let pack = Pack::new(cell, 4, 2, Order::ParallelFirst)?.with_link(Range::exactly(ohms(0.05e-3)))?;
    /// let wired = pack.wired(Temperature::celsius(25.0), TakeOff::SameEnd, &[], &[], &[], true)?;
    /// let start = vec![CircuitState::rested(StateOfCharge::new(0.9)?)?; 8];
    /// let hour = wired.simulate(&start, &vec![100.0; 3600], seconds(1.0), 600)?;
    /// assert!(hour.stopped.is_none());
    /// let first = hour.branch_current_a[0][0]; // the first cell leads, by its shorter way
    /// assert!((first - 100.0 * 0.7 / 1.3).abs() < 1e-9);
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn wired(
        &self,
        temperature: Temperature,
        tie: impl Into<Tie>,
        capacities: &[Charge],
        resistances: &[Resistance],
        pairs: &[Pair],
        watched: bool,
    ) -> Result<Wired, Error> {
        let count = self.cells() as usize;
        for (field, given) in [("capacities", capacities.len()), ("resistances", resistances.len())] {
            if given != 0 && given != count {
                return Err(Error::input(field, given.to_string(), format!("{count}, one for each cell")));
            }
        }
        let cell = self.cell();
        let middle = || {
            let given = cell.resistance_dc().and_then(|r| Some((r.low()? + r.high()?) * 0.5));
            given.ok_or_else(|| {
                Error::input(
                    "resistances",
                    "none",
                    "a measured ten-second resistance of the cell, or one for each",
                )
            })
        };
        let wiring = self.wiring(tie.into(), watched)?;
        let all_alike = if resistances.is_empty() { Some(middle()?) } else { None };
        let chemistry = cell.chemistry();
        let curve = chemistry.curve_at(None, temperature)?;
        let eta = chemistry.coulombic_efficiency.middle();
        let of = |k: usize| {
            let capacity = capacities.get(k).copied().unwrap_or(cell.capacity());
            let r0 = all_alike.unwrap_or_else(|| resistances[k]);
            EquivalentCircuit::new(curve.clone(), capacity, eta, r0, pairs)
        };
        Wired::new(wiring, &(0..count).map(of).collect::<Result<Vec<_>, Error>>()?)
    }

    /// How the pack is tied; links and parts with their upper bound, parts that are not known as nothing.
    pub(crate) fn wiring(&self, tie: Tie, watched: bool) -> Result<Wiring, Error> {
        let link = match self.link().high() {
            Some(link) => link,
            None if self.cells() == 1 => ohms(0.0),
            None => return Err(Error::input("link", "not known", "the resistance of the links")),
        };
        Ok(Wiring {
            take_off: tie.take_off,
            joined: tie.joined,
            rail_link: tie.bar.unwrap_or(link),
            series_link: link,
            manager: self.parts().high().unwrap_or(ohms(0.0)),
            window: watched.then(|| self.cell().chemistry().voltage_window()),
            ..Wiring::new(self.series() as usize, self.parallel() as usize, self.order())
        })
    }
}
