//! How probable a symptom, or the outcome of a trial, is with a cause in the boat. All of these are judgements, from memory.

use super::cause::{Cause, CauseKind, Target};
use super::predict::Solves;
use super::reading::{What, Where};
use super::scene::Scene;
use super::symptom::{Sign, Symptom};
use orlop::{Citation, Confidence};
use orlop_units::Quantity;

/// How symptoms go with causes.
pub static SIGNS: Citation = Citation::fixed(
    "fault-signs",
    "trade practice of fault finding on boats",
    "",
    "",
    "dead, weak, hot, trips and the rest as probabilities of the solved state: half a chance of weak at 93 % of the volts, of hot at 2 W",
    Confidence::Memory,
    "judgement; no counted data were found",
);

/// From 0 below a middle to 1 above it, over a few widths.
fn above(x: f64, middle: f64, width: f64) -> f64 {
    1.0 / (1.0 + (-(x - middle) / width).exp())
}

/// Probability that this symptom is seen.
pub(super) fn chance_of_sign(
    scene: &Scene<'_>,
    symptom: &Symptom,
    cause: &Cause,
    size: f64,
    s: &Solves,
) -> f64 {
    use CauseKind::*;
    let loads = loads_of(scene, symptom);
    let worst = |of: &dyn Fn(usize) -> f64| loads.iter().map(|l| of(*l)).fold(0.0, f64::max);
    let (dead, weak) =
        (worst(&|l| dead(scene, l, cause, size, s)), worst(&|l| weak(scene, l, cause, size, s)));
    let here = touches(scene, symptom, cause);
    match symptom.sign {
        Sign::Dead => dead,
        Sign::Weak => weak,
        Sign::Works => 0.97 * (1.0 - dead).min(1.0 - weak),
        Sign::Trips => match cause.kind {
            DeviceWeak | Short if here => 0.9,
            LoadHeavy if here => 0.1 + 0.8 * above(overload(scene, cause, s), 1.1, 0.1),
            Joint | Device if here => 0.02 + 0.3 * above(heat(scene, cause, size, s).ln(), 1.0, 0.5),
            DeviceOpen if here => 0.3,
            _ => 0.02,
        },
        Sign::Hot => match cause.kind {
            Joint | Device | Switch | Conductor | Undersized | Terminal if here => {
                0.02 + 0.9 * above(heat(scene, cause, size, s).max(1e-9).ln(), 2_f64.ln(), 0.5)
            }
            LoadHeavy if here => 0.4,
            _ => 0.02,
        },
        Sign::Intermittent => match cause.kind {
            Joint | Terminal if here => 0.6,
            Switch if here => 0.5,
            Device if here => 0.4,
            Conductor | DeviceWeak | Open if here => 0.3,
            LoadHeavy | LoadLight | LoadDead | ConverterLimit => 0.15,
            _ => 0.04,
        },
        Sign::Drains => match cause.kind {
            Drain => 0.05 + 0.9 * above(size.ln(), 0.5_f64.ln(), 0.4),
            ChargerOff => 0.6,
            ChargerLow | Cell => 0.5,
            BankLow | StringOff => 0.3,
            _ => 0.03,
        },
        Sign::Dims => {
            let dip = worst(&|l| {
                let node = scene.anatomy.of_load[l].unwrap_or(scene.bank_node);
                let before = s.before.as_ref().map_or(0.0, |b| b.volts[node]);
                (before - s.on.volts[node]) / scene.nominal(node)
            });
            0.02 + 0.93 * above(dip, 0.05, 0.012)
        }
        Sign::CutsOff => {
            let lowest = scene.boat.banks[scene.bank].lowest.si();
            let sagged = above((lowest - s.on.volts[scene.bank_node]) / scene.boat.nominal.si(), 0.0, 0.01);
            let own = match cause.kind {
                Cell => 0.7,
                StringOff => 0.4,
                ChargerLow | ChargerOff => 0.4,
                LoadHeavy => 0.2,
                _ => 0.01,
            };
            f64::max(own, 0.9 * sagged)
        }
        Sign::Live => {
            if cause.kind == SecondFeed {
                0.95
            } else {
                0.01
            }
        }
    }
}

/// Probability of the first answer of a trial.
pub(super) fn chance_of_trial(scene: &Scene<'_>, place: &Where, cause: &Cause, s: &Solves) -> f64 {
    use CauseKind::*;
    let own = cause.target == Target::Circuit(circuit(scene, &place.at));
    match place.what {
        What::Look => match cause.kind {
            DeviceOpen | Short if own => 0.96,
            DeviceWeak if own => 0.3,
            LoadHeavy => 0.1,
            _ => 0.02,
        },
        What::Swap => match cause.kind {
            Device if own => 0.8,
            DeviceOpen | DeviceWeak if own => 0.9,
            _ => 0.03,
        },
        What::Direct => match cause.kind {
            LoadDead => 0.03,
            LoadHeavy | LoadLight => 0.1,
            BankLow | Cell | ChargerOff | ChargerLow => 0.4,
            _ => 0.95,
        },
        What::Try => {
            let id = place.at.strip_prefix("load.").unwrap_or_default();
            let load = scene.boat.loads.iter().position(|l| l.id == id);
            let node = load.and_then(|l| scene.anatomy.of_load[l]).unwrap_or(scene.bank_node);
            // The nearest node on the way to it that is in the network.
            let mut here = node;
            while !scene.nodes.contains(&here) {
                let Some(c) = scene.anatomy.ended_by[here] else { break };
                here = scene.anatomy.ends[c].0;
            }
            0.02 + 0.95 * above(s.on.volts[here] / scene.nominal(here), 0.82, 0.03)
        }
        _ => 0.5,
    }
}

