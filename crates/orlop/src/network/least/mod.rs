//! Least copper: the cheapest sizes for a whole feed tree, exact.
//!
//! | question | where |
//! |---|---|
//! | the sizes of a feed tree said in lengths, currents and permitted drops | [`FeedTree::solve`] |
//! | which choices cost least and keep every limit | [`LeastCopper::solve`] |
//! | the same with few different sizes | [`LeastCopper::at_most_sizes`] |
//! | what more room would save | [`Optimum::shadow_prices`] |
//! | why nothing is cheaper | [`Optimum::frontier`] |

pub(crate) mod feed;
mod few;
mod frame;
mod grow;
mod missing;
mod optimum;
mod problem;
mod skyline;
mod solve;
mod stairs;

pub use feed::{BoughtDrum, Drum, FeedRun, FeedSizes, FeedTree, ListedSize, Objective, Offer, Purchase};
pub use optimum::{FrontierPoint, Optimum, ShadowPrice, Taken};
pub use problem::{Choice, Dimension, Effort, LeastCopper, Segment};
