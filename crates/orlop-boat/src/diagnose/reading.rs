//! What was measured or tried while looking for a fault, in one line each.

use orlop::{Error, choice};
use orlop_units::{AnyQuantity, Kind};

choice! {
    /// What is read or tried. The first six are the words of `[found.ID]` in a boat file.
    What {
        /// Volts between positive and negative.
        Voltage = "voltage",
        /// Volts lost along a circuit, a leg of it, or across one part.
        Drop = "drop",
        /// Amperes.
        Current = "current",
        /// Ohms of a leg from end to end, or across a load, with everything isolated.
        Resistance = "resistance",
        /// How much the volts of batteries or cells in series differ at rest.
        RestDifference = "rest-difference",
        /// How much warmer a joint or device is than the cable beside it.
        Rise = "rise",
        /// Whether the fuse or breaker of a circuit is open or whole.
        Look = "look",
        /// Whether another fuse or breaker makes it better.
        Swap = "swap",
        /// Whether the load works when it is fed straight from the bank.
        Direct = "direct",
        /// Whether another load works.
        Try = "try",
    }
}

impl What {
    /// The two answers, yes first; none where a value is read.
    #[must_use]
    pub fn answers(self) -> Option<(&'static str, &'static str)> {
        match self {
            Self::Look => Some(("open", "whole")),
            Self::Swap => Some(("better", "same")),
            Self::Direct | Self::Try => Some(("works", "fails")),
            _ => None,
        }
    }

    /// The kind of its value.
    #[must_use]
    pub fn kind(self) -> Kind {
        match self {
            Self::Voltage | Self::Drop | Self::RestDifference => Kind::Voltage,
            Self::Current => Kind::Current,
            Self::Resistance => Kind::Resistance,
            Self::Rise => Kind::TemperatureRise,
            Self::Look | Self::Swap | Self::Direct | Self::Try => Kind::Number,
        }
    }

    fn usual(self) -> When {
        match self {
            Self::Resistance => When::Isolated,
            Self::RestDifference => When::Off,
            _ => When::On,
        }
    }
}

choice! {
    /// A part of a circuit that a meter can be held across.
    Spot {
        /// From the source to the load: fuse, switch and lugs with it.
        Positive = "positive",
        /// Back from the load.
        Negative = "negative",
        /// The beginning of the positive leg: its first lug, fuse or breaker, and switch.
        Supply = "supply",
        /// The fuse or breaker with its holder.
        Device = "device",
        /// The switch.
        Switch = "switch",
        /// The first lug of the positive leg.
        StartPositive = "start-positive",
        /// The last lug of the positive leg, at the load.
        EndPositive = "end-positive",
        /// The lug of the negative leg at the source.
        StartNegative = "start-negative",
        /// The lug of the negative leg at the load.
        EndNegative = "end-negative",
    }
}

choice! {
    /// What is on while it is read.
    When {
        /// With what is complained of switched on and all else off.
        On = "on",
        /// With everything off and no charger.
        Off = "off",
        /// With everything off and the chargers on.
        Charging = "charging",
        /// With every source off and the batteries disconnected.
        Isolated = "isolated",
        /// With what dims on, before the other starts.
        Before = "before",
    }
}

/// Where and when something is read: the left side of a reading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Where {
    /// What is read.
    pub what: What,
    /// An address: `load.F1`, `panel.FWD`, `circuit.F1`, `bank.BANK`.
    pub at: String,
    /// The part of a circuit; none for all of it.
    pub spot: Option<Spot>,
    /// What is on.
    pub when: When,
}

impl std::fmt::Display for Where {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {}", self.what.word(), self.at)?;
        self.spot.map_or(Ok(()), |s| write!(f, " {}", s.word()))?;
        if self.when == self.what.usual() { Ok(()) } else { write!(f, " {}", self.when.word()) }
    }
}

/// What came of it.
#[derive(Clone, Debug, PartialEq)]
pub enum Told {
    /// A value, and half the width of the interval that holds the true one with 95 %, where it was stated; in the base unit.
    Value(AnyQuantity, Option<f64>),
    /// The first of [`What::answers`], or the second.
    Answer(bool),
}

/// One reading.
#[derive(Clone, Debug, PartialEq)]
pub struct FaultReading {
    /// Where and when.
    pub place: Where,
    /// What came of it.
    pub told: Told,
}

