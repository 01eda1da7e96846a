//! One circuit: which conductor and device it needs, what asks for them, and by what margin.
//!
//! [`size_circuit`] tries the standard sizes from small to large. Each *criterion* names the smallest size that
//! satisfies it alone; the largest of these is taken, and the criterion that asked for it governs.

mod answer;
mod drop;
mod evaluate;
mod question;
mod rules;

pub use answer::{
    CircuitAnswer, CriterionMargin, evaluate_sizes, size_circuit, size_circuit_recorded,
    size_circuit_unjudged,
};
pub use evaluate::Evaluation;
pub use question::{Budget, CircuitQuestion, Criterion, Supply};
