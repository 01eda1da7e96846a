//! How long each circuit's wire is, where it goes, how hot it is there, and what lies beside it.
//!
//! ```text
//! one_way = (way along the trunks + what lies outside them) x (1 + slack) + termination
//! ```
//! A length that the boat file states as `one_way` is taken as it stands.

mod bundle;
mod explain;
mod geometry;
mod graph;
mod spaces;
mod way;

pub use bundle::{BESIDE, PARALLEL};
pub use explain::measure_recorded;
pub use graph::{JOINED, REACH};

use crate::demand::{Demand, work_out};
use crate::model::{Boat, Circuit, Point, Run, Trunk};
use orlop::Error;
use orlop::conductor::SpaceKind;
use orlop_units::{Length, OneWay, Quantity, Temperature, metres};
use std::collections::{BTreeMap, BTreeSet};

/// A straight piece of trunk.
#[derive(Clone, Debug, PartialEq)]
pub struct Segment {
    /// The trunk.
    pub trunk: String,
    /// The corner before it, counted from 1.
    pub corner: usize,
    /// Where it begins.
    pub from: Point,
    /// Where it ends.
    pub to: Point,
    /// From end to end, without slack.
    pub length: Length,
    /// The hottest space it passes through, or the trunk's own.
    pub space: String,
    /// Engine when any space it passes through is an engine space.
    pub kind: SpaceKind,
    /// Ambient temperature in `space`.
    pub ambient: Temperature,
    /// How much of it lies in no space, when that is more than a millimetre.
    pub in_no_space: Option<Length>,
}

/// One trunk, measured.
#[derive(Clone, Debug, PartialEq)]
pub struct TrunkMeasure {
    /// Its id.
    pub id: String,
    /// From corner to corner.
    pub polyline: Length,
    /// Wire for one leg along it: `polyline x (1 + slack) + termination`.
    pub with_slack: Length,
    /// Its straight pieces.
    pub segments: Vec<Segment>,
    /// Spacing of supports: the trunk's own, or the largest that the rule set allows for what lies in it.
    pub spacing: Length,
    /// Supports needed: `polyline / spacing`, rounded up.
    pub supports: u32,
    /// Inner diameter, when it is a conduit.
    pub conduit: Option<Length>,
    /// Circuits that go along it or along a part of it, in the order of the file: what shares the conduit.
    pub circuits: Vec<String>,
}

/// The way of one circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct CircuitRoute {
    /// Its id.
    pub circuit: String,
    /// Wire for one leg of each run.
    pub one_way: OneWay,
    /// Along the trunks from corner to corner; none when the file states the wire length.
    pub polyline: Option<Length>,
    /// What lies outside the trunks: the tail as stated, or the straight ways from the places to the trunks when they
    /// are longer.
    pub outside: Length,
    /// Trunks in order.
    pub path: Vec<String>,
    /// Straight pieces in order.
    pub segments: Vec<Segment>,
    /// The hottest space on the way.
    pub space: String,
    /// Engine when any part of the way is in an engine space.
    pub space_kind: SpaceKind,
    /// Ambient temperature in `space`.
    pub ambient: Temperature,
    /// Current-carrying conductors that lie together at the worst place, its own among them; a pair is 2.
    pub bundled: u32,
    /// The worst place: trunk and corners; or why there is none.
    pub bundle_where: String,
    /// The scenario in which the conductors were counted; "every circuit" when no scenario shows this circuit at its
    /// largest current and so all that lie beside it count.
    pub bundle_scenario: String,
    /// Supports needed along its way.
    pub supports: u32,
    /// Remarks.
    pub flags: Vec<String>,
}

/// All trunks and all ways of a boat.
#[derive(Clone, Debug, PartialEq)]
pub struct Routes {
    /// Trunks in the order of the file.
    pub trunks: Vec<TrunkMeasure>,
    /// Circuits in the order of the file.
    pub circuits: Vec<CircuitRoute>,
}

