//! How warm a conductor gets, and which current takes it to a temperature: the heat balance in still air.
//!
//! One insulated conductor gives off its heat W = I^2 R(T) per metre through its insulation and its surface
//! (IEC 60287-1-1 and -2-1):
//!
//! ```text
//! T - Ta = W T1 + (W / (pi De h))^0.8        h = Z/De^g + E        T1 = rho/(2 pi) ln(De/dc)
//! ```
//!
//! which is the document's T4 = 1/(pi De h dTs^0.25) solved for the surface rise dTs. Z, E, g are those of one
//! cable free in air, or of two or three touching cables. R rises with T. Still air, black surface, no sun;
//! De up to 0.15 m. A cable clipped to a wall runs hotter than a free one.
//!
//! # Bundles of four and more
//! No constants are published. The model here: the n cables are packed into a round bundle of diameter
//! D = De sqrt(n/f) and heated evenly; its middle is n W rho_b/(4 pi) above its surface, and the surface loses n W by
//! the law of one cable of diameter D:
//!
//! ```text
//! T - Ta = W (T1 + n rho_b/(4 pi)) + (n W / (pi D h))^0.8
//! ```
//!
//! Two ends make the band: cool is a loose bundle free in air (f = 0.55, rho_b = 2.5 K m/W), hot a tight one on a wall
//! (f = 0.80, rho_b = 6 K m/W). All n conductors carry the same current and only the middle one is judged. This is a
//! model of ours, not a measurement; the result says so.

use super::{Conductor, Material};
use crate::error::{Error, positive};
use crate::range::Range;
use crate::solve::bracketed;
use crate::source::{Citation, Confidence};
use crate::tables::thermal::{AirConstants, air_constants, insulation_resistivity};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{
    Current, Length, PowerPerLength, Quantity, Temperature, TemperatureRise, ThermalResistance, amperes,
    metres, show,
};
use std::f64::consts::PI;

pub(crate) static AIR: Citation = Citation::fixed(
    "iec60287-heat-balance",
    "IEC 60287-1-1 and IEC 60287-2-1",
    "2023",
    "cables in free air",
    "T - Ta = W T1 + dTs, W = pi De h dTs^1.25, h = Z/De^g + E, T1 = rho/(2 pi) ln(De/dc)",
    Confidence::Published,
    "one copy",
);
pub(crate) static CYLINDER: Citation = Citation::fixed(
    "equivalent-cylinder",
    "equivalent-cylinder model of a cable bundle",
    "",
    "",
    "D = De sqrt(n/f), inner rise n W rho_b/(4 pi), surface as one cable of diameter D",
    Confidence::Memory,
    "own model, its band stated; not measured",
);

/// Largest diameter that the air constants are for.
const LARGEST_DIAMETER_M: f64 = 0.15;

/// One end of the equivalent-cylinder band.
struct CylinderEnd {
    name: &'static str,
    fill: f64,
    resistivity: f64,
    on_wall: bool,
}
const CYLINDER_ENDS: [CylinderEnd; 2] = [
    CylinderEnd { name: "loose bundle, free in air", fill: 0.55, resistivity: 2.5, on_wall: false },
    CylinderEnd { name: "tight bundle on a wall", fill: 0.80, resistivity: 6.0, on_wall: true },
];

/// How warm a conductor gets.
#[derive(Clone, Debug, PartialEq)]
pub struct SteadyState {
    /// Temperature of the metal, upper end of the band.
    pub temperature: Temperature,
    /// Temperature over the arrangements or model ends that the bundle may have.
    pub band: Range<Temperature>,
    /// Heat given off by a metre of this conductor at the upper end.
    pub heat: PowerPerLength,
    /// What a reader must know.
    pub flags: Vec<String>,
}

/// The way of the heat from one conductor to the air.
#[derive(Clone, Debug)]
pub(crate) struct HeatPath {
    /// How the cables lie.
    pub arrangement: &'static str,
    /// Diameter of the surface that meets the air.
    pub diameter: Length,
    /// h, W/m2 K^(5/4).
    pub h: f64,
    /// Rise per heat inside the surface, K m/W.
    pub inner: f64,
    /// Heat of one conductor per surface rise^1.25.
    surface: f64,
}

impl HeatPath {
    /// Rise of the metal over the air for a heat in W/m.
    pub fn rise(&self, heat: f64) -> f64 {
        heat * self.inner + self.surface_rise(heat)
    }
    fn surface_rise(&self, heat: f64) -> f64 {
        (heat / self.surface).powf(0.8)
    }
    /// Heat in W/m for a rise of the metal over the air.
    pub fn heat(&self, rise: f64) -> f64 {
        let most = (rise / self.inner).min(self.surface * rise.powf(1.25));
        bracketed(0.0, most, |heat| self.rise(heat) - rise).unwrap_or(most)
    }
}

