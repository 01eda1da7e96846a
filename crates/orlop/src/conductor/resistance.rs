//! Resistance of a conductor by temperature.
//!
//! R(T) = R20 (234.5 + T)/254.5 for copper and R20 (228 + T)/248 for aluminium, T in degC.
//! R20 of metric copper is the IEC 60228 class 5 maximum. For every other conductor
//! R20 = rho/A x 1.02 x tin with rho = 0.017241 ohm mm2/m (copper) or 0.028264 (aluminium), 1.02 for
//! the lay of the strands, and the ASTM B33 factor for tin. Strands are taken as 0.010 in (30 AWG), as in
//! flexible boat cable: the finest usual strand has the thickest share of tin, so the resistance is at
//! the upper end (strands of 0.015 in would be 1.1 percent lower).

use super::Material;
use super::size::GAUGE;
use super::wire::{Conductor, LAY};
use crate::source::{Citation, Confidence};
use crate::tables::{file, wires};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{ConductorSize, Quantity, ResistancePerLength, Temperature, millimetres};

/// Resistivity of annealed copper at 20 degC, ohm mm2/m.
pub const COPPER_RESISTIVITY: f64 = 0.017_241;
/// Resistivity of conductor aluminium at 20 degC, ohm mm2/m.
pub const ALUMINIUM_RESISTIVITY: f64 = 0.028_264;
/// Strand of flexible boat cable: 30 AWG, 0.010 in.
const STRAND_MM: f64 = 0.254;

pub(crate) static RESISTIVITY: Citation = Citation::fixed(
    "iec60028-resistivity",
    "IEC 60028 and IEC 60889",
    "",
    "",
    "resistivity at 20 degC: copper 0.017241, aluminium 0.028264 ohm mm2/m",
    Confidence::Published,
    "several copies",
);
pub(crate) static LAY_OF_STRANDS: Citation = Citation::fixed(
    "stranding-factor",
    "NFPA 70 chapter 9 Table 8",
    "",
    "stranded against solid rows",
    "2 percent for the lay of strands; strands of 0.010 in for flexible boat cable are common practice",
    Confidence::CommonPractice,
    "the table's stranded rows are 1.02 times the solid ones",
);
pub(crate) static TEMPERATURE: Citation = Citation::fixed(
    "iec60228-temperature",
    "IEC 60228",
    "2004",
    "Annex",
    "R(T) = R20 (234.5 + T)/254.5 copper, (228 + T)/248 aluminium",
    Confidence::Published,
    "several copies",
);

impl Material {
    /// Temperature below zero degC at which resistance would vanish: 234.5 copper, 228 aluminium.
    #[must_use]
    pub fn inferred_zero(self) -> f64 {
        match self {
            Self::Copper => 234.5,
            Self::Aluminium => 228.0,
        }
    }

    /// Resistivity at 20 degC, ohm mm2/m.
    #[must_use]
    pub fn resistivity(self) -> f64 {
        match self {
            Self::Copper => COPPER_RESISTIVITY,
            Self::Aluminium => ALUMINIUM_RESISTIVITY,
        }
    }

    /// Resistance at `t` over resistance at 20 degC.
    #[must_use]
    pub fn temperature_ratio(self, t: Temperature) -> f64 {
        (self.inferred_zero() + t.degrees_celsius()) / (self.inferred_zero() + 20.0)
    }
}

impl Conductor {
    fn resistance_20_recorded(&self, rec: &mut impl Recorder) -> ResistancePerLength {
        if let (ConductorSize::Metric(hundredths), Material::Copper) = (self.size(), self.material()) {
            let copper = wires::metric_copper(hundredths).expect("checked by new");
            let r = if self.tinned() { copper.class5_tinned } else { copper.class5_plain };
            rec.step(|| {
                Step::new("resistance of a metre at 20 degC", "R20", r)
                    .formula(format!("class 5, {}", if self.tinned() { "tinned" } else { "plain" }))
                    .input("size", self.size().to_string())
                    .source(&file("iec60228_2004_copper_resistance").citation)
            });
            return r;
        }
        let area = self.area();
        rec.step(|| {
            let step = Step::new("cross-section", "A", area).input("size", self.size().to_string());
            match self.size() {
                ConductorSize::Sae(gauge) => {
                    let (_, confidence) = wires::sae_minimum_area(gauge).expect("checked by new");
                    let citation = file("sae_minimum_areas").citation.clone();
                    step.source(&Citation { confidence, ..citation })
                }
                ConductorSize::Awg(_) => step.formula("pi/4 (0.005 in x 92^((36 - n)/39))^2").source(&GAUGE),
                ConductorSize::Metric(_) => step.formula("nominal"),
            }
        });
        let tin = if self.tinned() {
            wires::tin_factor(millimetres(STRAND_MM)).expect("the table holds 0.010 in strands")
        } else {
            1.0
        };
        if self.tinned() {
            rec.step(|| {
                Step::new("tinned against plain strands", "t", tin)
                    .input("strand", format!("{STRAND_MM} mm"))
                    .source(&file("astm_b33_2004_tinned_copper").citation)
            });
        }
        let rho = self.material().resistivity();
        let r = ResistancePerLength::ohms_per_metre(rho * LAY * tin / (area.si() * 1e6));
        rec.step(|| {
            Step::new("resistance of a metre at 20 degC", "R20", r)
                .formula("rho x 1.02 x t / A, with 1.02 for the lay of the strands")
                .input("rho", format!("{rho} ohm mm2/m"))
                .input("t", tin)
                .input("A", area)
                .source(&LAY_OF_STRANDS)
        });
        r
    }

