//! The place of the bank: box, heat, hold-downs, heel and trim.

use super::answer::{BankAnswer, Object, Value};
use crate::asked::Asked;
use crate::cell::{cell_of, number};
use crate::columns::Columns;
use crate::convert;
use crate::errors::{OrRaise, raise};
use crate::judgement::Judgement;
use orlop::cell::Size;
use orlop::pack::enclosure::{self, Gaps, Hull, Inside, Item, Stance};
use orlop::pack::restraint::{self as hold, HoldDown, Motion};
use orlop::{Error, Working};
use orlop_units::{Area, Force, Length, Mass, Power, kilograms, metres};
use pyo3::prelude::*;

/// What holds the bank down: forces by 33 CFR 183.420 and by the boat's motion, and whether straps and chocks bear them.
///
/// Parameters
/// ----------
/// mass : str or quantity
///     Of the bank.
/// up, sideways, lengthways : str or quantity, optional
///     What the straps and chocks bear.
/// up_g, sideways_g, lengthways_g : float, optional
///     Largest accelerations in multiples of g: 2, 1 and 1 unless given (from memory).
///
/// Examples
/// --------
/// >>> import orlop
/// >>> held = orlop.restraint(mass="75 kg", up="2 kN", sideways="800 N", lengthways="600 N")
/// >>> [(judgement.subject.split(".")[-1], judgement.verdict) for judgement in held.judgements]
/// [('up', 'pass'), ('sideways', 'pass'), ('lengthways', 'fail')]
#[pyfunction]
#[pyo3(signature = (*, mass, up=None, sideways=None, lengthways=None, up_g=None, sideways_g=None, lengthways_g=None))]
pub fn restraint(
    mass: &Bound<'_, PyAny>,
    up: Option<&Bound<'_, PyAny>>,
    sideways: Option<&Bound<'_, PyAny>>,
    lengthways: Option<&Bound<'_, PyAny>>,
    up_g: Option<&Bound<'_, PyAny>>,
    sideways_g: Option<&Bound<'_, PyAny>>,
    lengthways_g: Option<&Bound<'_, PyAny>>,
) -> PyResult<BankAnswer> {
    let py = mass.py();
    let mut asked = Asked::default();
    let mass: Mass = asked.quantity("mass", mass)?;
    let holds = HoldDown {
        up: asked.optional("up", up)?,
        sideways: asked.optional("sideways", sideways)?,
        lengthways: asked.optional("lengthways", lengthways)?,
    };
    let mut multiple = |field, given: Option<&Bound<'_, PyAny>>, usual| {
        given.map_or(Ok(usual), |g| number(&mut asked, field, g))
    };
    let motion = Motion {
        up: multiple("up_g", up_g, Motion::COMMON.up)?,
        sideways: multiple("sideways_g", sideways_g, Motion::COMMON.sideways)?,
        lengthways: multiple("lengthways_g", lengthways_g, Motion::COMMON.lengthways)?,
    };
    let mut working = Working::new("what holds the bank down");
    let mut needed = |way, g| hold::needed_recorded(mass, g, way, &mut working).or_raise(py);
    let values = vec![
        ("up", Value::of(needed("up", motion.up)?)),
        ("sideways", Value::of(needed("sideways", motion.sideways)?)),
        ("lengthways", Value::of(needed("lengthways", motion.lengthways)?)),
        ("pull_of_the_rule", Value::of(hold::pull_of_the_rule(mass).or_raise(py)?)),
        ("movement_of_the_rule", Value::of(hold::movement_of_the_rule())),
    ];
    let judged = hold::judge(mass, motion, holds).or_raise(py)?;
    Ok(BankAnswer::new("restraint", "up", asked).values(values).judged(judged).worked(working))
}

/// The pull test of 33 CFR 183.420 in one direction: the bank moves at most an inch under 90 lbf or twice its weight.
///
/// Too weak a pull proves a failure, never a pass.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> orlop.judge_movement("sideways", mass="75 kg", pull="300 N", movement="4 mm").verdict
/// 'undecided'
#[pyfunction]
#[pyo3(signature = (way, *, mass, pull, movement))]
pub fn judge_movement(
    way: &Bound<'_, PyAny>,
    mass: &Bound<'_, PyAny>,
    pull: &Bound<'_, PyAny>,
    movement: &Bound<'_, PyAny>,
) -> PyResult<Judgement> {
    let py = way.py();
    let way = convert::text(way, "way", "up, sideways or lengthways")?;
    if !["up", "sideways", "lengthways"].contains(&way.as_str()) {
        return Err(raise(py, &Error::input("way", format!("'{way}'"), "up, sideways or lengthways")));
    }
    let mass: Mass = convert::quantity(mass, "mass")?;
    let pull: Force = convert::quantity(pull, "pull")?;
    let movement: Length = convert::quantity(movement, "movement")?;
    hold::judge_movement(&way, mass, pull, movement).or_raise(py).map(Judgement)
}

