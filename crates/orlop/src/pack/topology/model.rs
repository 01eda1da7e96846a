//! A pack of equal cells: what it is.

use super::Order;
use crate::cell::Cell;
use crate::error::{Error, not_negative, positive};
use crate::range::Range;
use orlop_units::{Charge, Energy, Mass, Quantity, Resistance, Temperature, Voltage, Volume, joules, ohms};

/// A pack: cells in a row and side by side, and which comes first.
///
/// Written out by words, because a notation such as 2P8S is read both ways: `series` counts voltages in a row, `parallel` counts
/// what stands side by side, and [`Order`] says which is tied first.
///
/// ```
/// use orlop::{Range, cell::{Cell, ChemistryId}, pack::{Order, Pack}, units::{ampere_hours, kilograms, show}};
/// let cell = Cell::new(ChemistryId::Lfp, ampere_hours(230.0))?.with_mass(kilograms(4.15))?;
/// let pack = Pack::new(cell, 8, 2, Order::SeriesFirst)?;
/// assert_eq!(show(pack.nominal_voltage()), "25.6 V");
/// assert_eq!((show(pack.capacity()), show(pack.energy())), ("460 Ah".into(), "11.8 kWh".into()));
/// assert_eq!(show(pack.mass().unwrap()), "66.4 kg");
/// assert_eq!((pack.monitored_voltages(), pack.managers()), (16, 2));
/// let pairs = pack.tied(Order::ParallelFirst);
/// assert_eq!((pairs.monitored_voltages(), pairs.managers()), (8, 1));
/// # Ok::<(), orlop::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pack {
    cell: Cell,
    series: u32,
    parallel: u32,
    order: Order,
    link: Range<Resistance>,
    parts: Range<Resistance>,
}

/// Most cells in a row or side by side.
const MOST: u32 = 100_000;

impl Pack {
    /// Equal cells, links and parts not known.
    ///
    /// # Errors
    /// [`Error::Input`] for no cells in series or in parallel, or more than a hundred thousand.
    pub fn new(cell: Cell, series: u32, parallel: u32, order: Order) -> Result<Self, Error> {
        for (field, count) in [("series", series), ("parallel", parallel)] {
            if !(1..=MOST).contains(&count) {
                return Err(Error::input(field, count.to_string(), format!("a count from 1 to {MOST}")));
            }
        }
        let unknown = Range::from_bounds(Some(ohms(0.0)), None);
        Ok(Self { cell, series, parallel, order, link: unknown, parts: unknown })
    }

    /// The same with the resistance of each link, its joints in it; a bound that is missing stays not known.
    ///
    /// # Errors
    /// [`Error::Input`] for a resistance below zero.
    pub fn with_link(self, link: Range<Resistance>) -> Result<Self, Error> {
        Ok(Self { link: checked(link, "link")?, ..self })
    }

    /// The same with what stands in a row with each string (series first) or with the whole (parallel first): contactor or
    /// manager, fuse, leads.
    ///
    /// # Errors
    /// [`Error::Input`] for a resistance below zero.
    pub fn with_parts(self, parts: Range<Resistance>) -> Result<Self, Error> {
        Ok(Self { parts: checked(parts, "parts")?, ..self })
    }

    /// The same cells tied in this order.
    #[must_use]
    pub fn tied(self, order: Order) -> Self {
        Self { order, ..self }
    }

