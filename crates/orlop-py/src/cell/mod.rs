//! One cell and what is asked of it.

mod answer;

pub use answer::CellAnswer;

use crate::asked::Asked;
use crate::convert::{self, out, out_option};
use crate::errors::{OrRaise, raise};
use crate::html::sheet;
use crate::range::Range;
use crate::table::Table;
use answer::Ask;
use orlop::Error;
use orlop::cell::ageing::{AgeingModel, Cycling, Duty, Storage};
use orlop::cell::{self, ChemistryId, FaultConditions, Method, Permission, Rate, Size, StateOfCharge};
use orlop_units::{
    Charge, Current, Fraction, Mass, Resistance, Temperature, parse_number, plain_number, show, volts,
};
use pyo3::prelude::*;
use pyo3::types::{PyBool, PyString, PyTuple};

/// A battery cell as it is bought or measured.
///
/// Parameters
/// ----------
/// chemistry : {"lfp", "nmc", "lto", "lead-flooded", "lead-agm", "lead-gel"}
/// capacity : str or quantity
///     "230 Ah".
/// size : str, optional
///     Thickness, width and height: "54 x 174 x 207 mm".
/// mass : str or quantity, optional
/// resistance_1khz, resistance_dc : str, quantity or pair, optional
///     As measured at 25 degC and half charge: by a 1 kHz meter, and as voltage drop after ten seconds of direct current.
///     A pair is a lower and an upper bound.
/// resistance_1khz_max : str or quantity, optional
///     The maximum of a data sheet, when the cell was not measured: cells usually have less.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> cell = orlop.Cell("lfp", capacity="230 Ah", size="54 x 174 x 207 mm", mass="4.15 kg",
/// ...                   resistance_1khz="0.18 mohm", resistance_dc="0.55 mohm")
/// >>> cell
/// Cell(lfp, 230 Ah, 54 x 174 x 207 mm, 4.15 kg)
/// >>> cell.voltage_window
/// Range(2.5 V to 3.65 V)
/// >>> cell.open_circuit(charge="50 %", temperature="25 degC")
/// CellAnswer(rested voltage: 3.29 V; 3.28 V to 3.3 V)
#[pyclass(frozen, module = "orlop", eq)]
#[derive(Clone, PartialEq)]
pub struct Cell {
    pub inner: cell::Cell,
    asked: Asked,
}

/// A cell among the arguments.
pub fn cell_of(cell: &Bound<'_, PyAny>) -> PyResult<Cell> {
    match cell.extract::<PyRef<'_, Cell>>() {
        Ok(cell) => Ok((*cell).clone()),
        Err(_) => Err(raise(cell.py(), &Error::input("cell", convert::short(cell)?, "a Cell"))),
    }
}

pub fn charge(asked: &mut Asked, field: &'static str, value: &Bound<'_, PyAny>) -> PyResult<StateOfCharge> {
    let share: Fraction = asked.quantity(field, value)?;
    StateOfCharge::of(share).or_raise(value.py())
}

/// A value, or a pair of a lower and an upper bound.
fn bounds(
    asked: &mut Asked,
    field: &'static str,
    value: &Bound<'_, PyAny>,
) -> PyResult<orlop::Range<Resistance>> {
    if value.is_instance_of::<PyString>() || value.hasattr("magnitude")? || value.try_iter().is_err() {
        return asked.quantity(field, value).map(orlop::Range::exactly);
    }
    let expected = "a resistance, or a pair of a lower and an upper bound";
    let (low, high) = asked.pair(field, value, expected)?;
    Ok(orlop::Range::new(low, high))
}

/// A plain number, as number or as text.
pub fn number(asked: &mut Asked, field: &'static str, value: &Bound<'_, PyAny>) -> PyResult<f64> {
    let py = value.py();
    let number = if let Ok(text) = value.cast::<PyString>() {
        parse_number(&text.to_string_lossy(), field).map_err(Error::from).or_raise(py)?
    } else {
        let plain = if value.is_instance_of::<PyBool>() { None } else { value.extract::<f64>().ok() };
        plain
            .ok_or(())
            .or_else(|()| Err(raise(py, &Error::input(field, convert::short(value)?, "a plain number"))))?
    };
    asked.said(field, plain_number(number));
    Ok(number)
}

