//! The answer as tables and as a working.

use super::answer::FeedSizes;
use super::{NON_DOMINATED, Objective};
use crate::error::Error;
use crate::table::ColumnType::{Number, Quantity as Of, Text};
use crate::table::{Cell, Schema, Table, quantity, schema};
use crate::working::{Recorder, Step};
use orlop_units::{Kind, Quantity, Voltage, kilograms, significant, volts};

const RUNS: Schema = schema!("least_copper", "one row per run", [
    "id": Text, "name";
    "parent": Text, "the run it hangs on; empty at the source";
    "size": Text, "conductor of each leg";
    "device": Text, "device at its start, where devices were asked for";
    "one_way_m": Of(Kind::Length), "from end to end, counted once";
    "current_a": Of(Kind::Current), "largest of all scenarios";
    "scenario": Text, "the scenario in which least of the permitted drop is left; without a limit that of most drop";
    "drop_v": Of(Kind::Voltage), "from the source to its end in that scenario, physical";
    "rule_drop_v": Of(Kind::Voltage), "the same by the rule set's formula";
    "max_drop_v": Of(Kind::Voltage), "permitted there";
    "margin": Number, "room left over the permitted drop, as a share of it";
    "mass_kg": Of(Kind::Mass), "both legs, insulation included";
    "cost": Number, "both legs, in the unit of the prices";
]);

const PRICES: Schema = schema!("shadow_prices", "one row per run whose limit costs something", [
    "id": Text, "the run whose permitted drop is moved";
    "more_v": Of(Kind::Voltage), "by how much, in all scenarios";
    "saves_kg": Of(Kind::Mass), "what the whole tree then weighs less; negative where the cheaper sizes are heavier";
    "saves_cost": Number, "what the whole tree then costs less";
]);

const FRONTIER: Schema = schema!("frontier", "one row per step of least mass or cost", [
    "spare_v": Of(Kind::Voltage), "the most that may be lost before the tree; empty without a limit";
    "least_kg": Of(Kind::Mass), "no sizes weigh less, where mass should be least";
    "least_cost": Number, "no sizes cost less, where cost should be least";
]);

impl FeedSizes {
    /// Every run with its size and the drop at its end.
    #[must_use]
    pub fn table(&self) -> Table {
        let mut table = Table::new(&RUNS);
        for (s, run) in self.tree().runs.iter().enumerate() {
            let tight = self.tightest(s);
            let (drop, rule) = self.lost(s, tight);
            let own = self.offered(s);
            table.push([
                Cell::from(run.id.as_str()),
                run.parent.as_deref().map(str::to_string).into(),
                own.size.to_string().into(),
                own.device.as_ref().map(ToString::to_string).into(),
                quantity(Some(run.one_way.0)),
                quantity(Some(run.largest_current())),
                self.tree().scenarios[tight].as_str().into(),
                quantity(Some(volts(drop))),
                quantity(rule.map(volts)),
                quantity(run.permitted[tight]),
                self.margin(s, tight).into(),
                quantity(Some(own.mass)),
                own.price.into(),
            ]);
        }
        table
    }

    /// Room left over a permitted drop as a share of it: the less of physical and by formula.
    fn margin(&self, run: usize, scenario: usize) -> Option<f64> {
        let most = self.tree().runs[run].permitted[scenario]?.si();
        let (drop, rule) = self.lost(run, scenario);
        Some((most - drop.max(rule.unwrap_or(0.0))) / most)
    }

    /// The scenario with least room, or without a limit the one with most drop.
    fn tightest(&self, run: usize) -> usize {
        let scenarios = 0..self.tree().scenarios.len();
        let limited = scenarios.clone().filter_map(|c| self.margin(run, c).map(|m| (m, c)));
        limited.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))).map_or_else(
            || {
                let drop = |c: usize| self.lost(run, c).0;
                scenarios.max_by(|a, b| drop(*a).total_cmp(&drop(*b)).then(b.cmp(a))).unwrap_or(0)
            },
            |(_, c)| c,
        )
    }

    /// [`shadow_prices`](Self::shadow_prices) as a table.
    ///
    /// # Errors
    /// As there.
    pub fn shadow_prices_table(&self, more: Voltage) -> Result<Table, Error> {
        let mut table = Table::new(&PRICES);
        for price in self.shadow_prices(more)? {
            let money = (self.objective() == Objective::Cost).then_some(price.saves);
            table.push([
                Cell::from(price.segment),
                quantity(Some(price.more)),
                quantity(Some(price.saves_mass)),
                money.into(),
            ]);
        }
        Ok(table)
    }

    /// [`frontier`](Self::frontier) as a table.
    ///
    /// # Errors
    /// As there.
    pub fn frontier_table(&self, scenario: Option<&str>, most: usize) -> Result<Table, Error> {
        let mut table = Table::new(&FRONTIER);
        let money = self.objective() == Objective::Cost;
        for point in self.frontier(scenario, most)? {
            table.push([
                quantity(Some(point.spare)),
                quantity((!money).then(|| kilograms(point.cost))),
                money.then_some(point.cost).into(),
            ]);
        }
        Ok(table)
    }

    pub(super) fn record(&self, rec: &mut impl Recorder) {
        let money = self.objective() == Objective::Cost;
        let shown =
            |value: f64| if money { significant(value, 6) } else { orlop_units::show(kilograms(value)) };
        for (s, run) in self.tree().runs.iter().enumerate() {
            let tight = self.tightest(s);
            let Some(most) = run.permitted[tight] else { continue };
            let (drop, rule) = self.lost(s, tight);
            rec.step(|| {
                let step = Step::new(
                    format!("drop from the source to {} in {}", run.id, self.tree().scenarios[tight]),
                    "dU",
                    volts(drop),
                );
                let step = step.formula("sum of I R over the path").input("permitted", most);
                match rule {
                    Some(rule) => step.input("by the rule set's formula", volts(rule)),
                    None => step,
                }
            });
        }
        rec.step(|| {
            let proof = if self.gap == 0.0 {
                "nothing less keeps every promise".to_string()
            } else {
                format!("the least is at most {} below", shown(self.gap))
            };
            Step::new(if money { "least cost" } else { "least mass" }, "m", shown(self.value))
                .formula(
                    "minimise the sum of m(s, o(s)) over all runs, so that on each path in each scenario the sum of I R, currents and \
                     temperatures fixed, \
                     stays within what is permitted",
                )
                .input("runs", self.taken.len().to_string())
                .input("sizes offered in all", self.choices().to_string())
                .input("proof", proof)
                .source(&NON_DOMINATED)
        });
    }
}