    /// Its cell.
    #[must_use]
    pub fn cell(&self) -> &Cell {
        &self.cell
    }
    /// Cells or groups in a row.
    #[must_use]
    pub fn series(&self) -> u32 {
        self.series
    }
    /// Cells or strings side by side.
    #[must_use]
    pub fn parallel(&self) -> u32 {
        self.parallel
    }
    /// Which comes first.
    #[must_use]
    pub fn order(&self) -> Order {
        self.order
    }
    /// Resistance of each link.
    #[must_use]
    pub fn link(&self) -> Range<Resistance> {
        self.link
    }
    /// Resistance of contactor or manager, fuse and leads.
    #[must_use]
    pub fn parts(&self) -> Range<Resistance> {
        self.parts
    }
    /// How many cells it has.
    #[must_use]
    pub fn cells(&self) -> u64 {
        u64::from(self.series) * u64::from(self.parallel)
    }
    /// Nominal voltage.
    #[must_use]
    pub fn nominal_voltage(&self) -> Voltage {
        self.cell.nominal_voltage() * f64::from(self.series)
    }
    /// Lowest and highest voltage in service.
    #[must_use]
    pub fn voltage_window(&self) -> Range<Voltage> {
        let cell = self.cell.voltage_window();
        let whole = |v: Option<Voltage>| v.map(|v| v * f64::from(self.series));
        Range::from_bounds(whole(cell.low()), whole(cell.high()))
    }
    /// Capacity of equal cells; of cells that differ see [`capacity_of`].
    #[must_use]
    pub fn capacity(&self) -> Charge {
        self.cell.capacity() * f64::from(self.parallel)
    }
    /// Capacity times nominal voltage.
    #[must_use]
    pub fn energy(&self) -> Energy {
        self.capacity() * self.nominal_voltage()
    }
    /// Energy between empty and full at no current.
    ///
    /// # Errors
    /// As [`Cell::energy_at_rest`].
    pub fn energy_at_rest(&self, temperature: Temperature) -> Result<Energy, Error> {
        Ok(joules(self.cell.energy_at_rest(temperature)?.si() * self.cells() as f64))
    }
    /// Mass of the cells alone, where it is known.
    #[must_use]
    pub fn mass(&self) -> Option<Mass> {
        self.cell.mass().map(|m| m * self.cells() as f64)
    }
    /// Volume of the bodies of the cells alone, where their size is known.
    #[must_use]
    pub fn volume(&self) -> Option<Volume> {
        self.cell.size().map(|s| s.volume() * self.cells() as f64)
    }
    /// Voltages that somebody must watch: one for each group, or one for each cell of each string.
    #[must_use]
    pub fn monitored_voltages(&self) -> u64 {
        match self.order {
            Order::ParallelFirst => u64::from(self.series),
            Order::SeriesFirst => self.cells(),
        }
    }
    /// Managers needed: one that carries the whole current, or one for each string (common practice).
    #[must_use]
    pub fn managers(&self) -> u32 {
        match self.order {
            Order::ParallelFirst => 1,
            Order::SeriesFirst => self.parallel,
        }
    }
}

/// Capacity of cells that differ, in the order they are tied: group by group (the least group decides), or string by string (in
/// each the least cell decides, and the strings add up).
///
/// # Errors
/// [`Error::Input`] for no cells in series or parallel, another number of cells than series times parallel, or a capacity not above zero.
///
/// ```
/// use orlop::{pack::{capacity_of, Order}, units::{ampere_hours, show}};
/// let cells: Vec<_> = [100.0, 90.0, 96.0, 98.0].map(ampere_hours).to_vec();
/// assert_eq!(show(capacity_of(2, 2, Order::ParallelFirst, &cells)?), "190 Ah"); // 100 + 90 against 96 + 98
/// assert_eq!(show(capacity_of(2, 2, Order::SeriesFirst, &cells)?), "186 Ah"); // 90 and 96
/// # Ok::<(), orlop::Error>(())
/// ```
pub fn capacity_of(series: usize, parallel: usize, order: Order, cells: &[Charge]) -> Result<Charge, Error> {
    for (field, count) in [("series", series), ("parallel", parallel)] {
        if count == 0 {
            return Err(Error::input(field, "0", "one or more"));
        }
    }
    if series.checked_mul(parallel) != Some(cells.len()) {
        let expected = format!("{series} x {parallel} capacities");
        return Err(Error::input("cells", cells.len().to_string(), expected));
    }
    let ah = cells.iter().map(|q| Ok(positive(*q, "cells")?.si())).collect::<Result<Vec<f64>, Error>>()?;
    let least = |values: &mut dyn Iterator<Item = f64>| values.fold(f64::INFINITY, f64::min);
    Ok(Charge::from_si(match order {
        Order::ParallelFirst => least(&mut ah.chunks_exact(parallel).map(|group| group.iter().sum())),
        Order::SeriesFirst => ah.chunks_exact(series).map(|string| least(&mut string.iter().copied())).sum(),
    }))
}

fn checked(r: Range<Resistance>, field: &str) -> Result<Range<Resistance>, Error> {
    let check = |r: Option<Resistance>| r.map(|r| not_negative(r, field)).transpose();
    Ok(Range::from_bounds(check(r.low())?, check(r.high())?))
}
