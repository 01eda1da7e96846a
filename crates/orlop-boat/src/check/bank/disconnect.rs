//! `contactor-breaking`, `switch-temperature`: the switch of each manager is not asked to break what it cannot, and stays cool.

use super::{Subject, named};
use crate::model::Disconnect;
use orlop::pack::manager::judge_breaking;
use orlop::{Confidence, Judgement, Severity, Verdict};
use orlop_units::show;

pub(super) fn judge(of: &Subject<'_>) -> Vec<Judgement> {
    let disconnect = of.build.disconnect.as_ref();
    let told = disconnect.filter(|d| d.breaks.is_some() || d.opens_after.is_some());
    let broken = told.map_or_else(|| Some(not_stated(of)), |d| breaking(of, d));
    broken.into_iter().chain(disconnect.and_then(|d| temperature(of, d))).collect()
}

fn not_stated(of: &Subject<'_>) -> Judgement {
    let clause = "common practice: the fuse clears a fault before contacts part";
    Judgement::bare("contactor-breaking", of.address("switch"), Severity::A, Verdict::NotTested)
        .clause(clause, Confidence::CommonPractice)
        .what("what the switches of its managers break, and how soon they open, is not stated")
        .to_do("state switch_breaks with switch_breaks_at, and switch_opens_after")
}

/// Against the device of each circuit that starts at the bank; the worst is told, the others named.
///
/// Through the switch of one string flows no more than through the device, so that the current of the device counts for both.
fn breaking(of: &Subject<'_>, disconnect: &Disconnect) -> Option<Judgement> {
    let contactor = disconnect.at(of.bank.highest).ok()?;
    let judged: Vec<(&str, Judgement)> = of
        .design
        .network
        .devices
        .iter()
        .filter(|d| of.design.boat.circuit(&d.circuit).is_some_and(|c| c.from == of.bank.id))
        .filter_map(|d| {
            let device = of.design.circuit(&d.circuit)?.device.as_ref()?;
            Some((d.circuit.as_str(), judge_breaking(&contactor, device, d.through).ok()?))
        })
        .collect();
    let bad: Vec<&str> = judged.iter().filter(|(_, j)| j.is_finding()).map(|(id, _)| *id).collect();
    let (id, judgement) = judged.iter().find(|(_, j)| j.is_finding()).or(judged.first())?;
    let mut judgement = judgement.clone();
    judgement.what = format!("a fault behind circuit {id}: {}", judgement.what);
    if let [_, others @ ..] = bad.as_slice()
        && !others.is_empty()
    {
        judgement.what = format!("{}; nor behind {}", judgement.what, others.join(", "));
    }
    if let Some((_, at)) = disconnect.breaks.filter(|(_, at)| *at < of.bank.highest) {
        let (at, highest) = (show(at), show(of.bank.highest));
        judgement.what = format!("{} (what it breaks is stated at {at}, not at {highest})", judgement.what);
    }
    judgement.subject = of.address("switch");
    Some(judgement)
}

fn temperature(of: &Subject<'_>, disconnect: &Disconnect) -> Option<Judgement> {
    let warming = disconnect.warming.as_ref()?;
    let (all, lost) = of.answer.asked.through_each(of.build.pack.managers());
    let mut judgement = warming.switch.judge(lost, warming.ambient, warming.hottest).ok()?;
    if lost > all {
        let usual = warming
            .switch
            .under(all, warming.ambient)
            .map_or_else(|e| e.to_string(), |w| format!("{} with every string", show(w.temperature)));
        judgement.what = format!("with one string lost {}; {usual}", judgement.what);
    }
    if !warming.growth_stated {
        judgement.what.push_str(" (its resistance is taken to grow by 0.7 % for each kelvin)");
    }
    judgement.case.clone_from(&of.answer.asked.case);
    Some(named(of, judgement))
}
