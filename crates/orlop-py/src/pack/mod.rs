//! Packs of cells and how they share their current.

mod bank;
mod course;
mod share;

pub use bank::{Pack, PackAnswer, Remains};
pub use course::Course;
pub use share::{Link, SharedCurrent, Sharing, share_current};
