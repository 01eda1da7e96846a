//! Arguments in, quantities out: the only place where units cross the border.

use crate::errors::{OrRaise, raise};
use orlop::Error;
use orlop_units::{ConductorSize, Kind, Quantity, UnitError, exact, parse};
use pyo3::prelude::*;
use pyo3::sync::PyOnceLock;
use pyo3::types::{PyBool, PyString};

/// Reads text with a unit, or a quantity of the units registry. A bare number is refused.
pub fn quantity<Q: Quantity>(value: &Bound<'_, PyAny>, field: &str) -> PyResult<Q> {
    if let Ok(text) = value.cast::<PyString>() {
        return parse::<Q>(&text.to_string_lossy(), field).map_err(Error::from).or_raise(value.py());
    }
    if value.hasattr("to")? && value.hasattr("magnitude")? && value.hasattr("units")? {
        return from_registry(value, field, Q::KIND).map(Q::from_si);
    }
    Err(raise(value.py(), &wrong(value, field, Q::KIND)?.into()))
}

fn wrong(value: &Bound<'_, PyAny>, field: &str, expected: Kind) -> PyResult<UnitError> {
    let got = short(value)?;
    let field = field.to_string();
    let number = value.extract::<f64>().is_ok() && !value.is_instance_of::<PyBool>();
    Ok(if number {
        UnitError::Bare { field, expected, got }
    } else {
        let what = format!("{} as text or as a quantity", expected.with_units());
        UnitError::Unreadable { field, what, got, hint: String::new() }
    })
}

/// A value as an error message may quote it.
pub fn short(value: &Bound<'_, PyAny>) -> PyResult<String> {
    const MOST: usize = 60;
    let text = value.repr()?.to_string_lossy().into_owned();
    Ok(if text.chars().count() > MOST { text.chars().take(MOST).collect::<String>() + "..." } else { text })
}

/// A quantity of the registry as a number in the base unit.
///
/// The registry takes a rise of 20 K for a thermometer at -253 degC and the other way round; here the unit says which is
/// meant, and the other is refused.
pub fn from_registry(value: &Bound<'_, PyAny>, field: &str, kind: Kind) -> PyResult<f64> {
    let py = value.py();
    let got = value.str()?.to_string_lossy().into_owned();
    let unit = value.getattr("units")?.str()?.to_string_lossy().into_owned();
    let other = |found| UnitError::WrongKind { field: field.into(), expected: kind, got: got.clone(), found };
    let is_rise = unit.starts_with("delta_");
    let is_thermometer = unit.starts_with("degree_");
    if kind == Kind::Temperature && is_rise {
        return Err(raise(py, &other(Kind::TemperatureRise).into()));
    }
    if kind == Kind::TemperatureRise && is_thermometer {
        return Err(raise(py, &other(Kind::Temperature).into()));
    }
    let compatible = |k: Kind| -> bool {
        value.call_method1("is_compatible_with", (k.pint(),)).and_then(|b| b.is_truthy()).unwrap_or(false)
    };
    if !compatible(kind) {
        let error = match Kind::ALL.iter().copied().find(|k| compatible(*k)) {
            Some(found) => other(found),
            None => UnitError::Unreadable {
                field: field.into(),
                what: kind.with_units(),
                got: got.clone(),
                hint: String::new(),
            },
        };
        return Err(raise(py, &error.into()));
    }
    let impossible = |why: &str| {
        let error = UnitError::Impossible { field: field.into(), got: got.clone(), why: why.into() };
        raise(py, &error.into())
    };
    let number = value
        .call_method1("to", (kind.pint(),))
        .and_then(|q| q.getattr("magnitude"))
        .and_then(|m| m.extract::<f64>())
        .map_err(|_| impossible("is not one single number"))?;
    if !number.is_finite() {
        return Err(impossible("is not a finite number"));
    }
    let si = kind.output().to_base(number);
    if kind == Kind::Temperature && si < -273.15 {
        return Err(impossible("is below absolute zero"));
    }
    Ok(si)
}

/// Reads the name of a conductor size, or an area of the units registry as a metric size.
pub fn size(value: &Bound<'_, PyAny>, field: &str) -> PyResult<ConductorSize> {
    let text = if let Ok(text) = value.cast::<PyString>() {
        text.to_string_lossy().into_owned()
    } else if value.hasattr("magnitude")? {
        let area: orlop_units::Area = quantity(value, field)?;
        // Units are converted by multiplication: 16 mm2 may arrive as 15.999999999999998 mm2.
        format!("{} mm2", (area.out() * 1e6).round() / 1e6)
    } else {
        let error = UnitError::Unreadable {
            field: field.into(),
            what: "a conductor size such as '6 AWG', '2/0 AWG', 'SAE 6' or '16 mm2'".into(),
            got: short(value)?,
            hint: String::new(),
        };
        return Err(raise(value.py(), &error.into()));
    };
    ConductorSize::parse(&text, field).map_err(Error::from).or_raise(value.py())
}

/// Text, and nothing else.
pub fn text(value: &Bound<'_, PyAny>, field: &str, expected: &str) -> PyResult<String> {
    match value.cast::<PyString>() {
        Ok(text) => Ok(text.to_string_lossy().into_owned()),
        Err(_) => Err(raise(value.py(), &Error::input(field, short(value)?, expected))),
    }
}

/// A quantity of the application's registry.
pub fn out<Q: Quantity>(py: Python<'_>, q: Q) -> PyResult<Py<PyAny>> {
    out_si(py, Q::KIND, q.si())
}

/// The same, or None.
pub fn out_option<Q: Quantity>(py: Python<'_>, q: Option<Q>) -> PyResult<Option<Py<PyAny>>> {
    q.map(|q| out(py, q)).transpose()
}

/// The same for a kind known at run time; `si` is in the kind's base unit.
pub fn out_si(py: Python<'_>, kind: Kind, si: f64) -> PyResult<Py<PyAny>> {
    static MAKE: PyOnceLock<Py<PyAny>> = PyOnceLock::new();
    let make = MAKE.import(py, "orlop._pint", "quantity")?;
    Ok(make.call1((kind.output().from_base(si), kind.pint()))?.unbind())
}

/// Text that reads back to the same bits, for pickles.
pub fn exact_text<Q: Quantity>(q: Q) -> String {
    exact(Q::KIND, q.si())
}
