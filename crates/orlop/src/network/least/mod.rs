//! Least copper: the cheapest sizes for a whole feed tree, exact.
//!
//! | question | where |
//! |---|---|
//! | which sizes cost least and keep every limit | [`LeastCopper::solve`] |
//! | the same with few different sizes | [`LeastCopper::at_most_sizes`] |
//! | what more room would save | [`Optimum::shadow_prices`] |
//! | why nothing is cheaper | [`Optimum::frontier`] |

mod few;
mod frame;
mod grow;
mod missing;
mod optimum;
mod problem;
mod skyline;
mod solve;
mod stairs;

pub use optimum::{FrontierPoint, Optimum, ShadowPrice, Taken};
pub use problem::{Choice, Dimension, Effort, LeastCopper, Segment};
