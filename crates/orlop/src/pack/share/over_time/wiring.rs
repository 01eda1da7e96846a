//! How cells are tied, and the network that comes of it.

use super::Course;
use super::grid::Grid;
use super::net::Net;
use super::rows::rows;
use super::run::Run;
use super::strings::Strings;
use crate::cell::{CircuitState, EquivalentCircuit};
use crate::error::{Error, not_negative, positive};
use crate::pack::share::mesh::Rails;
use crate::pack::share::{TakeOff, ladder};
use crate::pack::topology::Order;
use crate::range::Range;
use orlop_units::{Current, Quantity, Resistance, Time, Voltage, amperes, ohms, show, volts};

/// How groups of parallel cells are joined into a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Joined {
    /// By one lead from the take-off of each group to that of the next.
    Lead,
    /// At every cell: each stands on a cell of the group before it, and one bar across ties the posts that meet. Only the bars at both
    /// ends have a take-off.
    EveryCell,
}

impl Joined {
    /// All of them.
    pub const ALL: [Self; 2] = [Self::Lead, Self::EveryCell];

    /// Its word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Lead => "lead",
            Self::EveryCell => "every-cell",
        }
    }

    /// Reads a word.
    ///
    /// # Errors
    /// [`Error::Input`] with the choices.
    pub fn parse(text: &str, field: &str) -> Result<Self, Error> {
        let found = Self::ALL.into_iter().find(|j| j.word() == text.trim());
        found.ok_or_else(|| Error::input(field, format!("'{}'", text.trim()), "lead or every-cell"))
    }
}

/// How cells are tied. Only the first four must be thought about; [`Wiring::new`] leaves the rest ideal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wiring {
    /// Cells or groups in a row.
    pub series: usize,
    /// Cells or strings side by side.
    pub parallel: usize,
    /// Which comes first.
    pub order: Order,
    /// Where the current leaves each group (parallel first), or the bus that the strings are tied to (series first).
    pub take_off: TakeOff,
    /// How groups are joined (parallel first).
    pub joined: Joined,
    /// Each link of each rail between cells of a group or between strings, its joints in it; each piece of bar between neighbours where
    /// groups are joined at every cell.
    pub rail_link: Resistance,
    /// Each link between the groups or between the cells of a string, its joints in it; where groups are joined at every cell, that between
    /// each cell and the bar towards the next group.
    pub series_link: Resistance,
    /// Manager, contactor, fuse and leads together: of the pack (parallel first) or of each string (series first).
    pub manager: Resistance,
    /// Lowest and highest voltage at which a manager opens, per cell; none when nobody watches.
    pub window: Option<Range<Voltage>>,
}

impl Wiring {
    /// Cells tied with ideal links, leads on the diagonal, nobody watching.
    #[must_use]
    pub fn new(series: usize, parallel: usize, order: Order) -> Self {
        Self {
            series,
            parallel,
            order,
            take_off: TakeOff::Diagonal,
            joined: Joined::Lead,
            rail_link: ohms(0.0),
            series_link: ohms(0.0),
            manager: ohms(0.0),
            window: None,
        }
    }

    fn checked(&self) -> Result<(), Error> {
        for (field, count) in [("series", self.series), ("parallel", self.parallel)] {
            if count == 0 {
                return Err(Error::input(field, "0", "one or more"));
            }
        }
        if self.order == Order::SeriesFirst && self.joined == Joined::EveryCell {
            let expected = "lead: strings are not groups and meet only at the buses";
            return Err(Error::input("joined", self.joined.word(), expected));
        }
        not_negative(self.rail_link, "rail_link")?;
        not_negative(self.series_link, "series_link")?;
        not_negative(self.manager, "manager")?;
        for limit in self.window.iter().flat_map(|w| [w.low(), w.high()]).flatten() {
            positive(limit, "window")?;
        }
        self.take_off.cells(self.parallel)?;
        Ok(())
    }

    /// The network of it.
    pub(super) fn net(&self) -> Result<Box<dyn Net>, Error> {
        Ok(match (self.order, self.joined) {
            (Order::SeriesFirst, _) => Box::new(Strings::new(self)?),
            (Order::ParallelFirst, Joined::Lead) => rows(self)?,
            (Order::ParallelFirst, Joined::EveryCell) => Box::new(Grid::new(self)?),
        })
    }

    pub(super) fn rails(&self) -> Result<Rails, Error> {
        let (positive, negative) = self.take_off.cells(self.parallel)?;
        let links = vec![self.rail_link.si(); self.parallel - 1];
        Ok(Rails {
            positive: links.clone(),
            negative: links,
            take_positive: positive - 1,
            take_negative: negative - 1,
        })
    }
}

