//! The sizing core of orlop: conductors, protection and circuits of a boat's direct-current system.
//!
//! No file is read, no clock is asked; random numbers are counted from a given seed. What do you want to know?
//!
//! | question | where |
//! |---|---|
//! | what a number rests on | [`source`], [`working`] |
//! | whether a value keeps its limit | [`judgement`] |
//! | what one conductor is and carries | [`conductor`] |
//! | what a fuse or breaker does | [`protection`] |
//! | which conductor and device one circuit needs | [`circuit`] |
//! | what a cell holds, gives and becomes with age | [`cell`] |
//! | cells tied into a pack: sharing, faults, what is left when a part fails | [`pack`] |
//! | which cell goes where; balancing, thresholds, managers, links, box | [`pack`] |
//! | volts and fault currents of a whole network; its negative and bonding | [`network`] |
//! | how large a bank has to be: for days, for a cycle of duty | [`energy`] |
//! | what a test has shown, and whether a bank or joint has changed | [`proving`] |
//! | sparse systems, least squares and statistics, for the rooms above | [`solve`] |
//! | the tables and rule sets behind it | [`tables`], [`rules`] |

pub mod cell;
mod choice;
pub mod circuit;
pub mod conductor;
pub mod energy;
pub mod error;
pub mod judgement;
pub mod network;
pub mod pack;
pub mod protection;
pub mod proving;
pub mod range;
pub mod rules;
pub mod solve;
pub mod source;
mod sources;
pub mod table;
pub mod tables;
pub mod working;

pub use error::Error;
pub use judgement::{Judgement, Sense, Severity, Verdict, meets};
pub use orlop_units as units;
pub use range::Range;
pub use source::{Citation, Confidence};
pub use sources::sources;
pub use table::Table;
pub use working::{Recorder, Silent, Step, Working};

/// The version of this crate.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");
