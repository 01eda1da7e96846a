//! One cause of error in a budget.

use orlop_units::{AnyQuantity, Quantity};

/// How an error is spread.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Shape {
    /// Bell curve: from repeated readings, or a stated standard deviation.
    Normal,
    /// Anywhere within limits alike: a tolerance, a resolution. Its standard uncertainty is the half-width over sqrt(3).
    Rectangular,
}

/// What an error belongs to, and so with which other results it is shared.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Common {
    /// To this one measurement.
    Own,
    /// To the instrument: shared when the same instrument is used again.
    Instrument,
    /// To the procedure: shared when the same definitions and corrections are used on the same cells.
    Procedure,
}

/// What two measurements share.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Relation {
    /// The same instrument and the same procedure.
    SameInstrument,
    /// The same procedure with another instrument.
    SameProcedure,
    /// Nothing.
    Independent,
}

impl Relation {
    /// Whether an error of this sort is the same in both.
    #[must_use]
    pub fn shares(self, common: Common) -> bool {
        match common {
            Common::Own => false,
            Common::Instrument => self == Self::SameInstrument,
            Common::Procedure => self != Self::Independent,
        }
    }

    /// The words for people.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::SameInstrument => "the same instrument and procedure",
            Self::SameProcedure => "another instrument, the same procedure",
            Self::Independent => "independent instruments and procedures",
        }
    }
}

/// One cause of error and what it does to the result.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Term {
    /// What it is: "gain", "definition of full".
    pub name: String,
    /// Standard uncertainty of the cause itself, in its own unit.
    pub input: AnyQuantity,
    /// How it is spread.
    pub shape: Shape,
    /// What one standard uncertainty does to the result, with its sign, in the base unit of the result.
    pub effect: f64,
    /// Degrees of freedom behind it; infinite for a stated value.
    pub degrees_of_freedom: f64,
    /// What it belongs to.
    pub common: Common,
}

impl Term {
    /// A tolerance: the cause lies within plus or minus `half_width`, and moves the result by `sensitivity` for each base unit
    /// of itself.
    #[must_use]
    pub fn tolerance<Q: Quantity>(name: &str, half_width: Q, sensitivity: f64, common: Common) -> Self {
        Self::stated(
            name,
            Q::from_si(half_width.si() / 3.0_f64.sqrt()),
            sensitivity,
            Shape::Rectangular,
            common,
        )
    }

    /// A stated standard uncertainty, normally distributed.
    #[must_use]
    pub fn normal<Q: Quantity>(name: &str, standard: Q, sensitivity: f64, common: Common) -> Self {
        Self::stated(name, standard, sensitivity, Shape::Normal, common)
    }

    /// The degrees of freedom behind a standard uncertainty from repeated readings.
    #[must_use]
    pub fn with_degrees_of_freedom(mut self, degrees_of_freedom: f64) -> Self {
        self.degrees_of_freedom = degrees_of_freedom;
        self
    }

    fn stated<Q: Quantity>(name: &str, standard: Q, sensitivity: f64, shape: Shape, common: Common) -> Self {
        Self {
            name: name.into(),
            input: standard.into(),
            shape,
            effect: sensitivity * standard.si(),
            degrees_of_freedom: f64::INFINITY,
            common,
        }
    }
}
