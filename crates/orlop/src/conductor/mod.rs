//! One conductor: what it is, what it carries, how warm it gets, what it drops, what it survives.

pub mod ampacity;
mod kinds;
pub mod resistance;
pub mod size;
mod wire;

pub use ampacity::{Ampacity, AmpacityQuestion};
pub use kinds::{Duty, Material, SpaceKind};
pub use size::{equivalent_area_order, standard_sizes};
pub use wire::Conductor;
