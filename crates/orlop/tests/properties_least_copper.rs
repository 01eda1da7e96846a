//! What must hold for any feed tree: the optimum is that of trying everything, and moves the right way.

use orlop::network::least::{Choice, Effort, LeastCopper, Optimum, Segment};
use orlop::{Error, Sense, meets};
use orlop_units::{ConductorSize, Quantity, Voltage, kilograms, volts};
use proptest::prelude::*;

/// Cost, mass, uses, caps.
type PlainChoice = (f64, f64, Vec<f64>, Vec<f64>);

/// A tree as plain numbers: what the tests try everything on.
#[derive(Clone, Debug)]
struct Plain {
    /// Parent of each segment, always an earlier one.
    parent: Vec<Option<usize>>,
    /// For each segment what it may be made of.
    choices: Vec<Vec<PlainChoice>>,
    dims: usize,
}

impl Plain {
    fn problem(&self) -> LeastCopper {
        self.permuted(&(0..self.parent.len()).collect::<Vec<_>>())
    }

    /// Segments added in another order.
    fn permuted(&self, order: &[usize]) -> LeastCopper {
        let mut problem = LeastCopper::new();
        let dims: Vec<_> =
            (0..self.dims).map(|d| problem.dimension::<Voltage>(format!("drop {d}"))).collect();
        for &s in order {
            let mut segment = Segment::new(name(s));
            if let Some(up) = self.parent[s] {
                segment = segment.after(name(up));
            }
            for (c, (cost, mass, uses, caps)) in self.choices[s].iter().enumerate() {
                let mut choice = Choice::new(size(c), kilograms(*mass)).cost(*cost);
                for d in 0..self.dims {
                    choice = choice.uses(dims[d], volts(uses[d]));
                    if caps[d].is_finite() {
                        choice = choice.within(dims[d], volts(caps[d]));
                    }
                }
                segment = segment.choice(choice);
            }
            problem.add(segment);
        }
        problem
    }

    /// Cost and mass of one choice for each segment; none when a limit is passed.
    fn value(&self, chosen: &[usize]) -> Option<(f64, f64)> {
        let mut taken: Vec<Vec<f64>> = Vec::new();
        let (mut cost, mut mass) = (0.0, 0.0);
        for (s, &c) in chosen.iter().enumerate() {
            let (own_cost, own_mass, uses, caps) = &self.choices[s][c];
            let before = |d: usize| self.parent[s].map_or(0.0, |up| taken[up][d]);
            let after: Vec<f64> = (0..self.dims).map(|d| before(d) + uses[d]).collect();
            if !(0..self.dims).all(|d| meets(after[d], Sense::AtMost, caps[d])) {
                return None;
            }
            taken.push(after);
            cost += own_cost;
            mass += own_mass;
        }
        Some((cost, mass))
    }

    /// The least cost, and the least mass at that cost, by trying everything that `allowed` lets through.
    fn by_trying(&self, allowed: &dyn Fn(&[usize]) -> bool) -> Option<(f64, f64)> {
        let mut chosen = vec![0; self.parent.len()];
        let mut best: Option<(f64, f64)> = None;
        loop {
            if allowed(&chosen)
                && let Some(value) = self.value(&chosen)
            {
                let better = |b: &(f64, f64)| {
                    value.0 < b.0 - 1e-12 || (value.0 <= b.0 + 1e-12 && value.1 < b.1 - 1e-12)
                };
                if best.as_ref().is_none_or(better) {
                    best = Some(value);
                }
            }
            let Some(next) = (0..chosen.len()).find(|s| chosen[*s] + 1 < self.choices[*s].len()) else {
                return best;
            };
            chosen[..next].fill(0);
            chosen[next] += 1;
        }
    }

    fn chosen(&self, optimum: &Optimum) -> Vec<usize> {
        (0..self.parent.len())
            .map(|s| optimum.taken.iter().find(|t| t.segment == name(s)).unwrap().choice)
            .collect()
    }
}

fn name(s: usize) -> String {
    format!("s{s}")
}

/// The n-th size, small to large.
fn size(n: usize) -> ConductorSize {
    let hundredths = [75, 100, 150, 250, 400, 600, 1000, 1600, 2500, 3500, 5000, 7000, 9500, 12000];
    ConductorSize::Metric(hundredths[n])
}