/// An air temperature that can be computed with, in degC.
pub(crate) fn air_temperature(ambient: Temperature) -> Result<f64, Error> {
    let air = ambient.degrees_celsius();
    if (-100.0..=400.0).contains(&air) {
        return Ok(air);
    }
    Err(Error::input("ambient", show(ambient), "an air temperature of -100 to 400 degC"))
}

impl Material {
    /// Where the metal melts: no balance is looked for above it.
    pub(crate) fn melting_point(self) -> f64 {
        match self {
            Self::Copper => 1084.6,
            Self::Aluminium => 660.3,
        }
    }
}

impl Conductor {
    /// T1: thermal resistance of the insulation, rho/(2 pi) ln(De/dc).
    #[must_use]
    pub fn insulation_resistance(&self) -> ThermalResistance {
        let ratio = (self.outside_diameter() / self.strand_diameter()).value;
        let rho = insulation_resistivity(self.insulation().degrees_celsius())
            .expect("the table reaches to the highest rating")
            .value;
        ThermalResistance::kelvin_metres_per_watt(rho / (2.0 * PI) * ratio.ln())
    }

    /// The ways the heat may take, from each arrangement or model end, with flags.
    pub(crate) fn heat_paths(&self, bundled: u32) -> Result<(Vec<HeatPath>, Vec<String>), Error> {
        let t1 = self.insulation_resistance().si();
        let de = self.outside_diameter().si();
        let path = |arrangement, air: &AirConstants, diameter: f64, share: f64, inner| {
            let h = air.z / diameter.powf(air.g) + air.e;
            let surface = PI * diameter * h / share;
            HeatPath { arrangement, diameter: metres(diameter), h, inner, surface }
        };
        let mut flags = Vec::new();
        let paths = match bundled {
            0 => return Err(Error::input("bundled", "0", "1 or more conductors, this one included")),
            1..=3 => {
                let rows: Vec<_> = air_constants(bundled, false).collect();
                if rows.iter().any(|a| a.confidence == Confidence::Memory) {
                    flags.push(format!("air constants of {bundled} cables are from memory"));
                }
                rows.into_iter().map(|a| path(a.arrangement, a, de, 1.0, t1)).collect()
            }
            _ => {
                let n = f64::from(bundled);
                flags.push(format!(
                    "{bundled} conductors: equivalent-cylinder model, a band and no measurement"
                ));
                let ends: Vec<_> = CYLINDER_ENDS
                    .iter()
                    .map(|end| {
                        let air = air_constants(1, end.on_wall).next().expect("listed");
                        let inner = t1 + n * end.resistivity / (4.0 * PI);
                        path(end.name, air, de * (n / end.fill).sqrt(), n, inner)
                    })
                    .collect();
                ends
            }
        };
        if let Some(wide) = paths.iter().find(|p| p.diameter.si() > LARGEST_DIAMETER_M) {
            return Err(Error::OutOfTable {
                table: AIR.short(),
                asked: format!("{bundled} conductors in a bundle {} across", show(wide.diameter)),
                range: "up to 0.15 m".into(),
                hint: "split the bundle".into(),
            });
        }
        Ok((paths, flags))
    }

    /// The temperature at which a current settles on one path.
    ///
    /// The rise that the heat asks for is concave in the temperature, so what is left over it is convex: Newton's steps from the melting
    /// point down never pass the root.
    fn settle(&self, path: &HeatPath, current: Current, air: f64) -> Result<f64, Error> {
        let melting = self.material().melting_point();
        let square = current.si().powi(2);
        let cold = square * self.ohms_per_metre(air);
        let per_kelvin = (square * self.ohms_per_metre(melting) - cold) / (melting - air);
        if cold == 0.0 {
            return Ok(air);
        }
        let mut t = melting;
        for _ in 0..100 {
            let heat = cold + per_kelvin * (t - air);
            let surface = path.surface_rise(heat);
            let excess = t - air - heat * path.inner - surface;
            if excess.is_nan() || (excess < 0.0 && t >= melting) {
                break;
            }
            let step = excess / (1.0 - per_kelvin * (path.inner + 0.8 * surface / heat));
            t -= step;
            if step.abs() <= 1e-13 * melting {
                return Ok(t);
            }
        }
        let most = self.current_at(path, melting, air);
        Err(Error::NoSolution {
            what: format!(
                "{} on {} in {} of air ({}) does not settle: it heats itself until it melts",
                show(current),
                self.size(),
                show(Temperature::celsius(air)),
                path.arrangement
            ),
            hint: format!("the largest current that settles at all is {}", show(amperes(most))),
        })
    }

    pub(crate) fn ohms_per_metre(&self, t: f64) -> f64 {
        self.resistance_per_length(Temperature::celsius(t)).si()
    }

