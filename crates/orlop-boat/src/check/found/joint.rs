//! Joints, switches and fuses by the volts across them: watts and rise at full current, not milliohms.

use super::{finish, place, told, value};
use crate::design::Design;
use crate::found::{Item, Leg, LegPart, Reading};
use orlop::proving::resistance::Joint;
use orlop::{Judgement, Verdict};
use orlop_units::{Current, Length, Quantity, Resistance, Voltage, amperes, millimetres, volts, watts};

/// A joint that turns this into heat needs work soon: the limit of trade practice that [`Joint::judge`] applies.
const SOON: f64 = 5.0;

pub(super) fn judge(design: &Design, r: &Reading) -> Option<Judgement> {
    let at = r.current.or_else(|| full(design, r))?;
    let joint = Joint { measured_rise: r.rise, ..measured(r, at)? };
    let design_current = full(design, r).filter(|full| *full > at).unwrap_or(at);
    let mut j = joint.judge(&r.at, design_current, at).ok()?;
    j.limit = Some(watts(SOON).into());
    if let Some(power) = j.value.as_ref().map(|v| v.si) {
        j.margin = Some((SOON - power) / SOON);
        // By its rise or its ratio alone the watts say nothing.
        if j.verdict == Verdict::Fail && power <= SOON {
            (j.limit, j.margin) = (None, None);
        }
    }
    if let Some((leg, part)) = the_part(r) {
        j = j.case(format!("{}.{}", leg.word(), part.word()));
    }
    let what = format!("{}{}: {}", place(r), told(r), j.what);
    Some(finish(r, j, what))
}

/// The one piece that was between the probes, where the file says so.
fn the_part(r: &Reading) -> Option<(Leg, LegPart)> {
    let [part] = r.parts.as_slice() else { return None };
    let leg = if matches!(part, LegPart::Device | LegPart::Switch) { Leg::Positive } else { r.leg };
    (leg != Leg::Both).then_some((leg, *part))
}

fn measured(r: &Reading, at: Current) -> Option<Joint> {
    // Its length counts only beside a cable, and none is stated here.
    let length: Length = millimetres(20.0);
    let standard = r.uncertainty.unwrap_or(0.0) / super::HALF_WIDTH;
    if r.item == Item::Joint {
        // Nothing, and less than nothing within the uncertainty, counts as what no meter shows.
        let drop = volts(value::<Voltage>(r)?.si().max(1e-6));
        return Joint::measured(drop, volts(standard), at, amperes(0.0), length).ok();
    }
    let resistance: Resistance = value(r)?;
    let standard = Resistance::from_si(standard);
    Some(Joint { resistance, standard, length, cable: None, measured_rise: None })
}

/// The largest continuous current at the joint, where it is that of a circuit. A stud of a bus carries what hangs on it, which the file
/// does not say: it is judged at the current at which it was read.
fn full(design: &Design, r: &Reading) -> Option<Current> {
    let circuit = r.at.strip_prefix("circuit.")?;
    design.demand.circuit(circuit).map(|c| c.design)
}
