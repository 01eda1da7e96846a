//! The resistance of a pack between its terminals, on both sides.

use super::{Order, Pack};
use crate::cell::{Method, StateOfCharge};
use crate::error::Error;
use crate::pack::share::{Ladder, TakeOff};
use crate::range::Range;
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Quantity, Resistance, Temperature, ohms};

/// Bounds of the resistance of a pack.
#[derive(Clone, Debug, PartialEq)]
pub struct PackResistance {
    /// Between the terminals, all strings closed. A bound is missing where links or parts are not known.
    pub value: Range<Resistance>,
    /// Of one string with its parts; parallel first, of the whole.
    pub string: Range<Resistance>,
    /// What was assumed.
    pub flags: Vec<String>,
}

impl Pack {
    /// Resistance between the terminals by method, charge and temperature.
    ///
    /// Series first: `(s R + (s - 1) links + parts)/p`. Parallel first: `s G + (s - 1) links + parts` with `G` a group: at least
    /// `R/p`, all cells reached alike; at most a ladder with both leads at the same end. At least all `p` links between two groups
    /// carry, at most one.
    ///
    /// # Errors
    /// As [`crate::cell::Cell::resistance`].
    ///
    /// ```
    /// use orlop::{Range, cell::{Cell, ChemistryId, Method, StateOfCharge}, pack::{Order, Pack}};
    /// use orlop::units::{ampere_hours, ohms, Temperature};
    /// let cell = Cell::new(ChemistryId::Lfp, ampere_hours(230.0))?
    ///     .with_resistance_1khz(Range::exactly(ohms(0.18e-3)))?
    ///     .with_resistance_dc(Range::exactly(ohms(0.55e-3)))?;
    /// // Seven links of 0.06, contactor 0.20, fuse 0.15, leads 0.31 mohm.
    /// let pack = Pack::new(cell, 8, 2, Order::SeriesFirst)?
    ///     .with_link(Range::exactly(ohms(0.06e-3)))?
    ///     .with_parts(Range::exactly(ohms(0.66e-3)))?;
    /// let r = pack.resistance(Method::OneKilohertz, StateOfCharge::new(0.5)?, Temperature::celsius(25.0))?;
    /// assert_eq!(r.string.to_string(), "2.52 mohm");
    /// assert_eq!(r.value.to_string(), "1.26 mohm");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn resistance(
        &self,
        method: Method,
        charge: StateOfCharge,
        temperature: Temperature,
    ) -> Result<PackResistance, Error> {
        self.resistance_recorded(method, charge, temperature, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Pack::resistance`].
    pub fn resistance_recorded(
        &self,
        method: Method,
        charge: StateOfCharge,
        temperature: Temperature,
        rec: &mut impl Recorder,
    ) -> Result<PackResistance, Error> {
        let cell = self.cell().resistance_recorded(method, charge, temperature, rec)?;
        let string = self.unit(Range::new(cell.low(), cell.high()))?;
        let value = self.whole(string);
        rec.step(|| {
            let step = Step::new("resistance of the pack", "R", value.to_string())
                .input("R_cell", cell.value.to_string())
                .input("s", f64::from(self.series()))
                .input("p", f64::from(self.parallel()))
                .input("links", self.link().to_string())
                .input("parts", self.parts().to_string());
            match self.order() {
                Order::SeriesFirst => step.formula("(s R_cell + (s - 1) links + parts)/p"),
                Order::ParallelFirst => step.formula(
                    "s G + (s - 1) links + parts, a group G from R_cell/p to a ladder with both leads at one end",
                ),
            }
        });
        let mut flags = cell.flags;
        if value.high().is_none() {
            flags.push(
                "links or parts are not known: the resistance may be higher than any number here".into(),
            );
        }
        Ok(PackResistance { value, string, flags })
    }

    /// One string with its parts, or, parallel first, the whole, from the resistance of its cells.
    pub(super) fn unit(&self, cell: Range<Resistance>) -> Result<Range<Resistance>, Error> {
        let (s, p) = (f64::from(self.series()), f64::from(self.parallel()));
        let sum = |cells: f64, links: f64, parts: f64| ohms(s * cells + (s - 1.0) * links + parts);
        let si = |r: Option<Resistance>| r.map(Quantity::si);
        let (cell_low, cell_high) = (si(cell.low()), si(cell.high()));
        let (link_low, link_high) = (si(self.link().low()).unwrap_or(0.0), si(self.link().high()));
        let (parts_low, parts_high) = (si(self.parts().low()).unwrap_or(0.0), si(self.parts().high()));
        // A link that is not there need not be known.
        let series_high = link_high.or((self.series() == 1).then_some(0.0));
        let (low, high) = match self.order() {
            Order::SeriesFirst => (
                cell_low.map(|r| sum(r, link_low, parts_low)),
                cell_high.zip(series_high).zip(parts_high).map(|((r, l), d)| sum(r, l, d)),
            ),
            Order::ParallelFirst => {
                let rail_high = link_high.or((self.parallel() == 1).then_some(0.0));
                let group_high = match cell_high.zip(rail_high) {
                    Some((r, link)) => Some(same_end(self.parallel() as usize, r, link)?),
                    None => None,
                };
                (
                    cell_low.map(|r| sum(r / p, link_low / p, parts_low)),
                    group_high.zip(series_high).zip(parts_high).map(|((g, l), d)| sum(g, l, d)),
                )
            }
        };
        Ok(Range::from_bounds(low, high))
    }

    /// All strings closed.
    pub(super) fn whole(&self, string: Range<Resistance>) -> Range<Resistance> {
        match self.order() {
            Order::ParallelFirst => string,
            Order::SeriesFirst => {
                let p = f64::from(self.parallel());
                Range::from_bounds(string.low().map(|r| r / p), string.high().map(|r| r / p))
            }
        }
    }
}

/// A group with both leads at one end, links on both rails: the most it may have.
fn same_end(parallel: usize, cell: f64, link: f64) -> Result<f64, Error> {
    let row = Ladder::even(parallel, ohms(cell), ohms(link))?;
    Ok(row.share(TakeOff::SameEnd, orlop_units::amperes(1.0))?.resistance.si())
}
