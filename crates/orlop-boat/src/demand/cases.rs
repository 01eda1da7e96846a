//! What happens together: the scenarios of the file, and what they leave out.

use super::draw::{LoadPath, heaviest};
use crate::model::{Boat, Feeds, Load, LoadState};
use orlop_units::{Quantity, seconds};
use std::collections::{BTreeMap, BTreeSet};

/// A peak of at least this many seconds heats a conductor as a continuous current does.
///
/// Common practice: small conductors settle within minutes. A peak whose time is not stated counts as continuous.
pub const CONTINUOUS_FROM: f64 = 60.0;

/// Where a case comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum CaseKind {
    /// A scenario of the file.
    Scenario,
    /// Loads of one circuit that no scenario names in their heaviest lasting state, together and with all else off.
    Alone,
    /// Every charging source at its rating, loads off: the current flows up the feed tree.
    Charging,
}

/// A set of things that happen together.
#[derive(Clone, Debug, PartialEq)]
pub struct Case {
    /// The scenario's id; for the others a name with a space, which no id has: `H7 alone`, `charging alone`.
    pub id: String,
    /// Its name for people.
    pub name: String,
    /// Where it comes from.
    pub kind: CaseKind,
    /// The loads that are on, each in one state.
    pub on: Vec<(String, LoadState)>,
}

/// The state whose current counts as continuous while a load is in some state.
///
/// Start, stall and a short peak are moments of running.
pub(crate) fn lasting(load: &Load, state: LoadState) -> LoadState {
    match state {
        LoadState::Idle => LoadState::Idle,
        LoadState::Peak if peak_lasts(load) => LoadState::Peak,
        LoadState::Run | LoadState::Peak | LoadState::Start | LoadState::Stall => LoadState::Run,
    }
}

/// Whether the peak counts as continuous.
pub(super) fn peak_lasts(load: &Load) -> bool {
    time(load, LoadState::Peak).is_none_or(|t| t.si() >= CONTINUOUS_FROM)
}

/// How long a state lasts, when the file says so.
pub(super) fn time(load: &Load, state: LoadState) -> Option<orlop_units::Time> {
    load.lasts.iter().find(|(s, _)| *s == state).map(|(_, t)| *t).filter(|t| *t >= seconds(0.0))
}

pub(super) fn cases(boat: &Boat, paths: &[LoadPath]) -> Vec<Case> {
    let mut out: Vec<Case> = boat
        .scenarios
        .iter()
        .map(|s| Case { id: s.id.clone(), name: s.name.clone(), kind: CaseKind::Scenario, on: s.on.clone() })
        .collect();
    out.extend(alone(boat, paths));
    if boat.circuits.iter().any(|c| charges(boat, &c.feeds)) {
        let name = "All charging sources at their rating, loads off".into();
        out.push(Case { id: "charging alone".into(), name, kind: CaseKind::Charging, on: Vec::new() });
    }
    out
}

/// Whether a circuit brings in a charging source.
pub(super) fn charges(boat: &Boat, feeds: &Feeds) -> bool {
    matches!(feeds, Feeds::Source(id) if boat.source(id).is_some())
}

/// One case for each circuit with loads that no scenario shows at their heaviest.
fn alone(boat: &Boat, paths: &[LoadPath]) -> Vec<Case> {
    let by_id: BTreeMap<&str, &Load> = paths.iter().map(|p| (p.load.id.as_str(), p.load)).collect();
    let named: BTreeSet<(&str, LoadState)> = boat
        .scenarios
        .iter()
        .flat_map(|s| s.on.iter())
        .filter_map(|(id, state)| Some((id.as_str(), lasting(by_id.get(id.as_str())?, *state))))
        .collect();
    // By id of circuit and load, so that the order of the file decides nothing.
    let mut missing: BTreeMap<&str, BTreeMap<&str, LoadState>> = BTreeMap::new();
    for path in paths {
        let (load, state) = (path.load.id.as_str(), heaviest(path));
        if !named.contains(&(load, state)) {
            missing.entry(boat.circuits[path.circuit()].id.as_str()).or_default().insert(load, state);
        }
    }
    let mut out: Vec<Case> = missing
        .into_values()
        .map(|loads| {
            let ids: Vec<&str> = loads.keys().copied().collect();
            let names: Vec<&str> =
                ids.iter().filter_map(|id| by_id.get(id)).map(|load| load.name.as_str()).collect();
            Case {
                id: format!("{} alone", ids.join("+")),
                name: format!("{}, all else off", names.join(" and ")),
                kind: CaseKind::Alone,
                on: loads.into_iter().map(|(id, state)| (id.to_string(), state)).collect(),
            }
        })
        .collect();
    out.sort_by(|a, b| a.id.cmp(&b.id));
    out
}
