//! Series, parallel, and which comes first: what a pack is, brings into a fault, and keeps when a part fails.

mod compare;
mod equalise;
mod fault;
mod model;
mod order;
mod remains;
mod resistance;
mod tabulate;

pub(crate) use compare::COMMON_CAUSE;
pub use compare::{Loss, Parts, Prices, Variant};
pub use equalise::{ClosingWindow, Equalising};
pub use fault::PackFault;
pub use model::{Pack, capacity_of};
pub use order::Order;
pub use remains::{Failure, Remains};
pub use resistance::PackResistance;
pub use tabulate::orders_table;
