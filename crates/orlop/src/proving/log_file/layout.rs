//! How a file is laid out, found in its first rows.

use super::cells::{Cell, cell, moment};
use super::columns::{Column, Role, columns, no_unit};
use super::lines::{fields, shown};
use super::reader::FileFormat;
use crate::error::Error;

/// Rows that are looked at before the marks are settled.
const LOOKED_AT: usize = 200;

/// Lines among which the head is looked for.
const HEAD_WITHIN: usize = 50;
const CSV: &str = "text with one row for each reading, columns parted by comma, semicolon or tab";

/// How to read the rows of a file.
#[derive(Clone, Debug)]
pub(super) struct Layout {
    pub separator: u8,
    pub decimal: u8,
    pub newline: u8,
    pub columns: Vec<Column>,
    /// Names of columns that nobody reads.
    pub unread: Vec<String>,
    /// Whether times are dates or clocks.
    pub moments: bool,
    /// Whether date and time of day have a column each.
    pub two_parts: bool,
    /// Bytes before the first row, and lines.
    pub skip: usize,
    pub lines: u64,
}

fn input(got: impl Into<String>, expected: &str, hint: &str) -> Error {
    Error::Input { field: "file".into(), got: got.into(), expected: expected.into(), hint: hint.into() }
}

impl Layout {
    /// From the beginning of a file.
    pub fn find(sample: &[u8], format: &FileFormat) -> Result<Self, Error> {
        if sample.starts_with(&[0xff, 0xfe]) || sample.starts_with(&[0xfe, 0xff]) {
            return Err(input("text in UTF-16", "text in UTF-8", "save it again as 'CSV UTF-8'"));
        }
        let mark = if sample.starts_with(&[0xef, 0xbb, 0xbf]) { 3 } else { 0 };
        let sample = &sample[mark..];
        if let Some(at) = sample.iter().position(|b| *b == 0) {
            return Err(input(
                format!("a zero byte at place {}", at + 1),
                CSV,
                "this is no text: export the log as CSV",
            ));
        }
        let newline = if sample.contains(&b'\n') { b'\n' } else { b'\r' };
        let head = Head::find(sample, newline, format)?;
        let Head { separator, names, columns, .. } = head;
        let (skip, lines) = (mark + head.bytes, head.lines);
        let rows: Vec<&[u8]> = sample[head.bytes.min(sample.len())..]
            .split(|b| *b == newline)
            .map(<[u8]>::trim_ascii_end)
            .filter(|l| !l.is_empty() && !l.starts_with(b"#"))
            .take(LOOKED_AT)
            .collect();
        let rows: Vec<Vec<&[u8]>> = rows.into_iter().map(|r| fields(r, separator)).collect();
        let decimal = decimal(&rows, names.len(), separator, &columns, format)?;
        let mut layout = Self {
            separator,
            decimal,
            newline,
            unread: (0..names.len())
                .filter(|k| !columns.iter().any(|c| c.field == *k) && !names[*k].is_empty())
                .map(|k| names[k].clone())
                .collect(),
            columns,
            moments: false,
            two_parts: false,
            skip,
            lines,
        };
        layout.settle_time(&rows)?;
        layout.check_current(&rows)?;
        Ok(layout)
    }

    /// Whether times are numbers, or moments; a date beside times that have their own, or beside numbers, is left.
    fn settle_time(&mut self, rows: &[Vec<&[u8]>]) -> Result<(), Error> {
        let decimal = self.decimal;
        let seen = |role: Role| {
            let column = self.columns.iter().find(|c| c.role == role)?;
            let cells: Vec<&[u8]> = rows.iter().filter_map(|r| r.get(column.field)).copied().collect();
            Some((column.clone(), cells))
        };
        let (time, date) = (seen(Role::Time), seen(Role::Date));
        let numeric = |cells: &[&[u8]]| cells.iter().any(|c| matches!(cell(c, decimal), Cell::Number(_)));
        let Some((column, cells)) = time.or(date.clone()) else { return Ok(()) };
        let full = |c: &&&[u8]| cell(c, decimal) != Cell::Missing;
        if numeric(&cells) {
            if column.unit.is_none() {
                return Err(no_unit(&column));
            }
            self.drop_date();
            return Ok(());
        }
        self.moments = true;
        // A time of day alone takes its date from the column beside it.
        let dated =
            |c: &&[u8]| c.iter().any(|b| matches!(b, b'T' | b' ' | b'-' | b'/' | b'.')) && c.contains(&b':');
        if column.role == Role::Time
            && date.is_some()
            && cells.iter().any(|c| dated(&c.trim_ascii()) && c.len() > 13)
        {
            self.drop_date();
        }
        let both = |role: Role| self.columns.iter().any(|c| c.role == role);
        self.two_parts = both(Role::Time) && both(Role::Date);
        match cells.iter().find(full) {
            Some(first) if !cells.iter().any(|c| moment(c).is_some()) => Err(Error::Input {
                field: "time".into(),
                got: format!("'{}' in column '{}'", shown(first), column.name),
                expected:
                    "numbers, a date such as 2026-05-04 07:05:30 or 04.05.2026 07:05:30, or a time of day"
                        .into(),
                hint: "a date with slashes could mean two days: write the year first".into(),
            }),
            _ => Ok(()),
        }
    }

    fn drop_date(&mut self) {
        let unread = &mut self.unread;
        self.columns.retain(|c| {
            let keep = c.role != Role::Date;
            if !keep {
                unread.push(c.name.clone());
            }
            keep
        });
    }

