//! The whole boat: its file, its design.

use crate::asked::{SCHEMA, check_schema};
use crate::convert::{out, out_option, short};
use crate::diagnose::Diagnosis;
use crate::errors::{OrRaise, class_of, raise};
use crate::html::{escape, sheet};
use crate::judgement::Judgement;
use crate::run::{guarded, run};
use crate::survey::Survey;
use crate::table::Table;
use crate::working::Working;
use orlop::{Error, Severity};
use orlop_boat::document::{self, BoatFileError};
use orlop_boat::model::State;
use orlop_boat::{Boat as Model, Design as Sized, Method};
use orlop_units::show;
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyDict, PyList, PyString, PyTuple};
use std::sync::Arc;

/// A boat as its file describes it: every reference, length and unit checked.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> boat = orlop.demo_boat("dunlin")
/// >>> print(boat.nominal)
/// 24.0 volt
#[pyclass(frozen, module = "orlop")]
#[derive(Clone)]
pub struct Boat {
    model: Arc<Model>,
    text: Arc<[u8]>,
    path: String,
}

#[pymethods]
impl Boat {
    /// Reads a boat file.
    ///
    /// Raises ``BoatFileError`` with every problem found, each with line and column.
    #[staticmethod]
    fn load(path: &Bound<'_, PyAny>) -> PyResult<Self> {
        let path = path.py().import("pathlib")?.getattr("Path")?.call1((path,))?;
        let bytes = path.call_method0("read_bytes")?;
        read(&path.str()?.to_string_lossy(), bytes.cast::<PyBytes>()?)
    }

    /// Reads the text of a boat file; ``path`` only names it in messages.
    #[staticmethod]
    #[pyo3(signature = (text, path="boat.toml"))]
    fn from_text(text: &Bound<'_, PyAny>, path: &str) -> PyResult<Self> {
        if let Ok(bytes) = text.cast::<PyBytes>() {
            return read(path, bytes);
        }
        if !text.is_instance_of::<PyString>() {
            return Err(raise(text.py(), &Error::input("text", short(text)?, "the text of a boat file")));
        }
        // Half a surrogate pair is no text: the reader says where it stands.
        let bytes = text.call_method1("encode", ("utf-8", "surrogatepass"))?;
        read(path, bytes.cast::<PyBytes>()?)
    }

