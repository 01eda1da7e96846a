//! Holding cells together: bolts, pressure on the faces, and the breath that the cells take over their life.
//!
//! F = T/(k d) for a bolt of diameter d under a torque T; p = F/(w h) on the face of a cell; F2 = F1 + c n b when n cells grow by b
//! each against springs of rate c.

use crate::error::{Error, not_negative, positive};
use crate::judgement::{Judgement, Sense, Severity};
use crate::range::Range;
use crate::source::{Citation, Confidence};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Force, Length, Pressure, Quantity, Torque, show, significant};

pub(crate) static NUT_FACTOR: Citation = Citation::fixed(
    "nut-factor",
    "common practice",
    "",
    "",
    "F = T/(k d), k 0.15 (oiled) to 0.25 (dry), 0.2 in the middle",
    Confidence::Memory,
    "recalled",
);
pub(crate) static BREATHING: Citation = Citation::fixed(
    "cell-breathing",
    "common practice",
    "",
    "",
    "a large prismatic cell grows by 0.5 to 1 mm over its life",
    Confidence::Memory,
    "recalled",
);

/// Nut factor of an oiled and of a dry thread.
const FACTOR: (f64, f64) = (0.15, 0.25);

/// Force of one bolt under a torque: from dry to oiled thread.
///
/// ```
/// use orlop::{pack::fixture::clamp_force, units::{millimetres, newton_metres}};
/// let force = clamp_force(newton_metres(6.0), millimetres(6.0))?;
/// assert_eq!(force.to_string(), "4 kN to 6.67 kN");
/// # Ok::<(), orlop::Error>(())
/// ```
///
/// # Errors
/// [`Error::Input`] for a value not above zero.
pub fn clamp_force(torque: Torque, diameter: Length) -> Result<Range<Force>, Error> {
    let per_factor = positive(torque, "torque")?.si() / positive(diameter, "diameter")?.si();
    Ok(Range::new(Force::from_si(per_factor / FACTOR.1), Force::from_si(per_factor / FACTOR.0)))
}

/// Torque for a wanted force of one bolt, with the middle factor of 0.2: k F d.
///
/// # Errors
/// [`Error::Input`] for a value not above zero.
pub fn torque_for(force: Force, diameter: Length) -> Result<Torque, Error> {
    let (force, diameter) = (positive(force, "force")?, positive(diameter, "diameter")?);
    Ok(Torque::from_si(0.2 * force.si() * diameter.si()))
}

/// Pressure on a face.
///
/// # Errors
/// [`Error::Input`] for a negative force, or a side not above zero.
pub fn pressure(force: Force, width: Length, height: Length) -> Result<Pressure, Error> {
    Ok(not_negative(force, "force")? / (positive(width, "width")? * positive(height, "height")?))
}

/// Force for a pressure on a face.
///
/// # Errors
/// [`Error::Input`] for a negative pressure, or a side not above zero.
pub fn force(pressure: Pressure, width: Length, height: Length) -> Result<Force, Error> {
    Ok(not_negative(pressure, "pressure")? * (positive(width, "width")? * positive(height, "height")?))
}

/// Two plates with springs, or without, around a row of cells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fixture {
    preload: Force,
    /// N/m.
    rate: f64,
    cells: u32,
    face: (Length, Length),
}

impl Fixture {
    /// A row of cells under a preload, each with a face of width and height. The plates give by `travel` under `by` (springs,
    /// rods and plates together).
    ///
    /// # Errors
    /// [`Error::Input`] for a negative preload, no cell, or any other value not above zero.
    pub fn new(
        preload: Force,
        (by, travel): (Force, Length),
        cells: u32,
        (width, height): (Length, Length),
    ) -> Result<Self, Error> {
        if cells == 0 {
            return Err(Error::input("cells", "0", "at least one cell in the row"));
        }
        let rate = positive(by, "by")?.si() / positive(travel, "travel")?.si();
        let face = (positive(width, "width")?, positive(height, "height")?);
        Ok(Self { preload: not_negative(preload, "preload")?, rate, cells, face })
    }

    /// How far the row grows when each cell grows so much.
    ///
    /// # Errors
    /// [`Error::Input`] for a negative growth.
    pub fn stroke(&self, growth: Length) -> Result<Length, Error> {
        Ok(not_negative(growth, "growth")? * f64::from(self.cells))
    }

    /// Force on the row after that growth.
    ///
    /// # Errors
    /// [`Error::Input`] for a negative growth.
    pub fn force_after(&self, growth: Length) -> Result<Force, Error> {
        Ok(self.preload + Force::from_si(self.rate * self.stroke(growth)?.si()))
    }

    /// Pressure on the faces, new and after that growth.
    ///
    /// # Errors
    /// [`Error::Input`] for a negative growth.
    pub fn pressures(&self, growth: Length) -> Result<Range<Pressure>, Error> {
        self.pressures_recorded(growth, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Fixture::pressures`].
    pub fn pressures_recorded(
        &self,
        growth: Length,
        rec: &mut impl Recorder,
    ) -> Result<Range<Pressure>, Error> {
        let area = self.face.0 * self.face.1;
        let (stroke, after) = (self.stroke(growth)?, self.force_after(growth)?);
        let pressures = Range::new(self.preload / area, after / area);
        rec.step(|| {
            Step::new("how far the row grows", "s", stroke)
                .formula("n b")
                .input("n", f64::from(self.cells))
                .input("b", growth)
                .source(&BREATHING)
        });
        rec.step(|| {
            Step::new("force on the grown row", "F2", after)
                .formula("F1 + c s")
                .input("F1", self.preload)
                .input("c", format!("{} N/mm", significant(1e-3 * self.rate, 4)))
        });
        rec.step(|| {
            Step::new("pressure on the faces, new and grown", "p", pressures.to_string())
                .formula("F/(w h)")
                .input("w", self.face.0)
                .input("h", self.face.1)
        });
        Ok(pressures)
    }

    /// Whether the pressure stays within what the cell permits over its life: rules `fixture-least`, `fixture-most`.
    ///
    /// # Errors
    /// [`Error::Input`] for a negative growth or a missing bound.
    pub fn judge(&self, growth: Length, permitted: Range<Pressure>) -> Result<Vec<Judgement>, Error> {
        let (Some(least), Some(most)) = (permitted.low(), permitted.high()) else {
            return Err(Error::input("permitted", permitted.to_string(), "a pressure with both bounds"));
        };
        let got = self.pressures(growth)?;
        let (new, old) = (got.low().expect("both are known"), got.high().expect("both are known"));
        let judged = |rule, value, sense, limit| {
            Judgement::compare(rule, "bank.fixture", Severity::C, value, sense, limit)
                .clause(BREATHING.short(), BREATHING.confidence)
        };
        Ok(vec![
            judged("fixture-least", new, Sense::AtLeast, least)
                .what(format!("the new cells are held with {}", show(new)))
                .to_do("tighten the fixture"),
            judged("fixture-most", old, Sense::AtMost, most)
                .what(format!(
                    "when the row has grown by {} they are held with {}",
                    show(self.stroke(growth)?),
                    show(old)
                ))
                .to_do("use softer springs with more travel"),
        ])
    }
}
