//! `pre-charge-filled`, `pre-charge-short`: capacitors are filled before the switch closes, and the resistor survives a short.

use super::{Subject, named};
use orlop::{Confidence, Judgement, Severity, Verdict};
use orlop_units::Quantity;
use orlop_units::{show, significant};

pub(super) fn judge(of: &Subject<'_>) -> Vec<Judgement> {
    let Some(filling) = &of.answer.filling else { return Vec::new() };
    let millifarads = significant(filling.capacitance.si() * 1e3, 3);
    let Some([low, high]) = &filling.resistor else {
        let bare = filling.bare.map_or_else(String::new, |i| format!(", a first current up to {}", show(i)));
        return vec![
            Judgement::bare("pre-charge-filled", of.address("pre-charge"), Severity::B, Verdict::NotTested)
                .clause(
                    "common practice: capacitors are filled through a resistor",
                    Confidence::CommonPractice,
                )
                .what(format!("{millifarads} mF hang on the bank{bare}, and no pre-charge is stated"))
                .to_do("state the resistor: precharge = \"15 ohm\""),
        ];
    };
    // Standing loads take most at the lowest voltage, a short heats the resistor most at the highest.
    let filled = low.judge(of.build.precharge_survives);
    let short = high.judge(of.build.precharge_survives);
    let of_rule = |list: Result<Vec<Judgement>, orlop::Error>, rule: &'static str| {
        list.into_iter().flatten().filter(move |j| j.rule == rule).map(|j| named(of, j))
    };
    let mut all: Vec<_> = of_rule(filled, "pre-charge-filled").collect();
    all.extend(of_rule(short, "pre-charge-short"));
    all
}
