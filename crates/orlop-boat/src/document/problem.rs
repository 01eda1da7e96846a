//! What is wrong in a boat file, where, and what to do about it.

use super::tree::Span;
use crate::model::Position;
use annotate_snippets::{AnnotationKind, Level, Origin, Renderer, Snippet};
use std::fmt;

/// Most problems that one error carries.
pub const MOST: usize = 50;
/// Problems kept while reading, before they are put in order.
const KEPT: usize = 500;
/// A line longer than this is not shown, only pointed at.
const LONGEST_LINE: usize = 400;

/// One thing wrong in a boat file.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Problem {
    /// The file, as it was named by the caller.
    pub path: String,
    /// Line, from 1.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
    /// What is wrong, in one line.
    pub what: String,
    /// What would be right; may be empty.
    pub expected: String,
    /// What to try; may be empty.
    pub hint: String,
    /// The address of the value, `section.id.field`; may be empty.
    pub address: String,
    #[serde(skip)]
    source_line: String,
    #[serde(skip)]
    mark: Span,
}

impl Problem {
    /// A problem with no text to point at, such as an empty file.
    pub(super) fn bare(path: &str, at: Position, what: &str, expected: &str, hint: &str) -> Self {
        Self {
            path: path.into(),
            line: at.line,
            column: at.column,
            what: what.into(),
            expected: expected.into(),
            hint: hint.into(),
            address: String::new(),
            source_line: String::new(),
            mark: 0..0,
        }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let title = Level::ERROR.primary_title(self.what.as_str());
        let mut group = if self.source_line.is_empty() {
            let expected = (!self.expected.is_empty())
                .then(|| Level::NOTE.message(format!("expected {}", self.expected)));
            title
                .element(
                    Origin::path(self.path.as_str())
                        .line(self.line as usize)
                        .char_column(self.column as usize),
                )
                .elements(expected)
        } else {
            let label = (!self.expected.is_empty()).then(|| format!("expected {}", self.expected));
            title.element(
                Snippet::source(self.source_line.as_str())
                    .line_start(self.line as usize)
                    .path(self.path.as_str())
                    .annotation(AnnotationKind::Primary.span(self.mark.clone()).label(label)),
            )
        };
        if !self.hint.is_empty() {
            group = group.element(Level::HELP.message(self.hint.as_str()));
        }
        f.write_str(&Renderer::plain().render(&[group]))
    }
}

/// Everything wrong in one boat file, in the order of the file.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct BoatFileError {
    /// The first 50 problems; never empty.
    pub problems: Vec<Problem>,
    /// How many more there are.
    pub more: usize,
}

impl BoatFileError {
    pub(super) fn one(problem: Problem) -> Self {
        Self { problems: vec![problem], more: 0 }
    }
}

impl fmt::Display for BoatFileError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, problem) in self.problems.iter().enumerate() {
            if i > 0 {
                f.write_str("\n\n")?;
            }
            problem.fmt(f)?;
        }
        match self.more {
            0 => Ok(()),
            1 => f.write_str("\n\nand 1 more problem"),
            n => write!(f, "\n\nand {n} more problems"),
        }
    }
}

impl std::error::Error for BoatFileError {}

/// Text of a problem before its place is worked out.
#[derive(Debug)]
pub(super) struct Note {
    pub at: Span,
    pub address: String,
    pub what: String,
    pub expected: String,
    pub hint: String,
}

/// Collects problems while reading.
#[derive(Debug, Default)]
pub(super) struct Problems {
    notes: Vec<Note>,
    more: usize,
}

impl Problems {
    pub fn add(
        &mut self,
        at: &Span,
        address: impl Into<String>,
        what: impl Into<String>,
        expected: impl Into<String>,
        hint: impl Into<String>,
    ) {
        if self.notes.len() >= KEPT {
            self.more += 1;
            return;
        }
        self.notes.push(Note {
            at: at.clone(),
            address: address.into(),
            what: what.into(),
            expected: expected.into(),
            hint: hint.into(),
        });
    }

    /// Counts problems that are not told one by one.
    pub fn skip(&mut self, count: usize) {
        self.more += count;
    }

    pub fn is_empty(&self) -> bool {
        self.notes.is_empty()
    }

    /// Puts them in the order of the file; none when there are none.
    pub fn finish(mut self, path: &str, text: &str) -> Option<BoatFileError> {
        if self.notes.is_empty() {
            return None;
        }
        self.notes.sort_by_key(|n| n.at.start);
        let more = self.more + self.notes.len().saturating_sub(MOST);
        self.notes.truncate(MOST);
        let problems = self.notes.into_iter().map(|note| place(note, path, text)).collect();
        Some(BoatFileError { problems, more })
    }
}

/// Line and column of a byte in a text.
pub(super) fn position(text: &str, byte: usize) -> Position {
    let byte = floor(text, byte);
    let before = &text[..byte];
    let start = before.rfind('\n').map_or(0, |n| n + 1);
    let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    Position {
        line: count(before.bytes().filter(|b| *b == b'\n').count() + 1),
        column: count(before[start..].chars().count() + 1),
    }
}

/// The nearest character boundary at or before a byte.
fn floor(text: &str, byte: usize) -> usize {
    let mut byte = byte.min(text.len());
    while !text.is_char_boundary(byte) {
        byte -= 1;
    }
    byte
}

fn place(note: Note, path: &str, text: &str) -> Problem {
    let start = floor(text, note.at.start);
    let end = floor(text, note.at.end).max(start);
    let at = position(text, start);
    let line_start = text[..start].rfind('\n').map_or(0, |n| n + 1);
    let line_end = text[start..].find(['\n', '\r']).map_or(text.len(), |n| start + n);
    let line = &text[line_start..line_end];
    let shown = !line.trim().is_empty() && line.len() <= LONGEST_LINE;
    let (source_line, mark) = if shown {
        let from = start - line_start;
        (line.to_string(), from..(end - line_start).clamp(from, line.len()))
    } else {
        (String::new(), 0..0)
    };
    Problem {
        path: path.into(),
        line: at.line,
        column: at.column,
        what: note.what,
        expected: note.expected,
        hint: note.hint,
        address: note.address,
        source_line,
        mark,
    }
}
