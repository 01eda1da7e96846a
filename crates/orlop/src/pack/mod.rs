//! Cells tied into a pack: what it is, how its current is shared, what is left when a part fails.
//!
//! | question | where |
//! |---|---|
//! | window, capacity, energy, mass, managers, fault current of a pack | [`Pack`] |
//! | what is left after one cell, link or manager fails | [`Pack::after`] |
//! | the same cells tied both ways, side by side | [`Pack::both_orders`] |
//! | what flows when strings close on each other, and within which voltage they may | [`Pack::equalising`], [`Pack::closing_window`] |
//! | who carries how much of a current, in a row and in the whole pack | [`Ladder`], [`share_current`], [`Pack::share`] |
//! | where the leads should leave, how heavy the links must be | [`Ladder::best_take_off`], [`Ladder::largest_link`] |
//! | how the sharing moves over time, up to the knee | [`Pack::wired`], [`Wired`] |
//! | which cell goes where, which to leave out | [`assign`] |
//! | how cells come to the top together and stay there | [`balance`] |
//! | who acts first: chargers, alarms, cut-offs | [`threshold`] |
//! | what the manager and its switch carry, pre-charge, coil | [`manager`] |
//! | resistance and temperature of a link, force of bolts and fixture | [`link`], [`fixture`] |
//! | whether the cells fit, how warm the box gets, heel and trim | [`enclosure`] |
//! | forces on the bank, air for lead-acid | [`restraint`], [`ventilation`] |

pub mod assign;
pub mod balance;
pub mod enclosure;
pub mod fixture;
pub mod link;
pub mod manager;
pub mod restraint;
mod share;
pub mod threshold;
mod topology;
pub mod ventilation;

pub(crate) use share::KIRCHHOFF;
pub use share::{
    BestTakeOff, Contact, Course, Joined, Ladder, LinkLimit, Links, Opened, PackSharing, SharedCurrent,
    SharedPack, Sharing, TakeOff, Tie, Why, Wired, Wiring, best_take_off, largest_link, link_area,
    share_current, share_current_recorded,
};
pub(crate) use topology::COMMON_CAUSE;
pub use topology::{
    ClosingWindow, Equalising, Failure, Loss, Order, Pack, PackFault, PackResistance, Parts, Prices, Remains,
    Variant, capacity_of, orders_table,
};