/// Amounts on a coarse grid, so that ties and exact fits are common, or anywhere.
fn amount(high: f64) -> BoxedStrategy<f64> {
    prop_oneof![(0..=8_u8).prop_map(move |n| high * f64::from(n) / 8.0), 0.0..high].boxed()
}

fn trees(most: usize, dims: usize) -> impl Strategy<Value = Plain> {
    let cap = prop_oneof![2 => Just(f64::INFINITY), 3 => amount(3.0)];
    let choice = (
        prop_oneof![(0..=6_u8).prop_map(f64::from), 0.0..6.0],
        amount(4.0),
        prop::collection::vec(amount(1.0), dims),
        prop::collection::vec(cap, dims),
    );
    let segment = (prop::collection::vec(choice, 1..=3), any::<prop::sample::Index>(), 0..5_u8);
    prop::collection::vec(segment, 1..=most).prop_map(move |segments| {
        let parent =
            |s: usize, index: &prop::sample::Index, root: u8| (s > 0 && root > 0).then(|| index.index(s));
        Plain {
            parent: segments.iter().enumerate().map(|(s, (_, i, root))| parent(s, i, *root)).collect(),
            choices: segments.into_iter().map(|(choices, _, _)| choices).collect(),
            dims,
        }
    })
}

fn any_tree(most: usize) -> impl Strategy<Value = Plain> {
    prop_oneof![trees(most, 1), trees(most, 2), trees(most, 4)]
}