/// Whether cells fit into a box, and every arrangement of them, the smallest first; where none fits, the nearest.
///
/// Parameters
/// ----------
/// cell : Cell
///     With its size.
/// count : int
/// inside : str
///     Length, width and height of the box: "640 x 400 x 270 mm".
/// stances : str or sequence of str, optional
///     How the cell may stand by its data sheet: "upright" (unless given), "on-side", "on-face".
/// layers : int, optional
///     At most: 1 unless given.
/// between, wall, terminals : str or quantity, optional
///     Free space between neighbours, to each wall, and in front of every row of terminals: 0 unless given.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> cell = orlop.Cell("lfp", capacity="230 Ah", size="54 x 174 x 207 mm")
/// >>> fit = orlop.fit_box(cell, count=16, inside="500 x 400 x 270 mm", between="1 mm", wall="8 mm", terminals="40 mm")
/// >>> print(fit.judgements[0].what)
/// 16 cells fit: 8 x 2 x 1 upright, 0.455 m x 0.365 m x 0.263 m
#[pyfunction]
#[pyo3(signature = (cell, *, count, inside, stances=None, layers=None, between=None, wall=None, terminals=None))]
#[allow(clippy::too_many_arguments)]
pub fn fit_box(
    cell: &Bound<'_, PyAny>,
    count: &Bound<'_, PyAny>,
    inside: &Bound<'_, PyAny>,
    stances: Option<&Bound<'_, PyAny>>,
    layers: Option<&Bound<'_, PyAny>>,
    between: Option<&Bound<'_, PyAny>>,
    wall: Option<&Bound<'_, PyAny>>,
    terminals: Option<&Bound<'_, PyAny>>,
) -> PyResult<BankAnswer> {
    let py = cell.py();
    let own = cell_of(cell)?;
    let Some(size) = own.inner.size() else {
        return Err(raise(py, &Error::input("cell", "no size", "a Cell with its size")));
    };
    let mut asked = Asked::default();
    let count = asked.count("count", count)?;
    let text = convert::text(inside, "inside", "length x width x height, such as '640 x 400 x 270 mm'")?;
    let room = Size::parse(&text, "inside").or_raise(py)?;
    asked.said("inside", room.exact());
    let room = Inside::new(room.thickness, room.width, room.height).or_raise(py)?;
    let words = asked.words("stances", stances, "upright, on-side or on-face, or several of them")?;
    let stances = match words {
        None => vec![Stance::Upright],
        Some(words) => {
            words.iter().map(|w| Stance::parse(w, "stances")).collect::<Result<Vec<_>, _>>().or_raise(py)?
        }
    };
    let layers = layers.map(|n| asked.count("layers", n)).transpose()?.unwrap_or(1);
    let mut gap =
        |field, given| -> PyResult<Length> { Ok(asked.optional(field, given)?.unwrap_or(metres(0.0))) };
    let gaps =
        Gaps::new(gap("between", between)?, gap("wall", wall)?, gap("terminals", terminals)?).or_raise(py)?;
    let ask = || -> Result<_, Error> {
        let all = enclosure::arrangements(size, count, &stances, layers, &gaps)?;
        let (judged, best) = enclosure::judge_fit(&room, size, count, &stances, layers, &gaps)?;
        Ok((judged, best, enclosure::arrangements_table(&all, &room)))
    };
    let (judged, best, table) = crate::run::run(py, ask)?;
    let [along, across, up] = best.rows.map(|r| Value::Count(r.count));
    let values = vec![
        ("stance", Value::Word(best.stance.word())),
        ("along", along),
        ("across", across),
        ("up", up),
        ("length", Value::of(best.needs.length)),
        ("width", Value::of(best.needs.width)),
        ("height", Value::of(best.needs.height)),
        ("volume", Value::of(best.volume())),
    ];
    let answer = BankAnswer::new("fit_box", "stance", asked).values(values).judged(vec![judged]);
    Ok(answer.with_table(table).asked_with("cell", Object::Cell(Box::new(own))))
}

