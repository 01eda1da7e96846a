//! What a pack brings into a fault, and what goes through the device of one string.

use super::{Order, Pack};
use crate::cell::FaultConditions;
use crate::error::Error;
use crate::range::Range;
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Current, Resistance, Voltage};

/// What a pack brings into a bolted fault. A lower bound is missing where links or parts are not known.
#[derive(Clone, Debug, PartialEq)]
pub struct PackFault {
    /// Lowest and highest voltage behind the resistance.
    pub voltage: Range<Voltage>,
    /// Lowest and highest resistance of one string with its parts; parallel first, of the whole.
    pub string_resistance: Range<Resistance>,
    /// At the terminals: the upper bound with all strings closed, the lower with one of them open where there are more.
    pub current: Range<Current>,
    /// At the terminals with all strings closed, on both sides.
    pub all_closed: Range<Current>,
    /// Through the device of one string, for a fault at the terminals.
    pub own: Range<Current>,
    /// Through the device of one string, for a fault inside that string: what the others send back. None where there are no others.
    pub from_others: Option<Range<Current>>,
    /// What was assumed.
    pub flags: Vec<String>,
}

impl Pack {
    /// Current into a bolted fault at the terminals, on both sides.
    ///
    /// High: `s U_high` over the least resistance: 1 kHz, warm, new, least links and parts. Low: `s U_low` over the highest: ten seconds, cold,
    /// aged, most links and parts, and with one string open. Sources that charge, motors and capacitors come on top in the network.
    ///
    /// # Errors
    /// As [`crate::cell::Cell::fault`].
    pub fn fault_current(&self, conditions: FaultConditions) -> Result<PackFault, Error> {
        self.fault_current_recorded(conditions, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Pack::fault_current`].
    pub fn fault_current_recorded(
        &self,
        conditions: FaultConditions,
        rec: &mut impl Recorder,
    ) -> Result<PackFault, Error> {
        let ends = self.cell().fault_recorded(conditions, rec)?;
        let s = f64::from(self.series());
        let whole = |v: Option<Voltage>| v.map(|v| v * s);
        let voltage = Range::from_bounds(whole(ends.voltage.low()), whole(ends.voltage.high()));
        let string = self.unit(ends.resistance)?;
        let own = over(voltage, string);
        let strings = self.managers();
        let times = |low: u32, high: u32| {
            Range::from_bounds(own.low().map(|i| i * f64::from(low)), own.high().map(|i| i * f64::from(high)))
        };
        let all_closed = times(strings, strings);
        let current = times((strings - 1).max(1), strings);
        let from_others = (strings > 1).then(|| times((strings - 2).max(1), strings - 1));
        rec.step(|| {
            let of = if self.order() == Order::SeriesFirst { "one string" } else { "the pack" };
            Step::new(format!("bolted fault, current of {of}"), "I", own.to_string())
                .formula("s U_low/R_high to s U_high/R_low")
                .input("s U", voltage.to_string())
                .input("R", string.to_string())
        });
        rec.step(|| {
            Step::new("bolted fault at the terminals", "I", current.to_string())
                .formula("low with one string open, high with all closed")
                .input("strings", f64::from(strings))
        });
        let mut flags = ends.flags;
        if own.low().is_none() {
            flags.push("links or parts are not known: nor is the least current into a fault".into());
        }
        flags.push("bounds are for bolted faults: an arcing fault may not be cleared".into());
        Ok(PackFault { voltage, string_resistance: string, current, all_closed, own, from_others, flags })
    }
}

/// Least voltage over most resistance, and the other way round; a missing bound stays missing.
pub(super) fn over(voltage: Range<Voltage>, resistance: Range<Resistance>) -> Range<Current> {
    Range::from_bounds(
        voltage.low().zip(resistance.high()).map(|(u, r)| u / r),
        voltage.high().zip(resistance.low()).map(|(u, r)| u / r),
    )
}
