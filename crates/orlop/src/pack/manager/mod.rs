//! The manager of a bank and its switch.
//!
//! | question | answer |
//! |---|---|
//! | can it carry what is asked, also when one string is out | [`Manager::judge`] |
//! | which resistor fills the capacitors, what it must survive | [`PreCharge`] |
//! | what the coil takes in a day | [`Coil`] |
//! | how warm the switch gets | [`Switch`] |
//! | does the fuse open before the contactor must | [`judge_breaking`] |
//!
//! A manager or its switch never counts as overcurrent protection.

mod breaking;
mod coil;
mod demand;
mod precharge;
mod switch;

pub use breaking::{Contactor, judge_breaking};
pub use coil::Coil;
pub use demand::{Demand, Manager};
pub use precharge::{Filling, PreCharge, Standing};
pub use switch::{Switch, Warm};

use crate::source::{Citation, Confidence};

pub(crate) static MANAGER_MARGIN: Citation = Citation::fixed(
    "manager-margin",
    "common practice",
    "",
    "",
    "a manager is rated at 1.25 times the largest continuous current, also after one string is lost",
    Confidence::CommonPractice,
    "several trade texts",
);
pub(crate) static FILLING: Citation = Citation::fixed(
    "pre-charge",
    "elementary circuit theory",
    "",
    "",
    "I = U/R, tau = R C, energy 1/2 C U^2; failed when the bus is below 95 percent after 3 to 5 tau (common practice)",
    Confidence::CommonPractice,
    "the circuit is derived, the 95 percent are one trade article's",
);
