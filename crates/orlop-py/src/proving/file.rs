//! Log files opened, and read piece by piece.

use crate::convert;
use crate::errors::{OrRaise, raise};
use crate::run::guarded;
use orlop::Error;
use orlop::proving::log_file::{Choice, FileFormat, FileLog, LogFile, Role};
use pyo3::exceptions::PyOSError;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyString};
use std::io::Read;

/// Bytes read at once.
const PIECE: usize = 1 << 20;

enum Failed {
    File(std::io::Error),
    Log(Error),
}

/// Reads a file, or standard input where its name is "-".
pub fn read(py: Python<'_>, path: &str, format: FileFormat) -> PyResult<FileLog> {
    let work = || -> Result<FileLog, Failed> {
        let mut input: Box<dyn Read> = if path == "-" {
            Box::new(std::io::stdin())
        } else {
            Box::new(std::fs::File::open(path).map_err(Failed::File)?)
        };
        let mut file = LogFile::new(format);
        let mut piece = vec![0; PIECE];
        loop {
            match input.read(&mut piece) {
                Ok(0) => return file.finish().map_err(Failed::Log),
                Ok(count) => file.push(&piece[..count]).map_err(Failed::Log)?,
                Err(e) if e.kind() == std::io::ErrorKind::Interrupted => {}
                Err(e) => return Err(Failed::File(e)),
            }
        }
    };
    guarded(py, work)?.map_err(|failed| match failed {
        Failed::Log(error) => raise(py, &error),
        Failed::File(error) => match error.raw_os_error() {
            // With the number Python makes the right class of it.
            Some(number) => {
                let text = error.to_string();
                let text = text.split(" (os error").next().unwrap_or_default().to_string();
                PyOSError::new_err((number, text, path.to_string()))
            }
            None => PyOSError::new_err(format!("{path}: {error}")),
        },
    })
}

/// One character, or none.
pub fn mark(value: Option<&Bound<'_, PyAny>>, field: &str, expected: &str) -> PyResult<Option<char>> {
    let Some(value) = value else { return Ok(None) };
    let text = convert::text(value, field, expected)?;
    let text = if text == "tab" { "\t" } else { text.as_str() };
    let mut letters = text.chars();
    match (letters.next(), letters.next()) {
        (Some(mark), None) => Ok(Some(mark)),
        _ => Err(raise(value.py(), &Error::input(field, format!("'{text}'"), expected))),
    }
}

/// Columns by name: a dict of roles to a name, or to several for cells.
pub fn choices(value: Option<&Bound<'_, PyAny>>) -> PyResult<Vec<Choice>> {
    let Some(value) = value else { return Ok(Vec::new()) };
    let expected = "a dict such as {'time': 't [s]', 'cell': ['c1', 'c2']}";
    let Ok(dict) = value.cast::<PyDict>() else {
        return Err(raise(value.py(), &Error::input("columns", convert::short(value)?, expected)));
    };
    let mut all = Vec::new();
    for (role, names) in dict.iter() {
        let role = Role::parse(&convert::text(&role, "columns", expected)?).or_raise(value.py())?;
        if names.is_instance_of::<PyString>() {
            all.push(Choice { role, column: convert::text(&names, "columns", expected)? });
            continue;
        }
        let Ok(items) = names.try_iter() else {
            return Err(raise(value.py(), &Error::input("columns", convert::short(&names)?, expected)));
        };
        for name in items {
            all.push(Choice { role, column: convert::text(&name?, "columns", expected)? });
        }
    }
    Ok(all)
}
