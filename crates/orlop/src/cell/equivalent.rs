//! A cell as a circuit: open-circuit voltage, a resistance, and none to two pairs of resistance and capacitance.
//!
//! V = U(soc) - I R0 - V1 - V2, dVi/dt = (I Ri - Vi)/(Ri Ci), discharge current positive. While the current is constant each
//! pair follows an exponential exactly: Vi(t) = I Ri + (Vi(0) - I Ri) exp(-t/(Ri Ci)); so does every step here, whatever its
//! length, and two half steps are one step.

use super::{Cell, CurveAt, Pair, StateOfCharge};
use crate::error::{Error, positive};
use crate::source::{Citation, Confidence};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{
    Charge, Current, Fraction, Power, Quantity, Resistance, Time, Voltage, amperes, seconds, show, volts,
    watts,
};

pub(crate) static THEVENIN: Citation = Citation::fixed(
    "cell-equivalent-circuit",
    "equivalent circuit of a cell",
    "",
    "V = U - I R0 - V1 - V2; Vi(t) = I Ri + (Vi(0) - I Ri) exp(-t/(Ri Ci))",
    "voltage of a cell under current, exact while the current is constant",
    Confidence::Published,
    "the circuit as in Lin, J. Power Sources 257:1 (2014); the step is its solution",
);

/// Most pairs a circuit may have.
pub(crate) const MOST_PAIRS: usize = 2;

/// A cell as a circuit at one temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct EquivalentCircuit {
    curve: CurveAt,
    capacity: Charge,
    coulombic_efficiency: f64,
    r0: Resistance,
    pairs: Vec<Pair>,
}

/// What the circuit remembers: its charge and the voltages of its pairs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CircuitState {
    soc: f64,
    pairs: [f64; MOST_PAIRS],
}

impl CircuitState {
    /// A rested cell.
    ///
    /// # Errors
    /// [`Error::Input`] for a state of charge outside 0 to 100 %.
    pub fn rested(charge: StateOfCharge) -> Result<Self, Error> {
        Ok(Self { soc: charge.checked("state of charge")?.share(), pairs: [0.0; MOST_PAIRS] })
    }
    /// Its charge.
    #[must_use]
    pub fn charge(&self) -> StateOfCharge {
        StateOfCharge::from_si(self.soc)
    }
    /// As a kernel left it: within 0 to 1 but for rounding, and the voltages of its pairs.
    pub(crate) fn of(soc: f64, pairs: [f64; MOST_PAIRS]) -> Self {
        Self { soc, pairs }
    }
    /// For a kernel: share of charge and volts over each pair.
    pub(crate) fn numbers(&self) -> (f64, [f64; MOST_PAIRS]) {
        (self.soc, self.pairs)
    }
    /// Voltage over a pair.
    #[must_use]
    pub fn pair_voltage(&self, pair: usize) -> Option<Voltage> {
        self.pairs.get(pair).copied().map(volts)
    }
}

/// What a run over time came to. One entry for each step that was finished.
#[derive(Clone, Debug, PartialEq)]
pub struct Trace {
    /// Terminal voltage at the end of each step, still under its current, V.
    pub voltage_v: Vec<f64>,
    /// Share of charge at the end of each step.
    pub charge: Vec<f64>,
    /// Heat made in resistances at the end of each step, W.
    pub heat_w: Vec<f64>,
    /// State at the end.
    pub state: CircuitState,
    /// When the cell became empty or full and the run had to stop.
    pub stopped: Option<Time>,
}

