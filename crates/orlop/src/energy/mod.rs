//! How large a bank has to be.
//!
//! | question | where |
//! |---|---|
//! | for so much energy a day and so many days | [`BankNeed`] |
//! | for currents that follow each other, after IEEE 485 | [`DutyCycle`] |
//! | what cold asks in addition | [`temperature_factor`] |
//! | what haste asks in addition | [`RateFactor`] |

mod days;
mod duty;
mod rate;
mod temperature;

pub use days::{BankNeed, BankSize};
pub(crate) use duty::SECTIONS_METHOD;
pub use duty::{DUTY, DutyCycle, DutySize, Period, Section, Term};
pub use rate::RateFactor;
pub use temperature::{TemperatureFactor, temperature_factor};
pub(crate) use {days::SIMPLE_FORM, temperature::COLD_LITHIUM};