    /// Its name.
    #[getter]
    fn name(&self) -> &str {
        &self.model.name
    }
    /// What kind of boat, in words.
    #[getter]
    fn kind(&self) -> &str {
        &self.model.kind
    }
    /// "as-found", "design" or "as-built".
    #[getter]
    fn state(&self) -> &'static str {
        state_word(self.model.state)
    }
    /// Nominal voltage.
    #[getter]
    fn nominal(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.model.nominal)
    }
    /// Rated capacity of the house bank, or None where the file does not say.
    #[getter]
    fn capacity(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        out_option(py, self.model.banks.first().and_then(|bank| bank.capacity))
    }
    /// The rule set it is judged by.
    #[getter]
    fn rules(&self) -> &'static str {
        self.model.rules.word()
    }
    /// The file it was read from, as it was named.
    #[getter]
    fn path(&self) -> &str {
        &self.path
    }
    /// The text it was read from.
    #[getter]
    fn text(&self) -> String {
        String::from_utf8_lossy(&self.text).into_owned()
    }

    /// Measures, sizes and judges everything.
    ///
    /// Parameters
    /// ----------
    /// method : {"least-copper", "split"}
    ///     Choose all conductors together for the least metal that keeps every promise, which is exact and the default; or
    ///     share each load's permitted drop along its path by length and current.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> design = orlop.demo_boat("dunlin").size()
    /// >>> len(design.table("circuits")) > 10
    /// True
    #[pyo3(signature = (*, method=None))]
    fn size(&self, py: Python<'_>, method: Option<&Bound<'_, PyAny>>) -> PyResult<Design> {
        let method = match method {
            Some(m) => Method::parse(&crate::convert::text(m, "method", "least-copper or split")?, "method")
                .or_raise(py)?,
            None => Method::default(),
        };
        let model = Arc::clone(&self.model);
        let inner = run(py, move || orlop_boat::size_by(&model, method))?;
        Ok(Design { boat: self.clone(), inner: Arc::new(inner) })
    }

    /// Surveys the boat as it was found: works out everything, judges the readings of its ``found`` sections, and reports.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> len(orlop.demo_boat("dunlin_as_found").survey().findings)
    /// 15
    pub fn survey(&self, py: Python<'_>) -> PyResult<Survey> {
        let design = self.size(py, None)?;
        Ok(Survey::of(design))
    }

    /// Looks for the cause of a fault: causes in their order, and the measurement that would tell most next.
    ///
    /// Parameters
    /// ----------
    /// symptoms : list of str
    ///     A word and an address: "weak load.F1", "dims load.F3 when load.F5". Words: dead, weak, trips, hot, intermittent, drains,
    ///     dims, cuts-off, live, works.
    /// readings : list of str or mappings
    ///     What, where and the value: "voltage load.F1 = 21.9 V", "drop circuit.F1 negative = 0.31 V +- 2 mV",
    ///     "look circuit.F1 = whole"; or a mapping with the keys what, at, part, when, value, uncertainty.
    /// odds : dict
    ///     Factors of the prior odds of kinds of causes, where you know better than trade talk: {"joint": 2.0}.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> boat = orlop.demo_boat("dunlin")
    /// >>> fault = boat.find_fault(symptoms=["dead load.F1"], readings=["voltage load.F1 = 25.4 V"])
    /// >>> print(fault.verdict.split(" (")[0])
    /// Most probable: Fridge compressor
    #[pyo3(signature = (*, symptoms=None, readings=None, odds=None))]
    fn find_fault(
        &self,
        py: Python<'_>,
        symptoms: Option<&Bound<'_, PyAny>>,
        readings: Option<&Bound<'_, PyAny>>,
        odds: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<Diagnosis> {
        Diagnosis::find(py, self.size(py, None)?, symptoms, readings, odds)
    }

    /// Which segments and joints are bad, or cannot be told, by the drops in the boat file: see its table ``joints`` for every one.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> boat = orlop.demo_boat("dunlin_as_found")
    /// >>> [(bad.subject, bad.case, bad.severity) for bad in boat.find_bad_joints()]
    /// [('circuit.D1', 'positive.switch', 'A')]
    pub fn find_bad_joints<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let design = self.size(py, None)?;
        let joints = design.inner.findings().filter(|j| j.rule == "section-resistance");
        PyTuple::new(py, joints.cloned().map(Judgement).collect::<Vec<_>>())
    }

    fn __repr__(&self) -> String {
        let m = &self.model;
        format!(
            "Boat({}, {}, {}: {} circuits, {} loads)",
            m.name,
            show(m.nominal),
            m.rules.word(),
            m.circuits.len(),
            m.loads.len()
        )
    }
    fn __str__(&self) -> String {
        let m = &self.model;
        format!("{}: {} nominal, rules {}, {}", m.name, show(m.nominal), m.rules.word(), state_word(m.state))
    }
    fn _repr_html_(&self) -> String {
        let m = &self.model;
        sheet(
            &m.name,
            &[
                ("kind", m.kind.clone()),
                ("state", state_word(m.state).into()),
                ("nominal voltage", show(m.nominal)),
                ("rules", m.rules.word().into()),
                ("circuits", m.circuits.len().to_string()),
                ("loads", m.loads.len().to_string()),
            ],
            &[],
        )
    }
    fn __eq__(&self, other: &Bound<'_, PyAny>) -> bool {
        other.cast::<Self>().is_ok_and(|other| self.text == other.get().text)
    }
    fn __hash__(&self) -> u64 {
        use std::hash::{DefaultHasher, Hash, Hasher};
        let mut state = DefaultHasher::new();
        self.text.hash(&mut state);
        state.finish()
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let make = py.import("orlop._orlop")?.getattr("_boat")?;
        (make, (SCHEMA, PyBytes::new(py, &self.text), &self.path)).into_pyobject(py)
    }
}

fn read(path: &str, bytes: &Bound<'_, PyBytes>) -> PyResult<Boat> {
    let py = bytes.py();
    let text: Arc<[u8]> = bytes.as_bytes().into();
    let model = guarded(py, || document::read_bytes(&text, path))?.map_err(|error| file_error(py, &error))?;
    Ok(Boat { model: Arc::new(model), text, path: path.to_string() })
}

fn file_error(py: Python<'_>, error: &BoatFileError) -> PyErr {
    let build = || -> PyResult<PyErr> {
        let problems = error.problems.iter().map(|p| {
            (p.path.as_str(), p.line, p.column, p.what.as_str(), p.expected.as_str(), p.hint.as_str())
        });
        let kwargs = PyDict::new(py);
        kwargs.set_item("problems", PyTuple::new(py, problems.collect::<Vec<_>>())?)?;
        kwargs.set_item("field", error.problems.first().map_or("", |p| p.address.as_str()))?;
        let message = error.to_string();
        Ok(PyErr::from_value(class_of(py, "BoatFileError")?.call((message,), Some(&kwargs))?))
    };
    build().unwrap_or_else(|problem| problem)
}

