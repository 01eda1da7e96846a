//! Negative and bonding: which points are worth drawing, how they hang together, what was found.

use super::words;
use crate::pretty;
use crate::view::{Ground, GroundKind, GroundLine, GroundLink, GroundPath, GroundRow};
use orlop::Verdict;
use orlop::network::ground::{Carried, PathKind, Point, ReturnSystem, Role};
use orlop_boat::Design;
use orlop_boat::check::ground as checked;
use orlop_units::{Quantity, Resistance};
use std::collections::{BTreeMap, BTreeSet};

const RULES: [&str; 5] = ["negative-paths", "one-bond", "missing-bond", "shunt-bypass", "forbidden-share"];

/// The drawing of a design; nothing when its file states no ground, or one that cannot be worked out.
pub(super) fn ground(design: &Design) -> Option<Ground> {
    let found = checked::ground(design)?.ok()?;
    let sheet = Sheet::new(design, &found);
    let (rows, links) = sheet.drawn();
    let ours = || found.audit.judgements.iter().filter(|j| RULES.contains(&j.rule));
    let wrong =
        ours().filter(|j| j.verdict != Verdict::Pass && j.verdict != Verdict::NotApplicable).map(|j| {
            let advice =
                if j.to_do.is_empty() { String::new() } else { format!(" {}", words::sentence(&j.to_do)) };
            format!("{}: {}{advice}", words::letter(j.severity), words::sentence(&j.what))
        });
    let mut fine: Vec<String> = ours()
        .filter(|j| j.verdict == Verdict::Pass && j.rule != "forbidden-share")
        .map(|j| words::sentence(&j.what))
        .collect();
    if !ours().any(|j| j.rule == "forbidden-share" && j.verdict != Verdict::Pass) {
        fine.push("No bond, strap or thin negative carries starter or return current.".into());
    }
    let system = match found.audit.system {
        ReturnSystem::OneBond => "negative bonded to metal at one place",
        ReturnSystem::Insulated => "negative insulated from all metal",
    };
    Some(Ground {
        system: system.into(),
        rows,
        links,
        wrong: wrong.collect(),
        fine,
        caution: found.audit.caution,
    })
}

struct Sheet<'a> {
    design: &'a Design,
    found: &'a checked::Ground,
    /// Point numbers by id.
    index: BTreeMap<&'a str, usize>,
    /// Ends of each path.
    ends: Vec<(usize, usize)>,
    /// Points that are drawn.
    shown: Vec<bool>,
    /// Points folded into each.
    folded: Vec<usize>,
    /// The one bond of each negative system of a bank; of several the one that shall stay.
    the_bonds: Vec<&'a str>,
}

impl<'a> Sheet<'a> {
    fn new(design: &'a Design, found: &'a checked::Ground) -> Self {
        let graph = &found.graph;
        let index: BTreeMap<&str, usize> =
            graph.points().iter().enumerate().map(|(at, p)| (p.id.as_str(), at)).collect();
        let ends = graph.paths().iter().map(|p| (index[p.from.as_str()], index[p.to.as_str()])).collect();
        let n = graph.points().len();
        let mut sheet = Self {
            design,
            found,
            index,
            ends,
            shown: vec![true; n],
            folded: vec![0; n],
            the_bonds: the_bonds(found),
        };
        sheet.fold();
        sheet
    }

    /// Points that are always drawn: what the file states for this drawing, and whatever a finding is about.
    fn kept(&self) -> BTreeSet<usize> {
        let mut kept: BTreeSet<usize> = (0..self.shown.len())
            .filter(|x| {
                let point = &self.found.graph.points()[*x];
                point.id.starts_with("ground.") || point.role.is_battery()
            })
            .collect();
        let judged = self.found.audit.judgements.iter().filter(|j| j.verdict != Verdict::Pass);
        let subjects: BTreeSet<&str> = judged.map(|j| j.subject.as_str()).collect();
        kept.extend(subjects.iter().filter_map(|s| self.index.get(s)));
        for (path, (a, b)) in self.found.graph.paths().iter().zip(&self.ends) {
            if path.id.starts_with("bond.") || subjects.contains(path.id.as_str()) {
                kept.extend([*a, *b]);
            }
        }
        for branch in self.found.audit.shunts.iter().flat_map(|s| &s.branches).filter(|b| !b.round) {
            kept.extend(branch.points.iter().map(|p| self.index[p.as_str()]));
        }
        kept
    }

