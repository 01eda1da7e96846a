//! Bringing cells to the top together, and keeping them there.
//!
//! | question | answer |
//! |---|---|
//! | what does each cell lack | [`to_the_top`], [`spread`] |
//! | how long does a bench supply need, leads and taper counted | [`BenchSupply::charge`] |
//! | what must balancing make up in service | [`drift`] |
//! | what does a bleeding resistor do | [`Bleeder`] |

mod bench;
mod bleeder;

pub(crate) use bench::TAPER;
pub use bench::{BenchCharge, BenchSupply};
pub use bleeder::{Bleeder, drift};

use crate::cell::StateOfCharge;
use crate::error::{Error, positive};
use orlop_units::{Charge, Quantity, coulombs};

/// What a cell lacks to be full: (1 - z) Q.
///
/// # Errors
/// [`Error::Input`] for a capacity not above zero.
pub fn to_the_top(capacity: Charge, charge: StateOfCharge) -> Result<Charge, Error> {
    Ok(coulombs(positive(capacity, "capacity")?.si() * (1.0 - charge.si())))
}

/// What balancing must take from the fullest cell before all are full together: the largest lack less the smallest.
///
/// # Errors
/// [`Error::Input`] for no cell or a capacity not above zero.
pub fn spread(cells: &[(Charge, StateOfCharge)]) -> Result<Charge, Error> {
    let lacks = cells.iter().map(|(q, z)| to_the_top(*q, *z)).collect::<Result<Vec<_>, _>>()?;
    let ends = |f: fn(f64, f64) -> f64| lacks.iter().map(|q| q.si()).reduce(f);
    match (ends(f64::max), ends(f64::min)) {
        (Some(most), Some(least)) => Ok(coulombs(most - least)),
        _ => Err(Error::input("cells", "none", "at least one cell")),
    }
}
