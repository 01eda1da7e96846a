//! Banks built from cells: what they are, bring into a fault, keep after a failure, and are asked for.
//!
//! | question | answer |
//! |---|---|
//! | the same cells tied both ways, with what is left after each failure | [`Tied`] |
//! | which cell goes where | [`Tied::assignment`] |
//! | what the loads ask of it, for ever and for a moment | [`Asked`] |
//! | how the capacitors of the loads fill | [`Filling`] |
//!
//! A bank that is stated without its cells has no answer here.

mod asked;
mod explain;
mod filling;

pub use asked::{Asked, Moment};
pub use explain::{capacity_recorded, explain_part, resistance_recorded};
pub use filling::Filling;

use crate::demand::Demand;
use crate::model::{Bank, Boat, Build};
use orlop::cell::StateOfCharge;
use orlop::pack::assign::{Assignment, Plan};
use orlop::pack::{ClosingWindow, Order, Pack, PackFault, Parts, Remains};
use orlop::{Error, Range};
use orlop_units::{Fraction, Quantity, Resistance};

/// The cells of a bank tied in one order.
#[derive(Clone, Debug)]
pub struct Tied {
    /// The pack.
    pub pack: Pack,
    /// It is tied so on the boat.
    pub built: bool,
    /// What it needs.
    pub parts: Parts,
    /// What it brings into a bolted fault; none when its temperatures are outside the data.
    pub fault: Option<PackFault>,
    /// What is left after each failure that it can have.
    pub after: Vec<Remains>,
    /// Which delivered cell goes where; none where none was delivered, or too few.
    pub assignment: Option<Assignment>,
}

impl Tied {
    /// How the strings share a lasting current: by the resistances measured on their cells, with links and parts. None parallel first, for
    /// one string, or where a resistance is not known.
    #[must_use]
    pub fn string_shares(&self) -> Option<Vec<Fraction>> {
        let groups = self.assignment.as_ref()?.groups();
        if self.pack.order() == Order::ParallelFirst || groups.len() < 2 {
            return None;
        }
        let middle = |r: Range<Resistance>| Some(0.5 * (r.low()?.si() + r.high()?.si()));
        let series = f64::from(self.pack.series() - 1);
        let links = if self.pack.series() > 1 { series * middle(self.pack.link())? } else { 0.0 };
        let others = links + middle(self.pack.parts())?;
        let conductance = |g: &orlop::pack::assign::Group| Some(1.0 / (g.resistance?.si() + others));
        let each = groups.iter().map(conductance).collect::<Option<Vec<f64>>>()?;
        let all: f64 = each.iter().sum();
        Some(each.into_iter().map(|g| Fraction::new(g / all)).collect())
    }
}

/// One bank built from cells.
#[derive(Clone, Debug)]
pub struct BankAnswer {
    /// Its id.
    pub bank: String,
    /// As it is tied, then the other order where that is another thing.
    pub orders: Vec<Tied>,
    /// Within which voltage its strings may close on each other; none for a single string, or where the manager is not stated.
    pub window: Option<ClosingWindow>,
    /// What the loads ask of it.
    pub asked: Asked,
    /// How the capacitors of the loads fill; none where no load states any.
    pub filling: Option<Filling>,
    /// What could not be worked out, and why.
    pub problems: Vec<String>,
}

impl BankAnswer {
    /// As it is tied on the boat.
    #[must_use]
    pub fn built(&self) -> &Tied {
        &self.orders[0]
    }
}

/// Works out every bank that is built from cells, in the order of the file.
#[must_use]
pub fn work_out(boat: &Boat, demand: &Demand) -> Vec<BankAnswer> {
    boat.banks.iter().filter_map(|bank| Some(one(boat, demand, bank, bank.build.as_ref()?))).collect()
}

fn one(boat: &Boat, demand: &Demand, bank: &Bank, build: &Build) -> BankAnswer {
    let mut problems = Vec::new();
    let mut note = |what: &str, error: &Error| {
        let problem = format!("{what}: {error}");
        if !problems.contains(&problem) {
            problems.push(problem);
        }
    };
    let mut orders = Vec::new();
    for order in Order::ALL {
        let pack = build.pack.tied(*order);
        let built = pack.order() == build.pack.order();
        // A single row of single cells is the same thing in both orders.
        if !built && pack.parallel() == 1 {
            continue;
        }
        let tied = tied(bank, build, pack, built, &mut note);
        if built { orders.insert(0, tied) } else { orders.push(tied) }
    }
    let window = build.manager.filter(|_| build.pack.managers() > 1).and_then(|manager| {
        let half = StateOfCharge::new(0.5).ok()?;
        let window = build.pack.closing_window(manager.continuous(), half, build.warmest);
        window.map_err(|e| note("closing of strings on each other", &e)).ok()
    });
    let filling = Filling::of(boat, demand, bank, build).transpose();
    let filling = filling.map_err(|e| note("pre-charge", &e)).ok().flatten();
    BankAnswer {
        bank: bank.id.clone(),
        orders,
        window,
        asked: Asked::of(boat, demand, bank),
        filling,
        problems,
    }
}

fn tied(bank: &Bank, build: &Build, pack: Pack, built: bool, note: &mut impl FnMut(&str, &Error)) -> Tied {
    let conditions = bank.conditions();
    let fault = conditions.map(|c| pack.fault_current(c)).transpose();
    let fault = fault.map_err(|e| note("fault current", &e)).ok().flatten();
    let with = conditions.filter(|_| fault.is_some());
    let after = pack.both_orders(with, None).map(|variants| {
        let same = variants.into_iter().find(|v| v.order == pack.order());
        same.map(|v| v.after).unwrap_or_default()
    });
    let after = after.map_err(|e| note("what is left after a failure", &e)).unwrap_or_default();
    let assignment = build.delivery.as_ref().and_then(|delivery| {
        let plan = plan(build, &pack).and_then(|plan| delivery.assign(&plan));
        plan.map_err(|e| note("assignment of the delivered cells", &e)).ok()
    });
    Tied { pack, built, parts: pack.parts_needed(), fault, after, assignment }
}

/// What is asked of the delivery.
fn plan(build: &Build, pack: &Pack) -> Result<Plan, Error> {
    let plan = Plan::new(pack.series() as usize, pack.parallel() as usize, pack.order())?;
    Ok(match &build.leave_out {
        Some(cells) => plan.without(cells.iter().cloned()),
        None => plan,
    })
}
