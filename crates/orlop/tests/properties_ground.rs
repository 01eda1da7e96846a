//! The ground graph against oracles written apart from it: union-find, exhaustive search, Kirchhoff's laws, hand-worked
//! shares.

use orlop::network::ground::{
    Audit, Carries, Flow, FlowKind, GroundGraph, Path, PathKind, Point, ReturnSystem, Role, audit,
    audit_recorded,
};
use orlop::{Error, Range, Severity, Verdict, Working};
use orlop_units::{Current, Quantity, Resistance, amperes, ohms};
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

// ---------------------------------------------------------------- making graphs

fn point(id: &str, role: Role) -> Point {
    Point::new(id, role)
}

fn path(id: &str, from: &str, to: &str, kind: PathKind, low: f64, high: f64) -> Path {
    Path::new(id, from, to, kind).resistance(Range::new(ohms(low), ohms(high)))
}

fn graph(points: &[Point], paths: &[Path]) -> GroundGraph {
    GroundGraph::new(ReturnSystem::OneBond, points.to_vec(), paths.to_vec()).unwrap()
}

fn flow(from: &str, to: &str, current: f64) -> Flow {
    Flow::new("F", FlowKind::Return, from, to, amperes(current)).unwrap()
}

/// Any role but the first point's, which is a battery's negative.
fn roles() -> impl Strategy<Value = Role> {
    proptest::sample::select(Role::ALL)
}

#[derive(Clone, Debug)]
struct Plan {
    system: ReturnSystem,
    points: Vec<Point>,
    paths: Vec<Path>,
}

impl Plan {
    fn graph(&self) -> GroundGraph {
        GroundGraph::new(self.system, self.points.clone(), self.paths.clone()).unwrap()
    }
}

fn plans(most: usize) -> impl Strategy<Value = Plan> {
    let edge =
        (any::<usize>(), any::<usize>(), 0..PathKind::ALL.len(), any::<bool>(), 0usize..4, 1e-4..1.0f64);
    (any::<bool>(), proptest::collection::vec(roles(), 1..8), proptest::collection::vec(edge, 0..=most))
        .prop_map(|(insulated, roles, edges)| {
            let mut points = vec![point("P0", Role::BatteryNegative)];
            points.extend(roles.iter().enumerate().map(|(i, r)| point(&format!("P{}", i + 1), *r)));
            let n = points.len();
            let paths = edges
                .into_iter()
                .enumerate()
                .map(|(i, (a, step, kind, may_cut, effort, r))| {
                    let (a, b) = (a % n, (a % n + 1 + step % (n - 1)) % n);
                    let kind = PathKind::ALL[kind];
                    path(&format!("E{i:02}"), &format!("P{a}"), &format!("P{b}"), kind, r, 2.0 * r)
                        .may_cut(may_cut && kind != PathKind::ShoreEarth)
                        .effort([1.0, 1.0, 2.0, 3.5][effort])
                })
                .collect();
            let system = if insulated { ReturnSystem::Insulated } else { ReturnSystem::OneBond };
            Plan { system, points, paths }
        })
}

// ---------------------------------------------------------------- oracles

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

// ---------------------------------------------------------------- currents

/// A joined graph with resistances, and two points of it.
fn resistive() -> impl Strategy<Value = (Plan, Vec<f64>)> {
    let edge = (any::<usize>(), any::<usize>());
    (2usize..8, proptest::collection::vec(edge, 0..8)).prop_flat_map(|(n, extra)| {
        let points: Vec<Point> = (0..n)
            .map(|i| point(&format!("P{i}"), if i == 0 { Role::BatteryNegative } else { Role::LoadNegative }))
            .collect();
        // A tree, then chords.
        let mut ends: Vec<(usize, usize)> = (1..n).map(|i| (i * 7 % i, i)).collect();
        ends.extend(extra.iter().map(|(a, s)| (a % n, (a % n + 1 + s % (n - 1)) % n)));
        let m = ends.len();
        proptest::collection::vec(-4.0..0.5f64, m).prop_map(move |tens| {
            let ohm: Vec<f64> = tens.iter().map(|t| 10f64.powf(*t)).collect();
            let paths = ends.iter().enumerate().map(|(i, (a, b))| {
                path(
                    &format!("E{i:02}"),
                    &format!("P{a}"),
                    &format!("P{b}"),
                    PathKind::NegativeCable,
                    ohm[i],
                    ohm[i] * 1.5,
                )
            });
            (
                Plan { system: ReturnSystem::OneBond, points: points.clone(), paths: paths.collect() },
                ohm.clone(),
            )
        })
    })
}

