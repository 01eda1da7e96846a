//! Measurement uncertainty after the GUM (JCGM 100:2008): budgets, intervals, and what two results have in common.
//!
//! | question | where |
//! |---|---|
//! | what is the combined uncertainty, which term is the largest, which interval holds the value | [`Budget`] |
//! | have two results changed, when some of their errors are the same | [`Budget::difference`], [`Relation`] |
//! | what follows from several quantities read at the same moments | [`Readings`] |

mod budget;
mod readings;
mod term;

use crate::source::{Citation, Confidence};

pub use budget::Budget;
pub use readings::{Derived, Readings};
pub use term::{Common, Relation, Shape, Term};

/// Half-width of the 95 % interval of a normal distribution, in standard uncertainties.
pub const HALF_WIDTH: f64 = 1.959_963_985;

pub(crate) static GUM: Citation = Citation::fixed(
    "gum",
    "JCGM 100 (GUM) and JCGM 101",
    "2008",
    "5.1, 5.2, G.4; 101: 5.2 to 7.7",
    "law of propagation, correlated inputs, effective degrees of freedom; interval from the joint distribution",
    Confidence::Published,
    "examples read in an open calculator's documentation; clauses recalled",
);