impl Routes {
    /// One trunk by id.
    #[must_use]
    pub fn trunk(&self, id: &str) -> Option<&TrunkMeasure> {
        self.trunks.iter().find(|t| t.id == id)
    }
    /// One circuit by id.
    #[must_use]
    pub fn circuit(&self, id: &str) -> Option<&CircuitRoute> {
        self.circuits.iter().find(|c| c.circuit == id)
    }
}

/// Measures every trunk and finds the way of every circuit of a boat.
///
/// # Errors
/// As [`measure_with`].
pub fn measure(boat: &Boat) -> Result<Routes, Error> {
    measure_with(boat, &work_out(boat))
}

/// The same when the demand is known already; it decides which conductors carry current together.
///
/// # Errors
/// [`Error::Input`] when a corner or a piece of a trunk is in no space, when trunks of a path do not join, or when no
/// trunk reaches a place or leads from one place to the other. The first problem in the order of the file is named.
pub fn measure_with(boat: &Boat, demand: &Demand) -> Result<Routes, Error> {
    let lines = way::lines(boat)?;
    let segments: Vec<Vec<Segment>> =
        lines.iter().map(|line| way::whole(boat, line)).collect::<Result<_, _>>()?;
    let ways = way::ways(boat, &lines)?;
    let bundles = bundle::count(boat, demand, &lines, &ways);
    let mut circuits = Vec::new();
    for ((circuit, way), bundle) in boat.circuits.iter().zip(&ways).zip(bundles) {
        circuits.push(one(boat, circuit, way.as_ref(), bundle, &lines, &segments)?);
    }
    Ok(Routes { trunks: trunks(boat, &lines, segments, &circuits), circuits })
}

/// Wire for one leg: slack on the whole way, termination once.
fn wire(boat: &Boat, way: f64) -> f64 {
    way.mul_add(1.0 + boat.slack.value(), boat.termination.si())
}

/// Supports along a way; a way that is a whole number of spacings but for rounding needs no further one.
fn supports(way: f64, spacing: f64) -> u32 {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let count = (way / spacing - 1e-9).ceil().clamp(0.0, 1e6) as u32;
    count
}

/// Spacing of supports: the trunk's own, or the largest the rule set allows.
fn spacing(boat: &Boat, trunk: Option<&Trunk>, battery: bool) -> Length {
    let own = trunk.and_then(|t| t.support).filter(|s| s.si() > 0.0);
    own.unwrap_or_else(|| boat.rules.support_spacing(battery).value)
}

/// Whether a circuit is a conductor of a battery.
fn of_battery(boat: &Boat, circuit: &Circuit) -> bool {
    boat.bank(&circuit.from).is_some()
}

fn trunks(
    boat: &Boat,
    lines: &[way::Line],
    segments: Vec<Vec<Segment>>,
    circuits: &[CircuitRoute],
) -> Vec<TrunkMeasure> {
    let mut inside: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (at, circuit) in circuits.iter().enumerate() {
        for id in circuit.path.iter().map(String::as_str).collect::<BTreeSet<_>>() {
            inside.entry(id).or_default().push(at);
        }
    }
    lines
        .iter()
        .zip(segments)
        .map(|(line, segments)| {
            let content = inside.get(line.trunk.id.as_str()).map_or(&[][..], Vec::as_slice);
            let battery = content.iter().any(|at| of_battery(boat, &boat.circuits[*at]));
            let spacing = spacing(boat, Some(line.trunk), battery);
            TrunkMeasure {
                id: line.trunk.id.clone(),
                polyline: metres(line.length()),
                with_slack: metres(wire(boat, line.length())),
                segments,
                spacing,
                supports: supports(line.length(), spacing.si()),
                conduit: line.trunk.conduit,
                circuits: content.iter().map(|at| circuits[*at].circuit.clone()).collect(),
            }
        })
        .collect()
}

