//! The sections of a file as rows of read values, each with its place in the text.

use super::fields::Section;
use super::tree::Span;
use crate::day::Day;
use crate::model::{Block, Known, Point, Value};
use orlop_units::{AnyQuantity, ConductorSize, Current, Quantity, Time};
use std::collections::BTreeMap;

/// A physical value as the file gives it.
#[derive(Clone, Debug)]
pub(super) struct Measure {
    pub value: AnyQuantity,
    pub known: Known,
    /// Lower and upper end in the base unit.
    pub range: Option<(f64, f64)>,
}

impl Measure {
    pub fn typed<Q: Quantity>(&self) -> Value<Q> {
        Value {
            q: Q::from_si(self.value.si),
            known: self.known,
            range: self.range.map(|(low, high)| (Q::from_si(low), Q::from_si(high))),
        }
    }
}

/// A corner of a trunk.
#[derive(Clone, Debug)]
pub(super) enum Corner {
    Place(String),
    Point(Point),
}

/// A value that has been read.
#[derive(Clone, Debug)]
pub(super) enum Cell {
    Text(String),
    Day(Day),
    Flag(bool),
    Count(u32),
    Measure(Measure),
    Size(ConductorSize),
    Device(Option<String>, Current),
    /// Family ids, or other words.
    Families(Vec<(String, Span)>),
    Id(String),
    Ids(Vec<(String, Span)>),
    Point(Point),
    Corners(Vec<(Corner, Span)>),
    Boxes(Vec<Block>),
    Hours(Vec<(String, Time)>),
    Ends(Option<f64>, Option<f64>),
}

/// A read value and where it stands.
#[derive(Clone, Debug)]
pub(super) struct Found {
    pub cell: Cell,
    pub at: Span,
    /// In the file, not a default.
    pub given: bool,
}

/// One section with its values.
#[derive(Debug)]
pub(super) struct Row {
    pub section: &'static Section,
    pub id: String,
    /// Where its id stands.
    pub at: Span,
    pub cells: BTreeMap<&'static str, Found>,
    /// Keys that are in the file but could not be read.
    pub broken: Vec<&'static str>,
}

macro_rules! get {
    ($($(#[$doc:meta])* $name:ident: $pattern:pat => $out:expr, $type:ty;)*) => {$(
        $(#[$doc])*
        pub fn $name(&self, key: &str) -> Option<$type> {
            match self.cells.get(key).map(|f| &f.cell) {
                Some($pattern) => Some($out),
                _ => None,
            }
        }
    )*};
}

impl Row {
    get! {
        text: Cell::Text(t) => t.as_str(), &str;
        day: Cell::Day(day) => *day, Day;
        id: Cell::Id(t) => t.as_str(), &str;
        count: Cell::Count(n) => *n, u32;
        measure: Cell::Measure(m) => m, &Measure;
        size: Cell::Size(s) => *s, ConductorSize;
        device: Cell::Device(family, rating) => (family.clone(), *rating), (Option<String>, Current);
        families: Cell::Families(list) => list.as_slice(), &[(String, Span)];
        ids: Cell::Ids(list) => list.as_slice(), &[(String, Span)];
        point: Cell::Point(p) => *p, Point;
        corners: Cell::Corners(list) => list.as_slice(), &[(Corner, Span)];
        boxes: Cell::Boxes(list) => list.as_slice(), &[Block];
        hours: Cell::Hours(list) => list.as_slice(), &[(String, Time)];
        ends: Cell::Ends(low, high) => (*low, *high), (Option<f64>, Option<f64>);
    }

    pub fn flag(&self, key: &str) -> bool {
        matches!(self.cells.get(key).map(|f| &f.cell), Some(Cell::Flag(true)))
    }
    pub fn quantity<Q: Quantity>(&self, key: &str) -> Option<Q> {
        self.measure(key).filter(|m| m.value.kind == Q::KIND).map(|m| Q::from_si(m.value.si))
    }
    pub fn value<Q: Quantity>(&self, key: &str) -> Option<Value<Q>> {
        self.measure(key).filter(|m| m.value.kind == Q::KIND).map(Measure::typed)
    }
    /// Whether the key is in the file, readable or not.
    pub fn given(&self, key: &str) -> bool {
        self.broken.contains(&key) || self.cells.get(key).is_some_and(|f| f.given)
    }
    /// Where a value stands; where the id stands when it is not there.
    pub fn at(&self, key: &str) -> &Span {
        self.cells.get(key).map_or(&self.at, |f| &f.at)
    }
    /// `section.id.field`.
    pub fn address(&self, key: &str) -> String {
        let mut parts = vec![self.section.name];
        parts.extend([self.id.as_str(), key].iter().filter(|p| !p.is_empty()));
        parts.join(".")
    }
    /// Its name for people in messages: `load 'H1'`.
    pub fn title(&self) -> String {
        if self.id.is_empty() {
            format!("[{}]", self.section.name)
        } else {
            format!("{} '{}'", self.section.name, self.id)
        }
    }
}

/// All rows of a file.
#[derive(Debug, Default)]
pub(super) struct Rows {
    list: Vec<Row>,
    index: BTreeMap<(&'static str, String), usize>,
}

impl Rows {
    pub fn push(&mut self, row: Row) {
        self.index.entry((row.section.name, row.id.clone())).or_insert(self.list.len());
        self.list.push(row);
    }
    pub fn all(&self) -> impl Iterator<Item = &Row> {
        self.list.iter()
    }
    pub fn of<'a>(&'a self, section: &'a str) -> impl Iterator<Item = &'a Row> + Clone + 'a {
        self.list.iter().filter(move |r| r.section.name == section)
    }
    pub fn find(&self, section: &'static str, id: &str) -> Option<&Row> {
        self.index.get(&(section, id.to_string())).map(|i| &self.list[*i])
    }
    pub fn single(&self, section: &'static str) -> Option<&Row> {
        self.find(section, "")
    }
}
