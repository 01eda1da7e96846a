//! The problem in the form in which it is solved: whole numbers, parents before children, nothing that cannot matter.
//!
//! Costs and amounts are counted in steps of a power of two, so small that the largest sum has 61 binary digits: finer
//! than floating-point numbers would hold the sum, and sums no longer depend on their order.

use super::problem::{Choice, LeastCopper};
use crate::conductor::equivalent_area_order;
use crate::error::Error;
use crate::judgement::TOLERANCE;
use orlop_units::Quantity;
use std::collections::HashMap;
use std::ops::{Add, AddAssign, Sub};

/// An amount without a limit.
pub(super) const FREE: i64 = i64::MAX;
/// More than any limit; sums stay here.
pub(super) const TOO_MUCH: i64 = (1 << 62) - 1;
/// Binary digits of the largest limit and of the largest sum of costs.
const DIGITS: i32 = 61;
/// Limits of one dimension may differ by this factor, or the small ones would be kept less well than promised.
const WIDEST: f64 = 1e8;

/// Cost, and mass to break ties.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Value {
    pub cost: i64,
    pub mass: i64,
}
impl Value {
    /// No solution: above every sum, and far enough from overflow to be added to one.
    pub const NONE: Self = Self { cost: i64::MAX / 2, mass: 0 };

    pub fn is_some(self) -> bool {
        self.cost < Self::NONE.cost
    }
}
impl Add for Value {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self { cost: self.cost + other.cost, mass: self.mass + other.mass }
    }
}
impl AddAssign for Value {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}
impl Sub for Value {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self { cost: self.cost - other.cost, mass: self.mass - other.mass }
    }
}

/// One choice that may be taken. Options of a segment go from small sizes to large ones.
#[derive(Clone, Copy, Debug)]
pub(super) struct Opt {
    /// Its place in the segment's choices.
    pub choice: u16,
    pub value: Value,
    /// Where its amounts begin.
    at: usize,
}

/// The tree alone.
pub(super) struct Tree {
    /// Parents before children.
    pub order: Vec<usize>,
    pub parent: Vec<Option<usize>>,
    /// In the order of their ids.
    pub children: Vec<Vec<usize>>,
    pub roots: Vec<usize>,
}

pub(super) struct Frame {
    pub tree: Tree,
    pub dims: usize,
    pub options: Vec<Vec<Opt>>,
    uses: Vec<i64>,
    caps: Vec<i64>,
    /// For each segment and dimension: the least that segments before it take.
    before: Vec<i64>,
    /// For each segment: dimensions that limit something in it or behind it.
    pub active: Vec<Vec<usize>>,
    pub cost_unit: f64,
    pub amount_units: Vec<f64>,
}

/// Why there is no frame.
pub(super) enum Refused {
    Input(Error),
    /// No choice is left for a segment.
    Infeasible,
}

impl From<Error> for Refused {
    fn from(error: Error) -> Self {
        Self::Input(error)
    }
}

impl Tree {
    pub fn of(problem: &LeastCopper) -> Result<Self, Error> {
        let segments = &problem.segments;
        let mut index = HashMap::with_capacity(segments.len());
        for (at, segment) in segments.iter().enumerate() {
            if index.insert(segment.id.as_str(), at).is_some() {
                return Err(Error::input("segment", format!("'{}' twice", segment.id), "ids that differ"));
            }
        }
        let mut parent = Vec::with_capacity(segments.len());
        for segment in segments {
            parent.push(match &segment.parent {
                None => None,
                Some(id) => Some(*index.get(id.as_str()).ok_or_else(|| {
                    let field = format!("{}: parent", segment.id);
                    Error::input(
                        &field,
                        format!("'{id}'"),
                        "the id of another segment, or none at the source",
                    )
                })?),
            });
        }
        let mut by_id: Vec<usize> = (0..segments.len()).collect();
        by_id.sort_by(|a, b| segments[*a].id.cmp(&segments[*b].id));
        let mut children = vec![Vec::new(); segments.len()];
        let mut roots = Vec::new();
        for &at in &by_id {
            match parent[at] {
                Some(up) => children[up].push(at),
                None => roots.push(at),
            }
        }
        let mut order = roots.clone();
        let mut next = 0;
        while let Some(&at) = order.get(next) {
            order.extend(&children[at]);
            next += 1;
        }
        if order.len() < segments.len() {
            let mut reached = vec![false; segments.len()];
            order.iter().for_each(|s| reached[*s] = true);
            let stray = by_id.iter().find(|s| !reached[**s]).map_or("", |s| segments[*s].id.as_str());
            return Err(Error::input(
                &format!("{stray}: parent"),
                "a ring of segments that no source feeds",
                "a tree: from each segment a way back to the source",
            ));
        }
        Ok(Self { order, parent, children, roots })
    }
}

