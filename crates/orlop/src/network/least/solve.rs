//! From a problem to its optimum, or to the reason why there is none.

use super::frame::{Frame, Refused, Value};
use super::grow::{Grown, grow};
use super::missing;
use super::optimum::{Optimum, Taken};
use super::problem::{Choice, LeastCopper};
use super::skyline::Side;
use crate::error::Error;
use orlop_units::{Mass, Quantity, kilograms};

/// What the search found: a choice for each segment, and how far the cost may lie above the least.
#[derive(Clone, Debug)]
pub(super) struct Found {
    /// Place in the choices of each segment.
    pub choices: Vec<usize>,
    /// In the order in which optima are compared.
    pub value: Value,
    pub cost: f64,
    pub gap: f64,
}

pub(super) fn least(problem: &LeastCopper) -> Result<Optimum<'_>, Error> {
    match search(problem, &|_| true)? {
        Some(found) => Ok(optimum(problem, &found, None)),
        None => Err(missing::explain(problem)),
    }
}

/// The best of the allowed choices; none when nothing keeps all limits.
pub(super) fn search(
    problem: &LeastCopper,
    allowed: &dyn Fn(&Choice) -> bool,
) -> Result<Option<Found>, Error> {
    let frame = match Frame::of(problem, false, allowed) {
        Ok(frame) => frame,
        Err(Refused::Infeasible) => return Ok(None),
        Err(Refused::Input(error)) => return Err(error),
    };
    let grown = grow(&frame, problem.effort, Side::Above);
    let least = if grown.bounded { grow(&frame, problem.effort, Side::Below).value } else { grown.value };
    let Grown { options: Some(options), bounded, .. } = grown else {
        if grown.bounded && least.is_some() {
            return Err(Error::NoSolution {
                what: format!(
                    "none was found with {} points kept in each node, though there may be one",
                    problem.effort.frontier
                ),
                hint: "keep more points, or fewer dimensions".into(),
            });
        }
        return Ok(None);
    };
    let mut value = Value::default();
    let mut choices = Vec::with_capacity(options.len());
    for (options, at) in frame.options.iter().zip(options) {
        value += options[at].value;
        choices.push(usize::from(options[at].choice));
    }
    let cost = problem.segments.iter().zip(&choices).map(|(s, c)| s.choices[*c].cost).sum();
    #[allow(clippy::cast_precision_loss)]
    let gap = if bounded { (value.cost - least.cost).max(0) as f64 * frame.cost_unit } else { 0.0 };
    Ok(Some(Found { choices, value, cost, gap }))
}

pub(super) fn optimum<'p>(problem: &'p LeastCopper, found: &Found, most: Option<usize>) -> Optimum<'p> {
    let taken: Vec<Taken> = problem
        .segments
        .iter()
        .zip(&found.choices)
        .map(|(segment, &at)| {
            let choice = &segment.choices[at];
            Taken {
                segment: segment.id.clone(),
                choice: at,
                size: choice.size,
                mass: choice.mass,
                cost: choice.cost,
            }
        })
        .collect();
    let mass: Mass = kilograms(taken.iter().map(|t| t.mass.si()).sum());
    Optimum { taken, cost: found.cost, mass, gap: found.gap, problem, most }
}
