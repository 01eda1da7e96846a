//! Voltage drop along a conductor, out and back.

use super::Conductor;
use crate::rules::RuleSetId;
use crate::source::Citation;
use crate::tables::file;
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Current, Loop, Quantity, Temperature, Voltage, volts};

impl Conductor {
    /// Voltage lost in both legs: V = I R(T) L, L the loop length.
    ///
    /// Physical: R is that of [`Conductor::resistance_per_length`] at the temperature given. Linear in current and
    /// length; joints and devices are not in it.
    ///
    /// ```
    /// use orlop::conductor::{Conductor, Material};
    /// use orlop::units::{amperes, metres, ConductorSize, OneWay, Quantity, Temperature};
    /// let wire = Conductor::new(ConductorSize::Metric(1600), Temperature::celsius(105.0), Material::Copper, true)?;
    /// let drop = wire.voltage_drop(amperes(25.0), OneWay(metres(6.0)).there_and_back(), Temperature::celsius(20.0));
    /// assert!((drop.out() - 25.0 * 12.0 * 1.24e-3).abs() < 1e-12);
    /// # Ok::<(), orlop::Error>(())
    /// ```
    #[must_use]
    pub fn voltage_drop(&self, current: Current, lp: Loop, at: Temperature) -> Voltage {
        self.voltage_drop_recorded(current, lp, at, &mut Silent)
    }

    /// The same with its steps.
    #[must_use]
    pub fn voltage_drop_recorded(
        &self,
        current: Current,
        lp: Loop,
        at: Temperature,
        rec: &mut impl Recorder,
    ) -> Voltage {
        let r = self.resistance_per_length_recorded(at, rec);
        let drop = volts(current.si() * (r * lp.0).si());
        rec.step(|| {
            Step::new("voltage drop, both legs", "V", drop)
                .formula("I R L")
                .input("I", current)
                .input("R", r)
                .input("L (loop)", lp.0)
        });
        drop
    }

    /// Voltage drop by the rule set's own formula on this size: V = rho I L / A.
    ///
    /// United States practice: K = 10.75 ohm cmil/ft on the size's own circular mils; ISO: 0.0164 ohm mm2/m. Both
    /// are colder than a real cable: a pass here never overrides a failure of [`Conductor::voltage_drop`].
    ///
    /// ```
    /// use orlop::{conductor::{Conductor, Material}, rules::RuleSetId};
    /// use orlop::units::{amperes, metres, ConductorSize, Loop, Quantity, Temperature};
    /// let wire = Conductor::new(ConductorSize::Metric(400), Temperature::celsius(70.0), Material::Copper, false)?;
    /// let drop = wire.rule_drop(RuleSetId::IsoSmallCraft, amperes(10.0), Loop(metres(10.0)));
    /// assert!((drop.out() - 0.41).abs() < 1e-12);
    /// # Ok::<(), orlop::Error>(())
    /// ```
    #[must_use]
    pub fn rule_drop(&self, rules: RuleSetId, current: Current, lp: Loop) -> Voltage {
        self.rule_drop_recorded(rules, current, lp, &mut Silent)
    }

    /// The same with its steps.
    #[must_use]
    pub fn rule_drop_recorded(
        &self,
        rules: RuleSetId,
        current: Current,
        lp: Loop,
        rec: &mut impl Recorder,
    ) -> Voltage {
        let formula = rules.drop_formula();
        let area = self.area();
        let drop = volts(formula.value * current.si() * lp.0.si() / (area.si() * 1e6));
        rec.step(|| {
            let name = match rules {
                RuleSetId::UsSmallCraft => "rules_us_small_craft",
                RuleSetId::IsoSmallCraft => "rules_iso_small_craft",
            };
            let source = Citation {
                place: formula.clause.clone().into(),
                confidence: formula.confidence,
                ..file(name).citation.clone()
            };
            Step::new("voltage drop by the rule set's formula, both legs", "V_rule", drop)
                .formula("rho I L / A")
                .input("rho", format!("{:.6} ohm mm2/m", formula.value))
                .input("I", current)
                .input("L (loop)", lp.0)
                .input("A", area)
                .source(&source)
        });
        drop
    }
}
