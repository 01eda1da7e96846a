//! Brown-outs: the worst that each moment of a load does.

use super::words;
use crate::pretty;
use crate::view::Dip;
use orlop::{Sense, meets};
use orlop_boat::model::LoadState;
use orlop_boat::{Design, network};
use orlop_units::Quantity;

/// A dip of fewer volts is none.
const FELT: f64 = 0.005;

/// One for each cause and state, those that put something out first, then in the order of the file.
pub(super) fn dips(design: &Design) -> Vec<Dip> {
    let mut causes: Vec<(usize, LoadState)> =
        design.network.dips.iter().map(|d| (d.cause, d.state)).collect();
    causes.sort_unstable();
    causes.dedup();
    let mut out: Vec<Dip> = causes.into_iter().filter_map(|c| one(design, c)).collect();
    out.sort_by_key(|d| !d.short);
    out
}

fn during(dip: &network::Dip) -> f64 {
    dip.during.map_or(f64::NEG_INFINITY, Quantity::si)
}

fn one(design: &Design, (cause, state): (usize, LoadState)) -> Option<Dip> {
    let boat = &design.boat;
    let all = || design.network.dips.iter().filter(move |d| d.cause == cause && d.state == state);
    let least = |d: &network::Dip| boat.loads[d.victim].minimum.map(Quantity::si);
    let depth = |d: &network::Dip| d.before.si() - during(d);
    let deepest = all().max_by(|a, b| depth(a).total_cmp(&depth(b)))?;
    // One whose volts do not move, behind a converter, is not hit.
    let nearest = all()
        .filter(|d| depth(d) >= FELT)
        .filter_map(|d| Some((d, during(d) - least(d)?)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(d, _)| d);
    let worst = nearest.unwrap_or(deepest);
    let (verdict, short) = match (worst.during.map(Quantity::si), least(worst)) {
        (None, _) => ("the wires cannot carry it".to_string(), true),
        (Some(_), None) => ("not to be judged".to_string(), false),
        (Some(v), Some(m)) if meets(v, Sense::AtLeast, m) => {
            (format!("stays on, {} to spare", pretty::volts(v - m)), false)
        }
        (Some(v), Some(m)) => (format!("drops out, {} short", pretty::volts(m - v)), true),
    };
    let named = |at: usize| words::named(&boat.loads[at].id, &boat.loads[at].name);
    let other = (deepest.victim != worst.victim && worst.during.is_some()).then(|| {
        let to = deepest.during.map_or_else(|| "nothing".into(), |v| pretty::volts(v.si()));
        format!("{}, from {} to {to}", named(deepest.victim), pretty::volts(deepest.before.si()))
    });
    let (cause, victim) = (super::load(boat, cause), super::load(boat, worst.victim));
    Some(Dip {
        cause: cause.0,
        cause_name: cause.1,
        state: state.word().into(),
        victim: victim.0,
        victim_name: victim.1,
        case: words::case(design, &worst.case),
        before: pretty::volts(worst.before.si()),
        during: worst.during.map(|v| pretty::volts(v.si())),
        in_bank: worst.during.map(|_| pretty::lost(worst.in_bank.si())),
        minimum: least(worst).map(pretty::volts),
        verdict,
        short,
        deepest: other,
    })
}