fn circuit(scene: &Scene<'_>, at: &str) -> usize {
    let id = at.strip_prefix("circuit.").unwrap_or_default();
    scene.boat.circuits.iter().position(|c| c.id == id).unwrap_or(usize::MAX)
}

fn loads_of(scene: &Scene<'_>, symptom: &Symptom) -> Vec<usize> {
    let id = symptom.at.strip_prefix("load.");
    match id.and_then(|id| scene.boat.loads.iter().position(|l| l.id == id)) {
        Some(load) => vec![load],
        None => scene.complained.clone(),
    }
}

/// Whether a cause lies where a symptom was noticed: of a load, its last circuit and itself.
fn touches(scene: &Scene<'_>, symptom: &Symptom, cause: &Cause) -> bool {
    match cause.target {
        Target::Circuit(c) => match scene.node(&symptom.at) {
            Some(node) if symptom.at.starts_with("bank.") => scene.anatomy.ends[c].0 == node,
            Some(node) => scene.anatomy.ended_by[node] == Some(c),
            None => circuit(scene, &symptom.at) == c,
        },
        _ => true,
    }
}

/// Volts at a load as a share of nominal, negative where its poles are swapped.
fn share(scene: &Scene<'_>, load: usize, cause: &Cause, s: &Solves) -> f64 {
    let node = scene.anatomy.of_load[load].unwrap_or(scene.bank_node);
    let swapped = cause.kind == CauseKind::Reversed && cause.target == Target::Load(load);
    let sign = if swapped { -1.0 } else { 1.0 };
    sign * s.on.volts[node] / scene.nominal(node)
}

fn dead(scene: &Scene<'_>, load: usize, cause: &Cause, size: f64, s: &Solves) -> f64 {
    let own = cause.target == Target::Load(load);
    match cause.kind {
        CauseKind::LoadDead | CauseKind::Reversed if own => return 0.95,
        CauseKind::LoadHeavy if own => return 0.15 + 0.5 * above(size, 4.0, 1.0),
        CauseKind::LoadLight if own => return 0.05 + 0.6 * above(0.2 - size, 0.0, 0.05),
        _ => {}
    }
    let node = scene.anatomy.of_load[load].unwrap_or(scene.bank_node);
    let least = scene.least(load) / scene.nominal(node);
    0.01 + 0.94 * above(least - share(scene, load, cause, s), 0.05, 0.04)
}

fn weak(scene: &Scene<'_>, load: usize, cause: &Cause, size: f64, s: &Solves) -> f64 {
    let own = cause.target == Target::Load(load);
    match cause.kind {
        CauseKind::LoadDead if own => return 0.05,
        CauseKind::LoadHeavy if own => return 0.7,
        CauseKind::LoadLight if own => return 0.8 * above(size, 0.1, 0.03),
        _ => {}
    }
    let share = share(scene, load, cause, s);
    0.02 + 0.93 * above(0.93 - share, 0.0, 0.015) * above(share, 0.2, 0.05)
}

/// Current through the device of a load's circuit, as a multiple of its rating.
fn overload(scene: &Scene<'_>, cause: &Cause, s: &Solves) -> f64 {
    let Target::Load(load) = cause.target else { return 0.0 };
    let c = scene.anatomy.of_load[load].and_then(|n| scene.anatomy.ended_by[n]);
    let Some(c) = c else { return 0.0 };
    let rating = scene.design.circuits[c].device.as_ref().map_or(f64::INFINITY, |d| d.rating().si());
    scene.run_amps(c, &s.ail, &s.on) / rating
}

/// Watts in what is wrong.
pub(super) fn heat(scene: &Scene<'_>, cause: &Cause, size: f64, s: &Solves) -> f64 {
    match (cause.kind, cause.target) {
        (CauseKind::Terminal, _) => s.on.bank.powi(2) * size,
        (CauseKind::Undersized, Target::Circuit(c)) => {
            let amps = scene.run_amps(c, &s.ail, &s.on);
            amps * amps * 2.0 * scene.anatomy.parts[c].leg * size
        }
        (kind, Target::Circuit(c)) if kind.is_series() => {
            let amps = scene.run_amps(c, &s.ail, &s.on);
            amps * amps * size
        }
        _ => 0.0,
    }
}
