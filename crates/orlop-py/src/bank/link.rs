//! Links between cells, bolts, and the fixture around a row.

use super::answer::{BankAnswer, Object, Value};
use crate::asked::Asked;
use crate::conductor::Conductor;
use crate::convert;
use crate::errors::{OrRaise, raise};
use crate::range::Range;
use orlop::conductor::Material;
use orlop::conductor::busbar::FlatBar;
use orlop::pack::fixture::{self as clamp, Fixture};
use orlop::pack::link::Jumper;
use orlop::{Error, Working};
use orlop_units::{Current, Force, Length, Pressure, Resistance, Temperature, Torque};
use pyo3::prelude::*;

/// A link between two posts: resistance with its joints, temperature under a lasting current, mass.
///
/// The heat of the joints is counted as if all of it left through the body of the link: on the hot side.
///
/// Parameters
/// ----------
/// length : str or quantity
///     Between the posts.
/// bar : pair of str or quantity
///     Width and thickness of a flat bar: ("20 mm", "2 mm"). Or:
/// cable : Conductor
/// material : {"copper", "aluminium"}, optional
///     Of the bar: copper unless given.
/// joints : pair of str or quantity, optional
///     Least and most resistance of each joint: 5 to 18 microohm unless given (common practice).
/// current, ambient : str or quantity
///
/// Examples
/// --------
/// >>> import orlop
/// >>> link = orlop.cell_link(length="105 mm", bar=("20 mm", "2 mm"), current="150 A", ambient="20 degC")
/// >>> link["resistance"]
/// Range(55.3 uohm to 81.3 uohm)
#[pyfunction]
#[pyo3(signature = (*, length, current, ambient, bar=None, cable=None, material=None, joints=None))]
pub fn cell_link(
    length: &Bound<'_, PyAny>,
    current: &Bound<'_, PyAny>,
    ambient: &Bound<'_, PyAny>,
    bar: Option<&Bound<'_, PyAny>>,
    cable: Option<&Bound<'_, PyAny>>,
    material: Option<&Bound<'_, PyAny>>,
    joints: Option<&Bound<'_, PyAny>>,
) -> PyResult<BankAnswer> {
    let py = length.py();
    let mut asked = Asked::default();
    let length: Length = asked.quantity("length", length)?;
    let current: Current = asked.quantity("current", current)?;
    let ambient: Temperature = asked.quantity("ambient", ambient)?;
    let mut object = None;
    let jumper = match (bar, cable) {
        (Some(bar), None) => {
            let expected = "a pair of width and thickness, such as ('20 mm', '2 mm')";
            let (width, thickness): (Length, Length) = asked.pair("bar", bar, expected)?;
            let material = match material {
                Some(material) => asked.word("material", material, Material::parse)?,
                None => Material::Copper,
            };
            let bar = FlatBar::new(width, thickness, material).or_raise(py)?;
            Jumper::bar(bar, length)
        }
        (None, Some(cable)) => {
            let Ok(own) = cable.extract::<PyRef<'_, Conductor>>() else {
                return Err(raise(py, &Error::input("cable", convert::short(cable)?, "a Conductor")));
            };
            if material.is_some() {
                return Err(raise(py, &Error::input("material", "given", "nothing: a cable has its own")));
            }
            object = Some(Object::Conductor((*own).clone()));
            Jumper::cable(own.0.clone(), length)
        }
        (given, _) => {
            let got = if given.is_some() { "both" } else { "neither" };
            Err(Error::input("bar, cable", got, "one of them"))
        }
    }
    .or_raise(py)?;
    let jumper = match joints {
        Some(joints) => {
            let expected = "a pair of the least and the most resistance of one joint";
            let (low, high): (Resistance, Resistance) = asked.pair("joints", joints, expected)?;
            jumper.with_joints(orlop::Range::new(low, high)).or_raise(py)?
        }
        None => jumper,
    };
    let mut working = Working::new("link between two posts");
    let temperature = jumper.temperature_recorded(current, ambient, &mut working).or_raise(py)?;
    let values = vec![
        ("resistance", Value::bounds(jumper.resistance(ambient))),
        ("body", Value::of(jumper.body_resistance(ambient))),
        ("temperature", Value::bounds(temperature)),
        ("mass", Value::of(jumper.mass())),
    ];
    let answer = BankAnswer::new("cell_link", "resistance", asked).values(values).worked(working);
    Ok(match object {
        Some(object) => answer.asked_with("cable", object),
        None => answer,
    })
}