impl FaultReading {
    /// Reads one line: `voltage load.F1 = 21.9 V`, `drop circuit.F1 negative = 0.31 V +- 2 mV`, `voltage bank.BANK off = 25.9 V`,
    /// `look circuit.F1 = whole`. A part of a circuit and what is on may stand behind the address.
    ///
    /// # Errors
    /// [`Error::Input`] with the words there are; [`Error::Unit`] for a value that is none.
    ///
    /// ```
    /// use orlop_boat::diagnose::{FaultReading, When};
    /// let read = FaultReading::parse("drop circuit.F1 negative = 0.31 V +- 2 mV")?;
    /// assert_eq!(read.place.when, When::On);
    /// assert_eq!(read.to_string(), "drop circuit.F1 negative = 0.31 V +- 2 mV");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn parse(text: &str) -> Result<Self, Error> {
        let wrong = |got: &str, expected: &str| {
            Error::input("reading", format!("'{}'", got.trim()), expected.to_string())
        };
        let example = "what, where and the value: voltage load.F1 = 21.9 V";
        let (left, right) = text.split_once('=').ok_or_else(|| wrong(text, example))?;
        let mut words = left.split_whitespace();
        let first = words.next().unwrap_or_default();
        let what = What::parse(first, "reading")?;
        let at = words.next().filter(|w| w.contains('.')).ok_or_else(|| wrong(text, example))?;
        let (mut spot, mut when) = (None, None);
        for word in words {
            match (Spot::parse(word, "reading"), When::parse(word, "reading")) {
                (Ok(s), _) if spot.is_none() => spot = Some(s),
                (_, Ok(w)) if when.is_none() => when = Some(w),
                _ => {
                    let (spots, whens) = (Spot::WORDS.join(", "), When::WORDS.join(", "));
                    let expected = format!("a part ({spots}), or what is on ({whens}), once");
                    return Err(wrong(word, &expected));
                }
            }
        }
        let place = Where { what, at: at.into(), spot, when: when.unwrap_or(what.usual()) };
        let told = told(&place, right.trim(), wrong)?;
        Ok(Self { place, told })
    }
}

impl FaultReading {
    /// Text that reads back to the same bits.
    #[must_use]
    pub fn exact(&self) -> String {
        match &self.told {
            Told::Answer(_) => self.to_string(),
            Told::Value(value, half) => {
                let half = half.map(|si| AnyQuantity { kind: value.kind, si, as_written: None });
                let half = half.map_or(String::new(), |half| format!(" +- {}", half.exact()));
                format!("{} = {}{half}", self.place, value.exact())
            }
        }
    }
}

fn told(place: &Where, right: &str, wrong: impl Fn(&str, &str) -> Error) -> Result<Told, Error> {
    if let Some((yes, no)) = place.what.answers() {
        return match right {
            r if r == yes => Ok(Told::Answer(true)),
            r if r == no => Ok(Told::Answer(false)),
            _ => Err(wrong(right, &format!("{yes} or {no}"))),
        };
    }
    let field = place.to_string();
    let (value, half) = match right.split_once("+-").or_else(|| right.split_once('±')) {
        Some((value, half)) => (value, Some(half)),
        None => (right, None),
    };
    let kind = place.what.kind();
    let open = kind == Kind::Resistance && value.trim() == "open";
    let value = AnyQuantity::parse_kind(if open { "1 Mohm" } else { value }, &field, kind)?;
    let within = |limit: f64| value.si.abs() <= limit;
    let (possible, range) = match kind {
        Kind::Voltage => (within(1000.0), "volts of a boat, between -1000 V and 1000 V"),
        Kind::Current => (within(20_000.0), "amperes of a boat, at most 20 kA"),
        Kind::Resistance => (value.si >= 0.0, "zero or more; write 'open' where the meter shows no value"),
        _ => (within(500.0), "a rise of at most 500 K"),
    };
    if !possible || !value.si.is_finite() {
        return Err(Error::input(&field, value.to_string(), range));
    }
    let half = match half {
        Some(text) => {
            let half = AnyQuantity::parse_kind(text, &field, kind)?;
            if half.si <= 0.0 {
                return Err(Error::input(&field, format!("+- {half}"), "an uncertainty above zero"));
            }
            Some(half.si)
        }
        None => None,
    };
    Ok(Told::Value(value, half))
}

impl std::fmt::Display for FaultReading {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} = ", self.place)?;
        match &self.told {
            Told::Answer(yes) => {
                let (a, b) = self.place.what.answers().unwrap_or(("yes", "no"));
                f.write_str(if *yes { a } else { b })
            }
            Told::Value(value, half) => {
                write!(f, "{value}")?;
                let half = half.map(|si| AnyQuantity { kind: value.kind, si, as_written: None });
                half.map_or(Ok(()), |half| write!(f, " +- {half}"))
            }
        }
    }
}
