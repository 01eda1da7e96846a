//! The hottest temperature under a current that flows for a while and then stops.
//!
//! First order: rise = W Rth (1 - exp(-on/tau)) / (1 - exp(-(on + off)/tau)), tau = C Rth, where W = I^2 R(T) and
//! Rth = T1 + T4 are taken at the hottest temperature itself and C is the heat capacity of the metal alone. All three
//! choices err on the warm side. The second factor is the periodic steady state; without a shortest time off the
//! conductor starts cold and that factor is one.

use super::heat::{HeatPath, SteadyState, air_temperature};
use super::{Conductor, Duty};
use crate::error::{Error, not_negative, positive};
use crate::solve::bracketed;
use crate::source::{Citation, Confidence};
use crate::tables::thermal::heat_capacity;
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Current, Quantity, Temperature, Time, seconds, show};

pub(crate) static FIRST_ORDER: Citation = Citation::fixed(
    "first-order-warming",
    "IEC 60853-2, reduced to one thermal mass",
    "",
    "",
    "rise = W Rth (1 - exp(-on/tau))/(1 - exp(-(on + off)/tau)), tau = C Rth",
    Confidence::Memory,
    "recalled; heat capacity of the metal alone",
);

impl Conductor {
    /// Heat capacity of the metal of one metre, J/(K m).
    fn capacity(&self) -> f64 {
        let per_volume = heat_capacity(self.material().word()).expect("every metal has a row");
        per_volume * self.area().si() * super::wire::LAY
    }

