//! Loads and scenarios.

use super::words;
use crate::pretty;
use crate::view::{Draw, Drop, Feeder, Load, Scenario};
use orlop_boat::Design;
use orlop_boat::demand::CaseKind;
use orlop_boat::design::LoadResult;
use orlop_boat::model::{self, Demand, Feeds, Known, LoadState, Value};
use orlop_units::Quantity;

pub(super) fn loads(design: &Design) -> Vec<Load> {
    design.boat.loads.iter().map(|load| one(design, load)).collect()
}

fn one(design: &Design, load: &model::Load) -> Load {
    let boat = &design.boat;
    let result = design.load(&load.id);
    Load {
        id: load.id.clone(),
        name: load.name.clone(),
        place: load
            .place
            .as_ref()
            .map(|id| boat.place(id).map_or(id.clone(), |p| p.name.clone()))
            .unwrap_or_default(),
        demand: load.demand.iter().map(|(state, demand)| draw(load, *state, demand)).collect(),
        essential: load.essential,
        class: load.drop_class.word().into(),
        path: result.map(|r| r.path.join(" › ")).unwrap_or_default(),
        drop: result.map(|r| drop(design, r)),
    }
}

fn draw(load: &model::Load, state: LoadState, demand: &Demand) -> Draw {
    let (value, guess) = match demand {
        Demand::Power(v) => text(v),
        Demand::Current(v) => text(v),
        Demand::Resistance(v) => text(v),
    };
    let time =
        load.lasts.iter().find(|(s, _)| *s == state).map(|(_, t)| format!(" for {}", pretty::show(*t)));
    let state = match state {
        LoadState::Idle => "idle",
        LoadState::Run => "run",
        LoadState::Peak => "peak",
        LoadState::Start => "start",
        LoadState::Stall => "stalled",
    };
    Draw { state: state.into(), value: value + &time.unwrap_or_default(), guess }
}

fn text<Q: Quantity>(value: &Value<Q>) -> (String, bool) {
    let range = value.range.map(|(low, high)| format!(" ({} to {})", pretty::show(low), pretty::show(high)));
    (pretty::show(value.q) + &range.unwrap_or_default(), value.known == Known::Guess)
}

fn drop(design: &Design, r: &LoadResult) -> Drop {
    let nominal = r.nominal.si();
    let worst = r.drop.si().max(r.rule_drop.si());
    Drop {
        volts: pretty::show(r.drop),
        share: pretty::percent(worst / nominal),
        limit: pretty::percent(r.limit.si()),
        by_rule: pretty::show(r.rule_drop),
        of_limit: Some(worst / (nominal * r.limit.si())).filter(|x| x.is_finite()).unwrap_or(0.0),
        case: words::case(design, &r.case),
        lowest: r.lowest_voltage.map_or_else(|| "not to be fed".into(), pretty::show),
    }
}

/// The scenarios of the file, with the current of every feeder that carries any.
pub(super) fn scenarios(design: &Design) -> Vec<Scenario> {
    let feeds_on = |f: &Feeds| matches!(f, Feeds::Panel(_) | Feeds::Converter(_));
    design
        .demand
        .cases
        .iter()
        .filter(|case| case.kind == CaseKind::Scenario)
        .map(|case| Scenario {
            name: case.name.clone(),
            on: case
                .on
                .iter()
                .map(|(id, state)| {
                    let name = design.boat.load(id).map_or(id.as_str(), |l| l.name.as_str());
                    if *state == LoadState::Run {
                        name.to_string()
                    } else {
                        format!("{name} ({})", state.word())
                    }
                })
                .collect(),
            feeders: design
                .boat
                .circuits
                .iter()
                .filter(|c| feeds_on(&c.feeds))
                .filter_map(|c| {
                    let demand = design.demand.circuit(&c.id)?;
                    let (usual, most) = (demand.nominal_in(&case.id), demand.current_in(&case.id));
                    (most.si() > 0.0).then(|| Feeder {
                        id: c.id.clone(),
                        name: c.name.clone(),
                        current: format!("{} to {}", pretty::show(usual), pretty::show(most)),
                    })
                })
                .collect(),
        })
        .collect()
}
