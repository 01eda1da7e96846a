//! One reading, from the instrument to the verdict.

use crate::check::found::judged;
use crate::design::Design;
use crate::survey::two_digits;
use orlop::working::Step;
use orlop::{Recorder, Sense, Verdict};
use orlop_units::{AnyQuantity, Kind, show};

/// Reading, what is judged, limit with its clause, room left, verdict.
pub(super) fn reading(design: &Design, id: &str, rec: &mut impl Recorder) {
    let all = judged(design);
    let Some(j) = all.iter().find(|j| j.reading.id == id) else { return };
    let r = j.reading;
    rec.step(|| {
        let read = r.value.as_ref().map_or_else(|| r.text.clone(), ToString::to_string);
        let what = format!(
            "{} at {}{}",
            r.item.info().says,
            r.at,
            if r.name.is_empty() { String::new() } else { format!(", {}", r.name) }
        );
        let mut step =
            Step::new(what, "x", read).formula(format!("{}: as the file states it", r.evidence().word()));
        if let (Some(half), Some(value)) = (r.uncertainty, &r.value) {
            step = step.input("95 % half-width", width(value.kind, half));
        }
        if let Some(current) = r.current {
            step = step.input("at a current of", show(current));
        }
        if !r.instrument.is_empty() {
            step = step.input("instrument", r.instrument.clone());
        }
        step
    });
    let Some(judgement) = &j.judgement else {
        return rec.step(|| {
            Step::new("Verdict", "", "none").formula("a statement, or nothing in the file to judge it by")
        });
    };
    let text = |q: &Option<AnyQuantity>| q.as_ref().map_or_else(|| "none".to_string(), ToString::to_string);
    rec.step(|| {
        let step = Step::new("What is judged", "y", text(&judgement.value)).formula(judgement.what.clone());
        match (&judgement.uncertainty, &judgement.value) {
            (Some(u), Some(v)) => {
                step.input("95 % half-width", width(v.kind, u.si * crate::check::found::HALF_WIDTH))
            }
            _ => step,
        }
    });
    rec.step(|| {
        Step::new(format!("Limit, {}", judgement.sense.word()), "L", text(&judgement.limit))
            .formula(judgement.clause.clone())
            .input("confidence in that source", judgement.confidence.word().to_string())
    });
    if let Some(margin) = judgement.margin {
        let formula = if judgement.sense == Sense::AtMost { "(L - y) / |L|" } else { "(y - L) / |L|" };
        rec.step(|| {
            Step::new("Room left over the limit", "m", format!("{:.1} %", margin * 100.0)).formula(formula)
        });
    }
    rec.step(|| {
        let formula = match judgement.verdict {
            Verdict::Undecided => {
                "the margin lies within the uncertainty, or the reading is none at full current"
            }
            Verdict::Fail => "beyond its limit by more than its uncertainty",
            _ => "within its limit by more than its uncertainty",
        };
        let step = Step::new("Verdict", "", judgement.verdict.word().to_string()).formula(formula);
        if judgement.is_finding() {
            step.input("severity", judgement.severity.word().to_string())
        } else {
            step
        }
    });
}

fn width(kind: Kind, half: f64) -> String {
    let kind = if kind == Kind::Temperature { Kind::TemperatureRise } else { kind };
    orlop_units::show_si(kind, two_digits(half))
}
