//! Any number of a design with its working: the one question behind it is asked again, recorded.

mod found;
mod joints;
mod network;

use crate::design::{Design, Method};
use crate::model::{Bank, Demand as Draws};
use crate::size::{Envelope, settle};
use crate::{bank, demand, route};
use orlop::circuit::size_circuit_recorded;
use orlop::working::Step;
use orlop::{Error, Recorder, Working};
use orlop_units::{Current, Fraction, Quantity};

/// Fields that can be explained, by section.
pub const FIELDS: &[(&str, &[&str])] = &[
    (
        "circuit",
        &["one_way", "current", "conductor", "device", "drop", "temperature", "ampacity", "fault", "joints"],
    ),
    ("load", &["current", "drop", "voltage"]),
    ("trunk", &["one_way"]),
    ("bank", &["fault", "resistance", "capacity", "demand", "precharge", "switch", "coil"]),
    ("panel", &["fault"]),
    ("source", &["fault"]),
    ("found", &["verdict"]),
];

/// The working of one number of a design, by its address `section.id.field`.
///
/// # Errors
/// [`Error::Input`] for an address that is not there, with what is.
pub fn explain(design: &Design, address: &str) -> Result<Working, Error> {
    let mut parts = address.splitn(3, '.');
    let (section, id) = (parts.next().unwrap_or_default(), parts.next().unwrap_or_default());
    let Some((_, fields)) = FIELDS.iter().find(|(name, _)| *name == section) else {
        let sections: Vec<_> = FIELDS.iter().map(|(name, _)| *name).collect();
        return Err(no_address(
            address,
            &format!("an address that begins with one of {}", sections.join(", ")),
            "",
        ));
    };
    let ids = ids_of(design, section);
    if !ids.contains(&id) {
        let near = crate::document::nearest(id, ids.iter().copied());
        let hint = near.map_or_else(
            || format!("there are: {}", ids.join(", ")),
            |n| format!("did you mean '{section}.{n}'?"),
        );
        return Err(no_address(address, &format!("the id of a {section}"), &hint));
    }
    let field = parts.next().unwrap_or(fields[0]);
    if !fields.contains(&field) {
        return Err(no_address(address, &format!("{section}.{id}. and one of {}", fields.join(", ")), ""));
    }
    let mut working = Working::new(format!("{section}.{id}.{field}"));
    match (section, field) {
        ("circuit", "one_way") => {
            route::measure_recorded(&design.boat, id, &mut working)?;
        }
        ("circuit", "current") => {
            demand::work_out_recorded(&design.boat, id, &mut working)?;
        }
        ("circuit" | "bank" | "panel" | "source", "fault") => {
            network::fault(design, &format!("{section}.{id}"), &mut working)?;
        }
        ("bank", "resistance") => bank::resistance_recorded(the_bank(design, id)?, &mut working)?,
        ("bank", "capacity") => bank::capacity_recorded(the_bank(design, id)?, &mut working)?,
        ("circuit", "joints") => joints::joints(design, id, &mut working)?,
        ("found", _) => found::reading(design, id, &mut working),
        ("bank", _) => {
            let of = the_bank(design, id)?;
            bank::explain_part(&design.boat, &design.demand, of, field, &mut working)?;
        }
        ("circuit", _) => circuit(design, id, &mut working)?,
        ("load", "voltage") => network::voltage(design, id, &mut working),
        ("load", "current") => load_current(design, id, &mut working),
        ("load", _) => load_drop(design, id, &mut working)?,
        _ => trunk(design, id, &mut working),
    }
    Ok(working)
}

fn no_address(address: &str, expected: &str, hint: &str) -> Error {
    Error::Input {
        field: "address".into(),
        got: format!("'{}'", address.chars().take(60).collect::<String>()),
        expected: expected.into(),
        hint: hint.into(),
    }
}

fn ids_of<'a>(design: &'a Design, section: &str) -> Vec<&'a str> {
    let boat = &design.boat;
    match section {
        "circuit" => boat.circuits.iter().map(|c| c.id.as_str()).collect(),
        "load" => boat.loads.iter().map(|l| l.id.as_str()).collect(),
        "bank" => boat.banks.iter().map(|b| b.id.as_str()).collect(),
        "panel" => boat.panels.iter().map(|p| p.id.as_str()).collect(),
        "source" => boat.sources.iter().map(|s| s.id.as_str()).collect(),
        "found" => boat.found.iter().map(|r| r.id.as_str()).collect(),
        _ => boat.trunks.iter().map(|t| t.id.as_str()).collect(),
    }
}

fn the_bank<'a>(design: &'a Design, id: &str) -> Result<&'a Bank, Error> {
    design.boat.bank(id).ok_or_else(|| no_address(&format!("bank.{id}"), "the id of a bank", ""))
}