    /// Folds ends that nothing is said about into what they hang on, again and again.
    fn fold(&mut self) {
        let kept = self.kept();
        loop {
            let mut done = true;
            for x in 0..self.shown.len() {
                if !self.shown[x] || kept.contains(&x) {
                    continue;
                }
                let mut at = self
                    .ends
                    .iter()
                    .filter(|(a, b)| (*a == x || *b == x) && self.shown[*a] && self.shown[*b]);
                if let (Some((a, b)), None) = (at.next(), at.next()) {
                    let on = if *a == x { *b } else { *a };
                    self.shown[x] = false;
                    self.folded[on] += self.folded[x] + 1;
                    done = false;
                }
            }
            if done {
                return;
            }
        }
    }

    fn drawn(&self) -> (Vec<GroundRow>, Vec<GroundLink>) {
        let graph = &self.found.graph;
        let n = self.shown.len();
        let mut at: Vec<Vec<(usize, usize)>> = vec![Vec::new(); n];
        let paths: Vec<usize> = (0..self.ends.len())
            .filter(|e| self.shown[self.ends[*e].0] && self.shown[self.ends[*e].1])
            .collect();
        for e in &paths {
            let (a, b) = self.ends[*e];
            at[a].push((*e, b));
            at[b].push((*e, a));
        }
        for list in &mut at {
            list.sort_by_key(|(e, x)| (rank(&graph.points()[*x]), *x, *e));
        }
        // The house bank first, then what hangs on nothing.
        let loose: BTreeSet<&str> =
            self.found.audit.missing.iter().flat_map(|m| m.points.iter().map(String::as_str)).collect();
        let house = self.design.boat.banks.first().map(|b| format!("bank.{}", b.id)).unwrap_or_default();
        let mut roots: Vec<usize> = (0..n).filter(|x| self.shown[*x]).collect();
        roots.sort_by_key(|x| {
            let p = &graph.points()[*x];
            (p.id != house, loose.contains(p.id.as_str()), p.role, *x)
        });
        let (mut rows, mut row_of, mut used) = (Vec::new(), vec![None; n], BTreeSet::new());
        let tree = self.tree(&roots, &at);
        for (x, by) in tree {
            let point = &graph.points()[x];
            let (id, name) = self.named(point);
            if let Some((e, _)) = by {
                used.insert(e);
            }
            row_of[x] = Some(rows.len());
            rows.push(GroundRow {
                id,
                name,
                kind: kind(point.role),
                parent: by.and_then(|(_, from)| row_of[from]),
                path: by.map(|(e, _)| self.path(e)),
                folded: self.folded[x],
                loose: loose.contains(point.id.as_str()),
            });
        }
        let links = paths.into_iter().filter(|e| !used.contains(e)).filter_map(|e| {
            let (a, b) = self.ends[e];
            Some(GroundLink { from: row_of[a]?, to: row_of[b]?, path: self.path(e) })
        });
        (rows, links.collect())
    }

    /// Points in the order of rows, each with the path and point it hangs on. What is to be taken out is no part of
    /// this tree: it closes a loop of the drawing.
    fn tree(&self, roots: &[usize], at: &[Vec<(usize, usize)>]) -> Vec<(usize, Option<(usize, usize)>)> {
        let mut seen = vec![false; at.len()];
        let mut out = Vec::new();
        for root in roots {
            if seen[*root] {
                continue;
            }
            seen[*root] = true;
            let mut stack = vec![(*root, None)];
            while let Some((here, by)) = stack.pop() {
                out.push((here, by));
                for (e, there) in at[here].iter().rev() {
                    if !seen[*there] && !self.cut(*e) {
                        seen[*there] = true;
                        stack.push((*there, Some((*e, here))));
                    }
                }
            }
        }
        out
    }

    fn cut(&self, e: usize) -> bool {
        self.found.audit.cuts.iter().any(|c| c.path == self.found.graph.paths()[e].id)
    }

    /// Id and name of a point; an empty name where it says nothing new.
    fn named(&self, point: &Point) -> (String, String) {
        let id = point.id.split_once('.').map_or(point.id.as_str(), |(_, id)| id);
        let name = words::ground_name(&self.design.boat, &point.id);
        (id.to_string(), if name == id { String::new() } else { name.to_string() })
    }

