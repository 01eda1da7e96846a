//! The circuit schedule and what it adds up to.

use super::words;
use crate::pretty;
use crate::view::Circuit;
use orlop::circuit::Criterion;
use orlop_boat::Design;
use orlop_boat::design::{LoadResult, Origin, SizedCircuit};
use orlop_boat::model::{Feeds, Known, Run};
use orlop_units::Quantity;

/// The schedule, and the notes that its rows refer to by number.
pub(super) fn circuits(design: &Design) -> (Vec<Circuit>, Vec<String>) {
    let mut notes = Vec::new();
    let rows = design.circuits.iter().filter_map(|sized| one(design, sized, &mut notes)).collect();
    (rows, notes)
}

/// Numbers of remarks among the notes; new ones are added.
pub(super) fn numbers(flags: &[String], notes: &mut Vec<String>) -> Vec<usize> {
    let mut out: Vec<usize> = flags
        .iter()
        .map(|flag| {
            let note = words::sentence(flag);
            notes.iter().position(|n| *n == note).unwrap_or_else(|| {
                notes.push(note);
                notes.len() - 1
            }) + 1
        })
        .collect();
    out.sort_unstable();
    out.dedup();
    out
}

fn one(design: &Design, sized: &SizedCircuit, notes: &mut Vec<String>) -> Option<Circuit> {
    let boat = &design.boat;
    let circuit = boat.circuit(&sized.id)?;
    let governing = sized.margins.iter().find(|m| m.criterion == sized.governed_by).and_then(|m| m.margin);
    // A size taken because nothing smaller is allowed has no room to speak of.
    let sized_by_need = !matches!(sized.governed_by, Criterion::Mechanical | Criterion::Termination);
    Some(Circuit {
        id: sized.id.clone(),
        name: words::circuit_name(boat, circuit),
        from: circuit.from.clone(),
        to: circuit.feeds.words(),
        one_way: pretty::show(sized.one_way.0),
        one_way_guess: matches!(&circuit.run, Run::OneWay { length, .. } if length.known == Known::Guess),
        wire: words::wire(sized.conductor.size(), circuit.runs),
        wire_given: sized.conductor_origin == Origin::Given,
        device: device(sized),
        device_problems: sized.device_problems.iter().map(|p| words::plain(p)).collect(),
        current: pretty::show(sized.design_current),
        case: words::case(design, &sized.case),
        drop: pretty::show(sized.drop),
        drop_share: share(sized.drop, nominal(design, sized)).map(pretty::percent),
        path_drop: worst_load(design, &circuit.feeds).map(|l| {
            let worst = l.drop.si().max(l.rule_drop.si());
            let share = pretty::percent(worst / l.nominal.si());
            format!("{share} of {}", pretty::percent(l.limit.si()))
        }),
        surroundings: format!("{}, {} together", pretty::show(sized.ambient), sized.bundled),
        carries: sized.ampacity.map(pretty::show),
        temperature: sized.temperature.map(pretty::show),
        governed_by: governed_by(sized.governed_by).into(),
        margin: governing.filter(|_| sized_by_need).map(|m| pretty::margin(m, true)),
        trust: sized.confidence.into(),
        notes: numbers(&sized.flags, notes),
        mark: words::circuit_mark(design, circuit),
    })
}

/// Nominal voltage of the supply that a circuit lives behind.
fn nominal(design: &Design, sized: &SizedCircuit) -> orlop_units::Voltage {
    design.demand.circuit(&sized.id).map_or(design.boat.nominal, |d| d.supply.nominal)
}

fn share(drop: orlop_units::Voltage, nominal: orlop_units::Voltage) -> Option<f64> {
    Some(drop.si() / nominal.si()).filter(|s| s.is_finite())
}

/// The load of a circuit that is nearest to its limit.
fn worst_load<'a>(design: &'a Design, feeds: &Feeds) -> Option<&'a LoadResult> {
    let Feeds::Loads(ids) = feeds else { return None };
    let of_limit = |l: &LoadResult| l.drop.si().max(l.rule_drop.si()) / (l.nominal.si() * l.limit.si());
    ids.iter().filter_map(|id| design.load(id)).max_by(|a, b| of_limit(a).total_cmp(&of_limit(b)))
}

fn governed_by(criterion: Criterion) -> &'static str {
    match criterion {
        Criterion::Heat => "heat",
        Criterion::Protection => "protection",
        Criterion::Drop => "voltage drop",
        Criterion::Mechanical => "smallest size allowed",
        Criterion::Termination => "owner or terminal",
    }
}

/// A device in words.
pub(super) fn device(sized: &SizedCircuit) -> String {
    match &sized.device {
        Some(d) => {
            let given = if sized.device_origin == Origin::Given { " (given)" } else { "" };
            format!("{} {}{given}", pretty::show(d.rating()), d.family().name)
        }
        None if sized.device_problems.is_empty() => "none needed".into(),
        None => "none fits".into(),
    }
}
