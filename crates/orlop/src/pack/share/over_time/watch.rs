//! What managers look at: voltages that leave the window, cells that would be emptied or overfilled.

use super::kernel::Cells;
use super::wiring::Wiring;
use super::{Opened, Why};
use crate::pack::topology::Order;
use orlop_units::{Quantity, Voltage, seconds};

/// The managers of a pack.
pub(super) struct Watch {
    low: f64,
    high: f64,
    /// Cells of each string with a manager of its own; none where one manager watches groups.
    each: Option<usize>,
}

impl Watch {
    /// The managers of this wiring, where there are any.
    pub fn of(wiring: &Wiring) -> Option<Self> {
        let window = wiring.window?;
        let bound = |v: Option<Voltage>, none: f64| v.map_or(none, Quantity::si);
        Some(Self {
            low: bound(window.low(), f64::NEG_INFINITY),
            high: bound(window.high(), f64::INFINITY),
            each: (wiring.order == Order::SeriesFirst).then_some(wiring.series),
        })
    }

    /// Why a voltage would not be permitted under a current, and by how much.
    fn outside(&self, u: f64, i: f64) -> Option<(Why, f64)> {
        if i > 0.0 && u < self.low {
            Some((Why::Low, self.low - u))
        } else if i < 0.0 && u > self.high {
            Some((Why::High, u - self.high))
        } else {
            None
        }
    }

    /// The worst of what would not be permitted in the step just solved, its time still zero.
    ///
    /// Comes with the voltages of groups, and for each cell its place, and by place voltages and currents.
    pub fn violation(
        &self,
        cells: &Cells,
        groups: &[f64],
        (place, e, i): (&[usize], &[f64], &[f64]),
        load: f64,
        leaves: bool,
    ) -> Option<Opened> {
        let mut worst: Option<(f64, Opened)> = None;
        let mut note = |manager: usize, cell: usize, why: Why, by: f64| {
            if worst.as_ref().is_none_or(|w| by > w.0) {
                let opened = Opened { at: seconds(0.0), manager: manager + 1, cell: cell + 1, why };
                worst = Some((by, opened));
            }
        };
        for (g, u) in groups.iter().enumerate() {
            if let Some((why, by)) = self.outside(*u, load) {
                note(0, g, why, by);
            }
        }
        if self.each.is_none() && !leaves {
            return worst.map(|w| w.1);
        }
        for (c, &at) in place.iter().enumerate().filter(|(_, at)| i[**at] != 0.0) {
            let manager = self.each.map_or(0, |each| c / each);
            if self.each.is_some()
                && let Some((why, by)) = self.outside(e[at] - cells.resistance(at) * i[at], i[at])
            {
                note(manager, c, why, by);
            }
            if leaves && cells.leaves(at, i[at]) {
                note(manager, c, if i[at] > 0.0 { Why::Empty } else { Why::Full }, 0.0);
            }
        }
        worst.map(|w| w.1)
    }
}