/// Amounts as they were given, one row for each choice that may be taken.
struct Given {
    /// For each segment the first row, and one more at the end.
    first: Vec<usize>,
    choice: Vec<u16>,
    uses: Vec<f64>,
    caps: Vec<f64>,
}

impl Given {
    fn of(problem: &LeastCopper, allowed: &dyn Fn(&Choice) -> bool) -> Self {
        let dims = problem.dimensions.len();
        let mut this = Self { first: vec![0], choice: Vec::new(), uses: Vec::new(), caps: Vec::new() };
        for segment in &problem.segments {
            let mut sorted: Vec<usize> =
                (0..segment.choices.len()).filter(|c| allowed(&segment.choices[*c])).collect();
            let size = |c: &usize| &segment.choices[*c].size;
            if !sorted.is_sorted_by(|a, b| equivalent_area_order(size(a), size(b)).is_le()) {
                sorted.sort_by(|a, b| equivalent_area_order(size(a), size(b)));
            }
            for c in sorted {
                let choice = &segment.choices[c];
                #[allow(clippy::cast_possible_truncation)]
                this.choice.push(c as u16);
                let at = this.uses.len();
                this.uses.resize(at + dims, 0.0);
                this.caps.resize(at + dims, f64::INFINITY);
                for amount in &choice.uses {
                    this.uses[at + amount.dimension] += amount.si;
                }
                for cap in choice.caps.iter().chain(&segment.caps) {
                    // As meets() keeps it: value <= limit + 1e-9 value.
                    let relaxed = cap.si / (1.0 - TOLERANCE);
                    let place = &mut this.caps[at + cap.dimension];
                    *place = place.min(relaxed);
                }
            }
            this.first.push(this.choice.len());
        }
        this
    }

    fn rows(&self, segment: usize) -> std::ops::Range<usize> {
        self.first[segment]..self.first[segment + 1]
    }

    /// Lifts limits that the largest amounts on the path cannot reach.
    fn lift_beyond_reach(&mut self, tree: &Tree, dims: usize) {
        let mut most = vec![0.0_f64; tree.order.len() * dims];
        for &s in &tree.order {
            for d in 0..dims {
                let before = tree.parent[s].map_or(0.0, |up| most[up * dims + d]);
                let mut largest = 0.0_f64;
                for row in self.rows(s) {
                    let used = self.uses[row * dims + d];
                    largest = largest.max(used);
                    let cap = &mut self.caps[row * dims + d];
                    if before + used <= *cap {
                        *cap = f64::INFINITY;
                    }
                }
                most[s * dims + d] = before + largest;
            }
        }
    }

    /// Lifts limits of a segment that another dimension keeps anyway: where every choice on the path takes at most `k`
    /// times as much of `a` as of `b`, and the limit of `a` is at least `k` times that of `b`.
    fn lift_dominated(&mut self, tree: &Tree, dims: usize) {
        let pairs = dims * dims;
        if dims < 2 || tree.order.len() * pairs > 20_000_000 {
            return;
        }
        let mut ratio = vec![0.0_f64; tree.order.len() * pairs];
        for &s in &tree.order {
            if let Some(up) = tree.parent[s] {
                ratio.copy_within(up * pairs..(up + 1) * pairs, s * pairs);
            }
            let ratio = &mut ratio[s * pairs..(s + 1) * pairs];
            for row in self.first[s]..self.first[s + 1] {
                let used = &self.uses[row * dims..(row + 1) * dims];
                for a in (0..dims).filter(|a| used[*a] > 0.0) {
                    for b in 0..dims {
                        ratio[a * dims + b] = ratio[a * dims + b].max(used[a] / used[b]);
                    }
                }
            }
            let limited =
                |caps: &[f64], d: usize| self.rows(s).any(|row| caps[row * dims + d] < f64::INFINITY);
            let mut left: Vec<usize> = (0..dims).filter(|d| limited(&self.caps, *d)).collect();
            let mut at = 0;
            while at < left.len() {
                let a = left[at];
                let kept_by = |b: usize| {
                    let k = ratio[a * dims + b];
                    k.is_finite()
                        && self.rows(s).all(|row| {
                            let (cap_a, cap_b) = (self.caps[row * dims + a], self.caps[row * dims + b]);
                            cap_a == f64::INFINITY
                                || cap_b < f64::INFINITY && k * cap_b <= cap_a * (1.0 + 4.0 * f64::EPSILON)
                        })
                };
                if left.iter().any(|b| *b != a && kept_by(*b)) {
                    for row in self.rows(s) {
                        self.caps[row * dims + a] = f64::INFINITY;
                    }
                    left.remove(at);
                } else {
                    at += 1;
                }
            }
        }
    }

