//! What a run may be made of: the sizes of a standard series that its rule set allows there, or those of a list.

use super::{FeedRun, FeedTree, Objective};
use crate::circuit::{CircuitQuestion, Criterion, Evaluation, evaluate_sizes};
use crate::error::{Error, not_negative, positive};
use crate::judgement::{Sense, meets};
use crate::protection::Device;
use orlop_units::{
    ConductorSize, Current, Mass, MassPerLength, Quantity, ResistancePerLength, amperes, kilograms, show,
};

/// Criteria that a size keeps or breaks by itself, whatever the other runs are made of.
const ALONE: [Criterion; 4] =
    [Criterion::Heat, Criterion::Protection, Criterion::Mechanical, Criterion::Termination];

/// The sizes to choose from.
#[derive(Clone, Debug, PartialEq)]
pub enum Offer {
    /// A standard series under a rule set.
    Series {
        /// All that the runs have in common; its current, run and budget are not read.
        common: Box<CircuitQuestion>,
        /// Money for a metre of one conductor. Empty where money does not matter; else what has no price is not for sale.
        prices: Vec<(ConductorSize, f64)>,
    },
    /// A list, taken as it is.
    Listed(Vec<ListedSize>),
}

/// A size with what is known of it, each for a metre of one conductor.
#[derive(Clone, Debug, PartialEq)]
pub struct ListedSize {
    /// Its name.
    pub size: ConductorSize,
    /// Resistance at the temperature that counts.
    pub resistance: ResistancePerLength,
    /// Mass.
    pub mass: MassPerLength,
    /// Money.
    pub price: Option<f64>,
    /// The most it may carry.
    pub ampacity: Option<Current>,
}

/// One size for one run.
#[derive(Clone, Debug)]
pub(super) struct Offered {
    pub size: ConductorSize,
    pub mass: Mass,
    pub price: Option<f64>,
    /// Volts at one ampere, both legs and the device.
    pub ohms: f64,
    /// The same by the rule set's formula, where there is one.
    pub rule: Option<f64>,
    pub device: Option<Device>,
    /// What a size that is there already does not keep.
    pub flag: Option<String>,
}

impl Offer {
    /// Whether the drop by a rule set's formula counts, too.
    pub(super) fn has_rule(&self) -> bool {
        matches!(self, Self::Series { .. })
    }

    /// Refuses what cannot be computed.
    pub(super) fn check(&self, objective: Objective) -> Result<(), Error> {
        let money = |size: &ConductorSize, price: f64| {
            if price.is_finite() && price >= 0.0 {
                return Ok(());
            }
            let field = format!("price of {size}");
            Err(Error::input(&field, price.to_string(), "a finite number of zero or more"))
        };
        let no_prices = || Error::Input {
            field: "prices".into(),
            got: "none".into(),
            expected: "money for a metre of each size that is for sale, for the least cost".into(),
            hint: "or ask for the least mass".into(),
        };
        match self {
            Self::Series { prices, .. } => {
                prices.iter().try_for_each(|(size, price)| money(size, *price))?;
                if objective == Objective::Cost && prices.is_empty() {
                    return Err(no_prices());
                }
            }
            Self::Listed(list) => {
                if list.is_empty() {
                    return Err(Error::input("sizes", "an empty list", "one size or more"));
                }
                for (at, one) in list.iter().enumerate() {
                    let size = one.size;
                    positive(one.resistance, &format!("resistance of {size}"))?;
                    not_negative(one.mass, &format!("mass of {size}"))?;
                    if let Some(price) = one.price {
                        money(&size, price)?;
                    }
                    if let Some(most) = one.ampacity {
                        positive(most, &format!("ampacity of {size}"))?;
                    }
                    if list[..at].iter().any(|other| other.size == size) {
                        return Err(Error::input("sizes", format!("{size} twice"), "each size once"));
                    }
                }
                if objective == Objective::Cost && list.iter().all(|one| one.price.is_none()) {
                    return Err(no_prices());
                }
            }
        }
        Ok(())
    }

