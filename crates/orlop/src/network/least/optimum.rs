//! The answer: sizes, what they cost, and what a little more room would save.

use super::few;
use super::frame::{Frame, Refused};
use super::grow::grow;
use super::problem::{Amount, Dimension, LeastCopper};
use super::skyline::Side;
use super::solve::{Found, search};
use crate::error::{Error, positive};
use orlop_units::{ConductorSize, Mass, Quantity, kilograms};

/// What one segment is made of.
#[derive(Clone, Debug, PartialEq)]
pub struct Taken {
    /// Id of the segment.
    pub segment: String,
    /// Place of the choice among those of the segment.
    pub choice: usize,
    /// Its conductor.
    pub size: ConductorSize,
    /// Its metal.
    pub mass: Mass,
    /// What it costs.
    pub cost: f64,
}

/// Sizes at least cost.
#[derive(Clone, Debug)]
pub struct Optimum<'p> {
    /// One for each segment, in the order of the problem.
    pub taken: Vec<Taken>,
    /// All of them together.
    pub cost: f64,
    /// Metal of all of them together.
    pub mass: Mass,
    /// By how much the cost may at most exceed the least cost: 0 when the sizes are proven to be the cheapest.
    pub gap: f64,
    pub(super) problem: &'p LeastCopper,
    /// The most different sizes, where that was asked.
    pub(super) most: Option<usize>,
}

/// One point of the certificate: with so much lost before the tree, no sizes cost less.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FrontierPoint<Q> {
    /// The most that may be lost before the tree.
    pub spare: Q,
    /// Least cost with that.
    pub cost: f64,
}

/// What a little more room at one segment saves.
#[derive(Clone, Debug, PartialEq)]
pub struct ShadowPrice<Q> {
    /// The segment whose limit is moved.
    pub segment: String,
    /// By how much.
    pub more: Q,
    /// What the whole tree then costs less.
    pub saves: f64,
    /// What the whole tree then weighs less; negative where the cheaper sizes are heavier.
    pub saves_mass: Mass,
}

