//! How a number was found: the steps, recorded only when somebody asks.
//!
//! Each public question exists twice, `f(..)` and `f_recorded(.., rec)`. Nothing is stored; to explain a
//! number, the question is asked again with a [`Working`].

use crate::source::{Citation, Confidence};
use orlop_units::AnyQuantity;

/// One value that went into a step.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Input {
    /// Its symbol in the formula.
    pub symbol: String,
    /// The value, with its unit.
    pub value: String,
}

/// One step of a working.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Step {
    /// What this step answers, in words.
    pub what: String,
    /// The symbol of the result, or empty.
    pub symbol: String,
    /// The formula or the look-up, as a person would write it.
    pub formula: String,
    /// What went in.
    pub inputs: Vec<Input>,
    /// The result, as text with its unit.
    pub value: String,
    /// Where formula or table comes from.
    pub source: Option<Citation>,
}

impl Step {
    /// A step with its name and result; add the rest with the other methods.
    #[must_use]
    pub fn new(what: impl Into<String>, symbol: impl Into<String>, value: impl Into<Shown>) -> Self {
        Self {
            what: what.into(),
            symbol: symbol.into(),
            formula: String::new(),
            inputs: Vec::new(),
            value: value.into().0,
            source: None,
        }
    }

    /// The formula or look-up.
    #[must_use]
    pub fn formula(mut self, formula: impl Into<String>) -> Self {
        self.formula = formula.into();
        self
    }

    /// One input.
    #[must_use]
    pub fn input(mut self, symbol: impl Into<String>, value: impl Into<Shown>) -> Self {
        self.inputs.push(Input { symbol: symbol.into(), value: value.into().0 });
        self
    }

    /// The source.
    #[must_use]
    pub fn source(mut self, source: &Citation) -> Self {
        self.source = Some(source.clone());
        self
    }
}

/// A value as text: any quantity, any text, a number.
pub struct Shown(pub String);

impl From<&str> for Shown {
    fn from(text: &str) -> Self {
        Self(text.to_string())
    }
}
impl From<String> for Shown {
    fn from(text: String) -> Self {
        Self(text)
    }
}
impl From<f64> for Shown {
    fn from(number: f64) -> Self {
        Self(orlop_units::significant(number, 4))
    }
}
impl From<AnyQuantity> for Shown {
    fn from(q: AnyQuantity) -> Self {
        Self(q.as_written.clone().unwrap_or_else(|| q.to_string()))
    }
}
macro_rules! shown {
    ($($q:ident),*) => {$(
        impl From<orlop_units::$q> for Shown {
            fn from(q: orlop_units::$q) -> Self { Self(orlop_units::show(q)) }
        }
    )*};
}
shown!(
    Length,
    Area,
    Volume,
    Mass,
    Time,
    Current,
    Voltage,
    Resistance,
    Power,
    Energy,
    Charge,
    Capacitance,
    Force,
    Pressure,
    Torque,
    MassPerLength,
    Temperature,
    TemperatureRise,
    Fraction,
    ResistancePerLength,
    LetThrough,
    ThermalResistance,
    PowerPerLength,
    SpecificEnergy,
    SpecificHeat,
    VoltagePerTemperature,
    Number
);

/// Somebody who may want to know the steps.
///
/// The closure runs only when the steps are wanted, so that a silent computation pays nothing.
pub trait Recorder {
    /// Takes one step.
    fn step(&mut self, make: impl FnOnce() -> Step);
}

/// Nobody asked.
#[derive(Clone, Copy, Debug, Default)]
pub struct Silent;

impl Recorder for Silent {
    fn step(&mut self, _: impl FnOnce() -> Step) {}
}

impl<R: Recorder> Recorder for &mut R {
    fn step(&mut self, make: impl FnOnce() -> Step) {
        (**self).step(make);
    }
}

/// The steps of one question, in order.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Working {
    /// The question.
    pub title: String,
    /// The steps.
    pub steps: Vec<Step>,
}

impl Recorder for Working {
    fn step(&mut self, make: impl FnOnce() -> Step) {
        self.steps.push(make());
    }
}

impl Working {
    /// An empty working for a question.
    #[must_use]
    pub fn new(title: impl Into<String>) -> Self {
        Self { title: title.into(), steps: Vec::new() }
    }

    /// The weakest confidence of all sources named.
    #[must_use]
    pub fn confidence(&self) -> Option<Confidence> {
        self.steps.iter().filter_map(|s| s.source.as_ref()).map(|c| c.confidence).max()
    }
}

impl std::fmt::Display for Working {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        writeln!(f, "{}", self.title)?;
        for (at, step) in self.steps.iter().enumerate() {
            let lead = if step.symbol.is_empty() { String::new() } else { format!("{} = ", step.symbol) };
            writeln!(f, "{:>3}. {}: {lead}{}", at + 1, step.what, step.value)?;
            if !step.formula.is_empty() {
                writeln!(f, "     {}", step.formula)?;
            }
            if !step.inputs.is_empty() {
                let inputs: Vec<_> =
                    step.inputs.iter().map(|i| format!("{} = {}", i.symbol, i.value)).collect();
                writeln!(f, "     with {}", inputs.join(", "))?;
            }
            if let Some(source) = &step.source {
                writeln!(f, "     [{source}]")?;
            }
        }
        Ok(())
    }
}
