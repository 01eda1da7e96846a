//! Banks: as stated, and built up from their cells.
//!
//! Where a bank names its cell, what is not stated comes from the cells; where both are there, what is stated counts and a
//! remark tells the difference.

use super::build::{name, text};
use super::check::hottest_space;
use super::row::{Row, Rows};
use crate::model::{Bank, Build, Known};
use orlop::cell::{Cell, ChemistryId, FaultConditions, Size, StateOfCharge};
use orlop::pack::assign::{Delivered, Delivery};
use orlop::pack::manager::Manager;
use orlop::pack::threshold::{Ladder, Role, Rung};
use orlop::pack::{Order, Pack};
use orlop::{Error, Range};
use orlop_units::{
    Charge, Current, Fraction, Quantity, Resistance, Temperature, Time, Voltage, ohms, show, total_cmp,
};

/// A key whose value cannot be used, and why.
pub(super) struct Refused<'a> {
    pub row: &'a Row,
    pub key: &'static str,
    pub error: Error,
}

/// What could be built. `Err(None)` stands for a value that is missing or unreadable, which another check tells.
pub(super) type Built<'a, T> = Result<T, Option<Box<Refused<'a>>>>;

fn refuse<'a>(row: &'a Row, key: &'static str) -> impl Fn(Error) -> Option<Box<Refused<'a>>> {
    move |error| Some(Box::new(Refused { row, key, error }))
}

/// A resistance with its bounds: both from a range or a plain value, only the upper from a label, which tells a maximum.
fn bounds(row: &Row, key: &str) -> Option<Range<Resistance>> {
    let value = row.value::<Resistance>(key)?;
    Some(match value.range {
        Some((low, high)) => Range::new(low, high),
        None if value.known == Known::Label => Range::from_bounds(None, Some(value.q)),
        None => Range::exactly(value.q),
    })
}

/// A kind of cell.
pub(super) fn cell(row: &Row) -> Built<'_, Cell> {
    let chemistry = row.text("chemistry").and_then(|word| ChemistryId::parse(word, "chemistry").ok());
    let capacity: Charge = row.quantity("capacity").ok_or(None)?;
    let mut cell = Cell::new(chemistry.ok_or(None)?, capacity).map_err(refuse(row, "capacity"))?;
    if let Some(size) = row.text("size") {
        cell = cell.with_size(Size::parse(size, "size").map_err(refuse(row, "size"))?);
    }
    if let Some(mass) = row.quantity("mass") {
        cell = cell.with_mass(mass).map_err(refuse(row, "mass"))?;
    }
    if let Some(r) = bounds(row, "resistance_1khz") {
        cell = cell.with_resistance_1khz(r).map_err(refuse(row, "resistance_1khz"))?;
    }
    if let Some(r) = bounds(row, "resistance_dc") {
        cell = cell.with_resistance_dc(r).map_err(refuse(row, "resistance_dc"))?;
    }
    Ok(cell)
}

/// One cell that was delivered.
pub(super) fn delivered(row: &Row) -> Built<'_, Delivered> {
    let capacity: Charge = row.quantity("capacity").ok_or(None)?;
    let mut cell = Delivered::new(&row.id, capacity).map_err(refuse(row, "capacity"))?;
    if let Some(r) = row.quantity("resistance_dc") {
        cell = cell.with_resistance_dc(r).map_err(refuse(row, "resistance_dc"))?;
    }
    if let Some(r) = row.quantity("resistance_1khz") {
        cell = cell.with_resistance_1khz(r).map_err(refuse(row, "resistance_1khz"))?;
    }
    if let Some(v) = row.quantity("arrival") {
        cell = cell.with_arrival_voltage(v).map_err(refuse(row, "arrival"))?;
    }
    if let Some(v) = row.quantity("self_discharge") {
        cell = cell.with_self_discharge(v).map_err(refuse(row, "self_discharge"))?;
    }
    if let Some(mass) = row.quantity("mass") {
        cell = cell.with_mass(mass).map_err(refuse(row, "mass"))?;
    }
    Ok(cell)
}

/// One threshold of a bank with so many cells in series.
pub(super) fn rung(row: &Row, series: u32) -> Built<'_, Rung> {
    let role = row.text("role").and_then(|word| Role::parse(word, "role").ok()).ok_or(None)?;
    let (setting, cells): (Voltage, _) =
        (row.quantity("setting").ok_or(None)?, row.count("cells").ok_or(None)?);
    if cells > series {
        let error = Error::input("cells", cells.to_string(), format!("at most the {series} in series"));
        return Err(refuse(row, "cells")(error));
    }
    let (cable, current): (Resistance, Current) =
        (row.quantity("cable").ok_or(None)?, row.quantity("current").ok_or(None)?);
    Rung::new(&row.id, role, setting, cells)
        .map_err(refuse(row, "setting"))?
        .with_tolerance(row.quantity("tolerance").ok_or(None)?)
        .map_err(refuse(row, "tolerance"))?
        .with_spread(row.quantity("spread").ok_or(None)?)
        .map_err(refuse(row, "spread"))?
        .with_cable(cable, current)
        .map_err(refuse(row, "cable"))
}

