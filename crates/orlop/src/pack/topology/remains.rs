//! What is left after one part has failed.

use super::fault::over;
use super::{Order, Pack};
use crate::cell::{FaultConditions, FaultEnds};
use crate::choice::choice;
use crate::error::Error;
use crate::pack::share::{Ladder, TakeOff};
use crate::range::Range;
use orlop_units::{Charge, Current, Fraction, Quantity, Resistance, amperes, ohms, show};

choice! {
    /// One part that fails.
    Failure {
        /// A cell that passes no current any more.
        CellOpen = "cell-open",
        /// A cell with a short inside.
        CellShort = "cell-short",
        /// A link between groups, or between cells of a string.
        SeriesLink = "series-link",
        /// A link of a rail, between cells of a group or between strings: the one that cuts off most.
        RailLink = "rail-link",
        /// A manager that opens and stays open.
        Manager = "manager",
    }
}

/// What is left until somebody mends it.
#[derive(Clone, Debug, PartialEq)]
pub struct Remains {
    /// What failed.
    pub failure: Failure,
    /// Capacity in service, from equal cells.
    pub capacity: Charge,
    /// The same as a share of the whole.
    pub share: Fraction,
    /// How many times its own current each cell that is left carries at the same load; none when nothing is left.
    pub burden: Option<f64>,
    /// Current that the part's neighbours send into a short; none where none flows.
    pub short_current: Option<Range<Current>>,
    /// What was assumed for that current.
    pub flags: Vec<String>,
    /// What happens, in a sentence or two.
    pub what: String,
}

impl Pack {
    /// What is left after one part has failed. The conditions are those of the current into a short; without them it is not told.
    ///
    /// # Errors
    /// [`Error::Input`] for a part that this pack does not have; as [`Pack::fault_current`], for the conditions.
    ///
    /// ```
    /// use orlop::cell::{Cell, ChemistryId};
    /// use orlop::{pack::{Failure, Order, Pack}, units::ampere_hours};
    /// let pack = Pack::new(Cell::new(ChemistryId::Lfp, ampere_hours(230.0))?, 8, 2, Order::ParallelFirst)?;
    /// assert_eq!(pack.after(Failure::CellOpen, None)?.share.value(), 0.5); // one cell of a pair: the group caps the pack
    /// assert_eq!(pack.after(Failure::Manager, None)?.share.value(), 0.0);
    /// assert_eq!(pack.tied(Order::SeriesFirst).after(Failure::Manager, None)?.share.value(), 0.5);
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn after(&self, failure: Failure, conditions: Option<FaultConditions>) -> Result<Remains, Error> {
        let (s, p) = (self.series(), self.parallel());
        let missing = match failure {
            Failure::SeriesLink if s == 1 => Some("a pack with two or more in series"),
            Failure::RailLink if p == 1 => Some("a pack with two or more in parallel"),
            _ => None,
        };
        if let Some(expected) = missing {
            return Err(Error::input("failure", failure.word(), expected));
        }
        let groups = self.order() == Order::ParallelFirst;
        let asked = conditions.filter(|_| failure == Failure::CellShort && p > 1);
        let ends = asked.map(|at| self.cell().fault(at)).transpose()?;
        let short_current = match &ends {
            Some(ends) if groups => Some(self.fed_by_the_group(ends)?),
            Some(ends) => Some(self.fed_by_the_strings(ends)?),
            None => None,
        };
        let short = || short_current.as_ref().map_or("a current not asked for".into(), Range::to_string);
        let (left, what) = match (failure, groups) {
            (Failure::CellOpen, true) if p > 1 => (
                p - 1,
                "The group goes on with one cell less and caps the pack until it is rebuilt; its voltage, all that the manager sees, \
                 does not show it at rest."
                    .to_string(),
            ),
            (Failure::CellOpen, true) => (0, "The only cell of a group is open: no current passes.".into()),
            (Failure::CellOpen, false) => (p - 1, "Its string passes no current; the others go on.".into()),
            (Failure::CellShort, true) if p > 1 => (
                0,
                format!(
                    "The other cells of the group feed the short with {}, and no manager or fuse outside the group stops them: out of \
                     service.",
                    short()
                ),
            ),
            (Failure::CellShort, true) => {
                (0, "A voltage is missing in the row; the manager has to open: out of service.".into())
            }
            (Failure::CellShort, false) if p > 1 => (
                p - 1,
                format!(
                    "The string lacks a cell and the others drive {} into it, until its manager or fuse opens; the others go on.",
                    short()
                ),
            ),
            (Failure::CellShort, false) => {
                (0, "The string lacks a cell; its manager has to open: out of service.".into())
            }
            (Failure::SeriesLink, true) => {
                (0, "The row is broken between two groups: no current passes, unless more links stand side by side.".into())
            }
            (Failure::SeriesLink, false) => (p - 1, "Its string passes no current; the others go on.".into()),
            (Failure::RailLink, true) => (
                1,
                "At worst all cells of a group but one are cut off, and that one carries the whole current: its fuse is that of \
                 the pack."
                    .into(),
            ),
            (Failure::RailLink, false) => (1, "At worst all strings but one are cut off from the bus.".into()),
            (Failure::Manager, true) => (0, "The only manager opens: dark.".into()),
            (Failure::Manager, false) => (p - 1, "Its string is out; the others go on.".into()),
        };
        let share = f64::from(left) / f64::from(p);
        Ok(Remains {
            failure,
            capacity: self.capacity() * share,
            share: Fraction::new(share),
            burden: (left > 0).then(|| f64::from(p) / f64::from(left)),
            short_current,
            flags: ends.map_or_else(Vec::new, |e| e.flags),
            what,
        })
    }

    /// What the other cells of a group send into one with a short: from the least favourable to the most favourable place.
    fn fed_by_the_group(&self, ends: &FaultEnds) -> Result<Range<Current>, Error> {
        let p = self.parallel() as usize;
        let place = |cell: f64, link: f64, at: usize| -> Result<f64, Error> {
            let row = Ladder::even(p, ohms(cell), ohms(link))?.without(at)?;
            let at_both = TakeOff::At { positive: at, negative: at };
            Ok(row.share(at_both, amperes(1.0))?.resistance.si())
        };
        let si = |r: Option<Resistance>| r.map(Quantity::si);
        let least = match si(ends.resistance.low()) {
            Some(cell) => Some(place(cell, si(self.link().low()).unwrap_or(0.0), p.div_ceil(2))?),
            None => None,
        };
        let most = match si(ends.resistance.high()).zip(si(self.link().high())) {
            Some((cell, link)) => Some(place(cell, link, 1)?),
            None => None,
        };
        Ok(over(ends.voltage, Range::from_bounds(least.map(ohms), most.map(ohms))))
    }

    /// What the healthy strings drive into one that lacks a cell: one cell voltage over both ways.
    fn fed_by_the_strings(&self, ends: &FaultEnds) -> Result<Range<Current>, Error> {
        let string = self.unit(ends.resistance)?;
        let others = f64::from(self.parallel() - 1);
        let way = |string: Option<Resistance>, cell: Option<Resistance>, others: f64| {
            string.zip(cell).map(|(r, c)| ohms(r.si() * (1.0 + 1.0 / others) - c.si()))
        };
        let least = way(string.low(), ends.resistance.low(), others);
        let most = way(string.high(), ends.resistance.high(), 1.0);
        Ok(over(ends.voltage, Range::from_bounds(least, most)))
    }
}

impl std::fmt::Display for Remains {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{}: {} left ({}). {}",
            self.failure.word(),
            show(self.capacity),
            show(self.share),
            self.what
        )
    }
}
