//! Where negative meets engine, hull, bonding, shore earth and radio ground; and what is wrong there.
//!
//! "Ground", "negative", "bonding" and "earth" are four things. A ground graph keeps them apart: *points* with a
//! [`Role`], *paths* with a [`PathKind`], and for each path whether return or starter current may flow in it and whether
//! it may be taken out.
//!
//! | question | answer |
//! |---|---|
//! | how many ways lead from the negative bus to the engine | [`EngineLink`] |
//! | which loops are there, and which cuts open them with the least work | [`Loop`], [`Cut`] |
//! | where is negative bonded to metal | [`NegativeSystem`] |
//! | what hangs on nothing, and which bonds to add | [`Missing`] |
//! | what does the shunt not see | [`ShuntView`] |
//! | how much starter or return current flows where none should | [`Carried`] |
//! | all of it, judged | [`audit`] |
//!
//! Nothing is assumed of hull or shore earth: whether negative is bonded or insulated is an input
//! ([`ReturnSystem`]), because codes, isolation and shore connections differ.
//!
//! ```
//! use orlop::network::ground::{GroundGraph, Path, PathKind, Point, ReturnSystem, Role, audit};
//! let graph = GroundGraph::new(
//!     ReturnSystem::OneBond,
//!     vec![
//!         Point::new("BAT", Role::BatteryNegative),
//!         Point::new("BUS", Role::NegativeBus),
//!         Point::new("ENGINE", Role::Engine),
//!     ],
//!     vec![
//!         Path::new("MAIN", "BAT", "BUS", PathKind::NegativeCable),
//!         Path::new("BOND", "BUS", "ENGINE", PathKind::Bond),
//!         Path::new("STRAP", "BUS", "ENGINE", PathKind::Strap),
//!     ],
//! )?;
//! let audit = audit(&graph, &[])?;
//! assert_eq!(audit.engines[0].ways.len(), 2);
//! assert_eq!(audit.cuts[0].path, "STRAP");
//! # Ok::<(), orlop::Error>(())
//! ```

mod audit;
mod bonds;
mod flow;
mod graph;
mod judge;
mod kinds;
mod loops;
mod share;
mod shunt;
mod solve;
mod topology;

pub use audit::{Audit, EngineLink, audit, audit_recorded};
pub use bonds::{Missing, NegativeSystem, NewPath};
pub use flow::{Flow, Transfer};
pub use graph::{GroundGraph, Path, Point};
pub use kinds::{Carries, FlowKind, PathKind, ReturnSystem, Role};
pub use loops::{Cut, Loop};
pub use share::{Carried, LEAST_OHMS, MOST_OHMS, MOST_RANGES};
pub use shunt::{Bypass, ShuntView};

pub(crate) use judge::{ONE_NEGATIVE, TWO_WIRE};
pub(crate) use loops::GREEDY;

/// What to keep in mind before touching any of it; it goes with every result.
pub const CAUTION: &str = "Hull metal is not a wire. Extra straps make paths for starter and stray current. Do not cut \
shore-earth to save anodes: use a proper isolator chosen by a qualified person.";
