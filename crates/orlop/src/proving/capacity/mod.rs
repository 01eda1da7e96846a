//! Capacity tests: from the columns of a log to a capacity with its interval, or to "lower bound only".
//!
//! | question | where |
//! |---|---|
//! | how long will a test take, how sure will it be | [`TestPlan`] |
//! | what does this log show | [`Evaluation`] in chunks, [`evaluate_log`] at once; [`Log`] |
//! | what was wrong with the log | [`Care`] |
//! | what capacity is that, how sure | [`CapacityTest`] |
//! | does the monitor's percentage say anything | [`Indicated`] |
//! | which cell is the smallest, which the most resistive | [`Weakness`] |
//! | does it keep its rating | [`CapacityTest::against_rated`] |
//! | has it changed since the first test | [`compare`] |
//! | share of the rated time, the simple field test | [`share_of_rated_time`] |

mod care;
mod circular;
mod columns;
mod correct;
mod evaluation;
mod held;
mod knees;
mod lanes;
mod log;
mod plan;
mod prepare;
mod quiet;
mod result;
mod steps;
mod sums;
mod trace;
mod verdict;

pub use care::{Care, Counted};
pub use circular::Indicated;
pub use columns::{Chunk, LogFormat, Sampling, Sign};
pub use evaluation::{Evaluation, evaluate_log};
pub use knees::{Knee, Weakness};
pub use log::{Log, StepResistance};
pub use plan::{Instrument, Procedure, RateCorrection, Stop, TemperatureCorrection};
pub(crate) use plan::{LFP_CORRECTION, LINEAR_CORRECTION};
pub use prepare::TestPlan;
pub use result::{CapacityTest, Outcome};
pub use steps::Gap;
pub use trace::Point;
pub(crate) use verdict::RATED_TIME;
pub use verdict::{Change, Comparison, compare, compare_budgets, share_of_rated_time};
