//! How all cells of a pack share its current at an instant, cell by cell and link by link.

use super::{Links, Tie, Wired, ladder};
use crate::cell::{Cell, CircuitState, EquivalentCircuit, Method, StateOfCharge};
use crate::error::Error;
use crate::pack::topology::Pack;
use orlop_units::{Current, Fraction, Power, Quantity, Temperature, Voltage, amperes, ohms, volts, watts};

/// How all cells of a pack share its current at an instant.
#[derive(Clone, Debug, PartialEq)]
pub struct PackSharing {
    /// The current taken; discharge is positive.
    pub load: Current,
    /// Voltage between the terminals.
    pub voltage: Voltage,
    /// Current of each branch: the cells group by group, or the strings.
    pub currents: Vec<Current>,
    /// Share of each in the load; none without a load.
    pub shares: Vec<Option<Fraction>>,
    /// Heat in each cell, as the cells were given.
    pub cell_heat: Vec<Power>,
    /// Current of each link and manager, A; on rails and bars towards higher cells.
    pub link_current_a: Links,
    /// Heat of each, W.
    pub link_heat_w: Links,
}

impl PackSharing {
    /// Heat in all cells, links and managers together.
    #[must_use]
    pub fn heat(&self) -> Power {
        watts(self.cell_heat.iter().map(|p| p.si()).sum::<f64>() + self.link_heat_w.total())
    }

    /// By how much the busiest of `parallel` branches side by side carries more than their mean. None without a load.
    #[must_use]
    pub fn excess(&self, parallel: usize) -> Option<Fraction> {
        let shares: Option<Vec<f64>> = self.shares.iter().map(|s| s.map(|s| s.value())).collect();
        let most = shares?.into_iter().fold(f64::NEG_INFINITY, f64::max);
        Some(Fraction::new(most * parallel as f64 - 1.0))
    }
}

/// How a pack shares its current, by both of the resistances of its cells.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedPack {
    /// At closing and inrush: resistances at 1 kHz.
    pub closing: PackSharing,
    /// What lasts: ten-second resistances.
    pub sustained: PackSharing,
    /// What was assumed.
    pub flags: Vec<String>,
}

impl Wired {
    /// How all cells share a current at an instant, the cells in these states; discharge is positive.
    ///
    /// # Errors
    /// As [`Wired::currents`].
    ///
    /// ```
    /// use orlop::cell::{CircuitState, CurveAt, EquivalentCircuit, StateOfCharge};
    /// use orlop::pack::{Joined, Order, TakeOff, Wired, Wiring};
    /// use orlop::units::{amperes, ampere_hours, ohms, show, Fraction};
    /// // Two groups of two, joined at both cells by 0.05 mohm, ideal bars at both ends, none to speak of between the groups.
    /// let curve = CurveAt::from_points(&[(0.0, 3.2), (1.0, 3.3)])?;
    /// let cell = |r| EquivalentCircuit::new(curve.clone(), ampere_hours(100.0), Fraction::new(1.0), ohms(r), &[]);
    /// let tied = Wiring { joined: Joined::EveryCell, series_link: ohms(0.05e-3), ..Wiring::new(2, 2, Order::ParallelFirst) };
    /// let pack = Wired::new(tied, &[cell(0.55e-3)?, cell(0.85e-3)?, cell(0.6e-3)?, cell(0.6e-3)?])?;
    /// let half = vec![CircuitState::rested(StateOfCharge::new(0.5)?)?; 4];
    /// let shared = pack.share(&half, amperes(100.0))?;
    /// assert_eq!(show(shared.currents[0]), "60 A"); // as 0.85 + 0.05 to 0.55 + 0.05
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn share(&self, states: &[CircuitState], current: Current) -> Result<PackSharing, Error> {
        let load = ladder::finite(current)?;
        let mut run = self.run(states)?;
        let voltage = volts(run.instant(load));
        let currents = run.branch_currents();
        let (link_current_a, link_heat_w) = run.links(load);
        Ok(PackSharing {
            load: current,
            voltage,
            shares: currents.iter().map(|i| (load != 0.0).then(|| Fraction::new(i / load))).collect(),
            currents: currents.into_iter().map(amperes).collect(),
            cell_heat: run.cell_watts().into_iter().map(watts).collect(),
            link_current_a,
            link_heat_w,
        })
    }
}

