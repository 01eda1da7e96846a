//! Facts of a chemistry: one row of `cell_facts` each, typed, with its source.

use super::ChemistryId;
use crate::range::Range;
use crate::source::Citation;
use crate::tables::{Row, file};
use orlop_units::{AnyQuantity, Quantity};

/// A fact and where it comes from. Where sources disagree, the range holds them all.
#[derive(Clone, Debug, PartialEq)]
pub struct Fact<Q> {
    /// The bounds.
    pub value: Range<Q>,
    low: Q,
    high: Q,
    /// Where they come from.
    pub citation: Citation,
}

impl<Q: Quantity> Fact<Q> {
    /// The lower bound.
    #[must_use]
    pub fn low(&self) -> Q {
        self.low
    }
    /// The upper bound.
    #[must_use]
    pub fn high(&self) -> Q {
        self.high
    }
    /// The middle, where one number is wanted.
    #[must_use]
    pub fn middle(&self) -> Q {
        Q::from_si(0.5 * (self.low.si() + self.high.si()))
    }
}

/// The fact of a name.
///
/// # Panics
/// When there is no such row or it is of another kind: a bug of ours, held by a test that reads every fact.
pub(super) fn fact<Q: Quantity>(chemistry: ChemistryId, name: &str) -> Fact<Q> {
    let row = file("cell_facts")
        .rows()
        .find(|row| row.text("chemistry") == chemistry.word() && row.text("quantity") == name)
        .unwrap_or_else(|| panic!("cell_facts: no {name} of {}", chemistry.word()));
    let read = |column: &str| {
        let text = format!("{} {}", row.text(column), row.text("unit"));
        let any =
            AnyQuantity::parse_kind(text.trim(), name, Q::KIND).unwrap_or_else(|e| panic!("cell_facts: {e}"));
        Q::from_si(any.si)
    };
    let (low, high) = (read("low"), read("high"));
    Fact { value: Range::new(low, high), low, high, citation: citation(row, name) }
}

pub(super) fn citation(row: Row<'_>, place: &str) -> Citation {
    let text = |column: &str| row.text(column).to_string();
    let document = if row.text("source").is_empty() { "trade knowledge".to_string() } else { text("source") };
    Citation {
        document: document.into(),
        edition: "".into(),
        place: "".into(),
        title: place.replace('_', " ").into(),
        reading: text("reading").into(),
        ..row.citation()
    }
}

/// Something a cell gives off when it fails or is overcharged: for cautions, not for computing.
#[derive(Clone, Debug, PartialEq)]
pub struct GasFact {
    /// What it is about.
    pub item: &'static str,
    /// What is known.
    pub value: &'static str,
    /// Where it comes from.
    pub citation: Citation,
}

pub(super) fn gas(chemistry: ChemistryId) -> Vec<GasFact> {
    let rows = file("cell_gas").rows().filter(|row| row.text("chemistry") == chemistry.word());
    rows.map(|row| GasFact {
        item: row.text("item"),
        value: row.text("value"),
        citation: citation(row, row.text("item")),
    })
    .collect()
}
