//! Which comes first: cells tied side by side, or cells tied in a row.

use crate::choice::choice;

choice! {
    /// How the same cells are tied.
    Order {
        /// Cells side by side into groups, the groups in a row: one manager sees one voltage for each group.
        ParallelFirst = "parallel-first",
        /// Cells in a row into strings, the strings side by side: each string has a manager of its own.
        SeriesFirst = "series-first",
    }
}
