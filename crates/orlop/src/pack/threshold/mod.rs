//! Every threshold of a bank on one axis of volts per cell: who acts first, and by how much.
//!
//! A charger or a cut-off that reads the whole bank through a cable does not see the cells. At its setting the cells lie
//! anywhere between (U - dU - I R)/n and (U + dU)/n on the charging side, and between (U - dU)/n and (U + dU + I R)/n on the
//! discharging side, with one cell above or below the mean by the spread.

mod ladder;
mod lead;
mod rung;
mod tabulate;

pub use ladder::Ladder;
pub use lead::Discharge;
pub use rung::{Role, Rung};
