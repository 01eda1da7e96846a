//! Which column holds what, and in which unit.

use crate::error::Error;

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// Time: since any moment in seconds, minutes, hours or days, a time of day, or date and time.
    Time,
    /// The date, where time of day has a column of its own.
    Date,
    /// Current of the bank.
    Current,
    /// Voltage of the bank.
    Voltage,
    /// Temperature of the bank.
    Temperature,
    /// State of charge that a monitor indicates.
    Indicated,
    /// Voltage of one cell.
    Cell,
}

/// A column named by the reader of the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choice {
    /// What it holds.
    pub role: Role,
    /// Its name in the head of the file; a unit in square brackets may follow.
    pub column: String,
}

/// A column of the file that is read.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Column {
    pub role: Role,
    pub field: usize,
    pub name: String,
    /// What its unit is in s, A, V, degC or percent; none where no unit is told.
    pub unit: Option<Unit>,
}

/// A unit: value = factor x cell / divisor + offset. Dividing by a thousand keeps decimals that multiplying by a thousandth would not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Unit {
    pub factor: f64,
    pub divisor: f64,
    pub offset: f64,
}

impl Unit {
    pub const SAME: Self = Self { factor: 1.0, divisor: 1.0, offset: 0.0 };
    const MILLI: Self = Self { divisor: 1000.0, ..Self::SAME };

    fn times(factor: f64) -> Option<Self> {
        Some(Self { factor, ..Self::SAME })
    }

    #[inline]
    pub fn value(self, cell: f64) -> f64 {
        self.factor * cell / self.divisor + self.offset
    }
}

impl Role {
    const ALL: [(&'static str, Self); 7] = [
        ("time", Self::Time),
        ("date", Self::Date),
        ("current", Self::Current),
        ("voltage", Self::Voltage),
        ("temperature", Self::Temperature),
        ("indicated", Self::Indicated),
        ("cell", Self::Cell),
    ];

    /// Reads "time", "date", "current", "voltage", "temperature", "indicated" or "cell".
    ///
    /// # Errors
    /// [`Error::Input`] for any other word.
    pub fn parse(text: &str) -> Result<Self, Error> {
        Self::ALL.iter().find(|(word, _)| *word == text.trim()).map(|(_, role)| *role).ok_or_else(|| {
            Error::input("column", format!("'{text}'"), format!("one of {}", Self::words().join(", ")))
        })
    }

    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(_, role)| *role == self).map_or("", |(word, _)| word)
    }

    fn words() -> Vec<&'static str> {
        Self::ALL.iter().map(|(word, _)| *word).collect()
    }

    /// A unit by its name.
    fn unit(self, unit: &str) -> Option<Unit> {
        let unit = unit.trim().to_lowercase();
        match (self, unit.as_str()) {
            (Self::Time, "s" | "sec" | "secs" | "second" | "seconds")
            | (Self::Current, "a" | "amp" | "amps" | "ampere" | "amperes")
            | (Self::Voltage | Self::Cell, "v" | "volt" | "volts")
            | (Self::Indicated, "%" | "percent" | "pct") => Some(Unit::SAME),
            (Self::Temperature, "c" | "degc" | "deg c" | "°c" | "º c" | "ºc" | "celsius" | "\u{fffd}c") => {
                Some(Unit::SAME)
            }
            (Self::Time, "ms" | "millisecond" | "milliseconds")
            | (Self::Current, "ma")
            | (Self::Voltage | Self::Cell, "mv") => Some(Unit::MILLI),
            (Self::Time, "min" | "mins" | "minute" | "minutes") => Unit::times(60.0),
            (Self::Time, "h" | "hr" | "hrs" | "hour" | "hours") => Unit::times(3600.0),
            (Self::Time, "d" | "day" | "days") => Unit::times(86400.0),
            (Self::Temperature, "k") => Some(Unit { offset: -273.15, ..Unit::SAME }),
            (Self::Temperature, "f" | "degf" | "deg f" | "°f" | "\u{fffd}f") => {
                Some(Unit { divisor: 1.8, offset: -32.0 / 1.8, ..Unit::SAME })
            }
            _ => None,
        }
    }

    /// Units that are read, for messages.
    fn units(self) -> &'static str {
        match self {
            Self::Time => "s, ms, min, h or d",
            Self::Current => "A or mA",
            Self::Voltage | Self::Cell => "V or mV",
            Self::Temperature => "degC, degF or K",
            Self::Indicated => "%",
            Self::Date => "",
        }
    }

    /// What a name in the head of a file speaks of; none when of nothing that is read.
    fn of(name: &str) -> Option<Self> {
        let lower = name.to_lowercase();
        let words: Vec<&str> =
            lower.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
        let any = |list: &[&str]| words.iter().any(|w| list.contains(w));
        // A figure made from several is not what is wanted.
        if any(&[
            "min",
            "max",
            "lowest",
            "highest",
            "mean",
            "average",
            "avg",
            "delta",
            "diff",
            "sum",
            "remaining",
            "go",
        ]) {
            let minutes = words.last() == Some(&"min") && any(&["time", "elapsed"]);
            return minutes.then_some(Self::Time);
        }
        let cell = words
            .iter()
            .any(|w| w.strip_prefix("cell").is_some_and(|n| n.chars().all(|c| c.is_ascii_digit())));
        Some(if any(&["temperature", "temp"]) {
            Self::Temperature
        } else if cell && (any(&["voltage", "volts"]) || unit_of(Self::Cell, name).is_some()) {
            Self::Cell
        } else if cell {
            return None;
        } else if any(&["soc", "indicated"]) || lower.contains("state of charge") {
            Self::Indicated
        } else if any(&["current", "amps", "amperes"]) {
            Self::Current
        } else if any(&["voltage", "volts"]) {
            Self::Voltage
        } else if any(&["time", "timestamp", "datetime", "elapsed"]) {
            Self::Time
        } else if any(&["date"]) {
            Self::Date
        } else {
            return None;
        })
    }
}

