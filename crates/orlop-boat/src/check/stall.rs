//! `device-stall`: a motor that cannot turn is switched off before it burns.

use crate::design::Design;
use crate::model::{Feeds, LoadState};
use orlop::protection::{Stall, judge_stall};
use orlop::{Judgement, Severity, Verdict};

pub(super) fn judge(design: &Design) -> Vec<Judgement> {
    let mut all = Vec::new();
    for (circuit, sized) in design.boat.circuits.iter().zip(&design.circuits) {
        let Feeds::Loads(ids) = &circuit.feeds else { continue };
        let Some(device) = &sized.device else { continue };
        for load in ids.iter().filter_map(|id| design.boat.load(id)).filter(|l| l.is_motor()) {
            let subject = format!("load.{}", load.id);
            let stated = load.demand.iter().any(|(s, _)| *s == LoadState::Stall);
            let demand = design.demand.load(&load.id).and_then(|d| d.stall);
            let Some((current, _)) = demand.filter(|_| stated) else {
                let bare = Judgement::bare("device-stall", subject, Severity::B, Verdict::NotTested);
                all.push(bare.what("what the motor draws held still is not stated").to_do(
                    "read the locked-rotor current from its sheet, or measure it for a second, and write it as stall",
                ));
                continue;
            };
            let stall = Stall {
                current,
                withstand: load.stall_withstand,
                thermal_protection: load.thermal_protection,
                unattended: load.unattended,
            };
            all.extend(judge_stall(&subject, device, &stall));
        }
    }
    all
}