    /// Resistance of a metre of this conductor at a temperature.
    ///
    /// R(T) = R20 (234.5 + T)/254.5 for copper, (228 + T)/248 for aluminium. Valid from about -100 degC to
    /// the melting point. One leg only: a circuit has two.
    ///
    /// ```
    /// use orlop::conductor::{Conductor, Material};
    /// use orlop::units::{ConductorSize, Temperature, Quantity};
    /// let wire = Conductor::new(ConductorSize::Metric(1600), Temperature::celsius(105.0), Material::Copper, true)?;
    /// assert!((wire.resistance_per_length(Temperature::celsius(20.0)).out() - 1.24).abs() < 1e-12); // mohm/m
    /// # Ok::<(), orlop::Error>(())
    /// ```
    #[must_use]
    pub fn resistance_per_length(&self, t: Temperature) -> ResistancePerLength {
        self.resistance_per_length_recorded(t, &mut Silent)
    }

    /// The same with its steps.
    #[must_use]
    pub fn resistance_per_length_recorded(
        &self,
        t: Temperature,
        rec: &mut impl Recorder,
    ) -> ResistancePerLength {
        let r20 = self.resistance_20_recorded(rec);
        let material = self.material();
        let r = ResistancePerLength::ohms_per_metre(r20.si() * material.temperature_ratio(t));
        rec.step(|| {
            let zero = material.inferred_zero();
            Step::new("resistance of a metre when warm", "R", r)
                .formula(format!("R20 ({zero} + T)/({zero} + 20)"))
                .input("R20", r20)
                .input("T", t)
                .source(&TEMPERATURE)
        });
        r
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn wire(size: ConductorSize, tinned: bool) -> Conductor {
        Conductor::new(size, Temperature::celsius(105.0), Material::Copper, tinned).unwrap()
    }

    // IEC 60228 Table 3, class 5 tinned, 16 mm2.
    #[test]
    fn metric_copper_at_twenty_degrees_is_the_table() {
        let r = wire(ConductorSize::Metric(1600), true).resistance_per_length(Temperature::celsius(20.0));
        assert_relative_eq!(r.in_ohms_per_metre(), 1.24e-3, max_relative = 1e-12);
    }

    // By hand: 0.017241 x 1.02 / 13.3018 = 1.32206e-3; tin 939.51/875.20.
    #[test]
    fn gauge_copper_follows_from_its_area() {
        let at = Temperature::celsius(20.0);
        let plain = wire(ConductorSize::Awg(6), false).resistance_per_length(at);
        assert_relative_eq!(plain.in_ohms_per_metre(), 1.322_06e-3, max_relative = 1e-5);
        let tinned = wire(ConductorSize::Awg(6), true).resistance_per_length(at);
        assert_relative_eq!(tinned.si() / plain.si(), 939.51 / 875.20, max_relative = 1e-12);
    }

    #[test]
    fn working_names_its_sources() {
        let mut working = crate::Working::new("resistance");
        let _ = wire(ConductorSize::Sae(6), true)
            .resistance_per_length_recorded(Temperature::celsius(70.0), &mut working);
        assert_eq!(working.steps.len(), 4);
        assert!(working.steps.iter().all(|s| s.source.is_some()));
        // The area of SAE 6 is recalled, and the whole rests on it.
        assert_eq!(working.confidence(), Some(Confidence::Memory));
    }
}
