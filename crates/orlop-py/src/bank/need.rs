//! How large a bank has to be.

use super::answer::{BankAnswer, Value};
use crate::asked::Asked;
use crate::columns::Columns;
use crate::errors::{OrRaise, raise};
use orlop::cell::ChemistryId;
use orlop::energy::{BankNeed, DutyCycle, Period, RateFactor, TemperatureFactor, temperature_factor};
use orlop::{Error, Range, Working};
use orlop_units::{
    Current, Energy, Fraction, Number, Quantity, Temperature, Time, Voltage, amperes, seconds,
};
use pyo3::prelude::*;

/// A worn-out bank still has so much of its capacity, where nothing else is said.
const LEFT: f64 = 0.8;

type Any<'a, 'py> = Option<&'a Bound<'py, PyAny>>;

fn chemistry_of(asked: &mut Asked, chemistry: Any<'_, '_>) -> PyResult<Option<ChemistryId>> {
    chemistry.map(|c| asked.word("chemistry", c, ChemistryId::parse)).transpose()
}

/// The multiplier for the coldest time; 1 where none is stated.
fn cold(
    py: Python<'_>,
    asked: &mut Asked,
    chemistry: Option<ChemistryId>,
    coldest: Any<'_, '_>,
) -> PyResult<TemperatureFactor> {
    let coldest: Option<Temperature> = asked.optional("coldest", coldest)?;
    match (coldest, chemistry) {
        (None, _) => Ok(TemperatureFactor { value: Range::exactly(Number::of(1.0)), citations: Vec::new() }),
        (Some(coldest), Some(chemistry)) => temperature_factor(chemistry, coldest).or_raise(py),
        (Some(_), None) => {
            Err(raise(py, &Error::input("chemistry", "none", "what the cells are, where coldest is stated")))
        }
    }
}

fn flags(cold: &TemperatureFactor, flags: Vec<String>) -> Vec<String> {
    let told = cold.citations.iter().map(|c| format!("{} ({})", c.title, c.confidence.word()));
    flags.into_iter().chain(told).collect()
}

/// A bank for so much energy a day and so many days without charging.
///
/// Q = E days/(U efficiency); with depth, age, margin and cold Q k_T (1 + margin)/(depth left); where a current is stated, the rated capacity
/// that gives so much at that current, by Peukert's law with the highest exponent known for the chemistry. Two bounds where tables of cold
/// disagree; buy the higher.
///
/// Parameters
/// ----------
/// energy_a_day : str or quantity
///     At the loads.
/// autonomy : str or quantity
///     How long without charging: "2 days".
/// nominal : str or quantity
///     Nominal voltage of the bank.
/// depth : str or quantity
///     Share of the capacity that may be drawn: "80 %".
/// chemistry : str, optional
///     Needed with ``coldest`` and ``current``.
/// coldest : str or quantity, optional
///     Temperature of the cells in the coldest time; without it cold asks for nothing more.
/// current : str or quantity, optional
///     Current at which it is drawn; without it haste asks for nothing more.
/// left : str or quantity, default "80 %"
///     What a worn-out bank still has of its capacity.
/// efficiency : str or quantity, default "100 %"
///     What arrives at the loads: of an inverter, say, "90 %".
/// margin : str or quantity, default "0 %"
///     For what was not thought of; 10 to 15 % are usual.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> bank = orlop.size_bank(energy_a_day="4.48 kWh", autonomy="2 days", nominal="25.6 V", depth="80 %", chemistry="lfp", coldest="2 degC")
/// >>> bank
/// BankAnswer(size_bank: capacity 572 Ah to 622 Ah)
/// >>> print(f"{bank['drawn']:.0f~P}")
/// 350 A·h
#[pyfunction]
#[pyo3(signature = (*, energy_a_day, autonomy, nominal, depth, chemistry=None, coldest=None, current=None, left=None, efficiency=None,
                    margin=None))]
#[allow(clippy::too_many_arguments)]
pub fn size_bank(
    py: Python<'_>,
    energy_a_day: &Bound<'_, PyAny>,
    autonomy: &Bound<'_, PyAny>,
    nominal: &Bound<'_, PyAny>,
    depth: &Bound<'_, PyAny>,
    chemistry: Any<'_, '_>,
    coldest: Any<'_, '_>,
    current: Any<'_, '_>,
    left: Any<'_, '_>,
    efficiency: Any<'_, '_>,
    margin: Any<'_, '_>,
) -> PyResult<BankAnswer> {
    const DAY: f64 = 86_400.0;
    let mut asked = Asked::default();
    let energy: Energy = asked.quantity("energy_a_day", energy_a_day)?;
    let autonomy: Time = asked.quantity("autonomy", autonomy)?;
    let nominal: Voltage = asked.quantity("nominal", nominal)?;
    let depth: Fraction = asked.quantity("depth", depth)?;
    let chemistry = chemistry_of(&mut asked, chemistry)?;
    let cold = cold(py, &mut asked, chemistry, coldest)?;
    let current: Option<Current> = asked.optional("current", current)?;
    let left: Option<Fraction> = asked.optional("left", left)?;
    let efficiency: Option<Fraction> = asked.optional("efficiency", efficiency)?;
    let margin: Option<Fraction> = asked.optional("margin", margin)?;
    if current.is_some() && chemistry.is_none() {
        let expected = "what the cells are, where current is stated";
        return Err(raise(py, &Error::input("chemistry", "none", expected)));
    }
    let mut working = Working::new("size of a bank for days");
    let mut answer = || -> Result<_, Error> {
        let mut need = BankNeed::new(energy, autonomy.si() / DAY, nominal, depth)?
            .with_temperature(cold.value)?
            .with_left(left.unwrap_or(Fraction::new(LEFT)))?
            .with_efficiency(efficiency.unwrap_or(Fraction::new(1.0)))?
            .with_margin(margin.unwrap_or(Fraction::new(0.0)))?;
        if let Some((current, chemistry)) = current.zip(chemistry) {
            need = need.with_rate(RateFactor::of(chemistry.chemistry()), current)?;
        }
        need.size_recorded(&mut working)
    };
    let size = answer().or_raise(py)?;
    let values = vec![
        ("capacity", Value::bounds(size.capacity)),
        ("drawn", Value::of(size.drawn)),
        ("energy", Value::of(size.energy)),
        ("temperature_factor", Value::bounds(cold.value)),
    ];
    let answer = BankAnswer::new("size_bank", "capacity", asked).values(values).worked(working);
    Ok(answer.flagged(flags(&cold, Vec::new())))
}

