//! Rules of banks that are built from cells: capacity, acceptance, thresholds, managers and their
//! switches, pre-charge, temperatures, rates, resistance.

mod capacity;
mod cells;
pub(crate) mod disconnect;
mod limits;
mod manager;
mod precharge;
mod resistance;
mod thresholds;

use crate::bank::BankAnswer;
use crate::design::Design;
use crate::model::{Bank, Build};
use orlop::{Confidence, Judgement, Severity, Verdict};

pub(super) fn judge(design: &Design) -> Vec<Judgement> {
    let boat = &design.boat;
    let mut all = Vec::new();
    for answer in &design.bank {
        let Some(bank) = boat.bank(&answer.bank) else { continue };
        let Some(build) = &bank.build else { continue };
        let of = Subject { design, bank, build, answer };
        for rule in [
            capacity::judge,
            cells::judge,
            limits::judge,
            manager::judge,
            disconnect::judge,
            precharge::judge,
            resistance::judge,
            thresholds::judge,
            undecided,
        ] {
            all.extend(rule(&of));
        }
    }
    all
}

/// One bank with all that its rules look at.
struct Subject<'a> {
    design: &'a Design,
    bank: &'a Bank,
    build: &'a Build,
    answer: &'a BankAnswer,
}

impl Subject<'_> {
    /// `bank.ID.field`, or `bank.ID`.
    fn address(&self, field: &str) -> String {
        if field.is_empty() {
            format!("bank.{}", self.bank.id)
        } else {
            format!("bank.{}.{field}", self.bank.id)
        }
    }
}

/// Judgements of the core name their subject `bank.part`: puts the id of the bank between.
fn named(of: &Subject<'_>, mut judgement: Judgement) -> Judgement {
    if let Some(part) = judgement.subject.strip_prefix("bank.") {
        judgement.subject = of.address(part);
    }
    judgement
}

/// `bank-computed`: everything about the bank could be worked out.
fn undecided(of: &Subject<'_>) -> Vec<Judgement> {
    let problems = &of.answer.problems;
    let verdict = if problems.is_empty() { Verdict::Pass } else { Verdict::Undecided };
    let what = if problems.is_empty() {
        "faults, failures and assignment could be worked out from its cells".to_string()
    } else {
        problems.join("; ")
    };
    vec![
        Judgement::bare("bank-computed", of.address(""), Severity::B, verdict)
            .clause("data of the cells", Confidence::Published)
            .what(what)
            .to_do("correct what the file says of the bank and its cells"),
    ]
}