/// Cells tied into a network that runs over time.
///
/// Cells come group by group when parallel comes first, string by string when series comes first.
///
/// ```
/// use orlop::cell::{CircuitState, CurveAt, EquivalentCircuit, StateOfCharge};
/// use orlop::pack::{Order, Wired, Wiring};
/// use orlop::units::{ampere_hours, ohms, seconds, Fraction};
/// // Two cells of 100 Ah, 1.0 and 1.2 mohm, whose voltage rises by 0.1 V from empty to full, at 100 A.
/// let curve = CurveAt::from_points(&[(0.0, 3.25), (1.0, 3.35)])?;
/// let cell = |r| EquivalentCircuit::new(curve.clone(), ampere_hours(100.0), Fraction::new(1.0), ohms(r), &[]);
/// let pack = Wired::new(Wiring::new(1, 2, Order::ParallelFirst), &[cell(1.0e-3)?, cell(1.2e-3)?])?;
/// let full = vec![CircuitState::rested(StateOfCharge::FULL)?; 2];
/// let course = pack.simulate(&full, &vec![100.0; 3600], seconds(1.0), 1800)?;
/// let one: Vec<String> = course.branch_current_a.iter().map(|i| format!("{:.2}", i[0])).collect();
/// assert_eq!(one, ["54.55", "52.89", "51.83"]); // I1 = (a dz + I R2)/(R1 + R2)
/// # Ok::<(), orlop::Error>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Wired {
    pub(super) wiring: Wiring,
    pub(super) cells: Vec<EquivalentCircuit>,
}

impl Wired {
    /// A network of cells.
    ///
    /// # Errors
    /// [`Error::Input`] for no cells in series or in parallel, another number of cells than series times parallel, resistances
    /// below zero, limits not above zero, or a take-off at a branch that is not there.
    pub fn new(wiring: Wiring, cells: &[EquivalentCircuit]) -> Result<Self, Error> {
        wiring.checked()?;
        let wanted = wiring.series.checked_mul(wiring.parallel);
        if wanted != Some(cells.len()) {
            let expected = format!("{} x {} cells", wiring.series, wiring.parallel);
            return Err(Error::input("cells", cells.len().to_string(), expected));
        }
        Ok(Self { wiring, cells: cells.to_vec() })
    }

    /// How the cells are tied.
    #[must_use]
    pub fn wiring(&self) -> &Wiring {
        &self.wiring
    }
    /// The cells.
    #[must_use]
    pub fn cells(&self) -> &[EquivalentCircuit] {
        &self.cells
    }

    pub(in crate::pack::share) fn run(&self, states: &[CircuitState]) -> Result<Run, Error> {
        Run::new(self, states)
    }

    /// Current of each branch at an instant, the cells in these states; discharge is positive.
    ///
    /// Branches are the cells of each group, group by group, or the strings.
    ///
    /// # Errors
    /// [`Error::Input`] for another number of states than cells or a current that is no number.
    pub fn currents(&self, states: &[CircuitState], current: Current) -> Result<Vec<Current>, Error> {
        let load = ladder::finite(current)?;
        let mut run = self.run(states)?;
        run.instant(load);
        Ok(run.branch_currents().into_iter().map(amperes).collect())
    }

    /// Voltage between the terminals at an instant.
    ///
    /// # Errors
    /// As [`Wired::currents`].
    pub fn voltage(&self, states: &[CircuitState], current: Current) -> Result<Voltage, Error> {
        let load = ladder::finite(current)?;
        let mut run = self.run(states)?;
        Ok(volts(run.instant(load)))
    }

    /// Runs a series of currents in amperes, each for `dt`; discharge is positive. Samples are kept at the start, after every
    /// so many steps, and at the end.
    ///
    /// With a window, a manager opens before the step in which a voltage it watches would leave the window or a cell would be
    /// emptied or overfilled: the string is then out for good and the others go on, or, parallel first, the pack is out. Without a window the
    /// run stops just when the first cell is empty or full.
    ///
    /// Time and memory are proportional to cells and steps.
    ///
    /// # Errors
    /// [`Error::Input`] for another number of states than cells, a step not above zero, a current that is no number (named by its
    /// place), or samples every zero steps.
    pub fn simulate(
        &self,
        start: &[CircuitState],
        currents_a: &[f64],
        dt: Time,
        every: usize,
    ) -> Result<Course, Error> {
        let step = positive(dt, "dt")?.si();
        if every == 0 {
            return Err(Error::input("every", "0", "one step or more between samples"));
        }
        if let Some(bad) = currents_a.iter().position(|i| !i.is_finite()) {
            let got = format!("{} at place {bad}", currents_a[bad]);
            return Err(Error::input("currents_a", got, "currents in amperes, all of them numbers"));
        }
        Run::new(self, start)?.through(currents_a, step, every)
    }
}

impl std::fmt::Display for Wiring {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Self { series, parallel, order, .. } = self;
        write!(
            f,
            "{series} in series, {parallel} in parallel, {}, links {}",
            order.word(),
            show(self.rail_link)
        )
    }
}
