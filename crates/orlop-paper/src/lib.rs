//! What people read: the report of a boat as HTML, its one-line diagram, its tables, everything as JSON.

pub mod cautions;
pub mod csv;
pub mod date;
mod error;
pub mod html;
pub mod json;
mod papers;
pub mod pretty;
pub mod svg;
pub mod view;

pub use error::Error;
pub use papers::{Paper, papers};

/// What this edition does not cover yet, one sentence each.
#[must_use]
pub fn not_covered() -> Vec<String> {
    [
        "Fault levels are bounds from the bank's stated resistances at its terminals, not a solved network: the \
         current at each panel in each state is not known yet.",
        "Coordination is not checked: which of two devices in line opens first.",
        "Battery electronics, charging, energy over the day, and the order of work are not covered.",
        "Do not build from this. Use it to survey, to plan, and to talk it over with a competent person.",
    ]
    .map(ToString::to_string)
    .to_vec()
}
