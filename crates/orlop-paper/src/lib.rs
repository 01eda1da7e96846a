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
pub use papers::{Paper, papers, survey_papers};

/// What this edition does not cover yet, one sentence each.
#[must_use]
pub fn not_covered() -> Vec<String> {
    [
        "Faults that arc or have resistance of their own: fault currents here are of bolted faults, and a weaker one may \
         not be cleared.",
        "Charging, energy over the day, tests of a bank, and the order of work are not covered.",
        "Do not build from this. Use it to survey, to plan, and to talk it over with a competent person.",
    ]
    .map(ToString::to_string)
    .to_vec()
}
