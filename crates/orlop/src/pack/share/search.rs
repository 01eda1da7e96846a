//! The best place of the leads, and the heaviest link resistance that a permitted imbalance leaves.

use super::mesh::Mesh;
use super::{Ladder, Sharing, TakeOff, ladder};
use crate::conductor::Material;
use crate::error::{Error, not_negative, positive};
use orlop_units::{
    Area, Current, Fraction, Length, Quantity, Resistance, Temperature, ohms, show, square_millimetres,
};

/// The best of all take-offs, and what those with a name come to.
#[derive(Clone, Debug, PartialEq)]
pub struct BestTakeOff {
    /// Where the leads should leave: the busiest cell carries least. Ties go to the lowest cells.
    pub take_off: TakeOff,
    /// How the current is then shared.
    pub sharing: Sharing,
    /// The take-offs with a name, and the excess of their busiest cell over the mean.
    pub named: Vec<(TakeOff, Fraction)>,
}

/// The most that each link may have.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LinkLimit {
    /// Resistance of each link of each rail, its joints in it.
    pub resistance: Resistance,
    /// Excess of the busiest cell over the mean that is then reached.
    pub excess: Fraction,
}

/// Links beyond this many times the largest cell are not looked at.
const WIDEST: f64 = 100.0;
/// Steps of the search over the decades between.
const GRID: i32 = 240;

impl Ladder {
    /// Tries every pair of cells for the leads: the take-off whose busiest cell carries least.
    ///
    /// Time grows with the third power of the number of cells: a thousand take about a second when optimised.
    ///
    /// # Errors
    /// [`Error::Input`] for a current that is zero or no number.
    ///
    /// ```
    /// use orlop::{pack::{Ladder, TakeOff}, units::{amperes, ohms}};
    /// let best = Ladder::even(4, ohms(0.55e-3), ohms(0.08e-3))?.best_take_off(amperes(100.0))?;
    /// assert_eq!(best.take_off, TakeOff::At { positive: 1, negative: 4 }); // 2 and 3 is as good
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn best_take_off(&self, current: Current) -> Result<BestTakeOff, Error> {
        let load = loaded(current)?;
        let count = self.len();
        // The currents are linear in voltages and load: one solution for each place of each lead, all others their sums.
        let branches: Vec<f64> = (0..count).map(|k| self.branch(k)).collect();
        let emf: Vec<f64> = (0..count).map(|k| self.emf(k)).collect();
        let none = vec![0.0; count];
        let solve = |take_off: TakeOff, emf: &[f64]| -> Result<Vec<f64>, Error> {
            let mut mesh = Mesh::new(&self.rails(take_off)?, self.live());
            mesh.factor(&branches);
            mesh.solve(emf, load);
            let mut currents = vec![0.0; count];
            mesh.currents(load, &mut currents);
            Ok(currents)
        };
        let base = solve(TakeOff::SameEnd, &emf)?;
        let mut positive = Vec::with_capacity(count);
        let mut negative = Vec::with_capacity(count);
        let same = solve(TakeOff::SameEnd, &none)?;
        for cell in 1..=count {
            let moved = |take_off| -> Result<Vec<f64>, Error> {
                Ok(solve(take_off, &none)?.iter().zip(&same).map(|(a, b)| a - b).collect())
            };
            positive.push(moved(TakeOff::At { positive: cell, negative: 1 })?);
            negative.push(moved(TakeOff::At { positive: 1, negative: cell })?);
        }
        let mut best = (f64::INFINITY, 1, 1);
        for (p, from_p) in positive.iter().enumerate() {
            for (n, from_n) in negative.iter().enumerate() {
                let sums = base.iter().zip(from_p).zip(from_n).map(|((a, b), c)| ((a + b + c) / load).abs());
                let most = sums.fold(0.0, f64::max);
                if most < best.0 * (1.0 - 1e-9) {
                    best = (most, p + 1, n + 1);
                }
            }
        }
        let take_off = TakeOff::At { positive: best.1, negative: best.2 };
        let named = TakeOff::NAMED.into_iter().map(|t| Ok((t, self.excess(t, current)?)));
        Ok(BestTakeOff {
            take_off,
            sharing: self.share(take_off, current)?,
            named: named.collect::<Result<_, Error>>()?,
        })
    }

    fn excess(&self, take_off: TakeOff, current: Current) -> Result<Fraction, Error> {
        Ok(self.share(take_off, current)?.excess().unwrap_or(Fraction::new(0.0)))
    }

