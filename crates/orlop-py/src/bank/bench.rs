//! Bringing cells to the top together, and keeping them there.

use super::answer::{BankAnswer, Object, Value};
use crate::asked::Asked;
use crate::cell::{Cell, cell_of, charge as share_of_charge};
use crate::columns::Columns;
use crate::errors::{OrRaise, raise};
use orlop::cell::{Method, StateOfCharge};
use orlop::pack::balance::{BenchSupply, Bleeder, drift as drift_of, spread, to_the_top};
use orlop::{Error, Working};
use orlop_units::{
    Charge, Current, Fraction, Quantity, Resistance, Temperature, Voltage, ampere_hours, coulombs,
};
use pyo3::prelude::*;

/// Capacity and charge of each cell on the bench.
fn bench(
    asked: &mut Asked,
    own: &Cell,
    cells: &Bound<'_, PyAny>,
    charge: Option<&Bound<'_, PyAny>>,
) -> PyResult<Vec<(Charge, StateOfCharge)>> {
    let py = cells.py();
    if !cells.hasattr("__arrow_c_stream__")? && !cells.is_instance_of::<pyo3::types::PyDict>() {
        const MOST: u32 = 100_000;
        let count = asked.count("cells", cells)?;
        if count > MOST {
            return Err(raise(py, &Error::input("cells", count.to_string(), format!("at most {MOST}"))));
        }
        let Some(charge) = charge else {
            return Err(raise(
                py,
                &Error::input("charge", "none", "the charge of the cells, such as '45 %'"),
            ));
        };
        let charge = share_of_charge(asked, "charge", charge)?;
        return Ok(vec![(own.inner.capacity(), charge); count as usize]);
    }
    if charge.is_some() {
        let expected = "either one charge for all, or a column charge_percent";
        return Err(raise(py, &Error::input("charge", "given twice", expected)));
    }
    let columns = Columns::read(cells, "cells")?;
    columns.only(py, &["cell", "capacity_ah", "charge_percent"])?;
    let charges = columns.needed(py, columns.numbers(py, "charge_percent")?, "charge_percent")?;
    let capacities = columns.numbers(py, "capacity_ah")?;
    let each = charges.iter().enumerate().map(|(row, percent)| {
        let capacity = capacities.map_or(own.inner.capacity(), |c| ampere_hours(c[row]));
        Ok((capacity, StateOfCharge::of(Fraction::new(percent / 100.0))?))
    });
    let each = each.collect::<Result<_, Error>>().or_raise(py)?;
    asked.table("cells", &columns);
    Ok(each)
}

/// Time for cells side by side on a bench supply, until the current has fallen to ``tail`` or they are full.
///
/// The voltage of the supply is that of its own terminals: what the leads drop, the cells do not get, and the taper is longer.
/// Losses of charge are left out (below 1 percent for lithium cells).
///
/// Parameters
/// ----------
/// cell : Cell
/// cells : int, Arrow stream or dict of columns
///     How many, or ``charge_percent`` and where they differ ``capacity_ah`` of each.
/// charge : str or quantity, optional
///     Of all cells, where ``cells`` is a count.
/// voltage, limit : str or quantity
///     What the supply is set to.
/// leads : str or quantity
///     Both leads together.
/// tail : str or quantity
///     The current at which it is done.
/// temperature : str or quantity
///
/// Examples
/// --------
/// >>> import orlop
/// >>> cell = orlop.Cell("lfp", capacity="230 Ah", resistance_dc="0.55 mohm")
/// >>> top = orlop.bench_charge(cell, cells=16, charge="40 %", voltage="3.6 V", limit="30 A", leads="10 mohm", tail="3 A",
/// ...                          temperature="20 degC")
/// >>> f"{top['time'].m_as('h'):.1f} h", f"{top['without_leads'].m_as('h'):.1f} h"
/// ('78.8 h', '73.6 h')
#[pyfunction]
#[pyo3(signature = (cell, *, cells, voltage, limit, leads, tail, temperature, charge=None))]
#[allow(clippy::too_many_arguments)]
pub fn bench_charge(
    cell: &Bound<'_, PyAny>,
    cells: &Bound<'_, PyAny>,
    voltage: &Bound<'_, PyAny>,
    limit: &Bound<'_, PyAny>,
    leads: &Bound<'_, PyAny>,
    tail: &Bound<'_, PyAny>,
    temperature: &Bound<'_, PyAny>,
    charge: Option<&Bound<'_, PyAny>>,
) -> PyResult<BankAnswer> {
    let py = cell.py();
    let own = cell_of(cell)?;
    let mut asked = Asked::default();
    let each = bench(&mut asked, &own, cells, charge)?;
    let voltage: Voltage = asked.quantity("voltage", voltage)?;
    let limit: Current = asked.quantity("limit", limit)?;
    let leads: Resistance = asked.quantity("leads", leads)?;
    let tail: Current = asked.quantity("tail", tail)?;
    let temperature: Temperature = asked.quantity("temperature", temperature)?;
    let mut working = Working::new("cells on a bench supply");
    let mut answer = || -> Result<_, Error> {
        let half = StateOfCharge::new(0.5)?;
        let slow = own.inner.resistance(Method::TenSeconds, half, temperature)?;
        let curve = own.inner.chemistry().curve_at(None, temperature)?;
        let count = f64::from(u32::try_from(each.len()).unwrap_or(u32::MAX));
        let done = BenchSupply::new(voltage, limit, leads)?.charge_recorded(
            &curve,
            &each,
            slow.high() / count,
            tail,
            &mut working,
        )?;
        let lack = each.iter().map(|(q, z)| Ok(to_the_top(*q, *z)?.si())).sum::<Result<f64, Error>>()?;
        Ok((done, coulombs(lack), spread(&each)?, slow.flags))
    };
    let (done, lack, apart, flags) = answer().or_raise(py)?;
    let values = vec![
        ("time", Value::of(done.time)),
        ("without_leads", Value::of(done.without_leads)),
        ("charge", Value::of(done.charge)),
        ("reached", Value::of(Fraction::new(done.reached.share()))),
        ("leads_drop", Value::of(done.drop)),
        ("lack", Value::of(lack)),
        ("spread", Value::of(apart)),
    ];
    let object = Object::Cell(Box::new(own));
    Ok(BankAnswer::new("bench_charge", "time", asked)
        .values(values)
        .flagged(flags)
        .worked(working)
        .asked_with("cell", object))
}