impl Optimum<'_> {
    /// The size of a segment.
    #[must_use]
    pub fn size(&self, segment: &str) -> Option<ConductorSize> {
        self.taken.iter().find(|t| t.segment == segment).map(|t| t.size)
    }

    /// The different sizes, in the order of their areas.
    #[must_use]
    pub fn different_sizes(&self) -> Vec<ConductorSize> {
        let mut sizes: Vec<ConductorSize> = self.taken.iter().map(|t| t.size).collect();
        sizes.sort_by(crate::conductor::equivalent_area_order);
        sizes.dedup();
        sizes
    }

    /// What the path from the source to the end of a segment takes of a dimension.
    #[must_use]
    pub fn used<Q: Quantity>(&self, segment: &str, dimension: Dimension<Q>) -> Option<Q> {
        let find = |id: &str| self.problem.segments.iter().position(|s| s.id == id);
        let mut total = 0.0;
        let mut next = Some(find(segment)?);
        while let Some(at) = next {
            let segment = &self.problem.segments[at];
            let uses = segment.choices[self.taken[at].choice].uses.iter();
            total += uses.filter(|a| a.dimension == dimension.at).map(|a| a.si).sum::<f64>();
            next = segment.parent.as_deref().and_then(find);
        }
        Some(Q::from_si(total))
    }

    /// The certificate: least cost against what is lost in one dimension before the tree begins.
    ///
    /// Read from the top: with no more lost than `spare`, nothing cheaper than `cost` keeps all limits. The first point is
    /// the optimum itself. Where that dimension alone limits, all points come from one pass; else each is a solution of its own,
    /// and there are at most `most`.
    ///
    /// # Errors
    /// As [`LeastCopper::solve`].
    pub fn frontier<Q: Quantity>(
        &self,
        dimension: Dimension<Q>,
        most: usize,
    ) -> Result<Vec<FrontierPoint<Q>>, Error> {
        if self.problem.dimensions.len() == 1 && self.most.is_none() {
            return self.in_one_pass(dimension);
        }
        let mut points = Vec::new();
        let mut lost = 0.0;
        let mut problem = self.problem.clone();
        while points.len() < most {
            let Some(found) = self.again(&problem)? else { break };
            let spare = self.spare(&problem, &found.choices, dimension.at);
            points.push(FrontierPoint { spare: Q::from_si(lost + spare), cost: found.cost });
            if !spare.is_finite() {
                break;
            }
            // Past what this solution bears, by more than the width of `meets`.
            let step = spare + 1e-8 * self.largest_cap(dimension.at);
            lost += step;
            for s in 0..problem.segments.len() {
                problem.widen(s, dimension.at, -step);
            }
            if problem
                .segments
                .iter()
                .any(|s| s.caps.iter().chain(s.choices.iter().flat_map(|c| &c.caps)).any(|cap| cap.si < 0.0))
            {
                break;
            }
        }
        Ok(points)
    }

    /// The same question with other limits.
    fn again(&self, problem: &LeastCopper) -> Result<Option<Found>, Error> {
        match self.most {
            None => search(problem, &|_| true),
            Some(most) => few::search(problem, most),
        }
    }

    fn largest_cap(&self, dimension: usize) -> f64 {
        let segments = self.problem.segments.iter();
        let caps = segments.flat_map(|s| s.caps.iter().chain(s.choices.iter().flat_map(|c| &c.caps)));
        caps.filter(|c| c.dimension == dimension && c.si.is_finite()).map(|c| c.si).fold(0.0, f64::max)
    }

    /// The most that may be lost before the tree with these choices.
    fn spare(&self, problem: &LeastCopper, choices: &[usize], dimension: usize) -> f64 {
        let Ok(tree) = super::frame::Tree::of(problem) else { return 0.0 };
        let mut used = vec![0.0; choices.len()];
        let mut spare = f64::INFINITY;
        for &s in &tree.order {
            let choice = &problem.segments[s].choices[choices[s]];
            let own: f64 = choice.uses.iter().filter(|a| a.dimension == dimension).map(|a| a.si).sum();
            used[s] = tree.parent[s].map_or(0.0, |up: usize| used[up]) + own;
            for cap in choice.caps.iter().chain(&problem.segments[s].caps) {
                if cap.dimension == dimension {
                    spare = spare.min((cap.si - used[s]).max(0.0));
                }
            }
        }
        spare
    }

    fn in_one_pass<Q: Quantity>(&self, dimension: Dimension<Q>) -> Result<Vec<FrontierPoint<Q>>, Error> {
        let frame = match Frame::of(self.problem, true, &|_| true) {
            Ok(frame) => frame,
            Err(Refused::Infeasible) => return Ok(Vec::new()),
            Err(Refused::Input(error)) => return Err(error),
        };
        let Some(stairs) = grow(&frame, self.problem.effort, Side::Above).stairs else {
            return Ok(Vec::new());
        };
        #[allow(clippy::cast_precision_loss)]
        let point = |step: &super::stairs::Step| FrontierPoint {
            spare: Q::from_si(match step.slack {
                super::frame::FREE => f64::INFINITY,
                slack => slack as f64 * frame.amount_units[dimension.at],
            }),
            cost: step.value.cost as f64 * frame.cost_unit,
        };
        Ok(stairs.iter().rev().filter(|s| s.slack >= 0).map(point).collect())
    }

    /// What each segment with limits in these dimensions would save if all of these limits were `more` wider, most first.
    ///
    /// Each is the difference of two optima, so it is exact, and valid for just this step: sizes come in steps, and half of it
    /// may save nothing. Segments where it saves nothing are left out.
    ///
    /// # Errors
    /// [`Error::Input`] for a step that is not above zero; else as [`LeastCopper::solve`].
    pub fn shadow_prices<Q: Quantity>(
        &self,
        dimensions: &[Dimension<Q>],
        more: Q,
    ) -> Result<Vec<ShadowPrice<Q>>, Error> {
        positive(more, "more")?;
        let mut prices = Vec::new();
        for (at, segment) in self.problem.segments.iter().enumerate() {
            let caps = segment.caps.iter().chain(segment.choices.iter().flat_map(|c| &c.caps));
            let moved = |cap: &Amount| cap.si.is_finite() && dimensions.iter().any(|d| d.at == cap.dimension);
            if !caps.clone().any(moved) {
                continue;
            }
            let mut wider = self.problem.clone();
            for dimension in dimensions {
                wider.widen(at, dimension.at, more.si());
            }
            let Some(found) = self.again(&wider)? else { continue };
            let masses = wider.segments.iter().zip(&found.choices).map(|(s, c)| s.choices[*c].mass.si());
            let saves = self.cost - found.cost;
            if saves > 1e-12 * self.cost {
                prices.push(ShadowPrice {
                    segment: segment.id.clone(),
                    more,
                    saves,
                    saves_mass: kilograms(self.mass.si() - masses.sum::<f64>()),
                });
            }
        }
        prices.sort_by(|a, b| b.saves.total_cmp(&a.saves).then_with(|| a.segment.cmp(&b.segment)));
        Ok(prices)
    }
}
