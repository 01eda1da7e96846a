//! Cells tied into a pack: what it is, how its current is shared, what is left when a part fails.
//!
//! | question | where |
//! |---|---|
//! | window, capacity, energy, mass, managers, fault current of a pack | [`Pack`] |
//! | what is left after one cell, link or manager fails | [`Pack::after`] |
//! | the same cells tied both ways, side by side | [`Pack::both_orders`] |
//! | what flows when strings close on each other, and within which voltage they may | [`Pack::equalising`], [`Pack::closing_window`] |
//! | who carries how much of a current | [`Ladder`], [`share_current`] |
//! | where the leads should leave, how heavy the links must be | [`Ladder::best_take_off`], [`Ladder::largest_link`] |
//! | how the sharing moves over time, up to the knee | [`Pack::wired`], [`Wired`] |

mod share;
mod topology;

pub(crate) use share::KIRCHHOFF;
pub use share::{
    BestTakeOff, Contact, Course, Ladder, LinkLimit, Opened, SharedCurrent, Sharing, TakeOff, Why, Wired,
    Wiring, best_take_off, largest_link, link_area, share_current, share_current_recorded,
};
pub(crate) use topology::COMMON_CAUSE;
pub use topology::{
    ClosingWindow, Equalising, Failure, Loss, Order, Pack, PackFault, PackResistance, Parts, Prices, Remains,
    Variant, capacity_of,
};