fn si(currents: Vec<Current>) -> Vec<f64> {
    currents.into_iter().map(Quantity::si).collect()
}

fn resistances(ohm: &[f64]) -> Vec<Resistance> {
    ohm.iter().map(|r| ohms(*r)).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, ..ProptestConfig::default() })]

    #[test]
    fn kirchhoff_holds(given in resistive(), from in any::<usize>(), step in any::<usize>()) {
        let (plan, ohm) = given;
        let n = plan.points.len();
        let (a, b) = (from % n, (from % n + 1 + step % (n - 1)) % n);
        let graph = plan.graph();
        let through = flow(&format!("P{a}"), &format!("P{b}"), 100.0);
        let i = si(graph.currents(&through, &resistances(&ohm)).unwrap());
        // Each point: what comes in goes out; the shares at both ends add up to the whole.
        for (at, p) in plan.points.iter().enumerate() {
            let out: f64 = plan.paths.iter().zip(&i).map(|(e, i)| match &p.id {
                id if *id == e.from => *i,
                id if *id == e.to => -*i,
                _ => 0.0,
            }).sum();
            let wanted = if at == a { 100.0 } else if at == b { -100.0 } else { 0.0 };
            prop_assert!((out - wanted).abs() < 1e-7, "{}: {out}", p.id);
        }
        // Each loop: the voltages add up to nothing.
        for one in audit(&graph, &[]).unwrap().loops {
            let edge = |id: &String| plan.paths.iter().position(|p| p.id == *id).unwrap();
            let mut here = plan.paths[edge(&one.paths[0])].from.clone();
            let (mut sum, mut size) = (0.0, 0.0);
            for id in &one.paths {
                let e = edge(id);
                let forward = plan.paths[e].from == here;
                let volts = i[e] * ohm[e];
                sum += if forward { volts } else { -volts };
                size += volts.abs();
                here = if forward { &plan.paths[e].to } else { &plan.paths[e].from }.clone();
            }
            prop_assert_eq!(&here, &plan.paths[edge(&one.paths[0])].from);
            prop_assert!(sum.abs() <= 1e-9 * size + 1e-11, "{sum} of {size}");
        }
    }

    #[test]
    fn transfer_is_reciprocal_and_flows_add_up(given in resistive(), e in any::<usize>(), f in any::<usize>()) {
        let (plan, ohm) = given;
        let (graph, r) = (plan.graph(), resistances(&ohm));
        let (e, f) = (e % ohm.len(), f % ohm.len());
        let across = |k: usize| flow(&plan.paths[k].from, &plan.paths[k].to, 1.0);
        let (by_e, by_f) = (si(graph.currents(&across(e), &r).unwrap()), si(graph.currents(&across(f), &r).unwrap()));
        let (one, other) = (by_e[f] * ohm[f], by_f[e] * ohm[e]);
        prop_assert!((one - other).abs() <= 1e-9 * (ohm[e] * ohm[f]).sqrt(), "{one} {other}");
        let both = across(e).and(&plan.paths[f].from, &plan.paths[f].to, amperes(1.0)).unwrap();
        for (k, i) in si(graph.currents(&both, &r).unwrap()).into_iter().enumerate() {
            prop_assert!((i - by_e[k] - by_f[k]).abs() < 1e-8);
        }
    }

    #[test]
    fn every_choice_of_resistances_lies_between_the_ends_and_the_ends_are_reached(
        given in resistive(), from in any::<usize>(), step in any::<usize>(), picks in proptest::collection::vec(0.0..=1.0f64, 16),
    ) {
        let (plan, ohm) = given;
        let n = plan.points.len();
        let through = flow(&format!("P{}", from % n), &format!("P{}", (from % n + 1 + step % (n - 1)) % n), 100.0);
        let graph = plan.graph();
        let bounds = graph.carried(&through).unwrap();
        let at = |share: &dyn Fn(usize) -> f64| {
            let r: Vec<f64> = ohm.iter().enumerate().map(|(k, o)| o * (1.0 + 0.5 * share(k))).collect();
            let i = si(graph.currents(&through, &resistances(&r)).unwrap());
            (r, i)
        };
        let ends = |k: usize| {
            let range = bounds[k].current;
            (range.low().unwrap().si(), range.high().unwrap().si())
        };
        let (r, i) = at(&|k| picks[k % picks.len()]);
        for k in 0..ohm.len() {
            let (low, high) = ends(k);
            prop_assert!(bounds[k].exact || ohm.len() > orlop::network::ground::MOST_RANGES);
            prop_assert!(low <= i[k].abs() + 1e-7 && i[k].abs() <= high + 1e-7, "{}: {low} {} {high}", k, i[k]);
            prop_assert!(i[k] * i[k] * r[k] <= bounds[k].heat.unwrap().si() * (1.0 + 1e-7) + 1e-9);
        }
        // The corners of all paths by themselves, without any thought of which move together.
        if ohm.len() <= 9 {
            let mut top = vec![0f64; ohm.len()];
            for corner in 0u32..1 << ohm.len() {
                let (_, i) = at(&|k| f64::from(corner >> k & 1));
                for k in 0..ohm.len() {
                    top[k] = top[k].max(i[k].abs());
                }
            }
            for (k, highest) in top.into_iter().enumerate() {
                prop_assert!((highest - ends(k).1).abs() < 1e-6, "{k}: {highest} {}", ends(k).1);
            }
        }
    }
}

