//! Flat bars: current for a rise, rise for a current, printed tables, lap joints.
//!
//! I = 1.02 A^0.5 p^0.39 dT^0.61 / sqrt((1 + alpha dT) rho), A in mm2, p the perimeter in mm, rho in microohm cm and
//! alpha in 1/K, both at the ambient temperature. Single bar on edge in still air, surface of emissivity about 0.4.
//! The often printed 7.73 A^0.5 p^0.39 is this formula for copper at 50 K over 40 degC and nothing else; putting
//! 7.73 before dT^0.61 counts the temperature twice. With rho and alpha at the stated ambient it would be 7.48.
//! Against DIN 43671 (bare, 30 K over 35 degC) the formula is 1 to 8 percent low.

use super::Material;
use super::heat::air_temperature;
use super::resistance::RESISTIVITY;
use crate::choice::choice;
use crate::error::{Error, positive};
use crate::solve::bracketed;
use crate::source::{Citation, Confidence};
use crate::tables::bars;
use crate::working::{Recorder, Silent, Step};
use orlop_units::{
    Area, Current, Length, Quantity, ResistancePerLength, Temperature, TemperatureRise, amperes, show,
};

pub(crate) static FLAT_BAR: Citation = Citation::fixed(
    "copper-for-busbars",
    "Copper for Busbars, publication 22",
    "1996",
    "section 10",
    "I = 1.02 A^0.5 p^0.39 dT^0.61 / sqrt((1 + alpha dT) rho)",
    Confidence::Published,
    "one copy of the general form, two of the case 50 K over 40 degC",
);

/// A flat bar.
///
/// ```
/// use orlop::conductor::{Material, busbar::FlatBar};
/// use orlop::units::{millimetres, Quantity, Temperature, TemperatureRise};
/// let bar = FlatBar::new(millimetres(30.0), millimetres(5.0), Material::Copper)?;
/// let current = bar.current(TemperatureRise::kelvins(30.0), Temperature::celsius(35.0))?;
/// assert!((current.out() / 380.0 - 1.0).abs() < 0.07); // DIN 43671: 380 A
/// # Ok::<(), orlop::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlatBar {
    width: Length,
    thickness: Length,
    material: Material,
}

impl FlatBar {
    /// A bar by its two sides.
    ///
    /// # Errors
    /// [`Error::Input`] for a side that is not above zero.
    pub fn new(width: Length, thickness: Length, material: Material) -> Result<Self, Error> {
        Ok(Self { width: positive(width, "width")?, thickness: positive(thickness, "thickness")?, material })
    }

    /// Its metal.
    #[must_use]
    pub fn material(&self) -> Material {
        self.material
    }

    /// Cross-section.
    #[must_use]
    pub fn area(&self) -> Area {
        self.width * self.thickness
    }

    /// Perimeter of the cross-section.
    #[must_use]
    pub fn perimeter(&self) -> Length {
        (self.width + self.thickness) * 2.0
    }

    /// Resistance of a metre at a temperature: rho(T)/A.
    #[must_use]
    pub fn resistance_per_length(&self, t: Temperature) -> ResistancePerLength {
        let rho = self.material.resistivity() * self.material.temperature_ratio(t);
        ResistancePerLength::ohms_per_metre(rho / (self.area().si() * 1e6))
    }

    fn amperes_at(&self, rise: f64, air: f64) -> f64 {
        let ambient = Temperature::celsius(air);
        let alpha = 1.0 / (self.material.inferred_zero() + air);
        let rho = 100.0 * self.material.resistivity() * self.material.temperature_ratio(ambient);
        let (area, perimeter) = (self.area().si() * 1e6, self.perimeter().si() * 1e3);
        1.02 * area.sqrt() * perimeter.powf(0.39) * rise.powf(0.61) / ((1.0 + alpha * rise) * rho).sqrt()
    }

