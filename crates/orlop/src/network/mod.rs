//! The boat as one electrical network: nodes, sources, conductors, loads, and what follows from them.
//!
//! | question | where |
//! |---|---|
//! | how a network is built | [`Network`] |
//! | what its parts are | [`Source`], [`Part`], [`Load`], [`Converter`] |
//!
//! One-rail models give both legs of a circuit as one resistance; a return that is drawn is a node like any other, and
//! sources and loads then stand between two nodes. [`RETURN`] is the node of zero volts.

mod build;
mod element;
pub mod least;

pub use build::{Branch, Feed, Network, RETURN};
pub use element::{Converter, Corner, Demand, Load, Part, Source};