/// Worked by hand. Two straps beside each other, 1 to 2 ohm and 3 to 6 ohm, 100 A: the first takes at most
/// 100 x 6/(1 + 6) = 85.714 A and at least 100 x 3/(2 + 3) = 60 A; it is hottest at 2 ohm beside 6 ohm:
/// (100 x 6/8)^2 x 2 = 11250 W. A strap of 1 to 10 ohm beside 3 ohm is hottest at 3 ohm: 50^2 x 3 = 7500 W.
#[test]
fn two_straps_by_hand() {
    let points = [point("BAT", Role::BatteryNegative), point("ENGINE", Role::Engine)];
    let straps = |a: (f64, f64), b: (f64, f64)| {
        graph(
            &points,
            &[
                path("A", "ENGINE", "BAT", PathKind::Strap, a.0, a.1),
                path("B", "ENGINE", "BAT", PathKind::Strap, b.0, b.1),
            ],
        )
    };
    let through = flow("ENGINE", "BAT", 100.0);
    let both = straps((1.0, 2.0), (3.0, 6.0)).carried(&through).unwrap();
    let a = both[0].current;
    assert!((a.high().unwrap().si() - 600.0 / 7.0).abs() < 1e-9);
    assert!((a.low().unwrap().si() - 60.0).abs() < 1e-9);
    assert!((both[0].heat.unwrap().si() - 11_250.0).abs() < 1e-6);
    let wide = straps((1.0, 10.0), (3.0, 3.0)).carried(&through).unwrap();
    assert!((wide[0].heat.unwrap().si() - 7_500.0).abs() < 1e-6);
}