impl EquivalentCircuit {
    /// A circuit from its parts. With no pairs the resistance answers at once.
    ///
    /// The curve comes from [`super::Chemistry::curve_at`]; the efficiency is that of charge, and counts while charging.
    ///
    /// # Errors
    /// [`Error::Input`] for a capacity or a resistance not above zero, an efficiency not above 0 or above 100 %, or more
    /// than two pairs.
    ///
    /// ```
    /// use orlop::cell::{ChemistryId, CircuitState, EquivalentCircuit, Pair, StateOfCharge};
    /// use orlop::units::{amperes, ampere_hours, farads, ohms, seconds, Fraction, Quantity, Temperature};
    /// let curve = ChemistryId::Lfp.chemistry().curve_at(None, Temperature::celsius(25.0))?;
    /// let pair = Pair::new(ohms(0.3e-3), farads(100_000.0))?; // 30 s
    /// let cell = EquivalentCircuit::new(curve, ampere_hours(230.0), Fraction::new(1.0), ohms(0.2e-3), &[pair])?;
    /// let rested = CircuitState::rested(StateOfCharge::new(0.5)?)?;
    /// let after = cell.after(&rested, amperes(100.0), seconds(30.0))?;
    /// let drop = after.pair_voltage(0).unwrap().out(); // 100 A x 0.3 mOhm x (1 - 1/e)
    /// assert!((drop - 0.030 * (1.0 - (-1.0_f64).exp())).abs() < 1e-12);
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn new(
        curve: CurveAt,
        capacity: Charge,
        coulombic_efficiency: Fraction,
        r0: Resistance,
        pairs: &[Pair],
    ) -> Result<Self, Error> {
        let eta = coulombic_efficiency.value();
        if !(eta > 0.0 && eta <= 1.0) {
            let got = show(coulombic_efficiency);
            return Err(Error::input("coulombic_efficiency", got, "a share above 0 % and up to 100 %"));
        }
        if pairs.len() > MOST_PAIRS {
            return Err(Error::input("pairs", pairs.len().to_string(), "none, one or two"));
        }
        Ok(Self {
            curve,
            capacity: positive(capacity, "capacity")?,
            coulombic_efficiency: eta,
            r0: positive(r0, "r0")?,
            pairs: pairs.to_vec(),
        })
    }

    /// Its open-circuit curve.
    #[must_use]
    pub fn curve(&self) -> &CurveAt {
        &self.curve
    }
    /// Its capacity.
    #[must_use]
    pub fn capacity(&self) -> Charge {
        self.capacity
    }
    /// Charge that stays of the charge that goes in.
    #[must_use]
    pub fn coulombic_efficiency(&self) -> Fraction {
        Fraction::new(self.coulombic_efficiency)
    }
    /// The resistance that answers at once.
    #[must_use]
    pub fn r0(&self) -> Resistance {
        self.r0
    }
    /// Its pairs.
    #[must_use]
    pub fn pairs(&self) -> &[Pair] {
        &self.pairs
    }

    /// Terminal voltage in a state under a current; discharge is positive.
    #[must_use]
    pub fn voltage(&self, state: &CircuitState, current: Current) -> Voltage {
        volts(self.voltage_v(state, current.si()))
    }

    /// Heat made in the resistances: I^2 R0 + V1^2/R1 + V2^2/R2. The reversible heat comes on top:
    /// [`super::Chemistry::reversible_heat`].
    #[must_use]
    pub fn heat(&self, state: &CircuitState, current: Current) -> Power {
        watts(self.heat_w(state, current.si()))
    }