    /// Lasting current that warms the bar by `rise` over the ambient.
    ///
    /// See the [module](self) for the formula.
    ///
    /// # Errors
    /// [`Error::Input`] for a rise that is not above zero or an ambient that is no air temperature.
    pub fn current(&self, rise: TemperatureRise, ambient: Temperature) -> Result<Current, Error> {
        self.current_recorded(rise, ambient, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`FlatBar::current`].
    pub fn current_recorded(
        &self,
        rise: TemperatureRise,
        ambient: Temperature,
        rec: &mut impl Recorder,
    ) -> Result<Current, Error> {
        let rise = positive(rise, "rise")?;
        let air = air_temperature(ambient)?;
        let current = amperes(self.amperes_at(rise.si(), air));
        rec.step(|| {
            let rho = self.material.resistivity() * self.material.temperature_ratio(ambient);
            Step::new("resistivity at the ambient", "rho", format!("{:.4} microohm cm", 100.0 * rho))
                .input("Ta", ambient)
                .source(&RESISTIVITY)
        });
        rec.step(|| {
            Step::new("current of the bar", "I", current)
                .formula("1.02 A^0.5 p^0.39 dT^0.61 / sqrt((1 + alpha dT) rho), alpha and rho at the ambient")
                .input("A", self.area())
                .input("p", self.perimeter())
                .input("dT", rise)
                .input("alpha", 1.0 / (self.material.inferred_zero() + air))
                .source(&FLAT_BAR)
        });
        Ok(current)
    }

    /// Rise over the ambient under a lasting current: the same formula the other way round.
    ///
    /// # Errors
    /// [`Error::NoSolution`] when the bar would melt; [`Error::Input`] for a current that is not above zero or an
    /// ambient that is no air temperature.
    pub fn rise(&self, current: Current, ambient: Temperature) -> Result<TemperatureRise, Error> {
        let current = positive(current, "current")?;
        let air = air_temperature(ambient)?;
        let hottest = self.material.melting_point() - air;
        bracketed(0.0, hottest, |rise| self.amperes_at(rise, air) - current.si())
            .map(TemperatureRise::kelvins)
            .ok_or_else(|| Error::NoSolution {
                what: format!(
                    "{} melts a bar of {} x {}",
                    show(current),
                    show(self.width),
                    show(self.thickness)
                ),
                hint: "use a larger bar".into(),
            })
    }
}

choice! {
    /// A printed table of bar currents.
    BarTable {
        /// DIN 43671, copper.
        Copper = "din-43671-copper",
        /// DIN 43670-2, aluminium with 15 percent of copper around it.
        CopperClad = "din-43670-2-copper-clad",
        /// A trade table that names no standard.
        Aluminium = "trade-aluminium",
    }
}

choice! {
    /// Surface of a bar.
    Finish {
        /// Bare metal, emissivity about 0.4.
        Bare = "bare",
        /// Painted, emissivity about 0.9.
        Painted = "painted",
    }
}

/// A cell of a bar table.
#[derive(Clone, Debug, PartialEq)]
pub struct BarRating {
    /// Direct current for 30 K over air of 35 degC.
    pub current: Current,
    /// Where it comes from.
    pub citation: Citation,
}

/// Direct current of a single bar from a printed table: 65 degC in still air of 35 degC.
///
/// # Errors
/// [`Error::OutOfTable`] with the bars that the table holds; there is no interpolation.
///
/// ```
/// use orlop::{conductor::busbar::{table_current, BarTable, Finish}, units::{millimetres, Quantity}};
/// let rating = table_current(BarTable::Copper, millimetres(20.0), millimetres(5.0), Finish::Bare)?;
/// assert_eq!(rating.current.out(), 274.0);
/// # Ok::<(), orlop::Error>(())
/// ```
pub fn table_current(
    table: BarTable,
    width: Length,
    thickness: Length,
    finish: Finish,
) -> Result<BarRating, Error> {
    let name = match table {
        BarTable::Copper => "din43671_1975_copper_bars",
        BarTable::CopperClad => "din43670_2_copper_clad_bars",
        BarTable::Aluminium => "aluminium_bars_trade",
    };
    let column = match finish {
        Finish::Bare => "dc_bare_a",
        Finish::Painted => "dc_painted_a",
    };
    bars::bar_current(name, column, width.si() * 1e3, thickness.si() * 1e3)
        .map(|(current, citation)| BarRating { current: amperes(current), citation })
        .ok_or_else(|| Error::OutOfTable {
            table: crate::tables::file(name).citation.short(),
            asked: format!("{} x {}, {}", show(width), show(thickness), finish.word()),
            range: format!("mm: {}", bars::bar_names(name, column).join(", ")),
            hint: "use the formula of a flat bar".into(),
        })
}

/// Resistance of a lap joint over that of an equal length of one bar: the streamline factor e.
///
/// e = 0.5 + 0.498 t/l for an overlap l of 3 thicknesses t and more, interpolated in a computed table from 1 to 3. No bolt
/// holes, perfect contact: the contact's own resistance comes on top.
///
/// # Errors
/// [`Error::OutOfTable`] for an overlap of less than one thickness; [`Error::Input`] for a side not above zero.
///
/// ```
/// use orlop::{conductor::busbar::joint_factor, units::millimetres};
/// assert!((joint_factor(millimetres(50.0), millimetres(5.0))? - 0.55).abs() < 0.001);
/// # Ok::<(), orlop::Error>(())
/// ```
pub fn joint_factor(overlap: Length, thickness: Length) -> Result<f64, Error> {
    let ratio = positive(overlap, "overlap")?.si() / positive(thickness, "thickness")?.si();
    if ratio >= 3.0 {
        return Ok(0.5 + 0.498 / ratio);
    }
    let table = bars::streamline();
    table
        .windows(2)
        .find(|w| ratio >= w[0].0 && ratio <= w[1].0)
        .map(|w| w[0].1 + (w[1].1 - w[0].1) * (ratio - w[0].0) / (w[1].0 - w[0].0))
        .ok_or_else(|| Error::OutOfTable {
            table: "streamline factor of a lap joint".into(),
            asked: format!("an overlap of {} on {}", show(overlap), show(thickness)),
            range: "at least one thickness".into(),
            hint: "make the overlap at least ten thicknesses".into(),
        })
}

/// Current of a solid round copper rod for 50 K over 40 degC: I = 8.63 A^0.5 p^0.36, A in mm2, p in mm.
///
/// For that case only; there is no general form for rods here.
///
/// # Errors
/// [`Error::Input`] for a diameter that is not above zero.
pub fn round_rod_current(diameter: Length) -> Result<Current, Error> {
    let d = positive(diameter, "diameter")?.si() * 1e3;
    let (area, perimeter) = (std::f64::consts::FRAC_PI_4 * d * d, std::f64::consts::PI * d);
    Ok(amperes(8.63 * area.sqrt() * perimeter.powf(0.36)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use orlop_units::millimetres;

    fn bar(width: f64, thickness: f64) -> FlatBar {
        FlatBar::new(millimetres(width), millimetres(thickness), Material::Copper).unwrap()
    }

    #[test]
    fn both_ways_agree() {
        let air = Temperature::celsius(40.0);
        let current = bar(40.0, 5.0).current(TemperatureRise::kelvins(37.0), air).unwrap();
        let rise = bar(40.0, 5.0).rise(current, air).unwrap();
        assert_relative_eq!(rise.in_kelvins(), 37.0, max_relative = 1e-9);
    }

    // Copper for Busbars, section 10: 7.73 A^0.5 p^0.39 at 50 K, which needs rho and alpha of 20 degC (7.72);
    // at the stated 40 degC ambient the coefficient is 7.48.
    #[test]
    fn the_general_form_gives_the_printed_coefficient_only_with_data_at_twenty_degrees() {
        let coefficient = |air| {
            let b = bar(100.0, 6.3);
            b.amperes_at(50.0, air) / (b.area().si() * 1e6).sqrt() / (b.perimeter().si() * 1e3).powf(0.39)
        };
        assert_relative_eq!(coefficient(20.0), 7.72, max_relative = 1e-3);
        assert_relative_eq!(coefficient(40.0), 7.48, max_relative = 1e-3);
    }

    #[test]
    fn bad_input_has_no_answer() {
        let air = Temperature::celsius(35.0);
        assert!(FlatBar::new(millimetres(0.0), millimetres(5.0), Material::Copper).is_err());
        assert!(bar(20.0, 5.0).current(TemperatureRise::kelvins(0.0), air).is_err());
        assert_eq!(bar(20.0, 5.0).rise(amperes(1e5), air).unwrap_err().code(), "no-solution");
        let none = table_current(BarTable::Copper, millimetres(21.0), millimetres(5.0), Finish::Bare);
        assert_eq!(none.unwrap_err().code(), "out-of-table");
        assert_eq!(joint_factor(millimetres(4.0), millimetres(5.0)).unwrap_err().code(), "out-of-table");
    }
}
