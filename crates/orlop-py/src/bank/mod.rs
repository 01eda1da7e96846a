//! What a bank needs around its cells: thresholds, balance, manager, links, box, air, what it costs over the years, and how
//! large it has to be.

mod air;
mod answer;
mod bench;
mod cost;
mod cycles;
mod link;
mod manager;
mod need;
mod place;
mod threshold;

pub use air::ventilation;
pub use answer::BankAnswer;
pub use bench::{balance, bench_charge};
pub use cost::compare_life_cost;
pub use cycles::count_cycles;
pub use link::{cell_link, clamp_force, fixture};
pub use manager::{contactor_coil, judge_breaking, judge_manager, pre_charge, switch_temperature};
pub use need::{size_bank, size_bank_by_duty};
pub use place::{box_heat, fit_box, heel_and_trim, judge_movement, restraint};
pub use threshold::{ThresholdLadder, threshold_ladder};