/// Conditions of a fault; what is not given is taken at its worst.
pub(crate) fn conditions(
    asked: &mut Asked,
    warmest: Option<&Bound<'_, PyAny>>,
    coldest: Option<&Bound<'_, PyAny>>,
    least_charge: Option<&Bound<'_, PyAny>>,
    highest_voltage: Option<&Bound<'_, PyAny>>,
    lowest_voltage: Option<&Bound<'_, PyAny>>,
) -> PyResult<FaultConditions> {
    Ok(FaultConditions {
        warmest: asked.optional("warmest", warmest)?,
        coldest: asked.optional("coldest", coldest)?,
        least_charge: least_charge.map(|c| charge(asked, "least_charge", c)).transpose()?,
        // Not every question has these: what is left out is not asked again either.
        highest_voltage: highest_voltage.map(|v| asked.quantity("highest_voltage", v)).transpose()?,
        lowest_voltage: lowest_voltage.map(|v| asked.quantity("lowest_voltage", v)).transpose()?,
    })
}

#[pymethods]
impl Cell {
    #[new]
    #[pyo3(signature = (chemistry, *, capacity, size=None, mass=None, resistance_1khz=None, resistance_1khz_max=None, resistance_dc=None))]
    fn new(
        chemistry: &Bound<'_, PyAny>,
        capacity: &Bound<'_, PyAny>,
        size: Option<&Bound<'_, PyAny>>,
        mass: Option<&Bound<'_, PyAny>>,
        resistance_1khz: Option<&Bound<'_, PyAny>>,
        resistance_1khz_max: Option<&Bound<'_, PyAny>>,
        resistance_dc: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<Self> {
        let py = chemistry.py();
        let mut asked = Asked::default();
        let id = asked.word("chemistry", chemistry, ChemistryId::parse)?;
        let capacity: Charge = asked.quantity("capacity", capacity)?;
        let mut cell = cell::Cell::new(id, capacity).or_raise(py)?;
        if let Some(size) = size {
            let text =
                convert::text(size, "size", "thickness x width x height, such as '54 x 174 x 207 mm'")?;
            let size = Size::parse(&text, "size").or_raise(py)?;
            asked.said("size", size.exact());
            cell = cell.with_size(size);
        }
        if let Some(mass) = mass {
            let mass: Mass = asked.quantity("mass", mass)?;
            cell = cell.with_mass(mass).or_raise(py)?;
        }
        let fast = match (resistance_1khz, resistance_1khz_max) {
            (None, None) => None,
            (Some(measured), None) => Some(bounds(&mut asked, "resistance_1khz", measured)?),
            (None, Some(maximum)) => {
                let maximum = asked.quantity("resistance_1khz_max", maximum)?;
                Some(orlop::Range::from_bounds(None, Some(maximum)))
            }
            (Some(_), Some(_)) => {
                let expected =
                    "one of them: the measured value, or the maximum of the sheet where nothing was measured";
                return Err(raise(
                    py,
                    &Error::input("resistance_1khz, resistance_1khz_max", "both", expected),
                ));
            }
        };
        if let Some(fast) = fast {
            cell = cell.with_resistance_1khz(fast).or_raise(py)?;
        }
        if let Some(slow) = resistance_dc {
            let slow = bounds(&mut asked, "resistance_dc", slow)?;
            cell = cell.with_resistance_dc(slow).or_raise(py)?;
        }
        Ok(Self { inner: cell, asked })
    }

    /// Its chemistry: "lfp".
    #[getter]
    fn chemistry(&self) -> &'static str {
        self.inner.chemistry().id.word()
    }
    /// Its capacity.
    #[getter]
    fn capacity(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.capacity())
    }
    /// Thickness, width and height, or None.
    #[getter]
    fn size<'py>(&self, py: Python<'py>) -> PyResult<Option<Bound<'py, PyTuple>>> {
        let size = self.inner.size();
        size.map(|s| PyTuple::new(py, [out(py, s.thickness)?, out(py, s.width)?, out(py, s.height)?]))
            .transpose()
    }
    /// Its mass, or None.
    #[getter]
    fn mass(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        out_option(py, self.inner.mass())
    }
    /// Nominal voltage of its chemistry.
    #[getter]
    fn nominal_voltage(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.nominal_voltage())
    }
    /// Lowest and highest voltage in service.
    #[getter]
    fn voltage_window(&self) -> Range {
        self.inner.voltage_window().into()
    }
    /// Capacity times nominal voltage.
    #[getter]
    fn energy(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.inner.energy())
    }
    /// Energy over mass, or None where the mass is not known.
    #[getter]
    fn specific_energy(&self, py: Python<'_>) -> PyResult<Option<Py<PyAny>>> {
        out_option(py, self.inner.specific_energy())
    }
    /// Resistance at 1 kHz as it was given, or None.
    #[getter]
    fn resistance_1khz(&self) -> Option<Range> {
        self.inner.resistance_1khz().map(Range::from)
    }
    /// Ten-second resistance as it was given, or None.
    #[getter]
    fn resistance_dc(&self) -> Option<Range> {
        self.inner.resistance_dc().map(Range::from)
    }
    /// Names of the open-circuit curves of its chemistry, the default first.
    #[getter]
    fn curves<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.inner.chemistry().curves().iter().map(|c| c.id().to_string()))
    }

    /// Voltage of the rested cell by one curve, with the spread over all curves of the chemistry.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> cell = orlop.Cell("lfp", capacity="100 Ah")
    /// >>> cell.open_circuit(charge="80 %", temperature="10 degC").range
    /// Range(3.32 V to 3.34 V)
    #[pyo3(signature = (*, charge, temperature, curve=None))]
    fn open_circuit(
        slf: &Bound<'_, Self>,
        charge: &Bound<'_, PyAny>,
        temperature: &Bound<'_, PyAny>,
        curve: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<CellAnswer> {
        let mut asked = Asked::default();
        let charge = self::charge(&mut asked, "charge", charge)?;
        let temperature = asked.quantity("temperature", temperature)?;
        let curve =
            curve.map(|c| convert::text(c, "curve", "the name of a curve, see Cell.curves")).transpose()?;
        if let Some(curve) = &curve {
            asked.said("curve", curve.clone());
        }
        CellAnswer::new(slf, Ask::OpenCircuit { curve, charge, temperature }, asked)
    }

    /// State of charge that a rested voltage stands for, by all curves, when the meter may be off by ``meter``.
    #[pyo3(signature = (*, voltage, temperature, meter=None))]
    fn charge_from_rest(
        slf: &Bound<'_, Self>,
        voltage: &Bound<'_, PyAny>,
        temperature: &Bound<'_, PyAny>,
        meter: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<CellAnswer> {
        let mut asked = Asked::default();
        let voltage = asked.quantity("voltage", voltage)?;
        let temperature = asked.quantity("temperature", temperature)?;
        let meter = asked.optional("meter", meter)?.unwrap_or(volts(0.0));
        CellAnswer::new(slf, Ask::FromRest { voltage, meter, temperature }, asked)
    }

    /// Bounds of the resistance by method ("1khz" or "10s"), charge and temperature.
    ///
    /// What was not given takes the worst end of what the chemistry permits; ``flags`` says so.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> cell = orlop.Cell("lfp", capacity="230 Ah", resistance_1khz="0.18 mohm", resistance_dc="0.55 mohm")
    /// >>> cell.resistance("10s", charge="50 %", temperature="0 degC").range
    /// Range(826 uohm to 1.22 mohm)
    #[pyo3(signature = (method, *, charge, temperature))]
    fn resistance(
        slf: &Bound<'_, Self>,
        method: &Bound<'_, PyAny>,
        charge: &Bound<'_, PyAny>,
        temperature: &Bound<'_, PyAny>,
    ) -> PyResult<CellAnswer> {
        let mut asked = Asked::default();
        let method = asked.word("method", method, Method::parse)?;
        let charge = self::charge(&mut asked, "charge", charge)?;
        let temperature = asked.quantity("temperature", temperature)?;
        CellAnswer::new(slf, Ask::Resistance { method, charge, temperature }, asked)
    }

    /// Current of a bolted fault over the bare cell: most for breaking capacity, least for clearing.
    ///
    /// What is not given is taken at its worst: the ends of the temperatures at which the cell may be discharged, and an empty cell.
    #[pyo3(signature = (*, warmest=None, coldest=None, least_charge=None, highest_voltage=None, lowest_voltage=None))]
    fn fault_current(
        slf: &Bound<'_, Self>,
        warmest: Option<&Bound<'_, PyAny>>,
        coldest: Option<&Bound<'_, PyAny>>,
        least_charge: Option<&Bound<'_, PyAny>>,
        highest_voltage: Option<&Bound<'_, PyAny>>,
        lowest_voltage: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<CellAnswer> {
        let mut asked = Asked::default();
        let at = conditions(&mut asked, warmest, coldest, least_charge, highest_voltage, lowest_voltage)?;
        CellAnswer::new(slf, Ask::Fault(at), asked)
    }

    /// Whether the cell may be charged at a temperature of its own: "yes", "no" or "sources differ", and why.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> orlop.Cell("lfp", capacity="100 Ah").charging_at("-2 degC")
    /// ('no', 'charging at -2 degC is outside 0 degC to 60 degC')
    fn charging_at(&self, temperature: &Bound<'_, PyAny>) -> PyResult<(&'static str, String)> {
        let t: Temperature = convert::quantity(temperature, "temperature")?;
        Ok(match self.inner.chemistry().charging_at(t).or_raise(temperature.py())? {
            Permission::Yes => ("yes", String::new()),
            Permission::No(why) => ("no", why),
            Permission::SourcesDiffer(why) => ("sources differ", why),
        })
    }

    /// How long the cell lasts under a duty by published ageing models, and whether the calendar or the cycles decide.
    ///
    /// ``full_cycles_a_year`` counts the capacity once out and in, in however many parts; ``cycles_model`` is ``model`` unless
    /// given. See ``CellAnswer.sentence``.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> cell = orlop.Cell("lfp", capacity="230 Ah")
    /// >>> life = cell.life(model="naumann", charge="60 %", temperature="20 degC", depth="80 %", current="46 A",
    /// ...                  full_cycles_a_year=41)
    /// >>> print(life.sentence.split(":")[0])
    /// 19 years, and the calendar decides
    #[pyo3(signature = (*, model, charge, temperature, depth, current, full_cycles_a_year, cycles_model=None, lost=None))]
    #[allow(clippy::too_many_arguments)]
    fn life(
        slf: &Bound<'_, Self>,
        model: &Bound<'_, PyAny>,
        charge: &Bound<'_, PyAny>,
        temperature: &Bound<'_, PyAny>,
        depth: &Bound<'_, PyAny>,
        current: &Bound<'_, PyAny>,
        full_cycles_a_year: &Bound<'_, PyAny>,
        cycles_model: Option<&Bound<'_, PyAny>>,
        lost: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<CellAnswer> {
        let mut asked = Asked::default();
        let calendar = asked.word("model", model, AgeingModel::parse)?;
        let charge = self::charge(&mut asked, "charge", charge)?;
        let temperature = asked.quantity("temperature", temperature)?;
        let depth = asked.quantity("depth", depth)?;
        let current: Current = asked.quantity("current", current)?;
        let full_cycles_a_year = number(&mut asked, "full_cycles_a_year", full_cycles_a_year)?;
        let cycles =
            cycles_model.map_or(Ok(calendar), |m| asked.word("cycles_model", m, AgeingModel::parse))?;
        let lost = asked.optional("lost", lost)?.unwrap_or(Fraction::new(0.2));
        let rate = Rate::of(current, slf.get().inner.capacity()).or_raise(slf.py())?;
        let duty = Duty {
            storage: Storage { charge, temperature },
            cycling: Cycling { depth, rate, middle: charge, temperature },
            full_cycles_a_year,
        };
        CellAnswer::new(slf, Ask::Life { calendar, cycles, duty, lost }, asked)
    }

    /// Charge that a full cell gives at a constant current; how long it flows is in ``sentence``.
    ///
    /// Parameters
    /// ----------
    /// current : str or quantity
    /// ratings : sequence of pairs of charge and time, optional
    ///     From the data sheet: two, for Peukert's law through both, or three, for the kinetic model of a lead cell. Without them Peukert's
    ///     law over all exponents of the chemistry.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> lead = orlop.Cell("lead-flooded", capacity="100 Ah")
    /// >>> lead.capacity_at(current="10 A").range
    /// Range(66 Ah to 87.1 Ah)
    /// >>> sheet = [("60 Ah", "1 h"), ("93 Ah", "10 h"), ("100 Ah", "20 h")]
    /// >>> at = lead.capacity_at(current="16.4 A", ratings=sheet)
    /// >>> at.range, at.sentence
    /// (Range(82.3 Ah), '16.4 A flow for 5.02 h')
    #[pyo3(signature = (*, current, ratings=None))]
    fn capacity_at(
        slf: &Bound<'_, Self>,
        current: &Bound<'_, PyAny>,
        ratings: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<CellAnswer> {
        let mut asked = Asked::default();
        let current = asked.quantity("current", current)?;
        let expected = "pairs of a charge and a time, such as [('100 Ah', '20 h'), ('83 Ah', '5 h')]";
        let ratings = ratings.map_or(Ok(Vec::new()), |r| asked.pairs("ratings", r, expected))?;
        CellAnswer::new(slf, Ask::CapacityAt { current, ratings }, asked)
    }

    /// Heat that a lasting current makes in it, discharge positive: of its resistance and of its entropy.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> cell = orlop.Cell("lfp", capacity="230 Ah", resistance_dc="0.55 mohm")
    /// >>> heat = cell.heat(current="100 A", charge="50 %", temperature="25 degC")
    /// >>> heat.sentence
    /// '5.5 W of the resistance and -8.94 W to 1.15 W of the entropy'
    #[pyo3(signature = (*, current, charge, temperature))]
    fn heat(
        slf: &Bound<'_, Self>,
        current: &Bound<'_, PyAny>,
        charge: &Bound<'_, PyAny>,
        temperature: &Bound<'_, PyAny>,
    ) -> PyResult<CellAnswer> {
        let mut asked = Asked::default();
        let current = asked.quantity("current", current)?;
        let charge = self::charge(&mut asked, "charge", charge)?;
        let temperature = asked.quantity("temperature", temperature)?;
        CellAnswer::new(slf, Ask::Heat { current, charge, temperature }, asked)
    }

    /// What is known of its chemistry: ``"cell_facts"``, with bounds and sources, or ``"cell_gas"``, what it gives off when it fails.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> facts = orlop.Cell("lfp", capacity="100 Ah").table("cell_facts").to_dicts()
    /// >>> [(row["low"], row["high"], row["unit"]) for row in facts if row["fact"] == "coulombic efficiency"]
    /// [(99.9, 100.0, '%')]
    fn table(&self, name: &Bound<'_, PyAny>) -> PyResult<Table> {
        let (id, known) = (self.inner.chemistry().id, "cell_facts or cell_gas");
        match convert::text(name, "table", known)?.as_str() {
            "cell_facts" => Ok(cell::facts_table(id).into()),
            "cell_gas" => Ok(cell::gas_table(id).into()),
            other => Err(raise(name.py(), &Error::input("table", format!("'{other}'"), known))),
        }
    }

    fn __repr__(&self) -> String {
        let cell = &self.inner;
        let mut parts = vec![cell.chemistry().id.word().to_string(), show(cell.capacity())];
        parts.extend(cell.size().map(|s| s.to_string()));
        parts.extend(cell.mass().map(show));
        format!("Cell({})", parts.join(", "))
    }
    fn _repr_html_(&self) -> String {
        let cell = &self.inner;
        let text =
            |r: Option<orlop::Range<Resistance>>| r.map_or_else(|| "not given".into(), |r| r.to_string());
        sheet(
            &format!("{} cell, {}", cell.chemistry().id.word(), show(cell.capacity())),
            &[
                ("size", cell.size().map(|s| s.to_string()).unwrap_or_default()),
                ("mass", cell.mass().map(show).unwrap_or_default()),
                ("voltage", cell.voltage_window().to_string()),
                ("energy", show(cell.energy())),
                ("energy per mass", cell.specific_energy().map(show).unwrap_or_default()),
                ("resistance at 1 kHz", text(cell.resistance_1khz())),
                ("resistance after 10 s", text(cell.resistance_dc())),
            ],
            &[],
        )
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        self.asked.reduce(py, None, "Cell")
    }
}
