//! What a bank costs over the years: sets bought, cost per delivered kilowatt-hour, when one choice overtakes another.
//!
//! Sets are bought when the one before is worn out, at the prices of today and without interest; [`capital_recovery`] gives
//! the yearly cost of a price with interest. Energy prices of what the bank is charged with are left out: they are the same
//! for all, but for the efficiency.

use super::ageing::{Decides, StatedLife};
use crate::error::{Error, not_negative, positive};
use crate::source::{Citation, Confidence};
use crate::table::ColumnType::{Integer, Number as Plain, Text};
use crate::table::{Cell, Schema, Table, schema};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Energy, Number, Quantity, Time, show, significant};

pub(crate) static RECOVERY: Citation = Citation::fixed(
    "capital-recovery",
    "Panneerselvam, Engineering Economics",
    "",
    "chapter 3",
    "A = P i (1 + i)^n/((1 + i)^n - 1)",
    Confidence::Published,
    "one copy of the worked examples, recomputed",
);

/// A bank that may be bought. Costs are in whatever currency all of them are in.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// Its name.
    pub name: String,
    /// Cost today, with everything it needs: electronics, fuses, box, regulator.
    pub first_cost: f64,
    /// Cost of each later set: only what wears out.
    pub renewal_cost: f64,
    /// Energy it may give in one cycle.
    pub usable: Energy,
    /// What it is claimed to stand.
    pub life: StatedLife,
}

/// What a choice comes to over a horizon.
#[derive(Clone, Debug, PartialEq)]
pub struct Cost {
    /// How long one set lasts.
    pub life: Time,
    /// What ends it.
    pub decides: Decides,
    /// Cycles of its usable energy in a year.
    pub cycles_a_year: f64,
    /// Sets bought until the horizon.
    pub sets: u32,
    /// Their cost.
    pub total: f64,
    /// Cost per kilowatt-hour delivered until the horizon.
    pub per_kilowatt_hour: f64,
}

/// Two choices side by side.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// The first.
    pub one: Cost,
    /// The second.
    pub other: Cost,
    /// When the one that is dearer today is first no dearer in all; none when that is not before the horizon.
    pub break_even: Option<Time>,
    /// The verdict with its sensitivity.
    pub sentence: String,
}

/// Most sets that are counted.
const MOST_SETS: f64 = 10_000.0;
const KWH: f64 = 3.6e6;
const YEAR_S: f64 = 365.25 * 86400.0;

impl Choice {
    fn checked(&self) -> Result<(), Error> {
        not_negative(Number::of(self.first_cost), "first_cost")?;
        not_negative(Number::of(self.renewal_cost), "renewal_cost")?;
        positive(self.usable, "usable").map(|_| ())
    }

