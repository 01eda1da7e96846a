//! Whether a device fits, by numbers alone: what sizing asks thousands of times before it needs words once.

use super::device::Device;
use super::family::family;
use super::need::{Need, highest_rating};
use crate::error::Error;
use crate::judgement::{Sense, meets};
use orlop_units::{Current, Quantity};

/// The device that [`choose`](super::choose) chooses, without its reasons; none when no family has one that fits.
///
/// # Errors
/// [`Error::Input`] for an impossible need, an unknown family or no family at all.
pub fn fitting(need: &Need, families: &[String]) -> Result<Option<Device>, Error> {
    need.check()?;
    if families.is_empty() {
        return Err(Error::input("families", "an empty list", "at least one family"));
    }
    for id in families {
        let family = family(id)?;
        let lowest = need.lowest_rating();
        let highest = highest_rating(need, family);
        for at in 0..family.ratings.len() {
            let device = Device::at(family, at);
            if fits(&device, need, lowest, highest) {
                return Ok(Some(device));
            }
        }
    }
    Ok(None)
}

/// The criteria of [`judge`](super::judge) that keep a device from being chosen, cheapest first.
pub(super) fn fits(device: &Device, need: &Need, lowest: Current, highest: Current) -> bool {
    let at_least = |value: f64, limit: f64| meets(value, Sense::AtLeast, limit);
    let at_most = |value: f64, limit: f64| meets(value, Sense::AtMost, limit);
    at_least(device.rating_at(need.ambient).si(), lowest.si())
        && at_most(device.rating().si(), highest.si())
        && device.voltage_rating().is_some_and(|v| at_least(v.si(), need.voltage.si()))
        && need
            .fault_high
            .is_none_or(|fault| device.breaking_capacity().is_some_and(|b| at_least(b.si(), fault.si())))
        && need.fault_low_through(device).is_none_or(|fault| {
            // A fault current of zero opens nothing.
            let Some(time) =
                (fault.si() > 0.0).then(|| device.band().slowest.at(fault.si(), false).0).flatten()
            else {
                return false;
            };
            at_most(time, need.clear_within.si())
                && need.withstand.is_none_or(|most| at_most(fault.si() * fault.si() * time, most.si()))
        })
        && need.inrush.iter().all(|(current, lasting)| {
            // Never, or not said: neither bars.
            let soonest = device.band().fastest.at(current.si(), true).0;
            soonest.is_none_or(|t| t == 0.0 || at_least(t, lasting.si()))
        })
}
