//! One conductor: what it is, what it carries, how warm it gets, what it drops, what it survives.
//!
//! | question | answer |
//! |---|---|
//! | area, mass, diameter, bend | [`Conductor::area`], [`Conductor::mass_per_length`], ... |
//! | resistance when warm | [`Conductor::resistance_per_length`], formula in [`resistance`] |
//! | current a rule set allows | [`Conductor::ampacity`], rules in [`ampacity`] |
//! | temperature under a current, and back | [`Conductor::steady_state`], [`Conductor::steady_current`], model in [`heat`] |
//! | temperature under a short or repeated current | [`Conductor::warming`], model in [`warming`] |
//! | volts lost, in truth and by the rule set | [`Conductor::voltage_drop`], [`Conductor::rule_drop`] |
//! | time it survives a short circuit | [`Conductor::withstand_time`], formula in [`withstand`] |
//! | cables in a conduit, flat bars, lap joints | [`bundle`], [`busbar`] |
//!
//! Each main question also exists as `.._recorded` and tells its steps.

pub mod ampacity;
pub mod bundle;
pub mod busbar;
mod drop;
pub mod heat;
mod kinds;
pub mod resistance;
pub mod size;
pub mod warming;
pub(crate) mod wire;
pub mod withstand;

pub(crate) use crate::solve::bracketed;
pub use ampacity::{Ampacity, AmpacityQuestion};
pub use heat::SteadyState;
pub use kinds::{Duty, Material, SpaceKind};
pub use size::{equivalent_area_order, standard_sizes};
pub use wire::Conductor;
pub use withstand::Withstand;
