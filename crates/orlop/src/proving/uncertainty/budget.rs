//! All causes of error of one result.

use super::term::{Relation, Shape, Term};
use crate::error::Error;
use crate::range::Range;
use crate::solve::{ErrorSum, normal_quantile, student_quantile};
use orlop_units::{Fraction, Quantity};

/// A value with its causes of error.
///
/// The causes are independent of each other; what two *results* share is settled by [`Budget::difference`].
///
/// ```
/// use orlop::proving::uncertainty::{Budget, Common, Term};
/// use orlop::units::{ampere_hours, show, Fraction};
/// let value = ampere_hours(200.0);
/// let gain = Term::tolerance("gain", Fraction::new(0.005), orlop::units::Quantity::si(value), Common::Instrument);
/// let budget = Budget::new(value, vec![gain])?;
/// assert_eq!(show(budget.combined()), "0.577 Ah"); // 200 Ah x 0.5 % / sqrt(3)
/// assert_eq!(show(budget.half_width(Fraction::new(0.95))?), "0.95 Ah"); // not two standard uncertainties
/// # Ok::<(), orlop::Error>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Budget<Q> {
    value: Q,
    terms: Vec<Term>,
}

impl<Q: Quantity> Budget<Q> {
    /// From the value and its terms.
    ///
    /// # Errors
    /// [`Error::Input`] for a value or term that is not finite, or without degrees of freedom.
    pub fn new(value: Q, terms: Vec<Term>) -> Result<Self, Error> {
        if !value.si().is_finite() {
            return Err(Error::input("value", value.si().to_string(), "a finite value"));
        }
        for t in &terms {
            if !(t.effect.is_finite() && t.degrees_of_freedom > 0.0) {
                let got =
                    format!("an effect of {} with {} degrees of freedom", t.effect, t.degrees_of_freedom);
                return Err(Error::input(&t.name, got, "a finite effect with degrees of freedom above zero"));
            }
        }
        Ok(Self { value, terms })
    }

    /// The value.
    #[must_use]
    pub fn value(&self) -> Q {
        self.value
    }

    /// The causes of error.
    #[must_use]
    pub fn terms(&self) -> &[Term] {
        &self.terms
    }

    /// Combined standard uncertainty: the root of the sum of the squared effects.
    #[must_use]
    pub fn combined(&self) -> Q {
        Q::from_si(self.variance().sqrt())
    }

    /// Combined standard uncertainty over the size of the value; none for a value of zero.
    #[must_use]
    pub fn relative(&self) -> Option<Fraction> {
        (self.value.si() != 0.0).then(|| Fraction::new(self.variance().sqrt() / self.value.si().abs()))
    }

    /// Effective degrees of freedom, Welch-Satterthwaite: u⁴ / sum(u_i⁴/ν_i). Infinite when every term is stated.
    #[must_use]
    pub fn effective_degrees_of_freedom(&self) -> f64 {
        let below: f64 = self.terms.iter().map(|t| t.effect.powi(4) / t.degrees_of_freedom).sum();
        if below > 0.0 { self.variance().powi(2) / below } else { f64::INFINITY }
    }

    /// Half of the symmetric interval that holds the true value with this probability.
    ///
    /// From the joint distribution of all terms ([`ErrorSum`]); where terms rest on few readings it is widened by Student's t over
    /// the normal quantile at the effective degrees of freedom, rounded down (GUM G.4.1).
    ///
    /// # Errors
    /// [`Error::Input`] for a probability not between 0 and 100 %, both excluded.
    pub fn half_width(&self, probability: Fraction) -> Result<Q, Error> {
        let p = probability.value();
        if !(p > 0.0 && p < 1.0) {
            let got = orlop_units::show(probability);
            return Err(Error::input("coverage", got, "a probability between 0 % and 100 %, both excluded"));
        }
        let normal = |t: &&Term| t.shape == Shape::Normal;
        let bell: f64 = self.terms.iter().filter(normal).map(|t| t.effect.powi(2)).sum();
        let rectangles: Vec<f64> =
            self.terms.iter().filter(|t| !normal(t)).map(|t| t.effect.abs() * 3.0_f64.sqrt()).collect();
        let joint = ErrorSum::new(bell.sqrt(), &rectangles).half_width(p);
        let freedom = self.effective_degrees_of_freedom();
        let widening = if freedom.is_finite() {
            let tail = 0.5 * (1.0 + p);
            student_quantile(tail, freedom.floor().max(1.0)) / normal_quantile(tail)
        } else {
            1.0
        };
        Ok(Q::from_si(joint * widening))
    }

    /// The interval that holds the true value with this probability.
    ///
    /// # Errors
    /// As [`Budget::half_width`].
    pub fn interval(&self, probability: Fraction) -> Result<Range<Q>, Error> {
        let (value, half) = (self.value.si(), self.half_width(probability)?.si());
        Ok(Range::new(Q::from_si(value - half), Q::from_si(value + half)))
    }

    /// The term that brings most of the uncertainty, and its part of the variance; none without any.
    #[must_use]
    pub fn largest(&self) -> Option<(&Term, Fraction)> {
        let total = self.variance();
        self.terms
            .iter()
            .filter(|_| total > 0.0)
            .max_by(|a, b| a.effect.abs().total_cmp(&b.effect.abs()))
            .map(|t| (t, Fraction::new(t.effect.powi(2) / total)))
    }

    /// How much `later` is above this one, with what is left of the uncertainty.
    ///
    /// Errors that both share by the relation and by name subtract before they are squared; the others stay apart. Shared errors
    /// are the same in size only where the instrument has not drifted in between.
    #[must_use]
    pub fn difference(&self, later: &Self, relation: Relation) -> Self {
        let mut terms = Vec::new();
        let shared = |t: &Term| relation.shares(t.common);
        let twin = |list: &'_ [Term], t: &Term| list.iter().position(|o| shared(o) && o.name == t.name);
        for t in &later.terms {
            let before = if shared(t) { twin(&self.terms, t) } else { None };
            let mut left = t.clone();
            if let Some(k) = before {
                left.effect -= self.terms[k].effect;
                left.degrees_of_freedom = left.degrees_of_freedom.min(self.terms[k].degrees_of_freedom);
            } else {
                left.name = format!("{} (later)", t.name);
            }
            terms.push(left);
        }
        for t in &self.terms {
            if !shared(t) || twin(&later.terms, t).is_none() {
                let name = format!("{} (earlier)", t.name);
                terms.push(Term { name, effect: -t.effect, ..t.clone() });
            }
        }
        Self { value: Q::from_si(later.value.si() - self.value.si()), terms }
    }

    fn variance(&self) -> f64 {
        self.terms.iter().map(|t| t.effect * t.effect).sum()
    }
}
