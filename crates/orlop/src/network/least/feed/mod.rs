//! Least copper in a surveyor's words: runs with their currents and permitted drops, and the sizes to choose from.

mod answer;
mod drums;
mod offer;
mod pose;
mod report;

pub use answer::FeedSizes;
pub use drums::{BoughtDrum, Drum, Purchase};
pub use offer::{ListedSize, Offer};

use crate::choice::choice;
use crate::error::{Error, not_negative, positive};
use crate::source::{Citation, Confidence};
use crate::working::{Recorder, Silent};
use orlop_units::{ConductorSize, Current, OneWay, Quantity, Voltage, amperes, show};
use std::collections::HashMap;

/// Source of the method.
pub(crate) static NON_DOMINATED: Citation = Citation::fixed(
    "nemhauser-ullmann-1969",
    "G. L. Nemhauser, Z. Ullmann, Discrete dynamic programming and capital allocation, Management Science 15",
    "1969",
    "pages 494 to 505",
    "dynamic programming that keeps only states which no other state betters",
    Confidence::Memory,
    "recalled; every answer of the tests is compared with exhaustive search or an integer programme",
);

choice! {
    /// What should be least.
    Objective {
        /// Mass of the conductors, insulation included.
        Mass = "mass",
        /// Money for the conductors.
        Cost = "cost",
    }
}

/// One run of conductor: both legs, all of one size.
#[derive(Clone, Debug, PartialEq)]
pub struct FeedRun {
    /// Its id.
    pub id: String,
    /// The run it hangs on; none at the source.
    pub parent: Option<String>,
    /// From end to end, counted once.
    pub one_way: OneWay,
    /// Current through it, one for each scenario.
    pub currents: Vec<Current>,
    /// Drop permitted from the source to its end, one for each scenario; none where nothing is promised there.
    pub permitted: Vec<Option<Voltage>>,
    /// A size that it has already.
    pub size: Option<ConductorSize>,
}

/// A feed tree to be sized as a whole.
#[derive(Clone, Debug, PartialEq)]
pub struct FeedTree {
    /// Names of the scenarios; at least one.
    pub scenarios: Vec<String>,
    /// Runs in any order.
    pub runs: Vec<FeedRun>,
    /// What they may be made of.
    pub offer: Offer,
    /// What should be least.
    pub objective: Objective,
    /// The most different sizes to be bought, where that matters.
    pub at_most_sizes: Option<usize>,
}

impl FeedTree {
    /// Takes the currents as those drawn at the end of each run, and makes them those that flow through it: its own and
    /// those of all that hangs on it.
    ///
    /// Runs whose parent is unknown, or that feed themselves, are left for [`solve`](Self::solve) to refuse.
    ///
    /// # Errors
    /// [`Error::Input`] for a current below zero, not finite, or two runs of one id.
    pub fn with_loads_summed(mut self) -> Result<Self, Error> {
        self.check_currents()?;
        let mut index: HashMap<&str, usize> = HashMap::with_capacity(self.runs.len());
        for (at, run) in self.runs.iter().enumerate() {
            if index.insert(&run.id, at).is_some() {
                return Err(Error::input("id", format!("'{}' twice", run.id), "ids that differ"));
            }
        }
        let up: Vec<Option<usize>> =
            self.runs.iter().map(|run| run.parent.as_deref().and_then(|p| index.get(p).copied())).collect();
        let own: Vec<Vec<Current>> = self.runs.iter().map(|run| run.currents.clone()).collect();
        for (at, drawn) in own.iter().enumerate() {
            let mut next = up[at];
            // No way to the source is longer than there are runs.
            for _ in 0..self.runs.len() {
                let Some(above) = next else { break };
                for (sum, more) in self.runs[above].currents.iter_mut().zip(drawn) {
                    *sum = amperes(sum.si() + more.si());
                }
                next = up[above];
            }
        }
        Ok(self)
    }

    fn check_currents(&self) -> Result<(), Error> {
        for run in &self.runs {
            for (scenario, current) in self.scenarios.iter().zip(&run.currents) {
                not_negative(*current, &format!("{}: current in {scenario}", run.id))?;
            }
        }
        Ok(())
    }

