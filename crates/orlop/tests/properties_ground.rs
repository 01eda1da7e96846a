//! Loops, cuts, ways and bonds of the ground graph against oracles written apart from it: relabelling, exhaustive search.

#[path = "ground/graphs.rs"]
mod graphs;

use graphs::{Plan, plans};
use orlop::network::ground::{Flow, FlowKind, GroundGraph, Path, PathKind, Point, ReturnSystem, Role, audit};
use orlop_units::amperes;
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// Number of parts that some of the paths leave, by repeated relabelling.
fn parts(points: &[Point], paths: &[&Path]) -> BTreeMap<String, String> {
    let mut label: BTreeMap<String, String> = points.iter().map(|p| (p.id.clone(), p.id.clone())).collect();
    for p in paths {
        let (a, b) = (label[&p.from].clone(), label[&p.to].clone());
        if a != b {
            for value in label.values_mut().filter(|v| **v == a) {
                value.clone_from(&b);
            }
        }
    }
    label
}

fn count(points: &[Point], paths: &[&Path]) -> usize {
    parts(points, paths).into_values().collect::<BTreeSet<_>>().len()
}

/// Paths too many for a forest.
fn rank(points: &[Point], paths: &[&Path]) -> usize {
    paths.len() + count(points, paths) - points.len()
}