/// The unit that a name carries: in brackets at its end, or as its last word.
fn unit_of(role: Role, name: &str) -> Option<Unit> {
    let name = name.trim();
    let inside =
        |open: char, close: char| name.strip_suffix(close).and_then(|n| n.rsplit_once(open)).map(|(_, u)| u);
    if let Some(unit) = inside('(', ')').or_else(|| inside('[', ']')) {
        return role.unit(unit);
    }
    name.rsplit_once(['_', '/', ',', ':', ' ']).and_then(|(_, unit)| role.unit(unit))
}

/// The columns that are read, in the order of roles and then of the file.
pub(super) fn columns(head: &[String], choices: &[Choice]) -> Result<Vec<Column>, Error> {
    let there = || {
        let shown: Vec<String> = head.iter().take(20).map(|h| format!("'{h}'")).collect();
        format!("one of {}{}", shown.join(", "), if head.len() > 20 { ", ..." } else { "" })
    };
    let mut found = Vec::new();
    for choice in choices {
        let wanted = choice.column.trim();
        let bare = wanted.strip_suffix(']').and_then(|w| w.rsplit_once('[')).map(|(name, _)| name.trim());
        let place = |name: &str| head.iter().position(|h| h.trim() == name);
        let Some(field) = place(wanted).or_else(|| bare.and_then(place)) else {
            return Err(Error::input(choice.role.word(), format!("a column '{wanted}'"), there()));
        };
        let unit = unit_of(choice.role, wanted).or_else(|| unit_of(choice.role, &head[field]));
        found.push(Column { role: choice.role, field, name: head[field].clone(), unit });
    }
    let chosen = found.clone();
    for (field, name) in head.iter().enumerate() {
        let Some(role) = Role::of(name) else { continue };
        if chosen.iter().any(|c| c.role == role || c.field == field) {
            continue;
        }
        found.push(Column { role, field, name: name.clone(), unit: unit_of(role, name) });
    }
    found.sort_by_key(|c| (c.role, c.field));
    // A date beside a moment that has one is of no use; `layout` finds out by looking at the cells.
    for pair in found.windows(2) {
        if pair[0].role == pair[1].role && pair[0].role != Role::Cell {
            let got = format!("two columns that may be it: '{}' and '{}'", pair[0].name, pair[1].name);
            return Err(choose(pair[0].role, got));
        }
    }
    for (role, what) in [(Role::Time, "a time"), (Role::Current, "a current")] {
        let absent = !found.iter().any(|c| c.role == role || (role == Role::Time && c.role == Role::Date));
        if absent {
            return Err(choose(
                role,
                format!("no column that is {what}, but {}", there().trim_start_matches("one of ")),
            ));
        }
    }
    for c in &found {
        // Time may be dates and clocks, which need no unit.
        if c.unit.is_none() && !matches!(c.role, Role::Time | Role::Date) {
            return Err(no_unit(c));
        }
    }
    Ok(found)
}

/// The error for a column of numbers without a unit.
pub(super) fn no_unit(c: &Column) -> Error {
    Error::Input {
        field: c.role.word().into(),
        got: format!("a column '{}' without a unit", c.name),
        expected: format!("a unit in its name: {}", c.role.units()),
        hint: format!(
            "say it: column {}='{} [{}]'",
            c.role.word(),
            c.name,
            c.role.units().split([',', ' ']).next().unwrap_or("")
        ),
    }
}

fn choose(role: Role, got: String) -> Error {
    Error::Input {
        field: role.word().into(),
        got,
        expected: format!("one column in {}", role.units()),
        hint: format!("name it: column {}=NAME, or {}='NAME [unit]'", role.word(), role.word()),
    }
}
