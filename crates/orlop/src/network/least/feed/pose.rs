//! The tree as a problem: one dimension for each scenario, and another for the rule set's formula.

use super::offer::Offered;
use super::{FeedTree, Objective};
use crate::error::Error;
use crate::network::least::{Choice, Dimension, LeastCopper, Segment};
use crate::working::{Recorder, Step};
use orlop_units::{Quantity, Voltage, volts};

#[derive(Clone, Debug)]
pub(super) struct Posed {
    pub problem: LeastCopper,
    pub physical: Vec<Dimension<Voltage>>,
    /// Empty where no rule set is asked.
    pub rule: Vec<Dimension<Voltage>>,
    pub offered: Vec<Vec<Offered>>,
}

impl Posed {
    pub fn of(tree: &FeedTree, rec: &mut impl Recorder) -> Result<Self, Error> {
        tree.offer.check(tree.objective)?;
        let mut problem = LeastCopper::new();
        let physical: Vec<_> =
            tree.scenarios.iter().map(|c| problem.dimension(format!("the drop in {c}"))).collect();
        let by_rule = tree.scenarios.iter().filter(|_| tree.offer.has_rule());
        let rule: Vec<_> =
            by_rule.map(|c| problem.dimension(format!("the drop by formula in {c}"))).collect();
        let mut offered = Vec::with_capacity(tree.runs.len());
        for run in &tree.runs {
            let all = tree.offer.to(tree, run)?;
            rec.step(|| {
                let names: Vec<String> = all.iter().map(|o| o.size.to_string()).collect();
                Step::new(format!("sizes offered to {}", run.id), "o", names.join(", "))
                    .formula("those that keep everything which does not depend on other runs")
                    .input("I", run.largest_current())
                    .input("one way", run.one_way.0)
            });
            let choices = all.iter().map(|o| {
                let mut choice = Choice::new(o.size, o.mass);
                if let (Objective::Cost, Some(price)) = (tree.objective, o.price) {
                    choice = choice.cost(price);
                }
                for (c, current) in run.currents.iter().enumerate().filter(|(_, i)| i.si() > 0.0) {
                    choice = choice.uses(physical[c], volts(current.si() * o.ohms));
                    if let (Some(dimension), Some(rule)) = (rule.get(c), o.rule) {
                        choice = choice.uses(*dimension, volts(current.si() * rule));
                    }
                }
                choice
            });
            let mut segment = Segment::new(&run.id).length(run.one_way.there_and_back().0).choices(choices);
            if let Some(up) = &run.parent {
                segment = segment.after(up);
            }
            for (c, permitted) in run.permitted.iter().enumerate() {
                let Some(permitted) = permitted else { continue };
                segment = segment.within(physical[c], *permitted);
                if let Some(dimension) = rule.get(c) {
                    segment = segment.within(*dimension, *permitted);
                }
            }
            problem.add(segment);
            offered.push(all);
        }
        Ok(Self { problem, physical, rule, offered })
    }
}
