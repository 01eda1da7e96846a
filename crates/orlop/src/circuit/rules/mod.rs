//! The rules of a single circuit, one file each. Those of its device stand in [`crate::protection`].

mod device;
mod drop;
mod heat_balance;
mod heat_table;
mod minimum_area;

use super::evaluate::Evaluation;
use super::question::CircuitQuestion;
use crate::judgement::Judgement;

/// Every rule of a single circuit, passes as well as failures. The subject is left empty for the caller.
pub(super) fn judge(q: &CircuitQuestion, e: &Evaluation) -> Vec<Judgement> {
    let mut all = vec![heat_table::judge(q, e), heat_balance::judge(q, e), minimum_area::judge(q, e)];
    all.extend(drop::judge(q, e));
    all.extend(device::judge(q, e));
    all
}