    /// The step in which each dimension is counted; one that limits nothing counts in ones.
    fn steps(&self, problem: &LeastCopper) -> Result<Vec<f64>, Error> {
        let dims = problem.dimensions.len();
        let mut widest = vec![(f64::INFINITY, 0.0_f64); dims];
        for caps in self.caps.chunks_exact(dims.max(1)) {
            for (cap, (low, high)) in caps.iter().zip(&mut widest) {
                if *cap > 0.0 && *cap < f64::INFINITY {
                    *low = low.min(*cap);
                    *high = high.max(*cap);
                }
            }
        }
        let step = |((low, high), name): (&(f64, f64), &super::problem::DimensionName)| {
            if *high > low * WIDEST {
                let text = |si| orlop_units::show_si(name.kind, si);
                return Err(Error::input(
                    &name.name,
                    format!("limits from {} to {}", text(*low), text(*high)),
                    "limits of one dimension within a factor of 100,000,000",
                ));
            }
            Ok(unit_for(*high))
        };
        widest.iter().zip(&problem.dimensions).map(step).collect()
    }
}

/// The power of two in which a number this large has [`DIGITS`] binary digits.
fn unit_for(largest: f64) -> f64 {
    if largest > 0.0 { 2.0_f64.powi(exponent(largest) - DIGITS) } else { 1.0 }
}

#[allow(clippy::cast_possible_truncation)]
fn exponent(x: f64) -> i32 {
    x.log2().ceil() as i32
}

#[allow(clippy::cast_possible_truncation)]
fn counted(x: f64, unit: f64) -> i64 {
    // A cast of too large a number stops at the largest.
    ((x / unit).round() as i64).min(TOO_MUCH)
}

impl Frame {
    /// Brings a problem into this form. `whole` keeps limits that bind only when something is lost before the tree.
    pub fn of(
        problem: &LeastCopper,
        whole: bool,
        allowed: &dyn Fn(&Choice) -> bool,
    ) -> Result<Self, Refused> {
        let tree = Tree::of(problem)?;
        let dims = problem.dimensions.len();
        let mut given = Given::of(problem, allowed);
        if !whole {
            given.lift_beyond_reach(&tree, dims);
            given.lift_dominated(&tree, dims);
        }
        let amount_units = given.steps(problem)?;
        let largest = |of: &dyn Fn(&Choice) -> f64| -> f64 {
            problem.segments.iter().map(|s| s.choices.iter().map(of).fold(0.0, f64::max)).sum()
        };
        let cost_unit = unit_for(largest(&|c| c.cost));
        let mass_unit = unit_for(largest(&|c| c.mass.si()));
        let unit = |at: usize| amount_units[at % dims.max(1)];
        // Whatever is more than nothing counts as one step at least: a limit of zero lets nothing pass.
        let used = |(at, x): (usize, &f64)| counted(*x, unit(at)).max(i64::from(*x > 0.0));
        let uses = given.uses.iter().enumerate().map(used).collect();
        let cap = |(at, x): (usize, &f64)| if x.is_finite() { counted(*x, unit(at)) } else { FREE };
        let caps = given.caps.iter().enumerate().map(cap).collect();
        let options = (0..problem.segments.len())
            .map(|s| {
                let option = |row: usize| {
                    let choice = &problem.segments[s].choices[usize::from(given.choice[row])];
                    let value = Value {
                        cost: counted(choice.cost, cost_unit),
                        mass: counted(choice.mass.si(), mass_unit),
                    };
                    Opt { choice: given.choice[row], value, at: row * dims }
                };
                given.rows(s).map(option).collect()
            })
            .collect();
        let segments = problem.segments.len();
        let mut this = Self {
            tree,
            dims,
            options,
            uses,
            caps,
            before: vec![0; segments * dims],
            active: vec![Vec::new(); segments],
            cost_unit,
            amount_units,
        };
        while this.drop_impossible()? {}
        this.find_active();
        this.drop_dominated();
        Ok(this)
    }