/// The demo survey's finding of two negative paths: 168 A of a thruster, 3.4 A of it in the strap. Worked by hand: main
/// negative 0.40 mohm; strap 15 mohm and engine cable 4.37 mohm behind each other: 168 x 0.40/(0.40 + 19.37) = 3.399 A.
#[test]
fn the_strap_of_the_old_boat() {
    let found = old_boat(&[]);
    let strap = found.forbidden.iter().find(|c| c.path == "STRAP" && c.kind == FlowKind::Return).unwrap();
    assert!((strap.current.high().unwrap().si() - 3.399).abs() < 5e-4);
    assert_eq!(strap.current, Range::exactly(strap.current.low().unwrap()));
    assert_eq!(found.cuts.iter().map(|c| c.path.as_str()).collect::<Vec<_>>(), ["STRAP"]);
    let failed = |rule: &str, case: &str| {
        found
            .judgements
            .iter()
            .find(|j| j.rule == rule && j.case == case && j.verdict == Verdict::Fail)
            .unwrap()
    };
    assert!(
        failed("forbidden-share", "thruster").what.contains("3.4 A"),
        "{:?}",
        failed("forbidden-share", "thruster")
    );
    assert_eq!(failed("forbidden-share", "thruster").severity, Severity::B);
    assert!(failed("negative-paths", "").to_do.contains("take out STRAP"));
}

fn old_boat(more: &[Path]) -> Audit {
    let mut paths = vec![
        path("MAIN", "BUS", "BAT", PathKind::NegativeCable, 4e-4, 4e-4),
        path("STRAP", "BUS", "ENGINE", PathKind::Strap, 15e-3, 15e-3),
        path("CABLE", "ENGINE", "BAT", PathKind::NegativeCable, 4.37e-3, 4.37e-3).carries(Carries::Starter),
    ];
    paths.extend_from_slice(more);
    let graph = graph(
        &[
            point("BAT", Role::BatteryNegative),
            point("BUS", Role::NegativeBus),
            point("ENGINE", Role::Engine),
        ],
        &paths,
    );
    let flows = [
        Flow::new("thruster", FlowKind::Return, "BUS", "BAT", amperes(168.0)).unwrap(),
        Flow::new("starter", FlowKind::Starter, "ENGINE", "BAT", amperes(400.0)).unwrap(),
    ];
    audit(&graph, &flows).unwrap()
}

#[test]
fn starter_current_in_a_thin_path_is_severe_and_without_a_size_nothing_is_said() {
    let found =
        old_boat(&[path("THIN", "ENGINE", "BUS", PathKind::Bond, 1e-3, 1e-3).ampacity(Some(amperes(5.0)))]);
    let of = |path: &str| {
        found
            .judgements
            .iter()
            .find(|j| j.rule == "forbidden-share" && j.subject == path && j.case == "starter")
            .unwrap()
    };
    assert_eq!((of("THIN").severity, of("THIN").verdict), (Severity::A, Verdict::Fail));
    assert!(of("STRAP").what.contains("size is not stated"), "{}", of("STRAP").what);
    // The main negative may carry return current, but no starter current either.
    assert_eq!(of("MAIN").verdict, Verdict::Fail);
}

#[test]
fn of_an_unknown_resistance_the_worst_counts_and_it_is_said() {
    let found = old_boat(&[Path::new("X", "BUS", "ENGINE", PathKind::Incidental)]);
    let of =
        |path: &str| found.forbidden.iter().find(|c| c.path == path && c.kind == FlowKind::Return).unwrap();
    let high = |path: &str| of(path).current.high().unwrap().si();
    // By hand: X as good as shorted, X as good as open.
    assert!((high("X") - 168.0 * 0.4 / (0.4 + 0.01 + 4.37)).abs() < 0.02, "{}", high("X"));
    assert!((high("STRAP") - 3.399).abs() < 1e-3, "{}", high("STRAP"));
    assert!(!of("X").known && !of("STRAP").known);
    assert_eq!(of("X").heat, None);
    let said = found.judgements.iter().find(|j| j.subject == "X" && j.rule == "forbidden-share").unwrap();
    assert!(
        said.verdict == Verdict::Fail && said.what.contains("not known: the worst counts"),
        "{}",
        said.what
    );
    assert_eq!(found.cuts.len(), 2);
    // Off every loop nothing need be known.
    let sound = with(|_, p| p.iter_mut().for_each(|p| p.resistance = Range::from_bounds(None, None)));
    assert_eq!(failures(&sound), []);
}

