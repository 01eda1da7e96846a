//! One conductor: what it is, what it carries, how warm it gets, what it drops, what it survives.

mod kinds;

pub use kinds::{Duty, Material, SpaceKind};
