//! The rule sets: limits and clauses as data, never mixed.

mod limits;
mod survey;

pub use limits::Limit;

use crate::choice::choice;

choice! {
    /// Which rule set a boat is judged by. There is no default.
    RuleSetId {
        /// 33 CFR 183 Subpart I and United States practice.
        UsSmallCraft = "us-small-craft",
        /// ISO 13297 and European practice.
        IsoSmallCraft = "iso-small-craft",
    }
}

choice! {
    /// How much drop a load bears.
    DropClass {
        /// Safety loads, navigation lights, blowers, pumps, electronics, panel feeders: 3 percent.
        Critical = "critical",
        /// Everything else: 10 percent.
        General = "general",
    }
}

choice! {
    /// What feeds the end of a conductor.
    SourceOfPower {
        /// A battery.
        Battery = "battery",
        /// A charger, alternator or other charging source.
        Charging = "charging",
        /// A panel, bus or another conductor.
        Other = "other",
    }
}

choice! {
    /// Whether bundling factors apply below 50 V.
    Bundling {
        /// The factors of the rule set's table, as common practice.
        Practice = "practice",
        /// No factor: the federal note does not bind below 50 V. The heat balance still counts the bundle.
        Off = "off",
    }
}

choice! {
    /// How far a device may exceed the conductor's ampacity under the United States rule set below 50 V.
    DeviceRating {
        /// At most 150 percent (33 CFR 183.455(c)(1)).
        Outright = "outright",
        /// The ampacity, or the next standard size above it when that is at most 150 percent.
        NextStandard = "next-standard",
    }
}

/// The switches a rule set leaves open.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct RuleOptions {
    /// Bundling below 50 V.
    pub bundling: Bundling,
    /// Device rating under the United States rule set.
    pub device_rating: DeviceRating,
}

impl Default for RuleOptions {
    fn default() -> Self {
        Self { bundling: Bundling::Practice, device_rating: DeviceRating::Outright }
    }
}
