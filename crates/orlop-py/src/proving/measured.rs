//! A value with its causes of error.

use super::{Any, probability};
use crate::asked::{SCHEMA, check_schema};
use crate::convert::{self, out_si};
use crate::errors::{OrRaise, raise};
use crate::html::sheet;
use crate::range::{Range, kind_name, kind_named};
use orlop::Error;
use orlop::proving::uncertainty::{Budget, Common, Relation, Shape, Term};
use orlop_units::{AnyQuantity, Fraction, Kind, Number, Quantity, show_si};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyTuple};

const OF: &str = "own, instrument or procedure";
const TERMS: &str = "a dict of causes to a half-width, or to (half-width, own, instrument or procedure)";

/// A measured value with each cause of its error.
///
/// Parameters
/// ----------
/// value : str or quantity
/// causes : dict
///     Each cause with its limits to both sides (anywhere within alike), or with a pair of these and what it belongs to: "own" (this one
///     measurement), "instrument" or "procedure". What two results share by instrument or procedure cancels in their difference.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> first = orlop.Measured("234.8 Ah", {"gain": ("1.2 Ah", "instrument"), "offset": "0.3 Ah"})
/// >>> first
/// Measured(235 Ah +- 1.23 Ah (95 %))
/// >>> later = orlop.Measured("231.9 Ah", {"gain": ("1.2 Ah", "instrument"), "offset": "0.3 Ah"})
/// >>> first.compare(later, relation="same-instrument")
/// Measured(-2.9 Ah +- 0.466 Ah (95 %))
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct Measured {
    kind: Kind,
    si: f64,
    causes: Vec<Cause>,
}

/// One cause: its effect in the base unit, how it is spread, the degrees of freedom behind it, and what it belongs to.
#[derive(Clone, PartialEq)]
struct Cause {
    name: String,
    effect: f64,
    normal: bool,
    freedom: f64,
    common: Common,
}

impl<Q: Quantity> From<&Budget<Q>> for Measured {
    fn from(budget: &Budget<Q>) -> Self {
        let cause = |t: &Term| Cause {
            name: t.name.clone(),
            effect: t.effect,
            normal: t.shape == Shape::Normal,
            freedom: t.degrees_of_freedom,
            common: t.common,
        };
        Self { kind: Q::KIND, si: budget.value().si(), causes: budget.terms().iter().map(cause).collect() }
    }
}

impl Measured {
    /// The budget, when the kind is right.
    pub fn typed<Q: Quantity>(&self, field: &str) -> Result<Budget<Q>, Error> {
        if Q::KIND != self.kind {
            let got = show_si(self.kind, self.si);
            return Err(Error::input(field, got, Q::KIND.with_article()));
        }
        self.as_any()
    }

    /// The budget as numbers of any kind: intervals do not depend on it.
    fn as_any<Q: Quantity>(&self) -> Result<Budget<Q>, Error> {
        let terms = self.causes.iter().map(|c| Term {
            name: c.name.clone(),
            input: AnyQuantity { kind: self.kind, si: c.effect.abs(), as_written: None },
            shape: if c.normal { Shape::Normal } else { Shape::Rectangular },
            effect: c.effect,
            degrees_of_freedom: c.freedom,
            common: c.common,
        });
        Budget::new(Q::from_si(self.si), terms.collect())
    }

    /// Value and half of its 95 % interval.
    pub fn with_interval(&self) -> String {
        let half = self.half_width(Fraction::new(0.95)).unwrap_or(f64::NAN);
        format!("{} +- {} (95 %)", show_si(self.kind, self.si), show_si(difference_kind(self.kind), half))
    }

    fn half_width(&self, coverage: Fraction) -> Result<f64, Error> {
        Ok(self.as_any::<Number>()?.half_width(coverage)?.si())
    }
}

fn common_named(word: &str) -> Result<Common, Error> {
    match word {
        "own" => Ok(Common::Own),
        "instrument" => Ok(Common::Instrument),
        "procedure" => Ok(Common::Procedure),
        other => Err(Error::input("causes", format!("'{other}'"), OF)),
    }
}

fn word_of(common: Common) -> &'static str {
    match common {
        Common::Own => "own",
        Common::Instrument => "instrument",
        Common::Procedure => "procedure",
    }
}

/// What two results share, by its word.
pub fn relation_named(text: &str, field: &str) -> Result<Relation, Error> {
    match text {
        "same-instrument" => Ok(Relation::SameInstrument),
        "same-procedure" => Ok(Relation::SameProcedure),
        "independent" => Ok(Relation::Independent),
        other => {
            Err(Error::input(field, format!("'{other}'"), "same-instrument, same-procedure or independent"))
        }
    }
}

/// A value of any kind: text, or a quantity that names its unit.
pub fn any(value: &Bound<'_, PyAny>, field: &str, kind: Option<Kind>) -> PyResult<AnyQuantity> {
    let py = value.py();
    if value.hasattr("to")? && value.hasattr("magnitude")? && value.hasattr("units")? {
        let fits = |k: &Kind| -> bool {
            value
                .call_method1("is_compatible_with", (k.pint(),))
                .is_ok_and(|b| b.is_truthy().unwrap_or(false))
        };
        let kind = kind.or_else(|| Kind::ALL.iter().copied().find(fits)).unwrap_or(Kind::Number);
        let si = convert::from_registry(value, field, kind)?;
        return Ok(AnyQuantity { kind, si, as_written: None });
    }
    let text = convert::text(value, field, "a value with its unit, such as '234.8 Ah'")?;
    let read = match kind {
        Some(kind) => AnyQuantity::parse_kind(&text, field, kind),
        None => AnyQuantity::parse(&text, field),
    };
    read.map_err(Error::from).or_raise(py)
}

