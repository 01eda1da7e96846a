//! What choosing all conductors together saves, circuit by circuit, and what more volts at a load would save.

use super::envelope::Envelope;
use super::least::Candidates;
use super::settle::Settled;
use crate::design::{Copper, CopperOf, Design};
use orlop::Error;
use orlop_units::{Mass, Quantity, Voltage, kilograms};

pub(super) fn of(split: (&Envelope, &Settled), least: (&Envelope, &Settled)) -> Copper {
    let gap = least.1.gap;
    let (split, by_least) = (split.1.circuits(split.0), least.1.circuits(least.0));
    let circuits: Vec<CopperOf> = split
        .iter()
        .zip(&by_least)
        .map(|(split, least)| CopperOf {
            circuit: split.id.clone(),
            split: split.conductor.size(),
            least: least.conductor.size(),
            split_mass: split.mass,
            least_mass: least.mass,
        })
        .collect();
    let total = |of: fn(&CopperOf) -> Mass| kilograms(circuits.iter().map(|c| of(c).si()).sum());
    Copper { by_split: total(|c| c.split_mass), by_least: total(|c| c.least_mass), gap, circuits }
}

/// What the whole boat would save in conductors if the loads of one circuit were permitted so many volts more: one line for
/// each circuit that feeds loads whose drop is limited.
///
/// Exact: the tree is solved again with each limit moved. Below zero, `more` tells what tighter limits would cost (as a
/// negative saving). Empty where the loads cannot all be served together.
///
/// # Errors
/// [`Error::Input`] for volts that are not finite.
pub fn shadow_prices(design: &Design, more: Voltage) -> Result<Vec<(String, Mass)>, Error> {
    let envelope = Envelope::again(design)?;
    let candidates = Candidates::of(&envelope)?;
    let floors: Vec<_> = envelope.segments.iter().map(|s| s.question.minimum_size).collect();
    let posed = candidates.pose(&envelope, &floors, true);
    match posed.problem.solve() {
        Ok(best) => {
            let prices = best.shadow_prices(&posed.drops, more)?;
            Ok(prices.into_iter().map(|p| (p.segment, p.saves_mass)).collect())
        }
        Err(Error::NoSolution { .. }) => Ok(Vec::new()),
        Err(error) => Err(error),
    }
}