/// A sized boat: conductors, devices, and every judgement on them.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> design = orlop.demo_boat("dunlin").size()
/// >>> print(design.explain("circuit.F5.conductor").title)
/// circuit.F5.conductor
#[pyclass(frozen, module = "orlop")]
#[derive(Clone)]
pub struct Design {
    boat: Boat,
    inner: Arc<Sized>,
}

#[pymethods]
impl Design {
    /// The boat it was made from.
    #[getter]
    fn boat(&self) -> Boat {
        self.boat.clone()
    }

    /// How its conductors were chosen: "least-copper" or "split".
    #[getter]
    fn method(&self) -> &'static str {
        self.inner.method.word()
    }

    /// Names of its tables.
    #[getter]
    fn tables<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, orlop_boat::tables::SCHEMAS.iter().map(|s| s.name))
    }

    /// One of its tables: "circuits", "loads", "findings", "judgements", "trunks", "feeders", "copper", "nodes", "currents", "drops",
    /// "dips", "faults", "selectivity", "single_failures", "bonding", "bank", "cells", "thresholds", "tests", "found", "survey",
    /// "survey_notes", "insurer_extract", "sources".
    pub fn table(&self, name: &Bound<'_, PyAny>) -> PyResult<Table> {
        let py = name.py();
        let name = crate::convert::text(name, "table", "the name of a table, see Design.tables")?;
        run(py, || orlop_boat::tables::table(&self.inner, &name)).map(Table::from)
    }

    /// The network that its fault currents come from, as one that may be changed: what if a cable were larger, a string open?
    ///
    /// Nodes are "bank.BANK", "panel.DCL", "source.N12", or "circuit.F5" for the far end of a circuit; a branch is "circuit.F5",
    /// both its legs together.
    fn network(&self) -> crate::network::Network {
        self.inner.network.faults.clone().into()
    }

    /// How a number was found, by its address ``section.id.field``: "circuit.F5.conductor".
    fn explain(&self, address: &Bound<'_, PyAny>) -> PyResult<Working> {
        let py = address.py();
        let address = crate::convert::text(address, "address", "an address such as circuit.F5.conductor")?;
        run(py, || orlop_boat::explain(&self.inner, &address)).map(Working::from)
    }

    /// Looks for the cause of a fault in the boat as it was sized; see ``Boat.find_fault``.
    #[pyo3(signature = (*, symptoms=None, readings=None, odds=None))]
    fn find_fault(
        &self,
        py: Python<'_>,
        symptoms: Option<&Bound<'_, PyAny>>,
        readings: Option<&Bound<'_, PyAny>>,
        odds: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<Diagnosis> {
        Diagnosis::find(py, self.clone(), symptoms, readings, odds)
    }

    /// Every judgement, passes as well as failures; worst first.
    #[getter]
    fn judgements<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.inner.judgements.iter().cloned().map(Judgement))
    }

    /// The judgements that failed or could not be decided.
    #[getter]
    fn findings<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let found: Vec<_> = self.inner.findings().cloned().map(Judgement).collect();
        PyTuple::new(py, found)
    }

    /// Writes the papers that people read into a folder, all or none; returns their paths.
    ///
    /// ``date`` is printed on them as given ("2026-11-25"); without one the environment's ``SOURCE_DATE_EPOCH`` counts, else
    /// papers are undated. The clock is never asked.
    #[pyo3(signature = (folder, *, date=None))]
    fn papers<'py>(&self, folder: &Bound<'py, PyAny>, date: Option<&str>) -> PyResult<Bound<'py, PyAny>> {
        written(folder, || orlop_paper::papers(&self.inner, date))
    }

    /// Everything as one JSON document.
    #[pyo3(signature = (*, date=None))]
    fn to_json(&self, py: Python<'_>, date: Option<&str>) -> PyResult<String> {
        let papers =
            guarded(py, || orlop_paper::papers(&self.inner, date))?.map_err(|e| paper_error(py, e))?;
        let json = papers.into_iter().find(|p| p.name == "boat.json").map(|p| p.bytes).unwrap_or_default();
        Ok(String::from_utf8_lossy(&json).into_owned())
    }

    fn __repr__(&self) -> String {
        let d = &self.inner;
        let count = |s: Severity| d.findings().filter(|j| j.severity == s).count();
        format!(
            "Design({}: {} circuits, findings A {} B {} C {})",
            self.boat.model.name,
            d.circuits.len(),
            count(Severity::A),
            count(Severity::B),
            count(Severity::C)
        )
    }
    fn _repr_html_(&self) -> String {
        let mut html = format!("<p><strong>{}</strong></p><ul>", escape(&self.__repr__()));
        for finding in self.inner.findings().take(20) {
            html += &format!(
                "<li>{} {}: {}</li>",
                finding.severity.word(),
                escape(&finding.subject),
                escape(&finding.what)
            );
        }
        html += "</ul>";
        let more = self.inner.findings().count().saturating_sub(20);
        if more > 0 {
            html += &format!("<p>and {more} more findings</p>");
        }
        html
    }
    fn __eq__(&self, other: &Bound<'_, PyAny>) -> bool {
        // Same file, same method, same design.
        other.cast::<Self>().is_ok_and(|other| self.same(other.get()))
    }
    fn __hash__(&self) -> u64 {
        self.boat.__hash__().rotate_left(1)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let make = py.import("orlop._orlop")?.getattr("_design")?;
        (make, (SCHEMA, self.boat.clone(), self.inner.method.word())).into_pyobject(py)
    }
}

