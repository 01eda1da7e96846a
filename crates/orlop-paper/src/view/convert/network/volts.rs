//! Volts at each place and load, over all cases.

use super::{kind, node, words};
use crate::pretty;
use crate::view::{LoadVolts, PlaceVolts};
use orlop::{Sense, meets};
use orlop_boat::Design;
use orlop_boat::network::{CaseAnswer, NodeKind};
use orlop_units::Quantity;

/// Volts that differ by less look the same on paper.
const SAME: f64 = 0.005;

type Found<'a> = (f64, &'a str);

/// The lowest and the highest of some volts, with their cases.
fn ends<'a>(all: impl Iterator<Item = Found<'a>> + Clone) -> Option<(Found<'a>, Found<'a>)> {
    let low = all.clone().min_by(|a, b| a.0.total_cmp(&b.0))?;
    // The first of equals, as for the lowest.
    let high = all.reduce(|best, next| if next.0 > best.0 { next } else { best })?;
    Some((low, high))
}

pub(super) fn places(design: &Design) -> Vec<PlaceVolts> {
    let network = &design.network;
    let nodes = network.nodes.iter().enumerate().filter(|(_, n)| n.kind != NodeKind::End);
    nodes
        .map(|(at, n)| {
            let (id, name) = node(&design.boat, &n.id);
            let kind = kind(n, &name);
            let volts = move |c: &&CaseAnswer| c.volts[at].is_some();
            let all = network.cases.iter().filter(volts);
            let all = all.map(|c| (c.volts[at].map_or(0.0, Quantity::si), c.case.as_str()));
            let row =
                |lowest: String, lowest_when: String, highest: String, highest_when: String| PlaceVolts {
                    id: id.clone(),
                    name: name.clone(),
                    kind,
                    lowest,
                    lowest_when,
                    highest,
                    highest_when,
                };
            let Some((low, high)) = ends(all.clone()) else {
                return row("dark".into(), "always".into(), String::new(), String::new());
            };
            let when = |case: &str, volts: f64| {
                let corner = case.rsplit('@').next().unwrap_or_default();
                let mut same = all.clone().filter(|(_, c)| c.rsplit('@').next() == Some(corner));
                let always = same.all(|(v, _)| (v - volts).abs() < SAME);
                if always { format!("always ({corner})") } else { words::case(design, case) }
            };
            row(pretty::volts(low.0), when(low.1, low.0), pretty::volts(high.0), when(high.1, high.0))
        })
        .collect()
}

pub(super) fn loads(design: &Design) -> Vec<LoadVolts> {
    (0..design.boat.loads.len()).map(|at| load(design, at)).collect()
}

fn load(design: &Design, at: usize) -> LoadVolts {
    let (network, load) = (&design.network, &design.boat.loads[at]);
    let (id, name) = super::load(&design.boat, at);
    let here = network.of_load[at];
    let fed = network.cases.iter().filter(|c| c.feeds(at));
    let all = fed.filter_map(|c| Some((c.volts[here?]?.si(), c.case.as_str())));
    let highest = ends(all.clone()).map(|(_, high)| high.0);
    let unfed = network.cases.iter().find(|c| c.unfed.contains(&at));
    let lowest = network.lowest_voltage(at);
    let (text, when) = match (lowest, unfed) {
        (Some((volts, case)), _) => (pretty::volts(volts.si()), words::case(design, case)),
        (None, Some(case)) => ("cannot be fed".into(), words::case(design, &case.case)),
        (None, None) if here.is_none() => ("no circuit feeds it".into(), String::new()),
        (None, None) => ("never on".into(), String::new()),
    };
    let margin = lowest.zip(load.minimum).map(|((v, _), m)| (v.si(), m.si()));
    let short = margin.is_some_and(|(v, m)| !meets(v, Sense::AtLeast, m));
    LoadVolts {
        id,
        name,
        lowest: text,
        lowest_when: when,
        highest: highest.map(pretty::volts),
        minimum: load.minimum.map(|m| pretty::volts(m.si())),
        margin: margin.map(|(v, m)| pretty::volts(v - m)),
        short: short || unfed.is_some(),
    }
}