/// How warm a box gets in the end over the air around it, and how soon.
///
/// Parameters
/// ----------
/// loss, surface : str or quantity
///     Heat made inside, and the surface that gives it away.
/// cell, count : Cell and int, optional
///     What warms up: gives the time constant from the mass of the cells and the heat capacity of their chemistry.
/// transfer_w_m2k : float, optional
///     Heat transfer in W/(m2 K): 5 to 10 in still air unless given (from memory).
///
/// Examples
/// --------
/// >>> import orlop
/// >>> orlop.box_heat(loss="30 W", surface="1.2 m2")["rise"]
/// Range(2.5 K to 5 K)
#[pyfunction]
#[pyo3(signature = (*, loss, surface, cell=None, count=None, transfer_w_m2k=None))]
pub fn box_heat(
    loss: &Bound<'_, PyAny>,
    surface: &Bound<'_, PyAny>,
    cell: Option<&Bound<'_, PyAny>>,
    count: Option<&Bound<'_, PyAny>>,
    transfer_w_m2k: Option<&Bound<'_, PyAny>>,
) -> PyResult<BankAnswer> {
    let py = loss.py();
    let mut asked = Asked::default();
    let loss: Power = asked.quantity("loss", loss)?;
    let surface: Area = asked.quantity("surface", surface)?;
    let transfer = transfer_w_m2k.map(|h| number(&mut asked, "transfer_w_m2k", h)).transpose()?;
    let mut working = Working::new("heat balance of the box");
    let rise = enclosure::rise_recorded(loss, surface, transfer, &mut working).or_raise(py)?;
    let mut values = vec![("rise", Value::bounds(rise))];
    let mut object = None;
    match (cell, count) {
        (None, None) => {}
        (Some(cell), Some(count)) => {
            let own = cell_of(cell)?;
            let count = asked.count("count", count)?;
            let Some(mass) = own.inner.mass() else {
                return Err(raise(py, &Error::input("cell", "no mass", "a Cell with its mass")));
            };
            let heat = &own.inner.chemistry().heat_capacity;
            let times = [heat.low(), heat.high()].map(|heat| {
                enclosure::time_constant_recorded(
                    mass * f64::from(count),
                    heat,
                    surface,
                    transfer,
                    &mut working,
                )
            });
            let [low, high] = times;
            let (low, high) = (low.or_raise(py)?.low(), high.or_raise(py)?.high());
            values.push(("time_constant", Value::bounds(orlop::Range::from_bounds(low, high))));
            object = Some(Object::Cell(Box::new(own)));
        }
        _ => return Err(raise(py, &Error::input("cell, count", "one of them", "both of them, or neither"))),
    }
    let answer = BankAnswer::new("box_heat", "rise", asked).values(values).worked(working);
    Ok(match object {
        Some(object) => answer.asked_with("cell", object),
        None => answer,
    })
}

fn items(asked: &mut Asked, field: &'static str, table: &Bound<'_, PyAny>) -> PyResult<Vec<Item>> {
    let py = table.py();
    let columns = Columns::read(table, field)?;
    columns.only(py, &["what", "mass_kg", "x_m", "y_m", "z_m"])?;
    let masses = columns.needed(py, columns.numbers(py, "mass_kg")?, "mass_kg")?;
    let mut places = Vec::new();
    for name in ["x_m", "y_m", "z_m"] {
        places.push(columns.numbers(py, name)?);
    }
    let at = |axis: usize, row: usize| metres(places[axis].map_or(0.0, |c| c[row]));
    let items = masses.iter().enumerate().map(|(row, mass)| Item {
        mass: kilograms(*mass),
        x: at(0, row),
        y: at(1, row),
        z: at(2, row),
    });
    let items = items.collect();
    asked.table(field, &columns);
    Ok(items)
}

/// Heel and trim when weights move: what the old bank weighed where it stood, and the new one where it stands.
///
/// Parameters
/// ----------
/// before, after : Arrow stream or dict of columns
///     ``mass_kg`` with ``x_m`` (forward of the centre of flotation), ``y_m`` (to starboard) and ``z_m`` (up); 0 where not given.
/// displacement : str or quantity
///     With the weights where they are after.
/// gm, gm_lengthways, waterline : str or quantity
///     Metacentric heights across and lengthways, and length on the waterline.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> moved = orlop.heel_and_trim({"mass_kg": [100], "y_m": [0]}, {"mass_kg": [100], "y_m": [1.0]}, displacement="6000 kg",
/// ...                             gm="0.9 m", gm_lengthways="12 m", waterline="10 m")
/// >>> f"{moved['heel_deg']:.2f} degrees"
/// '1.06 degrees'
#[pyfunction]
#[pyo3(signature = (before, after, *, displacement, gm, gm_lengthways, waterline))]
pub fn heel_and_trim(
    before: &Bound<'_, PyAny>,
    after: &Bound<'_, PyAny>,
    displacement: &Bound<'_, PyAny>,
    gm: &Bound<'_, PyAny>,
    gm_lengthways: &Bound<'_, PyAny>,
    waterline: &Bound<'_, PyAny>,
) -> PyResult<BankAnswer> {
    let py = before.py();
    let mut asked = Asked::default();
    let before = items(&mut asked, "before", before)?;
    let after = items(&mut asked, "after", after)?;
    let hull = Hull::new(
        asked.quantity("displacement", displacement)?,
        asked.quantity("gm", gm)?,
        asked.quantity("gm_lengthways", gm_lengthways)?,
        asked.quantity("waterline", waterline)?,
    )
    .or_raise(py)?;
    let mut working = Working::new("heel and trim by moved weights");
    let values = vec![
        ("heel_deg", Value::Number(hull.heel_deg_recorded(&before, &after, &mut working).or_raise(py)?)),
        ("trim", Value::of(hull.trim_recorded(&before, &after, &mut working).or_raise(py)?)),
        ("mass_before", Value::of(enclosure::total_mass(&before))),
        ("mass_after", Value::of(enclosure::total_mass(&after))),
    ];
    Ok(BankAnswer::new("heel_and_trim", "heel_deg", asked).values(values).worked(working))
}
