//! Which cell goes where.
//!
//! | question | where |
//! |---|---|
//! | what was delivered | [`Delivered`], [`Delivery`] |
//! | which cells stand out | [`Delivery::flags`], [`Delivery::acceptance`] |
//! | which cell goes where, what that holds, how much more could be | [`Delivery::assign`], [`Assignment`] |
//! | what a random order would hold | [`Assignment::against_random`] |
//! | whether the choice stays best when the capacities are not exact | [`Assignment::under_error`] |

mod answer;
mod compare;
mod delivery;
mod flags;
mod improve;
mod partition;
mod plan;
mod solve;
mod tabulate;
mod tie;
mod window;

pub use answer::{Assignment, Group};
pub(crate) use answer::{DEALING, HALVES};
pub use compare::{Certainty, RandomOrders};
pub use delivery::{Delivered, Delivery};
pub(crate) use flags::MODIFIED_Z;
pub use flags::{Advice, Flag, Measure, STANDS_OUT};
pub use plan::Plan;
