//! All thresholds together: their order, the gaps between them, the ones that are missing.

use super::{Role, Rung};
use crate::error::Error;
use crate::judgement::{Judgement, Sense, Severity, Verdict};
use crate::source::Confidence;
use orlop_units::{Voltage, show, total_cmp};
use std::collections::BTreeSet;

/// What the order and the gaps rest on.
const PRACTICE: &str = "common practice: target below alarm below stop below cut-off below limit, with gaps";

/// The thresholds of one bank.
#[derive(Clone, Debug, PartialEq)]
pub struct Ladder {
    rungs: Vec<Rung>,
}

impl Ladder {
    /// Thresholds of one bank; they may come in any order.
    ///
    /// # Errors
    /// [`Error::Input`] for none, or a name that is there twice.
    pub fn new(mut rungs: Vec<Rung>) -> Result<Self, Error> {
        if rungs.is_empty() {
            return Err(Error::input("thresholds", "none", "at least one threshold"));
        }
        let mut seen = BTreeSet::new();
        if let Some(twice) = rungs.iter().find(|r| !seen.insert(r.id().to_string())) {
            return Err(Error::input("thresholds", format!("'{}' twice", twice.id()), "each name once"));
        }
        rungs.sort_by(|a, b| total_cmp(a.per_cell(), b.per_cell()).then(a.role().cmp(&b.role())));
        Ok(Self { rungs })
    }

    /// The thresholds by rising setting per cell.
    #[must_use]
    pub fn rungs(&self) -> &[Rung] {
        &self.rungs
    }

    fn of(&self, role: Role) -> impl Iterator<Item = &Rung> {
        self.rungs.iter().filter(move |r| r.role() == role)
    }

    /// The order of all neighbours (rule `threshold-order`) and the thresholds that should be there (`threshold-present`).
    ///
    /// Wrong order fails; right order with ranges that overlap is undecided: which acts first is then a matter of luck.
    #[must_use]
    pub fn judgements(&self) -> Vec<Judgement> {
        let present: Vec<Role> =
            Role::ALL.iter().copied().filter(|role| self.of(*role).next().is_some()).collect();
        let mut all = Vec::new();
        for pair in present.windows(2) {
            for lower in self.of(pair[0]) {
                all.extend(self.of(pair[1]).map(|upper| order(lower, upper)));
            }
        }
        all.extend(Role::ALL.iter().filter(|r| !present.contains(r)).map(|role| missing(*role)));
        all
    }

    pub(super) fn rung(&self, id: &str) -> Result<&Rung, Error> {
        self.rungs.iter().find(|r| r.id() == id.trim()).ok_or_else(|| {
            let ids: Vec<&str> = self.rungs.iter().map(Rung::id).collect();
            Error::input("threshold", format!("'{}'", id.trim()), format!("one of {}", ids.join(", ")))
        })
    }
}

/// Which of two acts first when the voltage moves away from the middle.
fn first(lower: &Rung, upper: &Rung) -> (String, String) {
    if upper.role().is_high() { (lower.text(), upper.text()) } else { (upper.text(), lower.text()) }
}

fn severity(lower: Role, upper: Role) -> Severity {
    let has = |role| lower == role || upper == role;
    if has(Role::LowLimit) || has(Role::HighLimit) {
        Severity::A
    } else if has(Role::LowCutOff) || has(Role::HighCutOff) {
        Severity::B
    } else {
        Severity::C
    }
}

fn order(lower: &Rung, upper: &Rung) -> Judgement {
    let (below, above) = (lower.ends().1, upper.ends().0);
    let subject = format!("threshold.{}.{}", lower.id(), upper.id());
    let severity = severity(lower.role(), upper.role());
    let mut judgement = Judgement::compare("threshold-order", subject, severity, below, Sense::AtMost, above);
    let right = lower.per_cell() < upper.per_cell();
    if judgement.verdict == Verdict::Fail && right {
        judgement.verdict = Verdict::Undecided;
    }
    if !right {
        judgement.verdict = Verdict::Fail;
    }
    let (early, late) = first(lower, upper);
    let gap = |v: Voltage| show(v);
    // Across the middle neither acts first; one only stands below the other.
    let middle = upper.role().is_high() && !lower.role().is_high();
    let (acts, act) = if middle { ("stands below", "stand below") } else { ("acts before", "act before") };
    let what = match judgement.verdict {
        Verdict::Pass => format!("{early} {acts} {late}; {} a cell between them", gap(above - below)),
        Verdict::Undecided => format!(
            "{early} should {act} {late}, but with errors and cable they overlap by {} a cell",
            gap(below - above)
        ),
        _ => format!("{early} should {act} {late}, but does not"),
    };
    judgement
        .clause(PRACTICE, Confidence::CommonPractice)
        .what(what)
        .to_do(format!("set {early} further inside, or read the voltage at the bank"))
}

fn missing(role: Role) -> Judgement {
    let subject = format!("threshold.{}", role.word());
    let (severity, verdict, what, to_do) = match role {
        Role::LowLimit | Role::HighLimit => (
            Severity::A,
            Verdict::NotTested,
            "the limit of the cell is not given",
            "take it from the data sheet of the cell",
        ),
        Role::LowCutOff | Role::HighCutOff => (
            Severity::A,
            Verdict::Fail,
            "nothing opens before the cell is harmed",
            "fit a manager that reads every cell",
        ),
        Role::LowAlarm | Role::HighAlarm => (
            Severity::B,
            Verdict::Fail,
            "nobody is warned before the bank cuts off",
            "fit an alarm, with time left to act",
        ),
        Role::ChargeStop | Role::LoadStop => (
            Severity::C,
            Verdict::Fail,
            "nothing stops softly: the first to act is the cut-off",
            "let the manager tell chargers and loads before it opens",
        ),
        Role::ChargeTarget => (
            Severity::C,
            Verdict::NotTested,
            "no charger or regulator is given",
            "list every charging source with its target",
        ),
    };
    Judgement::bare("threshold-present", subject, severity, verdict)
        .clause(PRACTICE, Confidence::CommonPractice)
        .what(what)
        .to_do(to_do)
}