    /// The same row with links that are all alike; bad joints stay.
    fn with_links(&self, link: f64) -> Self {
        let mut row = self.clone();
        for rail in &mut row.links {
            rail.fill(link);
        }
        row
    }

    /// The most that each link of each rail may have for the busiest cell to stay within `permitted` above the mean.
    ///
    /// Bad joints stay what they are; up to the limit every smaller link keeps the promise too, as far as a fine search shows.
    ///
    /// # Errors
    /// [`Error::NoSolution`] when even ideal links do not keep it, with what they reach; [`Error::Input`] for a permitted
    /// excess that is not above zero, a current that is zero or no number, a row of one cell, or links that never matter.
    ///
    /// ```
    /// use orlop::{pack::{Ladder, TakeOff}, units::{amperes, ohms, show, Fraction}};
    /// let row = Ladder::even(2, ohms(0.55e-3), ohms(0.08e-3))?;
    /// // Two cells share as R + r to R for both rails together: 10 % above the mean at r = 2/9 R, half of it on each rail.
    /// let limit = row.largest_link(TakeOff::SameEnd, amperes(100.0), Fraction::new(0.10))?;
    /// assert_eq!(show(limit.resistance), "61.1 uohm");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn largest_link(
        &self,
        take_off: TakeOff,
        current: Current,
        permitted: Fraction,
    ) -> Result<LinkLimit, Error> {
        let permitted = positive(permitted, "permitted")?.si();
        loaded(current)?;
        let at =
            |link: f64| -> Result<f64, Error> { Ok(self.with_links(link).excess(take_off, current)?.si()) };
        let ideal = at(0.0)?;
        if ideal > permitted {
            return Err(Error::NoSolution {
                what: format!(
                    "the busiest cell carries {} above the mean with ideal links, {} are permitted",
                    show(Fraction::new(ideal)),
                    show(Fraction::new(permitted))
                ),
                hint: "cells that differ less, better joints, or another take-off".into(),
            });
        }
        let most = WIDEST * self.cells.iter().copied().fold(0.0, f64::max);
        let (mut low, mut high) = (0.0, f64::INFINITY);
        for step in 0..=GRID {
            let link = most * 1e-9_f64.powf(1.0 - f64::from(step) / f64::from(GRID));
            if at(link)? > permitted {
                high = link;
                break;
            }
            low = link;
        }
        if high.is_infinite() {
            return Err(Error::Input {
                field: "permitted".into(),
                got: show(Fraction::new(permitted)),
                expected: "an excess that links can cause at all in this row".into(),
                hint: format!("with links of {} it is {}", show(ohms(most)), show(Fraction::new(at(most)?))),
            });
        }
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if at(middle)? > permitted { high = middle } else { low = middle }
        }
        Ok(LinkLimit { resistance: ohms(low), excess: Fraction::new(at(low)?) })
    }
}

fn loaded(current: Current) -> Result<f64, Error> {
    let load = ladder::finite(current)?;
    if load == 0.0 {
        return Err(Error::input("current", show(current), "a current other than zero"));
    }
    Ok(load)
}

/// Least cross-section of a link: `A = rho(T) L/(R - joints)`, with all its joints together.
///
/// # Errors
/// [`Error::NoSolution`] when the joints alone have as much; [`Error::Input`] for a length or a resistance not above zero, joints below
/// zero.
///
/// ```
/// use orlop::{conductor::Material, pack::link_area, units::{metres, ohms, show, Temperature}};
/// // A tenth of a metre of copper with two joints of 10 microohms.
/// let area = link_area(ohms(61.1e-6), metres(0.1), ohms(20e-6), Material::Copper, Temperature::celsius(20.0))?;
/// assert_eq!(show(area), "41.9 mm2"); // 0.01724 x 0.1/41.1e-6
/// # Ok::<(), orlop::Error>(())
/// ```
pub fn link_area(
    resistance: Resistance,
    length: Length,
    joints: Resistance,
    material: Material,
    temperature: Temperature,
) -> Result<Area, Error> {
    let whole = positive(resistance, "resistance")?.si();
    let length = positive(length, "length")?.si();
    let joints = not_negative(joints, "joints")?.si();
    if !temperature.si().is_finite() {
        return Err(Error::input("temperature", show(temperature), "a temperature"));
    }
    if joints >= whole {
        return Err(Error::NoSolution {
            what: format!("the joints alone have {} of {}", show(ohms(joints)), show(ohms(whole))),
            hint: "better joints, fewer of them, or a take-off that needs less of the links".into(),
        });
    }
    let rho = material.resistivity() * material.temperature_ratio(temperature);
    Ok(square_millimetres(rho * length / (whole - joints)))
}
