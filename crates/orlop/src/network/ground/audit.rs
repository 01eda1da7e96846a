//! The whole audit: every question of the room asked once, and judged.

use super::bonds::{Missing, NegativeSystem, missing, systems};
use super::flow::Flow;
use super::graph::GroundGraph;
use super::judge;
use super::kinds::{ReturnSystem, Role};
use super::loops::{Cut, GREEDY, Loop, open};
use super::share::{Carried, without_way};
use super::shunt::{ShuntView, shunts};
use super::topology::{blocks, disjoint_ways};
use crate::error::Error;
use crate::judgement::Judgement;
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Quantity, show};
use std::collections::BTreeSet;

/// The ways between negative and one engine.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct EngineLink {
    /// The engine.
    pub engine: String,
    /// The negative from which most ways lead to it: a bus, or a battery when there is no bus; none when there is
    /// neither a bus nor a battery but the engine's own.
    pub negative: Option<String>,
    /// The most ways that share no path, each as its paths in order.
    pub ways: Vec<Vec<String>>,
}

/// What an audit found.
#[derive(Clone, Debug, PartialEq)]
pub struct Audit {
    /// How negative and metal shall be joined.
    pub system: ReturnSystem,
    /// The ways between negative and each engine.
    pub engines: Vec<EngineLink>,
    /// A basis of all loops: as many as there are paths too many.
    pub loops: Vec<Loop>,
    /// Paths whose loss would part the system; all others lie on a loop.
    pub bridges: Vec<String>,
    /// The negative systems and where each is bonded to metal.
    pub negatives: Vec<NegativeSystem>,
    /// What must hang on the system but does not, with the fewest paths to add.
    pub missing: Vec<Missing>,
    /// What each shunt does not see.
    pub shunts: Vec<ShuntView>,
    /// What flows in paths that may not carry it: one row for each such path and sort of current, at its worst flow.
    pub forbidden: Vec<Carried>,
    /// Parts of flows that no path joins: flow, from, to.
    pub without_way: Vec<(String, String, String)>,
    /// The fewest cuts that open every loop that can be opened.
    pub cuts: Vec<Cut>,
    /// Every judgement, passes as well as failures.
    pub judgements: Vec<Judgement>,
    /// What to keep in mind.
    pub caution: &'static str,
}

/// Audits a ground graph with the currents that flow in it.
///
/// One bond: each negative system is joined to metal at one place and the graph has no loop. Insulated: nowhere.
/// Currents are exact between the ends of the resistances; see [`GroundGraph::carried`].
///
/// # Errors
/// [`Error::Input`] for a flow that names a point that is not there, or a current that is not above zero.
pub fn audit(graph: &GroundGraph, flows: &[Flow]) -> Result<Audit, Error> {
    audit_recorded(graph, flows, &mut Silent)
}

/// The same with its steps.
///
/// # Errors
/// As [`audit`].
pub fn audit_recorded(graph: &GroundGraph, flows: &[Flow], rec: &mut impl Recorder) -> Result<Audit, Error> {
    let mut flows: Vec<&Flow> = flows.iter().collect();
    flows.sort_by(|a, b| a.id.cmp(&b.id));
    if let Some(two) = flows.windows(2).find(|w| w[0].id == w[1].id) {
        return Err(Error::input("flows", format!("'{}' twice", two[0].id), "an id of its own for each"));
    }
    let opened = open(graph);
    let n = graph.points().len();
    let bridges = blocks(n, &graph.ends).into_iter().filter(|b| b.len() == 1).map(|b| b[0]);
    let mut bridges: Vec<usize> = bridges.collect();
    bridges.sort_unstable();
    let mut audit = Audit {
        system: graph.system(),
        engines: engines(graph),
        loops: opened.loops(graph),
        bridges: bridges.into_iter().map(|e| graph.paths()[e].id.clone()).collect(),
        negatives: systems(graph),
        missing: missing(graph),
        shunts: shunts(graph),
        forbidden: Vec::new(),
        without_way: Vec::new(),
        cuts: opened.cuts(graph),
        judgements: Vec::new(),
        caution: super::CAUTION,
    };
    for flow in &flows {
        let parts = without_way(graph, flow)?;
        audit.without_way.extend(parts.into_iter().map(|(from, to)| (flow.id.clone(), from, to)));
    }
    audit.forbidden = forbidden(graph, &flows)?;
    audit.judgements = judge::all(graph, &flows, &audit);
    record(graph, &audit, rec);
    Ok(audit)
}

