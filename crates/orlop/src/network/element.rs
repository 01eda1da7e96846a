//! What a network is made of.

use crate::choice::choice;
use crate::error::{Error, not_negative, positive};
use crate::range::Range;
use orlop_units::{Capacitance, Current, Fraction, Power, Quantity, Resistance, Voltage};

choice! {
    /// Which end of every two-sided value counts.
    Corner {
        /// Full, new, copper cold, joints and devices at their least: highest voltages and fault currents.
        High = "high",
        /// End of discharge, aged, copper hot, joints and devices at their most: lowest voltages and fault currents.
        Low = "low",
    }
}

impl Corner {
    /// The end of a resistance that counts in this corner: the least when high, the most when low.
    #[must_use]
    pub fn ohms(self, range: Range<Resistance>) -> Option<Resistance> {
        match self {
            Self::High => range.low(),
            Self::Low => range.high(),
        }
    }
    /// The end of a voltage that counts in this corner.
    #[must_use]
    pub fn volts(self, range: Range<Voltage>) -> Option<Voltage> {
        match self {
            Self::High => range.high(),
            Self::Low => range.low(),
        }
    }
}

/// A source: an electromotive force behind a resistance, such as one string of cells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Source {
    /// Electromotive force: lowest before cut-off to highest with sources charging.
    pub emf: Range<Voltage>,
    /// Resistance behind it: new, warm, 1 kHz to aged, cold, 10 s. Zero for an ideal source.
    pub resistance: Range<Resistance>,
    /// Whether it may be absent in service: one string of several, open for maintenance.
    pub may_open: bool,
}

/// What a branch is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Part {
    /// A conductor, device, switch or joint: cold and least to hot and most.
    Resistance(Range<Resistance>),
    /// A diode from the first node to the second.
    Diode {
        /// Voltage at which it begins to conduct.
        forward: Voltage,
        /// Resistance beyond it.
        slope: Resistance,
    },
}

/// What a load draws.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Demand {
    /// The same current at any voltage.
    Current(Current),
    /// The same power at any voltage: electronics, converters.
    Power(Power),
    /// A resistor: heaters, filament lamps.
    Resistance(Resistance),
}

/// A load between two nodes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// What it draws.
    pub demand: Demand,
    /// Largest current that it feeds into a fault while it runs on: a motor.
    pub motor: Option<Current>,
    /// Input capacitor and the resistance in series with it: a short pulse into a fault.
    pub capacitor: Option<(Capacitance, Resistance)>,
}

impl Load {
    /// A load that feeds nothing back.
    #[must_use]
    pub fn new(demand: Demand) -> Self {
        Self { demand, motor: None, capacitor: None }
    }
}

/// A regulated source that limits its own current: a converter when it has an input, a charger or alternator when not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Converter {
    /// Voltage it holds at its output.
    pub output: Voltage,
    /// Most it delivers for long.
    pub limit: Current,
    /// Output power over input power. Not used without an input.
    pub efficiency: Fraction,
    /// Least input voltage at which it works.
    pub minimum: Option<Voltage>,
    /// It stops on a short instead of holding its limit.
    pub shuts_down: bool,
    /// Output capacitor and the resistance in series with it: a short pulse into a fault.
    pub capacitor: Option<(Capacitance, Resistance)>,
    /// It takes part in the operating point. A charging source that counts only in fault levels does not.
    pub runs: bool,
}

fn ends<Q: Quantity>(
    range: Range<Q>,
    field: &str,
    check: fn(Q, &str) -> Result<Q, Error>,
) -> Result<(), Error> {
    if range.low().is_none() && range.high().is_none() {
        return Err(Error::input(field, "nothing", format!("{}, or both its ends", Q::KIND.with_article())));
    }
    for end in [range.low(), range.high()].into_iter().flatten() {
        check(end, field)?;
    }
    Ok(())
}

impl Source {
    pub(super) fn check(&self, id: &str) -> Result<(), Error> {
        ends(self.emf, &format!("source {id}: emf"), positive)?;
        ends(self.resistance, &format!("source {id}: resistance"), not_negative)
    }
}

impl Part {
    pub(super) fn check(&self, id: &str) -> Result<(), Error> {
        match self {
            // Zero would make two nodes one and no current would be defined.
            Self::Resistance(range) => ends(*range, &format!("branch {id}: resistance"), positive),
            Self::Diode { forward, slope } => {
                not_negative(*forward, &format!("diode {id}: forward voltage"))?;
                positive(*slope, &format!("diode {id}: slope resistance")).map(|_| ())
            }
        }
    }
}

impl Load {
    pub(super) fn check(&self, id: &str) -> Result<(), Error> {
        match self.demand {
            Demand::Current(current) => not_negative(current, &format!("load {id}: current")).map(|_| ())?,
            Demand::Power(power) => not_negative(power, &format!("load {id}: power")).map(|_| ())?,
            Demand::Resistance(r) => positive(r, &format!("load {id}: resistance")).map(|_| ())?,
        }
        if let Some(current) = self.motor {
            not_negative(current, &format!("load {id}: current into a fault"))?;
        }
        check_capacitor(self.capacitor, &format!("load {id}"))
    }
}

impl Converter {
    pub(super) fn check(&self, id: &str) -> Result<(), Error> {
        positive(self.output, &format!("converter {id}: output voltage"))?;
        positive(self.limit, &format!("converter {id}: current limit"))?;
        if !(self.efficiency.value() > 0.0 && self.efficiency.value() <= 1.0) {
            let got = orlop_units::show(self.efficiency);
            return Err(Error::input(
                &format!("converter {id}: efficiency"),
                got,
                "above 0 % and at most 100 %",
            ));
        }
        if let Some(minimum) = self.minimum {
            not_negative(minimum, &format!("converter {id}: least input voltage"))?;
        }
        check_capacitor(self.capacitor, &format!("converter {id}"))
    }
}

fn check_capacitor(capacitor: Option<(Capacitance, Resistance)>, id: &str) -> Result<(), Error> {
    let Some((farads, ohms)) = capacitor else { return Ok(()) };
    positive(farads, &format!("{id}: capacitance"))?;
    positive(ohms, &format!("{id}: resistance of the capacitor")).map(|_| ())
}
