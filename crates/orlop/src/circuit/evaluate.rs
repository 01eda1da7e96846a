//! One candidate size, worked through: ampacity, temperature, resistance, device, drop.

use super::drop::SmallerLoads;
use super::question::{CircuitQuestion, clear_within};
use crate::conductor::{Ampacity, AmpacityQuestion, Conductor, SteadyState};
use crate::error::Error;
use crate::protection::{Device, Need, NoDevice, choose_recorded, fitting};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{ConductorSize, Current, Fraction, Resistance, Temperature, Voltage, ohms, volts};

/// Ambient that rule sets assume when nobody says more.
pub(super) const REFERENCE_AMBIENT: Temperature =
    Temperature::celsius(crate::tables::ampacity::REFERENCE_AMBIENT);
/// Ambient of an engine space when nobody says more (33 CFR 183.425 Table 5 note 1: 50 degC).
pub(super) const ENGINE_AMBIENT: Temperature = Temperature::celsius(50.0);

/// One size, worked through.
#[derive(Clone, Debug)]
pub struct Evaluation {
    /// The conductor.
    pub conductor: Conductor,
    /// What the rule set lets it carry here.
    pub ampacity: Result<Ampacity, Error>,
    /// Where its temperature settles.
    pub heat: Result<SteadyState, Error>,
    /// Resistance of both legs at that temperature.
    pub wire: Resistance,
    /// Resistance of both legs at the insulation's rated temperature.
    pub wire_hot: Resistance,
    /// The device, or why none fits.
    pub device: Result<Option<Device>, NoDevice>,
    /// Highest rating of a device that the conductor allows.
    pub device_limit: Option<Current>,
    /// Drop of conductor, device and joints at the budget's current (else at the design current).
    pub drop: Voltage,
    /// Drop by the rule set's formula at the same current.
    pub rule_drop: Voltage,
    /// The physical drop that a device one step smaller would have caused; never less than `drop`.
    pub drop_floor: Voltage,
    /// Lowest fault current at the far end, the device's own resistance not counted.
    pub far_end: Option<Current>,
}

impl Evaluation {
    /// Works a size through, with the reasons where no device fits.
    ///
    /// # Errors
    /// Only for a size that makes no conductor at all.
    pub(super) fn of(
        q: &CircuitQuestion,
        smaller: &SmallerLoads,
        size: ConductorSize,
        rec: &mut impl Recorder,
    ) -> Result<Self, Error> {
        Self::with(q, smaller, size, rec, true)
    }

    /// Works a size through without a reason why no device fits: one of many sizes that are tried.
    ///
    /// # Errors
    /// Only for a size that makes no conductor at all.
    pub(super) fn candidate(
        q: &CircuitQuestion,
        smaller: &SmallerLoads,
        size: ConductorSize,
    ) -> Result<Self, Error> {
        Self::with(q, smaller, size, &mut Silent, false)
    }

    fn with(
        q: &CircuitQuestion,
        smaller: &SmallerLoads,
        size: ConductorSize,
        rec: &mut impl Recorder,
        reasons: bool,
    ) -> Result<Self, Error> {
        let conductor = Conductor::new(size, q.insulation, q.material, q.tinned)?;
        let ampacity = conductor.ampacity_recorded(&q.ampacity_question(), rec);
        let heat = conductor.warming_recorded(q.current, q.run_ambient(), q.bundled, q.duty, rec);
        let warm = heat.as_ref().map_or(q.insulation, |h| h.temperature.min(q.insulation));
        let wire = conductor.resistance_per_length(warm) * q.run.0;
        let wire_hot = conductor.resistance_per_length(q.insulation) * q.run.0;
        let far_end = q.far_end_fault(wire_hot);
        let device_limit = q.device_limit_of(&ampacity);
        let mut this = Self {
            conductor,
            ampacity,
            heat,
            wire,
            wire_hot,
            device: Ok(None),
            device_limit,
            drop: volts(0.0),
            rule_drop: volts(0.0),
            drop_floor: volts(0.0),
            far_end,
        };
        this.device = this.find_device(q, rec, reasons);
        this.find_drop(q, smaller, rec);
        Ok(this)
    }

    /// What this conductor, in this place, asks of a device.
    ///
    /// # Errors
    /// When the rule set has no ampacity for the conductor.
    pub fn need(&self, q: &CircuitQuestion) -> Result<Need, Error> {
        let ampacity = self.ampacity.as_ref().map_err(Clone::clone)?;
        Ok(Need {
            other_limits: q.device_limits.clone(),
            fault_high: q.supply.fault.high(),
            fault_low: self.far_end,
            fault_from: q.supply.limit.is_none().then_some(q.supply.lowest),
            next_standard_from: q.next_standard(ampacity.current),
            // The conductor is hot from its load when the fault comes.
            withstand: self.conductor.withstand_let_through(q.insulation).ok(),
            clear_within: clear_within(),
            inrush: q.inrush.clone(),
            ..Need::new(
                q.current,
                self.device_limit.unwrap_or(ampacity.current),
                q.supply.highest,
                q.device_place(),
            )
        })
    }

