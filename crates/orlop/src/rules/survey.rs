//! Limits that a survey judges by: batteries held, terminals, marks, currents where none should be.

use super::{Limit, RuleSetId};
use orlop_units::{Current, Fraction, Length, Number, Voltage};

impl RuleSetId {
    /// The most that a battery may move when it is pulled.
    ///
    /// ```
    /// use orlop::rules::RuleSetId;
    /// use orlop::units::show;
    /// assert_eq!(show(RuleSetId::UsSmallCraft.battery_movement().value), "25.4 mm");
    /// assert_eq!(show(RuleSetId::IsoSmallCraft.battery_movement().value), "10 mm");
    /// ```
    #[must_use]
    pub fn battery_movement(self) -> Limit<Length> {
        self.rule("battery_movement").quantity()
    }

    /// The most lugs on one stud or post.
    #[must_use]
    pub fn lugs_per_stud(self) -> Limit<Number> {
        let rule = self.rule("lugs_per_stud");
        rule.limit(Number::of(rule.value))
    }

    /// The most connectors that are twisted on: none.
    #[must_use]
    pub fn twist_on_connectors(self) -> Limit<Number> {
        let rule = self.rule("twist_on_connectors");
        rule.limit(Number::of(rule.value))
    }

    /// The most by which batteries in series may differ at rest.
    #[must_use]
    pub fn rest_difference(self) -> Limit<Voltage> {
        self.rule("rest_difference").quantity()
    }

    /// Share of the circuits that must be marked at both ends: all.
    #[must_use]
    pub fn labelled_circuits(self) -> Limit<Fraction> {
        self.rule("labelled_circuits").quantity()
    }

    /// The current that bonding conductors may carry in ordinary use: none.
    #[must_use]
    pub fn bonding_current(self) -> Limit<Current> {
        self.rule("bonding_current").quantity()
    }
}
