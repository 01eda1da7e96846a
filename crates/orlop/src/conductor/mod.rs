//! One conductor: what it is, what it carries, how warm it gets, what it drops, what it survives.

pub(crate) mod kinds;

pub(crate) use kinds::choice;
pub use kinds::{Duty, Material, SpaceKind};
