//! The box: whether the cells go in, how warm it gets, and what its weight does to the boat.

mod arrange;
mod heat;
mod tabulate;
mod weight;

pub use arrange::{Arrangement, Gaps, Inside, Row, Stance, arrangements, judge_fit};
pub(crate) use heat::STILL_AIR;
pub use heat::{rise, rise_recorded, time_constant, time_constant_recorded};
pub use tabulate::arrangements_table;
pub(crate) use weight::HEEL;
pub use weight::{Hull, Item, centre_of_gravity, total_mass};
