//! Two surveys of one vessel, compared.

use crate::asked::{SCHEMA, check_schema};
use crate::boat::written;
use crate::html::escape;
use crate::run::run;
use crate::survey::Survey;
use crate::table::Table;
use orlop_boat::survey::{self, Outcome};
use pyo3::prelude::*;
use pyo3::types::PyTuple;
use std::sync::Arc;

/// What has changed between two visits of a surveyor: put right, still open, new, not looked at.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> later = orlop.demo_boat("dunlin_second_visit").survey()
/// >>> print(later.compared_with(orlop.demo_boat("dunlin_as_found").survey()))
/// Dunlin, second visit: 2026-10-10 to 2027-04-17: new 4, open 6, undecided 0, not checked 2, resolved 7
#[pyclass(frozen, module = "orlop")]
pub struct Resurvey {
    earlier: Py<Survey>,
    later: Py<Survey>,
    inner: Arc<survey::Resurvey>,
}

impl Resurvey {
    /// Compares two surveys.
    pub fn of(py: Python<'_>, earlier: Py<Survey>, later: Py<Survey>) -> PyResult<Self> {
        let (old, new) = (earlier.get().sized(), later.get().sized());
        let inner = run(py, move || survey::compare(&old, &new))?;
        Ok(Self { earlier, later, inner: Arc::new(inner) })
    }

    fn told<'py>(&self, py: Python<'py>, outcome: Outcome) -> PyResult<Bound<'py, PyTuple>> {
        let all = self.inner.of(outcome).map(|m| {
            let severity = m.severity().map_or(String::new(), |s| format!("{} ", s.word()));
            format!("{severity}{}: {}", m.place, m.why)
        });
        PyTuple::new(py, all.collect::<Vec<_>>())
    }
}

#[pymethods]
impl Resurvey {
    /// The survey of the earlier visit.
    #[getter]
    fn earlier(&self, py: Python<'_>) -> Py<Survey> {
        self.earlier.clone_ref(py)
    }
    /// The survey of the later visit.
    #[getter]
    fn later(&self, py: Python<'_>) -> Py<Survey> {
        self.later.clone_ref(py)
    }
    /// The days of the two visits.
    #[getter]
    fn dates(&self) -> (String, String) {
        (self.inner.before.to_string(), self.inner.now.to_string())
    }
    /// Deficiencies that the earlier survey did not report, each in a sentence.
    #[getter(new)]
    fn fresh<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        self.told(py, Outcome::New)
    }
    /// Deficiencies that are still there, with how their values have changed.
    #[getter]
    fn open<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        self.told(py, Outcome::Open)
    }
    /// What could not be decided this time.
    #[getter]
    fn undecided<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        self.told(py, Outcome::Undecided)
    }
    /// Deficiencies that were not opened, tested or looked at this time; they count as open.
    #[getter]
    fn not_checked<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        self.told(py, Outcome::NotChecked)
    }
    /// Deficiencies that were put right.
    #[getter]
    fn resolved<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        self.told(py, Outcome::Resolved)
    }
    /// What was read on both visits and is in order, with how it has changed.
    #[getter]
    fn in_order<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        self.told(py, Outcome::InOrder)
    }
    /// The table "resurvey": one row for each matter, with both values, their difference and what of it is significant.
    fn table(&self) -> Table {
        orlop_boat::tables::resurvey(&self.inner).into()
    }
    /// The extract for an insurer, with the days on which findings were reported and put right.
    fn insurer_extract(&self) -> Table {
        let lines = survey::extract(&self.later.get().sized(), Some(&self.inner));
        orlop_boat::tables::insurer_extract(&lines).into()
    }
    /// Writes the report of the later visit with what has changed, and the extract for an insurer; returns their paths.
    #[pyo3(signature = (folder, *, date=None))]
    fn papers<'py>(&self, folder: &Bound<'py, PyAny>, date: Option<&str>) -> PyResult<Bound<'py, PyAny>> {
        let later = self.later.get().sized();
        written(folder, || orlop_paper::survey_papers(&later, Some(&self.inner), date))
    }

    fn __repr__(&self) -> String {
        format!("Resurvey({})", self.__str__())
    }
    fn __str__(&self) -> String {
        let r = &self.inner;
        format!(
            "{}: {} to {}: new {}, open {}, undecided {}, not checked {}, resolved {}",
            r.boat,
            r.before,
            r.now,
            r.count(Outcome::New),
            r.count(Outcome::Open),
            r.count(Outcome::Undecided),
            r.count(Outcome::NotChecked),
            r.count(Outcome::Resolved)
        )
    }
    fn _repr_html_(&self) -> String {
        let mut html = format!("<p><strong>{}</strong></p>", escape(&self.__str__()));
        for outcome in Outcome::ALL {
            let items: Vec<String> = self
                .inner
                .of(outcome)
                .map(|m| format!("<li>{}: {}</li>", escape(&m.place), escape(&m.why)))
                .collect();
            if !items.is_empty() {
                html += &format!("<p>{}</p><ul>{}</ul>", outcome.title(), items.concat());
            }
        }
        html
    }
    fn __eq__(&self, other: &Bound<'_, PyAny>) -> bool {
        other.cast::<Self>().is_ok_and(|other| {
            let other = other.get();
            self.earlier.get().same(other.earlier.get()) && self.later.get().same(other.later.get())
        })
    }
    fn __hash__(&self) -> u64 {
        self.later.get().hashed().rotate_left(1) ^ self.earlier.get().hashed()
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let make = py.import("orlop._orlop")?.getattr("_resurvey")?;
        (make, (SCHEMA, self.earlier.clone_ref(py), self.later.clone_ref(py))).into_pyobject(py)
    }
}

/// A pickled comparison: the surveys are compared again.
#[pyfunction(name = "_resurvey")]
pub fn rebuild(py: Python<'_>, schema: u32, earlier: Py<Survey>, later: Py<Survey>) -> PyResult<Resurvey> {
    check_schema(py, schema)?;
    Resurvey::of(py, earlier, later)
}
