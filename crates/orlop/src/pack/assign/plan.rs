//! What is to be built.

use crate::error::Error;
use crate::pack::Order;

/// What is to be built from a delivery.
///
/// ```
/// use orlop::pack::{Order, assign::Plan};
/// let plan = Plan::new(8, 2, Order::SeriesFirst)?.without(["D12"]);
/// assert!(Plan::new(0, 2, Order::SeriesFirst).is_err());
/// # Ok::<(), orlop::Error>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    series: usize,
    parallel: usize,
    order: Order,
    without: Option<Vec<String>>,
}

impl Plan {
    /// So many in series, so many in parallel. Cells whose flags advise to reject them are left out, the worst first, as far
    /// as there are enough others.
    ///
    /// # Errors
    /// [`Error::Input`] for a count of zero or more than 100,000 cells in all.
    pub fn new(series: usize, parallel: usize, order: Order) -> Result<Self, Error> {
        for (count, field) in [(series, "series"), (parallel, "parallel")] {
            if count == 0 {
                return Err(Error::input(field, "0", "a count of one or more"));
            }
        }
        if series.checked_mul(parallel).is_none_or(|n| n > 100_000) {
            return Err(Error::input(
                "series, parallel",
                format!("{series} x {parallel}"),
                "at most 100,000 cells in all",
            ));
        }
        Ok(Self { series, parallel, order, without: None })
    }

    /// The same, leaving out just these cells, whatever flags say; none to use any cell.
    #[must_use]
    pub fn without<S: Into<String>>(self, cells: impl IntoIterator<Item = S>) -> Self {
        Self { without: Some(cells.into_iter().map(Into::into).collect()), ..self }
    }

    /// Cells that the bank takes.
    #[must_use]
    pub fn cells(&self) -> usize {
        self.series * self.parallel
    }
    /// Cells in series.
    #[must_use]
    pub fn series(&self) -> usize {
        self.series
    }
    /// Cells in parallel.
    #[must_use]
    pub fn parallel(&self) -> usize {
        self.parallel
    }
    /// Which comes first.
    #[must_use]
    pub fn order(&self) -> Order {
        self.order
    }
    /// The cells to leave out, where they were said.
    #[must_use]
    pub fn left_out(&self) -> Option<&[String]> {
        self.without.as_deref()
    }
    /// Groups that the cells are parted into, and cells in each.
    pub(super) fn shape(&self) -> (usize, usize) {
        match self.order {
            Order::ParallelFirst => (self.series, self.parallel),
            Order::SeriesFirst => (self.parallel, self.series),
        }
    }
}
