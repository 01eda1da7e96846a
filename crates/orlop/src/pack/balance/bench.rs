//! Cells side by side on a bench supply: how long, leads and taper counted.

use super::to_the_top;
use crate::cell::{CurveAt, StateOfCharge};
use crate::error::{Error, not_negative, positive};
use crate::source::{Citation, Confidence};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{
    Charge, Current, Fraction, Quantity, Resistance, Time, Voltage, coulombs, seconds, show, volts,
};

pub(crate) static TAPER: Citation = Citation::fixed(
    "constant-voltage-taper",
    "elementary circuit theory",
    "",
    "",
    "I = (U - E(z))/R at constant voltage: on a straight piece of E the current falls with tau = R Q/(dE/dz)",
    Confidence::Published,
    "derived",
);

/// A supply with a set voltage, a current limit, and leads. The voltage is that of its own terminals.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BenchSupply {
    voltage: Voltage,
    limit: Current,
    leads: Resistance,
}

/// How a charge on the bench goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BenchCharge {
    /// What goes in.
    pub charge: Charge,
    /// How full the cells are in the end, all together.
    pub reached: StateOfCharge,
    /// How long it takes.
    pub time: Time,
    /// How long it would take if the supply felt the voltage at the cells.
    pub without_leads: Time,
    /// What the leads drop at the first moment: the display of the supply shows so much more than the cells have.
    pub drop: Voltage,
}

impl BenchSupply {
    /// A supply set to a voltage, with both of its leads together.
    ///
    /// # Errors
    /// [`Error::Input`] for a value not above zero; leads may be zero.
    pub fn new(voltage: Voltage, limit: Current, leads: Resistance) -> Result<Self, Error> {
        Ok(Self {
            voltage: positive(voltage, "voltage")?,
            limit: positive(limit, "limit")?,
            leads: not_negative(leads, "leads")?,
        })
    }

    /// Charges cells side by side until the current has fallen to `tail` or they are full.
    ///
    /// The cells count as one with the sum of their capacities, their mean charge, and `resistance` of all of them together (that
    /// of a slow current); losses of charge are left out (below 1 percent for lithium cells).
    ///
    /// # Errors
    /// [`Error::Input`] for no cell, a capacity or tail not above zero, or a negative resistance;
    /// [`Error::NoSolution`] when the set voltage is below that of the cells, or no current limit is left by resistances of zero.
    pub fn charge(
        &self,
        curve: &CurveAt,
        cells: &[(Charge, StateOfCharge)],
        resistance: Resistance,
        tail: Current,
    ) -> Result<BenchCharge, Error> {
        self.charge_recorded(curve, cells, resistance, tail, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`BenchSupply::charge`].
    pub fn charge_recorded(
        &self,
        curve: &CurveAt,
        cells: &[(Charge, StateOfCharge)],
        resistance: Resistance,
        tail: Current,
        rec: &mut impl Recorder,
    ) -> Result<BenchCharge, Error> {
        let (tail, resistance) = (positive(tail, "tail")?, not_negative(resistance, "resistance")?);
        if cells.is_empty() {
            return Err(Error::input("cells", "none", "at least one cell"));
        }
        let lack = cells.iter().map(|(q, z)| to_the_top(*q, *z)).collect::<Result<Vec<_>, _>>()?.into_iter();
        let whole: f64 = cells.iter().map(|(q, _)| q.si()).sum();
        let from = 1.0 - lack.map(Quantity::si).sum::<f64>() / whole;
        let run = |leads: f64| {
            let r = (leads + resistance.si()).max(1e-9);
            let supply = Kernel { set: self.voltage.si(), limit: self.limit.si(), r, tail: tail.si() };
            supply.run(curve, from, whole)
        };
        let first = (self.voltage.si() - curve.voltage(from)) / (self.leads + resistance).si().max(1e-9);
        if first <= 0.0 {
            return Err(Error::NoSolution {
                what: format!(
                    "cells of {} take nothing from {}",
                    show(volts(curve.voltage(from))),
                    show(self.voltage)
                ),
                hint: "set the supply to the highest permitted voltage of the cell".into(),
            });
        }
        let (reached, time) = run(self.leads.si());
        let (_, without) = run(0.0);
        let done = BenchCharge {
            charge: coulombs((reached - from) * whole),
            reached: StateOfCharge::new(reached.clamp(0.0, 1.0))?,
            time: seconds(time),
            without_leads: seconds(without),
            drop: volts(first.min(self.limit.si()) * self.leads.si()),
        };
        rec.step(|| {
            Step::new("charge that goes in", "Q", done.charge)
                .formula("(z1 - z0) sum of the capacities")
                .input("z0", Fraction::new(from))
                .input("z1", Fraction::new(done.reached.share()))
                .input("sum of the capacities", coulombs(whole))
        });
        rec.step(|| {
            Step::new("drop of the leads at first", "U", done.drop)
                .formula("R min(limit, (set - E(z0))/(R + Rcells))")
                .input("R", self.leads)
                .input("limit", self.limit)
                .input("set", self.voltage)
                .input("E(z0)", volts(curve.voltage(from)))
                .input("Rcells", resistance)
        });
        rec.step(|| {
            Step::new("time until the tail", "t", done.time)
                .formula("sum over straight pieces of E: Q/I at the limit, tau ln(I0/I1) below it, tau = (R + Rcells) Q/(dE/dz)")
                .input("tail", tail)
                .source(&TAPER)
        });
        rec.step(|| Step::new("the same without leads", "t0", done.without_leads).formula("R = 0"));
        Ok(done)
    }
}

struct Kernel {
    set: f64,
    limit: f64,
    r: f64,
    tail: f64,
}

impl Kernel {
    fn current(&self, rest: f64) -> f64 {
        ((self.set - rest) / self.r).min(self.limit)
    }

