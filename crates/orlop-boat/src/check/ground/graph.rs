//! The ground graph of a boat: points and paths.

use crate::design::{Design, SizedCircuit};
use crate::model::{Boat, Bond, Circuit, Feeds, Run};
use orlop::conductor::{AmpacityQuestion, Conductor, Material, SpaceKind};
use orlop::network::ground::{Carries, GroundGraph, Path, PathKind, Point, ReturnSystem, Role};
use orlop::{Error, Range};
use orlop_units::{ConductorSize, Current, Length, Quantity, Resistance, Temperature, ohms};

/// Copper counts as cold at this temperature for the lower end of a resistance.
const COLD: Temperature = Temperature::celsius(20.0);
/// Loads on one circuit share its negative; between them there is a joint, and no joint is less than this.
const LEAST_JOINT: f64 = 1e-6;

pub(super) fn graph(design: &Design) -> Result<GroundGraph, Error> {
    let boat = &design.boat;
    let mut paths = Vec::new();
    for circuit in &boat.circuits {
        legs(design, circuit, &mut paths);
    }
    for bond in &boat.bonds {
        paths.push(stated(boat, bond)?);
    }
    GroundGraph::new(boat.negative.unwrap_or(ReturnSystem::OneBond), points(boat), paths)
}

/// The address of the negative of a bank, panel, source or load, or of a ground.
pub(super) fn address(boat: &Boat, id: &str) -> String {
    let section = if boat.ground(id).is_some() {
        "ground"
    } else if boat.bank(id).is_some() {
        "bank"
    } else if boat.panel(id).is_some() {
        "panel"
    } else if boat.source(id).is_some() {
        "source"
    } else {
        "load"
    };
    format!("{section}.{id}")
}

/// Id and name; a long name goes as far as its first comma, colon or bracket.
fn named(id: &str, name: &str) -> String {
    let short = name.split([',', ':', '(']).next().unwrap_or_default().trim();
    if short.is_empty() || short == id { id.to_string() } else { format!("{id} ({short})") }
}

fn points(boat: &Boat) -> Vec<Point> {
    let point = |section: &str, id: &str, name: &str, role: Role| {
        Point::new(format!("{section}.{id}"), role).name(named(id, name))
    };
    let banks = boat.banks.iter().map(|x| point("bank", &x.id, &x.name, Role::BatteryNegative));
    let panels = boat.panels.iter().map(|x| point("panel", &x.id, &x.name, Role::NegativeBus));
    let sources = boat.sources.iter().map(|x| point("source", &x.id, &x.name, Role::SourceNegative));
    let loads = boat.loads.iter().map(|x| point("load", &x.id, &x.name, Role::LoadNegative));
    let grounds = boat.grounds.iter().map(|x| point("ground", &x.id, &x.name, x.role).hangs(x.hangs));
    banks.chain(panels).chain(sources).chain(loads).chain(grounds).collect()
}

/// The negative leg of a circuit; further loads on it hang on the first by a joint.
fn legs(design: &Design, circuit: &Circuit, paths: &mut Vec<Path>) {
    let boat = &design.boat;
    let Some(sized) = design.circuit(&circuit.id) else { return };
    let carries = if circuit.cranking { Carries::Starter } else { Carries::Return };
    let bears = sized.ampacity.map(|i| i * f64::from(circuit.runs.max(1)));
    let leg = |id: String, name: String, from: &str, to: &str| {
        Path::new(id, address(boat, from), address(boat, to), PathKind::NegativeCable)
            .name(name)
            .carries(carries)
            .ampacity(bears)
    };
    let far: Vec<&String> = match &circuit.feeds {
        Feeds::Loads(loads) => loads.iter().collect(),
        Feeds::Panel(id) | Feeds::Converter(id) | Feeds::Source(id) => vec![id],
    };
    let Some(first) = far.first() else { return };
    let end = circuit.negative.as_deref().unwrap_or(&circuit.from);
    paths.push(
        leg(format!("circuit.{}", circuit.id), format!("circuit {}", circuit.id), first, end)
            .resistance(resistance_of_leg(boat, circuit, sized)),
    );
    let joint = Range::new(
        ohms(boat.joint.low().si().max(LEAST_JOINT)),
        ohms(boat.joint.high().si().max(LEAST_JOINT)),
    );
    for load in &far[1..] {
        paths.push(leg(format!("load.{load}"), format!("load {load}"), load, first).resistance(joint));
    }
}

/// One leg of all runs: cold and short, hot and long, with a joint at each end.
fn resistance_of_leg(boat: &Boat, circuit: &Circuit, sized: &SizedCircuit) -> Range<Resistance> {
    let (short, long) = match &circuit.run {
        Run::OneWay { length, .. } => {
            let (low, high) = length.range.unwrap_or((length.q, length.q));
            (low.0, high.0)
        }
        Run::Trunks { .. } | Run::Shortest { .. } => (sized.one_way.0, sized.one_way.0),
    };
    let runs = f64::from(circuit.runs.max(1));
    let piece = with_joints(boat, &sized.conductor, short, long);
    let share = |end: Option<Resistance>| end.map(|r| r / runs);
    Range::from_bounds(share(piece.low()), share(piece.high()))
}

/// A piece of conductor with a joint at each end.
fn with_joints(boat: &Boat, conductor: &Conductor, short: Length, long: Length) -> Range<Resistance> {
    let low = conductor.resistance_per_length(COLD) * short + boat.joint.low() * 2.0;
    let high = conductor.resistance_per_length(conductor.insulation()) * long + boat.joint.high() * 2.0;
    Range::new(low, high)
}

/// A bond of the file.
fn stated(boat: &Boat, bond: &Bond) -> Result<Path, Error> {
    let conductor = bond.size.map(|size| conductor(boat, size)).transpose()?;
    let resistance = match (&bond.resistance, &conductor, &bond.piece) {
        (Some(r), _, _) => Range::new(r.low(), r.high()),
        (None, Some(wire), Some(piece)) => with_joints(boat, wire, piece.low(), piece.high()),
        _ => Range::from_bounds(None, None),
    };
    let id = format!("bond.{}", bond.id);
    Ok(Path::new(id, address(boat, &bond.from), address(boat, &bond.to), bond.kind)
        .name(named(&bond.id, &bond.name))
        .resistance(resistance)
        .carries(bond.carries)
        .may_cut(bond.may_cut)
        .effort(f64::from(bond.effort))
        .ampacity(conductor.as_ref().and_then(|wire| ampacity(boat, wire)))
        .bypass(bond.bypass.iter().map(|id| address(boat, id))))
}

fn conductor(boat: &Boat, size: ConductorSize) -> Result<Conductor, Error> {
    Conductor::new(size, boat.insulation, Material::Copper, boat.tinned)
}

/// What a bond's conductor bears for long. Its way is not stated: the hottest space counts.
fn ampacity(boat: &Boat, wire: &Conductor) -> Option<Current> {
    let hottest = boat.spaces.iter().max_by(|a, b| orlop_units::total_cmp(a.ambient, b.ambient))?;
    let engine = boat.spaces.iter().any(|s| s.kind == SpaceKind::Engine);
    let question = AmpacityQuestion {
        rules: boat.rules,
        options: boat.options,
        space: if engine { SpaceKind::Engine } else { SpaceKind::Outside },
        bundled: 1,
        ambient: Some(hottest.ambient),
    };
    wire.ampacity(&question).ok().map(|a| a.current)
}
