//! What was found on board: readings and statements of a boat file, and what each sort of them is.

use crate::day::Day;
use orlop::{Severity, choice};
use orlop_units::{AnyQuantity, Current, Kind, Resistance, TemperatureRise, Voltage};

pub(crate) use orlop::proving::uncertainty::HALF_WIDTH;
/// Two counts of a meter that shows millivolts, in volts.
pub(crate) const METER: f64 = 2e-3;

/// How a thing is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Evidence {
    /// Read from an instrument or a tape.
    Measured,
    /// Seen and counted.
    Seen,
    /// Worked out from what the boat file says.
    Inferred,
}

impl Evidence {
    /// The word in tables.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::Seen => "seen",
            Self::Inferred => "inferred",
        }
    }
}

/// What a reading holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holds {
    /// A physical value of this kind.
    Value(Kind),
    /// A count.
    Count,
    /// A count of a total.
    CountOf,
    /// A statement in words.
    Words,
}

/// What was looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)]
pub enum Item {
    Drop,
    Voltage,
    RestDifference,
    Joint,
    Resistance,
    Current,
    StrayCurrent,
    Temperature,
    Drain,
    Leakage,
    Insulation,
    NoDevice,
    DeviceRating,
    Support,
    Movement,
    Lugs,
    TwistOn,
    Labels,
    InOrder,
    Seen,
    NotOpened,
    NotTested,
}

/// One sort of reading.
#[derive(Debug)]
pub struct ItemInfo {
    /// Which.
    pub item: Item,
    /// The word in boat files.
    pub word: &'static str,
    /// The rule that judges it; empty where nothing is judged.
    pub rule: &'static str,
    /// What it holds.
    pub holds: Holds,
    /// Sections whose things it may be about; `boat` is the boat as a whole.
    pub about: &'static [&'static str],
    /// Needs the current at which it was read.
    pub needs_current: bool,
    /// How soon to act when it fails, where the size of the value does not say.
    pub severity: Severity,
    /// What it is, for people.
    pub says: &'static str,
}

macro_rules! items {
    ($($item:ident, $word:literal, $rule:literal, $holds:expr, [$($about:literal),*], $current:literal, $severity:ident, $says:literal;)*) => {
        /// Every sort of reading.
        pub const ITEMS: &[ItemInfo] = &[$(ItemInfo {
            item: Item::$item,
            word: $word,
            rule: $rule,
            holds: $holds,
            about: &[$($about),*],
            needs_current: $current,
            severity: Severity::$severity,
            says: $says,
        }),*];
        /// Their words.
        pub const WORDS: &[&str] = &[$($word),*];
    };
}
use Holds::{Count, CountOf, Value, Words};
items! {
    Drop, "drop", "found-drop", Value(Kind::Voltage), ["load", "circuit"], true, B, "volts lost between source and load with nothing else on, or on one circuit: both legs, one leg or some of its parts";
    Voltage, "voltage", "found-voltage", Value(Kind::Voltage), ["load", "bank"], false, B, "volts at the terminals";
    RestDifference, "rest-difference", "found-rest-difference", Value(Kind::Voltage), ["bank"], false, B, "difference in volts at rest between batteries or cells in series";
    Joint, "joint", "joint-heat", Value(Kind::Voltage), ["circuit", "panel", "bank", "bond"], true, B, "volts across one joint, switch or fuse";
    Resistance, "resistance", "joint-heat", Value(Kind::Resistance), ["circuit", "panel", "bank", "bond"], false, B, "resistance of one joint, switch or fuse";
    Current, "current", "found-current", Value(Kind::Current), ["circuit"], false, A, "current in one conductor";
    StrayCurrent, "stray-current", "found-stray-current", Value(Kind::Current), ["bond"], false, B, "current in what should carry none";
    Temperature, "temperature", "found-temperature", Value(Kind::Temperature), ["circuit", "space"], false, A, "temperature of a conductor, or of the air of a space";
    Drain, "drain", "resting-drain", Value(Kind::Current), ["bank"], false, B, "current with everything off";
    Leakage, "leakage", "hull-leakage", Value(Kind::Resistance), ["bank"], false, B, "insulation to hull or bonding, by the resistor method";
    Insulation, "insulation", "hull-leakage", Value(Kind::Voltage), ["bank"], false, B, "volts of the bank, and of each pole to the hull with a resistor across: insulation of both poles";
    NoDevice, "no-device", "found-no-device", Value(Kind::Length), ["circuit"], false, A, "length of conductor that no fuse or breaker protects at this end";
    DeviceRating, "device-rating", "found-device-rating", Value(Kind::Current), ["circuit"], false, A, "rating of the fuse or breaker";
    Support, "support", "found-support", Value(Kind::Length), ["trunk", "circuit"], false, C, "largest distance between supports";
    Movement, "movement", "found-movement", Value(Kind::Length), ["bank"], false, B, "how far a battery moves when it is pulled";
    Lugs, "lugs", "found-lugs", Count, ["panel", "bank"], false, B, "lugs on one stud or post";
    TwistOn, "twist-on", "found-twist-on", Count, ["circuit", "panel", "space", "trunk", "boat"], false, B, "connectors that are twisted on";
    Labels, "labels", "found-labels", CountOf, ["panel", "boat"], false, C, "circuits that are marked at both ends";
    InOrder, "in-order", "", Words, ["boat", "bank", "source", "panel", "load", "circuit", "ground", "bond", "space", "trunk", "place"], false, C, "looked at and in order";
    Seen, "seen", "", Words, ["boat", "bank", "source", "panel", "load", "circuit", "ground", "bond", "space", "trunk", "place"], false, C, "an observation";
    NotOpened, "not-opened", "", Words, ["boat", "bank", "source", "panel", "load", "circuit", "ground", "bond", "space", "trunk", "place"], false, C, "could not be opened or reached";
    NotTested, "not-tested", "", Words, ["boat", "bank", "source", "panel", "load", "circuit", "ground", "bond", "space", "trunk", "place"], false, C, "was there and was not tested";
}

