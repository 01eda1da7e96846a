//! The test sheet of a boat: what to switch on, where to hold the probes, what to expect, what to write down, what it means.
//!
//! Expected values come from the network of the boat with its banks at nominal voltage, the loads of that line on, all else and all
//! charging off. A limit on one leg is the most that a sound one loses: conductor at its temperature, joints and device at their
//! highest, and two counts of a meter that shows millivolts.

mod circuits;
mod whole;

use crate::design::Design;
use crate::found::{Item, Leg};
use orlop::{Confidence, Error, Sense};
use orlop_units::{AnyQuantity, Current};

/// What a line of the sheet tests.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TestKind {
    /// Which conductor is which.
    Polarity,
    /// Resistance from end to end of a bond, with the system dead.
    Continuity,
    /// Volts at rest.
    Rest,
    /// Current with everything off.
    Drain,
    /// Insulation to hull or bonding.
    Leakage,
    /// Volts across the joints of a bus.
    Joints,
    /// Volts lost on the positive leg, device and switch included.
    DropPositive,
    /// Volts lost on the negative leg.
    DropNegative,
    /// Volts lost from the source to the load, both legs.
    DropWhole,
    /// Volts at the load.
    VoltsAtLoad,
}

impl TestKind {
    /// The word in tables.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Polarity => "polarity",
            Self::Continuity => "continuity",
            Self::Rest => "rest",
            Self::Drain => "drain",
            Self::Leakage => "leakage",
            Self::Joints => "joints",
            Self::DropPositive => "drop-positive",
            Self::DropNegative => "drop-negative",
            Self::DropWhole => "drop-whole",
            Self::VoltsAtLoad => "volts-at-load",
        }
    }

    /// For people.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Self::Polarity => "polarity",
            Self::Continuity => "continuity",
            Self::Rest => "volts at rest",
            Self::Drain => "resting drain",
            Self::Leakage => "insulation to hull",
            Self::Joints => "volts across joints",
            Self::DropPositive => "drop, positive leg",
            Self::DropNegative => "drop, negative leg",
            Self::DropWhole => "drop, source to load",
            Self::VoltsAtLoad => "volts at the load",
        }
    }

    /// The reading of the boat file that answers it.
    fn item(self) -> Option<Item> {
        match self {
            Self::Drain => Some(Item::Drain),
            Self::Leakage => Some(Item::Leakage),
            Self::DropWhole | Self::DropPositive | Self::DropNegative => Some(Item::Drop),
            Self::VoltsAtLoad => Some(Item::Voltage),
            _ => None,
        }
    }

    fn leg(self) -> Leg {
        match self {
            Self::DropPositive => Leg::Positive,
            Self::DropNegative => Leg::Negative,
            _ => Leg::Both,
        }
    }
}

/// One line of the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Test {
    /// Its number, from 1.
    pub number: usize,
    /// What it tests.
    pub kind: TestKind,
    /// What it is about.
    pub subject: String,
    /// The same for people.
    pub name: String,
    /// What to switch on; all else is off.
    pub switch_on: String,
    /// Where to hold the probes.
    pub probe: String,
    /// Current that flows then.
    pub current: Option<Current>,
    /// What a sound one shows.
    pub expected: Option<AnyQuantity>,
    /// Which side of the limit is good.
    pub sense: Sense,
    /// The limit.
    pub limit: Option<AnyQuantity>,
    /// What sets the limit.
    pub clause: String,
    /// How far that can be trusted.
    pub confidence: Confidence,
    /// When it is in order.
    pub verdict: String,
    /// What to do when it is not.
    pub if_not: String,
    /// The reading of the file that answers it: id and value.
    pub found: Option<(String, AnyQuantity)>,
}

impl Test {
    fn new(kind: TestKind, subject: String, name: &str) -> Self {
        Self {
            number: 0,
            kind,
            subject,
            name: name.to_string(),
            switch_on: String::new(),
            probe: String::new(),
            current: None,
            expected: None,
            sense: Sense::AtMost,
            limit: None,
            clause: String::new(),
            confidence: Confidence::CommonPractice,
            verdict: String::new(),
            if_not: String::new(),
            found: None,
        }
    }
}

/// The whole sheet, in the order in which it is worked through: dead, at rest, then circuit by circuit.
///
/// # Errors
/// [`Error::Input`] for values that make no network.
pub fn sheet(design: &Design) -> Result<Vec<Test>, Error> {
    let mut tests = whole::dead_and_at_rest(design);
    tests.extend(circuits::tests(design)?);
    for (at, test) in tests.iter_mut().enumerate() {
        test.number = at + 1;
        let Some(item) = test.kind.item() else { continue };
        let answers = |r: &&crate::found::Reading| {
            r.item == item && r.at == test.subject && r.parts.is_empty() && r.leg == test.kind.leg()
        };
        let reading = design.boat.found.iter().find(answers);
        test.found = reading.and_then(|r| Some((r.id.clone(), r.value.clone()?)));
    }
    Ok(tests)
}
