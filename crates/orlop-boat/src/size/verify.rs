//! The promises again, on the network of the whole boat.
//!
//! Sizing asks of each circuit what no size can change: it begins with the fault current of the whole bank at every device, and with
//! currents at the source's lowest voltage. The network then tells the fault current through each device, and the drop with every
//! load at the voltage it really gets. Where that is more than was promised, sizing is done again with it; and where a device would
//! let the one before it open, another family is tried first. What devices must break never falls, what a path may drop never
//! rises, and a family is changed once, so this ends; then it is done once more from what the sizes so found really ask.

use super::envelope::Envelope;
use super::least::Candidates;
use super::saving;
use super::settle::{Settled, settle_among};
use crate::demand::Demand;
use crate::design::{Copper, Method, Origin, Told};
use crate::model::Boat;
use crate::network::{LowCases, device_faults, selectivity};
use crate::route::Routes;
use orlop::protection::{Device, coordinate_shared, fitting};
use orlop::{Error, Sense, meets};
use orlop_units::{Current, Quantity};

/// More passes than any boat needs.
const MOST_PASSES: u32 = 20;
/// So often the budget of one path is lowered.
const MOST_TRIES: u32 = 4;

/// Sizes that keep their promises on the network.
pub(super) struct Verified {
    pub told: Told,
    pub settled: Settled,
    pub low: LowCases,
    pub copper: Copper,
}

/// Sizes by both methods, of which one is taken.
///
/// # Errors
/// [`Error::Input`] for a circuit that cannot even be judged.
pub(super) fn both(
    envelope: &Envelope,
    boat: &Boat,
    routes: &Routes,
    demand: &Demand,
    method: Method,
    done: &mut dyn FnMut(&'static str),
) -> Result<Verified, Error> {
    let ask = Ask { boat, routes, demand };
    let mut first = envelope.clone();
    let rough = settle_among(&first, None)?;
    first.breaks = ask.breaks(&first, &rough)?;
    done("rough sizes and their fault currents");
    let (split_envelope, split, split_low) = ask.verified(first.clone(), Method::Split)?;
    done("drops shared out, verified on the network");
    let (least_envelope, least, least_low) = ask.verified(first, Method::LeastCopper)?;
    done("least copper, verified on the network");
    let copper = saving::of((&split_envelope, &split), (&least_envelope, &least));
    Ok(match method {
        Method::Split => Verified { told: split_envelope.told(), settled: split, low: split_low, copper },
        Method::LeastCopper => {
            Verified { told: least_envelope.told(), settled: least, low: least_low, copper }
        }
    })
}

struct Ask<'a> {
    boat: &'a Boat,
    routes: &'a Routes,
    demand: &'a Demand,
}

