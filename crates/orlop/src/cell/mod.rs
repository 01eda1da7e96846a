//! One cell: what its chemistry is, what it holds and gives, how it ages.
//!
//! | question | where |
//! |---|---|
//! | which chemistries there are, with their limits and sources | [`ChemistryId`], [`Chemistry`] |
//! | what does a rested cell show, and what charge does a rested voltage mean | [`Chemistry::open_circuit`], [`Chemistry::charge_from_rest`] |
//! | may it be charged at this temperature | [`Chemistry::charging_at`] |
//! | what is this cell: energy, window, resistance, both ends for a fault | [`Cell`] |
//! | what does it show under a changing current | [`EquivalentCircuit`], [`TwoPairs`] |
//! | how much less comes out at a high current | [`Cell::deliverable`], [`Peukert`], [`KineticModel`] |
//! | what heat does a current make in it | [`Cell::heat`], [`Chemistry::reversible_heat`] |
//! | everything that is known of a chemistry, in a table | [`facts_table`], [`gas_table`] |
//! | how does it age, how long does it last | [`ageing`] |
//! | what does it cost over the years, when does one choice overtake another | [`Choice`], [`compare`] |
//!
//! Facts on which sources disagree are ranges that hold them all.

pub mod ageing;
mod chemistry;
mod curve;
mod economy;
mod equivalent;
mod facts;
mod fault;
mod heat;
mod limits;
mod model;
mod open_circuit;
mod pair;
mod rate;
mod resistance;
mod size;
mod state;
mod tabulate;
mod two_rc;

pub use chemistry::{Chemistry, ChemistryId};
pub use curve::{Curve, CurveAt};
pub(crate) use economy::RECOVERY;
pub use economy::{Choice, Comparison, Cost, capital_recovery, compare, compare_recorded, cost_table};
pub use equivalent::{CircuitState, EquivalentCircuit, Trace};
pub(crate) use equivalent::{MOST_PAIRS, THEVENIN};
pub use facts::{Fact, GasFact};
pub use fault::{FaultConditions, FaultEnds};
pub use heat::CellHeat;
pub(crate) use heat::REVERSIBLE;
pub use limits::Permission;
pub use model::Cell;
pub use open_circuit::{FromRest, OpenCircuit};
pub use pair::Pair;
pub use rate::{Deliverable, KineticModel, Peukert, Wells};
pub(crate) use rate::{KINETIC, PEUKERT};
pub(crate) use resistance::ARRHENIUS;
pub use resistance::{CellResistance, Method};
pub use size::Size;
pub use state::{Rate, StateOfCharge};
pub use tabulate::{facts_table, gas_table};
pub use two_rc::{Direction, TwoPairs};