    /// The current must be numbers.
    fn check_current(&self, rows: &[Vec<&[u8]>]) -> Result<(), Error> {
        let Some(c) = self.columns.iter().find(|c| c.role == Role::Current) else { return Ok(()) };
        let cells =
            || rows.iter().filter_map(|r| r.get(c.field)).filter(|f| cell(f, self.decimal) != Cell::Missing);
        let Some(first) = cells().next() else { return Ok(()) };
        if cells().any(|f| matches!(cell(f, self.decimal), Cell::Number(_))) {
            return Ok(());
        }
        let got = format!("'{}' in column '{}'", shown(first), c.name);
        let expected = format!("numbers with a decimal '{}'", char::from(self.decimal));
        Err(Error::Input {
            field: "current".into(),
            got,
            expected,
            hint: "say which mark parts decimals; marks of thousands are not read".into(),
        })
    }
}

/// The line that names the columns.
struct Head {
    separator: u8,
    names: Vec<String>,
    columns: Vec<Column>,
    /// Bytes and lines up to its end.
    bytes: usize,
    lines: u64,
}

impl Head {
    /// The first line in which a time and a current are named; loggers put lines about themselves before it. Where there is none, the error is
    /// that of the first line with several fields.
    fn find(sample: &[u8], newline: u8, format: &FileFormat) -> Result<Self, Error> {
        let mut bytes = 0;
        let mut wrong: Option<(bool, Error)> = None;
        for (count, line) in sample.split(|b| *b == newline).enumerate().take(HEAD_WITHIN) {
            bytes += line.len() + 1;
            let text = line.trim_ascii();
            if text.is_empty() || text.starts_with(b"#") {
                continue;
            }
            let lines = count as u64 + 1;
            let (several, error) = match separator(text, format) {
                Err(error) => (false, error),
                Ok(separator) => match Self::names(text, separator, lines) {
                    Err(error) => (true, error),
                    Ok(names) => match columns(&names, &format.columns) {
                        Ok(columns) => return Ok(Self { separator, names, columns, bytes, lines }),
                        Err(error) => (true, error),
                    },
                },
            };
            if wrong.as_ref().is_none_or(|(before, _)| several && !before) {
                wrong = Some((several, error));
            }
        }
        let none = || input("no rows", "a head with the names of columns, then a row for each reading", "");
        Err(wrong.map_or_else(none, |(_, error)| error))
    }

    fn names(text: &[u8], separator: u8, line: u64) -> Result<Vec<String>, Error> {
        let parts = fields(text, separator);
        let names: Vec<String> =
            parts.iter().map(|f| String::from_utf8_lossy(f).trim().to_string()).collect();
        if names.iter().any(|n| n.len() > 1000) {
            return Err(input(
                "a head with names of more than 1,000 letters",
                CSV,
                "look at the file in a text editor",
            ));
        }
        if names.iter().all(|n| cell(n.as_bytes(), b'.') != Cell::Unreadable) {
            let got = format!("'{}' in line {line} as the head", shown(text));
            let hint = "add a line such as: time_s,current_a,voltage_v";
            return Err(input(got, "the names of the columns in the first line", hint));
        }
        Ok(names)
    }
}

fn separator(head: &[u8], format: &FileFormat) -> Result<u8, Error> {
    if let Some(mark) = format.separator {
        if !matches!(mark, ',' | ';' | '\t' | '|') {
            return Err(Error::input(
                "separator",
                format!("'{mark}'"),
                "a comma, a semicolon, a tab or a bar",
            ));
        }
        return Ok(mark as u8);
    }
    [b'\t', b';', b','].into_iter().find(|mark| fields(head, *mark).len() > 1).ok_or_else(|| {
        let got = format!("a first line without comma, semicolon or tab: '{}'", shown(head));
        input(
            got,
            "the names of two columns or more",
            "lines before the head must begin with '#', or be taken out",
        )
    })
}

/// The mark of decimals, by the cells of the columns that are read.
fn decimal(
    rows: &[Vec<&[u8]>],
    width: usize,
    separator: u8,
    columns: &[Column],
    format: &FileFormat,
) -> Result<u8, Error> {
    if let Some(mark) = format.decimal {
        if !matches!(mark, '.' | ',') {
            return Err(Error::input("decimal", format!("'{mark}'"), "a point or a comma"));
        }
        return Ok(mark as u8);
    }
    // One empty field at the end comes from a separator at the end of each line.
    let wide = |r: &&Vec<&[u8]>| r[..].iter().skip(width).any(|f| !f.trim_ascii().is_empty());
    if separator == b','
        && let Some(at) = rows.iter().position(|r| wide(&r))
    {
        let got = format!("{} fields in row {} under {width} names", rows[at].len(), at + 1);
        let hint = "where commas part decimals, part columns by semicolon or tab, or put cells in quotes";
        return Err(input(got, "as many fields in each row as there are names", hint));
    }
    let read = |r: &'_ Vec<&[u8]>| -> Vec<Vec<u8>> {
        let numbers =
            columns.iter().filter(|c| !matches!(c.role, Role::Time | Role::Date) || c.unit.is_some());
        numbers.filter_map(|c| r.get(c.field)).map(|f| f.trim_ascii().to_vec()).collect()
    };
    let number = |f: &[u8], mark: u8| f.contains(&mark) && matches!(cell(f, mark), Cell::Number(_));
    let first = |mark: u8| rows.iter().position(|r| read(r).iter().any(|f| number(f, mark)));
    match (first(b'.'), first(b',')) {
        (Some(point), Some(comma)) => {
            let got = format!("decimal points in row {} and decimal commas in row {}", point + 1, comma + 1);
            Err(Error::Input {
                field: "decimal".into(),
                got,
                expected: "one mark for decimals in the whole file".into(),
                hint: "say which one it is: decimal '.' or ','".into(),
            })
        }
        (None, Some(_)) => Ok(b','),
        _ => Ok(b'.'),
    }
}