/// Physical trees: larger sizes cost more and take less; loads at the leaves permit something.
fn feeds(most: usize, dims: usize) -> impl Strategy<Value = Plain> {
    let segment = (
        0.5..10.0_f64,
        prop::collection::vec(prop_oneof![1 => Just(0.0), 3 => 0.5..30.0_f64], dims),
        any::<prop::sample::Index>(),
        0.2..1.5_f64,
    );
    prop::collection::vec(segment, 1..=most).prop_map(move |segments| {
        let count = segments.len();
        let parent: Vec<Option<usize>> =
            segments.iter().enumerate().map(|(s, (_, _, i, _))| (s > 0).then(|| i.index(s))).collect();
        let leaf = |s: usize| !parent.contains(&Some(s));
        let choices = (0..count)
            .map(|s| {
                let (metres, amperes, _, permitted) = &segments[s];
                (0..3)
                    .map(|c| {
                        let area = [2.5, 6.0, 16.0][c];
                        let uses = amperes.iter().map(|i| i * metres * 2.0 * 0.0175 / area).collect();
                        let caps = amperes
                            .iter()
                            .map(|i| if leaf(s) && *i > 0.0 { *permitted } else { f64::INFINITY })
                            .collect();
                        let mass = area * metres * 2.0 * 0.0089;
                        (mass, mass, uses, caps)
                    })
                    .collect()
            })
            .collect();
        Plain { parent, choices, dims }
    })
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * (1.0 + a.abs().max(b.abs()))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn the_optimum_is_that_of_trying_everything(plain in any_tree(8)) {
        let problem = plain.problem();
        match (plain.by_trying(&|_| true), problem.solve()) {
            (Some((cost, mass)), Ok(best)) => {
                prop_assert!(close(best.cost, cost), "{} instead of {cost}", best.cost);
                prop_assert!(close(best.mass.si(), mass), "at {cost}: {} instead of {mass} kg", best.mass.si());
                prop_assert_eq!(best.gap, 0.0);
                let value = plain.value(&plain.chosen(&best));
                prop_assert!(value.is_some_and(|v| close(v.0, cost)), "the sizes do not keep the limits");
            }
            (None, Err(Error::NoSolution { .. })) => {}
            (tried, found) => prop_assert!(false, "tried {tried:?}, found {found:?}"),
        }
    }

    #[test]
    fn it_is_the_same_without_lists_and_with_lists_alone(plain in prop_oneof![trees(8, 2), trees(8, 4), feeds(8, 3)]) {
        let mut points = plain.problem();
        points.effort(Effort { listed: 0, ..Effort::default() });
        let mut lists = plain.problem();
        lists.effort(Effort { listed: usize::MAX, ..Effort::default() });
        match (points.solve(), lists.solve()) {
            (Ok(a), Ok(b)) => prop_assert!(close(a.cost, b.cost) && close(a.mass.si(), b.mass.si())),
            (Err(a), Err(b)) => prop_assert_eq!(a, b),
            (a, b) => prop_assert!(false, "{a:?} and {b:?}"),
        }
    }

    #[test]
    fn a_feed_tree_is_solved_as_by_trying_everything(plain in prop_oneof![feeds(8, 1), feeds(8, 2), feeds(8, 4)]) {
        let problem = plain.problem();
        match (plain.by_trying(&|_| true), problem.solve()) {
            (Some((cost, _)), Ok(best)) => prop_assert!(close(best.cost, cost), "{} instead of {cost}", best.cost),
            (None, Err(Error::NoSolution { what, .. })) => {
                // The message names one of the segments that have a limit.
                let named = what.split(':').next().unwrap_or_default().to_string();
                prop_assert!((0..plain.parent.len()).any(|s| name(s) == named), "{what}");
            }
            (tried, found) => prop_assert!(false, "tried {tried:?}, found {found:?}"),
        }
    }

    #[test]
    fn one_more_size_never_makes_it_worse(plain in any_tree(8), at in any::<prop::sample::Index>()) {
        let mut fewer = plain.clone();
        let at = at.index(plain.parent.len());
        if fewer.choices[at].len() == 1 {
            return Ok(());
        }
        fewer.choices[at].pop();
        if let Ok(fewer) = fewer.problem().solve() {
            prop_assert!(plain.problem().solve().unwrap().cost <= fewer.cost + 1e-9);
        }
    }

    #[test]
    fn the_order_of_segments_changes_nothing(plain in any_tree(8), keys in prop::collection::vec(any::<u32>(), 8)) {
        let mut order: Vec<usize> = (0..plain.parent.len()).collect();
        order.sort_by_key(|s| keys[*s]);
        let (problem, shuffled) = (plain.problem(), plain.permuted(&order));
        match (problem.solve(), shuffled.solve()) {
            (Ok(a), Ok(b)) => {
                prop_assert!(close(a.cost, b.cost));
                prop_assert_eq!(plain.chosen(&a), plain.chosen(&b));
            }
            (Err(_), Err(_)) => {}
            (a, b) => prop_assert!(false, "{a:?} and {b:?}"),
        }
    }

    #[test]
    fn wider_limits_never_cost_more(plain in any_tree(8), by in 1.0..2.0f64) {
        let mut wider = plain.clone();
        let caps = wider.choices.iter_mut().flatten().flat_map(|c| &mut c.3);
        caps.for_each(|cap| *cap *= by);
        if let Ok(tight) = plain.problem().solve() {
            prop_assert!(wider.problem().solve().unwrap().cost <= tight.cost + 1e-9);
        }
    }

    #[test]
    fn a_tiny_frontier_gives_a_true_bound(plain in prop_oneof![feeds(8, 1), feeds(8, 2), feeds(8, 4)], frontier in 2..6_usize) {
        let problem = plain.problem();
        let mut hurried = plain.problem();
        hurried.effort(Effort { frontier, listed: 0 });
        if let (Ok(exact), Ok(rough)) = (problem.solve(), hurried.solve()) {
            prop_assert!(rough.cost >= exact.cost - 1e-9);
            prop_assert!(rough.cost - rough.gap <= exact.cost + 1e-9, "{} less {} is above {}", rough.cost, rough.gap, exact.cost);
            prop_assert!(plain.value(&plain.chosen(&rough)).is_some());
        }
    }

    #[test]
    fn few_sizes_are_as_by_trying_everything(plain in any_tree(6), most in 1..4_usize) {
        let different = |chosen: &[usize]| {
            let mut sizes = chosen.to_vec();
            sizes.sort_unstable();
            sizes.dedup();
            sizes.len()
        };
        match (plain.by_trying(&|chosen| different(chosen) <= most), plain.problem().at_most_sizes(most)) {
            (Some((cost, _)), Ok(best)) => {
                prop_assert!(close(best.cost, cost), "{} instead of {cost}", best.cost);
                prop_assert!(best.different_sizes().len() <= most);
            }
            (None, Err(Error::NoSolution { .. })) => {}
            (tried, found) => prop_assert!(false, "tried {tried:?}, found {found:?}"),
        }
        if let Ok(free) = plain.problem().solve() {
            prop_assert!(close(plain.problem().at_most_sizes(3).unwrap().cost, free.cost));
        }
    }

    #[test]
    fn the_certificate_holds(plain in prop_oneof![feeds(6, 1), feeds(6, 2)]) {
        let mut problem = plain.problem();
        let Ok(best) = problem.solve() else { return Ok(()) };
        let drop = LeastCopper::new().dimension::<Voltage>("drop 0");
        let frontier = best.frontier(drop, 20).unwrap();
        prop_assert!(close(frontier[0].cost, best.cost));
        for pair in frontier.windows(2) {
            prop_assert!(pair[0].spare < pair[1].spare && pair[0].cost < pair[1].cost + 1e-12);
        }
        // A stretch before the tree that loses a little less than a point bears costs just as much, a little more costs more.
        for (at, point) in frontier.iter().enumerate().filter(|(_, p)| p.spare.si().is_finite()) {
            let with_loss = |lost: f64| {
                let mut longer = plain.clone();
                longer.parent.iter_mut().for_each(|p| *p = Some(p.map_or(0, |p| p + 1)));
                longer.parent.insert(0, None);
                let mut uses = vec![0.0; plain.dims];
                uses[0] = lost;
                longer.choices.insert(0, vec![(0.0, 0.0, uses, vec![f64::INFINITY; plain.dims])]);
                longer.problem().solve().map(|o| o.cost)
            };
            let width = 1e-6;
            prop_assert!(close(with_loss((point.spare.si() - width).max(0.0)).unwrap(), point.cost));
            match (with_loss(point.spare.si() + width), frontier.get(at + 1)) {
                (Ok(cost), Some(next)) => prop_assert!(close(cost, next.cost) || next.spare.si() - point.spare.si() < 2.0 * width),
                (Ok(_), None) => prop_assert!(frontier.len() == 20),
                (Err(_), next) => prop_assert!(next.is_none()),
            }
        }
        problem.effort(Effort::default());
    }

    #[test]
    fn shadow_prices_are_differences_of_optima(plain in prop_oneof![feeds(6, 1), feeds(6, 2)], more in 0.01..0.5f64) {
        let problem = plain.problem();
        let Ok(best) = problem.solve() else { return Ok(()) };
        let drop = LeastCopper::new().dimension::<Voltage>("drop 0");
        let prices = best.shadow_prices(&[drop], volts(more)).unwrap();
        for s in 0..plain.parent.len() {
            let mut wider = plain.clone();
            wider.choices[s].iter_mut().for_each(|c| c.3[0] += more);
            let saved = best.cost - wider.by_trying(&|_| true).unwrap().0;
            let said = prices.iter().find(|p| p.segment == name(s)).map_or(0.0, |p| p.saves);
            prop_assert!(close(saved, said), "{}: {said} instead of {saved}", name(s));
        }
        prop_assert!(prices.windows(2).all(|p| p[0].saves >= p[1].saves));
    }

    #[test]
    fn shadow_prices_and_certificate_keep_the_number_of_sizes(plain in feeds(6, 1), most in 1..3_usize, more in 0.01..0.5f64) {
        let problem = plain.problem();
        let Ok(best) = problem.at_most_sizes(most) else { return Ok(()) };
        let few = |chosen: &[usize]| (0..9).filter(|size| chosen.contains(size)).count() <= most;
        let drop = LeastCopper::new().dimension::<Voltage>("drop 0");
        let prices = best.shadow_prices(&[drop], volts(more)).unwrap();
        for s in 0..plain.parent.len() {
            let mut wider = plain.clone();
            wider.choices[s].iter_mut().for_each(|c| c.3[0] += more);
            let saved = best.cost - wider.by_trying(&few).unwrap().0;
            let said = prices.iter().find(|p| p.segment == name(s)).map_or(0.0, |p| p.saves);
            prop_assert!(close(saved, said), "{}: {said} instead of {saved}", name(s));
        }
        for point in best.frontier(drop, 20).unwrap().iter().filter(|p| p.spare.si().is_finite()) {
            let mut tighter = plain.clone();
            let lost = (point.spare.si() - 1e-6).max(0.0);
            tighter.choices.iter_mut().flatten().for_each(|c| c.3[0] -= lost);
            prop_assert!(close(tighter.by_trying(&few).unwrap().0, point.cost));
        }
    }

    #[test]
    fn numbers_that_cannot_be_meant_are_refused(
        plain in any_tree(5), at in any::<prop::sample::Index>(), which in 0..5_u8,
        bad in prop_oneof![Just(f64::NAN), Just(f64::NEG_INFINITY), Just(-1.0), Just(-1e-300)],
    ) {
        let mut spoilt = plain.clone();
        let at = at.index(plain.parent.len());
        let choice = &mut spoilt.choices[at][0];
        match which {
            0 => choice.0 = bad,
            1 => choice.1 = bad,
            2 => choice.2[0] = bad,
            3 => choice.2[0] = f64::INFINITY,
            // The tests' own trees leave a limit that is not finite out.
            _ => choice.3[0] = if bad.is_finite() { bad } else { -0.5 },
        }
        let refused = matches!(spoilt.problem().solve(), Err(Error::Input { .. }));
        prop_assert!(refused);
    }
}

