//! Is it what it should be, and does it stay so: tests of a bank and of its joints, followed over years.
//!
//! | question | where |
//! |---|---|
//! | how far is a measured value to be trusted, and what drives that | [`uncertainty`] |
//! | what does this log file hold, in which columns and units | [`log_file`] |
//! | what capacity did this discharge show, or is it a lower bound only | [`capacity`] |
//! | has it changed over the years, where does that lead | [`follow`] |
//! | what do drops, pulses and leaks say about cells, joints and insulation | [`resistance`] |
//! | which cause explains what was seen, and what to measure next | [`diagnose`] |
//!
//! Where an interval is given it is that of the joint distribution of all errors, never a fixed factor. Where the data do not
//! decide, the answer says so.

pub mod capacity;
pub mod diagnose;
pub mod follow;
pub mod log_file;
pub mod resistance;
pub mod uncertainty;