// ---------------------------------------------------------------- what is found

/// A boat in order: shunt at the battery, one bond to the engine, bonding behind it, a permitted bypass.
fn sound() -> (Vec<Point>, Vec<Path>) {
    let points = vec![
        point("BAT", Role::BatteryNegative),
        point("BUS", Role::NegativeBus),
        point("LAMP", Role::LoadNegative),
        point("BMS", Role::LoadNegative),
        point("HF", Role::LoadNegative),
        point("PLATE", Role::RadioGround),
        point("ENGINE", Role::Engine),
        point("START", Role::BatteryNegative),
        point("BONDING", Role::BondingBus),
        point("SHAFT", Role::UnderwaterMetal),
        point("EARTH", Role::ShoreEarth),
    ];
    let cable = PathKind::NegativeCable;
    let paths = vec![
        path("SHUNT", "BAT", "BUS", PathKind::Shunt, 5e-5, 1e-4).bypass(["BMS"]),
        path("N-LAMP", "LAMP", "BUS", cable, 0.02, 0.03),
        path("N-BMS", "BMS", "BAT", cable, 0.02, 0.03),
        path("N-HF", "HF", "BUS", cable, 2e-3, 3e-3),
        path("FOIL", "HF", "PLATE", PathKind::Strap, 0.01, 0.02),
        path("BOND", "BUS", "ENGINE", PathKind::Bond, 1e-3, 2e-3),
        path("START", "START", "ENGINE", cable, 2e-4, 4e-4).carries(Carries::Starter),
        path("BONDING", "ENGINE", "BONDING", PathKind::Bond, 2e-3, 4e-3),
        path("SHAFT", "BONDING", "SHAFT", PathKind::Bond, 2e-3, 4e-3),
        path("EARTH", "BONDING", "EARTH", PathKind::ShoreEarth, 2e-3, 4e-3),
    ];
    (points, paths)
}

fn flows() -> Vec<Flow> {
    vec![
        Flow::new("starter", FlowKind::Starter, "ENGINE", "START", amperes(450.0)).unwrap(),
        Flow::new("radio", FlowKind::Return, "HF", "BAT", amperes(14.0)).unwrap(),
        Flow::new("lamp", FlowKind::Return, "LAMP", "BAT", amperes(2.0)).unwrap(),
    ]
}

fn with(change: impl Fn(&mut Vec<Point>, &mut Vec<Path>)) -> Audit {
    let (mut points, mut paths) = sound();
    change(&mut points, &mut paths);
    audit(&graph(&points, &paths), &flows()).unwrap()
}

fn failures(found: &Audit) -> Vec<(&'static str, &str)> {
    found
        .judgements
        .iter()
        .filter(|j| j.verdict != Verdict::Pass)
        .map(|j| (j.rule, j.subject.as_str()))
        .collect()
}

#[test]
fn a_boat_in_order_passes_everything() {
    let found = with(|_, _| {});
    assert_eq!(failures(&found), []);
    assert_eq!(found.engines[0].ways, [["BOND"]]);
    assert_eq!(found.negatives[0].bonds, ["BOND"]);
    assert_eq!(found.negatives[1].bonds, ["START"]);
    assert_eq!(found.shunts[0].branches[0].points, ["BMS"]);
    assert!(found.caution.contains("shore-earth"));
    let bonds = found.judgements.iter().filter(|j| j.rule == "forbidden-share");
    assert!(bonds.clone().count() >= 8 && bonds.into_iter().all(|j| j.verdict == Verdict::Pass));
}