/// What balancing must make up in service, and whether a bleeding resistor keeps up with it.
///
/// Parameters
/// ----------
/// cell : Cell
/// drift : str or quantity
///     How far the cells' self-discharge lies apart in a month, as a percentage of capacity.
/// voltage : str or quantity
///     Of a cell while it bleeds.
/// resistor, current : str or quantity
///     One of them.
/// share_of_time : str or quantity
///     How much of the time it bleeds: most managers do near the top only.
/// imbalance : str or quantity, optional
///     Charge to take off once, such as what is left after the bench.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> cell = orlop.Cell("lfp", capacity="230 Ah")
/// >>> kept = orlop.balance(cell, drift="1 %", voltage="3.45 V", resistor="33 ohm", share_of_time="4 %", imbalance="2.8 Ah")
/// >>> f"{kept['current'].m_as('mA'):.1f} mA, {kept['time'].m_as('day'):.0f} days"
/// '104.5 mA, 28 days'
/// >>> kept.judgements[0].verdict
/// 'pass'
#[pyfunction]
#[pyo3(signature = (cell, *, drift, voltage, share_of_time, resistor=None, current=None, imbalance=None))]
pub fn balance(
    cell: &Bound<'_, PyAny>,
    drift: &Bound<'_, PyAny>,
    voltage: &Bound<'_, PyAny>,
    share_of_time: &Bound<'_, PyAny>,
    resistor: Option<&Bound<'_, PyAny>>,
    current: Option<&Bound<'_, PyAny>>,
    imbalance: Option<&Bound<'_, PyAny>>,
) -> PyResult<BankAnswer> {
    let py = cell.py();
    let own = cell_of(cell)?;
    let mut asked = Asked::default();
    let drift: Fraction = asked.quantity("drift", drift)?;
    let voltage: Voltage = asked.quantity("voltage", voltage)?;
    let share: Fraction = asked.quantity("share_of_time", share_of_time)?;
    let bleeder = match (resistor, current) {
        (Some(r), None) => Bleeder::new(asked.quantity("resistor", r)?, voltage),
        (None, Some(i)) => Bleeder::of_current(asked.quantity("current", i)?, voltage),
        (given, _) => {
            let got = if given.is_some() { "both" } else { "neither" };
            Err(Error::input("resistor, current", got, "one of them"))
        }
    }
    .or_raise(py)?;
    let imbalance: Option<Charge> = asked.optional("imbalance", imbalance)?;
    let capacity = own.inner.capacity();
    let mut values = vec![
        ("current", Value::of(bleeder.current())),
        ("heat", Value::of(bleeder.heat())),
        ("need", Value::of(drift_of(capacity, drift).or_raise(py)?)),
    ];
    let mut working = Working::new("balancing in service");
    let judged = bleeder.keeps_up_recorded(capacity, drift, share, &mut working).or_raise(py)?;
    if let Some(charge) = imbalance {
        values.push(("time", Value::of(bleeder.time_recorded(charge, share, &mut working).or_raise(py)?)));
    }
    let answer =
        BankAnswer::new("balance", "current", asked).values(values).judged(vec![judged]).worked(working);
    Ok(answer.asked_with("cell", Object::Cell(Box::new(own))))
}
