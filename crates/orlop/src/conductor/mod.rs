//! One conductor: what it is, what it carries, how warm it gets, what it drops, what it survives.

pub mod ampacity;
pub mod bundle;
pub mod busbar;
mod drop;
pub mod heat;
mod kinds;
pub mod resistance;
mod root;
pub mod size;
pub mod warming;
pub(crate) mod wire;
pub mod withstand;

pub use ampacity::{Ampacity, AmpacityQuestion};
pub use heat::SteadyState;
pub use kinds::{Duty, Material, SpaceKind};
pub use size::{equivalent_area_order, standard_sizes};
pub use wire::Conductor;
pub use withstand::Withstand;
