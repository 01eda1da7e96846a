//! How a current is shared among parallel cells.

use orlop_units::{Current, Fraction, Power, Quantity, Resistance, Voltage, watts};

/// How a current is shared among parallel cells: one entry for each cell, or for each link between a cell and the next.
#[derive(Clone, Debug, PartialEq)]
pub struct Sharing {
    /// Cells of the positive and the negative lead, counted from 1.
    pub take_off: (usize, usize),
    /// The current taken off; discharge is positive.
    pub load: Current,
    /// Current of each cell.
    pub currents: Vec<Current>,
    /// Its share of the load; none without a load.
    pub shares: Vec<Option<Fraction>>,
    /// Current in each positive link, from a cell to the next.
    pub positive_links: Vec<Current>,
    /// Current in each negative link, from a cell to the next.
    pub negative_links: Vec<Current>,
    /// Heat in the resistance of each cell with its joints.
    pub cell_heat: Vec<Power>,
    /// Heat in each positive link.
    pub positive_link_heat: Vec<Power>,
    /// Heat in each negative link.
    pub negative_link_heat: Vec<Power>,
    /// Voltage between the leads, where the voltages of the cells are known.
    pub voltage: Option<Voltage>,
    /// Resistance of the row between its leads, all cells at the same voltage.
    pub resistance: Resistance,
}

impl Sharing {
    /// By how much the busiest cell carries more than the mean of all: 0.5 is half as much again. None without a load.
    #[must_use]
    pub fn excess(&self) -> Option<Fraction> {
        let load = self.load.si();
        if load == 0.0 {
            return None;
        }
        let most = self.currents.iter().map(|i| i.si() / load).fold(f64::NEG_INFINITY, f64::max);
        Some(Fraction::new(most * self.currents.len() as f64 - 1.0))
    }

    /// Heat in all cells and links together.
    #[must_use]
    pub fn heat(&self) -> Power {
        let parts = [&self.cell_heat, &self.positive_link_heat, &self.negative_link_heat];
        watts(parts.iter().flat_map(|list| list.iter()).map(|p| p.si()).sum())
    }
}
