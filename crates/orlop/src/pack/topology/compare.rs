//! The same cells tied both ways, side by side.

use super::{Failure, Order, Pack, Remains};
use crate::cell::FaultConditions;
use crate::error::{Error, not_negative};
use crate::source::{Citation, Confidence};
use orlop_units::{Fraction, Number, Quantity, show};

pub(crate) static COMMON_CAUSE: Citation = Citation::fixed(
    "beta-factor",
    "IEC 61508-6",
    "2010",
    "annex D, beta-factor model",
    "all fail: ((1 - beta) q)^n + beta q",
    Confidence::Memory,
    "recalled; the share of common causes is a judgement",
);

/// What parts cost, in whatever currency all of them are in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prices {
    /// A cell.
    pub cell: f64,
    /// A manager.
    pub manager: f64,
    /// A disconnect.
    pub disconnect: f64,
    /// A fuse with its holder.
    pub fuse: f64,
    /// A shunt.
    pub shunt: f64,
    /// A link.
    pub link: f64,
}

/// Parts of one way to tie the cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Parts {
    /// Cells.
    pub cells: u64,
    /// Voltages watched.
    pub monitored_voltages: u64,
    /// Managers; as many disconnects, fuses and shunts.
    pub managers: u32,
    /// Links between groups or between cells of a string.
    pub series_links: u64,
    /// Links of the rails between cells of the groups; strings meet on the boat's bus.
    pub rail_links: u64,
}

/// One way to tie the cells.
#[derive(Clone, Debug, PartialEq)]
pub struct Variant {
    /// Which comes first.
    pub order: Order,
    /// What it needs.
    pub parts: Parts,
    /// What is left after each failure that it can have.
    pub after: Vec<Remains>,
    /// What it costs, where prices were given.
    pub cost: Option<f64>,
}

/// Chances of losing current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Loss {
    /// That all is dark.
    pub all: Fraction,
    /// That some strings are out and some are not.
    pub part: Fraction,
}

impl Pack {
    /// What it needs.
    #[must_use]
    pub fn parts_needed(&self) -> Parts {
        let (s, p) = (u64::from(self.series()), u64::from(self.parallel()));
        let (series_links, rail_links) = match self.order() {
            Order::ParallelFirst => (s - 1, 2 * (p - 1) * s),
            Order::SeriesFirst => (p * (s - 1), 0),
        };
        Parts {
            cells: self.cells(),
            monitored_voltages: self.monitored_voltages(),
            managers: self.managers(),
            series_links,
            rail_links,
        }
    }

    /// The same cells parallel first and series first: parts, cost, what is left after each failure.
    ///
    /// # Errors
    /// As [`Pack::after`]; [`Error::Input`] for a price below zero.
    pub fn both_orders(
        &self,
        conditions: Option<FaultConditions>,
        prices: Option<Prices>,
    ) -> Result<[Variant; 2], Error> {
        let variant = |order: Order| -> Result<Variant, Error> {
            let pack = self.tied(order);
            let there = |f: &&Failure| match f {
                Failure::SeriesLink => pack.series() > 1,
                Failure::RailLink => pack.parallel() > 1,
                _ => true,
            };
            let parts = pack.parts_needed();
            let after = Failure::ALL.iter().filter(there).map(|f| pack.after(*f, conditions));
            Ok(Variant {
                order,
                parts,
                after: after.collect::<Result<_, Error>>()?,
                cost: prices.map(|p| p.of(&parts)).transpose()?,
            })
        };
        Ok([variant(Order::ParallelFirst)?, variant(Order::SeriesFirst)?])
    }

    /// Chance that all is dark, and that only a part is, from the chance `q` that a manager is out and the share `beta` of its causes that
    /// take out all of them together: `all = ((1 - beta) q)^n + beta q`.
    ///
    /// # Errors
    /// [`Error::Input`] for a chance or share outside 0 to 100 %.
    ///
    /// ```
    /// use orlop::{cell::{Cell, ChemistryId}, pack::{Order, Pack}, units::{ampere_hours, Fraction}};
    /// let pack = Pack::new(Cell::new(ChemistryId::Lfp, ampere_hours(230.0))?, 8, 2, Order::SeriesFirst)?;
    /// let loss = pack.loss(Fraction::new(0.01), Fraction::new(0.05))?;
    /// assert!((loss.all.value() - (0.0095_f64.powi(2) + 0.0005)).abs() < 1e-15);
    /// assert_eq!(pack.tied(Order::ParallelFirst).loss(Fraction::new(0.01), Fraction::new(0.05))?.part.value(), 0.0);
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn loss(&self, out: Fraction, common: Fraction) -> Result<Loss, Error> {
        for (field, share) in [("out", out), ("common", common)] {
            if !(0.0..=1.0).contains(&share.value()) {
                return Err(Error::input(field, show(share), "a share from 0 % to 100 %"));
            }
        }
        let (q, beta) = (out.value(), common.value());
        let n = self.managers();
        if n == 1 {
            return Ok(Loss { all: Fraction::new(q), part: Fraction::new(0.0) });
        }
        let n = f64::from(n);
        let alone = (1.0 - beta) * q;
        let together = alone.powf(n);
        let part = 1.0 - (1.0 - alone).powf(n) - together;
        Ok(Loss { all: Fraction::new(together + beta * q), part: Fraction::new(part.max(0.0)) })
    }
}

impl Prices {
    fn of(&self, parts: &Parts) -> Result<f64, Error> {
        let price = |value: f64, field: &str| not_negative(Number::of(value), field).map(Quantity::si);
        let each = price(self.manager, "manager")?
            + price(self.disconnect, "disconnect")?
            + price(self.fuse, "fuse")?
            + price(self.shunt, "shunt")?;
        let links = (parts.series_links + parts.rail_links) as f64 * price(self.link, "link")?;
        Ok(parts.cells as f64 * price(self.cell, "cell")? + f64::from(parts.managers) * each + links)
    }
}