/// Length, current, and the choice of conductor and device, in that order.
fn circuit(design: &Design, id: &str, rec: &mut impl Recorder) -> Result<(), Error> {
    route::measure_recorded(&design.boat, id, &mut *rec)?;
    demand::work_out_recorded(&design.boat, id, &mut *rec)?;
    let envelope = Envelope::again(design)?;
    let settled = settle(&envelope, design.method)?;
    let question = settled.question(&envelope, id);
    if let Some(budget) = question.budget {
        rec.step(|| {
            let formula = match design.method {
                Method::LeastCopper => {
                    "what the other circuits of the tightest path leave, all conductors chosen together for the least metal"
                }
                Method::Split => {
                    "what the path has left x (length x sqrt(current)) of this circuit over the same of all circuits ahead"
                }
            };
            Step::new("Share of the permitted drop that this circuit may use", "dU", budget.physical)
                .formula(formula)
                .input("I", budget.current)
                .input("dU by the rule set's formula", budget.rule)
        });
    }
    let supply = question.supply;
    rec.step(|| {
        Step::new("Fault current where the circuit begins", "I_f", supply.fault.to_string())
            .formula(
                "high: through its device, all strings closed, charging, conductors cold, its own resistance left out; low: one string, highest resistances, conductors before it hot",
            )
            .input("U lowest", supply.lowest)
            .input("U highest", supply.highest)
    });
    size_circuit_recorded(question, rec)?;
    Ok(())
}

/// A trunk, piece by piece.
fn trunk(design: &Design, id: &str, rec: &mut impl Recorder) {
    let Some(trunk) = design.routes.trunk(id) else { return };
    for piece in &trunk.segments {
        rec.step(|| {
            Step::new(format!("from corner {} to {}", piece.corner, piece.corner + 1), "l", piece.length)
                .formula("straight distance")
                .input("space", format!("{}, {}", piece.space, orlop_units::show(piece.ambient)))
        });
    }
    rec.step(|| Step::new("along its corners", "L", trunk.polyline).formula("sum of the pieces"));
    rec.step(|| {
        Step::new("wire for one leg", "one_way", trunk.with_slack)
            .formula("L (1 + slack) + termination")
            .input("slack", design.boat.slack)
            .input("termination", design.boat.termination)
    });
}

/// What a load draws in each of its states.
fn load_current(design: &Design, id: &str, rec: &mut impl Recorder) {
    let (Some(load), Some(demand)) = (design.boat.load(id), design.demand.load(id)) else { return };
    let Some(supply) = design.demand.tree.supply(&demand.circuit) else { return };
    for (state, draws) in &load.demand {
        rec.step(|| {
            let step = |current: Current| Step::new(format!("{}, {}", load.name, state.word()), "I", current);
            match draws {
                Draws::Power(p) => step(p.high() / supply.lowest)
                    .formula("P / U_lowest: the same power at any voltage")
                    .input("P", p.high())
                    .input("U_lowest", supply.lowest),
                Draws::Current(i) => step(i.high()).formula("as stated").input("I", i.high()),
                Draws::Resistance(r) => step(supply.highest / r.low())
                    .formula("U_highest / R: a resistor")
                    .input("R", r.low())
                    .input("U_highest", supply.highest),
            }
        });
    }
    rec.step(|| {
        Step::new("counts as continuous", "I", demand.continuous)
            .formula("running, or a peak of a minute and longer")
            .input("at nominal voltage, running", demand.nominal)
    });
}

/// The drop to a load, circuit by circuit.
fn load_drop(design: &Design, id: &str, rec: &mut impl Recorder) -> Result<(), Error> {
    let Some(load) = design.load(id) else {
        return Err(no_address(&format!("load.{id}.drop"), "a load that a circuit feeds", ""));
    };
    let scenario = load.case.split('@').next().unwrap_or_default();
    for circuit in load.path.iter().filter_map(|c| design.circuit(c)) {
        let current = design.demand.circuit(&circuit.id).map_or(circuit.design_current, |d| {
            d.share(d.current_in(scenario)) * (1.0 + design.boat.growth.value())
        });
        rec.step(|| {
            Step::new(format!("Lost in circuit {}", circuit.id), "dU", current * circuit.resistance)
                .formula("I x R: both legs at their temperature, device and joints")
                .input("I", current)
                .input("R", circuit.resistance)
                .input("conductor", circuit.conductor.size().to_string())
                .input("one way", circuit.one_way.0)
        });
    }
    rec.step(|| {
        let share = Fraction::new(load.drop.si() / load.nominal.si());
        Step::new(format!("Drop to load {id}, case {}", load.case), "dU", load.drop)
            .formula("sum of the circuits on its way")
            .input("of nominal", share)
            .input("permitted", load.limit)
            .input("by the rule set's formula", load.rule_drop)
            .input(
                "at the load with the source at its lowest, by the network",
                load.lowest_voltage.map_or_else(|| "it cannot be fed".into(), orlop_units::show),
            )
    });
    Ok(())
}
