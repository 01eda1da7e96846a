//! How the length, ambient and bundle of one circuit were found.

use super::way::{Line, Way};
use super::{CircuitRoute, bundle, measure_with, way};
use crate::demand::{Demand, work_out};
use crate::model::{Boat, Circuit, Run};
use orlop::{Error, Recorder, Step};
use orlop_units::{Number, metres, show};

/// The way of one circuit with its working: each trunk, what lies outside, slack and termination, each piece with its
/// space, the governing ambient, the bundle.
///
/// # Errors
/// As [`super::measure_with`]; also when the boat has no such circuit.
pub fn measure_recorded(boat: &Boat, circuit: &str, mut rec: impl Recorder) -> Result<CircuitRoute, Error> {
    let demand = work_out(boat);
    let routes = measure_with(boat, &demand)?;
    let (Some(route), Some(given)) = (routes.circuit(circuit), boat.circuit(circuit)) else {
        return Err(Error::input("circuit", format!("'{circuit}'"), "the id of a circuit of this boat"));
    };
    let lines = way::lines(boat)?;
    let ways = way::ways(boat, &lines)?;
    let at = boat.circuits.iter().position(|c| c.id == circuit).unwrap_or_default();
    match &ways[at] {
        Some(way) => length_steps(boat, way, &lines, route, &mut rec),
        None => stated_steps(given, route, &mut rec),
    }
    rec.step(|| {
        let engine = route.space_kind.word();
        Step::new("ambient of the hottest space on the way", "T_a", route.ambient)
            .formula("the hottest space governs; engine when any part is in an engine space")
            .input("space", route.space.as_str())
            .input("kind", engine)
    });
    bundle_step(boat, &demand, &lines, &ways, at, route, &mut rec);
    Ok(route.clone())
}

fn stated_steps(circuit: &Circuit, route: &CircuitRoute, rec: &mut impl Recorder) {
    let Run::OneWay { spaces, .. } = &circuit.run else { return };
    rec.step(|| {
        Step::new("wire for one leg, as the boat file states", "one_way", route.one_way.0)
            .input("spaces", spaces.join(", "))
    });
}

fn length_steps(boat: &Boat, way: &Way, lines: &[Line], route: &CircuitRoute, rec: &mut impl Recorder) {
    for portion in &way.portions {
        let line = &lines[portion.line];
        rec.step(|| {
            let (low, high) = portion.ends();
            let whole = low == 0.0 && high == line.length();
            let part = if whole { "" } else { ", the part that is used" };
            let corners: Vec<String> =
                line.trunk.points.iter().map(|p| format!("({}, {}, {})", p.x, p.y, p.z)).collect();
            Step::new(
                format!("trunk {}{part}", line.trunk.id),
                format!("L_{}", line.trunk.id),
                metres(portion.length()),
            )
            .formula("sum of the straight distances from corner to corner")
            .input("corners, m", corners.join(" "))
        });
    }
    rec.step(|| {
        let formula = "sum of the trunks, and of the gaps where they join";
        Step::new("along the trunks", "L", metres(way.along()))
            .formula(formula)
            .input("gaps", metres(way.gaps))
    });
    rec.step(|| {
        Step::new("outside the trunks", "L_tail", metres(way.outside))
            .formula("the tail as stated, or the straight ways from the places to the trunks when longer")
            .input("from places to trunks", metres(way.reach))
    });
    rec.step(|| {
        Step::new("wire for one leg", "one_way", route.one_way.0)
            .formula("one_way = (L + L_tail) (1 + slack) + termination")
            .input("slack", boat.slack)
            .input("termination", boat.termination)
    });
    for s in &route.segments {
        rec.step(|| {
            Step::new(format!("trunk {} after corner {}: ambient", s.trunk, s.corner), "T_a", s.ambient)
                .formula("the hottest space that this piece passes through")
                .input("space", s.space.as_str())
                .input("length", s.length)
        });
    }
}

fn bundle_step(
    boat: &Boat,
    demand: &Demand,
    lines: &[Line],
    ways: &[Option<Way>],
    at: usize,
    route: &CircuitRoute,
    rec: &mut impl Recorder,
) {
    rec.step(|| {
        let mut step = Step::new(
            "current-carrying conductors that lie together",
            "n",
            Number::of(f64::from(route.bundled)),
        )
        .formula("two for each run with current in the scenario of this circuit's largest current, and those not in the file")
        .input("where", route.bundle_where.as_str())
        .input("scenario", route.bundle_scenario.as_str());
        let worst = bundle::count(boat, demand, lines, ways).swap_remove(at);
        if let Some((line, s)) = worst.at {
            let (circuits, others) = bundle::Bed::new(lines, ways).content(line, s);
            let case = demand.case(&worst.scenario).map(|c| c.id.as_str());
            let text = |at: usize| {
                let circuit = &demand.circuits[at];
                match case {
                    Some(case) => format!("{} {}", circuit.circuit, show(circuit.current_in(case))),
                    None => circuit.circuit.clone(),
                }
            };
            let list: Vec<String> = circuits.into_iter().map(text).collect();
            step = step.input("circuits here", list.join(", "));
            if others > 0 {
                step = step.input("not in the file", f64::from(others));
            }
        }
        step
    });
}