    /// What one run may be made of, small to large.
    pub(super) fn to(&self, tree: &FeedTree, run: &FeedRun) -> Result<Vec<Offered>, Error> {
        let all = match self {
            Self::Series { common, prices } => from_series(common, prices, run)?,
            Self::Listed(list) => from_list(list, run),
        };
        if let Some(given) = run.size.filter(|_| all.is_empty()) {
            return Err(Error::input(
                &format!("{}: size", run.id),
                given.to_string(),
                "one of the sizes offered",
            ));
        }
        let every_price = match self {
            Self::Series { prices, .. } => !prices.is_empty(),
            Self::Listed(_) => tree.objective == Objective::Cost,
        };
        let for_sale = |o: &Offered| !every_price || o.price.is_some();
        let kept: Vec<Offered> = all.iter().filter(|o| for_sale(o)).cloned().collect();
        if !kept.is_empty() {
            return Ok(kept);
        }
        let current = show(run.largest_current());
        Err(Error::NoSolution {
            what: match all.first() {
                Some(_) => format!("{}: no size that would do for {current} has a price", run.id),
                None => format!("{}: {}", run.id, self.why_none(run)),
            },
            hint: "use parallel runs, raise the voltage, or offer larger sizes".into(),
        })
    }

    fn why_none(&self, run: &FeedRun) -> String {
        let current = show(run.largest_current());
        let Self::Series { common, .. } = self else {
            return format!("no size on the list may carry {current}");
        };
        let q = question(common, run);
        let all = evaluate_sizes(&q).unwrap_or_default();
        let missed: Vec<&str> =
            ALONE.into_iter().filter(|c| !all.iter().any(|e| e.keeps(&q, *c))).map(Criterion::word).collect();
        let what = if missed.is_empty() { "everything at once".into() } else { missed.join(" and ") };
        // A rule set may have no ampacity for the conductor at all.
        let why = all.iter().find_map(|e| e.ampacity.as_ref().err()).filter(|_| missed.contains(&"heat"));
        let why = why.map_or_else(String::new, |error| format!(" ({error})"));
        format!("no {} size keeps {what} at {current}{why}", q.sizes.word())
    }
}

fn question(common: &CircuitQuestion, run: &FeedRun) -> CircuitQuestion {
    CircuitQuestion {
        current: run.largest_current(),
        run: run.one_way.there_and_back(),
        budget: None,
        size: run.size,
        steady: false,
        ..common.clone()
    }
}

fn from_series(
    common: &CircuitQuestion,
    prices: &[(ConductorSize, f64)],
    run: &FeedRun,
) -> Result<Vec<Offered>, Error> {
    let q = question(common, run);
    let broken = |e: &Evaluation| ALONE.into_iter().filter(|c| !e.keeps(&q, *c)).collect::<Vec<_>>();
    let offered = |e: &Evaluation| {
        let size = e.conductor.size();
        let broken = broken(e);
        let words: Vec<&str> = broken.iter().map(|c| c.word()).collect();
        (broken.is_empty() || run.size.is_some()).then(|| Offered {
            size,
            mass: e.conductor.mass_per_length() * q.run.0,
            price: prices.iter().find(|(s, _)| *s == size).map(|(_, price)| price * q.run.0.si()),
            ohms: e.resistance(&q).si(),
            rule: Some(e.conductor.rule_drop(q.rules, amperes(1.0), q.run).si()),
            device: e.taken().cloned(),
            flag: (!words.is_empty()).then(|| {
                format!(
                    "{}: {size} as given does not keep {} at {}",
                    run.id,
                    words.join(" and "),
                    show(q.current)
                )
            }),
        })
    };
    Ok(evaluate_sizes(&q)?.iter().filter_map(offered).collect())
}

fn from_list(list: &[ListedSize], run: &FeedRun) -> Vec<Offered> {
    let current = run.largest_current();
    let length = run.one_way.there_and_back().0;
    let offered = |one: &ListedSize| {
        let carries = one.ampacity.is_none_or(|most| meets(current.si(), Sense::AtMost, most.si()));
        let wanted = run.size.map_or(carries, |given| given == one.size);
        wanted.then(|| Offered {
            size: one.size,
            mass: kilograms((one.mass * length).si()),
            price: one.price.map(|price| price * length.si()),
            ohms: (one.resistance * length).si(),
            rule: None,
            device: None,
            flag: (!carries)
                .then(|| format!("{}: {} as given may not carry {}", run.id, one.size, show(current))),
        })
    };
    list.iter().filter_map(offered).collect()
}
