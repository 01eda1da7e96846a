//! `device-selective`: a fault opens the device next to it, and none before.
//!
//! One judgement for each device, against the upstream device that holds worst; what is upstream of that is named with it.

use crate::design::Design;
use orlop::protection::Selectivity;
use orlop::{Judgement, Verdict};
use orlop_units::Quantity;

pub(super) fn judge(design: &Design) -> Vec<Judgement> {
    let pairs = &design.network.selectivity.pairs;
    let of = |circuit: &crate::model::Circuit| {
        let id = format!("circuit.{}", circuit.id);
        let own: Vec<&Selectivity> = pairs.iter().filter(|p| p.downstream == id).collect();
        let reach = |p: &Selectivity| p.up_to.map_or(0.0, Quantity::si);
        let worst = own.iter().min_by(|a, b| reach(a).total_cmp(&reach(b)))?;
        let mut judgement = worst.judge();
        let bad = own.iter().filter(|p| p.judge().verdict == Verdict::Fail).map(|p| p.upstream.as_str());
        let others: Vec<&str> = bad.filter(|u| *u != worst.upstream).collect();
        if !others.is_empty() {
            judgement.what =
                format!("{}; nor against {} at the highest fault current", judgement.what, others.join(", "));
        }
        Some(judgement)
    };
    design.boat.circuits.iter().filter_map(of).collect()
}
