//! One cell: what its chemistry is, what it holds and gives, how it ages.
//!
//! | question | where |
//! |---|---|
//! | which chemistries there are, with their limits and sources | [`ChemistryId`], [`Chemistry`] |
//! | what does a rested cell show, and what charge does a rested voltage mean | [`Chemistry::open_circuit`], [`Chemistry::charge_from_rest`] |
//! | may it be charged at this temperature | [`Chemistry::charging_at`] |
//! | what is this cell: energy, window, resistance, both ends for a fault | [`Cell`] |
//!
//! Facts on which sources disagree are ranges that hold them all.

mod chemistry;
mod curve;
mod facts;
mod fault;
mod limits;
mod model;
mod open_circuit;
mod resistance;
mod size;
mod state;

pub use chemistry::{Chemistry, ChemistryId};
pub use curve::{Curve, CurveAt};
pub use facts::{Fact, GasFact};
pub use fault::{FaultConditions, FaultEnds};
pub use limits::Permission;
pub use model::Cell;
pub use open_circuit::{FromRest, OpenCircuit};
pub(crate) use resistance::ARRHENIUS;
pub use resistance::{CellResistance, Method};
pub use size::Size;
pub use state::{Rate, StateOfCharge};