/// Paths between a negative and metal that is more than a lone radio ground, by the words of the definition.
fn crossing(plan: &Plan) -> Vec<&Path> {
    let role = |id: &str| plan.points.iter().find(|p| p.id == id).unwrap().role;
    let inner: Vec<&Path> =
        plan.paths.iter().filter(|p| !role(&p.from).is_negative() && !role(&p.to).is_negative()).collect();
    let of = parts(&plan.points, &inner);
    let real = |id: &str| {
        plan.points
            .iter()
            .any(|p| of[&p.id] == of[id] && !p.role.is_negative() && p.role != Role::RadioGround)
    };
    plan.paths
        .iter()
        .filter(|p| {
            let (a, b) = (role(&p.from).is_negative(), role(&p.to).is_negative());
            a != b && real(if a { &p.to } else { &p.from })
        })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 192, ..ProptestConfig::default() })]

    #[test]
    fn loops_bridges_and_parts_are_those_of_the_oracle(plan in plans(14)) {
        let found = audit(&plan.graph(), &[]).unwrap();
        let all: Vec<&Path> = plan.paths.iter().collect();
        let gone: BTreeSet<&str> = if plan.system == ReturnSystem::Insulated {
            crossing(&plan).into_iter().filter(|p| p.may_cut).map(|p| p.id.as_str()).collect()
        } else {
            BTreeSet::new()
        };
        let kept: Vec<&Path> = all.iter().copied().filter(|p| !gone.contains(p.id.as_str())).collect();
        prop_assert_eq!(found.loops.len(), rank(&plan.points, &kept));
        for one in &found.loops {
            // Closed: every point of it has two of its ends.
            let mut degree: BTreeMap<&str, usize> = BTreeMap::new();
            for id in &one.paths {
                let p = plan.paths.iter().find(|p| p.id == *id).unwrap();
                *degree.entry(&p.from).or_default() += 1;
                *degree.entry(&p.to).or_default() += 1;
            }
            prop_assert!(degree.values().all(|d| *d == 2), "{:?}", one);
        }
        // A basis: each has a closing path of its own that stands in no other.
        for one in &found.loops {
            prop_assert_eq!(found.loops.iter().filter(|o| o.paths.contains(&one.paths[0])).count(), 1);
        }
        for p in &plan.paths {
            let without: Vec<&Path> = all.iter().copied().filter(|q| q.id != p.id).collect();
            let bridge = count(&plan.points, &without) > count(&plan.points, &all);
            prop_assert_eq!(found.bridges.contains(&p.id), bridge, "{}", p.id);
        }
    }

    #[test]
    fn cuts_leave_a_forest_where_one_can_be_and_part_nothing(plan in plans(14)) {
        let found = audit(&plan.graph(), &[]).unwrap();
        let cut = |p: &&Path| found.cuts.iter().any(|c| c.path == p.id);
        let left: Vec<&Path> = plan.paths.iter().filter(|p| !cut(p)).collect();
        let stay: Vec<&Path> = plan.paths.iter().filter(|p| !p.may_cut).collect();
        prop_assert_eq!(rank(&plan.points, &left), rank(&plan.points, &stay));
        prop_assert!(plan.paths.iter().filter(cut).all(|p| p.may_cut && p.kind != PathKind::ShoreEarth));
        if plan.system == ReturnSystem::OneBond {
            let all: Vec<&Path> = plan.paths.iter().collect();
            prop_assert_eq!(count(&plan.points, &left), count(&plan.points, &all));
        }
    }

    #[test]
    fn no_smaller_set_of_cuts_would_do(plan in plans(12)) {
        let found = audit(&plan.graph(), &[]).unwrap();
        let effort: f64 = found.cuts.iter().map(|c| c.effort).sum();
        let stay: Vec<&Path> = plan.paths.iter().filter(|p| !p.may_cut).collect();
        let cuttable: Vec<&Path> = plan.paths.iter().filter(|p| p.may_cut).collect();
        let wanted = rank(&plan.points, &stay);
        let must: Vec<&str> = if plan.system == ReturnSystem::Insulated {
            crossing(&plan).into_iter().filter(|p| p.may_cut).map(|p| p.id.as_str()).collect()
        } else {
            Vec::new()
        };
        for set in 0u32..1 << cuttable.len() {
            let taken = |i: usize| set >> i & 1 == 1;
            let cost: f64 = cuttable.iter().enumerate().filter(|(i, _)| taken(*i)).map(|(_, p)| p.effort).sum();
            if cost >= effort - 1e-9 {
                continue;
            }
            let mut left = stay.clone();
            left.extend(cuttable.iter().enumerate().filter(|(i, _)| !taken(*i)).map(|(_, p)| *p));
            let works = rank(&plan.points, &left) == wanted && !left.iter().any(|p| must.contains(&p.id.as_str()));
            prop_assert!(!works, "{} cuts at {cost} instead of {effort}", set.count_ones());
        }
    }

    #[test]
    fn ways_to_an_engine_are_the_least_cut(plan in plans(12)) {
        for link in audit(&plan.graph(), &[]).unwrap().engines {
            let Some(negative) = &link.negative else { continue };
            let mut used: Vec<&String> = link.ways.iter().flatten().collect();
            used.sort();
            prop_assert!(used.windows(2).all(|w| w[0] != w[1]));
            let least = (0u32..1 << plan.paths.len())
                .filter(|set| {
                    let left = plan.paths.iter().enumerate().filter(|(i, _)| set >> i & 1 == 0);
                    let of = parts(&plan.points, &left.map(|(_, p)| p).collect::<Vec<_>>());
                    of[negative] != of[&link.engine]
                })
                .map(u32::count_ones)
                .min()
                .unwrap();
            prop_assert_eq!(link.ways.len(), least as usize);
        }
    }

    #[test]
    fn the_added_bonds_are_the_fewest(mut plan in plans(10)) {
        plan.system = ReturnSystem::OneBond;
        let found = audit(&plan.graph(), &[]).unwrap();
        let all: Vec<&Path> = plan.paths.iter().collect();
        let of = parts(&plan.points, &all);
        let hanging: BTreeSet<&String> = plan.points.iter().filter(|p| p.hangs).map(|p| &of[&p.id]).collect();
        prop_assert_eq!(found.missing.len(), hanging.len() - 1);
        let mut more = plan.paths.clone();
        for (i, m) in found.missing.iter().enumerate() {
            more.push(Path::new(format!("N{i}"), &m.add.from, &m.add.to, m.add.kind));
        }
        let graph = GroundGraph::new(plan.system, plan.points.clone(), more).unwrap();
        let mended = audit(&graph, &[]).unwrap();
        prop_assert!(mended.missing.is_empty());
        // And they close no loop.
        prop_assert_eq!(mended.loops.len(), found.loops.len());
    }

    #[test]
    fn the_order_of_points_and_paths_changes_nothing(plan in plans(12), turn in 0usize..12, engine in any::<bool>()) {
        let ends = |plan: &Plan| (plan.points[0].id.clone(), plan.points[plan.points.len() - 1].id.clone());
        let (to, from) = ends(&plan);
        let kind = if engine { FlowKind::Starter } else { FlowKind::Return };
        let flows = [Flow::new("F", kind, &from, &to, amperes(100.0)).unwrap()];
        let mut other = plan.clone();
        other.points.reverse();
        if !other.paths.is_empty() {
            let turn = turn % other.paths.len();
            other.paths.rotate_left(turn);
        }
        let (a, b) = (audit(&plan.graph(), &flows).unwrap(), audit(&other.graph(), &flows).unwrap());
        prop_assert_eq!(a, b);
    }
}
