//! The limits of each rule set, read from its data file.

use super::{DeviceRating, DropClass, RuleOptions, RuleSetId, SourceOfPower};
use crate::source::Confidence;
use crate::tables::file;
use crate::tables::wires::SQUARE_MILLIMETRES_PER_CIRCULAR_MIL;
use orlop_units::{ConductorSize, Fraction, Length, Quantity, parse};
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// What a rule set allows, with the clause that says so.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit<T> {
    /// The limit.
    pub value: T,
    /// Document and clause.
    pub clause: String,
    /// How far our copy can be trusted.
    pub confidence: Confidence,
}

pub(super) struct Rule {
    pub(super) value: f64,
    unit: &'static str,
    clause: String,
    confidence: Confidence,
}

type Rules = BTreeMap<&'static str, Rule>;

static US: LazyLock<Rules> = LazyLock::new(|| read("rules_us_small_craft"));
static ISO: LazyLock<Rules> = LazyLock::new(|| read("rules_iso_small_craft"));

fn read(name: &str) -> Rules {
    file(name)
        .rows()
        .map(|row| {
            let clause = format!("{} {}", row.text("document"), row.text("clause"));
            let (value, unit) = (row.number("value"), row.text("unit"));
            (row.text("key"), Rule { value, unit, clause, confidence: row.confidence() })
        })
        .collect()
}

impl Rule {
    pub(super) fn limit<T>(&self, value: T) -> Limit<T> {
        Limit { value, clause: self.clause.clone(), confidence: self.confidence }
    }
    pub(super) fn quantity<Q: Quantity>(&self) -> Limit<Q> {
        let text = format!("{} {}", self.value, self.unit);
        self.limit(parse(&text, "value").expect("the data files hold quantities of the right kind"))
    }
}