/// Rows of a section that belong to a bank.
fn of_bank<'a>(rows: &'a Rows, section: &'a str, bank: &'a Row) -> impl Iterator<Item = &'a Row> {
    rows.of(section).filter(|r| r.id("bank") == Some(&bank.id))
}

fn manager(row: &Row) -> Built<'_, Option<Manager>> {
    let Some(continuous) = row.quantity::<Current>("manager_continuous") else { return Ok(None) };
    let manager = Manager::new(continuous).map_err(refuse(row, "manager_continuous"))?;
    let peak = row.quantity::<Current>("manager_peak").zip(row.quantity::<Time>("manager_peak_time"));
    Ok(Some(match peak {
        Some((peak, time)) => manager.with_peak(peak, time).map_err(refuse(row, "manager_peak"))?,
        None => manager,
    }))
}

fn pack<'a>(rows: &'a Rows, row: &'a Row, kind: &str) -> Built<'a, Pack> {
    let of = cell(rows.find("cell", kind).ok_or(None)?)?;
    let series = row.count("series").ok_or(None)?;
    let parallel = row.count("parallel").unwrap_or(1);
    let order = row.text("order").map_or(Ok(Order::SeriesFirst), |word| Order::parse(word, "order"));
    let mut pack =
        Pack::new(of, series, parallel, order.map_err(|_| None)?).map_err(refuse(row, "series"))?;
    if let Some(link) = bounds(row, "link") {
        pack = pack.with_link(link).map_err(refuse(row, "link"))?;
    }
    if let Some(parts) = bounds(row, "parts") {
        pack = pack.with_parts(parts).map_err(refuse(row, "parts"))?;
    }
    if row.given("strings") && row.count("strings").is_some_and(|n| n != pack.managers()) {
        let expected =
            format!("{}, as {} makes of its cells, or nothing", pack.managers(), pack.order().word());
        let got = row.count("strings").unwrap_or(0).to_string();
        return Err(refuse(row, "strings")(Error::input("strings", got, expected)));
    }
    Ok(pack)
}

/// Coldest and warmest design temperature: stated, else of the space it stands in, else the chemistry's.
fn temperatures<'a>(rows: &'a Rows, row: &'a Row, pack: &Pack) -> Built<'a, (Temperature, Temperature)> {
    let place = row.id("place").and_then(|id| rows.find("place", id));
    let space = place.and_then(|p| match p.id("space") {
        Some(id) => rows.find("space", id),
        None => hottest_space(rows, p.point("at")?),
    });
    let chemistry = pack.cell().chemistry();
    let either = |key, of_space| row.quantity(key).or_else(|| space.and_then(|s| s.quantity(of_space)));
    let coldest = either("coldest", "winter").unwrap_or(chemistry.discharge_from.low());
    let warmest = either("warmest", "ambient").unwrap_or(chemistry.discharge_to.high());
    if coldest > warmest {
        let key = if row.given("coldest") || !row.given("warmest") { "coldest" } else { "warmest" };
        let got = format!("{} with a warmest of {}", show(coldest), show(warmest));
        return Err(refuse(row, key)(Error::input("coldest", got, "coldest <= warmest")));
    }
    Ok((coldest, warmest))
}

/// How a bank is built up; none where it names no cell.
pub(super) fn build<'a>(rows: &'a Rows, row: &'a Row) -> Built<'a, Option<Build>> {
    let Some(kind) = row.id("cell") else { return Ok(None) };
    let pack = pack(rows, row, kind)?;
    let (coldest, warmest) = temperatures(rows, row, &pack)?;
    let cells = of_bank(rows, "delivered", row).map(delivered).collect::<Result<Vec<_>, _>>()?;
    let rungs =
        of_bank(rows, "threshold", row).map(|r| rung(r, pack.series())).collect::<Result<Vec<_>, _>>()?;
    let least: Fraction = row.quantity("least_charge").ok_or(None)?;
    let ids = |key| Some(row.ids(key)?.iter().map(|(id, _)| id.clone()).collect());
    Ok(Some(Build {
        cell: kind.to_string(),
        cell_name: rows.find("cell", kind).map(name).unwrap_or_default(),
        pack,
        coldest,
        warmest,
        least_charge: StateOfCharge::new(least.value()).map_err(refuse(row, "least_charge"))?,
        manager: manager(row)?,
        precharge: row.quantity("precharge"),
        precharge_survives: row.quantity("precharge_survives"),
        standing: ids("standing"),
        alarm_lead: row.quantity("alarm_lead"),
        delivery: if cells.is_empty() {
            None
        } else {
            Some(Delivery::new(cells).map_err(refuse(row, "cell"))?)
        },
        leave_out: ids("leave_out"),
        rung_names: of_bank(rows, "threshold", row).map(|r| (r.id.clone(), name(r))).collect(),
        ladder: if rungs.is_empty() { None } else { Some(Ladder::new(rungs).map_err(refuse(row, "cell"))?) },
    }))
}

