//! What is asked: segments in a tree, the choices for each, and what a path may add up to.

use super::optimum::Optimum;
use super::{few, solve};
use crate::error::{Error, not_negative, positive};
use orlop_units::{ConductorSize, Kind, Length, Mass, Quantity};
use std::marker::PhantomData;

/// Something that adds up along a path from the source: a drop in one scenario, a loop resistance.
///
/// Made by [`LeastCopper::dimension`]; it belongs to the problem that made it.
#[derive(Debug, PartialEq)]
pub struct Dimension<Q> {
    pub(super) at: usize,
    kind: PhantomData<Q>,
}

impl<Q> Clone for Dimension<Q> {
    fn clone(&self) -> Self {
        *self
    }
}
impl<Q> Copy for Dimension<Q> {}

/// What a choice takes of one dimension, or lets its path take.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Amount {
    pub dimension: usize,
    pub si: f64,
}

/// One way of making a segment: a conductor size, with the device that goes with it.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// The conductor.
    pub size: ConductorSize,
    /// Metal of the whole segment.
    pub mass: Mass,
    /// What is minimised: mass in kilograms unless said otherwise, in any unit of money.
    pub cost: f64,
    pub(super) uses: Vec<Amount>,
    pub(super) caps: Vec<Amount>,
}

impl Choice {
    /// A choice that costs its mass and takes nothing.
    #[must_use]
    pub fn new(size: ConductorSize, mass: Mass) -> Self {
        Self { size, mass, cost: mass.si(), uses: Vec::new(), caps: Vec::new() }
    }
    /// What it costs, in the unit of all other costs.
    #[must_use]
    pub fn cost(mut self, cost: f64) -> Self {
        self.cost = cost;
        self
    }
    /// What it takes of a dimension; nothing when never said.
    #[must_use]
    pub fn uses<Q: Quantity>(mut self, dimension: Dimension<Q>, amount: Q) -> Self {
        self.uses.push(Amount { dimension: dimension.at, si: amount.si() });
        self
    }
    /// The most that the path from the source to the end of this segment may take while this choice stands in it.
    #[must_use]
    pub fn within<Q: Quantity>(mut self, dimension: Dimension<Q>, most: Q) -> Self {
        self.caps.push(Amount { dimension: dimension.at, si: most.si() });
        self
    }
}

/// One stretch of the tree: all of one size.
#[derive(Clone, Debug, PartialEq)]
pub struct Segment {
    /// Its id.
    pub id: String,
    /// The segment it hangs on; none at the source.
    pub parent: Option<String>,
    /// Conductor bought for it, both legs, all runs; needed for drum prices only.
    pub length: Option<Length>,
    /// What it may be made of.
    pub choices: Vec<Choice>,
    pub(super) caps: Vec<Amount>,
}

impl Segment {
    /// A segment at the source.
    #[must_use]
    pub fn new(id: impl Into<String>) -> Self {
        Self { id: id.into(), parent: None, length: None, choices: Vec::new(), caps: Vec::new() }
    }
    /// The segment it hangs on.
    #[must_use]
    pub fn after(mut self, parent: impl Into<String>) -> Self {
        self.parent = Some(parent.into());
        self
    }
    /// One more choice.
    #[must_use]
    pub fn choice(mut self, choice: Choice) -> Self {
        self.choices.push(choice);
        self
    }
    /// More choices.
    #[must_use]
    pub fn choices(mut self, choices: impl IntoIterator<Item = Choice>) -> Self {
        self.choices.extend(choices);
        self
    }
    /// The most that the path from the source to its end may take, whatever is chosen: what its loads permit.
    #[must_use]
    pub fn within<Q: Quantity>(mut self, dimension: Dimension<Q>, most: Q) -> Self {
        self.caps.push(Amount { dimension: dimension.at, si: most.si() });
        self
    }
    /// Conductor bought for it: both legs, all runs.
    #[must_use]
    pub fn length(mut self, length: Length) -> Self {
        self.length = Some(length);
        self
    }
}

/// Name and kind of a dimension.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct DimensionName {
    pub name: String,
    pub kind: Kind,
}

/// Which size should each segment of a feed tree have, so that the whole costs least and every path keeps its limits?
///
/// ```text
/// minimise  sum of cost(s, o(s))
/// such that for each segment s with choice o and each dimension d:
///           sum of use(t, o(t), d) over the path from the source to s  <=  cap(s, o, d)
/// ```
///
/// Dimensions are volts in one scenario, volts by a rule set's formula, ohms of the loop to a far end: whatever adds up along
/// a path once currents and temperatures are fixed. Everything else that a size must keep (heat, protection, smallest
/// area) is kept by leaving choices out.
///
/// The answer is exact: costs are added as whole numbers finer than the last digit of their sum, nothing else is rounded, and
/// limits are kept as [`meets`](crate::meets) keeps them. Ties go to less metal, then to the smaller size in the segment
/// nearer the source, segments side by side in the order of their ids.
///
/// ```
/// use orlop::network::least::{Choice, LeastCopper, Segment};
/// use orlop::units::{ConductorSize::Metric, Voltage, kilograms, volts};
///
/// let mut tree = LeastCopper::new();
/// let drop = tree.dimension::<Voltage>("drop");
/// let size = |mm2: u32, kg, v| Choice::new(Metric(100 * mm2), kilograms(kg)).uses(drop, volts(v));
/// tree.add(Segment::new("feeder").choices([size(16, 1.4, 0.20), size(25, 2.2, 0.13)]));
/// tree.add(Segment::new("lamp").after("feeder").within(drop, volts(0.36)).choices([size(2, 0.2, 0.22), size(4, 0.4, 0.12)]));
/// let best = tree.solve()?;
/// assert_eq!(best.size("feeder"), Some(Metric(1600)));
/// assert_eq!(best.size("lamp"), Some(Metric(400)));
/// assert_eq!(orlop::units::show(best.mass), "1.8 kg");
/// # Ok::<(), orlop::Error>(())
/// ```
///
/// # References
/// Dynamic programming over non-dominated states: G. L. Nemhauser, Z. Ullmann, "Discrete dynamic programming and capital
/// allocation", Management Science 15 (1969) 494-505.
#[derive(Clone, Debug, Default)]
pub struct LeastCopper {
    pub(super) dimensions: Vec<DimensionName>,
    pub(super) segments: Vec<Segment>,
    pub(super) effort: Effort,
}