fn one(id: &str, v: f64) -> (LeastCopper, Segment) {
    let mut problem = LeastCopper::new();
    let drop = problem.dimension::<Voltage>("drop");
    let choice = Choice::new(size(3), kilograms(1.0)).uses(drop, volts(v));
    (problem, Segment::new(id).choice(choice).within(drop, volts(0.36)))
}

#[test]
fn an_impossible_load_is_named_with_what_it_would_need() {
    let (mut problem, segment) = one("bow", 0.5);
    problem.add(segment);
    let error = problem.solve().unwrap_err().to_string();
    assert_eq!(
        error,
        "no solution: bow: drop is at least 0.5 V on its path, with the least of every choice; 0.36 V is permitted, so it lacks 0.14 V; permit more there, shorten the run, raise the voltage, use parallel runs, or offer larger sizes"
    );
}

#[test]
fn limits_that_only_clash_together_are_named_too() {
    // The feeder keeps one of two limits with either size, and each load needs another one.
    let mut problem = LeastCopper::new();
    let (a, b) = (problem.dimension::<Voltage>("day"), problem.dimension::<Voltage>("night"));
    let choice =
        |n: usize, x: f64, y: f64| Choice::new(size(n), kilograms(1.0)).uses(a, volts(x)).uses(b, volts(y));
    problem.add(Segment::new("feeder").choices([choice(3, 0.1, 0.4), choice(4, 0.4, 0.1)]));
    problem.add(Segment::new("lamp").after("feeder").choice(choice(3, 0.1, 0.1)).within(a, volts(0.3)));
    problem.add(Segment::new("pump").after("feeder").choice(choice(3, 0.1, 0.1)).within(b, volts(0.3)));
    let error = problem.solve().unwrap_err().to_string();
    assert!(
        error.starts_with("no solution: pump: each of its limits can be kept, but not all at once"),
        "{error}"
    );
    assert!(error.contains("66.7 % wider"), "0.5 V where 0.3 V are permitted: {error}");
}

