//! Errors of the core as the classes of `orlop.errors`.

use orlop::Error;
use pyo3::prelude::*;
use pyo3::sync::PyOnceLock;
use pyo3::types::PyDict;

/// What an exception carries beside its message.
#[derive(Default)]
pub struct Fields<'a> {
    /// Stable name of the kind of error.
    pub code: &'a str,
    /// The argument or field.
    pub field: &'a str,
    /// What was given.
    pub got: &'a str,
    /// What is accepted.
    pub expected: &'a str,
    /// What to try.
    pub hint: &'a str,
}

/// The exception for an error of the core: the one place where the two meet.
pub fn raise(py: Python<'_>, error: &Error) -> PyErr {
    let message = error.to_string();
    let code = error.code();
    match error {
        Error::Unit(unit) => make(
            py,
            "UnitError",
            &message,
            &Fields { code, field: unit.field(), got: unit.got(), expected: &unit.expected(), hint: "" },
        ),
        Error::Input { field, got, expected, hint } => {
            make(py, "InputError", &message, &Fields { code, field, got, expected, hint })
        }
        Error::OutOfTable { table, asked, range, hint } => make(
            py,
            "OutOfTable",
            &message,
            &Fields { code, field: table, got: asked, expected: range, hint },
        ),
        Error::NoSolution { what, hint } => {
            make(py, "NoSolution", &message, &Fields { code, got: what, hint, ..Fields::default() })
        }
        _ => make(py, "OrlopError", &message, &Fields { code, ..Fields::default() }),
    }
}

/// A class of `orlop.errors` with its message and fields.
pub fn make(py: Python<'_>, class: &str, message: &str, fields: &Fields<'_>) -> PyErr {
    let build = || -> PyResult<PyErr> {
        let kwargs = PyDict::new(py);
        for (name, value) in [
            ("code", fields.code),
            ("field", fields.field),
            ("got", fields.got),
            ("expected", fields.expected),
            ("hint", fields.hint),
        ] {
            kwargs.set_item(name, value)?;
        }
        let error = class_of(py, class)?.call((message,), Some(&kwargs))?;
        Ok(PyErr::from_value(error))
    };
    build().unwrap_or_else(|problem| problem)
}

/// A class of `orlop.errors`.
pub fn class_of<'py>(py: Python<'py>, class: &str) -> PyResult<Bound<'py, PyAny>> {
    static MODULE: PyOnceLock<Py<PyModule>> = PyOnceLock::new();
    MODULE.get_or_try_init(py, || py.import("orlop.errors").map(Bound::unbind))?.bind(py).getattr(class)
}

/// Turns a result of the core into one of Python.
pub trait OrRaise<T> {
    /// The value, or the exception.
    fn or_raise(self, py: Python<'_>) -> PyResult<T>;
}

impl<T> OrRaise<T> for Result<T, Error> {
    fn or_raise(self, py: Python<'_>) -> PyResult<T> {
        self.map_err(|error| raise(py, &error))
    }
}
