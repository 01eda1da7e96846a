//! Following a bank over the years: is a change real, where does it lead, when will the next test settle it.
//!
//! | question | where |
//! |---|---|
//! | how much of the first capacity is left | [`state_of_health`] |
//! | does the capacity fall, how fast, and how sure is that | [`Tests::trend`] |
//! | when is 80 % reached, by tests and ageing models together | [`Tests::forecast`] |
//! | when would the next test settle it | [`Tests::next_test`] |
//! | did a reading jump | [`ChangePoint`] |
//! | how fast does a reading grow, when does it reach a value | [`Line`] |
//! | how far does the monitor drift between full charges | [`Monitor`] |

mod change;
mod forecast;
mod health;
mod line;
mod monitor;
mod next;
mod tests;

pub use change::ChangePoint;
pub use forecast::{Ageing, ByModel, Forecast};
pub use health::state_of_health;
pub use line::Line;
pub(crate) use monitor::SYNC;
pub use monitor::{Drift, Monitor, Sync};
pub use next::NextTest;
pub use tests::{DatedTest, Tests, Trend};

/// Seconds in a year of 365.25 days.
pub(crate) const YEAR_S: f64 = 365.25 * 86400.0;
