//! What goes dark when one part fails.

use super::words;
use crate::view::{FailureRow, Failures};
use orlop_boat::Design;

pub(super) fn failures(design: &Design) -> Failures {
    let boat = &design.boat;
    let mut out = Failures { any_essential: boat.loads.iter().any(|l| l.essential), ..Failures::default() };
    for failure in &design.network.failures {
        let part = words::place(boat, &failure.part);
        if failure.dark.is_empty() {
            out.harmless.push(format!("{} of {part}", failure.kind.word()));
            continue;
        }
        let dark = failure.dark.iter().map(|l| &boat.loads[*l]);
        let essential: Vec<String> =
            dark.filter(|l| l.essential).map(|l| words::named(&l.id, &l.name)).collect();
        if essential.is_empty() {
            out.others += 1;
            continue;
        }
        let others = failure.dark.len() - essential.len();
        out.rows.push(FailureRow { part, kind: failure.kind.word(), essential, others });
    }
    // The most at once first; equals stay in the order of the file.
    out.rows.sort_by_key(|r| std::cmp::Reverse(r.essential.len()));
    out
}