    /// How full, and after how many seconds.
    fn run(&self, curve: &CurveAt, from: f64, charge: f64) -> (f64, f64) {
        let points: Vec<(f64, f64)> = curve.points().filter(|(z, _)| *z > from).collect();
        let (mut z, mut rest, mut time) = (from, curve.voltage(from), 0.0);
        for (end, above) in points {
            // The piece is parted where the limit ends and where the tail is reached.
            let slope = (above - rest) / (end - z);
            let mut marks: Vec<f64> = [self.set - self.limit * self.r, self.set - self.tail * self.r]
                .iter()
                .map(|v| z + (v - rest) / slope)
                .filter(|x| x.is_finite() && *x > z && *x < end)
                .collect();
            marks.sort_by(f64::total_cmp);
            marks.push(end);
            let (start, low) = (z, rest);
            for mark in marks {
                if self.current(rest) <= self.tail * (1.0 + 1e-12) {
                    return (z, time);
                }
                let next = low + slope * (mark - start);
                time += self.piece(charge * (mark - z), rest, next);
                (z, rest) = (mark, next);
            }
        }
        (z, time)
    }

    /// Seconds for a charge while the rest voltage moves from `a` to `b` in a straight line.
    fn piece(&self, charge: f64, a: f64, b: f64) -> f64 {
        let (first, last) = (self.current(a), self.current(b));
        if first == last || (first - last).abs() < 1e-12 * first {
            return charge / first;
        }
        // The current falls in a straight line with charge: the time is charge over its logarithmic mean.
        charge * (first / last).ln() / (first - last)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    // From 100 A to 5 A with a time constant of 600 s: 600 ln 20 = 1797 s and 600 (100 - 5) As = 15.83 Ah (closed form).
    #[test]
    fn the_taper_is_the_closed_form() {
        let charge = 600.0 * 95.0;
        let kernel = Kernel { set: 3.65, limit: 100.0, r: 1e-3, tail: 5.0 };
        let time = kernel.piece(charge, 3.55, 3.645);
        assert_relative_eq!(time, 1797.4, max_relative = 1e-4);
        assert_relative_eq!(coulombs(charge).out(), 15.83, max_relative = 1e-3);
        assert_relative_eq!(kernel.piece(100.0, 3.0, 3.2), 1.0, max_relative = 1e-12);
    }
}