    fn path(&self, e: usize) -> GroundPath {
        let path = &self.found.graph.paths()[e];
        let boat = &self.design.boat;
        let (section, id) = path.id.split_once('.').unwrap_or(("", &path.id));
        let mut what = vec![match path.kind {
            PathKind::NegativeCable => "cable".to_string(),
            other => other.word().replace('-', " "),
        }];
        let conductor = match section {
            "bond" => boat.bond(id).and_then(|b| b.size.map(|s| words::wire(s, 1))),
            "circuit" => boat
                .circuit(id)
                .zip(self.design.circuit(id))
                .map(|(c, sized)| words::wire(sized.conductor.size(), c.runs)),
            _ => None,
        };
        what.extend(conductor);
        what.extend(path.resistance.low().zip(path.resistance.high()).map(|(low, high)| from_to(low, high)));
        GroundPath {
            id: id.to_string(),
            what: what.join(" · "),
            current: self.current(e),
            line: match path.kind {
                PathKind::NegativeCable => GroundLine::Cable,
                PathKind::Shunt => GroundLine::Shunt,
                PathKind::ShoreEarth => GroundLine::Earth,
                PathKind::Bond | PathKind::Strap | PathKind::Incidental => GroundLine::Bond,
            },
            the_bond: self.the_bonds.contains(&path.id.as_str()),
            cut: self.cut(e),
            mark: self.mark(&path.id),
        }
    }

    /// Worst severity that the rules of this drawing found on a path.
    fn mark(&self, id: &str) -> Option<char> {
        let found = self.found.audit.judgements.iter().filter(|j| j.is_finding() && j.subject == id);
        found.map(|j| j.severity).min().map(words::letter)
    }

    /// The most current of each sort, in words.
    fn current(&self, e: usize) -> String {
        let most = &self.found.most[e];
        let shown = |c: &Option<Carried>, what: &str| {
            let carried = c.as_ref()?;
            let high = carried.current.high().filter(|i| i.si() > 0.0)?;
            let up_to = if carried.known { "" } else { "up to " };
            Some(format!("{up_to}{}{what}", pretty::show(high)))
        };
        let both = [shown(&most.returns, ""), shown(&most.starter, " starter")];
        let text: Vec<String> = both.into_iter().flatten().collect();
        if text.is_empty() { "none".into() } else { text.join(", ") }
    }
}

fn kind(role: Role) -> GroundKind {
    match role {
        Role::BatteryNegative | Role::BatteryBus => GroundKind::Battery,
        Role::NegativeBus => GroundKind::Bus,
        Role::LoadNegative | Role::SourceNegative => GroundKind::Negative,
        Role::Engine | Role::Hull | Role::UnderwaterMetal | Role::BondingBus => GroundKind::Metal,
        Role::ShoreEarth => GroundKind::Earth,
        Role::RadioGround => GroundKind::Radio,
    }
}

/// For each bank the bond that is to be its only one: none that is taken out, a made bond before anything else.
fn the_bonds(found: &checked::Ground) -> Vec<&str> {
    let of_a_bank = found.audit.negatives.iter().filter(|s| s.points.iter().any(|p| p.starts_with("bank.")));
    let kept = |id: &&String| !found.audit.cuts.iter().any(|c| c.path == **id);
    let made = |id: &&String| found.graph.paths().iter().any(|p| p.id == **id && p.kind == PathKind::Bond);
    of_a_bank
        .filter_map(|s| {
            let mut bonds = s.bonds.iter().filter(kept);
            bonds.clone().find(made).or_else(|| bonds.next()).map(String::as_str)
        })
        .collect()
}

/// A range with its unit once.
fn from_to(low: Resistance, high: Resistance) -> String {
    let (low, high) = (pretty::show(low), pretty::show(high));
    match (low.split_once('\u{a0}'), high.split_once('\u{a0}')) {
        _ if low == high => high,
        (Some((number, unit)), Some((_, other))) if unit == other => format!("{number} to {high}"),
        _ => format!("{low} to {high}"),
    }
}

/// Order below one point: loads, then buses, then metal.
fn rank(point: &Point) -> u8 {
    match kind(point.role) {
        GroundKind::Negative => 0,
        GroundKind::Radio => 1,
        GroundKind::Battery => 2,
        GroundKind::Bus => 3,
        GroundKind::Metal => 4,
        GroundKind::Earth => 5,
    }
}
