//! Who carries how much of a current, at once and over time.

mod cells;
mod ladder;
mod mesh;
mod over_time;
mod search;
mod sharing;
mod take_off;
mod tie;
mod whole;
mod whole_tables;

pub use cells::{SharedCurrent, best_take_off, largest_link, share_current, share_current_recorded};
pub(crate) use ladder::KIRCHHOFF;
pub use ladder::{Contact, Ladder};
pub use over_time::{Course, Joined, Links, Opened, Why, Wired, Wiring};
pub use search::{BestTakeOff, LinkLimit, link_area};
pub use sharing::Sharing;
pub use take_off::TakeOff;
pub use tie::Tie;
pub use whole::{PackSharing, SharedPack};
