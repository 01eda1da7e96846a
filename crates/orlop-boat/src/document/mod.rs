//! The boat file: text in, a validated [`Boat`] out, or every problem in it with its place.
//!
//! A boat file is TOML with `format = 1`. Every physical value is text with its unit; a bare number is refused. A value may
//! also be a table that says how it is known: `{value = "14 W", known = "guess", low = "10 W", high = "20 W"}`.
//!
//! ```
//! let wrong = orlop_boat::document::read("format = 1\n[boat]\nnominal = 12\n", "boat.toml").unwrap_err();
//! let first = &wrong.problems[2];
//! assert_eq!((first.line, first.column), (2, 2));
//! ```

mod bank;
mod build;
mod check;
mod disconnect;
mod fields;
mod nearest;
mod place;
mod problem;
mod row;
mod schema;
mod sections;
mod sheet;
mod starter;
mod tree;
mod value;

pub(crate) use nearest::nearest;
pub use problem::{BoatFileError, MOST, Problem};
pub use schema::schema;
pub use starter::starter;

use crate::model::{Boat, Position};
use problem::Problems;

/// Largest text that is read: far more than any boat needs.
pub const LARGEST: usize = 8_000_000;

/// Reads a boat file.
///
/// The answer is a boat in which every reference, every length and every unit has been checked. `path` is only used to name
/// the file in messages.
///
/// # Errors
/// [`BoatFileError`] with every problem found, in the order of the file.
///
/// ```
/// let error = orlop_boat::document::read("", "boat.toml").unwrap_err();
/// assert_eq!(error.problems[0].what, "the file is empty");
/// ```
pub fn read(text: &str, path: &str) -> Result<Boat, BoatFileError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let first = Position { line: 1, column: 1 };
    if text.len() > LARGEST {
        return Err(too_large(path, text.len()));
    }
    if text.trim().is_empty() {
        let hint = "start from the starter file: it explains each section";
        return Err(BoatFileError::one(Problem::bare(path, first, "the file is empty", "a boat file", hint)));
    }
    let mut problems = Problems::default();
    let boat = tree::parse(text, &mut problems).and_then(|entries| {
        let rows = sheet::rows(&entries, &mut problems);
        check::all(&rows, &mut problems);
        problems.is_empty().then(|| build::boat(&rows)).flatten()
    });
    match (boat, problems.finish(path, text)) {
        (Some(boat), None) => Ok(boat),
        (_, Some(error)) => Err(error),
        (None, None) => {
            let what = "the boat file passed its checks but made no boat";
            Err(BoatFileError::one(Problem::bare(
                path,
                first,
                what,
                "",
                "this is a fault of orlop: please report it",
            )))
        }
    }
}

/// Reads a boat file from bytes: UTF-8, with or without a byte order mark.
///
/// # Errors
/// As [`read`]; also for bytes that are not UTF-8, with the place of the first one.
///
/// ```
/// let error = orlop_boat::document::read_bytes(b"format = 1\n\xff", "boat.toml").unwrap_err();
/// assert_eq!(error.problems[0].line, 2);
/// ```
pub fn read_bytes(bytes: &[u8], path: &str) -> Result<Boat, BoatFileError> {
    if bytes.len() > LARGEST {
        return Err(too_large(path, bytes.len()));
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => read(text, path),
        Err(error) => {
            let good = &bytes[..error.valid_up_to()];
            let text = std::str::from_utf8(good).unwrap_or("");
            let what =
                format!("the file is not UTF-8 text: byte {} (0x{:02X})", good.len(), bytes[good.len()]);
            let hint = if bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff") {
                "this looks like UTF-16: save the file as UTF-8 in your editor"
            } else {
                "save the file as UTF-8 in your editor"
            };
            let at = problem::position(text, text.len());
            Err(BoatFileError::one(Problem::bare(path, at, &what, "UTF-8 text", hint)))
        }
    }
}

fn too_large(path: &str, size: usize) -> BoatFileError {
    let what = format!("the file has {:.1} million bytes", size as f64 / 1e6);
    let hint = "is this the right file?";
    let expected = "a boat file: text of some kilobytes, at most 8 million bytes";
    BoatFileError::one(Problem::bare(path, Position { line: 1, column: 1 }, &what, expected, hint))
}
