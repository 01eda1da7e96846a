//! Cable ways and where they are.

use crate::pretty;
use crate::view::{Plan, Trunk};
use orlop_boat::Design;
use orlop_boat::model::{self, Boat, Point};
use orlop_boat::route::TrunkMeasure;
use orlop_units::Quantity;
use std::collections::BTreeSet;

pub(super) fn trunks(design: &Design) -> Vec<Trunk> {
    let boat = &design.boat;
    let one = |(at, (measure, trunk)): (usize, (&TrunkMeasure, &model::Trunk))| {
        let hottest = measure.segments.iter().max_by(|a, b| a.ambient.si().total_cmp(&b.ambient.si()));
        let mut spaces: Vec<&str> = measure.segments.iter().map(|s| s.space.as_str()).collect();
        let mut seen = BTreeSet::new();
        spaces.retain(|s| seen.insert(*s));
        let name = |id: &&str| boat.space(id).map_or(id.to_string(), |s| s.name.clone());
        let address = format!("trunk.{}", trunk.id);
        let fill = design.judgements.iter().find(|j| j.rule == "conduit-fill" && j.subject == address);
        Trunk {
            number: at + 1,
            id: trunk.id.clone(),
            name: trunk.name.clone(),
            along: pretty::show(measure.polyline),
            with_slack: pretty::show(measure.with_slack),
            spaces: spaces.iter().map(name).collect::<Vec<_>>().join("; "),
            ambient: hottest.map(|s| pretty::show(s.ambient)).unwrap_or_default(),
            circuits: measure.circuits.join(", "),
            count: measure.circuits.len(),
            supports: if measure.conduit.is_some() {
                "conduit".into()
            } else {
                format!("{}, at most {} apart", measure.supports, pretty::show(measure.spacing))
            },
            fill: fill.and_then(|j| j.value.as_ref()).map(pretty::any),
        }
    };
    design.routes.trunks.iter().zip(&boat.trunks).enumerate().map(one).collect()
}

pub(super) fn plan(boat: &Boat) -> Plan {
    let at = |p: &Point| [p.x, p.y, p.z];
    Plan {
        spaces: boat
            .spaces
            .iter()
            .flat_map(|s| s.boxes.iter().map(|b| (s.id.clone(), at(&b.low), at(&b.high))))
            .collect(),
        trunks: boat
            .trunks
            .iter()
            .enumerate()
            .map(|(n, t)| (n + 1, t.points.iter().map(at).collect()))
            .collect(),
        places: boat.places.iter().map(|p| (p.id.clone(), at(&p.at))).collect(),
    }
}
