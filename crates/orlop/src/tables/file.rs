//! One data file: comment lines with its source, a header, rows.
//!
//! ```text
//! # id: cfr33-183-425-table5
//! # document: 33 CFR 183.425
//! # edition: 2015
//! # place: Table 5
//! # title: allowable amperage of conductors
//! # confidence: published
//! # reading: two independent copies, identical in every cell
//! # note: free text, any number of these lines
//! awg,c60,c75
//! 18,10,10
//! ```
//!
//! A column named `confidence` overrides the file's confidence row by row. Fields may be quoted with `"`.

use super::FILES;
use crate::source::{Citation, Confidence};
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// A data file, read and checked.
#[derive(Debug)]
pub struct DataFile {
    /// Where it comes from.
    pub citation: Citation,
    /// Remarks that belong to it.
    pub notes: Vec<String>,
    header: Vec<String>,
    rows: Vec<Vec<String>>,
}

/// One row of a data file.
#[derive(Clone, Copy, Debug)]
pub struct Row<'a> {
    file: &'a DataFile,
    cells: &'a [String],
}

static READ: LazyLock<BTreeMap<&'static str, DataFile>> =
    LazyLock::new(|| FILES.iter().map(|(name, text)| (*name, DataFile::read(name, text))).collect());

/// A data file by name.
///
/// # Panics
/// When there is none of that name: a bug of ours, held by a test.
#[must_use]
pub fn file(name: &str) -> &'static DataFile {
    READ.get(name).unwrap_or_else(|| panic!("no data file '{name}'"))
}

impl DataFile {
    fn read(name: &str, text: &str) -> Self {
        let mut keys: BTreeMap<&str, String> = BTreeMap::new();
        let mut notes = Vec::new();
        let mut lines = Vec::new();
        for line in text.lines() {
            if let Some(comment) = line.strip_prefix('#') {
                let (key, value) =
                    comment.split_once(':').unwrap_or_else(|| panic!("{name}: comment without key: {line}"));
                if key.trim() == "note" {
                    notes.push(value.trim().to_string());
                } else {
                    keys.insert(key.trim(), value.trim().to_string());
                }
            } else if !line.trim().is_empty() {
                lines.push(fields(line));
            }
        }
        let mut get = |key: &str| keys.remove(key).unwrap_or_else(|| panic!("{name}: no '# {key}:' line"));
        let citation = Citation {
            id: get("id").into(),
            document: get("document").into(),
            edition: get("edition").into(),
            place: get("place").into(),
            title: get("title").into(),
            confidence: Confidence::parse(&get("confidence")).unwrap_or_else(|| panic!("{name}: confidence")),
            reading: get("reading").into(),
        };
        assert!(keys.is_empty(), "{name}: unknown comment keys {keys:?}");
        let header = lines.remove(0);
        for row in &lines {
            assert_eq!(row.len(), header.len(), "{name}: {row:?}");
        }
        Self { citation, notes, header, rows: lines }
    }

    /// The rows in order.
    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|cells| Row { file: self, cells })
    }

    /// The column names in order.
    #[must_use]
    pub fn columns(&self) -> &[String] {
        &self.header
    }
}

impl<'a> Row<'a> {
    /// A cell as text.
    ///
    /// # Panics
    /// When there is no such column: a bug of ours.
    #[must_use]
    pub fn text(&self, column: &str) -> &'a str {
        let at = self.file.header.iter().position(|c| c == column);
        let at = at.unwrap_or_else(|| panic!("{}: no column '{column}'", self.file.citation.id));
        &self.cells[at]
    }

    /// A cell as a number, or nothing when it is empty.
    ///
    /// # Panics
    /// When it is neither: a bug of ours.
    #[must_use]
    pub fn optional(&self, column: &str) -> Option<f64> {
        let text = self.text(column);
        (!text.is_empty())
            .then(|| text.parse().unwrap_or_else(|_| panic!("{}.{column}: '{text}'", self.file.citation.id)))
    }

    /// A cell that must hold a number.
    ///
    /// # Panics
    /// When it does not: a bug of ours.
    #[must_use]
    pub fn number(&self, column: &str) -> f64 {
        self.optional(column).unwrap_or_else(|| panic!("{}.{column}: empty", self.file.citation.id))
    }

    /// How far this row can be trusted.
    ///
    /// # Panics
    /// When the cell holds no confidence word: a bug of ours.
    #[must_use]
    pub fn confidence(&self) -> Confidence {
        if self.file.header.iter().any(|c| c == "confidence") {
            let text = self.text("confidence");
            return Confidence::parse(text).unwrap_or_else(|| panic!("{}: '{text}'", self.file.citation.id));
        }
        self.file.citation.confidence
    }

    /// The citation of the file with this row's confidence.
    #[must_use]
    pub fn citation(&self) -> Citation {
        Citation { confidence: self.confidence(), ..self.file.citation.clone() }
    }
}

fn fields(line: &str) -> Vec<String> {
    let mut out = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => out.push(String::new()),
            c => out.last_mut().expect("never empty").push(c),
        }
    }
    out.iter_mut().for_each(|f| *f = f.trim().to_string());
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_reads_and_ids_are_unique() {
        let mut ids: Vec<_> = FILES.iter().map(|(name, _)| file(name).citation.id.clone()).collect();
        ids.sort();
        ids.dedup();
        assert_eq!(ids.len(), FILES.len());
    }
}