impl Pack {
    /// How the whole pack shares a current, by the 1 kHz and by the ten-second resistance of its cells, all rested at one charge.
    ///
    /// `cells` are the single cells, group by group or string by string; an empty list takes the cell of the pack. Where a resistance is a
    /// range its lower bound is taken, and of links and parts the upper: the least even end. Parts that are not known count as nothing.
    ///
    /// # Errors
    /// [`Error::Input`] for another number of cells than the pack has, links that are not known, a current that is no number; as
    /// [`Cell::resistance`], [`crate::cell::Chemistry::curve_at`] and [`Wired::new`].
    ///
    /// ```
    /// use orlop::{Range, cell::{Cell, ChemistryId, StateOfCharge}, pack::{Joined, Order, Pack, TakeOff, Tie}};
    /// use orlop::units::{ampere_hours, amperes, ohms, show, Temperature};
    /// let cell = Cell::new(ChemistryId::Lfp, ampere_hours(230.0))?
    ///     .with_resistance_1khz(Range::exactly(ohms(0.18e-3)))?
    ///     .with_resistance_dc(Range::exactly(ohms(0.55e-3)))?;
    /// let pack = Pack::new(cell, 8, 2, Order::ParallelFirst)?.with_link(Range::exactly(ohms(0.06e-3)))?;
    /// let tie = Tie::new(TakeOff::SameEnd, Joined::EveryCell);
    /// let shared = pack.share(&[], tie, amperes(200.0), StateOfCharge::new(0.5)?, Temperature::celsius(25.0))?;
    /// let sustained = &shared.sustained;
    /// // The cells at the leads carry most, those half-way nearly the same: each bar evens out what the one before it left.
    /// assert_eq!(show(sustained.shares[0].unwrap()), "52.2 %");
    /// assert_eq!(show(sustained.shares[8].unwrap()), "50 %");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn share(
        &self,
        cells: &[Cell],
        tie: impl Into<Tie>,
        current: Current,
        charge: StateOfCharge,
        temperature: Temperature,
    ) -> Result<SharedPack, Error> {
        let count = self.cells() as usize;
        if !cells.is_empty() && cells.len() != count {
            return Err(Error::input(
                "cells",
                cells.len().to_string(),
                format!("{count}, one for each place"),
            ));
        }
        let wiring = self.wiring(tie.into(), false)?;
        let states = vec![CircuitState::rested(charge)?; count];
        let mut flags: Vec<String> = Vec::new();
        let circuit = |cell: &Cell, method: Method, flags: &mut Vec<String>| {
            let r = cell.resistance(method, charge, temperature)?;
            for flag in r.flags.iter().filter(|flag| !flags.contains(flag)).cloned().collect::<Vec<_>>() {
                flags.push(flag);
            }
            let curve = cell.chemistry().curve_at(None, temperature)?;
            EquivalentCircuit::new(curve, cell.capacity(), Fraction::new(1.0), ohms(r.low().si()), &[])
        };
        let mut by = |method: Method| {
            let circuits = match cells {
                [] => vec![circuit(self.cell(), method, &mut flags)?; count],
                _ => cells.iter().map(|c| circuit(c, method, &mut flags)).collect::<Result<_, Error>>()?,
            };
            Wired::new(wiring, &circuits)?.share(&states, current)
        };
        let (closing, sustained) = (by(Method::OneKilohertz)?, by(Method::TenSeconds)?);
        Ok(SharedPack { closing, sustained, flags })
    }
}
