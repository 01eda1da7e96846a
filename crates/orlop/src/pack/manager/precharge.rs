//! Filling the capacitors of the loads through a resistor before the switch closes.
//!
//! Without other loads the bus rises as U (1 - e^(-t/tau)), tau = R C, with a first current of U/R, and the resistor takes
//! 1/2 C U^2. A standing load pulls the bus down: a resistance Rl leaves U Rl/(R + Rl) with tau = C R Rl/(R + Rl), a constant
//! current leaves U - I R. A constant power P > U^2/(4 R) leaves nothing. A short behind the resistor leaves it U^2/R until
//! the time limit.

use super::FILLING;
use crate::error::{Error, positive};
use crate::judgement::{Judgement, Sense, Severity, Verdict};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{
    Capacitance, Current, Energy, Fraction, Power, Quantity, Resistance, Time, Voltage, amperes, joules,
    seconds, show, volts,
};

/// Below this share of the bank's voltage the bus has not come up.
const FILLED: f64 = 0.95;
/// Time constants after which it should have.
const TIMES: f64 = 5.0;

/// What takes current while the capacitors fill.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Standing {
    /// Nothing.
    Nothing,
    /// A resistance.
    Resistance(Resistance),
    /// A current that does not depend on voltage.
    Current(Current),
    /// A power that does not depend on voltage (a converter that is already awake).
    Power(Power),
}

/// A resistor that fills capacitors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PreCharge {
    voltage: Voltage,
    capacitance: Capacitance,
    resistor: Resistance,
    standing: Standing,
    limit: Time,
}

/// How the filling goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Filling {
    /// First current.
    pub peak: Current,
    /// Time constant with the standing load.
    pub time_constant: Time,
    /// Voltage of the bus in the end.
    pub settles: Voltage,
    /// Voltage of the bus when the time limit ends.
    pub reached: Voltage,
    /// Heat in the resistor until the time limit.
    pub energy: Energy,
    /// Heat in the resistor when the bus is shorted until the time limit.
    pub energy_short: Energy,
    /// Power in the resistor at the first moment, and all the time into a short.
    pub power_short: Power,
}

