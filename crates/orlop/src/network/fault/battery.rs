//! The short circuit of a battery: by its resistance alone, or in the form of IEC 61660-1.

use crate::choice::choice;
use crate::error::{Error, not_negative, positive};
use crate::network::Source;
use crate::range::Range;
use crate::source::{Citation, Confidence};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Current, Quantity, Resistance, Time, Voltage, seconds};

/// Where the form comes from.
pub(crate) const IEC_61660: Citation = Citation::fixed(
    "iec61660-1-battery",
    "IEC 61660-1",
    "1997",
    "",
    "EB = 1.05 UnB; RBBr = 0.9 RB + RL; ip = EB/RBBr; Ik = 0.95 EB/(RBBr + 0.1 RB); 1/delta = 2/(RBBr/LBBr + 1/TB), TB = 30 ms",
    Confidence::Memory,
    "from memory; no text of the standard was read",
);

/// Time constant of the battery itself, s.
const BATTERY_TIME_CONSTANT: f64 = 0.030;

choice! {
    /// How a battery's short-circuit current is found.
    BatteryForm {
        /// Voltage over resistance.
        Resistive = "resistive",
        /// The form of IEC 61660-1: a peak, and a lower current that stays.
        Iec61660 = "iec61660-1",
    }
}

/// The short-circuit current of one battery.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BatteryShort {
    /// The peak.
    pub peak: Current,
    /// What stays.
    pub sustained: Current,
    /// The time of the rise, `1/delta`; none when the time constant of the circuit is not given, or the form has none.
    pub rise: Option<Time>,
}

impl BatteryForm {
    /// Peak and sustained short-circuit current of a battery.
    ///
    /// Resistive: `U/(RB + RL)` for both. IEC 61660-1: `EB = 1.05 UnB`, `RBBr = 0.9 RB + RL`, peak `EB/RBBr`, sustained
    /// `0.95 EB/(RBBr + 0.1 RB)`, rise `1/delta = 2/(RBBr/LBBr + 1/TB)` with `TB` = 30 ms. `RB` is the resistance of
    /// the battery, `RL` that of links, leads and joints up to the fault, `time_constant` is `LBBr/RBBr` of the whole circuit.
    ///
    /// ```
    /// use orlop::network::fault::BatteryForm;
    /// use orlop::units::{ohms, show, volts};
    /// let short = BatteryForm::Iec61660.short_circuit(volts(12.8), ohms(0.001), ohms(0.0005), None)?;
    /// assert_eq!((show(short.peak), show(short.sustained)), ("9.6 kA".into(), "8.51 kA".into()));
    /// # Ok::<(), orlop::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::Input`] for a voltage or battery resistance not above zero, a negative lead resistance, a time constant not above zero.
    pub fn short_circuit(
        self,
        nominal: Voltage,
        battery: Resistance,
        leads: Resistance,
        time_constant: Option<Time>,
    ) -> Result<BatteryShort, Error> {
        self.short_circuit_recorded(nominal, battery, leads, time_constant, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`BatteryForm::short_circuit`].
    pub fn short_circuit_recorded(
        self,
        nominal: Voltage,
        battery: Resistance,
        leads: Resistance,
        time_constant: Option<Time>,
        rec: &mut impl Recorder,
    ) -> Result<BatteryShort, Error> {
        let nominal = positive(nominal, "nominal")?;
        let battery = positive(battery, "battery")?;
        let leads = not_negative(leads, "leads")?;
        let time_constant = time_constant.map(|t| positive(t, "time_constant")).transpose()?;
        if self == Self::Resistive {
            let peak = nominal / (battery + leads);
            rec.step(|| {
                Step::new("short-circuit current", "Ik", peak)
                    .formula("U/(RB + RL)")
                    .input("U", nominal)
                    .input("RB", battery)
                    .input("RL", leads)
            });
            return finite(BatteryShort { peak, sustained: peak, rise: None });
        }
        let emf = nominal * 1.05;
        let circuit = battery * 0.9 + leads;
        let peak = emf / circuit;
        let sustained = emf * 0.95 / (circuit + battery * 0.1);
        let rise = time_constant.map(|t| seconds(2.0 / (1.0 / t.si() + 1.0 / BATTERY_TIME_CONSTANT)));
        rec.step(|| {
            Step::new("electromotive force", "EB", emf)
                .formula("1.05 UnB")
                .input("UnB", nominal)
                .source(&IEC_61660)
        });
        rec.step(|| {
            Step::new("resistance at the peak", "RBBr", circuit)
                .formula("0.9 RB + RL")
                .input("RB", battery)
                .input("RL", leads)
                .source(&IEC_61660)
        });
        rec.step(|| {
            Step::new("peak", "ip", peak)
                .formula("EB/RBBr")
                .input("EB", emf)
                .input("RBBr", circuit)
                .source(&IEC_61660)
        });
        rec.step(|| {
            Step::new("sustained current", "Ik", sustained)
                .formula("0.95 EB/(RBBr + 0.1 RB)")
                .input("EB", emf)
                .input("RBBr", circuit)
                .input("RB", battery)
                .source(&IEC_61660)
        });
        if let (Some(rise), Some(t)) = (rise, time_constant) {
            rec.step(|| {
                Step::new("time of the rise", "1/delta", rise)
                    .formula("2/(1/T + 1/TB)")
                    .input("T = LBBr/RBBr", t)
                    .input("TB", seconds(BATTERY_TIME_CONSTANT))
                    .source(&IEC_61660)
            });
        }
        finite(BatteryShort { peak, sustained, rise })
    }

    /// A battery as a source of a network whose bounds are this form's peak and sustained current.
    ///
    /// Resistive: `U` behind `RB`. IEC 61660-1: `0.95 EB` behind `RB` up to `EB` behind `0.9 RB`; what leads and joints add is
    /// the network's own.
    ///
    /// # Errors
    /// [`Error::Input`] for values not above zero.
    pub fn source(self, nominal: Voltage, battery: Resistance, may_open: bool) -> Result<Source, Error> {
        let nominal = positive(nominal, "nominal")?;
        let battery = positive(battery, "battery")?;
        let (emf, resistance) = match self {
            Self::Resistive => (Range::exactly(nominal), Range::exactly(battery)),
            Self::Iec61660 => {
                let emf = nominal * 1.05;
                (Range::new(emf * 0.95, emf), Range::new(battery * 0.9, battery))
            }
        };
        Ok(Source { emf, resistance, may_open })
    }
}

fn finite(short: BatteryShort) -> Result<BatteryShort, Error> {
    positive(short.peak, "short-circuit current")?;
    positive(short.sustained, "short-circuit current")?;
    Ok(short)
}
