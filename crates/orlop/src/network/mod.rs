//! The boat as one network.
//!
//! | question | where |
//! |---|---|
//! | where negative meets engine, hull and bonding, and what is wrong there | [`ground`] |

pub mod ground;