#[test]
fn a_second_strap_a_case_bonded_source_and_an_aerial_ground_are_loops() {
    let strap = with(|_, p| p.push(path("STRAP", "BUS", "ENGINE", PathKind::Strap, 1e-3, 2e-3)));
    assert_eq!(failures(&strap), [("negative-paths", "ENGINE"), ("one-bond", "BAT")]);
    assert_eq!(strap.cuts[0].path, "STRAP");

    // An alternator with its own negative cable and its case on the engine.
    let cased = with(|points, p| {
        points.push(point("ALT", Role::SourceNegative));
        p.push(path("N-ALT", "ALT", "BUS", PathKind::NegativeCable, 1e-3, 2e-3));
        p.push(path("CASE", "ALT", "ENGINE", PathKind::Incidental, 1e-3, 2e-3));
    });
    assert_eq!(failures(&cased), [("negative-paths", "ENGINE"), ("one-bond", "BAT")]);
    assert_eq!(cased.cuts[0].path, "CASE");

    // The radio's foil on the bonding: part of its return goes there, all of it when its own negative is lost.
    let foil = with(|_, p| p.push(path("TIE", "PLATE", "BONDING", PathKind::Strap, 1e-3, 2e-3)));
    let failed = failures(&foil);
    assert!(failed.contains(&("forbidden-share", "FOIL")) && failed.contains(&("forbidden-share", "TIE")));
    assert!(failed.contains(&("forbidden-share", "BOND")), "{failed:?}");
    let lost = with(|_, p| {
        p.push(path("TIE", "PLATE", "BONDING", PathKind::Strap, 1e-3, 2e-3));
        p.retain(|p| p.id != "N-HF");
    });
    let tie = lost.forbidden.iter().find(|c| c.path == "TIE" && c.kind == FlowKind::Return).unwrap();
    assert!((tie.current.low().unwrap().si() - 14.0).abs() < 1e-9);
}

#[test]
fn what_does_not_pass_the_shunt_is_found() {
    let wrong = with(|_, p| {
        let lamp = p.iter_mut().find(|p| p.id == "N-LAMP").unwrap();
        lamp.to = "BAT".into();
    });
    assert_eq!(failures(&wrong), [("shunt-bypass", "N-LAMP")]);
    let round = with(|_, p| p.push(path("ROUND", "ENGINE", "BAT", PathKind::NegativeCable, 1e-3, 2e-3)));
    let said = round.judgements.iter().find(|j| j.rule == "shunt-bypass").unwrap();
    assert!(said.what.contains("a way round SHUNT to BAT: ROUND"), "{}", said.what);
    let apart = with(|points, p| {
        points.push(point("BUS2", Role::NegativeBus));
        p.retain(|p| p.id != "SHUNT");
        p.push(path("MAIN", "BAT", "BUS2", PathKind::NegativeCable, 1e-4, 1e-4));
        p.push(path("SHUNT", "BUS2", "BUS", PathKind::Shunt, 1e-4, 1e-4));
    });
    assert!(failures(&apart).contains(&("shunt-bypass", "SHUNT")));
}

#[test]
fn what_hangs_on_nothing_is_found_with_the_bond_to_add() {
    let loose = with(|_, p| p.retain(|p| p.id != "SHAFT"));
    assert_eq!(failures(&loose), [("missing-bond", "SHAFT")]);
    assert_eq!((loose.missing[0].add.from.as_str(), loose.missing[0].add.to.as_str()), ("SHAFT", "BONDING"));
    // A load without a negative gets a cable to the bus, not a bond.
    let lamp = with(|_, p| p.retain(|p| p.id != "N-LAMP"));
    assert_eq!(lamp.missing[0].add.kind, PathKind::NegativeCable);
    assert_eq!(lamp.missing[0].add.to, "BUS");
    assert!(failures(&lamp).contains(&("forbidden-share", "LAMP")));
    assert_eq!(lamp.without_way, [("lamp".to_string(), "LAMP".to_string(), "BAT".to_string())]);
}