#[test]
fn trees_that_are_none_are_refused() {
    let refused = |problem: &LeastCopper, words: &str| match problem.solve() {
        Err(error @ Error::Input { .. }) => assert!(error.to_string().contains(words), "{error}"),
        other => panic!("{words}: {other:?}"),
    };
    refused(&LeastCopper::new(), "one segment or more");

    let (mut problem, segment) = one("bow", 0.1);
    problem.add(segment.clone().after("stern"));
    refused(&problem, "'stern'");

    let (mut problem, segment) = one("bow", 0.1);
    problem.add(segment.clone()).add(segment.clone());
    refused(&problem, "twice");

    let (mut problem, segment) = one("bow", 0.1);
    problem.add(segment.clone().after("bow"));
    refused(&problem, "ring");

    let (mut problem, segment) = one("bow", 0.1);
    let mut other = segment.clone().after("bow");
    other.id = "stern".into();
    problem.add(segment.after("stern")).add(other);
    refused(&problem, "ring");

    let (mut problem, _) = one("bow", 0.1);
    problem.add(Segment::new("bow"));
    refused(&problem, "bow: choices");

    let (mut problem, segment) = one("bow", 0.1);
    problem.add(segment).effort(Effort { frontier: 1, listed: 10 });
    refused(&problem, "2 points or more");

    // A dimension of another problem.
    let mut other = LeastCopper::new();
    let (mut problem, segment) = one("bow", 0.1);
    other.dimension::<Voltage>("x");
    let foreign = other.dimension::<Voltage>("y");
    problem.add(segment.within(foreign, volts(1.0)));
    refused(&problem, "another problem");

    let (mut problem, segment) = one("bow", 0.1);
    problem.add(segment);
    assert!(matches!(problem.at_most_sizes(0), Err(Error::Input { .. })));
    let drop = LeastCopper::new().dimension::<Voltage>("drop");
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(
            problem.solve().unwrap().shadow_prices(&[drop], volts(bad)),
            Err(Error::Input { .. })
        ));
    }
}

