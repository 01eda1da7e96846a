//! The sizes of a whole feed tree, and what is asked of them afterwards.

use super::offer::Offered;
use super::pose::Posed;
use super::{FeedTree, Objective};
use crate::error::Error;
use crate::network::least::frame::Tree;
use crate::network::least::{FrontierPoint, Optimum, ShadowPrice, Taken};
use crate::protection::Device;
use orlop_units::{ConductorSize, Mass, Quantity, Voltage, volts};

/// A size for each run of a feed tree, at least mass or cost.
#[derive(Clone, Debug)]
pub struct FeedSizes {
    tree: FeedTree,
    posed: Posed,
    /// One for each run, in the order of the tree.
    pub taken: Vec<Taken>,
    /// Conductors of all runs.
    pub mass: Mass,
    /// What should be least: kilograms or money.
    pub value: f64,
    /// By how much `value` may at most exceed the least: 0 when it is proven to be the least.
    pub gap: f64,
    /// For each run and scenario volts lost from the source to its end: physical, and by the rule set's formula.
    lost: Vec<Vec<(f64, Option<f64>)>>,
}

impl FeedSizes {
    pub(super) fn of(tree: &FeedTree, posed: &Posed, best: &Optimum<'_>) -> Self {
        let mut this = Self {
            tree: tree.clone(),
            posed: posed.clone(),
            taken: best.taken.clone(),
            mass: best.mass,
            value: best.cost,
            gap: best.gap,
            lost: Vec::new(),
        };
        this.lost = this.losses();
        this
    }

    fn losses(&self) -> Vec<Vec<(f64, Option<f64>)>> {
        let scenarios = self.tree.scenarios.len();
        let mut lost = vec![vec![(0.0, None); scenarios]; self.tree.runs.len()];
        // A solved problem is a tree.
        let Ok(tree) = Tree::of(&self.posed.problem) else { return lost };
        for &s in &tree.order {
            let own = self.offered(s);
            for (c, current) in self.tree.runs[s].currents.iter().enumerate() {
                let before = tree.parent[s].map_or((0.0, Some(0.0)), |up| lost[up][c]);
                let current = current.si();
                let rule = own.rule.zip(before.1).map(|(rule, before)| before + current * rule);
                lost[s][c] = (before.0 + current * own.ohms, rule);
            }
        }
        lost
    }

    /// What a run is made of.
    pub(super) fn offered(&self, run: usize) -> &Offered {
        &self.posed.offered[run][self.taken[run].choice]
    }

    /// How many sizes a run could choose from.
    pub(super) fn choices(&self) -> usize {
        self.posed.offered.iter().map(Vec::len).sum()
    }

    pub(super) fn lost(&self, run: usize, scenario: usize) -> (f64, Option<f64>) {
        self.lost[run][scenario]
    }

    /// The question.
    #[must_use]
    pub fn tree(&self) -> &FeedTree {
        &self.tree
    }

    /// The size of a run.
    #[must_use]
    pub fn size(&self, run: &str) -> Option<ConductorSize> {
        self.taken.iter().find(|t| t.segment == run).map(|t| t.size)
    }

    /// The different sizes, in the order of their areas.
    #[must_use]
    pub fn different_sizes(&self) -> Vec<ConductorSize> {
        self.optimum().different_sizes()
    }

    /// The device of a run, where devices were asked for.
    #[must_use]
    pub fn device(&self, run: usize) -> Option<&Device> {
        self.offered(run).device.as_ref()
    }

    /// Money for all conductors, where every one taken has a price.
    #[must_use]
    pub fn price(&self) -> Option<f64> {
        (0..self.taken.len()).map(|s| self.offered(s).price).sum()
    }

    /// What a reader must know: sizes that are there already and would not be chosen.
    #[must_use]
    pub fn flags(&self) -> Vec<String> {
        (0..self.taken.len()).filter_map(|s| self.offered(s).flag.clone()).collect()
    }

    /// Volts lost from the source to the end of a run: of one scenario, or the most of all.
    ///
    /// # Errors
    /// [`Error::Input`] for a run or scenario that there is not.
    pub fn drop(&self, run: &str, scenario: Option<&str>) -> Result<Voltage, Error> {
        let Some(at) = self.tree.runs.iter().position(|r| r.id == run) else {
            let ids: Vec<&str> = self.tree.runs.iter().take(20).map(|r| r.id.as_str()).collect();
            return Err(Error::input("run", format!("'{run}'"), format!("one of {}", ids.join(", "))));
        };
        let most = || self.lost[at].iter().map(|(volts, _)| *volts).fold(0.0, f64::max);
        Ok(volts(match scenario {
            Some(name) => self.lost[at][self.scenario(name)?].0,
            None => most(),
        }))
    }

    fn scenario(&self, name: &str) -> Result<usize, Error> {
        let scenarios = &self.tree.scenarios;
        scenarios.iter().position(|c| c == name).ok_or_else(|| {
            Error::input("scenario", format!("'{name}'"), format!("one of {}", scenarios.join(", ")))
        })
    }

    fn optimum(&self) -> Optimum<'_> {
        Optimum {
            taken: self.taken.clone(),
            cost: self.value,
            mass: self.mass,
            gap: self.gap,
            problem: &self.posed.problem,
            most: self.tree.at_most_sizes,
        }
    }

    /// What each run with a permitted drop would save if it were permitted so many volts more, in all scenarios; most first.
    ///
    /// Each is the difference of two optima: exact, and valid for this step alone.
    ///
    /// # Errors
    /// [`Error::Input`] for a step that is not above zero.
    pub fn shadow_prices(&self, more: Voltage) -> Result<Vec<ShadowPrice<Voltage>>, Error> {
        let all: Vec<_> = self.posed.physical.iter().chain(&self.posed.rule).copied().collect();
        self.optimum().shadow_prices(&all, more)
    }

    /// The certificate: least mass or cost against volts that are lost before the tree begins, in one scenario.
    ///
    /// With no more lost than `spare`, nothing cheaper keeps every promise; the first point is the optimum itself.
    ///
    /// # Errors
    /// [`Error::Input`] for a scenario that there is not, or no points at all.
    pub fn frontier(
        &self,
        scenario: Option<&str>,
        most: usize,
    ) -> Result<Vec<FrontierPoint<Voltage>>, Error> {
        if most == 0 {
            return Err(Error::input("most", "0", "1 point or more"));
        }
        let at = scenario.map_or(Ok(0), |name| self.scenario(name))?;
        let mut points = self.optimum().frontier(self.posed.physical[at], most)?;
        points.truncate(most);
        Ok(points)
    }

    /// Whether kilograms or money should be least.
    #[must_use]
    pub fn objective(&self) -> Objective {
        self.tree.objective
    }
}
