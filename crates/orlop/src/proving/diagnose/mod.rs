//! Which of several causes explains what was seen, and what to measure next.
//!
//! Each [`Hypothesis`] has prior odds and predicts every value that could be read and every answer that could be given, over a grid
//! of its own free magnitude: the excess ohms of a joint, the amperes of a drain. What nobody knows exactly and all readings share,
//! the bank's charge or the gain of the meter, are *common unknowns*: a prediction says how much one standard deviation of each
//! would move it. [`Belief`] holds the probability of everything after what was seen; [`Belief::information`] says how many bits
//! a further reading would tell about the cause before it is taken.
//!
//! | question | where |
//! |---|---|
//! | what do the causes predict | [`Model`], [`Hypothesis`], [`Point`] |
//! | how probable is each cause now, and how large is it | [`Belief::probabilities`], [`Belief::magnitude`] |
//! | does any of them explain the readings at all | [`Belief::explained`] |
//! | what would a further reading tell, and what would each outcome mean | [`Belief::information`], [`Belief::outcomes`] |

mod belief;
mod information;
mod model;

pub use belief::{Belief, Seen};
pub use information::{Ask, Outcome, entropy};
pub use model::{Hypothesis, Model, Point};

use crate::source::{Citation, Confidence};

pub(crate) static BAYES: Citation = Citation::fixed(
    "bayes-rule",
    "textbooks of probability",
    "",
    "P(H|E) = P(E|H) P(H) / sum",
    "rule of Bayes with Gaussian errors; common unknowns are carried as in the filter of Kalman (J. Basic Eng. 82:35, 1960)",
    Confidence::Memory,
    "textbook form recalled",
);
pub(crate) static INFORMATION: Citation = Citation::fixed(
    "expected-information",
    "Shannon, Bell System Technical Journal 27:379; Lindley, Annals of Mathematical Statistics 27:986",
    "1948; 1956",
    "I(C; Y) = sum p(c) p(y|c) log2(p(y|c) / p(y))",
    "bits that a measurement is expected to tell about the cause",
    Confidence::Memory,
    "recalled; no copy was seen",
);
