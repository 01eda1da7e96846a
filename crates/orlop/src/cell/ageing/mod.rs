//! How cells age: on the calendar, by cycles, and which of the two ends their life.
//!
//! | question | where |
//! |---|---|
//! | what is lost on the calendar, by a published model | [`AgeingModel::calendar`] |
//! | what is lost by cycles, by a published model | [`AgeingModel::cycling`] |
//! | how much the resistance grows | [`AgeingModel::calendar_resistance`], [`AgeingModel::cycling_resistance`] |
//! | how many cycles of a depth a kind of battery stands | [`CycleLife`] |
//! | which cycles are in a record of charge | [`rainflow`] |
//! | how long the cells last, and what decides | [`life`], [`StatedLife`] |
//!
//! Models differ by a factor of four on the same question. None holds for charging below 0 degC, which plates lithium. Ask
//! several and believe the band.

mod cycle_life;
mod equations;
mod law;
mod life;
mod models;
mod rainflow;
mod stated;

pub use cycle_life::{CycleLife, Cycles};
pub use law::{Cycling, Law, Storage};
pub use life::{Decides, Duty, Life, life, life_recorded};
pub use models::AgeingModel;
pub(crate) use rainflow::RAINFLOW;
pub use rainflow::{CountedCycle, by_range, cycles_table, full_cycles, rainflow, rainflow_recorded};
pub use stated::StatedLife;
