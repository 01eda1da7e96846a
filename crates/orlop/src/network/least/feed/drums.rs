//! Conductors are bought on drums: which drums, what is cut from each, and how far that may be from the least money.
//!
//! A step after the exact one. With the price of a metre on the drum that is cheapest by the metre, the exact least cost is a lower
//! bound of every purchase: no drum gives a metre for less. The sizes found so, and those with ever fewer different sizes, are then
//! cut from drums; the cheapest of these purchases is taken.

use super::{FeedSizes, FeedTree, Objective, Offer};
use crate::error::{Error, positive};
use crate::table::ColumnType::{Number, Quantity as Of, Text};
use crate::table::{Cell, Schema, Table, quantity, schema};
use orlop_units::{ConductorSize, Kind, Length, Quantity, metres, show};

/// A drum that is for sale: one conductor of one size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drum {
    /// Size of the conductor.
    pub size: ConductorSize,
    /// What is on it.
    pub length: Length,
    /// Money for the whole drum.
    pub price: f64,
}

/// A drum that is bought, and the legs that are cut from it.
#[derive(Clone, Debug, PartialEq)]
pub struct BoughtDrum {
    /// The drum.
    pub drum: Drum,
    /// Run and length of each leg, the longest first.
    pub cuts: Vec<(String, Length)>,
}

impl BoughtDrum {
    /// What is cut from it.
    #[must_use]
    pub fn used(&self) -> Length {
        metres(self.cuts.iter().map(|(_, l)| l.si()).sum())
    }
}

/// Sizes of a feed tree with the drums to buy.
#[derive(Clone, Debug)]
pub struct Purchase {
    /// The sizes.
    pub sizes: FeedSizes,
    /// The drums, by size, the fullest first.
    pub drums: Vec<BoughtDrum>,
    /// Money for the drums.
    pub cost: f64,
    /// No purchase that keeps every promise costs less.
    pub bound: f64,
}

const DRUMS: Schema = schema!("drums", "one row per drum to buy", [
    "size": Text, "conductor on it";
    "length_m": Of(Kind::Length), "what is on it";
    "cost": Number, "money for the drum";
    "used_m": Of(Kind::Length), "what is cut from it";
    "left_m": Of(Kind::Length), "what is left";
    "cuts": Text, "run and length of each leg";
]);

impl Purchase {
    /// One row for each drum.
    #[must_use]
    pub fn table(&self) -> Table {
        let mut table = Table::new(&DRUMS);
        for bought in &self.drums {
            let cuts: Vec<String> =
                bought.cuts.iter().map(|(run, l)| format!("{run} {}", show(*l))).collect();
            table.push([
                Cell::from(bought.drum.size.to_string()),
                quantity(Some(bought.drum.length)),
                bought.drum.price.into(),
                quantity(Some(bought.used())),
                quantity(Some(bought.drum.length - bought.used())),
                cuts.join(", ").into(),
            ]);
        }
        table
    }
}

impl FeedTree {
    /// The sizes and drums that cost least: every promise kept, each leg of one piece.
    ///
    /// What has no drum is not for sale; a run that has its size already buys nothing. The cost is at least [`Purchase::bound`], and the
    /// least cost lies between the two.
    ///
    /// # Errors
    /// [`Error::Input`] for no drums, or a length or price that is not above zero; [`Error::NoSolution`] when no sizes for sale keep
    /// every promise, or a leg is longer than every drum of its size.
    pub fn buy(&self, drums: &[Drum]) -> Result<Purchase, Error> {
        if drums.is_empty() {
            return Err(Error::input("drums", "none", "one drum or more"));
        }
        for drum in drums {
            positive(drum.length, &format!("drum of {}: length", drum.size))?;
            if !(drum.price.is_finite() && drum.price > 0.0) {
                let field = format!("drum of {}: price", drum.size);
                return Err(Error::input(&field, drum.price.to_string(), "a finite number above zero"));
            }
        }
        let priced = self.by_the_metre(drums);
        let free = priced.solve()?;
        let spent: f64 =
            priced.bought(&free).map(|(run, size)| by_metre(drums, size) * 2.0 * run.one_way.0.si()).sum();
        let bound = (spent - free.gap).max(0.0);
        let most = free.different_sizes().len();
        let mut best: Option<Purchase> = None;
        let mut missing: Option<Error> = None;
        for limit in std::iter::once(None).chain((1..most).map(Some)) {
            let sizes = match limit {
                None => free.clone(),
                Some(_) => match (FeedTree { at_most_sizes: limit, ..priced.clone() }).solve() {
                    Ok(sizes) => sizes,
                    Err(Error::NoSolution { .. }) => continue,
                    Err(error) => return Err(error),
                },
            };
            match priced.cut(&sizes, drums) {
                Ok(bought) => {
                    let cost: f64 = bought.iter().map(|b| b.drum.price).sum();
                    if best.as_ref().is_none_or(|b| cost < b.cost) {
                        best = Some(Purchase { sizes, drums: bought, cost, bound });
                    }
                }
                Err(error) => missing = missing.or(Some(error)),
            }
        }
        best.ok_or_else(|| missing.expect("a purchase or the reason why there is none"))
    }

