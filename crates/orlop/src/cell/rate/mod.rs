//! Less comes out of a cell the faster it is drawn: Peukert's law and the kinetic model of lead cells.

mod deliverable;
mod kinetic;
mod peukert;

pub use deliverable::Deliverable;
pub(crate) use kinetic::KINETIC;
pub use kinetic::{KineticModel, Wells};
pub(crate) use peukert::PEUKERT;
pub use peukert::Peukert;