#[test]
fn with_an_insulated_return_negative_meets_metal_nowhere() {
    let (points, paths) = sound();
    let graph = GroundGraph::new(ReturnSystem::Insulated, points.clone(), paths.clone()).unwrap();
    let found = audit(&graph, &[]).unwrap();
    assert_eq!(found.cuts.iter().map(|c| c.path.as_str()).collect::<Vec<_>>(), ["BOND"]);
    let failed = failures(&found);
    assert!(
        failed.contains(&("negative-paths", "ENGINE")) && failed.contains(&("one-bond", "BAT")),
        "{failed:?}"
    );
    // The start battery on the block may not be cut: it stays a finding.
    assert!(failed.contains(&("one-bond", "START")));
    let apart: Vec<Path> = paths.into_iter().filter(|p| p.id != "BOND" && p.id != "START").collect();
    let points: Vec<Point> = points.into_iter().filter(|p| p.id != "START").collect();
    let graph = GroundGraph::new(ReturnSystem::Insulated, points, apart).unwrap();
    assert_eq!(failures(&audit(&graph, &[]).unwrap()), []);
}

#[test]
fn a_loop_of_paths_that_must_stay_is_named_and_not_cut() {
    let found = with(|_, p| p.push(path("EARTH2", "ENGINE", "EARTH", PathKind::ShoreEarth, 1e-3, 2e-3)));
    // The bonding conductor is the only path of that loop that may go; the shore earths stay.
    assert_eq!(found.cuts.iter().map(|c| c.path.as_str()).collect::<Vec<_>>(), ["BONDING"]);
    let fixed = with(|_, p| {
        p.push(path("EARTH2", "ENGINE", "EARTH", PathKind::ShoreEarth, 1e-3, 2e-3));
        p.iter_mut().find(|p| p.id == "BONDING").unwrap().may_cut = false;
    });
    assert!(fixed.cuts.is_empty());
    assert_eq!(fixed.loops[0].cut, None);
    let said =
        fixed.judgements.iter().find(|j| j.rule == "negative-paths" && j.verdict == Verdict::Fail).unwrap();
    assert!(said.to_do.contains("none of these paths may be cut"), "{}", said.to_do);
}

#[test]
fn beyond_the_ranges_that_can_be_tried_the_answer_is_a_bound_and_says_so() {
    // A ladder of 8 rungs: 22 paths with a range each.
    let mut points = vec![point("BAT", Role::BatteryNegative)];
    let mut paths = Vec::new();
    let name =
        |side: &str, i: usize| if side == "L" && i == 0 { "BAT".to_string() } else { format!("{side}{i}") };
    for i in 0..8 {
        for side in ["L", "R"] {
            if name(side, i) != "BAT" {
                points.push(point(&name(side, i), Role::LoadNegative));
            }
            if i > 0 {
                let id = format!("{side}-{i}");
                paths.push(path(
                    &id,
                    &name(side, i - 1),
                    &name(side, i),
                    PathKind::NegativeCable,
                    1e-3,
                    2e-3,
                ));
            }
        }
        paths.push(path(
            &format!("X-{i}"),
            &name("L", i),
            &name("R", i),
            PathKind::NegativeCable,
            1e-3,
            2e-3,
        ));
    }
    let graph = graph(&points, &paths);
    let through = flow("R7", "BAT", 50.0);
    let bounds = graph.carried(&through).unwrap();
    let low: Vec<Resistance> = graph.paths().iter().map(|p| p.resistance.low().unwrap()).collect();
    for (bound, i) in bounds.iter().zip(si(graph.currents(&through, &low).unwrap())) {
        assert!(!bound.exact);
        assert!(i.abs() <= bound.current.high().unwrap().si());
    }
}

#[test]
fn the_working_names_its_sources() {
    let mut working = Working::new("ground");
    let (points, mut paths) = sound();
    paths.push(path("STRAP", "BUS", "ENGINE", PathKind::Strap, 1e-3, 2e-3));
    let graph = graph(&points, &paths);
    let recorded = audit_recorded(&graph, &flows(), &mut working).unwrap();
    assert_eq!(recorded, audit(&graph, &flows()).unwrap());
    assert!(working.steps.iter().filter(|s| s.source.is_some()).count() >= 5, "{working}");
    let listed: Vec<String> = orlop::sources().into_iter().map(|c| c.id.to_string()).collect();
    for source in working.steps.iter().filter_map(|s| s.source.as_ref()) {
        assert!(listed.contains(&source.id.to_string()), "{}", source.id);
    }
}

// ---------------------------------------------------------------- bad input