    /// The same tree at least cost, a metre of each size at its cheapest.
    fn by_the_metre(&self, drums: &[Drum]) -> Self {
        let sold = |size: ConductorSize| drums.iter().any(|d| d.size == size);
        let given = |size: ConductorSize| self.runs.iter().any(|r| r.size == Some(size));
        let mut sizes: Vec<ConductorSize> = Vec::new();
        for drum in drums {
            if !sizes.contains(&drum.size) {
                sizes.push(drum.size);
            }
        }
        let offer = match &self.offer {
            Offer::Series { common, .. } => {
                let prices = sizes.iter().map(|s| (*s, by_metre(drums, *s))).collect();
                Offer::Series { common: common.clone(), prices }
            }
            Offer::Listed(list) => Offer::Listed(
                list.iter()
                    .filter(|one| sold(one.size) || given(one.size))
                    .map(|one| {
                        let price = sold(one.size).then(|| by_metre(drums, one.size));
                        super::ListedSize { price, ..one.clone() }
                    })
                    .collect(),
            ),
        };
        Self { offer, objective: Objective::Cost, ..self.clone() }
    }

    /// Runs whose conductor is bought, with their sizes.
    fn bought<'a>(
        &'a self,
        sizes: &'a FeedSizes,
    ) -> impl Iterator<Item = (&'a super::FeedRun, ConductorSize)> {
        let each = self.runs.iter().zip(&sizes.taken);
        each.filter(|(run, _)| run.size.is_none()).map(|(run, taken)| (run, taken.size))
    }

    fn cut(&self, sizes: &FeedSizes, drums: &[Drum]) -> Result<Vec<BoughtDrum>, Error> {
        let mut all = Vec::new();
        for size in sizes.different_sizes() {
            let mut legs: Vec<(String, Length)> = Vec::new();
            for (run, _) in self.bought(sizes).filter(|(_, s)| *s == size) {
                legs.extend([(run.id.clone(), run.one_way.0), (run.id.clone(), run.one_way.0)]);
            }
            if legs.is_empty() {
                continue;
            }
            legs.sort_by(|a, b| b.1.si().total_cmp(&a.1.si()).then_with(|| a.0.cmp(&b.0)));
            let own: Vec<Drum> = drums.iter().copied().filter(|d| d.size == size).collect();
            let best = own
                .iter()
                .filter_map(|main| cut_from(&legs, &own, *main))
                .min_by(|a, b| money(a).total_cmp(&money(b)).then(a.len().cmp(&b.len())));
            let Some(mut bought) = best else {
                let (run, leg) = &legs[0];
                return Err(Error::NoSolution {
                    what: format!(
                        "a leg of run {run} is {} long; no drum of {size} holds that much",
                        show(*leg)
                    ),
                    hint: "add a longer drum of that size, or leave the size out".into(),
                });
            };
            bought.sort_by(|a, b| b.used().si().total_cmp(&a.used().si()));
            all.extend(bought);
        }
        Ok(all)
    }
}

/// Money for a metre of a size at its cheapest; infinite where it is not sold.
fn by_metre(drums: &[Drum], size: ConductorSize) -> f64 {
    drums.iter().filter(|d| d.size == size).map(|d| d.price / d.length.si()).fold(f64::INFINITY, f64::min)
}

fn money(bought: &[BoughtDrum]) -> f64 {
    bought.iter().map(|b| b.drum.price).sum()
}

/// Longest leg first into the first drum with room, drums of one kind; then each drum becomes the cheapest that holds what is cut from
/// it. None when a leg is longer than every drum.
fn cut_from(legs: &[(String, Length)], drums: &[Drum], main: Drum) -> Option<Vec<BoughtDrum>> {
    let mut bins: Vec<(f64, Vec<(String, Length)>)> = Vec::new();
    for (run, leg) in legs {
        let room = |used: f64| used + leg.si() <= main.length.si() * (1.0 + 1e-12);
        match bins.iter_mut().find(|(used, _)| room(*used)) {
            Some((used, cuts)) => {
                *used += leg.si();
                cuts.push((run.clone(), *leg));
            }
            None => bins.push((leg.si(), vec![(run.clone(), *leg)])),
        }
    }
    bins.into_iter()
        .map(|(used, cuts)| {
            let holds = drums.iter().filter(|d| used <= d.length.si() * (1.0 + 1e-12));
            let drum = holds
                .min_by(|a, b| a.price.total_cmp(&b.price).then(a.length.si().total_cmp(&b.length.si())))?;
            Some(BoughtDrum { drum: *drum, cuts })
        })
        .collect()
}
