//! What all ways to tie cells have in common for a run: a current in every cell, from voltages behind resistances.

use crate::error::Error;
use std::ops::Range;

/// A network of cells in places of its own choice, in parts that are solved one by one under the same load.
pub(super) trait Net {
    /// The cell in each place, [`super::kernel::IDLE`] where there is none.
    fn places(&self) -> &[usize];
    /// The places of each part: all of them in one, where nothing else is said.
    #[allow(clippy::single_range_in_vec_init, reason = "it is one part")]
    fn parts(&self) -> Vec<Range<usize>> {
        vec![0..self.places().len()]
    }
    /// Takes the resistances of the cells of a part, in its places; those of links and joints the network knows.
    ///
    /// # Errors
    /// [`Error::NoSolution`] where they differ by more than arithmetic can hold.
    fn factor(&mut self, part: usize, r: &[f64]) -> Result<(), Error>;
    /// Currents of the cells of a part from their voltages and the load.
    fn solve(&mut self, part: usize, e: &[f64], load: f64, i: &mut [f64]);
    /// Voltage between the terminals after all parts were solved for a load.
    fn voltage(&self, load: f64) -> f64;
    /// Voltage of each group, where one manager watches groups; nothing where each string has its own.
    fn groups(&self) -> &[f64];
    /// Takes a string out; false when nothing would be left.
    fn open(&mut self, string: usize) -> bool;
    /// Counts the heat of links and managers over a time, the currents of the cells as last solved for this load.
    fn count_heat(&mut self, i: &[f64], load: f64, h: f64);
    /// The heat counted.
    fn heat(&self) -> Links;
    /// Current of each link and manager, those of the cells and the load as last solved: on rails and bars towards higher cells.
    fn links(&self, i: &[f64], load: f64) -> Links;
    /// Current of each branch: cells group by group, or strings.
    fn branches(&self, i: &[f64]) -> Vec<f64>;
}

/// A number for each piece of metal that ties cells: amperes or watts of an instant, joules of a run.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Links {
    /// Links of the positive rail of each group, group by group, or of the bus of the strings; each between a branch and the next.
    pub positive_rail: Vec<f64>,
    /// Links of the negative rails, alike.
    pub negative_rail: Vec<f64>,
    /// Pieces of the bars that groups share where they are joined at every cell: bar by bar from the negative end, one more than groups.
    pub bars: Vec<f64>,
    /// Links between groups, one or one for each cell side by side, or between the cells of each string, string by string.
    pub series: Vec<f64>,
    /// Manager, contactor, fuse and leads together: of the pack, or of each string.
    pub managers: Vec<f64>,
}

impl Links {
    /// Each list with what its pieces are called.
    #[must_use]
    pub fn lists(&self) -> [(&'static str, &[f64]); 5] {
        let Self { positive_rail, negative_rail, bars, series, managers } = self;
        [
            ("positive rail", positive_rail),
            ("negative rail", negative_rail),
            ("bar", bars),
            ("series", series),
            ("manager", managers),
        ]
    }

    /// All of them added up.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.lists().iter().flat_map(|(_, list)| list.iter()).sum()
    }
}