    /// Hottest temperature of this conductor under a duty.
    ///
    /// [`Duty::Continuous`] is [`Conductor::steady_state`]. See the [module](self) for the formula; it is meant for
    /// times from seconds to hours and errs on the warm side. The heat returned is that while the current flows.
    ///
    /// # Errors
    /// As [`Conductor::steady_state`]; also [`Error::Input`] for a time on that is not above zero or a negative time off.
    ///
    /// ```
    /// use orlop::conductor::{Conductor, Duty, Material};
    /// use orlop::units::{amperes, seconds, ConductorSize, Temperature};
    /// let wire = Conductor::new(ConductorSize::Metric(2500), Temperature::celsius(105.0), Material::Copper, true)?;
    /// let duty = Duty::Intermittent { on: seconds(180.0), off: None };
    /// let air = Temperature::celsius(30.0);
    /// let short = wire.warming(amperes(150.0), air, 1, duty)?.temperature;
    /// let lasting = wire.warming(amperes(150.0), air, 1, Duty::Continuous)?.temperature;
    /// assert!(short < lasting);
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn warming(
        &self,
        current: Current,
        ambient: Temperature,
        bundled: u32,
        duty: Duty,
    ) -> Result<SteadyState, Error> {
        self.warming_recorded(current, ambient, bundled, duty, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Conductor::warming`].
    pub fn warming_recorded(
        &self,
        current: Current,
        ambient: Temperature,
        bundled: u32,
        duty: Duty,
        rec: &mut impl Recorder,
    ) -> Result<SteadyState, Error> {
        let Duty::Intermittent { on, off } = duty else {
            return self.steady_state_recorded(current, ambient, bundled, rec);
        };
        let current = positive(current, "current")?;
        let on = positive(on, "on")?;
        let off = off.map(|off| not_negative(off, "off")).transpose()?;
        let air = air_temperature(ambient)?;
        let (paths, flags) = self.heat_paths(bundled)?;
        let temperatures = paths
            .iter()
            .map(|path| self.hottest(path, current, air, on, off))
            .collect::<Result<Vec<_>, _>>()?;
        let state = self.state(current, &temperatures, flags);
        rec.step(|| {
            let hottest = temperatures.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1));
            let path = &paths[hottest.expect("never empty").0];
            let tau = self.capacity() * thermal_resistance(path, state.temperature.si() - air);
            Step::new("time constant", "tau", seconds(tau))
                .formula("C (T1 + T4), C of the metal")
                .input("C", format!("{:.1} J/(K m)", self.capacity()))
                .input("arrangement", path.arrangement)
                .source(&FIRST_ORDER)
        });
        rec.step(|| {
            let step = Step::new("hottest temperature", "T", state.temperature)
                .formula("Ta + W Rth (1 - exp(-on/tau))/(1 - exp(-(on + off)/tau))")
                .input("Ta", ambient)
                .input("W", state.heat)
                .input("on", on);
            off.map_or_else(|| step.clone().input("off", "until cold"), |off| step.clone().input("off", off))
                .source(&FIRST_ORDER)
        });
        Ok(state)
    }

    fn hottest(
        &self,
        path: &HeatPath,
        current: Current,
        air: f64,
        on: Time,
        off: Option<Time>,
    ) -> Result<f64, Error> {
        let excess = |t: f64| {
            let rise = t - air;
            if rise <= 0.0 {
                return -1.0;
            }
            let resistance = thermal_resistance(path, rise);
            let tau = self.capacity() * resistance;
            let cycle = off.map_or(1.0, |off| -(-(on + off).si() / tau).exp_m1());
            let share = -(-on.si() / tau).exp_m1() / cycle;
            rise - current.si().powi(2) * self.ohms_per_metre(t) * resistance * share
        };
        bracketed(air, self.material().melting_point(), excess).ok_or_else(|| Error::NoSolution {
            what: format!("{} melts {} within {}", show(current), self.size(), show(on)),
            hint: "use a larger conductor or a shorter time on".into(),
        })
    }
}

/// T1 + T4 at a rise of the metal, K m/W.
fn thermal_resistance(path: &HeatPath, rise: f64) -> f64 {
    rise / path.heat(rise)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::conductor::Material;
    use approx::assert_relative_eq;
    use orlop_units::{ConductorSize, amperes};

    fn wire() -> Conductor {
        let rating = Temperature::celsius(105.0);
        Conductor::new(ConductorSize::Metric(2500), rating, Material::Copper, true).unwrap()
    }
    const AIR: Temperature = Temperature::celsius(30.0);

    fn at(on: f64, off: Option<f64>) -> f64 {
        let duty = Duty::Intermittent { on: seconds(on), off: off.map(seconds) };
        wire().warming(amperes(150.0), AIR, 1, duty).unwrap().temperature.si()
    }

    #[test]
    fn a_very_long_time_on_is_the_steady_state() {
        let steady = wire().steady_state(amperes(150.0), AIR, 1).unwrap().temperature.si();
        assert_relative_eq!(at(1e6, None), steady, max_relative = 1e-9);
        assert_relative_eq!(at(10.0, Some(0.0)), steady, max_relative = 1e-9);
    }

    // Adiabatic by hand: 150 A, 25 mm2 class 5 tinned 0.795 mohm/m at 20 degC, 3.45e6 J/(K m3) x 25.5 mm2.
    #[test]
    fn a_very_short_time_on_only_fills_the_metal() {
        let rise = 150.0_f64.powi(2) * 0.795e-3 * (264.5 / 254.5) / (3.45e6 * 25.5e-6);
        assert_relative_eq!(at(1.0, None) - 30.0, rise, max_relative = 0.005);
    }

    #[test]
    fn hotter_with_time_on_and_cooler_with_time_off() {
        assert!(at(60.0, None) < at(120.0, None));
        assert!(at(60.0, Some(60.0)) > at(60.0, Some(600.0)));
        assert!(at(60.0, Some(1e6)) >= at(60.0, None) - 1e-6);
    }

    #[test]
    fn melting_and_bad_times_have_no_answer() {
        let ask = |current, on, off: Option<f64>| {
            let duty = Duty::Intermittent { on: seconds(on), off: off.map(seconds) };
            wire().warming(amperes(current), AIR, 1, duty).unwrap_err().code()
        };
        assert_eq!(ask(20_000.0, 60.0, None), "no-solution");
        assert_eq!(ask(100.0, 0.0, None), "input");
        assert_eq!(ask(100.0, 10.0, Some(-1.0)), "input");
        assert_eq!(ask(f64::NAN, 10.0, None), "input");
    }
}
