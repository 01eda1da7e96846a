//! Why a smaller load must never get a larger conductor.
//!
//! Small fuses drop more volts than large ones: a load just above the window of one fuse takes the next, and the
//! circuit as a whole may drop less than at the smaller load. Sizing to that alone would let the conductor *shrink*
//! as the load grows. So the drop is also kept at the top of the window of every smaller device that might have
//! stood there.

use super::evaluate::warm_resistance;
use super::question::CircuitQuestion;
use crate::protection::{Device, LOAD_FACTOR, family};
use orlop_units::{Current, Quantity, Resistance, Voltage, volts};

/// Every smaller load at the top of its device's window, with the resistance of that device.
pub(super) struct SmallerLoads(Vec<(Current, Resistance)>);

impl SmallerLoads {
    /// All of them for one question.
    pub fn of(q: &CircuitQuestion) -> Self {
        let Some(budget) = q.budget.filter(|_| q.steady && q.device.is_none() && !q.exempt) else {
            return Self(Vec::new());
        };
        // Devices that the source's voltage or fault current rules out are never chosen.
        let possible = |device: &Device| {
            device.voltage_rating().is_some_and(|v| v >= q.supply.highest)
                && q.supply
                    .fault
                    .high()
                    .is_none_or(|fault| device.breaking_capacity().is_some_and(|b| b >= fault))
        };
        // A smaller load that could not even bear its own device and joints has no conductor to compare with.
        let bearable = |load: Current, device: Resistance| {
            budget.current * (load.si() / q.current.si()) * (device + q.joints + q.extra) < budget.physical
        };
        let ambient = q.device_place();
        let mut all = Vec::new();
        for family in q.families.iter().filter_map(|id| family(id).ok()) {
            for device in family.ratings.iter().filter_map(|r| Device::new(&family.id, *r).ok()) {
                let load = device.rating_at(ambient) / LOAD_FACTOR;
                let warm = warm_resistance(&device);
                if device.resistance().is_some()
                    && load < q.current
                    && possible(&device)
                    && bearable(load, warm)
                {
                    all.push((load, warm));
                }
            }
        }
        Self(all)
    }

    /// The largest drop that any of them makes on this wire; `at` is the budget's current for the whole load.
    pub fn drop(&self, q: &CircuitQuestion, at: Current, wire: Resistance) -> Voltage {
        let of = |(load, device): &(Current, Resistance)| {
            at * (load.si() / q.current.si()) * (wire + *device + q.joints + q.extra)
        };
        self.0.iter().map(of).fold(volts(0.0), Voltage::max)
    }
}
