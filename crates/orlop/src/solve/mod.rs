//! General mathematics for the rooms above: sparse systems, least squares, statistics.
//!
//! | question | where |
//! |---|---|
//! | what solves a dense overdetermined system, and how well is each unknown known | [`LeastSquares`] |
//! | how probable is a value of a statistic | [`normal_cdf`], [`student_cdf`], [`fisher_tail`], [`chi_squared_tail`] |
//! | what interval holds a sum of errors | [`ErrorSum`] |
//! | is one value an outlier | [`Grubbs`] |
//! | what solves a large sparse symmetric system | [`Symbolic`], [`Factor`], as follows |
//!
//! # Sparse symmetric systems
//! `A x = b` with a positive definite `A`, many times over one pattern.
//!
//! | step | how often | what |
//! |---|---|---|
//! | [`Symbolic::new`] | once per pattern | order of elimination, elimination tree, pattern of the factor |
//! | [`Factor::factor`] | once per set of values | `A = L D Lᵀ`; a pivot that is not positive is named |
//! | [`Factor::solve`] | once per right-hand side | in place |
//! | [`Factor::inverse`] | when wanted | diagonal of the inverse, and its entries on the pattern of `A`, in one pass |
//!
//! Random numbers that are counted ([`Draws`]) are here too.
//!
//! Trees are recognised by themselves and need neither fill nor index lists. All numbers stand in the *order of
//! elimination*: unknown `i` lives at [`Symbolic::place`]`(i)`. Nothing is allocated by `factor` and `solve`.
//!
//! ```
//! use orlop::solve::{Factor, Symbolic};
//!
//! // Two unknowns, coupled: [[3, -1], [-1, 2]] x = [1, 0].
//! let symbolic = Symbolic::new(2, &[(0, 1)]);
//! let (mut diagonal, mut pairs, mut x) = ([0.0; 2], vec![0.0; symbolic.slots()], [0.0; 2]);
//! diagonal[symbolic.place(0)] = 3.0;
//! diagonal[symbolic.place(1)] = 2.0;
//! pairs[symbolic.slot(0)] = -1.0;
//! x[symbolic.place(0)] = 1.0;
//! let mut factor = Factor::new(&symbolic);
//! factor.factor(&symbolic, &diagonal, &pairs).unwrap();
//! factor.solve(&symbolic, &mut x);
//! assert!((x[symbolic.place(0)] - 0.4).abs() < 1e-15 && (x[symbolic.place(1)] - 0.2).abs() < 1e-15);
//! ```

mod distribution;
mod error_sum;
mod factor;
mod gamma;
mod inverse;
mod least_squares;
mod order;
mod outlier;
mod peel;
mod random;
mod root;
mod symbolic;

pub use distribution::{
    chi_squared_tail, fisher_tail, normal_cdf, normal_quantile, student_cdf, student_quantile,
};
pub use error_sum::ErrorSum;
pub use factor::{Factor, NotPositive};
pub use inverse::Inverse;
pub use least_squares::LeastSquares;
pub use outlier::Grubbs;
pub(crate) use random::PHILOX;
pub use random::{Draws, philox};
pub(crate) use root::bracketed;
pub use symbolic::Symbolic;

/// No index: no parent, no neighbour.
pub(crate) const NONE: u32 = u32::MAX;

/// Leaves first: an order of the vertices of a forest and the neighbour that each hung on when its turn came.
pub(crate) fn peeling(n: usize, edges: &[(u32, u32)]) -> (Vec<u32>, Vec<u32>) {
    let peeled = peel::peel(n, edges);
    (peeled.order, peeled.parent)
}
