//! When the next test would settle whether the bank fades.

use super::YEAR_S;
use super::tests::Tests;
use crate::error::Error;
use crate::proving::uncertainty::Relation;
use crate::solve::normal_quantile;
use orlop_units::{Charge, Fraction, Quantity, Time, seconds};

/// Which chance the next test shall have to show a fade that is there.
const POWER: f64 = 0.9;

/// A date for the next test.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NextTest {
    /// Time since the bank was new; none when there is no fade to show within a hundred years.
    pub time: Option<Time>,
    /// The change since the first test that would be told from none.
    pub detection_limit: Charge,
    /// What the next test would share with the first.
    pub relation: Relation,
}

impl Tests {
    /// When a test like the last would show the fade that the trend suggests, against the first test, with a chance of 90 %.
    ///
    /// |rate| t = half width of the difference + z(0.9) x its standard uncertainty
    ///
    /// # Errors
    /// [`Error::Input`] for a probability not between 0 and 100 %, both excluded.
    pub fn next_test(&self, relation: Relation, probability: Fraction) -> Result<NextTest, Error> {
        let (first, last) = (&self.tests[0], &self.tests[self.tests.len() - 1]);
        let difference = first.capacity.difference(&last.capacity, relation);
        let limit = difference.half_width(probability)?;
        let rate = self.trend(probability)?.per_year.si();
        let needed = limit.si() + normal_quantile(POWER) * difference.combined().si();
        let years = first.time.si() / YEAR_S + needed / rate.abs();
        let time = (rate < 0.0 && years < 100.0).then(|| seconds(years * YEAR_S));
        Ok(NextTest { time, detection_limit: limit, relation })
    }
}