#[test]
fn sizes_without_another_choice_count_among_the_few() {
    let mut problem = LeastCopper::new();
    for (n, id) in ["a", "b", "c"].iter().enumerate() {
        problem.add(Segment::new(*id).choice(Choice::new(size(n), kilograms(1.0))));
    }
    let error = problem.at_most_sizes(2).unwrap_err().to_string();
    assert!(error.contains("0.75 mm2, 1 mm2, 1.5 mm2 have no other choice"), "{error}");
    assert_eq!(problem.at_most_sizes(3).unwrap().mass.si(), 3.0);
}

#[test]
fn a_long_chain_and_a_wide_star_are_solved() {
    // 3,000 segments in a row and 3,000 side by side; without limits every segment takes its cheapest.
    for chain in [true, false] {
        let mut problem = LeastCopper::new();
        let drop = problem.dimension::<Voltage>("drop");
        for s in 0..3000_usize {
            let mut segment = Segment::new(format!("s{s:04}"));
            if s > 0 {
                segment = segment.after(if chain { format!("s{:04}", s - 1) } else { "s0000".into() });
            }
            let choice = |n: usize| {
                Choice::new(size(n), kilograms(1.0 + n as f64))
                    .uses(drop, volts(if n == 0 { 2.0 } else { 1.0 }))
            };
            problem.add(
                segment.choices([choice(0), choice(1)]).within(drop, volts(if chain { 4000.0 } else { 3.0 })),
            );
        }
        let best = problem.solve().unwrap();
        // 1,000 of the chain may take the small size; the star's first does, and no other can.
        let expected = if chain { 3000.0 + 2000.0 } else { 3000.0 + 2999.0_f64.min(1.0) };
        assert!(close(best.cost, expected), "{} instead of {expected}", best.cost);
        assert_eq!(best.gap, 0.0);
    }
}

/// Amounts far beyond the largest limit, where nothing behind has a limit that holds any more.
#[test]
fn what_is_beyond_every_limit_is_not_counted_back_from() {
    let free = f64::INFINITY;
    let choice = |cost: f64, uses: [f64; 2], caps: [f64; 2]| (cost, 0.0, uses.to_vec(), caps.to_vec());
    let plain = Plain {
        parent: vec![None, Some(0), Some(1), Some(2)],
        choices: vec![
            vec![choice(0.0, [0.0, 0.125], [free; 2])],
            vec![choice(3.0, [0.25, 0.0], [free; 2]), choice(0.0, [0.0, 0.866], [free; 2])],
            vec![choice(0.0, [0.0, 0.0914], [free; 2]), choice(0.0, [1.0, 0.125], [1.125, free])],
            vec![choice(0.0, [0.0; 2], [free; 2]), choice(0.0, [0.0; 2], [free, 0.437])],
        ],
        dims: 2,
    };
    for listed in [0, 1, usize::MAX] {
        let mut problem = plain.problem();
        problem.effort(Effort { listed, ..Effort::default() });
        assert_eq!(problem.solve().unwrap().cost, 0.0, "{listed}");
    }
}
