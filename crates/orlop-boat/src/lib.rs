//! The whole boat: from its file to sizes, judgements and tables.

pub mod demand;
pub mod document;
pub mod model;
pub mod route;

pub use model::Boat;