    /// Which size should each run have, so that the whole weighs or costs least and every load gets its volts?
    ///
    /// ```text
    /// minimise  sum of m(s, o(s))
    /// such that sum of I(t, c) R(t, o(t)) over the path from the source to s  <=  permitted(s, c)
    ///           for each run s and scenario c, physically and by the rule set's formula
    /// ```
    ///
    /// `m` mass or cost of both legs, `I` current, `R` resistance of both legs (device included where one is asked for) at the
    /// temperature that the largest current brings about, `o(s)` the size of run s. A size is offered to a run when it keeps
    /// everything that does not depend on others: ampacity, heat balance, device, smallest area.
    ///
    /// Exact for currents that are fixed: give a load of constant power what it draws at the lowest service voltage. Past
    /// what memory permits, [`FeedSizes::gap`] says by how much the answer may exceed the least.
    ///
    /// # Errors
    /// [`Error::Input`] for what cannot be computed; [`Error::NoSolution`] naming the run when no sizes keep everything.
    ///
    /// ```
    /// use orlop::network::least::{FeedRun, FeedTree, ListedSize, Objective, Offer};
    /// use orlop::units::{ConductorSize::Metric, OneWay, ResistancePerLength, amperes, kilograms_per_metre, metres, volts};
    ///
    /// let size = |mm2: u32| ListedSize {
    ///     size: Metric(100 * mm2),
    ///     resistance: ResistancePerLength::ohms_per_metre(0.0178 / f64::from(mm2)),
    ///     mass: kilograms_per_metre(0.0089 * f64::from(mm2)),
    ///     price: None,
    ///     ampacity: None,
    /// };
    /// let run = |id: &str, parent: Option<&str>, m, a, most: Option<f64>| FeedRun {
    ///     id: id.into(),
    ///     parent: parent.map(Into::into),
    ///     one_way: OneWay(metres(m)),
    ///     currents: vec![amperes(a)],
    ///     permitted: vec![most.map(volts)],
    ///     size: None,
    /// };
    /// let tree = FeedTree {
    ///     scenarios: vec!["all on".into()],
    ///     runs: vec![run("feeder", None, 4.0, 30.0, None), run("lamp", Some("feeder"), 3.0, 5.0, Some(0.36))],
    ///     offer: Offer::Listed([2, 4, 10, 16, 25].map(size).to_vec()),
    ///     objective: Objective::Mass,
    ///     at_most_sizes: None,
    /// };
    /// let best = tree.solve()?;
    /// assert_eq!(best.size("feeder"), Some(Metric(1600)));
    /// assert_eq!(best.size("lamp"), Some(Metric(1000)));
    /// assert_eq!(orlop::units::show(best.mass), "1.67 kg");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn solve(&self) -> Result<FeedSizes, Error> {
        self.solve_recorded(&mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`solve`](Self::solve).
    pub fn solve_recorded(&self, rec: &mut impl Recorder) -> Result<FeedSizes, Error> {
        self.check()?;
        let posed = pose::Posed::of(self, rec)?;
        let problem = &posed.problem;
        let best = match self.at_most_sizes {
            None => problem.solve(),
            Some(most) => problem.at_most_sizes(most),
        }?;
        let answer = FeedSizes::of(self, &posed, &best);
        answer.record(rec);
        Ok(answer)
    }

    fn check(&self) -> Result<(), Error> {
        if self.runs.is_empty() {
            return Err(Error::input("tree", "no rows", "one run or more"));
        }
        if self.scenarios.is_empty() {
            return Err(Error::input("tree", "no scenario", "the currents of one scenario or more"));
        }
        self.check_currents()?;
        for run in &self.runs {
            let id = &run.id;
            if id.is_empty() {
                return Err(Error::input("id", "an empty name", "a name for each run"));
            }
            positive(run.one_way.0, &format!("{id}: one_way"))?;
            if run.currents.len() != self.scenarios.len() || run.permitted.len() != self.scenarios.len() {
                let got = format!("{} and {}", run.currents.len(), run.permitted.len());
                let expected =
                    format!("{} currents and permitted drops, one for each scenario", self.scenarios.len());
                return Err(Error::input(id, got, expected));
            }
            for permitted in run.permitted.iter().flatten() {
                positive(*permitted, &format!("{id}: permitted drop"))?;
            }
            if run.largest_current().si() <= 0.0 {
                let field = format!("{id}: current");
                let got = format!("{} in every scenario", show(amperes(0.0)));
                return Err(Error::input(&field, got, "a current above zero in one scenario or more"));
            }
        }
        if self.runs.iter().all(|run| run.permitted.iter().all(Option::is_none)) {
            return Err(Error::Input {
                field: "max_drop".into(),
                got: "none for any run".into(),
                expected: "a permitted drop for one run or more".into(),
                hint: "without one each run is a question of its own: ask size_circuit".into(),
            });
        }
        Ok(())
    }
}

impl FeedRun {
    /// The current that heats it.
    #[must_use]
    pub fn largest_current(&self) -> Current {
        amperes(self.currents.iter().map(|i| i.si()).fold(0.0, f64::max))
    }
}