    fn current_at(&self, path: &HeatPath, t: f64, air: f64) -> f64 {
        (path.heat(t - air) / self.ohms_per_metre(t)).sqrt()
    }

    /// Temperature this conductor settles at under a lasting current.
    ///
    /// `bundled` counts current-carrying conductors lying together and equally loaded, this one included: a pair
    /// is 2. See the [module](self) for formula and validity.
    ///
    /// # Errors
    /// [`Error::NoSolution`] when the current never settles, naming the largest that does;
    /// [`Error::OutOfTable`] for a bundle more than 0.15 m across; [`Error::Input`] for a current that is not above
    /// zero, an ambient that is no air temperature, or a bundle of none.
    ///
    /// ```
    /// use orlop::conductor::{Conductor, Material};
    /// use orlop::units::{amperes, ConductorSize, Temperature};
    /// let wire = Conductor::new(ConductorSize::Metric(250), Temperature::celsius(70.0), Material::Copper, false)?;
    /// let state = wire.steady_state(amperes(32.0), Temperature::celsius(30.0), 1)?;
    /// assert!((state.temperature.degrees_celsius() - 70.0).abs() < 2.0); // VDE 0298-4 rates it at 32 A
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn steady_state(
        &self,
        current: Current,
        ambient: Temperature,
        bundled: u32,
    ) -> Result<SteadyState, Error> {
        self.steady_state_recorded(current, ambient, bundled, &mut Silent)
    }

