//! One value of the file: from its node to what the field list says it is.

use super::fields::{Bound, Field, What};
use super::place;
use super::problem::Problems;
use super::row::{Cell, Measure};
use super::tree::{Entry, Item, Node, short};
use crate::day::Day;
use crate::model::Known;
use orlop_units::{AnyQuantity, ConductorSize, Current, Kind, Quantity, Time, UnitError, parse, show_si};

/// Reads values and notes what is wrong with them.
pub(super) struct Reader<'a> {
    pub problems: &'a mut Problems,
    pub address: String,
    pub field: &'static Field,
}

/// Kinds that an instrument on board shows.
pub(super) const READINGS: &[Kind] =
    &[Kind::Voltage, Kind::Current, Kind::Resistance, Kind::Temperature, Kind::TemperatureRise, Kind::Length];

/// Whether a word may be an id.
pub(super) fn is_id(text: &str) -> bool {
    text.len() <= 64
        && text.starts_with(|c: char| c.is_ascii_alphabetic())
        && text.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-')
}

impl Reader<'_> {
    pub fn read(&mut self, node: &Node) -> Option<Cell> {
        match self.field.what {
            What::Text => self.text(node).map(|t| Cell::Text(t.to_string())),
            What::Day => self.day(node).map(Cell::Day),
            What::Flag => match node.item {
                Item::Flag(flag) => Some(Cell::Flag(flag)),
                _ => self.wrong(node),
            },
            What::Count(least) => self.count(node, least),
            What::Quantity(kind, bound) => self.measure(node, Some(kind), bound).map(Cell::Measure),
            What::Demand => self.measure(node, None, Bound::Positive).map(Cell::Measure),
            What::Reading => self.reading(node).map(Cell::Measure),
            What::About => self.text(node).map(|t| Cell::Text(t.to_string())),
            What::Size => {
                let text = self.text(node)?;
                self.unit(node, ConductorSize::parse(text, self.field.key)).map(Cell::Size)
            }
            What::Device => self.device(node),
            What::Choice(words) => self.choice(node, words),
            What::Families => self.list_of_text(node).map(Cell::Families),
            What::Words(words) => self.words(node, words),
            What::Id(_) => self.text(node).map(|t| Cell::Id(t.to_string())),
            What::Ids(_) => self.list_of_text(node).map(Cell::Ids),
            What::Point => place::point(self, node).map(Cell::Point),
            What::Corners => place::corners(self, node).map(Cell::Corners),
            What::Boxes => place::boxes(self, node).map(Cell::Boxes),
            What::Hours => self.hours(node),
            What::Ends(kind) => self.ends(node, kind),
        }
    }

    /// Notes that a value is of the wrong shape.
    pub fn wrong<T>(&mut self, node: &Node) -> Option<T> {
        let what = format!("{} cannot be {}", self.field.key, node.item.words());
        self.note(node, what, self.field.expected(), String::new())
    }

    pub fn note<T>(&mut self, node: &Node, what: String, expected: String, hint: String) -> Option<T> {
        self.problems.add(&node.at, self.address.clone(), what, expected, hint);
        None
    }

    /// Text; a bare number gets the hint about units.
    pub fn text<'n>(&mut self, node: &'n Node) -> Option<&'n str> {
        match &node.item {
            Item::Text(text) => Some(text),
            Item::Number(number) => {
                let number = short(number);
                if number.contains("nan") || number.contains("inf") {
                    let what = format!("{} cannot be {number}: that is no value", self.field.key);
                    return self.note(node, what, self.field.expected(), String::new());
                }
                let example = match self.field.what {
                    What::Quantity(kind, _) | What::Ends(kind) => {
                        format!("{number} {}", kind.units()[0].symbol)
                    }
                    _ => self.field.example.trim_matches(['[', ']', '"']).to_string(),
                };
                let what = format!("{} cannot be the bare number {number}", self.field.key);
                let hint =
                    format!("write the unit, and quotes around both, for example \"{}\"", example.trim());
                self.note(node, what, self.field.expected(), hint)
            }
            _ => self.wrong(node),
        }
    }

    /// Passes a value of the units crate on, or its error.
    pub fn unit<T>(&mut self, node: &Node, result: Result<T, UnitError>) -> Option<T> {
        let error = match result {
            Ok(value) => return Some(value),
            Err(error) => error,
        };
        let key = self.field.key;
        let mut expected = error.expected();
        let (what, hint) = match &error {
            UnitError::WrongKind { expected, got, found, .. } => (
                format!("{key} is {}, '{got}' is {}", expected.with_article(), found.with_article()),
                String::new(),
            ),
            UnitError::Bare { expected, got, .. } => (
                format!("{key} needs its unit: got the bare number '{got}'"),
                format!("write the unit, for example \"{got} {}\"", expected.units()[0].symbol),
            ),
            UnitError::Unreadable { got, hint, .. } => {
                (format!("{key}: cannot read '{got}'"), hint.trim_start_matches("; ").to_string())
            }
            UnitError::Impossible { got, why, .. } => {
                expected = self.field.expected();
                (format!("{key}: '{got}' {why}"), String::new())
            }
            other => (other.to_string(), String::new()),
        };
        self.note(node, what, expected, hint)
    }

    fn count(&mut self, node: &Node, least: u32) -> Option<Cell> {
        let Item::Number(number) = &node.item else { return self.wrong(node) };
        match number.parse::<u32>() {
            Ok(n) if (least..=10_000).contains(&n) => Some(Cell::Count(n)),
            _ => {
                let what = format!("{} cannot be {}", self.field.key, short(number));
                self.note(node, what, self.field.expected(), String::new())
            }
        }
    }

    fn choice(&mut self, node: &Node, words: &[&str]) -> Option<Cell> {
        let text = self.text(node)?;
        if words.contains(&text) {
            return Some(Cell::Text(text.to_string()));
        }
        let what = format!("{} cannot be '{}'", self.field.key, short(text));
        let hint = super::nearest::nearest(text, words.iter().copied())
            .map_or_else(String::new, |near| format!("did you mean '{near}'?"));
        self.note(node, what, self.field.expected(), hint)
    }

    /// A list of texts; a lone text is refused with the list to write.
    fn words(&mut self, node: &Node, words: &[&str]) -> Option<Cell> {
        let list = self.list_of_text(node)?;
        if let Some((other, _)) = list.iter().find(|(word, _)| !words.contains(&word.as_str())) {
            let hint = super::nearest::suggest(other, words.iter().copied());
            let what = format!("{}: '{}' is none of the words", self.field.key, short(other));
            return self.note(node, what, self.field.expected(), hint);
        }
        Some(Cell::Families(list))
    }

    fn list_of_text(&mut self, node: &Node) -> Option<Vec<(String, super::tree::Span)>> {
        let Item::List(list) = &node.item else {
            if let Item::Text(text) = &node.item {
                let what = format!("{} is a list, even of one", self.field.key);
                let hint = format!("write {} = [\"{}\"]", self.field.key, short(text));
                return self.note(node, what, self.field.expected(), hint);
            }
            return self.wrong(node);
        };
        let mut out = Vec::new();
        for item in list {
            match &item.item {
                Item::Text(text) => out.push((text.clone(), item.at.clone())),
                _ => return self.wrong(item),
            }
        }
        Some(out)
    }

    fn day(&mut self, node: &Node) -> Option<Day> {
        let text = self.text(node)?;
        let Ok(day) = Day::parse(text, self.field.key) else {
            let what = format!("{} cannot be '{}'", self.field.key, short(text));
            return self.note(node, what, self.field.expected(), String::new());
        };
        Some(day)
    }

    /// A value that an instrument shows, of whatever kind.
    fn reading(&mut self, node: &Node) -> Option<Measure> {
        let text = self.text(node)?;
        let key = self.field.key;
        let value = self.unit(node, AnyQuantity::parse(text, key))?;
        if !READINGS.contains(&value.kind) {
            let what = format!("{key} cannot be {}: '{}'", value.kind.with_article(), short(text));
            return self.note(node, what, self.field.expected(), String::new());
        }
        let bound = match value.kind {
            Kind::Temperature => Bound::Between(-100.0, 1000.0),
            // A meter across a sound joint may show a little less than nothing: what is looked at tells how much.
            Kind::Voltage if key == "value" => Bound::Between(-1e4, 1e4),
            _ => Bound::NotNegative,
        };
        let value = self.within(node, value, bound)?;
        Some(Measure { value, known: Known::Measured, range: None })
    }

    /// A physical value, as text or as a table that also says how it is known.
    fn measure(&mut self, node: &Node, kind: Option<Kind>, bound: Bound) -> Option<Measure> {
        let Item::Table(entries) = &node.item else {
            let value = self.quantity(node, kind, bound)?;
            return Some(Measure { value, known: Known::Stated, range: None });
        };
        let get = self.keys(entries, &["value", "known", "low", "high"])?;
        let [value, known, low, high] = get[..] else { return None };
        let Some(value_node) = value else {
            let what = format!("{} has no value", self.field.key);
            return self.note(node, what, "value = \"...\" in the table".into(), String::new());
        };
        let value = self.quantity(&value_node.node, kind, bound);
        let known = self.known(known);
        let ends_kind = value.as_ref().map(|v| v.kind).or(kind);
        let low = match low {
            Some(e) => Some(self.quantity(&e.node, ends_kind, bound)?.si),
            None => None,
        };
        let high = match high {
            Some(e) => Some(self.quantity(&e.node, ends_kind, bound)?.si),
            None => None,
        };
        let (value, known) = (value?, known?);
        let range = match (low, high) {
            (Some(low), Some(high)) => Some((low, high)),
            (None, None) if known == Known::Guess => {
                let what = format!("{} is a guess without a range", self.field.key);
                let hint = "a guess needs both ends: low = \"...\", high = \"...\"".into();
                return self.note(node, what, "low and high beside the value".into(), hint);
            }
            (None, None) => None,
            _ => {
                let what = format!("{} has only one end of its range", self.field.key);
                return self.note(node, what, "both low and high, or neither".into(), String::new());
            }
        };
        if let Some((low, high)) = range
            && !(low <= value.si && value.si <= high)
        {
            let shown = |si| show_si(value.kind, si);
            let what = format!(
                "{}: the range {} to {} does not hold the value {}",
                self.field.key,
                shown(low),
                shown(high),
                shown(value.si)
            );
            return self.note(node, what, "low <= value <= high".into(), String::new());
        }
        Some(Measure { value, known, range })
    }

    fn known(&mut self, entry: Option<&Entry>) -> Option<Known> {
        let Some(entry) = entry else { return Some(Known::Stated) };
        let word = match &entry.node.item {
            Item::Text(text) => text.as_str(),
            _ => "",
        };
        match word {
            "label" => Some(Known::Label),
            "measured" => Some(Known::Measured),
            "guess" => Some(Known::Guess),
            _ => {
                let what = format!("known cannot be {}", entry.node.item.words());
                let hint = super::nearest::nearest(word, ["label", "measured", "guess"])
                    .map_or_else(String::new, |near| format!("did you mean '{near}'?"));
                self.note(&entry.node, what, "one of label, measured, guess".into(), hint)
            }
        }
    }

    /// Picks keys of an inline table; any other key is an error.
    fn keys<'n>(&mut self, entries: &'n [Entry], known: &[&'static str]) -> Option<Vec<Option<&'n Entry>>> {
        let mut fine = true;
        for entry in entries.iter().filter(|e| !known.contains(&e.key.as_str())) {
            fine = false;
            let what = format!("{} does not know the key '{}'", self.field.key, short(&entry.key));
            let hint = super::nearest::suggest(&entry.key, known.iter().copied());
            self.problems.add(
                &entry.at,
                self.address.clone(),
                what,
                format!("one of {}", known.join(", ")),
                hint,
            );
        }
        fine.then(|| known.iter().map(|k| entries.iter().find(|e| e.key == *k)).collect())
    }

    /// A value with its unit, within its bounds.
    pub fn quantity(&mut self, node: &Node, kind: Option<Kind>, bound: Bound) -> Option<AnyQuantity> {
        let text = self.text(node)?;
        let key = self.field.key;
        let value = match kind {
            Some(kind) => AnyQuantity::parse_kind(text, key, kind),
            None => AnyQuantity::parse(text, key),
        };
        let value = self.unit(node, value)?;
        if kind.is_none() && !matches!(value.kind, Kind::Power | Kind::Current | Kind::Resistance) {
            let what = format!("{key} cannot be {}: '{}'", value.kind.with_article(), short(text));
            return self.note(node, what, self.field.expected(), String::new());
        }
        self.within(node, value, bound)
    }

    fn within(&mut self, node: &Node, value: AnyQuantity, bound: Bound) -> Option<AnyQuantity> {
        let si = value.si;
        let shown = |si| show_si(value.kind, si);
        let (fine, wanted) = match bound {
            Bound::Positive => (si > 0.0, "above zero".to_string()),
            Bound::NotNegative => (si >= 0.0, "zero or above".to_string()),
            Bound::Share => (si > 0.0 && si <= 1.0, "above zero and at most 100 %".to_string()),
            Bound::Between(low, high) => {
                ((low..=high).contains(&si), format!("from {} to {}", shown(low), shown(high)))
            }
        };
        let written = value.as_written.clone().unwrap_or_else(|| shown(si));
        if !fine {
            let what = format!("{} cannot be '{}'", self.field.key, short(&written));
            let expected = format!("{}, {wanted}", value.kind.with_article());
            return self.note(node, what, expected, String::new());
        }
        let (least, most) = value.kind.test_range();
        let (least, most) = (least / 1000.0, most * 10.0);
        let signed = matches!(value.kind, Kind::Temperature | Kind::Fraction);
        if !signed && si != 0.0 && !(least..=most).contains(&si.abs()) {
            let what =
                format!("{}: '{}' is beyond anything on a small boat", self.field.key, short(&written));
            let expected = format!("{} from {} to {}", value.kind.with_article(), shown(least), shown(most));
            return self.note(node, what, expected, "check the number and its unit".into());
        }
        Some(value)
    }

    fn device(&mut self, node: &Node) -> Option<Cell> {
        let Item::Table(entries) = &node.item else {
            let rating = self.quantity(node, Some(Kind::Current), Bound::Positive)?;
            return Some(Cell::Device(None, Current::from_si(rating.si)));
        };
        let get = self.keys(entries, &["family", "rating"])?;
        let [family, rating] = get[..] else { return None };
        let Some(rating) = rating else {
            return self.note(node, "device has no rating".into(), self.field.expected(), String::new());
        };
        let rating = self.quantity(&rating.node, Some(Kind::Current), Bound::Positive)?;
        let family = match family {
            Some(entry) => Some(self.text(&entry.node)?.to_string()),
            None => None,
        };
        Some(Cell::Device(family, Current::from_si(rating.si)))
    }

    fn hours(&mut self, node: &Node) -> Option<Cell> {
        let Item::Table(entries) = &node.item else { return self.wrong(node) };
        let mut out = Vec::new();
        for entry in entries {
            if !is_id(&entry.key) {
                let what = format!("'{}' is no name for a day profile", short(&entry.key));
                return self.note(&entry.node, what, "letters, digits, '_' and '-'".into(), String::new());
            }
            let text = self.text(&entry.node)?;
            let time = self.unit(&entry.node, parse::<Time>(text, self.field.key))?;
            if !(0.0..=86_400.0).contains(&time.si()) {
                let what = format!("{}: '{}' does not fit into a day", self.field.key, short(text));
                return self.note(&entry.node, what, "from 0 h to 24 h".into(), String::new());
            }
            out.push((entry.key.clone(), time));
        }
        Some(Cell::Hours(out))
    }

    fn ends(&mut self, node: &Node, kind: Kind) -> Option<Cell> {
        let Item::Table(entries) = &node.item else { return self.wrong(node) };
        let get = self.keys(entries, &["low", "high"])?;
        let [low, high] = get[..] else { return None };
        let mut end = |entry: Option<&Entry>| match entry {
            Some(entry) => self.quantity(&entry.node, Some(kind), Bound::Positive).map(|q| Some(q.si)),
            None => Some(None),
        };
        let (low, high) = (end(low)?, end(high)?);
        if let (Some(l), Some(h)) = (low, high)
            && l > h
        {
            let what =
                format!("{}: low {} is above high {}", self.field.key, show_si(kind, l), show_si(kind, h));
            return self.note(node, what, "low <= high".into(), String::new());
        }
        Some(Cell::Ends(low, high))
    }
}