    /// Its cost over a horizon under a demand.
    ///
    /// # Errors
    /// [`Error::Input`] for a cost below zero, or a usable energy, demand or horizon not above zero.
    ///
    /// ```
    /// use orlop::cell::{ageing::StatedLife, Choice};
    /// use orlop::units::parse;
    /// let lead = Choice {
    ///     name: "lead".into(),
    ///     first_cost: 900.0,
    ///     renewal_cost: 900.0,
    ///     usable: parse("2.4 kWh", "usable")?,
    ///     life: StatedLife::new(500.0, parse("5 years", "calendar")?)?,
    /// };
    /// let cost = lead.cost(parse("480 kWh", "demand")?, parse("12 years", "horizon")?)?;
    /// assert_eq!((cost.sets, cost.total), (5, 4500.0));
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn cost(&self, demand_a_year: Energy, horizon: Time) -> Result<Cost, Error> {
        self.cost_recorded(demand_a_year, horizon, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Choice::cost`].
    pub fn cost_recorded(
        &self,
        demand_a_year: Energy,
        horizon: Time,
        rec: &mut impl Recorder,
    ) -> Result<Cost, Error> {
        self.checked()?;
        let demand = positive(demand_a_year, "demand")?;
        let years = positive(horizon, "horizon")?.si() / YEAR_S;
        let cycles_a_year = StatedLife::cycles_a_year(demand, self.usable)?;
        let (life, decides) = self.life.under_recorded(cycles_a_year, rec)?;
        let sets = sets_until(years, life.si() / YEAR_S);
        if sets > MOST_SETS {
            return Err(Error::NoSolution {
                what: format!("{} would need more than {MOST_SETS} sets", self.name),
                hint: "its usable energy is too small for the demand".into(),
            });
        }
        let total = self.first_cost + (sets - 1.0) * self.renewal_cost;
        let per = total / (demand.si() / KWH * years);
        rec.step(|| {
            Step::new(format!("sets of {}", self.name), "n", sets)
                .formula("horizon over life, rounded up")
                .input("horizon", format!("{} years", significant(years, 3)))
        });
        rec.step(|| {
            Step::new("cost per delivered kilowatt-hour", "", per)
                .formula("(first cost + (n - 1) renewal)/(demand a year x years)")
                .input("first cost", self.first_cost)
                .input("renewal", self.renewal_cost)
                .input("demand a year", demand)
        });
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        Ok(Cost { life, decides, cycles_a_year, sets: sets as u32, total, per_kilowatt_hour: per })
    }
}

const COSTS: Schema = schema!("life_cost", "one row per bank that may be bought", [
    "choice": Text, "name";
    "life_years": Plain, "how long one set lasts";
    "decides": Text, "what ends it";
    "cycles_a_year": Plain, "cycles of its usable energy";
    "sets": Integer, "sets bought until the horizon";
    "total": Plain, "their cost";
    "per_kilowatt_hour": Plain, "cost of a delivered kilowatt-hour";
]);

/// Costs of choices by name, one row each.
#[must_use]
pub fn cost_table(costs: &[(&str, &Cost)]) -> Table {
    let mut table = Table::new(&COSTS);
    for (name, cost) in costs {
        table.push([
            Cell::from(*name),
            (cost.life.si() / YEAR_S).into(),
            cost.decides.word().into(),
            cost.cycles_a_year.into(),
            Cell::Integer(cost.sets.into()),
            cost.total.into(),
            cost.per_kilowatt_hour.into(),
        ]);
    }
    table
}

/// Sets bought from now until the horizon; one that lasts just until then needs no successor.
fn sets_until(years: f64, life: f64) -> f64 {
    (years / life * (1.0 - 1e-9)).ceil().max(1.0)
}

/// Two choices under the same demand, when the dearer one is overtaken, and what that rests on.
///
/// # Errors
/// As [`Choice::cost`].
pub fn compare(
    one: &Choice,
    other: &Choice,
    demand_a_year: Energy,
    horizon: Time,
) -> Result<Comparison, Error> {
    compare_recorded(one, other, demand_a_year, horizon, &mut Silent)
}

/// The same with the steps of both costs.
///
/// # Errors
/// As [`compare`].
pub fn compare_recorded(
    one: &Choice,
    other: &Choice,
    demand_a_year: Energy,
    horizon: Time,
    rec: &mut impl Recorder,
) -> Result<Comparison, Error> {
    let a = one.cost_recorded(demand_a_year, horizon, &mut *rec)?;
    let b = other.cost_recorded(demand_a_year, horizon, rec)?;
    let (dear, cheap) =
        if one.first_cost >= other.first_cost { ((one, &a), (other, &b)) } else { ((other, &b), (one, &a)) };
    let break_even = break_even(dear, cheap, horizon);
    let (winner, loser) = if a.per_kilowatt_hour <= b.per_kilowatt_hour {
        ((one, &a), (other, &b))
    } else {
        ((other, &b), (one, &a))
    };
    let years = |t: Time| significant(t.si() / YEAR_S, 2);
    let turns = match break_even {
        Some(t) => format!("{} overtakes in year {}", dear.0.name, years(t)),
        None => format!("{} never overtakes in {} years", dear.0.name, years(horizon)),
    };
    let twice = Choice { life: dear.0.life.with_cycles_times(2.0)?, ..dear.0.clone() }
        .cost(demand_a_year, horizon)?;
    let shorter = Choice { life: dear.0.life.with_calendar_times(2.0 / 3.0)?, ..dear.0.clone() }
        .cost(demand_a_year, horizon)?;
    let against = |cost: &Cost| {
        let wins = cost.per_kilowatt_hour <= cheap.1.per_kilowatt_hour;
        let won = dear.1.per_kilowatt_hour <= cheap.1.per_kilowatt_hour;
        if cost.total == dear.1.total {
            "changes nothing".to_string()
        } else {
            let verdict = if wins == won { "keeps the order" } else { "reverses the order" };
            format!("{verdict} ({} per kWh)", significant(cost.per_kilowatt_hour, 2))
        }
    };
    let sentence = format!(
        "{} costs {} per delivered kWh against {} of {}: {}; {} ends the life of {}; doubling its cycles {}, a calendar \
         life a third shorter {}",
        winner.0.name,
        significant(winner.1.per_kilowatt_hour, 2),
        significant(loser.1.per_kilowatt_hour, 2),
        loser.0.name,
        turns,
        dear.1.decides.word().replace("the cycles", "the number of cycles"),
        dear.0.name,
        against(&twice),
        against(&shorter)
    );
    Ok(Comparison { one: a, other: b, break_even, sentence })
}

/// The first time at which the dearer choice is no dearer in all: costs only step when a set is bought.
fn break_even(dear: (&Choice, &Cost), cheap: (&Choice, &Cost), horizon: Time) -> Option<Time> {
    let spent = |(choice, cost): (&Choice, &Cost), bought: f64| {
        choice.first_cost + (bought.min(f64::from(cost.sets)) - 1.0).max(0.0) * choice.renewal_cost
    };
    if spent(dear, 1.0) <= spent(cheap, 1.0) {
        return Some(orlop_units::seconds(0.0));
    }
    // At each purchase of the cheaper one, the sets bought by then, that purchase included.
    (1..cheap.1.sets).map(|n| f64::from(n) * cheap.1.life.si()).filter(|t| *t < horizon.si()).find_map(|t| {
        let bought = |life: Time| (t / life.si() * (1.0 + 1e-9)).floor() + 1.0;
        (spent(dear, bought(dear.1.life)) <= spent(cheap, bought(cheap.1.life)))
            .then(|| orlop_units::seconds(t))
    })
}

/// Yearly cost of a price paid today, at an interest a year over a number of years.
///
/// # Errors
/// [`Error::Input`] for a price or interest below zero or a number of years not above zero.
///
/// ```
/// use orlop::cell::capital_recovery;
/// assert!((capital_recovery(1_000_000.0, 0.18, 15.0)? - 196_403.0).abs() < 1.0);
/// # Ok::<(), orlop::Error>(())
/// ```
pub fn capital_recovery(price: f64, interest: f64, years: f64) -> Result<f64, Error> {
    let price = not_negative(Number::of(price), "price")?.get();
    let i = not_negative(Number::of(interest), "interest")?.get();
    let n = positive(Number::of(years), "years")?.get();
    if i == 0.0 {
        return Ok(price / n);
    }
    // 1 - (1 + i)^-n without loss of digits for small interest.
    Ok(price * i / -(-n * i.ln_1p()).exp_m1())
}

impl std::fmt::Display for Cost {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} sets of {} each, {} in all", self.sets, show(self.life), significant(self.total, 4))
    }
}
