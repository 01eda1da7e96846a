//! What is asked of one circuit.

use crate::choice::choice;
use crate::conductor::{Duty, Material, SpaceKind};
use crate::error::{Error, not_negative, positive};
use crate::protection::Device;
use crate::range::Range;
use crate::rules::{RuleOptions, RuleSetId};
use orlop_units::{
    ConductorSize, Current, Fraction, Loop, Quantity, Resistance, SizeSystem, Temperature, Time, Voltage,
    amperes, ohms, seconds,
};

choice! {
    /// What can ask for a larger conductor. Ties go to the first in this order.
    Criterion {
        /// Ampacity of the rule set, and the heat balance.
        Heat = "heat",
        /// A device that carries the load and protects the conductor.
        Protection = "protection",
        /// Voltage drop, physical and by the rule set's formula.
        Drop = "drop",
        /// Smallest area the rule set allows.
        Mechanical = "mechanical",
        /// Smallest conductor that the owner or a terminal allows.
        Termination = "termination",
    }
}

/// The volts that a circuit may drop at a current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Budget {
    /// Current at which the drop is taken.
    pub current: Current,
    /// Volts for the physical drop: conductor, device and joints.
    pub physical: Voltage,
    /// Volts for the drop by the rule set's formula.
    pub rule: Voltage,
}

/// What stands behind the circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Supply {
    /// Fault current where the circuit begins: high for breaking, low for clearing.
    pub fault: Range<Current>,
    /// Lowest voltage of the source, with which the lower fault current goes.
    pub lowest: Voltage,
    /// Highest voltage with sources charging.
    pub highest: Voltage,
    /// Most the source delivers, when it limits its own current.
    pub limit: Option<Current>,
}

impl Supply {
    /// A source of which only the nominal voltage is known: lowest 90 %, highest 125 % of it (common practice), no fault
    /// current.
    ///
    /// # Errors
    /// [`Error::Input`] for a voltage that is not above zero.
    pub fn nominal(nominal: Voltage) -> Result<Self, Error> {
        positive(nominal, "nominal")?;
        Ok(Self {
            fault: Range::from_bounds(None, None),
            lowest: nominal * 0.9,
            highest: nominal * 1.25,
            limit: None,
        })
    }
}

/// One circuit to be sized.
#[derive(Clone, Debug, PartialEq)]
pub struct CircuitQuestion {
    /// Continuous maximum current.
    pub current: Current,
    /// Out and back.
    pub run: Loop,
    /// Permitted drop; none means that drop is judged elsewhere.
    pub budget: Option<Budget>,
    /// The rule set.
    pub rules: RuleSetId,
    /// Its switches.
    pub options: RuleOptions,
    /// Series to choose from.
    pub sizes: SizeSystem,
    /// Insulation rating.
    pub insulation: Temperature,
    /// Conductor material.
    pub material: Material,
    /// Tinned strands.
    pub tinned: bool,
    /// Conductors in a common sheath.
    pub sheathed: bool,
    /// Whether engine-space factors apply.
    pub space: SpaceKind,
    /// Ambient temperature on the way; none takes the rule set's own for the space.
    pub ambient: Option<Temperature>,
    /// Current-carrying conductors that lie together, the own pair included.
    pub bundled: u32,
    /// How long the current flows at a stretch.
    pub duty: Duty,
    /// All joints of the circuit together.
    pub joints: Resistance,
    /// Switches and the like in the circuit.
    pub extra: Resistance,
    /// Short high currents: the device must hold them.
    pub inrush: Vec<(Current, Time)>,
    /// What stands behind it.
    pub supply: Supply,
    /// Families of devices in order of preference.
    pub families: Vec<String>,
    /// Ambient where the device stands; none takes that of the run.
    pub device_ambient: Option<Temperature>,
    /// Other upper limits of the device: bus, switch, the load's maker.
    pub device_limits: Vec<(String, Current)>,
    /// Neither protection nor ampacity clauses bind (starter motors).
    pub exempt: bool,
    /// A given conductor.
    pub size: Option<ConductorSize>,
    /// Smallest conductor that may be chosen.
    pub minimum_size: Option<ConductorSize>,
    /// A given device.
    pub device: Option<Device>,
    /// Whether the drop is kept at the top of the window of every smaller device, too, so that no smaller load would get a
    /// larger conductor. Where sizes are chosen for a whole tree there is no such order to keep.
    pub steady: bool,
}

