//! Panel schedules, in the order of the diagram.

use super::{circuits, words};
use crate::pretty;
use crate::view::{End, NodeKind, Panel, Tree, Way};
use orlop_boat::Design;

pub(super) fn panels(design: &Design, tree: &Tree) -> Vec<Panel> {
    let boat = &design.boat;
    tree.nodes
        .iter()
        .filter(|n| !n.branches.is_empty())
        .map(|node| {
            let feed = node.parent.and_then(|parent| {
                let at = tree.nodes.iter().position(|n| n.id == node.id);
                let leads = |end: &End| matches!(end, End::Node(n) if Some(*n) == at);
                let feed = tree.nodes[parent].branches.iter().find(|b| leads(&b.end))?;
                Some(format!("fed from {} by {}, {}", tree.nodes[parent].name, feed.id, feed.wire))
            });
            Panel {
                id: node.id.clone(),
                name: node.name.clone(),
                kind: match node.kind {
                    NodeKind::Bank => "bank",
                    NodeKind::Panel => "panel",
                    NodeKind::Converter => "converter",
                },
                place: node.detail.clone(),
                fed_by: feed.unwrap_or_default(),
                rating: boat.panel(&node.id).and_then(|p| p.rating).map(pretty::show),
                always_on: node.always_on,
                ways: node
                    .branches
                    .iter()
                    .enumerate()
                    .filter_map(|(at, b)| way(design, at + 1, &b.id))
                    .collect(),
            }
        })
        .collect()
}

fn way(design: &Design, number: usize, id: &str) -> Option<Way> {
    let circuit = design.boat.circuit(id)?;
    let sized = design.circuit(id)?;
    let device = circuits::device(sized);
    let feeds = words::feeds(&design.boat, &circuit.feeds);
    let rating = sized.device.as_ref().map(|d| pretty::show(d.rating()));
    // Labels are small: a name goes as far as its first comma or bracket.
    let short = feeds.split([',', '(']).next().unwrap_or_default().trim().to_string();
    let label = [Some(id.to_string()), Some(short).filter(|s| !s.is_empty()), rating];
    Some(Way {
        number,
        id: id.into(),
        missing: sized.device.is_none() && !sized.device_problems.is_empty(),
        device,
        wire: format!(
            "{} · {}",
            words::wire(sized.conductor.size(), circuit.runs),
            pretty::show(sized.one_way.0)
        ),
        current: pretty::show(sized.design_current),
        label: label.into_iter().flatten().collect::<Vec<_>>().join(" · "),
        mark: words::circuit_mark(design, circuit),
        feeds,
    })
}
