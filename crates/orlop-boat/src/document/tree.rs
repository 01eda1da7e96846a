//! The text of a boat file as a tree in which every node knows its place.

use super::problem::Problems;
use toml::de::{DeTable, DeValue};

/// Bytes of the text, from and up to.
pub(super) type Span = std::ops::Range<usize>;

/// Above this size only the first error of the text is looked for.
const RECOVER_BELOW: usize = 1_000_000;
/// After this many slips of notation the rest is mostly their echo.
const MOST_OF_NOTATION: usize = 8;
/// Of more names that are there twice only the number is told.
const MOST_TWICE: usize = 60;

/// A value and where it stands.
#[derive(Debug)]
pub(super) struct Node {
    pub at: Span,
    pub item: Item,
}

/// What a value is before anyone knows what it should be.
#[derive(Debug)]
pub(super) enum Item {
    Text(String),
    Number(String),
    Flag(bool),
    Date(String),
    List(Vec<Node>),
    Table(Vec<Entry>),
}

/// A key, where it stands, and its value.
#[derive(Debug)]
pub(super) struct Entry {
    pub key: String,
    pub at: Span,
    pub node: Node,
}

impl Item {
    /// What it is, in words.
    pub fn words(&self) -> String {
        match self {
            Self::Text(t) => format!("the text '{}'", short(t)),
            Self::Number(n) => format!("the bare number {}", short(n)),
            Self::Flag(f) => format!("{f}"),
            Self::Date(d) => format!("the date {d}"),
            Self::List(_) => "a list".into(),
            Self::Table(_) => "a table".into(),
        }
    }
}

/// The beginning of a long text.
pub(super) fn short(text: &str) -> String {
    const MOST: usize = 60;
    if text.chars().count() <= MOST {
        return text.to_string();
    }
    text.chars().take(MOST).chain("...".chars()).collect()
}

/// Reads the text; problems of the notation itself go to the list.
///
/// Returns nothing when the text is too broken to say more about it.
pub(super) fn parse(text: &str, problems: &mut Problems) -> Option<Vec<Entry>> {
    let (table, errors) = if text.len() < RECOVER_BELOW {
        let (table, errors) = DeTable::parse_recoverable(text);
        (Some(table), errors)
    } else {
        match DeTable::parse(text) {
            Ok(table) => (Some(table), Vec::new()),
            Err(error) => (None, vec![error]),
        }
    };
    let (twice, broken): (Vec<_>, Vec<_>) =
        errors.iter().partition(|e| e.message().starts_with("duplicate key"));
    duplicates(text, twice.iter().map(|e| place_of(e, text)).collect(), problems);
    for error in broken.iter().take(MOST_OF_NOTATION) {
        let at = place_of(error, text);
        let (what, expected) = error.message().split_once(", expected ").unwrap_or((error.message(), ""));
        let hint = hint_for_notation(text, at.start);
        let expected = if hint.is_empty() { expected } else { "" };
        problems.add(&at, "", format!("cannot read the text here: {what}"), expected, hint);
        if what.contains("recursion") {
            break;
        }
    }
    if !broken.is_empty() {
        return None;
    }
    table.map(|t| entries(t.into_inner()))
}

/// A single value of the notation, such as a default.
pub(super) fn value(text: &str) -> Option<Node> {
    DeValue::parse(text).ok().map(|v| node(v.span(), v.into_inner()))
}

fn entries(table: DeTable<'_>) -> Vec<Entry> {
    let mut list: Vec<_> = table
        .into_iter()
        .map(|(key, value)| Entry {
            at: key.span(),
            key: key.into_inner().into_owned(),
            node: node(value.span(), value.into_inner()),
        })
        .collect();
    list.sort_by_key(|e| e.at.start);
    list
}

fn node(at: Span, value: DeValue<'_>) -> Node {
    let item = match value {
        DeValue::String(text) => Item::Text(text.into_owned()),
        DeValue::Integer(n) => Item::Number(n.to_string()),
        DeValue::Float(n) => Item::Number(n.to_string()),
        DeValue::Boolean(flag) => Item::Flag(flag),
        DeValue::Datetime(date) => Item::Date(date.to_string()),
        DeValue::Array(list) => {
            Item::List(list.into_iter().map(|v| node(v.span(), v.into_inner())).collect())
        }
        DeValue::Table(table) => Item::Table(entries(table)),
    };
    Node { at, item }
}

fn place_of(error: &toml::de::Error, text: &str) -> Span {
    error.span().unwrap_or(text.len()..text.len())
}

/// Names that are there twice; keys inside a section that is itself there twice are no news.
fn duplicates(text: &str, mut places: Vec<Span>, problems: &mut Problems) {
    problems.skip(places.len().saturating_sub(MOST_TWICE));
    places.truncate(MOST_TWICE);
    let line_start = |byte: usize| text.get(..byte).and_then(|t| t.rfind('\n')).map_or(0, |n| n + 1);
    let line_at = |start: usize| text[start..].lines().next().unwrap_or("");
    let is_header = |line: &str| line.trim_start().starts_with('[');
    let (headers, keys): (Vec<_>, Vec<_>) =
        places.into_iter().partition(|at| is_header(line_at(line_start(at.start))));
    let doubled: Vec<_> = headers.iter().map(|at| line_start(at.start)).collect();
    for at in headers {
        let start = line_start(at.start);
        let mine = key_of(line_at(start));
        let first = text[..start].lines().position(|above| key_of(above) == mine);
        report_twice(&at, mine.trim_matches(['[', ']']), &format!("the section {mine}"), first, problems);
    }
    for at in keys {
        let start = line_start(at.start);
        let mine = key_of(line_at(start));
        let (mut section, mut first, mut byte) = (None, None, 0);
        for (number, above) in text[..start].split_inclusive('\n').enumerate() {
            if is_header(above) {
                (section, first) = (Some(byte), None);
            } else if key_of(above) == mine {
                first = first.or(Some(number));
            }
            byte += above.len();
        }
        if section.is_some_and(|s| doubled.contains(&s)) {
            continue;
        }
        let name = text.get(at.clone()).unwrap_or(mine);
        report_twice(&at, "", &format!("the key '{name}'"), first, problems);
    }
}

fn report_twice(at: &Span, address: &str, name: &str, first: Option<usize>, problems: &mut Problems) {
    let hint = first.map_or_else(String::new, |n| {
        format!("the first stands in line {}; rename or remove one of them", n + 1)
    });
    problems.add(at, address, format!("{name} is there twice"), "each name once", hint);
}

/// `[load.X]` of a header line, `run` of a line with a value.
fn key_of(line: &str) -> &str {
    let line = line.trim();
    if line.starts_with('[') {
        return line.find(']').map_or(line, |n| &line[..=n]);
    }
    line.split('=').next().unwrap_or(line).trim()
}

/// The commonest slip: a value with its unit, but no quotes around it.
fn hint_for_notation(text: &str, at: usize) -> String {
    let start = text.get(..at).and_then(|t| t.rfind('\n')).map_or(0, |n| n + 1);
    let line = text.get(start..).and_then(|t| t.lines().next()).unwrap_or("");
    if line.len() < 120
        && let Some((key, value)) = line.split_once('=')
    {
        let value = value.trim();
        if !value.is_empty() && !value.starts_with(['"', '\'', '[', '{']) {
            return format!("text and values with units stand in quotes: {} = \"{value}\"", key.trim());
        }
    }
    String::new()
}