impl Ask<'_> {
    /// Highest fault current through each device, with the sizes at hand.
    fn breaks(&self, envelope: &Envelope, settled: &Settled) -> Result<Vec<Option<Current>>, Error> {
        let faults = device_faults(self.boat, self.routes, self.demand, &settled.circuits(envelope))?;
        Ok(faults.into_iter().map(|f| f.through.high()).collect())
    }

    /// Twice: from the envelope as it is, then from what the network of the sizes so found tells. The rough sizes that the first
    /// begins with may ask for more than the last ones do; the lighter answer is taken, of two alike the second.
    fn verified<'e>(
        &self,
        envelope: Envelope<'e>,
        method: Method,
    ) -> Result<(Envelope<'e>, Settled, LowCases), Error> {
        let asked: Vec<f64> = envelope.loads.iter().map(|l| l.permitted).collect();
        let mut candidates: Option<Candidates> = None;
        let mut swapped = vec![false; envelope.segments.len()];
        let first = self.rounds(envelope, method, &asked, &mut candidates, &mut swapped)?;
        let mut eased = first.0.clone();
        eased.breaks = self.breaks(&first.0, &first.1)?;
        eased.loads.iter_mut().zip(&asked).for_each(|(path, asked)| path.permitted = *asked);
        if eased.told() == first.0.told() {
            return Ok(first);
        }
        let second = self.rounds(eased, method, &asked, &mut candidates, &mut swapped)?;
        let lighter = meets(second.1.mass(&second.0), Sense::AtMost, first.1.mass(&first.0));
        Ok(if lighter { second } else { first })
    }

    fn rounds<'e>(
        &self,
        mut envelope: Envelope<'e>,
        method: Method,
        asked: &[f64],
        candidates: &mut Option<Candidates>,
        swapped: &mut [bool],
    ) -> Result<(Envelope<'e>, Settled, LowCases), Error> {
        let mut tries = vec![0; asked.len()];
        let mut pass = 1;
        loop {
            if method == Method::LeastCopper {
                *candidates = Some(Candidates::again(&envelope, candidates.as_ref())?);
            }
            let settled = settle_among(&envelope, candidates.as_ref())?;
            let low = LowCases::of(self.boat, self.routes, self.demand, &settled.circuits(&envelope))?;
            let found = self.breaks(&envelope, &settled)?;
            let more = raise(&mut envelope.breaks, &found);
            let less = tighten(&mut envelope, &settled, &low, asked, &mut tries, self.boat);
            let again = more || less;
            let again = again || self.prefer_selective(&mut envelope, &settled, swapped)?;
            if !again || pass >= MOST_PASSES {
                return Ok((envelope, settled, low));
            }
            pass += 1;
        }
    }

    /// Where a chosen device would let one before it open, another family that does not is tried first from now on; whether there
    /// was any. Each circuit is given one such chance.
    fn prefer_selective(
        &self,
        envelope: &mut Envelope,
        settled: &Settled,
        swapped: &mut [bool],
    ) -> Result<bool, Error> {
        let circuits = settled.circuits(envelope);
        let matrix = selectivity(self.boat, self.routes, self.demand, &circuits)?;
        let mut any = false;
        for (at, sized) in circuits.iter().enumerate() {
            let Some(need) = sized.need.as_ref().filter(|_| !swapped[at]) else { continue };
            let chosen = sized.device_origin == Origin::Chosen && sized.device.is_some();
            let id = format!("circuit.{}", sized.id);
            let pairs: Vec<_> = matrix.pairs.iter().filter(|p| p.downstream == id).collect();
            if !chosen || pairs.iter().all(|p| p.at_high != Some(false)) {
                continue;
            }
            let own = sized.device.as_ref().map(|d| d.family().id.clone()).unwrap_or_default();
            let families = envelope.segments[at].question.families.clone();
            let holds = |device: &Device| {
                pairs.iter().all(|pair| {
                    let up = circuits.iter().find(|c| format!("circuit.{}", c.id) == pair.upstream);
                    let Some((up, device_up)) = up.and_then(|c| Some((c, c.device.as_ref()?))) else {
                        return true;
                    };
                    let Some(fault) = pair.fault.high().filter(|f| f.si() > 0.0) else { return true };
                    coordinate_shared(device_up, device, fault, up.design_current, pair.share)
                        .is_ok_and(|c| c.selective || !c.decided)
                })
            };
            for family in families.iter().filter(|f| **f != own) {
                let Some(other) = fitting(need, std::slice::from_ref(family))? else { continue };
                if holds(&other) {
                    let rest = families.iter().filter(|f| *f != family).cloned();
                    envelope.segments[at].question.families =
                        std::iter::once(family.clone()).chain(rest).collect();
                    (swapped[at], any) = (true, true);
                    break;
                }
            }
        }
        Ok(any)
    }
}

/// What devices must break, raised where the network has more; whether anything was.
fn raise(used: &mut [Option<Current>], found: &[Option<Current>]) -> bool {
    let mut any = false;
    for (used, found) in used.iter_mut().zip(found) {
        let more = match (&used, found) {
            (Some(used), Some(found)) => !meets(found.si(), Sense::AtMost, used.si()),
            (Some(_), None) => true,
            (None, _) => false,
        };
        if more {
            *used = *found;
            any = true;
        }
    }
    any
}

/// What a path may drop, lowered where the network drops more than is permitted; whether anything was.
fn tighten(
    envelope: &mut Envelope,
    settled: &Settled,
    low: &LowCases,
    asked: &[f64],
    tries: &mut [u32],
    boat: &Boat,
) -> bool {
    let mut any = false;
    for (at, path) in envelope.loads.iter_mut().enumerate() {
        let planned = settled.worst_drop(path);
        if !meets(planned, Sense::AtMost, path.permitted) {
            if path.permitted < asked[at] {
                // Less cannot be had: back to what was asked, for good, and the judgement tells.
                (path.permitted, tries[at], any) = (asked[at], MOST_TRIES, true);
            }
            continue;
        }
        let load = boat.loads.iter().position(|l| l.id == path.load);
        let Some(found) = load.and_then(|l| low.drop(l)) else { continue };
        if !meets(found, Sense::AtMost, asked[at]) && tries[at] < MOST_TRIES {
            path.permitted = (planned.min(path.permitted) - 1.01 * (found - asked[at])).max(0.1 * asked[at]);
            tries[at] += 1;
            any = true;
        }
    }
    any
}