#[test]
fn bad_input_is_a_named_error() {
    let made = |change: &dyn Fn(&mut Vec<Point>, &mut Vec<Path>)| {
        let (mut points, mut paths) = sound();
        change(&mut points, &mut paths);
        GroundGraph::new(ReturnSystem::OneBond, points, paths).unwrap_err().to_string()
    };
    let bond =
        |r: f64| move |_: &mut Vec<Point>, p: &mut Vec<Path>| p[5].resistance = Range::exactly(ohms(r));
    let cases: Vec<(String, &str)> = vec![
        (made(&bond(0.0)), "resistance of path BOND: got 0 ohm, expected a resistance above zero"),
        (made(&bond(-1.0)), "resistance of path BOND"),
        (made(&bond(f64::NAN)), "resistance of path BOND"),
        (made(&bond(f64::INFINITY)), "resistance of path BOND"),
        (made(&|_, p| p[5].to = "ENGIN".into()), "path BOND: got 'ENGIN', expected the id of a point"),
        (made(&|_, p| p[5].to = "BUS".into()), "path BOND: got both ends at 'BUS'"),
        (made(&|_, p| p[5].effort = f64::NAN), "effort of path BOND"),
        (made(&|_, p| p[5].effort = 0.0), "effort of path BOND"),
        (made(&|_, p| p[5].ampacity = Some(amperes(-3.0))), "ampacity of path BOND"),
        (made(&|_, p| p[9].may_cut = true), "it is a safety conductor"),
        (made(&|_, p| p[0].bypass = vec!["BMX".into()]), "path SHUNT: got 'BMX'"),
        (made(&|_, p| p[5].bypass = vec!["BMS".into()]), "bypasses on shunts only"),
        (made(&|_, p| p[5].id = "SHUNT".into()), "paths: got 'SHUNT' twice"),
        (made(&|p, _| p[1].id = "BAT".into()), "points: got 'BAT' twice"),
        (made(&|p, _| p[1].id = " ".into()), "points: got an empty id"),
        (made(&|p, _| p.retain(|p| p.role != Role::BatteryNegative)), "points: got no battery's negative"),
        (
            made(&|p, paths| {
                p.clear();
                paths.clear();
            }),
            "points: got no battery's negative",
        ),
    ];
    for (got, wanted) in cases {
        assert!(got.contains(wanted), "{got}\nlacks: {wanted}");
    }
}

#[test]
fn bad_flows_are_named_errors() {
    let (points, paths) = sound();
    let graph = graph(&points, &paths);
    for current in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(
            Flow::new("F", FlowKind::Return, "BUS", "BAT", amperes(current)),
            Err(Error::Input { .. })
        ));
        let mut slipped = flow("BUS", "BAT", 1.0);
        slipped.parts[0].current = amperes(current);
        assert!(audit(&graph, &[slipped.clone()]).is_err());
        assert!(graph.carried(&slipped).is_err());
    }
    assert!(Flow::new("F", FlowKind::Return, "BUS", "BUS", amperes(1.0)).is_err());
    assert!(audit(&graph, &[flow("BUSS", "BAT", 1.0)]).unwrap_err().to_string().contains("'BUSS'"));
    assert!(audit(&graph, &[flow("BUS", "BAT", 1.0), flow("BUS", "BAT", 2.0)]).is_err());
    let r: Vec<Resistance> = vec![ohms(1.0); graph.paths().len()];
    assert!(graph.currents(&flow("BUS", "BAT", 1.0), &r[1..]).is_err());
    let mut zero = r.clone();
    zero[3] = ohms(0.0);
    assert!(graph.currents(&flow("BUS", "BAT", 1.0), &zero).is_err());
    let mut islands = paths;
    islands.retain(|p| p.id != "N-LAMP");
    let apart = GroundGraph::new(ReturnSystem::OneBond, points, islands).unwrap();
    let error = apart.currents(&flow("LAMP", "BAT", 1.0), &r[1..]).unwrap_err();
    assert_eq!(error.code(), "no-solution");
}
