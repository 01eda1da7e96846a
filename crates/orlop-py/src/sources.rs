//! What orlop's numbers rest on.

use crate::table::Table;
use pyo3::prelude::*;

/// Every source that orlop's numbers rest on: document, edition, place, and how far it can be trusted.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> [row["document"] for row in orlop.sources().to_dicts() if row["id"] == "cfr33-183-425-table5"]
/// ['33 CFR 183.425']
#[pyfunction]
pub fn sources() -> Table {
    orlop_boat::tables::sources().into()
}
