//! `device-window`: between what a device must hold and the least it must open on there is room for one.

use crate::design::Design;
use orlop::Judgement;
use orlop::protection::ProtectableWindow;

pub(super) fn judge(design: &Design) -> Vec<Judgement> {
    let mut all = Vec::new();
    for sized in &design.circuits {
        let (Some(need), Some(device)) = (&sized.need, &sized.device) else { continue };
        let Ok(bar) = ProtectableWindow::of_device(need, device) else { continue };
        all.extend(bar.room(&format!("circuit.{}", sized.id)).map(|j| j.case(sized.case.clone())));
    }
    all
}
