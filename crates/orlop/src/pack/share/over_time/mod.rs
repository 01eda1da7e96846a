//! How a pack lives through time: cells, links, managers, step by step.
//!
//! In each step of length `h` the current of every branch is constant, and chosen so that all meshes hold in the middle of the
//! step. For a cell that is
//!
//! `u = [U(z) - V1 exp(-h/2 t1) - V2 exp(-h/2 t2)] - i [R0 + U'(z) h/2Q + R1 (1 - exp(-h/2 t1)) + R2 (1 - exp(-h/2 t2))]`
//!
//! so a cell is a voltage behind a resistance that changes only when its charge passes a point of its curve; the factor of the
//! meshes is kept until then. Charge and pairs then follow exactly. The error falls with the square of the step.
//!
//! | tied | network | time of a step |
//! |---|---|---|
//! | groups in a row, joined by one lead | `rows.rs`: a ladder each, several in step | with the cells |
//! | groups in a row, joined at every cell | `grid.rs`: one sparse system | with the cells; a new factor when one passes a point of its curve |
//! | strings side by side | `strings.rs`: one ladder of strings | with the cells |

mod course;
mod grid;
mod kernel;
mod net;
mod of_pack;
mod rows;
mod run;
mod strings;
mod tabulate;
mod watch;
mod wiring;

pub use course::{Course, Opened, Why};
pub use net::Links;
pub use wiring::{Joined, Wired, Wiring};
