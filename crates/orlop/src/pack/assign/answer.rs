//! Which cell goes where, what that holds, and what it gains.

use super::delivery::Delivery;
use super::flags::Flag;
use super::improve::Groups;
use super::plan::Plan;
use super::solve::{solve, value};
use super::tie::Known;
use crate::error::Error;
use crate::pack::Order;
use crate::source::{Citation, Confidence};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Charge, Fraction, Quantity, Resistance, Voltage, ampere_hours, ohms, volts};

pub(crate) static DEALING: Citation = Citation::fixed(
    "graham-1969",
    "Graham, Bounds on multiprocessing timing anomalies, SIAM J. Appl. Math. 17:416",
    "1969",
    "",
    "largest first, each to the smallest group",
    Confidence::Memory,
    "recalled",
);
pub(crate) static HALVES: Citation = Citation::fixed(
    "horowitz-sahni-1974",
    "Horowitz and Sahni, Computing partitions with applications to the knapsack problem, J. ACM 21:277",
    "1974",
    "",
    "sums of two halves, joined",
    Confidence::Memory,
    "recalled",
);

/// Cells that are tied together first: a parallel group, or a string.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// Serials, in the order of falling capacity.
    pub cells: Vec<String>,
    /// What the group holds: the sum of its cells side by side, the smallest of its cells in a row.
    pub capacity: Charge,
    /// Its resistance, where that of every cell is known.
    pub resistance: Option<Resistance>,
    /// What each cell carries of the current of its group, side by side, links left out; all of it in a row.
    pub shares: Vec<Fraction>,
    /// Mean fall of the rest voltage over the days of the test, where it is known of every cell.
    pub self_discharge: Option<Voltage>,
}

/// Which cell goes where. Made by [`Delivery::assign`].
#[derive(Clone, Debug, PartialEq)]
pub struct Assignment {
    pub(super) delivery: Delivery,
    pub(super) plan: Plan,
    pub(super) groups: Groups,
    pub(super) spares: Vec<usize>,
    pub(super) rejected: Vec<usize>,
    capacity: i64,
    bound: i64,
}

