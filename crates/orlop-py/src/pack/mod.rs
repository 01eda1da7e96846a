//! Packs of cells and how they share their current.

mod answer;
mod bank;
mod course;
mod share;
mod whole;

pub use answer::{PackAnswer, Remains};
pub use bank::Pack;
pub use course::Course;
pub use share::{Link, SharedCurrent, Sharing, best_takeoff, largest_link, share_current};
pub use whole::{PackSharing, SharedPack};