impl RuleSetId {
    pub(super) fn rule(self, key: &str) -> &'static Rule {
        let rules: &'static Rules = match self {
            Self::UsSmallCraft => &US,
            Self::IsoSmallCraft => &ISO,
        };
        rules.get(key).unwrap_or_else(|| panic!("{}: no rule '{key}'", self.word()))
    }

    /// Largest voltage drop, as a share of nominal voltage: 3 % for critical loads, 10 % for the others.
    ///
    /// ```
    /// use orlop::rules::{DropClass, RuleSetId};
    /// assert_eq!(RuleSetId::UsSmallCraft.drop_limit(DropClass::Critical).value.value(), 0.03);
    /// ```
    #[must_use]
    pub fn drop_limit(self, class: DropClass) -> Limit<Fraction> {
        self.rule(match class {
            DropClass::Critical => "drop_limit_critical",
            DropClass::General => "drop_limit_general",
        })
        .quantity()
    }

    /// Resistivity in the rule set's own drop formula, in ohm mm2/m.
    ///
    /// United States practice: K = 10.75 ohm cmil/ft, which is 0.017871 ohm mm2/m; ISO: 0.0164 ohm mm2/m.
    /// Neither is the resistance of a warm tinned cable; see [`crate::conductor::Conductor::voltage_drop`].
    #[must_use]
    pub fn drop_formula(self) -> Limit<f64> {
        let rule = self.rule("drop_formula");
        let factor = match rule.unit {
            "ohm cmil/ft" => SQUARE_MILLIMETRES_PER_CIRCULAR_MIL / 0.3048,
            _ => 1.0,
        };
        rule.limit(rule.value * factor)
    }

    /// Highest rating of a device as a share of the conductor's corrected ampacity, below 50 V.
    ///
    /// With [`DeviceRating::NextStandard`] a rating above 100 % is allowed only as the next standard size.
    #[must_use]
    pub fn device_limit(self, options: &RuleOptions) -> Limit<Fraction> {
        self.rule(match options.device_rating {
            DeviceRating::Outright => "device_limit_outright",
            DeviceRating::NextStandard => "device_limit_next_standard",
        })
        .quantity()
    }

    /// Smallest conductor, in a sheath or alone.
    #[must_use]
    pub fn minimum_area(self, sheathed: bool) -> Limit<ConductorSize> {
        let rule = self.rule(if sheathed { "minimum_area_sheathed" } else { "minimum_area_alone" });
        let text = format!("{} {}", rule.value, rule.unit);
        rule.limit(ConductorSize::parse(&text, "minimum").expect("the data files hold sizes here"))
    }

    /// Longest wire between a source of power and its overcurrent device, measured along the wire.
    ///
    /// `enclosed` is a sheath, conduit or box over the whole length; a loose loom is none.
    #[must_use]
    pub fn unprotected_length(self, source: SourceOfPower, enclosed: bool) -> Limit<Length> {
        self.rule(match (source, enclosed) {
            (SourceOfPower::Battery, false) => "unprotected_battery_open",
            (SourceOfPower::Battery, true) => "unprotected_battery_enclosed",
            (SourceOfPower::Charging, false) => "unprotected_charging_open",
            (SourceOfPower::Charging, true) => "unprotected_charging_enclosed",
            (SourceOfPower::Other, false) => "unprotected_other_open",
            (SourceOfPower::Other, true) => "unprotected_other_enclosed",
        })
        .quantity()
    }

    /// Largest distance between supports of a conductor.
    #[must_use]
    pub fn support_spacing(self, battery: bool) -> Limit<Length> {
        self.rule(if battery { "support_battery" } else { "support_other" }).quantity()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    const US: RuleSetId = RuleSetId::UsSmallCraft;
    const ISO: RuleSetId = RuleSetId::IsoSmallCraft;

    #[test]
    fn every_limit_of_both_rule_sets_reads() {
        for rules in RuleSetId::ALL {
            for class in DropClass::ALL {
                assert!(rules.drop_limit(*class).value.value() <= 0.10);
            }
            for device_rating in DeviceRating::ALL {
                let options = RuleOptions { device_rating: *device_rating, ..RuleOptions::default() };
                assert!((1.0..=1.5).contains(&rules.device_limit(&options).value.value()));
            }
            for flag in [false, true] {
                for source in SourceOfPower::ALL {
                    assert!(rules.unprotected_length(*source, flag).value.si() > 0.1);
                }
                assert!(rules.support_spacing(flag).value.si() > 0.2);
                assert!(!rules.minimum_area(flag).clause.is_empty());
            }
        }
    }

    // 33 CFR 183.425, 183.455, 183.460, text of 2015.
    #[test]
    fn united_states_distances_and_sizes() {
        let inches = |source, enclosed| US.unprotected_length(source, enclosed).value.si() / 0.0254;
        assert_relative_eq!(inches(SourceOfPower::Other, false), 7.0, max_relative = 1e-12);
        assert_relative_eq!(inches(SourceOfPower::Other, true), 40.0, max_relative = 1e-12);
        assert_relative_eq!(inches(SourceOfPower::Battery, false), 72.0, max_relative = 1e-12);
        assert_eq!(US.minimum_area(true).value, ConductorSize::Awg(18));
        assert_eq!(US.minimum_area(false).value, ConductorSize::Awg(16));
        assert_eq!(US.device_limit(&RuleOptions::default()).value.value(), 1.5);
    }

    // ISO 10133:2012 7.7, ISO 13297:2020 12.3 and 13.1.5.
    #[test]
    fn iso_distances_and_sizes() {
        assert_relative_eq!(ISO.unprotected_length(SourceOfPower::Charging, false).value.si(), 1.8);
        assert_relative_eq!(ISO.unprotected_length(SourceOfPower::Other, false).value.si(), 0.2);
        assert_eq!(ISO.minimum_area(true).value, ConductorSize::Metric(75));
        assert_eq!(ISO.minimum_area(false).value, ConductorSize::Metric(100));
        assert_eq!(ISO.device_limit(&RuleOptions::default()).value.value(), 1.0);
    }

    // 10.75 ohm cmil/ft is 0.017871 ohm mm2/m (1.0365 times annealed copper).
    #[test]
    fn drop_constants_in_metric_units() {
        assert_relative_eq!(US.drop_formula().value, 0.017_871, max_relative = 2e-5);
        assert_relative_eq!(ISO.drop_formula().value, 0.0164);
    }
}