    pub fn used(&self, option: &Opt) -> &[i64] {
        &self.uses[option.at..option.at + self.dims]
    }

    pub fn caps(&self, option: &Opt) -> &[i64] {
        &self.caps[option.at..option.at + self.dims]
    }

    /// The least that segments before it take.
    pub fn before(&self, segment: usize) -> &[i64] {
        &self.before[segment * self.dims..(segment + 1) * self.dims]
    }

    /// Drops choices that fail even beside the thriftiest others, dimension by dimension; true when some were dropped.
    fn drop_impossible(&mut self) -> Result<bool, Refused> {
        let dims = self.dims;
        // The most that may be taken before each segment.
        let mut most = vec![FREE; self.tree.order.len() * dims];
        for &s in self.tree.order.iter().rev() {
            for d in 0..dims {
                let behind = self.tree.children[s].iter().map(|c| most[c * dims + d]).min().unwrap_or(FREE);
                let room = |o: &Opt| minus(self.caps(o)[d].min(behind), self.used(o)[d]);
                most[s * dims + d] = self.options[s].iter().map(room).max().unwrap_or(-1);
            }
        }
        let mut dropped = false;
        for at in 0..self.tree.order.len() {
            let s = self.tree.order[at];
            for d in 0..dims {
                self.before[s * dims + d] = match self.tree.parent[s] {
                    None => 0,
                    Some(up) => {
                        let least = self.options[up].iter().map(|o| self.used(o)[d]).min().unwrap_or(0);
                        plus(self.before[up * dims + d], least)
                    }
                };
            }
            let mut options = std::mem::take(&mut self.options[s]);
            let had = options.len();
            options.retain(|o| {
                (0..dims).all(|d| {
                    let behind =
                        self.tree.children[s].iter().map(|c| most[c * dims + d]).min().unwrap_or(FREE);
                    plus(self.before[s * dims + d], self.used(o)[d]) <= self.caps(o)[d].min(behind)
                })
            });
            if options.is_empty() {
                return Err(Refused::Infeasible);
            }
            dropped |= options.len() < had;
            self.options[s] = options;
        }
        Ok(dropped)
    }

    fn find_active(&mut self) {
        let mut active = vec![false; self.tree.order.len() * self.dims];
        for &s in self.tree.order.iter().rev() {
            for d in 0..self.dims {
                let here = self.options[s].iter().any(|o| self.caps(o)[d] != FREE);
                let at = s * self.dims + d;
                active[at] |= here;
                if let Some(up) = self.tree.parent[s].filter(|_| active[at]) {
                    active[up * self.dims + d] = true;
                }
            }
            self.active[s] = (0..self.dims).filter(|d| active[s * self.dims + d]).collect();
        }
    }

    /// Drops choices that cost no less than another and are better in nothing that limits this segment or what hangs on it.
    fn drop_dominated(&mut self) {
        for s in 0..self.options.len() {
            let options = &self.options[s];
            let beats = |(i, a): (usize, &Opt), (j, b): (usize, &Opt)| {
                (a.value, i) < (b.value, j)
                    && self.active[s]
                        .iter()
                        .all(|d| self.used(a)[*d] <= self.used(b)[*d] && self.caps(a)[*d] >= self.caps(b)[*d])
            };
            let kept: Vec<Opt> = options
                .iter()
                .enumerate()
                .filter(|b| !options.iter().enumerate().any(|a| beats(a, *b)))
                .map(|(_, o)| *o)
                .collect();
            self.options[s] = kept;
        }
    }
}

/// What is left of an amount that may be without limit.
pub(super) fn minus(left: i64, used: i64) -> i64 {
    if left == FREE { FREE } else { left.saturating_sub(used) }
}

/// Sums stop at [`TOO_MUCH`], above every limit.
pub(super) fn plus(a: i64, b: i64) -> i64 {
    (a + b).min(TOO_MUCH)
}
