//! How a circuit's design current was found.

use super::cases::{CaseKind, charges};
use super::draw::{LoadPath, lasting_draw, paths};
use super::{CircuitDemand, Demand, FeedTree, work_out};
use crate::model::{Boat, Demand as Draws, Feeds, LoadState};
use orlop::source::Citation;
use orlop::{Confidence, Error, Recorder, Step};
use orlop_units::{Quantity, amperes};

/// Why a peak of a minute counts as continuous.
static MINUTE: Citation = Citation::fixed(
    "peak-counts-as-continuous",
    "trade practice",
    "",
    "",
    "a peak of a minute or longer, or of unknown time, counts as a continuous current",
    Confidence::CommonPractice,
    "recalled",
);

/// The demand of one circuit with its working: each load's current, the sum of each case, growth, share of a run.
///
/// # Errors
/// [`Error::Input`] when the boat has no such circuit.
pub fn work_out_recorded(boat: &Boat, circuit: &str, mut rec: impl Recorder) -> Result<CircuitDemand, Error> {
    let demand = work_out(boat);
    let Some(found) = demand.circuit(circuit) else {
        return Err(Error::input("circuit", format!("'{circuit}'"), "the id of a circuit of this boat"));
    };
    let case = found.case.split('@').next().unwrap_or("");
    let kind = demand.case(case).map(|c| c.kind);
    match boat.circuit(circuit).map(|c| &c.feeds) {
        Some(Feeds::Source(id)) => rec.step(|| {
            Step::new("continuous output of the source", "I", found.design)
                .formula(format!("rating of source.{id}, as the boat file states it"))
        }),
        _ if kind == Some(CaseKind::Charging) => rec.step(|| {
            Step::new("charging current on its way to the bank", "I", found.design)
                .formula("sum of the ratings of the charging sources behind this circuit, loads off")
        }),
        _ => {
            load_steps(boat, &demand.tree, &demand, found, case, &mut rec);
            sum_steps(found, &mut rec);
        }
    }
    let grows =
        kind != Some(CaseKind::Charging) && !boat.circuit(circuit).is_some_and(|c| charges(boat, &c.feeds));
    if grows {
        rec.step(|| {
            Step::new(format!("continuous maximum, case {}", found.case), "I_design", found.design)
                .formula("I_design = (1 + growth) x largest sum")
                .input("growth", boat.growth)
                .input("largest sum", found.current_in(case))
        });
    }
    if found.runs > 1 {
        rec.step(|| {
            let formula =
                if found.alone { "each run carries the whole current alone" } else { "I_design / runs" };
            Step::new("current of each run", "I_run", found.per_run())
                .formula(formula)
                .input("runs", f64::from(found.runs))
        });
    }
    Ok(found.clone())
}

fn load_steps(
    boat: &Boat,
    tree: &FeedTree,
    demand: &Demand,
    found: &CircuitDemand,
    case: &str,
    rec: &mut impl Recorder,
) {
    let (Some(at), Some(case)) = (tree.at(&found.circuit), demand.case(case)) else { return };
    let paths = paths(boat, tree);
    for (id, state) in &case.on {
        let Some(path) = paths.iter().find(|p| p.load.id == *id) else { continue };
        let Some(step) = path.steps.iter().find(|s| s.circuit == at) else { continue };
        let draw = lasting_draw(path, *state);
        rec.step(|| load_step(path, *state, draw.worst));
        if step.power != 1.0 {
            let here = amperes(draw.worst.si() * step.worst);
            rec.step(|| {
                Step::new(format!("the same at the input of the converter, {id}"), format!("I_{id}"), here)
                    .formula("I_in = I_out U_out / (eta U_lowest)")
                    .input("I_out", draw.worst)
                    .input("U_out", path.supply.nominal)
                    .input("eta", orlop_units::Fraction::new(1.0 / step.power))
                    .input("U_lowest", found.supply.lowest)
            });
        }
    }
}

fn load_step(path: &LoadPath, state: LoadState, current: orlop_units::Current) -> Step {
    let lasting = super::cases::lasting(path.load, state);
    let id = &path.load.id;
    let what = if lasting == state {
        format!("{id}, {}: {}", path.load.name, state.word())
    } else {
        format!("{id}, {}: {} is a moment, it counts as {}", path.load.name, state.word(), lasting.word())
    };
    let step = Step::new(what, format!("I_{id}"), current);
    let step = match path.load.demand_in(lasting) {
        Draws::Power(p) => {
            step.formula("I = P / U_lowest").input("P", p.high()).input("U_lowest", path.supply.lowest)
        }
        Draws::Current(i) => step.formula("the same current at any voltage").input("I", i.high()),
        Draws::Resistance(r) => {
            step.formula("I = U_highest / R").input("U_highest", path.supply.highest).input("R", r.low())
        }
    };
    if state == LoadState::Peak { step.source(&MINUTE) } else { step }
}

fn sum_steps(found: &CircuitDemand, rec: &mut impl Recorder) {
    for (case, sum) in &found.in_scenario {
        rec.step(|| {
            let nominal = found.nominal_in(case);
            Step::new(format!("sum in case {case}"), "I", *sum)
                .formula("sum of the loads that are on, each at the voltage at which it draws most")
                .input("with everything at nominal voltage", nominal)
        });
    }
}
