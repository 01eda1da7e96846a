//! Against the rating, and against an earlier test.

use super::result::{CapacityTest, Outcome};
use crate::error::{Error, positive};
use crate::judgement::{Judgement, Sense, Severity, Verdict};
use crate::proving::uncertainty::{Budget, Relation};
use crate::source::{Citation, Confidence};
use orlop_units::{Charge, Fraction, Quantity, Time, show, significant};

pub(crate) static RATED_TIME: Citation = Citation::fixed(
    "capacity-by-time",
    "FIST 3-6 (US Bureau of Reclamation) and NAVEDTRA 14113, 14344",
    "1997",
    "capacity discharge test",
    "percent = 100 T_actual / T_rated at the rated current to the end voltage; yearly below 90 %, replace below 80 %",
    Confidence::Published,
    "one copy of the first, two copies of the training manuals",
);

/// Share of the rated time that a constant rated current lasted until the end voltage.
///
/// # Errors
/// [`Error::Input`] for a time that is not above zero.
///
/// ```
/// use orlop::{proving::capacity::share_of_rated_time, units::{seconds, show}};
/// // NAVEDTRA 14113: a 100 Ah battery at 10 A lasting 7 h instead of 10 h.
/// assert_eq!(show(share_of_rated_time(seconds(7.0 * 3600.0), seconds(36000.0))?), "70 %");
/// # Ok::<(), orlop::Error>(())
/// ```
pub fn share_of_rated_time(actual: Time, rated: Time) -> Result<Fraction, Error> {
    Ok(Fraction::new(positive(actual, "actual time")?.si() / positive(rated, "rated time")?.si()))
}

impl CapacityTest {
    /// Whether the bank keeps a share of its rated capacity, with this probability.
    ///
    /// Undecided while the limit lies inside the interval, or above a mere lower bound. More than the rating proves neither sharing nor
    /// joints: it says that the cells hold more than their least, or that the meter reads high.
    ///
    /// # Errors
    /// [`Error::Input`] for a share not above zero, or a probability not between 0 and 100 %, both excluded.
    pub fn against_rated(&self, share: Fraction, probability: Fraction) -> Result<Judgement, Error> {
        let limit = self.procedure.rated * positive(share, "share")?.value();
        let bounds = self.bounds(probability)?;
        let (value, combined) = match &self.outcome {
            Outcome::Capacity(b) => (b.value(), b.combined()),
            Outcome::AtLeast { drawn, .. } => (drawn.value(), drawn.combined()),
        };
        let mut judgement =
            Judgement::compare("capacity-rated", "bank", Severity::B, value, Sense::AtLeast, limit)
                .clause(RATED_TIME.short(), RATED_TIME.confidence);
        let low_keeps = bounds.low().is_some_and(|q| q >= limit);
        let high_keeps = bounds.high().is_none_or(|q| q >= limit);
        judgement.verdict = match (low_keeps, high_keeps) {
            (true, _) => Verdict::Pass,
            (false, true) => Verdict::Undecided,
            (false, false) => Verdict::Fail,
        };
        judgement.uncertainty = Some(combined.into());
        let said = self.sentence(probability)?;
        let verdict = judgement.verdict;
        judgement = judgement.what(match verdict {
            Verdict::Pass if value > self.procedure.rated => format!(
                "{said}. More than the rating is usual for new cells and settles within the first year; it proves nothing about \
                 sharing or joints"
            ),
            Verdict::Undecided => format!("{said}: too near to {} to say", show(limit)),
            _ => said,
        });
        Ok(judgement.to_do(
            "test again to a cell's end voltage with the largest cause of error reduced; see the budget",
        ))
    }
}

/// One verdict on a change.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// What the two tests are taken to share.
    pub relation: Relation,
    /// Later minus earlier, with what is left of the uncertainty.
    pub difference: Budget<Charge>,
    /// Smallest change that could be told from none: half of the interval of the difference.
    pub detection_limit: Charge,
    /// Whether the change is larger than that.
    pub significant: bool,
}

/// Two tests compared: by what they really share, and as if they were independent.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// By the instruments and procedures that were used.
    pub as_tested: Change,
    /// By independent meters.
    pub independent: Change,
}

/// Compares two capacity tests with this probability.
///
/// Errors that belong to the instrument cancel when both tests name the same one, those of the procedure when definitions and corrections are
/// the same.
///
/// # Errors
/// [`Error::Input`] when one of them is a lower bound only, or for a probability not between 0 and 100 %, both excluded.
pub fn compare(
    earlier: &CapacityTest,
    later: &CapacityTest,
    probability: Fraction,
) -> Result<Comparison, Error> {
    let relation = if earlier.procedure != later.procedure {
        Relation::Independent
    } else if earlier.instrument == later.instrument {
        Relation::SameInstrument
    } else {
        Relation::SameProcedure
    };
    let capacity = |test: &CapacityTest, which: &str| match &test.outcome {
        Outcome::Capacity(budget) => Ok(budget.clone()),
        Outcome::AtLeast { .. } => Err(Error::input(
            which,
            "a lower bound only",
            "a test that ended at a cell's or the bank's end voltage",
        )),
    };
    compare_budgets(
        &capacity(earlier, "earlier test")?,
        &capacity(later, "later test")?,
        relation,
        probability,
    )
}

/// The same from two budgets, for tests whose logs are gone.
///
/// # Errors
/// [`Error::Input`] for a probability not between 0 and 100 %, both excluded.
pub fn compare_budgets(
    earlier: &Budget<Charge>,
    later: &Budget<Charge>,
    relation: Relation,
    probability: Fraction,
) -> Result<Comparison, Error> {
    let change = |relation| {
        let difference = earlier.difference(later, relation);
        let detection_limit = difference.half_width(probability)?;
        let significant = difference.value().si().abs() > detection_limit.si();
        Ok::<Change, Error>(Change { relation, difference, detection_limit, significant })
    };
    Ok(Comparison { as_tested: change(relation)?, independent: change(Relation::Independent)? })
}

impl Change {
    /// The verdict in one sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        let change = self.difference.value().out();
        format!(
            "{}{} Ah, detection limit {} Ah with {}: {}",
            if change < 0.0 { "-" } else { "+" },
            significant(change.abs(), 2),
            significant(self.detection_limit.out(), 2),
            self.relation.words(),
            if self.significant { "significant" } else { "not yet significant" }
        )
    }
}
