//! `manager-continuous`, `manager-peak`, `manager-redundancy`: each manager carries its part, also when one string is lost.

use super::{Subject, named};
use orlop::pack::manager::Demand;
use orlop::{Confidence, Judgement, Severity, Verdict};
use orlop_units::show;

pub(super) fn judge(of: &Subject<'_>) -> Vec<Judgement> {
    let asked = &of.answer.asked;
    let Some(manager) = of.build.manager else {
        return vec![
            Judgement::bare("manager-continuous", of.address("manager"), Severity::B, Verdict::NotTested)
                .clause("current stated for the manager", Confidence::CommonPractice)
                .what("what its managers carry is not stated")
                .to_do("state manager_continuous, manager_peak and manager_peak_time of the bank"),
        ];
    };
    let Ok(mut demand) = Demand::new(asked.continuous, of.build.pack.managers()) else { return Vec::new() };
    if let Some(moment) = &asked.moment
        && let Ok(with) = demand.with_peak(moment.current, moment.time)
    {
        demand = with;
    }
    let told = |mut j: Judgement| {
        if j.rule == "manager-continuous" {
            j.case.clone_from(&asked.case);
        }
        if let Some(moment) = asked.moment.as_ref().filter(|_| j.rule == "manager-peak") {
            let long =
                if moment.stated { "" } else { " (the file does not say how long: a minute is taken)" };
            let what = format!(
                "; the bank gives {} while {} is in its {}",
                show(moment.current),
                moment.load,
                moment.state.word()
            );
            j.what.push_str(&what);
            j.what.push_str(long);
        }
        named(of, j)
    };
    manager.judge(&demand).into_iter().map(told).collect()
}
