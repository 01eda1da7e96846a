//! Two RC pairs of a measured LFP cell by charge, temperature and direction, and their scaling to another capacity.

use super::Pair;
use super::StateOfCharge;
use super::open_circuit::charge_text;
use crate::choice::choice;
use crate::error::{Error, positive};
use crate::tables::{Row, file};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Charge, Quantity, Resistance, Temperature, ampere_hours, farads, ohms, show};

choice! {
    /// Which way the current flows.
    Direction {
        /// Out of the cell.
        Discharge = "discharge",
        /// Into the cell.
        Charge = "charge",
    }
}

/// Resistance and two pairs of a cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TwoPairs {
    /// The resistance that answers at once.
    pub r0: Resistance,
    /// The fast pair and the slow pair.
    pub pairs: [Pair; 2],
    /// Capacity of the cell they belong to.
    pub capacity: Charge,
}

const TABLE: &str = "cell_two_rc_lfp_26650_2014";
/// Capacity of the cell that was measured, Ah.
const MEASURED_AH: f64 = 2.3;
/// Temperatures of the tests, degC.
const VALID: (f64, f64) = (5.0, 38.0);

impl TwoPairs {
    /// The 26650 LFP cell of 2.3 Ah that Lin 2014 measured.
    ///
    /// R0 = p0 exp(Tref/(T - Tshift)), R1 and R2 with a square of the charge before it, C a square of the charge plus one
    /// times T; T in degC from 5 to 38.
    ///
    /// # Errors
    /// [`Error::OutOfTable`] outside 5 to 38 degC; [`Error::Input`] for a state of charge outside 0 to 100 %;
    /// [`Error::OutOfTable`] where the polynomial of a capacitance falls to zero.
    ///
    /// ```
    /// use orlop::{cell::{Direction, StateOfCharge, TwoPairs}, units::{show, Temperature}};
    /// let cell = TwoPairs::lfp_26650(Direction::Discharge, StateOfCharge::new(0.5)?, Temperature::celsius(25.0))?;
    /// assert_eq!(show(cell.r0), "10.4 mohm");
    /// assert_eq!(show(cell.pairs[0].time_constant()), "36.4 s");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn lfp_26650(
        direction: Direction,
        charge: StateOfCharge,
        temperature: Temperature,
    ) -> Result<Self, Error> {
        Self::lfp_26650_recorded(direction, charge, temperature, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`TwoPairs::lfp_26650`].
    pub fn lfp_26650_recorded(
        direction: Direction,
        charge: StateOfCharge,
        temperature: Temperature,
        rec: &mut impl Recorder,
    ) -> Result<Self, Error> {
        let s = charge.checked("state of charge")?.share();
        let t = temperature.si();
        let outside = |asked: String, range: String| Error::OutOfTable {
            table: file(TABLE).citation.short(),
            asked,
            range,
            hint: "warm or cool the cells, or give your own resistances".into(),
        };
        if !(VALID.0..=VALID.1).contains(&t) {
            return Err(outside(show(temperature), format!("{} to {} degC", VALID.0, VALID.1)));
        }
        let row = |parameter: &str| {
            let mut rows = file(TABLE).rows();
            rows.find(|r| r.text("parameter") == parameter && r.text("direction") == direction.word())
                .expect("every parameter has both directions")
        };
        let r = |parameter: &str| resistance(row(parameter), s, t);
        let c = |parameter: &str| capacitance(row(parameter), s, t);
        let pair = |r: f64, c: f64| {
            Pair::new(ohms(r), farads(c)).map_err(|_| {
                outside(
                    format!("{} at {}", charge_text(charge), show(temperature)),
                    "capacitances above zero".into(),
                )
            })
        };
        let cell = Self {
            r0: ohms(r("R0")),
            pairs: [pair(r("R1"), c("C1"))?, pair(r("R2"), c("C2"))?],
            capacity: ampere_hours(MEASURED_AH),
        };
        rec.step(|| {
            Step::new("resistance that answers at once", "R0", cell.r0)
                .formula("p0 exp(Tref/(T - Tshift))")
                .input("T", temperature)
                .source(&file(TABLE).citation)
        });
        for (k, pair) in cell.pairs.iter().enumerate() {
            rec.step(|| {
                Step::new(format!("pair {}", k + 1), format!("tau{}", k + 1), pair.time_constant())
                    .formula("R C; R = (p0 + p1 s + p2 s^2) exp(Tref/(T - Tshift)), C = p0 + p1 s + p2 s^2 + (p3 + p4 s + p5 s^2) T")
                    .input("s", charge_text(charge))
                    .input("R", pair.resistance())
                    .input("C", pair.capacitance())
                    .source(&file(TABLE).citation)
            });
        }
        Ok(cell)
    }

    /// The same chemistry in a cell of another capacity: resistances fall and capacitances grow with it, times stay.
    ///
    /// # Errors
    /// [`Error::Input`] for a capacity not above zero.
    pub fn scaled_to(self, capacity: Charge) -> Result<Self, Error> {
        let k = positive(capacity, "capacity")?.si() / self.capacity.si();
        let scale = |p: Pair| Pair::new(p.resistance() / k, p.capacitance() * k);
        Ok(Self { r0: self.r0 / k, pairs: [scale(self.pairs[0])?, scale(self.pairs[1])?], capacity })
    }
}

fn square(row: Row<'_>, from: usize, s: f64) -> f64 {
    let p = |k: usize| row.optional(&format!("p{}", from + k)).unwrap_or(0.0);
    p(0) + p(1) * s + p(2) * s * s
}

fn resistance(row: Row<'_>, s: f64, t: f64) -> f64 {
    square(row, 0, s) * (row.number("t_ref") / (t - row.optional("t_shift").unwrap_or(0.0))).exp()
}

fn capacitance(row: Row<'_>, s: f64, t: f64) -> f64 {
    square(row, 0, s) + square(row, 3, s) * t
}