/// A bank for currents that follow each other, after the cell sizing sheet of IEEE 485.
///
/// Each section runs from the start to the end of one period; its size is the sum of (A_p - A_p-1) K(t), t from the start of period p to the end
/// of the section, K the rated capacity that an ampere needs to flow so long. The largest counts, at least the charge drawn; the load that may
/// come at any time is added; then cold, margin and age. The table ``duty`` is the filled sheet.
///
/// Parameters
/// ----------
/// duty : Arrow stream or dict of columns
///     ``current_a`` and ``minutes`` of each period, from a full bank on.
/// chemistry : str, optional
///     K by Peukert's law with the highest exponent known for it; needed with ``coldest``.
/// factors : Arrow stream or dict of columns, optional
///     K by the maker's sheet instead: ``minutes`` and ``ah_per_a``, ampere-hours for each ampere that flows so long.
/// random : tuple of current and time, optional
///     A load that may come at any time: ("100 A", "1 min").
/// coldest, left, margin : str or quantity, optional
///     As in :func:`size_bank`.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> evening = {"current_a": [80, 6], "minutes": [3, 300]}
/// >>> bank = orlop.size_bank_by_duty(evening, chemistry="lead-agm", margin="10 %")
/// >>> bank["governing"], len(bank.table.to_dicts())
/// (2, 3)
#[pyfunction]
#[pyo3(signature = (duty, *, chemistry=None, factors=None, random=None, coldest=None, left=None, margin=None))]
#[allow(clippy::too_many_arguments)]
pub fn size_bank_by_duty(
    duty: &Bound<'_, PyAny>,
    chemistry: Any<'_, '_>,
    factors: Any<'_, '_>,
    random: Any<'_, '_>,
    coldest: Any<'_, '_>,
    left: Any<'_, '_>,
    margin: Any<'_, '_>,
) -> PyResult<BankAnswer> {
    let py = duty.py();
    let mut asked = Asked::default();
    let pairs = |asked: &mut Asked, given: &Bound<'_, PyAny>, field, names: [&'static str; 2]| {
        let columns = Columns::read(given, field)?;
        columns.only(py, &names)?;
        let one = columns.needed(py, columns.numbers(py, names[0])?, names[0])?;
        let other = columns.needed(py, columns.numbers(py, names[1])?, names[1])?;
        let pairs: Vec<(f64, f64)> = one.iter().copied().zip(other.iter().copied()).collect();
        asked.table(field, &columns);
        Ok::<_, PyErr>(pairs)
    };
    let periods = pairs(&mut asked, duty, "duty", ["current_a", "minutes"])?;
    let chemistry = chemistry_of(&mut asked, chemistry)?;
    let rate = match (factors, chemistry) {
        (Some(factors), _) => {
            let points = pairs(&mut asked, factors, "factors", ["minutes", "ah_per_a"])?;
            RateFactor::points(points.into_iter().map(|(t, k)| (seconds(60.0 * t), seconds(3600.0 * k))))
                .or_raise(py)?
        }
        (None, Some(chemistry)) => RateFactor::of(chemistry.chemistry()),
        (None, None) => {
            let expected = "one of them: the capacity that a current needs depends on it";
            return Err(raise(py, &Error::input("chemistry, factors", "neither", expected)));
        }
    };
    let random: Option<(Current, Time)> = random
        .map(|r| asked.pair("random", r, "a current and a time, such as ('100 A', '1 min')"))
        .transpose()?;
    let cold = cold(py, &mut asked, chemistry, coldest)?;
    let left: Option<Fraction> = asked.optional("left", left)?;
    let margin: Option<Fraction> = asked.optional("margin", margin)?;
    let mut working = Working::new("size of a bank for a cycle of duty");
    let answer = || -> Result<_, Error> {
        let period = |(a, t): (f64, f64)| Period { current: amperes(a), time: seconds(60.0 * t) };
        let mut cycle = DutyCycle::new(periods.into_iter().map(period))?;
        if let Some((current, time)) = random {
            cycle = cycle.with_random(Period { current, time })?;
        }
        let (margin, left) = (margin.unwrap_or(Fraction::new(0.0)), left.unwrap_or(Fraction::new(LEFT)));
        cycle.size_recorded(&rate, cold.value, margin, left, &mut working)
    };
    let size = answer().or_raise(py)?;
    let values = vec![
        ("capacity", Value::bounds(size.capacity)),
        ("governing", Value::Count(u32::try_from(size.governing + 1).unwrap_or(u32::MAX))),
        ("uncorrected", Value::of(size.uncorrected)),
        ("random", Value::of(size.random)),
        ("drawn", Value::of(size.drawn)),
        ("temperature_factor", Value::bounds(cold.value)),
    ];
    let answer = BankAnswer::new("size_bank_by_duty", "capacity", asked).values(values).worked(working);
    Ok(answer.with_table(size.table()).flagged(flags(&cold, size.flags)))
}
