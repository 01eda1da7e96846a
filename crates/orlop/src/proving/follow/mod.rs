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

use crate::range::Range;
use orlop_units::{Time, seconds};

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

/// The stretch of the next hundred years in which something holds; a bound that is not seen within them is none.
fn years_inside(holds: impl Fn(f64) -> bool) -> Range<Time> {
    const STEPS: u32 = 12_000;
    let (mut low, mut high, mut inside) = (None, None, false);
    for step in 0..=STEPS {
        let years = 100.0 * f64::from(step) / f64::from(STEPS);
        let now = holds(years);
        if now && low.is_none() {
            low = Some(seconds(years * YEAR_S));
        }
        if inside && !now {
            high = Some(seconds(years * YEAR_S));
        }
        inside = now;
    }
    Range::from_bounds(low, if inside { None } else { high })
}