/// What a bank is by its cells.
struct Derived {
    nominal: Voltage,
    capacity: Charge,
    /// Where the last to act stops loads or opens; else where a discharge ends.
    lowest: Voltage,
    /// Where the highest charger or regulator stops; else what charging must not exceed.
    highest: Voltage,
    string: Result<Range<Resistance>, Error>,
}

fn derived(build: &Build) -> Derived {
    let pack = &build.pack;
    let series = f64::from(pack.series());
    let (least, most) = (pack.voltage_window().low(), pack.voltage_window().high());
    let cells = |roles: &[Role]| -> Vec<Voltage> {
        let rungs = build.ladder.as_ref().map_or(&[][..], Ladder::rungs).iter();
        rungs.filter(|r| roles.contains(&r.role())).map(|r| r.per_cell() * series).collect()
    };
    let top = |volts: Vec<Voltage>| volts.into_iter().max_by(|a, b| total_cmp(*a, *b));
    let conditions = FaultConditions {
        warmest: Some(build.warmest),
        coldest: Some(build.coldest),
        least_charge: Some(build.least_charge),
        highest_voltage: None,
        lowest_voltage: None,
    };
    Derived {
        nominal: pack.nominal_voltage(),
        capacity: pack.capacity(),
        lowest: top(cells(&[Role::LowCutOff, Role::LoadStop])).or(least).unwrap_or(pack.nominal_voltage()),
        highest: top(cells(&[Role::ChargeTarget])).or(most).unwrap_or(pack.nominal_voltage()),
        string: pack.fault_current(conditions).map(|f| f.string_resistance),
    }
}

/// A bank: what is stated, then what its cells give.
pub(super) fn bank(rows: &Rows, row: &Row) -> Option<Bank> {
    let build = build(rows, row).ok()?;
    let derived = build.as_ref().map(derived);
    let (low, high) = row.ends("string_resistance").unwrap_or((None, None));
    let string = derived.as_ref().and_then(|d| d.string.as_ref().ok());
    let or = |key: &str, of: fn(&Derived) -> Voltage| row.quantity(key).or(derived.as_ref().map(of));
    Some(Bank {
        id: row.id.clone(),
        name: name(row),
        place: text(row, "place")?,
        nominal: or("nominal", |d| d.nominal)?,
        capacity: row.quantity("capacity").or(derived.as_ref().map(|d| d.capacity)),
        lowest: or("lowest", |d| d.lowest)?,
        highest: or("highest", |d| d.highest)?,
        open_circuit: row.quantity("open_circuit"),
        strings: build.as_ref().map_or(row.count("strings")?, |b| b.pack.managers()),
        string_low: low.map(ohms).or(string.and_then(|r| r.low())),
        string_high: high.map(ohms).or(string.and_then(|r| r.high())),
        build,
    })
}

/// Apart by so much of the value, two numbers are worth a remark.
const APART: f64 = 0.01;

/// Where what is stated is not what the cells give.
pub(super) fn remarks(rows: &Rows) -> Vec<String> {
    let mut out = Vec::new();
    for row in rows.of("bank") {
        let Ok(Some(build)) = build(rows, row) else { continue };
        let derived = derived(&build);
        let mut compare = |key: &str, stated: Option<String>, cells: String, apart: bool| {
            if let Some(stated) = stated.filter(|_| apart) {
                out.push(format!("{}: {stated} as stated counts; its cells give {cells}", row.address(key)));
            }
        };
        let apart = |a: f64, b: f64| (a / b - 1.0).abs() > APART;
        for (key, cells) in
            [("nominal", derived.nominal), ("lowest", derived.lowest), ("highest", derived.highest)]
        {
            let stated = row.quantity::<Voltage>(key);
            compare(key, stated.map(show), show(cells), stated.is_some_and(|v| apart(v.si(), cells.si())));
        }
        let stated = row.quantity::<Charge>("capacity");
        let differs = stated.is_some_and(|q| apart(q.si(), derived.capacity.si()));
        compare("capacity", stated.map(show), show(derived.capacity), differs);
        let (low, high) = row.ends("string_resistance").unwrap_or((None, None));
        let stated = Range::from_bounds(low.map(ohms), high.map(ohms));
        match &derived.string {
            Ok(cells) => {
                let end = |a: Option<Resistance>, b: Option<Resistance>| {
                    a.zip(b).is_some_and(|(a, b)| apart(a.si(), b.si()))
                };
                let differs = end(stated.low(), cells.low()) || end(stated.high(), cells.high());
                compare("string_resistance", Some(stated.to_string()), cells.to_string(), differs);
            }
            Err(error) => {
                out.push(format!("{}: the cells give none: {error}", row.address("string_resistance")))
            }
        }
    }
    out
}