/// How much may be kept in memory before the answer becomes a bounded one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Effort {
    /// Most points that one node keeps. Beyond it points are left out, and [`Optimum::gap`] says by how much the answer may
    /// exceed the least cost.
    pub frontier: usize,
    /// Most combinations of the segments before a node that are listed one by one.
    pub listed: usize,
}

impl Default for Effort {
    fn default() -> Self {
        Self { frontier: 20_000, listed: 2_048 }
    }
}

impl LeastCopper {
    /// A tree without segments.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// One more thing that adds up along paths; the name is for messages.
    pub fn dimension<Q: Quantity>(&mut self, name: impl Into<String>) -> Dimension<Q> {
        self.dimensions.push(DimensionName { name: name.into(), kind: Q::KIND });
        Dimension { at: self.dimensions.len() - 1, kind: PhantomData }
    }

    /// One more segment, in any order.
    pub fn add(&mut self, segment: Segment) -> &mut Self {
        self.segments.push(segment);
        self
    }

    /// How much may be kept in memory.
    pub fn effort(&mut self, effort: Effort) -> &mut Self {
        self.effort = effort;
        self
    }

    /// The segments in the order in which they were added.
    #[must_use]
    pub fn segments(&self) -> &[Segment] {
        &self.segments
    }

    /// The cheapest sizes that keep every limit.
    ///
    /// # Errors
    /// [`Error::Input`] for an empty or cyclic tree, an unknown parent, a segment without choices, or amounts that are not
    /// finite numbers of zero or more; [`Error::NoSolution`] when no sizes keep all limits, naming the segment and the
    /// least it would need.
    pub fn solve(&self) -> Result<Optimum<'_>, Error> {
        self.check()?;
        solve::least(self)
    }

    /// The same with at most so many different sizes in the whole tree.
    ///
    /// Exact: subsets are tried from the cheapest bound upwards, each bound being the optimum over a larger subset. A
    /// segment with a single choice counts its size, too.
    ///
    /// # Errors
    /// As [`solve`](Self::solve), and [`Error::Input`] for none at all.
    pub fn at_most_sizes(&self, most: usize) -> Result<Optimum<'_>, Error> {
        self.check()?;
        few::at_most(self, most)
    }

    /// Widens one segment's limits in a dimension; below zero it narrows them.
    pub(super) fn widen(&mut self, segment: usize, dimension: usize, by: f64) {
        let segment = &mut self.segments[segment];
        let caps = segment.choices.iter_mut().flat_map(|c| &mut c.caps).chain(&mut segment.caps);
        caps.filter(|cap| cap.dimension == dimension).for_each(|cap| cap.si += by);
    }

    /// Refuses what cannot be computed; the shape of the tree is looked at where it is put in order.
    fn check(&self) -> Result<(), Error> {
        if self.segments.is_empty() {
            return Err(Error::input("segments", "none", "one segment or more"));
        }
        if self.effort.frontier < 2 {
            return Err(Error::input("frontier", self.effort.frontier.to_string(), "2 points or more"));
        }
        for segment in &self.segments {
            let id = &segment.id;
            if segment.choices.is_empty() {
                return Err(Error::Input {
                    field: format!("{id}: choices"),
                    got: "none".into(),
                    expected: "one size or more".into(),
                    hint: "no size carries its current, protects it and is large enough: look at that circuit alone"
                        .into(),
                });
            }
            if segment.choices.len() > usize::from(u16::MAX) {
                let got = segment.choices.len().to_string();
                return Err(Error::input(&format!("{id}: choices"), got, "65,535 at most"));
            }
            if let Some(length) = segment.length {
                positive(length, &format!("{id}: length"))?;
            }
            for cap in &segment.caps {
                self.check_amount(cap, true, || format!("{id}: limit"))?;
            }
            for choice in &segment.choices {
                not_negative(choice.mass, &format!("{id}, {}: mass", choice.size))?;
                if !(choice.cost.is_finite() && choice.cost >= 0.0) {
                    let field = format!("{id}, {}: cost", choice.size);
                    return Err(Error::input(
                        &field,
                        choice.cost.to_string(),
                        "a finite number of zero or more",
                    ));
                }
                for amount in &choice.uses {
                    self.check_amount(amount, false, || format!("{id}, {}", choice.size))?;
                }
                for cap in &choice.caps {
                    self.check_amount(cap, true, || format!("{id}, {}: limit", choice.size))?;
                }
            }
        }
        Ok(())
    }

    fn check_amount(&self, amount: &Amount, endless: bool, field: impl Fn() -> String) -> Result<(), Error> {
        let Some(name) = self.dimensions.get(amount.dimension) else {
            let got = format!("dimension {} of another problem", amount.dimension + 1);
            return Err(Error::input(&field(), got, "a dimension that this problem made"));
        };
        let good = amount.si >= 0.0 && (amount.si.is_finite() || endless);
        if good {
            return Ok(());
        }
        let field = format!("{} in {}", field(), name.name);
        let got = orlop_units::show_si(name.kind, amount.si);
        Err(Error::input(&field, got, format!("{} of zero or more", name.kind.with_article())))
    }
}