#[pymethods]
impl Measured {
    #[new]
    fn new(value: &Bound<'_, PyAny>, causes: &Bound<'_, PyAny>) -> PyResult<Self> {
        let py = value.py();
        let value = any(value, "value", None)?;
        let Ok(dict) = causes.cast::<PyDict>() else {
            return Err(raise(py, &Error::input("causes", convert::short(causes)?, TERMS)));
        };
        let mut all = Vec::new();
        for (name, cause) in dict.iter() {
            let name = convert::text(&name, "causes", TERMS)?;
            let (half, common) = match cause.cast::<PyTuple>() {
                Ok(pair) if pair.len() == 2 => {
                    let word = convert::text(&pair.get_item(1)?, &name, OF)?;
                    (pair.get_item(0)?, common_named(&word).or_raise(py)?)
                }
                Ok(_) => return Err(raise(py, &Error::input(&name, convert::short(&cause)?, TERMS))),
                Err(_) => (cause, Common::Own),
            };
            let half = any(&half, &name, Some(value.kind))?.si;
            if !(half >= 0.0 && half.is_finite()) {
                let got = show_si(value.kind, half);
                return Err(raise(py, &Error::input(&name, got, "limits of zero or more")));
            }
            let effect = half / 3.0_f64.sqrt();
            all.push(Cause { name, effect, normal: false, freedom: f64::INFINITY, common });
        }
        Ok(Self { kind: value.kind, si: value.si, causes: all })
    }

    /// The value.
    #[getter]
    fn value(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out_si(py, self.kind, self.si)
    }
    /// Combined standard uncertainty.
    #[getter]
    fn uncertainty(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        let combined = self.as_any::<Number>().or_raise(py)?.combined();
        out_si(py, difference_kind(self.kind), combined.si())
    }
    /// Each cause of error and what its standard uncertainty does to the value.
    #[getter]
    fn budget<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let dict = PyDict::new(py);
        for c in &self.causes {
            dict.set_item(&c.name, out_si(py, difference_kind(self.kind), c.effect.abs())?)?;
        }
        Ok(dict)
    }
    /// The interval that holds the true value with a probability, from the joint distribution of all causes.
    #[pyo3(signature = (coverage=None))]
    fn bounds(&self, py: Python<'_>, coverage: Any<'_, '_>) -> PyResult<Range> {
        let half = self.half_width(probability(coverage)?).or_raise(py)?;
        Ok(Range::from_ends((self.kind, Some(self.si - half), Some(self.si + half))))
    }
    /// Whether zero lies outside the interval: for a difference, whether it is told from none.
    #[pyo3(signature = (coverage=None))]
    fn differs_from_zero(&self, py: Python<'_>, coverage: Any<'_, '_>) -> PyResult<bool> {
        Ok(self.si.abs() > self.half_width(probability(coverage)?).or_raise(py)?)
    }
    /// How much a later value is above this one. What both share by the relation ("same-instrument", "same-procedure",
    /// "independent") and by name cancels.
    #[pyo3(signature = (later, *, relation))]
    fn compare(&self, py: Python<'_>, later: &Self, relation: &str) -> PyResult<Self> {
        let relation = relation_named(relation, "relation").or_raise(py)?;
        if later.kind != self.kind {
            let got = show_si(later.kind, later.si);
            return Err(raise(py, &Error::input("later", got, self.kind.with_article())));
        }
        let (a, b) = (self.as_any::<Number>().or_raise(py)?, later.as_any::<Number>().or_raise(py)?);
        Ok(Self { kind: difference_kind(self.kind), ..Self::from(&a.difference(&b, relation)) })
    }

    fn __repr__(&self) -> String {
        format!("Measured({})", self.with_interval())
    }
    fn _repr_html_(&self) -> String {
        let causes: Vec<(String, String)> = self
            .causes
            .iter()
            .filter(|c| c.effect != 0.0)
            .map(|c| (c.name.clone(), show_si(difference_kind(self.kind), c.effect.abs())))
            .collect();
        let rows: Vec<(&str, String)> = causes.iter().map(|(n, v)| (n.as_str(), v.clone())).collect();
        sheet(&self.__repr__(), &rows, &[])
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let make = py.import("orlop._orlop")?.getattr("_measured")?;
        let causes: Vec<_> = self
            .causes
            .iter()
            .map(|c| (c.name.clone(), c.effect, c.normal, c.freedom, word_of(c.common)))
            .collect();
        (make, (SCHEMA, kind_name(self.kind), self.si, causes)).into_pyobject(py)
    }
}

/// The kind of a difference of two values.
pub fn difference_kind(kind: Kind) -> Kind {
    if kind == Kind::Temperature { Kind::TemperatureRise } else { kind }
}

/// Remakes a pickled value.
#[pyfunction(name = "_measured")]
pub fn rebuild(
    py: Python<'_>,
    schema: u32,
    kind: &str,
    si: f64,
    causes: Vec<(String, f64, bool, f64, String)>,
) -> PyResult<Measured> {
    check_schema(py, schema)?;
    let kind = kind_named(py, kind)?;
    let cause = |(name, effect, normal, freedom, common): (String, f64, bool, f64, String)| {
        let common = common_named(&common).or_raise(py)?;
        Ok(Cause { name, effect, normal, freedom, common })
    };
    Ok(Measured { kind, si, causes: causes.into_iter().map(cause).collect::<PyResult<_>>()? })
}
