//! Series, parallel, and which comes first.

mod order;

pub use order::Order;
