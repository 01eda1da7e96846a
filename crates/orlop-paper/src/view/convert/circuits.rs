//! The circuit schedule and what it adds up to.

use super::words;
use crate::pretty;
use crate::view::{Circuit, DeviceTotal, WireTotal};
use orlop::circuit::Criterion;
use orlop_boat::Design;
use orlop_boat::design::{LoadResult, Origin, SizedCircuit};
use orlop_boat::model::{Feeds, Known, Run};
use orlop_units::{Quantity, kilograms, metres};

pub(super) fn circuits(design: &Design) -> Vec<Circuit> {
    design.circuits.iter().filter_map(|sized| one(design, sized)).collect()
}

fn one(design: &Design, sized: &SizedCircuit) -> Option<Circuit> {
    let boat = &design.boat;
    let circuit = boat.circuit(&sized.id)?;
    let governing = sized.margins.iter().find(|m| m.criterion == sized.governed_by).and_then(|m| m.margin);
    Some(Circuit {
        id: sized.id.clone(),
        name: circuit.name.clone(),
        from: words::node_name(boat, &circuit.from).to_string(),
        to: words::feeds(boat, &circuit.feeds),
        one_way: pretty::show(sized.one_way.0),
        one_way_guess: matches!(&circuit.run, Run::OneWay { length, .. } if length.known == Known::Guess),
        wire: words::wire(sized.conductor.size(), circuit.runs),
        wire_given: sized.conductor_origin == Origin::Given,
        device: device(sized),
        device_problems: sized.device_problems.iter().map(|p| pretty::units(p)).collect(),
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
        margin: governing.map(|m| pretty::margin(m, true)),
        trust: sized.confidence.into(),
        flags: sized.flags.iter().map(|f| pretty::units(f)).collect(),
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

/// Conductor by size: both legs, every run.
pub(super) fn wires(design: &Design) -> Vec<WireTotal> {
    struct Sum {
        area: f64,
        wire: String,
        metres: f64,
        circuits: usize,
        kilograms: f64,
    }
    let mut sums: Vec<Sum> = Vec::new();
    for sized in &design.circuits {
        let runs = design.boat.circuit(&sized.id).map_or(1, |c| c.runs);
        let wire = pretty::size(sized.conductor.size());
        let long = 2.0 * sized.one_way.0.si() * f64::from(runs);
        let mass = sized.mass.si();
        match sums.iter_mut().find(|s| s.wire == wire) {
            Some(sum) => {
                sum.metres += long;
                sum.circuits += 1;
                sum.kilograms += mass;
            }
            None => {
                let area = sized.conductor.area().si();
                sums.push(Sum { area, wire, metres: long, circuits: 1, kilograms: mass });
            }
        }
    }
    sums.sort_by(|a, b| a.area.total_cmp(&b.area).then_with(|| a.wire.cmp(&b.wire)));
    sums.into_iter()
        .map(|s| WireTotal {
            wire: s.wire,
            piece: pretty::show(metres(s.metres)),
            circuits: s.circuits,
            mass: pretty::show(kilograms(s.kilograms)),
        })
        .collect()
}

/// Devices by family and rating, one for each run.
pub(super) fn devices(design: &Design) -> Vec<DeviceTotal> {
    let mut sums: Vec<(&str, f64, DeviceTotal)> = Vec::new();
    for sized in &design.circuits {
        let Some(device) = &sized.device else { continue };
        let count = design.boat.circuit(&sized.id).map_or(1, |c| c.runs) as usize;
        let name = format!("{} {}", pretty::show(device.rating()), device.family().name);
        match sums.iter_mut().find(|(_, _, total)| total.device == name) {
            Some((_, _, total)) => total.count += count,
            None => {
                let total = DeviceTotal { device: name, count };
                sums.push((&device.family().id, device.rating().si(), total));
            }
        }
    }
    sums.sort_by(|a, b| a.0.cmp(b.0).then(a.1.total_cmp(&b.1)));
    sums.into_iter().map(|(_, _, total)| total).collect()
}