/// Force of one bolt under a torque, from a dry to an oiled thread.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> orlop.clamp_force(torque="6 Nm", diameter="6 mm")
/// Range(4 kN to 6.67 kN)
#[pyfunction]
#[pyo3(signature = (*, torque, diameter))]
pub fn clamp_force(torque: &Bound<'_, PyAny>, diameter: &Bound<'_, PyAny>) -> PyResult<Range> {
    let (py, torque) = (torque.py(), convert::quantity::<Torque>(torque, "torque")?);
    let diameter: Length = convert::quantity(diameter, "diameter")?;
    clamp::clamp_force(torque, diameter).or_raise(py).map(Range::from)
}

/// Plates around a row of cells: how far the row grows over its life, and the pressure on its faces new and old.
///
/// Parameters
/// ----------
/// preload : str or quantity
///     Force on the row when it is new.
/// gives : pair of str or quantity
///     Plates, rods and springs give by a length under a force: ("1 kN", "4 mm").
/// cells : int
///     In the row.
/// face : pair of str or quantity
///     Width and height of the face of a cell.
/// growth : str or quantity
///     Of each cell over its life: 0.5 to 1 mm (from memory).
/// permitted : pair of str or quantity, optional
///     Least and most pressure that the maker of the cell permits.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> row = orlop.fixture(preload="3 kN", gives=("1 kN", "4 mm"), cells=8, face=("174 mm", "207 mm"), growth="0.5 mm",
/// ...                     permitted=("30 kPa", "140 kPa"))
/// >>> row["pressure"], [judgement.verdict for judgement in row.judgements]
/// (Range(83.3 kPa to 111 kPa), ['pass', 'pass'])
#[pyfunction]
#[pyo3(signature = (*, preload, gives, cells, face, growth, permitted=None))]
pub fn fixture(
    preload: &Bound<'_, PyAny>,
    gives: &Bound<'_, PyAny>,
    cells: &Bound<'_, PyAny>,
    face: &Bound<'_, PyAny>,
    growth: &Bound<'_, PyAny>,
    permitted: Option<&Bound<'_, PyAny>>,
) -> PyResult<BankAnswer> {
    let py = preload.py();
    let mut asked = Asked::default();
    let preload: Force = asked.quantity("preload", preload)?;
    let gives: (Force, Length) =
        asked.pair("gives", gives, "a pair of a force and a travel, such as ('1 kN', '4 mm')")?;
    let cells = asked.count("cells", cells)?;
    let face: (Length, Length) =
        asked.pair("face", face, "a pair of width and height, such as ('174 mm', '207 mm')")?;
    let growth: Length = asked.quantity("growth", growth)?;
    let row = Fixture::new(preload, gives, cells, face).or_raise(py)?;
    let mut working = Working::new("fixture around a row of cells");
    let values = vec![
        ("pressure", Value::bounds(row.pressures_recorded(growth, &mut working).or_raise(py)?)),
        ("stroke", Value::of(row.stroke(growth).or_raise(py)?)),
        ("force_after", Value::of(row.force_after(growth).or_raise(py)?)),
    ];
    let judged = match permitted {
        Some(permitted) => {
            let expected = "a pair of the least and the most pressure";
            let (low, high): (Pressure, Pressure) = asked.pair("permitted", permitted, expected)?;
            row.judge(growth, orlop::Range::new(low, high)).or_raise(py)?
        }
        None => Vec::new(),
    };
    Ok(BankAnswer::new("fixture", "pressure", asked).values(values).judged(judged).worked(working))
}