    /// The same with its steps, for the hottest arrangement.
    ///
    /// # Errors
    /// As [`Conductor::steady_state`].
    pub fn steady_state_recorded(
        &self,
        current: Current,
        ambient: Temperature,
        bundled: u32,
        rec: &mut impl Recorder,
    ) -> Result<SteadyState, Error> {
        let current = positive(current, "current")?;
        let air = air_temperature(ambient)?;
        let (paths, flags) = self.heat_paths(bundled)?;
        let temperatures =
            paths.iter().map(|p| self.settle(p, current, air)).collect::<Result<Vec<_>, _>>()?;
        let state = self.state(current, &temperatures, flags);
        let hottest = temperatures.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1));
        let path = &paths[hottest.expect("never empty").0];
        self.record_path(path, bundled, rec);
        let t = state.temperature;
        let _ = self.resistance_per_length_recorded(t, rec);
        rec.step(|| {
            Step::new("heat of a metre", "W", state.heat)
                .formula("I^2 R")
                .input("I", current)
                .input("R", self.resistance_per_length(t))
        });
        rec.step(|| {
            Step::new("temperature of the metal", "T", t)
                .formula("Ta + W T_in + (W n/(pi D h))^0.8, where R belongs to this T")
                .input("Ta", ambient)
                .input("W", state.heat)
                .input("surface rise", TemperatureRise::kelvins(path.surface_rise(state.heat.si())))
                .source(if bundled > 3 { &CYLINDER } else { &AIR })
        });
        Ok(state)
    }

    fn record_path(&self, path: &HeatPath, bundled: u32, rec: &mut impl Recorder) {
        let insulation = insulation_resistivity(self.insulation().degrees_celsius());
        rec.step(|| {
            let insulation = insulation.expect("the table reaches to the highest rating");
            Step::new("thermal resistance of the insulation", "T1", self.insulation_resistance())
                .formula("rho/(2 pi) ln(De/dc)")
                .input("rho", ThermalResistance::kelvin_metres_per_watt(insulation.value))
                .input("taken as", insulation.assumed)
                .input("De", self.outside_diameter())
                .input("dc", self.strand_diameter())
                .source(&insulation.citation)
        });
        rec.step(|| {
            Step::new("heat loss coefficient", "h", format!("{:.3} W/(m2 K^1.25)", path.h))
                .formula("Z/D^g + E")
                .input("arrangement", path.arrangement)
                .input("D", path.diameter)
                .source(if bundled > 3 { &CYLINDER } else { &AIR })
        });
        rec.step(|| {
            Step::new(
                "thermal resistance inside the surface",
                "T_in",
                ThermalResistance::kelvin_metres_per_watt(path.inner),
            )
            .formula(if bundled > 3 { "T1 + n rho_b/(4 pi)" } else { "T1" })
            .input("n", f64::from(bundled))
        });
    }

    /// The band over all paths as one answer.
    pub(crate) fn state(
        &self,
        current: Current,
        temperatures: &[f64],
        mut flags: Vec<String>,
    ) -> SteadyState {
        let low = temperatures.iter().copied().fold(f64::INFINITY, f64::min);
        let high = temperatures.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if high > self.insulation().degrees_celsius() {
            flags.push(format!("hotter than the {} its insulation is rated for", show(self.insulation())));
        }
        SteadyState {
            temperature: Temperature::celsius(high),
            band: Range::new(Temperature::celsius(low), Temperature::celsius(high)),
            heat: PowerPerLength::watts_per_metre(current.si().powi(2) * self.ohms_per_metre(high)),
            flags,
        }
    }

    /// Lasting current that takes this conductor to a temperature: the heat balance the other way round.
    ///
    /// I = sqrt(W/R(T)), W from the rise. The lower end belongs to the hottest arrangement.
    ///
    /// # Errors
    /// [`Error::Input`] when `reaches` is not above the ambient or not below the melting point, and as
    /// [`Conductor::steady_state`] for the rest.
    pub fn steady_current(
        &self,
        reaches: Temperature,
        ambient: Temperature,
        bundled: u32,
    ) -> Result<Range<Current>, Error> {
        let air = air_temperature(ambient)?;
        let t = reaches.degrees_celsius();
        let melting = self.material().melting_point();
        if !(t > air && t <= melting) {
            return Err(Error::input(
                "reaches",
                show(reaches),
                format!("a temperature above the air's {} and up to {melting} degC", show(ambient)),
            ));
        }
        let (paths, _) = self.heat_paths(bundled)?;
        let currents: Vec<_> = paths.iter().map(|p| self.current_at(p, t, air)).collect();
        let low = currents.iter().copied().fold(f64::INFINITY, f64::min);
        let high = currents.iter().copied().fold(0.0, f64::max);
        Ok(Range::new(amperes(low), amperes(high)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use orlop_units::ConductorSize;

    fn wire(size: ConductorSize) -> Conductor {
        Conductor::new(size, Temperature::celsius(105.0), Material::Copper, true).unwrap()
    }

    #[test]
    fn balance_closes_and_solves_both_ways() {
        let wire = wire(ConductorSize::Awg(6));
        let air = Temperature::celsius(40.0);
        for bundled in [1, 2, 3, 4, 12, 24] {
            let at = Temperature::celsius(90.0);
            let range = wire.steady_current(at, air, bundled).unwrap();
            let state = wire.steady_state(range.low().unwrap(), air, bundled).unwrap();
            assert_relative_eq!(state.temperature.si(), 90.0, max_relative = 1e-9);
            let state = wire.steady_state(range.high().unwrap(), air, bundled).unwrap();
            assert_relative_eq!(state.band.low().unwrap().si(), 90.0, max_relative = 1e-9);
        }
    }

    #[test]
    fn runaway_names_the_largest_current_that_settles() {
        let wire = wire(ConductorSize::Awg(16));
        let air = Temperature::celsius(30.0);
        let error = wire.steady_state(amperes(500.0), air, 1).unwrap_err();
        assert_eq!(error.code(), "no-solution");
        assert!(error.to_string().contains("largest current that settles"), "{error}");
        let most = wire.steady_current(Temperature::celsius(1084.6), air, 1).unwrap().low().unwrap();
        assert!(wire.steady_state(most * 0.999, air, 1).is_ok());
        assert!(wire.steady_state(most * 1.001, air, 1).is_err());
    }

    #[test]
    fn larger_bundles_are_flagged_bands_and_hotter() {
        for size in [ConductorSize::Awg(18), ConductorSize::Awg(6), ConductorSize::Metric(3500)] {
            let wire = wire(size);
            let current = wire.steady_current(Temperature::celsius(45.0), Temperature::celsius(30.0), 1);
            let current = current.unwrap().low().unwrap();
            let mut before = (0.0, 0.0);
            for bundled in 1..=20 {
                let state = wire.steady_state(current, Temperature::celsius(30.0), bundled).unwrap();
                let now = (state.band.low().unwrap().si(), state.band.high().unwrap().si());
                assert!(now.0 >= before.0 && now.1 >= before.1, "{size} {bundled}: {before:?} {now:?}");
                assert_eq!(bundled > 3, state.flags.iter().any(|f| f.contains("equivalent-cylinder")));
                before = now;
            }
        }
        let wide = wire(ConductorSize::Awg(-3)).steady_state(amperes(10.0), Temperature::celsius(30.0), 200);
        assert_eq!(wide.unwrap_err().code(), "out-of-table");
    }

    #[test]
    fn bad_input_has_no_answer() {
        let wire = wire(ConductorSize::Awg(6));
        let air = Temperature::celsius(30.0);
        for current in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(wire.steady_state(amperes(current), air, 1).unwrap_err().code(), "input");
        }
        assert!(wire.steady_state(amperes(10.0), Temperature::celsius(f64::NAN), 1).is_err());
        assert!(wire.steady_state(amperes(10.0), air, 0).is_err());
        for reaches in [30.0, 20.0, f64::NAN, 5000.0] {
            assert!(wire.steady_current(Temperature::celsius(reaches), air, 1).is_err());
        }
    }
}
