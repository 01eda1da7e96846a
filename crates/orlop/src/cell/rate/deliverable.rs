//! What comes out of a cell at a current, by as much as is known of it.

use super::{KineticModel, Peukert};
use crate::cell::{Cell, Permission, Rate, StateOfCharge};
use crate::error::{Error, positive};
use crate::range::Range;
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Charge, Current, Time};

/// What a full cell gives at a constant current.
#[derive(Clone, Debug, PartialEq)]
pub struct Deliverable {
    /// Charge that comes out.
    pub charge: Range<Charge>,
    /// How long it flows.
    pub time: Range<Time>,
    /// What a reader must know.
    pub flags: Vec<String>,
}

impl Cell {
    /// What a full cell gives at a constant current.
    ///
    /// With no ratings by Peukert's law over the exponents of its chemistry, its capacity taken as that at the hours the chemistry is rated
    /// at; with two ratings (charge, hours) by Peukert's law through both; with three by the kinetic model.
    ///
    /// # Errors
    /// [`Error::Input`] for a current not above zero or one rating or more than three, and as [`Peukert::from_ratings`] or
    /// [`KineticModel::from_ratings`].
    ///
    /// ```
    /// use orlop::{cell::{Cell, ChemistryId}, units::{amperes, ampere_hours, seconds}};
    /// let battery = Cell::new(ChemistryId::LeadFlooded, ampere_hours(100.0))?;
    /// let h = |hours: f64| seconds(3600.0 * hours);
    /// let ratings = [(ampere_hours(100.0), h(20.0)), (ampere_hours(83.0), h(5.0))];
    /// assert_eq!(battery.deliverable(amperes(16.6), &ratings)?.charge.to_string(), "83 Ah");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn deliverable(&self, current: Current, ratings: &[(Charge, Time)]) -> Result<Deliverable, Error> {
        self.deliverable_recorded(current, ratings, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Cell::deliverable`].
    pub fn deliverable_recorded(
        &self,
        current: Current,
        ratings: &[(Charge, Time)],
        rec: &mut impl Recorder,
    ) -> Result<Deliverable, Error> {
        let current = positive(current, "current")?;
        let mut flags = Vec::new();
        let time = match *ratings {
            [] => {
                let (exponent, hours) = (&self.chemistry().peukert, self.chemistry().rated_hours.middle());
                let mut time =
                    |k: f64| Peukert::new(self.capacity(), hours, k)?.time_recorded(current, &mut *rec);
                let (gentle, steep) = (time(exponent.low().get())?, time(exponent.high().get())?);
                flags.push(format!(
                    "by the exponents of the chemistry ({}); two or three ratings of the data sheet tell it better",
                    exponent.value
                ));
                Range::new(steep.min(gentle), gentle.max(steep))
            }
            [one, other] => {
                let law = Peukert::from_ratings(one, other)?;
                rec.step(|| {
                    Step::new("exponent of the two ratings", "k", law.exponent())
                        .formula("ln(H1/H2)/ln(I2/I1)")
                        .source(&super::PEUKERT)
                });
                Range::exactly(law.time_recorded(current, rec)?)
            }
            [a, b, c] => {
                let model = KineticModel::from_ratings_recorded([a, b, c], rec)?;
                let full = model.rested(StateOfCharge::new(1.0)?);
                let time = model.time(full, current)?;
                rec.step(|| {
                    Step::new("time until the well at hand is dry", "t", time)
                        .formula("q1 e + (q0 k c - I)(1 - e)/k - I c (k t - 1 + e)/k = 0")
                        .input("I", current)
                        .source(&super::KINETIC)
                });
                Range::exactly(time)
            }
            ref others => {
                let expected = "none, two (Peukert's law) or three (kinetic model)";
                return Err(Error::input("ratings", others.len().to_string(), expected));
            }
        };
        match self.chemistry().discharge_rate_permitted(Rate::of(current, self.capacity())?) {
            Permission::Yes => {}
            Permission::No(why) | Permission::SourcesDiffer(why) => flags.push(why),
        }
        let charge = Range::from_bounds(time.low().map(|t| current * t), time.high().map(|t| current * t));
        rec.step(|| Step::new("charge that comes out", "Q", charge.to_string()).formula("I t"));
        Ok(Deliverable { charge, time, flags })
    }
}