    /// The state after a constant current; discharge is positive.
    ///
    /// # Errors
    /// [`Error::NoSolution`] when the cell would be empty or full before; [`Error::Input`] for a current or a time that is
    /// no number, or a negative time.
    pub fn after(&self, state: &CircuitState, current: Current, time: Time) -> Result<CircuitState, Error> {
        self.after_recorded(state, current, time, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`EquivalentCircuit::after`].
    pub fn after_recorded(
        &self,
        state: &CircuitState,
        current: Current,
        time: Time,
        rec: &mut impl Recorder,
    ) -> Result<CircuitState, Error> {
        let i = finite(current, "current")?;
        let dt = crate::error::not_negative(time, "time")?.si();
        let end = self.step(state, i, dt, &self.decays(dt));
        if !(0.0..=1.0).contains(&end.soc) {
            return Err(Error::NoSolution {
                what: format!(
                    "the cell is {} after {}, before the {} are over",
                    if i > 0.0 { "empty" } else { "full" },
                    show(seconds(self.until_end(state.soc, i))),
                    show(time)
                ),
                hint: "take a shorter time or a smaller current".into(),
            });
        }
        rec.step(|| {
            Step::new("charge left", "soc", show(end.charge()))
                .formula("soc - I t/Q; while charging times the coulombic efficiency")
                .input("soc", show(state.charge()))
                .input("I", current)
                .input("t", time)
                .input("Q", self.capacity)
        });
        for (k, pair) in self.pairs.iter().enumerate() {
            rec.step(|| {
                Step::new(format!("voltage over pair {}", k + 1), format!("V{}", k + 1), volts(end.pairs[k]))
                    .formula("I R + (V(0) - I R) exp(-t/(R C))")
                    .input("R", pair.resistance())
                    .input("C", pair.capacitance())
                    .input("V(0)", volts(state.pairs[k]))
                    .source(&THEVENIN)
            });
        }
        rec.step(|| {
            Step::new("terminal voltage", "V", self.voltage(&end, current))
                .formula("U(soc) - I R0 - V1 - V2")
                .input("U", volts(self.curve.voltage(end.soc)))
                .input("R0", self.r0)
                .source(&THEVENIN)
        });
        Ok(end)
    }

    /// Runs a series of currents in amperes, each for `dt`; discharge is positive. Linear in the number of steps.
    ///
    /// The run stops when the cell is empty or full: the trace then holds the steps finished and says when.
    ///
    /// # Errors
    /// [`Error::Input`] for a step not above zero or a current that is no number, named by its place.
    pub fn simulate(&self, start: &CircuitState, currents_a: &[f64], dt: Time) -> Result<Trace, Error> {
        let step = positive(dt, "dt")?.si();
        if let Some(bad) = currents_a.iter().position(|i| !i.is_finite()) {
            let got = format!("{} at place {bad}", currents_a[bad]);
            return Err(Error::input("currents_a", got, "currents in amperes, all of them numbers"));
        }
        let decays = self.decays(step);
        let n = currents_a.len();
        let mut trace = Trace {
            voltage_v: Vec::with_capacity(n),
            charge: Vec::with_capacity(n),
            heat_w: Vec::with_capacity(n),
            state: *start,
            stopped: None,
        };
        for (k, &i) in currents_a.iter().enumerate() {
            let next = self.step(&trace.state, i, step, &decays);
            if !(0.0..=1.0).contains(&next.soc) {
                let left = self.until_end(trace.state.soc, i);
                trace.state = self.step(&trace.state, i, left, &self.decays(left));
                trace.state.soc = if i > 0.0 { 0.0 } else { 1.0 };
                trace.stopped = Some(seconds(k as f64 * step + left));
                break;
            }
            trace.state = next;
            trace.voltage_v.push(self.voltage_v(&next, i));
            trace.charge.push(next.soc);
            trace.heat_w.push(self.heat_w(&next, i));
        }
        Ok(trace)
    }

    fn voltage_v(&self, state: &CircuitState, i: f64) -> f64 {
        self.curve.voltage(state.soc) - i * self.r0.si() - state.pairs.iter().sum::<f64>()
    }

    fn heat_w(&self, state: &CircuitState, i: f64) -> f64 {
        let pairs = self.pairs.iter().zip(state.pairs).map(|(p, v)| v * v / p.resistance().si());
        i * i * self.r0.si() + pairs.sum::<f64>()
    }

    /// What is left of each pair's deviation after a time.
    fn decays(&self, dt: f64) -> [f64; MOST_PAIRS] {
        let mut all = [0.0; MOST_PAIRS];
        for (decay, pair) in all.iter_mut().zip(&self.pairs) {
            *decay = (-dt / pair.time_constant().si()).exp();
        }
        all
    }

    fn step(&self, state: &CircuitState, i: f64, dt: f64, decays: &[f64; MOST_PAIRS]) -> CircuitState {
        let mut next = *state;
        next.soc -= self.counted(i) * dt / self.capacity.si();
        for (k, pair) in self.pairs.iter().enumerate() {
            let settled = i * pair.resistance().si();
            next.pairs[k] = settled + (state.pairs[k] - settled) * decays[k];
        }
        next
    }

    /// The current that the charge feels.
    fn counted(&self, i: f64) -> f64 {
        if i < 0.0 { i * self.coulombic_efficiency } else { i }
    }

    /// Seconds until the cell is empty or full.
    fn until_end(&self, soc: f64, i: f64) -> f64 {
        let room = if i > 0.0 { soc } else { soc - 1.0 };
        room * self.capacity.si() / self.counted(i)
    }
}

impl Cell {
    /// A circuit without pairs from what is known of the cell: the ten-second resistance given and the default curve.
    ///
    /// # Errors
    /// [`Error::Input`] when no ten-second resistance with both bounds was given; as [`super::Chemistry::open_circuit`].
    pub fn simple_circuit(&self, temperature: orlop_units::Temperature) -> Result<EquivalentCircuit, Error> {
        let given = self.resistance_dc().and_then(|r| Some((r.low()?, r.high()?)));
        let (low, high) = given.ok_or_else(|| {
            Error::input("resistance_dc", "none", "a measured ten-second resistance of the cell")
        })?;
        let chemistry = self.chemistry();
        let curve = chemistry.curve_at(None, temperature)?;
        let eta = chemistry.coulombic_efficiency.middle();
        EquivalentCircuit::new(curve, self.capacity(), eta, (low + high) * 0.5, &[])
    }
}

fn finite(current: Current, field: &str) -> Result<f64, Error> {
    if current.si().is_finite() {
        return Ok(current.si());
    }
    Err(Error::input(field, show(amperes(current.si())), "a current"))
}
