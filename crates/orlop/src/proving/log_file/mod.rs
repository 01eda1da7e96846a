//! Log files as loggers and spreadsheets write them: bytes of delimited text in, a [`Log`](super::capacity::Log) out.
//!
//! | question | where |
//! |---|---|
//! | what does this file show, read piece by piece | [`LogFile`] |
//! | which column holds what, in which unit | [`Role`], [`Choice`] |
//! | how many seconds after the first are these dates | [`moments`] |
//! | which marks separate columns and decimals | found in the first rows, or said in [`FileFormat`] |
//!
//! Memory does not grow with the file. Nothing is guessed in silence: what was taken for what is told in [`FileLog::notes`].

mod cells;
mod clock;
mod columns;
mod layout;
mod lines;
mod reader;

pub use clock::moments;
pub use columns::{Choice, Role};
pub use reader::{FileFormat, FileLog, LogFile};
