//! The boat as one electrical network: nodes, sources, conductors, loads, and what follows from them.
//!
//! | question | where |
//! |---|---|
//! | how a network is built | [`Network`] |
//! | fault currents on both sides | [`fault`], [`Network::fault_levels`] |
//! | which devices are selective with which | [`Network::selectivity`] |
//! | what its parts are | [`Source`], [`Part`], [`Load`], [`Converter`] |
//! | where negative meets engine, hull and bonding, and what is wrong there | [`ground`] |
//! | volts and amperes everywhere | [`Network::solve`], [`Operating`] |
//! | many scenarios of one network | [`Network::prepare`], [`Prepared`] |
//! | the most that a load could have | [`Prepared::largest_power`] |
//! | resistance of the network seen from each node, fault currents of its linear part | [`Network::thevenin`], [`Thevenin`] |
//!
//! One-rail models give both legs of a circuit as one resistance; a return that is drawn is a node like any other, and
//! sources and loads then stand between two nodes. [`RETURN`] is the node of zero volts.

mod build;
mod collapse;
mod coordination;
mod element;
pub mod fault;
mod flow;
pub mod ground;
mod join;
mod kernel;
pub mod least;
mod operating;
mod places;
mod plan;
mod prepared;
mod tabulate;
mod thevenin;

pub use build::{Branch, Element, Feed, Network, RETURN};
pub use element::{Converter, Corner, Demand, Load, Part, Source};
pub use operating::{ConverterState, Method, Operating};
pub use prepared::Prepared;
pub use thevenin::{Bolted, Ends, Thevenin, Through};
