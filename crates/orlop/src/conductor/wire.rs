//! What one conductor is: size, metal, tin, insulation, and what follows from its geometry.

use super::Material;
use super::size::area;
use crate::error::Error;
use crate::source::{Citation, Confidence};
use crate::tables::wires::{metric_copper, metric_sizes, sae_minimum_area, typical_wall};
use orlop_units::{
    Area, ConductorSize, Length, MassPerLength, Quantity, Temperature, kilograms_per_metre, metres, show,
};

/// One stranded conductor with its insulation.
///
/// Metric sizes are IEC 60228 class 5, gauge sizes finely stranded boat cable.
///
/// ```
/// use orlop::conductor::{Conductor, Material};
/// use orlop::units::{ConductorSize, Temperature, Quantity};
/// let wire = Conductor::new(ConductorSize::Awg(6), Temperature::celsius(105.0), Material::Copper, true)?;
/// assert!((wire.area().out() - 13.3018).abs() < 1e-4);
/// # Ok::<(), orlop::Error>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Conductor {
    size: ConductorSize,
    insulation: Temperature,
    material: Material,
    tinned: bool,
    wall: Length,
}

/// Source of the constants below.
pub(crate) static CONSTRUCTION: Citation = Citation::fixed(
    "cable-construction",
    "typical single-core cable",
    "",
    "",
    "strands 1.16 times the solid diameter, lay 1.02, density 8890, 2700, 1400 kg/m3, bend 6 diameters",
    Confidence::CommonPractice,
    "recalled; densities of copper and aluminium as IEC 60028 and IEC 60889",
);

/// Path of a strand over the length of the cable it is laid in. Also its mass per length of cable.
pub(crate) const LAY: f64 = 1.02;
/// Diameter of a bunched conductor over that of a solid one of the same area. Typical, from memory.
const BUNCHED: f64 = 1.16;
/// Density of conductor and insulation, kg/m3, the insulation as plasticised PVC.
const COPPER_DENSITY: f64 = 8890.0;
const ALUMINIUM_DENSITY: f64 = 2700.0;
const INSULATION_DENSITY: f64 = 1400.0;
/// Smallest bend of a flexible cable, in outside diameters. Common practice.
const BEND: f64 = 6.0;

impl Conductor {
    /// A conductor of a size that has an area and a resistance.
    ///
    /// `insulation` is the temperature the insulation is rated for, 40 to 300 degC. Tin is for copper.
    ///
    /// # Errors
    /// [`Error::OutOfTable`] for a metric or SAE size that its table does not list,
    /// [`Error::Input`] for the rest.
    pub fn new(
        size: ConductorSize,
        insulation: Temperature,
        material: Material,
        tinned: bool,
    ) -> Result<Self, Error> {
        if !(40.0..=300.0).contains(&insulation.degrees_celsius()) {
            return Err(Error::input(
                "insulation",
                show(insulation),
                "a temperature rating of 40 to 300 degC",
            ));
        }
        if material == Material::Aluminium && tinned {
            return Err(Error::Input {
                field: "tinned".into(),
                got: "tinned aluminium".into(),
                expected: "tin on copper only".into(),
                hint: "set tinned to no for aluminium".into(),
            });
        }
        let outside = |table: &str, range: String| Error::OutOfTable {
            table: table.into(),
            asked: size.to_string(),
            range,
            hint: "choose a standard size".into(),
        };
        match size {
            ConductorSize::Awg(gauge) if !(-3..=40).contains(&gauge) => {
                return Err(outside("ASTM B258 gauge", "4/0 to 40 AWG".into()));
            }
            ConductorSize::Sae(gauge) if sae_minimum_area(gauge).is_none() => {
                return Err(outside("SAE minimum areas", "SAE 18 to SAE 4/0 without 5 and 3".into()));
            }
            ConductorSize::Metric(hundredths) if metric_copper(hundredths).is_none() => {
                let sizes: Vec<_> = metric_sizes().map(|h| (f64::from(h) / 100.0).to_string()).collect();
                return Err(outside("IEC 60228", format!("{} mm2", sizes.join(", "))));
            }
            _ => {}
        }
        let wall = typical_wall(size.system(), area(size))
            .ok_or_else(|| outside("typical cable walls", "up to 4/0 AWG and 300 mm2".into()))?;
        Ok(Self { size, insulation, material, tinned, wall })
    }

    /// The size.
    #[must_use]
    pub fn size(&self) -> ConductorSize {
        self.size
    }
    /// The temperature the insulation is rated for.
    #[must_use]
    pub fn insulation(&self) -> Temperature {
        self.insulation
    }
    /// The metal.
    #[must_use]
    pub fn material(&self) -> Material {
        self.material
    }
    /// Whether the strands are tinned.
    #[must_use]
    pub fn tinned(&self) -> bool {
        self.tinned
    }

    /// Cross-section of the metal: exact gauge formula (ASTM B258), SAE minimum, or metric nominal.
    #[must_use]
    pub fn area(&self) -> Area {
        area(self.size)
    }

    /// Diameter over the strands: 1.16 times that of a solid conductor of the same area.
    #[must_use]
    pub fn strand_diameter(&self) -> Length {
        metres(BUNCHED * (self.area().si() / std::f64::consts::FRAC_PI_4).sqrt())
    }

    /// Diameter over the insulation, typical to about 5 percent; walls from memory.
    #[must_use]
    pub fn outside_diameter(&self) -> Length {
        self.strand_diameter() + self.wall * 2.0
    }

    /// Mass of a metre: metal with 2 percent for the lay of the strands, and insulation.
    #[must_use]
    pub fn mass_per_length(&self) -> MassPerLength {
        let density = match self.material {
            Material::Copper => COPPER_DENSITY,
            Material::Aluminium => ALUMINIUM_DENSITY,
        };
        let circle = |d: Length| std::f64::consts::FRAC_PI_4 * d.si() * d.si();
        let insulation = circle(self.outside_diameter()) - circle(self.strand_diameter());
        kilograms_per_metre(self.area().si() * LAY * density + insulation * INSULATION_DENSITY)
    }

    /// Smallest bend, measured to the inside: 6 outside diameters. Common practice.
    #[must_use]
    pub fn bend_radius(&self) -> Length {
        self.outside_diameter() * BEND
    }
}

impl std::fmt::Display for Conductor {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let tin = if self.tinned { "tinned " } else { "" };
        write!(f, "{} {tin}{}, {}", self.size, self.material.word(), show(self.insulation))
    }
}
