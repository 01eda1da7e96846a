//! What disconnects each string of a bank: a contactor or semiconductors.

use orlop::Error;
use orlop::pack::manager::{Coil, Contactor, Switch};
use orlop_units::{Current, Temperature, Time, Voltage};

/// The switch of each manager.
#[derive(Clone, Debug, PartialEq)]
pub struct Disconnect {
    /// The largest current that it breaks, and the voltage for which that is stated.
    pub breaks: Option<(Current, Voltage)>,
    /// How long after a fault it opens at the earliest.
    pub opens_after: Option<Time>,
    /// How it warms.
    pub warming: Option<Warming>,
    /// The coil that holds it; none where it needs no current to stay closed, or where it is not stated.
    pub coil: Option<Coil>,
}

/// How a switch warms, and how warm it may get.
#[derive(Clone, Debug, PartialEq)]
pub struct Warming {
    /// Resistance and thermal resistance.
    pub switch: Switch,
    /// Its file states how its resistance grows; else the highest growth from memory counts.
    pub growth_stated: bool,
    /// Of the place where it stands.
    pub ambient: Temperature,
    /// The highest that its sheet permits.
    pub hottest: Temperature,
}

impl Disconnect {
    /// As it counts at the highest voltage of its bank: what is stated for less is stated for nothing.
    ///
    /// # Errors
    /// As [`Contactor::new`].
    pub fn at(&self, highest: Voltage) -> Result<Contactor, Error> {
        let breaks = self.breaks.filter(|(_, at)| *at >= highest).map(|(current, _)| current);
        Contactor::new(breaks, self.opens_after)
    }
}
