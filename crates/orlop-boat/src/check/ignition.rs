//! `device-ignition`: what can make a spark where petrol or gas vapour collects is declared ignition protected.

use crate::design::Design;
use orlop::protection::ignition;
use orlop::{Judgement, Verdict};

pub(super) fn judge(design: &Design) -> Vec<Judgement> {
    let boat = &design.boat;
    let vapour = |id: &str| boat.space(id).is_some_and(|s| s.vapour);
    let declared = |yes: bool| yes.then_some(true);
    let devices =
        boat.circuits.iter().filter(|c| design.circuit(&c.id).is_some_and(|s| s.device.is_some())).map(|c| {
            let in_vapour = crate::size::device_space(boat, c).is_some_and(vapour);
            ignition::judge(&format!("circuit.{}", c.id), true, in_vapour, declared(c.ignition_protected))
        });
    let loads = boat.loads.iter().filter(|l| l.spark).map(|l| {
        let place = l.place.as_deref().and_then(|p| boat.place(p));
        let in_vapour = place.is_some_and(|p| vapour(&p.space));
        ignition::judge(&format!("load.{}", l.id), true, in_vapour, declared(l.ignition_protected))
    });
    devices.chain(loads).filter(|j| j.verdict != Verdict::NotApplicable).collect()
}
