//! Runs work of the core: without the interpreter, errors mapped, a panic made an ordinary exception.

use crate::errors::{Fields, OrRaise, make};
use orlop::Error;
use pyo3::prelude::*;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// Runs `work` while other Python threads go on.
pub fn run<T: Send>(py: Python<'_>, work: impl FnOnce() -> Result<T, Error> + Send) -> PyResult<T> {
    guarded(py, work)?.or_raise(py)
}

/// The same for work with errors of its own.
pub fn guarded<T: Send>(py: Python<'_>, work: impl FnOnce() -> T + Send) -> PyResult<T> {
    py.detach(|| catch_unwind(AssertUnwindSafe(work))).map_err(|panic| {
        let said = panic
            .downcast_ref::<&str>()
            .map(ToString::to_string)
            .or_else(|| panic.downcast_ref::<String>().cloned())
            .unwrap_or_default();
        let message = format!(
            "internal: {said}; this is a fault of orlop {}, please report it with the input that led here",
            orlop::VERSION
        );
        make(py, "InternalError", &message, &Fields { code: "internal", ..Fields::default() })
    })
}
