//! What weights do to the boat: centre of gravity, heel, trim.
//!
//! tan(phi) = w d/(D GM) for a weight w moved d sideways in a boat of displacement D; change of trim t = L w d/(D GML) for one
//! moved d lengthways. Small angles: GM and GML stay.

use crate::error::{Error, positive};
use crate::source::{Citation, Confidence};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Length, Mass, Quantity, kilograms, metres, significant};

pub(crate) static HEEL: Citation = Citation::fixed(
    "ship-stability",
    "textbooks of ship stability and naval architecture",
    "",
    "",
    "tan(phi) = w d/(D GM); moment to change trim by 1 cm = D GML/(100 L)",
    Confidence::Published,
    "several",
);

/// A weight and where it stands: x forward, y to starboard, z up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Item {
    /// Its mass; negative for one that is taken out.
    pub mass: Mass,
    /// Forward of the origin.
    pub x: Length,
    /// To starboard.
    pub y: Length,
    /// Up.
    pub z: Length,
}

impl Item {
    fn numbers(&self) -> Result<[f64; 4], Error> {
        let all = [self.mass.si(), self.x.si(), self.y.si(), self.z.si()];
        match all.iter().find(|n| !n.is_finite()) {
            Some(bad) => Err(Error::input("item", bad.to_string(), "a mass and three lengths")),
            None => Ok(all),
        }
    }
}

/// The sum of the masses.
#[must_use]
pub fn total_mass(items: &[Item]) -> Mass {
    kilograms(items.iter().map(|i| i.mass.si()).sum())
}

/// The centre of gravity: x, y, z.
///
/// # Errors
/// [`Error::Input`] for no item, or masses that do not add up to more than zero.
pub fn centre_of_gravity(items: &[Item]) -> Result<[Length; 3], Error> {
    let total = positive(total_mass(items), "mass of all items")?.si();
    let mut sums = [0.0; 3];
    for item in items {
        let [mass, at @ ..] = item.numbers()?;
        for (sum, place) in sums.iter_mut().zip(at) {
            *sum += mass * place;
        }
    }
    Ok(sums.map(|s| metres(s / total)))
}

/// A boat that heels and trims.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hull {
    displacement: Mass,
    gm: Length,
    gm_lengthways: Length,
    waterline: Length,
}

impl Hull {
    /// Displacement, metacentric heights across and lengthways, length on the waterline.
    ///
    /// # Errors
    /// [`Error::Input`] for a value not above zero.
    pub fn new(
        displacement: Mass,
        gm: Length,
        gm_lengthways: Length,
        waterline: Length,
    ) -> Result<Self, Error> {
        Ok(Self {
            displacement: positive(displacement, "displacement")?,
            gm: positive(gm, "gm")?,
            gm_lengthways: positive(gm_lengthways, "gm_lengthways")?,
            waterline: positive(waterline, "waterline")?,
        })
    }

    /// Sum of mass times place along x and y after less that before, kg m; heavier or lighter boats are as heavy as `displacement`.
    fn moments(before: &[Item], after: &[Item]) -> Result<(f64, f64), Error> {
        let sum = |items: &[Item]| -> Result<(f64, f64), Error> {
            items.iter().try_fold((0.0, 0.0), |(a, b), item| {
                let [mass, x, y, _] = item.numbers()?;
                Ok((a + mass * x, b + mass * y))
            })
        };
        let (old, new) = (sum(before)?, sum(after)?);
        Ok((new.0 - old.0, new.1 - old.1))
    }

    /// Heel in degrees when weights move, to starboard positive. `displacement` is that with the weights where they are after;
    /// x and y count from the centre of flotation and the centre plane.
    ///
    /// ```
    /// use orlop::{pack::enclosure::{Hull, Item}, units::{kilograms, metres}};
    /// let hull = Hull::new(kilograms(6000.0), metres(0.9), metres(12.0), metres(10.0))?;
    /// let at = |y| Item { mass: kilograms(100.0), x: metres(0.0), y: metres(y), z: metres(0.0) };
    /// assert!((hull.heel_deg(&[at(0.0)], &[at(1.0)])? - 1.06).abs() < 0.005);
    /// # Ok::<(), orlop::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::Input`] for no number.
    pub fn heel_deg(&self, before: &[Item], after: &[Item]) -> Result<f64, Error> {
        self.heel_deg_recorded(before, after, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Hull::heel_deg`].
    pub fn heel_deg_recorded(
        &self,
        before: &[Item],
        after: &[Item],
        rec: &mut impl Recorder,
    ) -> Result<f64, Error> {
        let (_, across) = Self::moments(before, after)?;
        let heel = (across / (self.displacement.si() * self.gm.si())).atan().to_degrees();
        rec.step(|| {
            Step::new("heel, to starboard positive", "phi", format!("{} degrees", significant(heel, 3)))
                .formula("arctan(M/(D GM))")
                .input("M", format!("{} kg m", significant(across, 4)))
                .input("D", self.displacement)
                .input("GM", self.gm)
                .source(&HEEL)
        });
        Ok(heel)
    }

    /// Change of trim from end to end of the waterline when weights move, by the bow positive.
    ///
    /// # Errors
    /// [`Error::Input`] for no number.
    pub fn trim(&self, before: &[Item], after: &[Item]) -> Result<Length, Error> {
        self.trim_recorded(before, after, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Hull::trim`].
    pub fn trim_recorded(
        &self,
        before: &[Item],
        after: &[Item],
        rec: &mut impl Recorder,
    ) -> Result<Length, Error> {
        let (along, _) = Self::moments(before, after)?;
        let trim = metres(self.waterline.si() * along / (self.displacement.si() * self.gm_lengthways.si()));
        rec.step(|| {
            Step::new("change of trim, by the bow positive", "t", trim)
                .formula("L M/(D GML)")
                .input("L", self.waterline)
                .input("M", format!("{} kg m", significant(along, 4)))
                .input("D", self.displacement)
                .input("GML", self.gm_lengthways)
                .source(&HEEL)
        });
        Ok(trim)
    }
}