impl PreCharge {
    /// A resistor, the capacitance it fills, the voltage of the bank. The time limit is five time constants.
    ///
    /// # Errors
    /// [`Error::Input`] for a value not above zero.
    ///
    /// ```
    /// use orlop::{pack::manager::PreCharge, units::{farads, ohms, show, volts}};
    /// let filling = PreCharge::new(volts(25.6), farads(0.012), ohms(15.0))?.filling()?;
    /// assert_eq!(show(filling.peak), "1.71 A");
    /// assert_eq!(show(filling.time_constant), "0.18 s");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn new(voltage: Voltage, capacitance: Capacitance, resistor: Resistance) -> Result<Self, Error> {
        let (voltage, capacitance, resistor) = (
            positive(voltage, "voltage")?,
            positive(capacitance, "capacitance")?,
            positive(resistor, "resistor")?,
        );
        let limit = seconds(TIMES * resistor.si() * capacitance.si());
        Ok(Self { voltage, capacitance, resistor, standing: Standing::Nothing, limit })
    }

    /// The resistor for a wanted first current: R = U/I.
    ///
    /// # Errors
    /// As [`PreCharge::new`].
    pub fn of_current(voltage: Voltage, capacitance: Capacitance, peak: Current) -> Result<Self, Error> {
        let peak = positive(peak, "peak")?;
        Self::new(voltage, capacitance, positive(voltage, "voltage")? / peak)
    }

    /// The same with a load that takes current while the capacitors fill.
    ///
    /// # Errors
    /// [`Error::Input`] for a value not above zero.
    pub fn with_standing(self, standing: Standing) -> Result<Self, Error> {
        match standing {
            Standing::Nothing => {}
            Standing::Resistance(r) => drop(positive(r, "standing")?),
            Standing::Current(i) => drop(positive(i, "standing")?),
            Standing::Power(p) => drop(positive(p, "standing")?),
        }
        Ok(Self { standing, ..self })
    }

    /// The same with the time after which the manager gives up or closes.
    ///
    /// # Errors
    /// [`Error::Input`] for a time not above zero.
    pub fn with_limit(self, limit: Time) -> Result<Self, Error> {
        Ok(Self { limit: positive(limit, "limit")?, ..self })
    }

    /// The resistor.
    #[must_use]
    pub fn resistor(&self) -> Resistance {
        self.resistor
    }

    /// Where the bus settles, and its time constant there.
    fn settling(&self) -> Result<(f64, f64), Error> {
        let (u, r, c) = (self.voltage.si(), self.resistor.si(), self.capacitance.si());
        match self.standing {
            Standing::Nothing => Ok((u, r * c)),
            Standing::Resistance(load) => {
                let share = load.si() / (r + load.si());
                Ok((u * share, r * c * share))
            }
            Standing::Current(i) => Ok(((u - i.si() * r).max(0.0), r * c)),
            Standing::Power(p) => {
                let most = u * u / (4.0 * r);
                if p.si() > most {
                    return Err(Error::NoSolution {
                        what: format!(
                            "a standing load of {} through {}: the bus cannot come up; at most {} can pass",
                            show(p),
                            show(self.resistor),
                            show(Power::from_si(most))
                        ),
                        hint: "keep the load asleep until the bus is up, or take a smaller resistor".into(),
                    });
                }
                // The high root; near it the load acts as a negative resistance of -v^2/P.
                let v = 0.5 * (u + (u * u - 4.0 * p.si() * r).sqrt());
                let slope = 1.0 / r - p.si() / (v * v);
                Ok((v, if slope > 0.0 { c / slope } else { f64::INFINITY }))
            }
        }
    }

    /// How the filling goes up to the time limit.
    ///
    /// A constant current or power is taken to begin when the bus is up, so that the rise is that of the resistor alone; where it
    /// would settle counts it.
    ///
    /// # Errors
    /// [`Error::NoSolution`] for a standing power that the resistor cannot pass.
    pub fn filling(&self) -> Result<Filling, Error> {
        self.filling_recorded(&mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`PreCharge::filling`].
    pub fn filling_recorded(&self, rec: &mut impl Recorder) -> Result<Filling, Error> {
        let (u, r, c) = (self.voltage.si(), self.resistor.si(), self.capacitance.si());
        let (settles, tau) = self.settling()?;
        let (end, rise) = match self.standing {
            Standing::Resistance(_) => (settles, tau),
            _ => (u, r * c),
        };
        let t = self.limit.si();
        let gone = (-t / rise).exp();
        let reached = (end * (1.0 - gone)).min(settles);
        // i = (u - end)/r + end/r e^(-t/rise): the integral of i^2 r.
        let (rest, swing) = ((u - end) / r, end / r);
        let squares = rest * rest * t
            + 2.0 * rest * swing * rise * (1.0 - gone)
            + 0.5 * swing * swing * rise * (1.0 - gone * gone);
        let filling = Filling {
            peak: amperes(u / r),
            time_constant: seconds(tau),
            settles: volts(settles),
            reached: volts(reached),
            energy: joules(squares * r),
            energy_short: joules(u * u / r * t),
            power_short: Power::from_si(u * u / r),
        };
        self.tell(&filling, rec);
        Ok(filling)
    }

    fn tell(&self, filling: &Filling, rec: &mut impl Recorder) {
        let in_joules = |e: Energy| format!("{} J", orlop_units::significant(e.si(), 3));
        rec.step(|| {
            Step::new("first current", "I0", filling.peak)
                .formula("U/R")
                .input("U", self.voltage)
                .input("R", self.resistor)
                .source(&FILLING)
        });
        rec.step(|| {
            Step::new("time constant", "tau", filling.time_constant)
                .formula("R C, a standing resistance in parallel with R")
                .input("C", self.capacitance)
        });
        rec.step(|| {
            Step::new("the bus settles at", "Us", filling.settles).formula("what the standing load leaves")
        });
        rec.step(|| {
            Step::new("the bus at the time limit", "Ut", filling.reached)
                .formula("Us (1 - e^(-t/tau)), at most Us")
                .input("t", self.limit)
        });
        rec.step(|| {
            Step::new("heat in the resistor", "E", in_joules(filling.energy))
                .formula("integral of I^2 R; 1/2 C U^2 without a standing load")
        });
        rec.step(|| {
            Step::new("heat in the resistor into a short", "Es", in_joules(filling.energy_short))
                .formula("U^2/R t")
                .source(&FILLING)
        });
    }

    /// The current that flows through the closing switch: what the bus lacks over the resistance of bank and cables.
    ///
    /// # Errors
    /// As [`PreCharge::filling`], and [`Error::Input`] for a resistance not above zero.
    pub fn closing_current(&self, loop_resistance: Resistance) -> Result<Current, Error> {
        let r = positive(loop_resistance, "loop_resistance")?;
        Ok((self.voltage - self.filling()?.reached) / r)
    }

    /// Judges the resistor: rules `pre-charge-filled` (the bus must pass 95 percent within the limit, or a good bus reads as a
    /// fault) and `pre-charge-short` (it must survive a shorted bus until the limit).
    ///
    /// # Errors
    /// [`Error::Input`] for an energy not above zero.
    pub fn judge(&self, resistor_survives: Option<Energy>) -> Result<Vec<Judgement>, Error> {
        let judge = |rule, severity, verdict| {
            Judgement::bare(rule, "bank.pre-charge", severity, verdict)
                .clause(FILLING.short(), FILLING.confidence)
        };
        let filling = match self.filling() {
            Ok(filling) => filling,
            Err(Error::NoSolution { what, hint }) => {
                return Ok(vec![
                    judge("pre-charge-filled", Severity::B, Verdict::Fail).what(what).to_do(hint),
                ]);
            }
            Err(other) => return Err(other),
        };
        let share = Fraction::new(filling.reached.si() / self.voltage.si());
        let filled = Judgement::compare(
            "pre-charge-filled",
            "bank.pre-charge",
            Severity::B,
            share,
            Sense::AtLeast,
            Fraction::new(FILLED),
        )
        .clause(FILLING.short(), FILLING.confidence)
        .what(format!(
            "after {} the bus is at {} ({} of the bank); it would settle at {}",
            show(self.limit),
            show(filling.reached),
            show(share),
            show(filling.settles)
        ))
        .to_do("switch standing loads off, take a smaller resistor, or wait longer");
        let short = match resistor_survives {
            Some(energy) => Judgement::compare(
                "pre-charge-short",
                "bank.pre-charge",
                Severity::B,
                filling.energy_short,
                Sense::AtMost,
                positive(energy, "resistor_survives")?,
            )
            .clause(FILLING.short(), FILLING.confidence)
            .what(format!(
                "into a short the resistor takes {} for {}, {} J",
                show(filling.power_short),
                show(self.limit),
                orlop_units::significant(filling.energy_short.si(), 3)
            ))
            .to_do("take a resistor of more energy, or let the manager give up sooner"),
            None => judge("pre-charge-short", Severity::B, Verdict::NotTested)
                .what("what the resistor survives is not given")
                .to_do("take the pulse energy from its data sheet"),
        };
        Ok(vec![filled, short])
    }
}