impl Design {
    /// What was worked out.
    pub fn sized(&self) -> &Arc<Sized> {
        &self.inner
    }
    /// The boat it was made from.
    pub fn of(&self) -> Boat {
        self.boat.clone()
    }
    /// Same file, same method.
    pub fn same(&self, other: &Self) -> bool {
        self.boat.text == other.boat.text && self.inner.method == other.inner.method
    }
    /// The hash of its file.
    pub fn hashed(&self) -> u64 {
        self.__hash__()
    }
}

/// Makes papers and writes them into a folder, all or none.
pub fn written<'py>(
    folder: &Bound<'py, PyAny>,
    make: impl FnOnce() -> Result<Vec<orlop_paper::Paper>, orlop_paper::Error> + Send,
) -> PyResult<Bound<'py, PyAny>> {
    let py = folder.py();
    let papers = guarded(py, make)?.map_err(|e| paper_error(py, e))?;
    let files = PyList::empty(py);
    for paper in &papers {
        files.append((&paper.name, PyBytes::new(py, &paper.bytes)))?;
    }
    py.import("orlop._files")?.getattr("write_all")?.call1((folder, files))
}

fn paper_error(py: Python<'_>, error: orlop_paper::Error) -> PyErr {
    match error {
        orlop_paper::Error::Core(error) => raise(py, &error),
        orlop_paper::Error::Date { field, got, expected } => raise(py, &Error::input(field, got, expected)),
        other => crate::errors::make(
            py,
            "InternalError",
            &other.to_string(),
            &crate::errors::Fields { code: "internal", ..Default::default() },
        ),
    }
}

/// Seconds that each stage of sizing takes, in their order: for benches.
#[pyfunction(name = "_stages")]
pub fn stages(py: Python<'_>, boat: &Bound<'_, Boat>) -> PyResult<Vec<(&'static str, f64)>> {
    let model = Arc::clone(&boat.get().model);
    run(py, move || {
        let (mut times, mut last) = (Vec::new(), std::time::Instant::now());
        orlop_boat::size_staged(&model, Method::default(), &mut |stage| {
            times.push((stage, last.elapsed().as_secs_f64()));
            last = std::time::Instant::now();
        })?;
        Ok(times)
    })
}

/// A pickled boat.
#[pyfunction(name = "_boat")]
pub fn rebuild_boat(schema: u32, text: &Bound<'_, PyBytes>, path: &str) -> PyResult<Boat> {
    check_schema(text.py(), schema)?;
    read(path, text)
}

/// A pickled design: the boat is sized again.
#[pyfunction(name = "_design")]
pub fn rebuild_design(
    py: Python<'_>,
    schema: u32,
    boat: &Bound<'_, Boat>,
    method: &Bound<'_, PyAny>,
) -> PyResult<Design> {
    check_schema(py, schema)?;
    boat.get().size(py, Some(method))
}

/// A commented boat file for a beginner to fill.
#[pyfunction(name = "_starter")]
pub fn starter(name: &str) -> String {
    document::starter(name)
}

/// The JSON Schema of boat files, as JSON.
#[pyfunction(name = "_schema")]
pub fn schema() -> String {
    format!("{:#}", document::schema())
}

fn state_word(state: State) -> &'static str {
    match state {
        State::AsFound => "as-found",
        State::Design => "design",
        State::AsBuilt => "as-built",
    }
}