/// Longest time within which a device must open on a fault at the far end.
pub(in crate::circuit) fn clear_within() -> Time {
    seconds(5.0)
}

impl CircuitQuestion {
    /// A plain circuit: 105 degC tinned copper, continuous, alone, outside, no drop limit, no device.
    #[must_use]
    pub fn new(current: Current, run: Loop, rules: RuleSetId, sizes: SizeSystem, supply: Supply) -> Self {
        Self {
            current,
            run,
            budget: None,
            rules,
            options: RuleOptions::default(),
            sizes,
            insulation: Temperature::celsius(105.0),
            material: Material::Copper,
            tinned: true,
            sheathed: false,
            space: SpaceKind::Outside,
            ambient: None,
            bundled: 1,
            duty: Duty::Continuous,
            joints: ohms(0.0),
            extra: ohms(0.0),
            inrush: Vec::new(),
            supply,
            families: Vec::new(),
            device_ambient: None,
            device_limits: Vec::new(),
            exempt: false,
            size: None,
            minimum_size: None,
            device: None,
            steady: true,
        }
    }

    /// Permits a drop as a share of nominal, less what is lost upstream.
    ///
    /// # Errors
    /// [`Error::Input`] when nothing is left of the drop, or the share is not between 0 and 100 %.
    pub fn permit(mut self, share: Fraction, nominal: Voltage, upstream: Voltage) -> Result<Self, Error> {
        positive(nominal, "nominal")?;
        not_negative(upstream, "upstream_drop")?;
        if !(share.value() > 0.0 && share.value() < 1.0) {
            return Err(Error::input(
                "max_drop",
                orlop_units::show(share),
                "a percentage between 0 % and 100 %",
            ));
        }
        let left = nominal * share.value() - upstream;
        if left.si() <= 0.0 {
            return Err(Error::Input {
                field: "upstream_drop".into(),
                got: orlop_units::show(upstream),
                expected: format!("less than the permitted {}", orlop_units::show(nominal * share.value())),
                hint: "the conductors before this circuit use up the whole drop: enlarge those first".into(),
            });
        }
        self.budget = Some(Budget { current: self.current, physical: left, rule: left });
        Ok(self)
    }

    /// Refuses what cannot be computed.
    ///
    /// # Errors
    /// [`Error::Input`] naming the field.
    pub fn check(&self) -> Result<(), Error> {
        positive(self.current, "current")?;
        positive(self.run.0, "loop")?;
        not_negative(self.joints, "joints")?;
        not_negative(self.extra, "extra_resistance")?;
        if self.bundled == 0 {
            return Err(Error::input("bundled", "0", "the number of current-carrying conductors, 1 or more"));
        }
        for (current, time) in &self.inrush {
            positive(*current, "inrush")?;
            positive(*time, "inrush time")?;
        }
        positive(self.supply.lowest, "lowest voltage")?;
        positive(self.supply.highest, "highest voltage")?;
        for bound in
            [self.supply.fault.low(), self.supply.fault.high(), self.supply.limit].into_iter().flatten()
        {
            positive(bound, "fault")?;
        }
        if let Some(budget) = &self.budget {
            positive(budget.current, "drop current")?;
            positive(budget.physical, "permitted drop")?;
            positive(budget.rule, "permitted drop")?;
        }
        Ok(())
    }

    /// Lowest fault current at the far end: source, conductor at its insulation rating, joints.
    pub(super) fn far_end_fault(&self, wire_hot: Resistance) -> Option<Current> {
        let supply = self.supply;
        let way = wire_hot.si() + self.joints.si() + self.extra.si();
        if let Some(limit) = supply.limit {
            return Some(amperes((supply.lowest.si() / way).min(limit.si())));
        }
        let source = supply.lowest.si() / supply.fault.low()?.si();
        Some(amperes(supply.lowest.si() / (source + way)))
    }
}