/// The ways from the negative with most of them to each engine.
fn engines(graph: &GroundGraph) -> Vec<EngineLink> {
    let n = graph.points().len();
    let of_role = |role: Role| (0..n).filter(move |x| graph.role(*x) == role);
    let mut negatives: Vec<usize> = of_role(Role::NegativeBus).collect();
    if negatives.is_empty() {
        negatives = of_role(Role::BatteryNegative).collect();
    }
    let id = |x: usize| graph.points()[x].id.clone();
    of_role(Role::Engine)
        .map(|engine| {
            let mut best: (Option<usize>, Vec<Vec<usize>>) = (None, Vec::new());
            for &negative in &negatives {
                let ways = disjoint_ways(n, &graph.ends, negative, engine);
                if best.0.is_none() || ways.len() > best.1.len() {
                    best = (Some(negative), ways);
                }
            }
            let path = |e: usize| graph.paths()[e].id.clone();
            EngineLink {
                engine: id(engine),
                negative: best.0.map(id),
                ways: best.1.into_iter().map(|w| w.into_iter().map(path).collect()).collect(),
            }
        })
        .collect()
}

/// For each path and sort of current that it may not carry, the flow that puts most into it.
fn forbidden(graph: &GroundGraph, flows: &[&Flow]) -> Result<Vec<Carried>, Error> {
    let mut worst: Vec<Carried> = Vec::new();
    for flow in flows {
        for (carried, path) in graph.carried(flow)?.into_iter().zip(graph.paths()) {
            if flow.kind.permitted(path.carries) {
                continue;
            }
            match worst.iter_mut().find(|w| w.path == carried.path && w.kind == carried.kind) {
                None => worst.push(carried),
                Some(other) if rank(&carried) > rank(other) => *other = carried,
                Some(_) => {}
            }
        }
    }
    worst.sort_by(|a, b| a.path.cmp(&b.path).then_with(|| a.kind.cmp(&b.kind)));
    Ok(worst)
}

/// The highest current.
fn rank(c: &Carried) -> f64 {
    c.current.high().map_or(0.0, Quantity::si)
}

fn record(graph: &GroundGraph, audit: &Audit, rec: &mut impl Recorder) {
    rec.step(|| {
        let of = super::topology::components(graph.points().len(), graph.ends.iter().copied());
        let parts = of.iter().collect::<BTreeSet<_>>().len();
        Step::new("Loops in the ground graph", "m", audit.loops.len().to_string())
            .formula("E - V + C: paths less points plus parts that hang together")
            .input("E", graph.paths().len().to_string())
            .input("V", graph.points().len().to_string())
            .input("C", parts.to_string())
    });
    for link in &audit.engines {
        rec.step(|| {
            Step::new(format!("Ways between negative and {}", link.engine), "n", link.ways.len().to_string())
                .formula("most ways that share no path")
                .input("from", link.negative.clone().unwrap_or_default())
                .source(&judge::ONE_NEGATIVE)
        });
    }
    for cut in &audit.cuts {
        rec.step(|| {
            Step::new("Take out", "", cut.path.clone())
                .formula("of each loop the path that is easiest to take out, the costliest kept first")
                .input("effort", cut.effort)
                .source(&GREEDY)
        });
    }
    for carried in &audit.forbidden {
        rec.step(|| {
            let step = Step::new(format!("Current in {}", carried.path), "i", carried.current.to_string())
                .formula("conductance equations at each corner of the resistances")
                .input("flow", carried.flow.clone())
                .source(&judge::TWO_WIRE);
            match carried.heat {
                Some(heat) => step.input("heat, at most", show(heat)),
                None => step,
            }
        });
    }
}