    fn find_device(
        &self,
        q: &CircuitQuestion,
        rec: &mut impl Recorder,
        reasons: bool,
    ) -> Result<Option<Device>, NoDevice> {
        if q.exempt || q.device.is_some() || q.families.is_empty() {
            return Ok(q.device.clone());
        }
        if !reasons {
            let device = fitting(&self.need(q)?, &q.families)?;
            return device.map(Some).ok_or(NoDevice::NoneFits(Vec::new()));
        }
        choose_recorded(&self.need(q)?, &q.families, rec).map(|choice| Some(choice.device))
    }

    fn find_drop(&mut self, q: &CircuitQuestion, smaller: &SmallerLoads, rec: &mut impl Recorder) {
        let at = q.budget.map_or(q.current, |b| b.current);
        let in_device = self.taken().map_or(ohms(0.0), warm_resistance);
        self.drop = at * (self.wire + in_device + q.joints + q.extra);
        self.drop_floor = smaller.drop(q, at, self.wire).max(self.drop);
        self.rule_drop = self.conductor.rule_drop(q.rules, at, q.run);
        rec.step(|| {
            Step::new("Drop in this circuit", "dU", self.drop)
                .formula("I (R' x loop + R_device + R_joints + R_extra), R' at the temperature found")
                .input("I", at)
                .input("R' x loop", self.wire)
                .input("R_device", in_device)
                .input("R_joints", q.joints)
                .input("R_extra", q.extra)
        });
        rec.step(|| {
            let formula = q.rules.drop_formula();
            Step::new("Drop by the rule set's formula", "dU_rule", self.rule_drop)
                .formula(format!(
                    "rho x loop x I / A with rho = {} ohm mm2/m",
                    orlop_units::significant(formula.value, 4)
                ))
                .input("loop", q.run.0)
                .input("A", self.conductor.area())
                .input("from", formula.clause)
        });
        if let Some(far_end) = self.far_end {
            rec.step(|| {
                Step::new("Least fault current at the far end", "I_k", far_end)
                    .formula(
                        "U_lowest / (R_source + R' x loop + R_joints), conductor at its insulation rating",
                    )
                    .input("R' x loop", self.wire_hot)
                    .input("U_lowest", q.supply.lowest)
            });
        }
    }

    /// The device taken, if any.
    #[must_use]
    pub fn taken(&self) -> Option<&Device> {
        self.device.as_ref().ok().and_then(Option::as_ref)
    }

    /// Lowest fault current at the far end through the device taken, its own resistance counted.
    #[must_use]
    pub fn far_end_through(&self, q: &CircuitQuestion) -> Option<Current> {
        match (self.taken(), self.need(q)) {
            (Some(device), Ok(need)) => need.fault_low_through(device),
            _ => self.far_end,
        }
    }

    /// Resistance of everything in the circuit, warm.
    #[must_use]
    pub fn resistance(&self, q: &CircuitQuestion) -> Resistance {
        self.wire + self.taken().map_or(ohms(0.0), warm_resistance) + q.joints + q.extra
    }
}

/// Resistance of a device in service: the upper end of what is known, else nothing.
pub(super) fn warm_resistance(device: &Device) -> Resistance {
    device.resistance().and_then(crate::Range::high).unwrap_or_else(|| ohms(0.0))
}

impl CircuitQuestion {
    /// The question to the rule set's table.
    #[must_use]
    pub fn ampacity_question(&self) -> AmpacityQuestion {
        AmpacityQuestion {
            rules: self.rules,
            options: self.options,
            space: self.space,
            bundled: self.bundled,
            ambient: self.ambient,
        }
    }

    /// Ambient on the way; where nobody says more, that of the rule set.
    #[must_use]
    pub fn run_ambient(&self) -> Temperature {
        self.ambient.unwrap_or(match self.space {
            crate::conductor::SpaceKind::Outside => REFERENCE_AMBIENT,
            crate::conductor::SpaceKind::Engine => ENGINE_AMBIENT,
        })
    }

    /// Ambient where the device stands.
    #[must_use]
    pub fn device_place(&self) -> Temperature {
        self.device_ambient.unwrap_or_else(|| self.run_ambient())
    }

    /// What the rule set allows a device on a conductor of this ampacity.
    fn device_limit_of(&self, ampacity: &Result<Ampacity, Error>) -> Option<Current> {
        let factor: Fraction = self.rules.device_limit(&self.options).value;
        ampacity.as_ref().ok().map(|a| a.current * factor.value())
    }

    fn next_standard(&self, ampacity: Current) -> Option<Current> {
        use crate::rules::{DeviceRating, RuleSetId};
        (self.rules == RuleSetId::UsSmallCraft && self.options.device_rating == DeviceRating::NextStandard)
            .then_some(ampacity)
    }
}
