//! The currents that flow in negative: starters, what is on in each case, charging sources at their rating.

use super::Most;
use super::graph::address;
use crate::demand::{CaseKind, SupplyKind};
use crate::design::Design;
use crate::model::Feeds;
use orlop::Error;
use orlop::network::ground::{Carried, Flow, FlowKind, GroundGraph, Transfer};
use orlop_units::{Current, Quantity};

/// Every flow of a boat. A case of the demand is one flow; a current of zero is none.
pub(super) fn flows(design: &Design) -> Vec<Flow> {
    let mut out = starters(design);
    let cases = design.demand.cases.iter().filter(|c| c.kind != CaseKind::Charging);
    out.extend(cases.map(|case| Flow {
        id: case.id.clone(),
        name: case.name.clone(),
        kind: FlowKind::Return,
        parts: returns(design, &case.id),
    }));
    out.extend(charging(design));
    out.retain(|flow| !flow.parts.is_empty());
    out
}

fn transfer(design: &Design, from: &str, to: &str, current: Current) -> Option<Transfer> {
    let part = Transfer { from: address(&design.boat, from), to: address(&design.boat, to), current };
    (current.si() > 0.0 && part.from != part.to).then_some(part)
}

/// What is on in a case: each load's current to the bank or converter it lives behind, each converter's input to the bank.
fn returns(design: &Design, case: &str) -> Vec<Transfer> {
    let of = |circuit: &crate::model::Circuit| {
        let demand = design.demand.circuit(&circuit.id)?;
        if circuit.cranking {
            return None;
        }
        let from = match &circuit.feeds {
            Feeds::Loads(loads) => loads.first()?,
            Feeds::Converter(id) => id,
            Feeds::Panel(_) | Feeds::Source(_) => return None,
        };
        transfer(design, from, &demand.supply.id, demand.current_in(case))
    };
    design.boat.circuits.iter().filter_map(of).collect()
}

/// Starters stated with their engine, and loads on circuits that crank.
fn starters(design: &Design) -> Vec<Flow> {
    let boat = &design.boat;
    let engines = boat.grounds.iter().filter_map(|g| {
        let part = transfer(design, &g.id, g.starter_battery.as_deref()?, g.starter.as_ref()?.high())?;
        Some((g.id.clone(), g.name.clone(), part))
    });
    let circuits = boat.circuits.iter().filter(|c| c.cranking).filter_map(|c| {
        let Feeds::Loads(loads) = &c.feeds else { return None };
        let (load, demand) = (boat.load(loads.first()?)?, design.demand.load(loads.first()?)?);
        let short = [demand.start, demand.stall, demand.peak].into_iter().flatten().map(|(i, _)| i);
        let most = short.fold(demand.run, |a, b| if b > a { b } else { a });
        let root = design.demand.circuit(&c.id).filter(|d| d.supply.kind == SupplyKind::Bank)?;
        Some((load.id.clone(), load.name.clone(), transfer(design, &load.id, &root.supply.id, most)?))
    });
    engines
        .chain(circuits)
        .map(|(id, name, part)| Flow {
            // No id of a scenario has a blank.
            id: format!("{id} cranking"),
            name: format!("{name} cranking"),
            kind: FlowKind::Starter,
            parts: vec![part],
        })
        .collect()
}

/// Each charging source at its rating.
fn charging(design: &Design) -> impl Iterator<Item = Flow> {
    design.boat.circuits.iter().filter_map(|c| {
        let Feeds::Source(id) = &c.feeds else { return None };
        let source = design.boat.source(id)?;
        let root = &design.demand.circuit(&c.id)?.supply.id;
        Some(Flow {
            id: format!("{id} charging"),
            name: format!("{} charging", source.name),
            kind: FlowKind::Return,
            parts: vec![transfer(design, root, id, source.rating)?],
        })
    })
}

/// What each path carries at most of starters and of all else.
pub(super) fn most(graph: &GroundGraph, flows: &[Flow]) -> Result<Vec<Most>, Error> {
    let mut out = vec![Most::default(); graph.paths().len()];
    let high = |c: &Carried| c.current.high().map_or(0.0, Quantity::si);
    for flow in flows {
        for (carried, most) in graph.carried(flow)?.into_iter().zip(&mut out) {
            let most = if flow.kind == FlowKind::Starter { &mut most.starter } else { &mut most.returns };
            if most.as_ref().is_none_or(|m: &Carried| high(&carried) > high(m)) {
                *most = Some(carried);
            }
        }
    }
    Ok(out)
}
