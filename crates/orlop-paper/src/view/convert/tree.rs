//! The feed tree as the one-line diagram draws it.

use super::words;
use crate::pretty;
use crate::view::{Branch, Device, End, Heat, Node, NodeKind, SAID_FROM_W, SourceSymbol, Tree};
use orlop::Verdict;
use orlop::protection::DeviceKind;
use orlop_boat::Design;
use orlop_boat::joints::{BoatJoints, Piece};
use orlop_boat::model::{Bank, Boat, Circuit, Feeds, Source, SourceKind};
use orlop_units::Quantity;
use std::cmp::Ordering;
use std::collections::{BTreeMap, VecDeque};

/// Banks first, then what hangs on them level by level; what no bank feeds comes last with a head of its own.
pub(super) fn tree(design: &Design, joints: &BoatJoints) -> Tree {
    let boat = &design.boat;
    let mut from: BTreeMap<&str, Vec<&Circuit>> = BTreeMap::new();
    for circuit in &boat.circuits {
        from.entry(circuit.from.as_str()).or_default().push(circuit);
    }
    let mut nodes: Vec<Node> = Vec::new();
    let mut known: BTreeMap<String, usize> = BTreeMap::new();
    let banks = boat.banks.iter().map(|b| b.id.as_str());
    let panels = boat.panels.iter().map(|p| p.id.as_str());
    let sources = boat.sources.iter().map(|s| s.id.as_str());
    let starts = banks.chain(panels).chain(sources).filter(|id| from.contains_key(id));
    for root in starts {
        if known.contains_key(root) {
            continue;
        }
        known.insert(root.to_string(), nodes.len());
        nodes.push(node(boat, root, None));
        let mut queue = VecDeque::from([nodes.len() - 1]);
        while let Some(at) = queue.pop_front() {
            let id = nodes[at].id.clone();
            for circuit in from.get(id.as_str()).into_iter().flatten() {
                let end = match &circuit.feeds {
                    Feeds::Panel(child) | Feeds::Converter(child) => {
                        if let Some(&again) = known.get(child) {
                            End::Again(again)
                        } else {
                            known.insert(child.clone(), nodes.len());
                            nodes.push(node(boat, child, Some(at)));
                            queue.push_back(nodes.len() - 1);
                            End::Node(nodes.len() - 1)
                        }
                    }
                    Feeds::Source(source) => End::Source {
                        name: words::node_name(boat, source).to_string(),
                        symbol: boat.source(source).map_or(SourceSymbol::Charger, symbol),
                    },
                    Feeds::Loads(loads) => End::Load {
                        name: words::feeds(boat, &circuit.feeds),
                        essential: loads.iter().any(|l| boat.load(l).is_some_and(|l| l.essential)),
                    },
                };
                let branch = branch(design, circuit, end, &joints.pieces);
                nodes[at].branches.push(branch);
            }
        }
    }
    Tree { nodes }
}

fn symbol(source: &Source) -> SourceSymbol {
    match source.kind {
        SourceKind::Alternator => SourceSymbol::Alternator,
        SourceKind::Solar => SourceSymbol::Solar,
        SourceKind::Charger | SourceKind::Converter => SourceSymbol::Charger,
    }
}

fn node(boat: &Boat, id: &str, parent: Option<usize>) -> Node {
    let place = |id: Option<&String>| {
        id.and_then(|p| boat.place(p)).map(|p| p.name.clone()).filter(|n| !n.is_empty())
    };
    let (kind, detail, always_on, at) = if let Some(bank) = boat.bank(id) {
        (NodeKind::Bank, bank_detail(bank), true, place(Some(&bank.place)))
    } else if let Some(source) = boat.source(id) {
        let volts = source.nominal.map(pretty::show);
        let parts: Vec<String> = volts.into_iter().chain([pretty::show(source.rating)]).collect();
        (NodeKind::Converter, parts.join(", "), false, place(source.place.as_ref()))
    } else if let Some(panel) = boat.panel(id) {
        let rating = panel.rating.map(|r| format!("bus rated {}", pretty::show(r)));
        (NodeKind::Panel, rating.unwrap_or_default(), panel.always_on, place(panel.place.as_ref()))
    } else {
        (NodeKind::Panel, String::new(), false, None)
    };
    let name = words::node_name(boat, id).to_string();
    let at = at.filter(|at| !at.eq_ignore_ascii_case(&name));
    let detail: Vec<String> = at.into_iter().chain([detail]).filter(|s| !s.is_empty()).collect();
    Node { id: id.into(), name, kind, detail: detail.join(", "), always_on, parent, branches: Vec::new() }
}

fn bank_detail(bank: &Bank) -> String {
    let mut parts = vec![pretty::show(bank.nominal)];
    parts.extend(bank.capacity.map(pretty::show));
    if bank.strings > 1 {
        parts.push(format!("{} strings", bank.strings));
    }
    parts.join(", ")
}

fn branch(design: &Design, circuit: &Circuit, end: End, pieces: &[Piece]) -> Branch {
    let mut branch = Branch {
        id: circuit.id.clone(),
        wire: String::new(),
        device: Device::None,
        current: String::new(),
        mark: words::circuit_mark(design, circuit),
        heat: heat(pieces.iter().filter(|p| design.boat.circuits[p.circuit].id == circuit.id)),
        end,
    };
    if let Some(sized) = design.circuit(&circuit.id) {
        let size = words::wire(sized.conductor.size(), circuit.runs);
        branch.wire = format!("{size} · {}", pretty::show(sized.one_way.0));
        branch.current = pretty::show(sized.design_current);
        branch.device = match &sized.device {
            Some(device) => {
                let rating = pretty::show(device.rating());
                match device.family().kind {
                    DeviceKind::Fuse => Device::Fuse(rating),
                    DeviceKind::Breaker => Device::Breaker(rating),
                }
            }
            None if sized.device_problems.is_empty() => Device::None,
            None => Device::Missing,
        };
    }
    branch
}

/// Of the bad pieces the hottest, else of all.
fn heat<'a>(pieces: impl Iterator<Item = &'a Piece>) -> Option<Heat> {
    let rank = |p: &&Piece| (p.verdict == Verdict::Fail, p.watts_full.si());
    let hottest = pieces.max_by(|a, b| rank(a).partial_cmp(&rank(b)).unwrap_or(Ordering::Equal))?;
    let bad = hottest.verdict == Verdict::Fail;
    let counts = bad || hottest.watts_full.si() >= SAID_FROM_W;
    let label = format!("{} {}", hottest.part.word(), pretty::show(hottest.watts_full));
    Some(Heat { watts: hottest.watts_full.si(), label: if counts { label } else { String::new() }, bad })
}
