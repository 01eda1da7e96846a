//! `drop-physical` and `drop-rule`: the drop on the whole path from the source to each load.

use crate::design::{Design, LoadResult};
use orlop::{Confidence, Judgement, Sense, Severity};
use orlop_units::{Fraction, Quantity, Voltage, show};

pub(super) fn judge(design: &Design) -> Vec<Judgement> {
    design.loads.iter().flat_map(|load| both(design, load)).collect()
}

fn both(design: &Design, load: &LoadResult) -> [Judgement; 2] {
    let formula = design.boat.rules.drop_formula();
    let way = load.path.join(" - ");
    let share = |v: Voltage| Fraction::new(v.si() / load.nominal.si());
    let one = |rule, volts: Voltage, clause: String, confidence, how: &str| {
        Judgement::compare(
            rule,
            format!("load.{}", load.id),
            Severity::B,
            share(volts),
            Sense::AtMost,
            load.limit,
        )
        .case(load.case.clone())
        .clause(clause, confidence)
        .what(format!(
            "{} of {} are lost on the way {way}{how}: {} of {} permitted",
            show(volts),
            show(load.nominal),
            show(share(volts)),
            show(load.limit)
        ))
        .to_do("take larger conductors on the way, shorten it, or move the load to a nearer panel")
    };
    let physical = "conductors at their temperature, both legs, devices and joints";
    [
        one("drop-physical", load.drop, physical.into(), Confidence::Published, ""),
        one("drop-rule", load.rule_drop, formula.clause, formula.confidence, " by the rule set's formula"),
    ]
}
