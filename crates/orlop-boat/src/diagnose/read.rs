//! What a meter shows at a place of a boat with a cause in it.

use super::ask::{Probe, counted};
use super::bench::{OPEN, Solved};
use super::cause::{Cause, CauseKind, Target};
use super::predict::{Predictor, Solves};
use super::reading::{Spot, What, When};
use super::scene::Scene;
use orlop_units::Quantity;

/// Rise of a joint or device over its cable, K/W, and its relative standard deviation: from memory.
const RISE: f64 = 4.0;
const RISE_SPREAD: f64 = 0.4;
/// Cells or batteries of one bank at rest differ by so much, V, standard deviation: from memory.
const APART: f64 = 0.02;

impl Predictor<'_, '_> {
    /// A value as the model counts it, and its standard deviation from what nothing else shares.
    pub(super) fn read(&self, probe: &Probe, cause: &Cause, size: f64, s: &Solves) -> (f64, f64) {
        let scene = self.scene;
        let (place, nominal) = (&probe.place, scene.boat.nominal.si());
        let circuit = |at: &str| {
            let id = at.strip_prefix("circuit.")?;
            scene.boat.circuits.iter().position(|c| c.id == id)
        };
        let live = |node: usize| {
            let reversed = cause.kind == CauseKind::Reversed
                && matches!(cause.target, Target::Load(l) if scene.anatomy.of_load[l] == Some(node));
            if reversed { -1.0 } else { 1.0 }
        };
        match (place.what, circuit(&place.at)) {
            (What::Voltage, _) => {
                let node = scene.node(&place.at).unwrap_or(scene.bank_node);
                let volts = |at: &Solved| live(node) * at.volts[node];
                match place.when {
                    When::On => (volts(&s.on), 0.0),
                    When::Before => (volts(s.before.as_ref().unwrap_or(&s.on)), 0.0),
                    When::Off => (volts(&s.off), 0.0),
                    When::Charging => (s.charging.as_ref().unwrap_or(&s.off).volts[node], 0.02 * nominal),
                    When::Isolated if cause.kind == CauseKind::SecondFeed => {
                        (scene.nominal(node), 0.05 * nominal)
                    }
                    When::Isolated => (0.0, 0.02),
                }
            }
            (What::RestDifference, _) => {
                let bad = if cause.kind == CauseKind::Cell { size } else { 0.0 };
                (bad, APART.hypot(0.2 * bad))
            }
            (What::Current, None) => (s.off.bank, 0.05),
            (What::Current, Some(c)) if place.when == When::Charging => {
                let flows = s.charging.as_ref().map_or(0.0, |p| p.amps[c].abs());
                (flows, 0.3 * flows)
            }
            (What::Current, Some(c)) => (s.on.amps[c], 0.0),
            (What::Drop, None) => {
                let node = scene.node(&place.at).unwrap_or(scene.bank_node);
                (s.on.volts[scene.bank_node] - live(node) * s.on.volts[node], 0.0)
            }
            (What::Drop, Some(c)) => self.drop(c, place.spot, cause, size, s),
            (What::Rise, Some(c)) => {
                let spot = place.spot.unwrap_or(Spot::Device);
                let amps = scene.run_amps(c, &s.ail, &s.on);
                let ohm = scene.part_ohms(c, spot).0 + excess(cause, size, c, Some(spot));
                let rise = RISE * amps * amps * ohm;
                (rise, RISE_SPREAD * rise)
            }
            (What::Resistance, Some(c)) => {
                let spot = place.spot.unwrap_or(Spot::Positive);
                let extra = excess(cause, size, c, Some(spot)) + thicker(scene, cause, size, c);
                (counted(What::Resistance, (scene.part_ohms(c, spot).0 + extra).min(1e6)), 0.0)
            }
            (What::Resistance, None) => {
                let id = place.at.strip_prefix("load.").unwrap_or_default();
                let load = scene.boat.loads.iter().position(|l| l.id == id).unwrap_or(0);
                let ohm = scene.load_ohms(load);
                match (cause.kind, cause.target) {
                    (CauseKind::LoadDead, Target::Load(l)) if l == load => {
                        (counted(What::Resistance, 1e6), 1.0)
                    }
                    (CauseKind::LoadHeavy | CauseKind::LoadLight, Target::Load(l)) if l == load => {
                        (counted(What::Resistance, ohm / size), 0.7)
                    }
                    (CauseKind::Short, Target::Circuit(c))
                        if Some(c) == scene.anatomy.of_load[load].and_then(|n| scene.anatomy.ended_by[n]) =>
                    {
                        (counted(What::Resistance, size), 0.1)
                    }
                    // A motor or a set of electronics measures anything from a fifth to five times its working resistance.
                    _ => (counted(What::Resistance, ohm), 0.8),
                }
            }
            (What::Rise, None) | (What::Look | What::Swap | What::Direct | What::Try, _) => (0.0, 0.0),
        }
    }

    fn drop(&self, c: usize, spot: Option<Spot>, cause: &Cause, size: f64, s: &Solves) -> (f64, f64) {
        let scene = self.scene;
        let (from, to) = scene.anatomy.ends[c];
        let Some(spot) = spot else { return (s.on.volts[from] - s.on.volts[to], 0.0) };
        let amps = scene.run_amps(c, &s.ail, &s.on);
        let (ohm, spread) = scene.part_ohms(c, spot);
        let extra = excess(cause, size, c, Some(spot)) + leg(spot) * thicker(scene, cause, size, c);
        (amps * (ohm * s.ail.wires + extra), amps.abs() * spread)
    }
}

fn leg(spot: Spot) -> f64 {
    if matches!(spot, Spot::Positive | Spot::Negative) { 1.0 } else { 0.0 }
}

/// Ohms that a thinner conductor adds to each leg.
fn thicker(scene: &Scene<'_>, cause: &Cause, size: f64, c: usize) -> f64 {
    let here = cause.kind == CauseKind::Undersized && cause.target == Target::Circuit(c);
    if here { scene.anatomy.parts[c].leg * (size - 1.0) } else { 0.0 }
}

/// Excess ohms that a cause puts between the ends of a part of a circuit.
fn excess(cause: &Cause, size: f64, c: usize, part: Option<Spot>) -> f64 {
    if cause.target != Target::Circuit(c) {
        return 0.0;
    }
    let ohm = match cause.kind {
        CauseKind::Open | CauseKind::DeviceOpen | CauseKind::Short => OPEN,
        kind if kind.is_series() => size,
        _ => return 0.0,
    };
    let lies = cause.spot.unwrap_or(Spot::Device);
    let positive = matches!(
        lies,
        Spot::Positive | Spot::Device | Spot::Switch | Spot::StartPositive | Spot::EndPositive
    );
    let within = match part {
        None => true,
        Some(Spot::Positive) => positive,
        Some(Spot::Negative) => !positive,
        Some(Spot::Supply) => matches!(lies, Spot::Device | Spot::Switch | Spot::StartPositive),
        Some(one) => one == lies,
    };
    if within { ohm } else { 0.0 }
}