impl Item {
    /// What is known of this sort.
    #[must_use]
    pub fn info(self) -> &'static ItemInfo {
        &ITEMS[self as usize]
    }
    /// Reads the word of a boat file.
    #[must_use]
    pub fn parse(word: &str) -> Option<Self> {
        ITEMS.iter().find(|i| i.word == word).map(|i| i.item)
    }
}

/// A visit on board.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Visit {
    /// The day; none where it is not stated.
    pub date: Option<Day>,
    /// Who surveyed.
    pub by: String,
    /// What was to be looked at, and what not.
    pub scope: String,
    /// Afloat or ashore, weather, shore lead, rest.
    pub conditions: String,
    /// Instruments, and when each was last checked.
    pub instruments: String,
}

choice! {
    /// A leg of a circuit, or both.
    #[derive(Default)]
    Leg {
        /// Both, one after the other.
        #[default]
        Both = "both",
        /// From the source to the load.
        Positive = "positive",
        /// Back from the load.
        Negative = "negative",
    }
}

choice! {
    /// What a leg of a circuit is made of, from its source on.
    LegPart {
        /// The lug at the source.
        Start = "start",
        /// The fuse or breaker.
        Device = "device",
        /// The switch.
        Switch = "switch",
        /// The conductor.
        Conductor = "conductor",
        /// The lug at the load.
        End = "end",
    }
}

/// Both poles against the hull, each with a resistor across.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Poles {
    /// Volts from positive to the hull.
    pub positive_to_hull: Voltage,
    /// Volts from the hull to negative.
    pub negative_to_hull: Voltage,
    /// The resistor.
    pub resistor: Resistance,
    /// Resistance of the meter.
    pub meter: Resistance,
}

/// One reading or statement.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// Its id: the number of the survey.
    pub id: String,
    /// What it is about: `circuit.D1`, or `boat`.
    pub at: String,
    /// Where exactly, in words.
    pub name: String,
    /// What was looked at.
    pub item: Item,
    /// The value; a count is a plain number; none for a statement.
    pub value: Option<AnyQuantity>,
    /// Half the width of the interval that holds the true value with 95 %, in the base unit of the value.
    pub uncertainty: Option<f64>,
    /// The part of that which differs when the same instrument reads again.
    pub repeat: Option<f64>,
    /// The current at which it was read.
    pub current: Option<Current>,
    /// Rise over the cable at that current, for a joint.
    pub rise: Option<TemperatureRise>,
    /// The leg of the circuit it was read on.
    pub leg: Leg,
    /// What lay between the probes; empty means all of the leg.
    pub parts: Vec<LegPart>,
    /// Volts to the hull, for insulation.
    pub poles: Option<Poles>,
    /// How many there are in all.
    pub of: Option<u32>,
    /// The instrument.
    pub instrument: String,
    /// The day, or the conditions.
    pub when: String,
    /// What was seen, in words.
    pub text: String,
}

impl Reading {
    /// Whether it is about one leg or some parts of a circuit, not the whole of it.
    #[must_use]
    pub fn is_part(&self) -> bool {
        self.leg != Leg::Both || !self.parts.is_empty()
    }
    /// How it is known.
    #[must_use]
    pub fn evidence(&self) -> Evidence {
        match self.item.info().holds {
            Value(_) if self.item == Item::DeviceRating => Evidence::Seen,
            Value(_) => Evidence::Measured,
            Count | CountOf | Words => Evidence::Seen,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_item_stands_at_its_own_place_in_the_list() {
        for (at, info) in ITEMS.iter().enumerate() {
            assert_eq!(info.item as usize, at, "{}", info.word);
            assert_eq!(info.item.info().word, info.word);
            assert_eq!(Item::parse(info.word), Some(info.item));
        }
    }
}
