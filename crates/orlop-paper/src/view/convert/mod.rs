//! From a design to the report.

mod bank;
mod checks;
mod circuits;
mod field;
mod ground;
mod head;
mod joints;
mod loads;
mod network;
mod panels;
mod routes;
mod totals;
mod tree;
mod visit;
mod words;

pub use field::{sheet, survey_report};
pub use joints::joint_map;
pub use visit::{extract_page, since};

use super::View;
use crate::cautions::{ALWAYS, Caution, STAGES};
use orlop_boat::Design;

/// Stages whose cautions are listed at the end: those that this report touches, and those that come next on board.
const LISTED: &[&str] = &[
    "survey",
    "loads",
    "protection",
    "distribution",
    "routing",
    "sizing",
    "fuses",
    "negative",
    "console",
    "drawings",
    "changeover",
    "tests",
    "use",
];

/// The report of a design.
#[must_use]
pub fn view(design: &Design, date: Option<String>) -> View {
    let tree = tree::tree(design, &joints::solved(design));
    let (circuits, notes) = circuits::circuits(design);
    View {
        head: head::head(design, date),
        not_covered: crate::not_covered(),
        caution: ALWAYS,
        summary: head::summary(design),
        findings: checks::findings(design),
        panels: panels::panels(design, &tree),
        wires: totals::wires(design),
        devices: totals::devices(design),
        circuits,
        notes,
        loads: loads::loads(design),
        scenarios: loads::scenarios(design),
        network: network::network(design),
        banks: bank::banks(design),
        trunks: routes::trunks(design),
        plan: routes::plan(&design.boat),
        ground: ground::ground(design),
        passed: checks::passed(design),
        not_tested: checks::not_tested(design),
        guesses: checks::guesses(design),
        remarks: design.boat.remarks.iter().map(|r| words::sentence(r)).collect(),
        rules: checks::rules(),
        sources: checks::sources(design),
        cautions: STAGES.iter().filter(|c: &&Caution| LISTED.contains(&c.stage)).copied().collect(),
        tree,
    }
}