fn one(
    boat: &Boat,
    circuit: &Circuit,
    way: Option<&way::Way>,
    bundle: bundle::Bundle,
    lines: &[way::Line],
    whole: &[Vec<Segment>],
) -> Result<CircuitRoute, Error> {
    let battery = of_battery(boat, circuit);
    let Some(way) = way else { return stated(boat, circuit, bundle, battery) };
    let (segments, mut flags) = (way::segments(boat, way, lines, whole)?, Vec::new());
    for s in &segments {
        if let Some(bare) = s.in_no_space {
            let (trunk, corner) = (&s.trunk, s.corner);
            flags.push(format!(
                "{} of trunk '{trunk}' after corner {corner} is in no space; the spaces before and behind it count",
                orlop_units::show(bare)
            ));
        }
    }
    if let Run::Shortest { tail: Some(tail), .. } = &circuit.run
        && way.reach > tail.si()
    {
        flags.push(format!(
            "its places are {} from the trunks, more than the tail of {}",
            orlop_units::show(metres(way.reach)),
            orlop_units::show(*tail)
        ));
    }
    let mut path: Vec<String> = way.portions.iter().map(|p| lines[p.line].trunk.id.clone()).collect();
    path.dedup();
    let spaces: Vec<&str> = if segments.is_empty() {
        // Both ends at one point of a trunk: the way is all tail, in the spaces of its places.
        way.places.iter().filter_map(|id| boat.place(id)).map(|p| p.space.as_str()).collect()
    } else {
        segments.iter().map(|s| s.space.as_str()).collect()
    };
    let (space, kind, ambient) = hottest(boat, &circuit.id, spaces.into_iter())?;
    let engine = kind == SpaceKind::Engine || segments.iter().any(|s| s.kind == SpaceKind::Engine);
    let count =
        |p: &way::Portion| supports(p.length(), spacing(boat, Some(lines[p.line].trunk), battery).si());
    Ok(CircuitRoute {
        circuit: circuit.id.clone(),
        one_way: OneWay(metres(wire(boat, way.along() + way.outside))),
        polyline: Some(metres(way.along())),
        outside: metres(way.outside),
        path,
        space,
        space_kind: if engine { SpaceKind::Engine } else { SpaceKind::Outside },
        ambient,
        bundled: bundle.count,
        bundle_where: bundle.place,
        bundle_scenario: bundle.scenario,
        supports: way.portions.iter().map(count).sum(),
        segments,
        flags,
    })
}

fn stated(
    boat: &Boat,
    circuit: &Circuit,
    bundle: bundle::Bundle,
    battery: bool,
) -> Result<CircuitRoute, Error> {
    let Run::OneWay { length, spaces } = &circuit.run else {
        unreachable!("every other run has a way along trunks")
    };
    let (space, space_kind, ambient) = hottest(boat, &circuit.id, spaces.iter().map(String::as_str))?;
    Ok(CircuitRoute {
        circuit: circuit.id.clone(),
        // A guessed length counts at its upper end.
        one_way: length.range.map_or(length.q, |r| r.1),
        polyline: None,
        outside: metres(0.0),
        path: Vec::new(),
        segments: Vec::new(),
        space,
        space_kind,
        ambient,
        bundled: bundle.count,
        bundle_where: bundle.place,
        bundle_scenario: bundle.scenario,
        supports: supports(length.q.0.si(), spacing(boat, None, battery).si()),
        flags: Vec::new(),
    })
}

fn hottest<'a>(
    boat: &Boat,
    circuit: &str,
    spaces: impl Iterator<Item = &'a str>,
) -> Result<(String, SpaceKind, Temperature), Error> {
    let found: Vec<_> = spaces.filter_map(|id| boat.space(id)).collect();
    let engine = found.iter().any(|s| s.kind == SpaceKind::Engine);
    let Some(hottest) = found.iter().max_by(|a, b| spaces::hotter(a, b)) else {
        let field = format!("circuit.{circuit}.spaces");
        return Err(Error::input(&field, "no space of this boat", "the spaces its wire goes through"));
    };
    let kind = if engine { SpaceKind::Engine } else { SpaceKind::Outside };
    Ok((hottest.id.clone(), kind, hottest.ambient))
}