impl Delivery {
    /// The assignment that holds most.
    ///
    /// Parallel-first the bank holds as much as its smallest group, series-first as the smallest cells of its strings together.
    /// What is left out, and which cells share a group, is chosen for that; where several choices hold the same, groups
    /// are made alike in resistance and then in self-discharge. Capacities are compared to the millionth of an ampere-hour.
    ///
    /// Proved best for series-first and for pairs of any number, and for larger groups of up to 32 cells (contrived sizes can
    /// exhaust the search: [`Assignment::proved`] says so); beyond that [`Assignment::bound`] says how much more any assignment
    /// could hold.
    ///
    /// # Errors
    /// [`Error::Input`] for too few cells or a cell to leave out that is not there.
    ///
    /// ```
    /// use orlop::{pack::{Order, assign::{Delivered, Delivery, Plan}}, units::{ampere_hours, show}};
    /// let cells = [8.0, 7.0, 6.0, 5.0, 4.0, 4.0].into_iter().enumerate();
    /// let cells = cells.map(|(i, ah)| Delivered::new(&format!("C{i}"), ampere_hours(ah))).collect::<Result<_, _>>()?;
    /// let best = Delivery::new(cells)?.assign(&Plan::new(2, 3, Order::ParallelFirst)?)?;
    /// assert_eq!(show(best.capacity()), "17 Ah");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn assign(&self, plan: &Plan) -> Result<Assignment, Error> {
        self.assign_recorded(plan, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Delivery::assign`].
    pub fn assign_recorded(&self, plan: &Plan, rec: &mut impl Recorder) -> Result<Assignment, Error> {
        let rejected = self.rejected(plan)?;
        let capacity: Vec<i64> = self.cells().iter().map(super::Delivered::millionths).collect();
        let resistance = |i: usize| self.cells()[i].sharing_resistance().unwrap_or(f64::INFINITY);
        let leak = |i: usize| self.cells()[i].self_discharge().map_or(f64::INFINITY, Quantity::si);
        let mut ranked: Vec<usize> = (0..capacity.len()).filter(|i| !rejected.contains(i)).collect();
        ranked.sort_by(|&a, &b| {
            capacity[b]
                .cmp(&capacity[a])
                .then(resistance(a).total_cmp(&resistance(b)))
                .then(leak(a).total_cmp(&leak(b)))
                .then(a.cmp(&b))
        });
        if ranked.len() < plan.cells() {
            return Err(Error::Input {
                field: "cells".into(),
                got: format!(
                    "{} cells{}",
                    ranked.len(),
                    if rejected.is_empty() {
                        String::new()
                    } else {
                        format!(" beside {} left out", rejected.len())
                    }
                ),
                expected: format!("at least {} for {} x {}", plan.cells(), plan.series(), plan.parallel()),
                hint: "take fewer in series or parallel, or leave out fewer".into(),
            });
        }
        let (groups, size) = plan.shape();
        let solved = solve(plan.order(), &capacity, &ranked, groups, size);
        let known = Known {
            order: plan.order(),
            capacity: &capacity,
            resistance: self.every(&ranked, super::Delivered::sharing_resistance),
            self_discharge: self.every(&ranked, |c| c.self_discharge().map(Quantity::si)),
        };
        let (mut groups, mut spares) = (solved.groups, ranked.split_off(plan.cells()));
        known.settle(&mut groups, &mut spares);
        let rank = |g: &Vec<usize>| -> (i64, usize) {
            (-value(plan.order(), &capacity, &vec![g.clone()]), g.iter().copied().min().unwrap_or(0))
        };
        groups.iter_mut().for_each(|g| g.sort_by_key(|c| (-capacity[*c], *c)));
        groups.sort_by_key(rank);
        let reached = value(plan.order(), &capacity, &groups);
        debug_assert!(reached >= solved.value);
        let assignment = Assignment {
            delivery: self.clone(),
            plan: plan.clone(),
            groups,
            spares,
            rejected,
            capacity: reached,
            bound: solved.bound.max(reached),
        };
        assignment.tell(rec);
        Ok(assignment)
    }

    /// A value of every cell, by its place in the delivery; nothing where one of those in question lacks it.
    fn every(&self, of: &[usize], value: impl Fn(&super::Delivered) -> Option<f64>) -> Vec<f64> {
        if of.iter().any(|i| value(&self.cells()[*i]).is_none()) {
            return Vec::new();
        }
        self.cells().iter().map(|c| value(c).unwrap_or(0.0)).collect()
    }

    fn rejected(&self, plan: &Plan) -> Result<Vec<usize>, Error> {
        let places = |ids: &[String]| {
            let mut all = ids.iter().map(|id| self.place(id, "without")).collect::<Result<Vec<_>, _>>()?;
            all.sort_unstable();
            all.dedup();
            Ok(all)
        };
        match plan.left_out() {
            Some(ids) => places(ids),
            None => {
                let spare = self.cells().len().saturating_sub(plan.cells());
                let mut worst = self.rejects();
                worst.truncate(spare);
                places(&worst)
            }
        }
    }
}

fn charge(millionths: i64) -> Charge {
    ampere_hours(millionths as f64 / 1e6)
}

impl Assignment {
    fn tell(&self, rec: &mut impl Recorder) {
        let or_none = |names: Vec<String>| if names.is_empty() { "none".into() } else { names.join(", ") };
        rec.step(|| {
            let how = match self.plan.left_out() {
                Some(_) => "as said",
                None => "flags that advise to reject, the worst first, as far as there are spares",
            };
            Step::new("cells left out beforehand", "", or_none(self.rejected()))
                .formula(how)
                .source(&super::MODIFIED_Z)
        });
        rec.step(|| {
            Step::new("good cells left over", "", or_none(self.spares()))
                .formula("the smallest: a larger cell in the place of a smaller one never holds less")
        });
        let (groups, size) = self.plan.shape();
        rec.step(|| {
            let (what, formula) = match self.plan.order() {
                Order::SeriesFirst => {
                    ("sum of the smallest cell of each string", "largest cells together, cut off in order")
                }
                Order::ParallelFirst if size == 2 => ("smallest pair", "largest with smallest"),
                Order::ParallelFirst => (
                    "smallest group",
                    "dealt by falling capacity, then a few groups at a time split anew by exact search",
                ),
            };
            Step::new(what, "Q", self.capacity())
                .formula(formula)
                .input("groups", groups as f64)
                .input("cells in each", size as f64)
                .source(&DEALING)
        });
        rec.step(|| {
            let how = if self.proved() {
                "nothing holds more: proved"
            } else {
                "the mean group, rounded down to a sum that can occur"
            };
            Step::new("what nothing can exceed", "Qmax", self.bound()).formula(how).source(&HALVES)
        });
        rec.step(|| {
            Step::new("gain over the order of delivery", "g", self.gain())
                .formula("Q/Q0 - 1")
                .input("Q0", self.delivery_order())
        });
    }

    pub(super) fn millionths(&self) -> Vec<i64> {
        self.delivery.cells().iter().map(super::Delivered::millionths).collect()
    }

    /// The delivery it was made from.
    #[must_use]
    pub fn delivery(&self) -> &Delivery {
        &self.delivery
    }
    /// What was asked.
    #[must_use]
    pub fn plan(&self) -> &Plan {
        &self.plan
    }

    /// What the bank holds.
    #[must_use]
    pub fn capacity(&self) -> Charge {
        charge(self.capacity)
    }

    /// What no assignment of these cells can exceed.
    #[must_use]
    pub fn bound(&self) -> Charge {
        charge(self.bound)
    }

    /// Whether nothing holds more.
    #[must_use]
    pub fn proved(&self) -> bool {
        self.bound == self.capacity
    }

    /// Groups or strings, the one that holds most first.
    #[must_use]
    pub fn groups(&self) -> Vec<Group> {
        self.groups.iter().map(|g| self.group(g)).collect()
    }

    fn group(&self, places: &[usize]) -> Group {
        let cells = || places.iter().map(|c| &self.delivery.cells()[*c]);
        let resistances: Option<Vec<f64>> = cells().map(super::Delivered::sharing_resistance).collect();
        let conductance = |r: &[f64]| r.iter().map(|r| 1.0 / r).sum::<f64>();
        let one = Fraction::new(1.0);
        let (resistance, shares) = match (self.plan.order(), &resistances) {
            (Order::SeriesFirst, r) => (r.as_ref().map(|r| r.iter().sum()), vec![one; places.len()]),
            (Order::ParallelFirst, Some(r)) => {
                let whole = conductance(r);
                (Some(1.0 / whole), r.iter().map(|r| Fraction::new(1.0 / r / whole)).collect())
            }
            (Order::ParallelFirst, None) => (None, Vec::new()),
        };
        let leaks: Option<Vec<f64>> = cells().map(|c| c.self_discharge().map(Quantity::si)).collect();
        Group {
            cells: cells().map(|c| c.id().to_string()).collect(),
            capacity: charge(value(self.plan.order(), &self.millionths(), &vec![places.to_vec()])),
            resistance: resistance.map(ohms),
            shares,
            self_discharge: leaks.map(|l| volts(l.iter().sum::<f64>() / l.len() as f64)),
        }
    }

    /// Serials that are good but not needed, the largest first.
    #[must_use]
    pub fn spares(&self) -> Vec<String> {
        let capacity = self.millionths();
        let mut spares = self.spares.clone();
        spares.sort_by_key(|c| (-capacity[*c], *c));
        self.names(&spares)
    }

    /// Serials that were left out beforehand: by the caller, or because their flags advise it.
    #[must_use]
    pub fn rejected(&self) -> Vec<String> {
        self.names(&self.rejected)
    }

    fn names(&self, places: &[usize]) -> Vec<String> {
        places.iter().map(|c| self.delivery.cells()[*c].id().to_string()).collect()
    }

    /// Flags of cells that are in use.
    #[must_use]
    pub fn flags_in_use(&self) -> Vec<Flag> {
        let used: Vec<String> = self.groups.iter().flat_map(|g| self.names(g)).collect();
        self.delivery.flags().into_iter().filter(|f| used.contains(&f.cell)).collect()
    }

    /// What the bank would hold if the first cells were built in as they came, group after group.
    #[must_use]
    pub fn delivery_order(&self) -> Charge {
        charge(self.as_delivered())
    }

    pub(super) fn as_delivered(&self) -> i64 {
        value(self.plan.order(), &self.millionths(), &self.delivered_groups())
    }

    pub(super) fn delivered_groups(&self) -> Groups {
        let (_, size) = self.plan.shape();
        let places: Vec<usize> = (0..self.plan.cells()).collect();
        places.chunks(size).map(<[usize]>::to_vec).collect()
    }

    /// How much more it holds than in the order of delivery, as a share of that.
    ///
    /// It can be negative only where cells were left out on purpose.
    #[must_use]
    pub fn gain(&self) -> Fraction {
        Fraction::new(self.capacity as f64 / self.as_delivered() as f64 - 1.0)
    }
}
