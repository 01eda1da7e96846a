//! The whole boat: from its file to sizes, judgements and tables.
//!
//! ```text
//! boat file -> Boat -> demand -> routes -> envelope -> sizes -> judgements -> tables, papers
//! ```
//!
//! | question | where |
//! |---|---|
//! | what does the file say, and what is wrong with it | [`document`] |
//! | what draws how much, when | [`demand`] |
//! | how long is each run, how hot, how crowded | [`route`] |
//! | what a bank is by its cells, which cell goes where | [`bank`] |
//! | which conductor and device | [`size`](fn@size) |
//! | volts, fault currents, selectivity, single failures | [`network`] |
//! | which rules hold | [`check`] |
//! | what to test, where to probe, what to expect | [`sheet`] |
//! | what was found on board | [`found`] |
//! | what a survey reports | [`survey`](fn@survey) |
//! | what is the cause of a fault, and what to measure next | [`diagnose`] |
//! | where does this number come from | [`explain`](fn@explain) |

pub mod bank;
pub mod check;
pub mod day;
pub mod demand;
pub mod design;
pub mod diagnose;
pub mod document;
mod explain;
pub mod found;
pub mod joints;
pub mod model;
pub mod network;
pub mod route;
pub mod sheet;
mod size;
pub mod sized;
pub mod survey;
pub mod tables;

pub use design::{Design, Method};
pub use explain::{FIELDS, explain};
pub use model::Boat;
pub use size::{shadow_prices, size, size_by, size_staged};
pub use survey::survey;
