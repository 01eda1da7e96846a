//! What two banks cost over the years.

use super::answer::{BankAnswer, Value};
use crate::asked::Asked;
use crate::columns::Columns;
use crate::errors::{OrRaise, raise};
use orlop::cell::ageing::StatedLife;
use orlop::cell::{Choice, compare_recorded, cost_table};
use orlop::{Error, Working};
use orlop_units::{Energy, Quantity, Time, joules, seconds};
use pyo3::prelude::*;

const COLUMNS: &[&str] = &["choice", "first_cost", "renewal_cost", "usable_kwh", "cycles", "calendar_years"];
const YEAR_S: f64 = 365.25 * 86400.0;

/// Two banks over the years: sets bought, cost of a delivered kilowatt-hour, when the dearer one overtakes, and what that rests on.
///
/// Sets are bought when the one before is worn out, at the prices of today and without interest. The energy they are charged with is
/// left out.
///
/// Parameters
/// ----------
/// choices : Arrow stream or dict of columns
///     Two rows: ``choice`` (a name), ``first_cost`` (with everything it needs), ``renewal_cost`` (only what wears out),
///     ``usable_kwh`` (in one cycle), ``cycles`` (of that depth) and ``calendar_years`` that it is claimed to stand.
/// demand_a_year : str or quantity
///     Energy that is taken out.
/// horizon : str or quantity
///
/// Examples
/// --------
/// >>> import orlop
/// >>> two = {"choice": ["lithium", "lead"], "first_cost": [4000, 900], "renewal_cost": [2500, 900], "usable_kwh": [9.4, 2.4],
/// ...        "cycles": [4000, 500], "calendar_years": [15, 5]}
/// >>> over_life = orlop.compare_life_cost(two, demand_a_year="480 kWh", horizon="12 years")
/// >>> [(row["choice"], row["sets"], row["total"]) for row in over_life.table.to_dicts()]
/// [('lithium', 1, 4000.0), ('lead', 5, 4500.0)]
/// >>> over_life.sentence.split(";")[0]
/// 'lithium costs 0.69 per delivered kWh against 0.78 of lead: lithium overtakes in year 10'
#[pyfunction]
#[pyo3(signature = (choices, *, demand_a_year, horizon))]
pub fn compare_life_cost(
    choices: &Bound<'_, PyAny>,
    demand_a_year: &Bound<'_, PyAny>,
    horizon: &Bound<'_, PyAny>,
) -> PyResult<BankAnswer> {
    let py = choices.py();
    let columns = Columns::read(choices, "choices")?;
    columns.only(py, COLUMNS)?;
    let names = columns.needed(py, columns.texts(py, "choice")?, "choice")?;
    if names.len() != 2 {
        let got = format!("{} rows", names.len());
        return Err(raise(py, &Error::input("choices", got, "two rows: what is compared with what")));
    }
    let mut numbers = Vec::new();
    for name in &COLUMNS[1..] {
        numbers.push(columns.needed(py, columns.numbers(py, name)?, name)?);
    }
    let choice = |row: usize| -> Result<Choice, Error> {
        Ok(Choice {
            name: names[row].clone(),
            first_cost: numbers[0][row],
            renewal_cost: numbers[1][row],
            usable: joules(numbers[2][row] * 3.6e6),
            life: StatedLife::new(numbers[3][row], seconds(numbers[4][row] * YEAR_S))?,
        })
    };
    let (one, other) = (choice(0).or_raise(py)?, choice(1).or_raise(py)?);
    let mut asked = Asked::default();
    let demand: Energy = asked.quantity("demand_a_year", demand_a_year)?;
    let horizon: Time = asked.quantity("horizon", horizon)?;
    asked.table("choices", &columns);
    let mut working = Working::new("two banks over the years");
    let compared = compare_recorded(&one, &other, demand, horizon, &mut working).or_raise(py)?;
    let table = cost_table(&[(&names[0], &compared.one), (&names[1], &compared.other)]);
    let mut values = Vec::new();
    if let Some(t) = compared.break_even {
        values.push(("break_even_years", Value::Number(t.si() / YEAR_S)));
    }
    let answer =
        BankAnswer::new("compare_life_cost", "break_even_years", asked).values(values).worked(working);
    Ok(answer.with_table(table).saying(compared.sentence))
}
