//! The steps of a fault current.

use super::levels::{Corners, branch_at, node_at};
use super::{Contribution, ContributionKind, FaultLevel, Through};
use crate::error::Error;
use crate::network::Network;
use crate::range::Range;
use crate::source::{Citation, Confidence};
use crate::working::{Recorder, Step};
use orlop_units::{Current, Quantity, amperes, show};

/// Where the formula comes from.
pub(crate) const THEVENIN: Citation = Citation::fixed(
    "thevenin-fault",
    "Thevenin's theorem",
    "",
    "",
    "bolted fault current: open voltage over the resistance with sources shorted; others are added by superposition",
    Confidence::Published,
    "a theorem of linear circuits; checked in the tests against a network solved with the fault in it",
);

impl Network {
    /// [`fault_at`](Self::fault_at) with its steps: both corners, the state of the sources, who feeds the fault.
    ///
    /// # Errors
    /// As there.
    pub fn fault_at_recorded(&self, node: &str, rec: &mut impl Recorder) -> Result<FaultLevel, Error> {
        let level = Corners::new(self).one(node_at(self, node)?);
        end(&level, true, rec);
        end(&level, false, rec);
        if let Some(pulse) = level.pulse {
            rec.step(|| {
                Step::new("capacitors in the first instant", "Ip", pulse)
                    .formula("V/R with charged capacitors as sources, less V/R without; a short pulse")
                    .source(&THEVENIN)
            });
        }
        for flag in &level.flags {
            rec.step(|| Step::new("note", "", flag.clone()));
        }
        Ok(level)
    }

    /// Fault currents through one branch, on both sides, with the steps.
    ///
    /// # Errors
    /// [`Error::Input`] when there is no such branch.
    pub fn through_recorded(&self, branch: &str, rec: &mut impl Recorder) -> Result<Through, Error> {
        let at = branch_at(self, branch)?;
        let levels = self.fault_levels();
        let found = levels.through[at].clone();
        let part = &self.branches()[at];
        for (name, end, range) in
            [("forward", part.to, found.forward), ("backward", part.from, found.backward)]
        {
            let node = &self.nodes()[end];
            rec.step(|| {
                Step::new(format!("{name}, for a fault at {node}: upper bound"), "I high", text(range.high()))
                    .formula("current of the part on the other side into a short, own resistance left out")
                    .source(&THEVENIN)
            });
            rec.step(|| {
                Step::new(format!("{name}, for a fault at {node}: lower bound"), "I low", text(range.low()))
                    .formula(
                        "(V - V at the fault end)/R of this branch, least over the states of the sources",
                    )
                    .source(&THEVENIN)
            });
        }
        rec.step(|| {
            let step = Step::new("through it", "I", found.through.to_string())
                .formula("least of the lower bounds at which any current flows, most of the upper ones");
            if found.open.is_empty() { step } else { step.input("open at the least", found.open.join(", ")) }
        });
        for flag in &found.flags {
            rec.step(|| Step::new("note", "", flag.clone()));
        }
        Ok(found)
    }
}

fn text(current: Option<Current>) -> String {
    current.map_or_else(|| "not known".into(), show)
}

fn pick<Q: Copy + orlop_units::Quantity>(range: Range<Q>, high: bool) -> Option<Q> {
    if high { range.high() } else { range.low() }
}

fn end(level: &FaultLevel, high: bool, rec: &mut impl Recorder) {
    let (side, corner) = if high { ("upper", "high") } else { ("lower", "low") };
    // Least resistance gives most current.
    let (volts, ohms) = (pick(level.voltage, high), pick(level.resistance, !high));
    if let (Some(volts), Some(ohms)) = (volts, ohms) {
        rec.step(|| {
            let state = if high { "all closed".to_string() } else { open(level) };
            Step::new(format!("{side} bound: from sources"), "Is", volts / ohms)
                .formula(format!("V/R, corner {corner}"))
                .input("V", volts)
                .input("R", ohms)
                .input("sources", state)
                .source(&THEVENIN)
        });
    }
    let of = |c: &Contribution| if high { c.upper } else { c.lower };
    for c in level.contributions.iter().filter(|c| of(c).is_none_or(|i| i.si() > 0.0)) {
        rec.step(|| contribution(c, side, of(c)));
    }
    let total = pick(level.total, high);
    let sum: f64 = level.contributions.iter().filter_map(|c| of(c).map(Quantity::si)).sum();
    rec.step(|| {
        let step = Step::new(format!("{side} bound at {}", level.node), "I", text(total));
        match total {
            Some(total) if total.si() < sum * (1.0 - 1e-9) => step
                .formula("less than the sum: what flows with every motor and limited source an ideal one of its highest voltage")
                .input("sum of all that feed it", amperes(sum)),
            _ => step.formula("sum of all that feed it"),
        }
    });
}

fn open(level: &FaultLevel) -> String {
    if level.open.is_empty() { "all closed".into() } else { format!("open: {}", level.open.join(", ")) }
}

fn contribution(c: &Contribution, side: &str, current: Option<Current>) -> Step {
    let formula = match c.kind {
        ContributionKind::Source => "its share of V/R, by superposition",
        ContributionKind::Limited => "its limit, as far as it counts",
        ContributionKind::Motor => "what it feeds back while it runs on",
    };
    Step::new(format!("{side} bound: of {}", c.id), "", text(current)).formula(formula).source(&THEVENIN)
}
