//! One circuit as a resistance: its conductor at any temperature, device, joints and switches.

use crate::model::{Boat, Run};
use crate::route::Routes;
use crate::sized::SizedCircuit;
use orlop::Range;
use orlop::conductor::{Conductor, Duty};
use orlop::protection::Device;
use orlop::proving::resistance::Cable;
use orlop_units::{Current, Loop, Quantity, Resistance, Temperature, ohms};

/// How cold it gets where the boat file does not say: frost. A lower one would raise upper fault currents by 0.4 % a kelvin
/// of what the cables contribute.
const WINTER: Temperature = Temperature::celsius(0.0);
/// Volts that a sound fuse or breaker of which nothing more is known loses at its rating, at least and at most: from memory.
pub(super) const AT_RATING: (f64, f64) = (0.06, 0.14);

/// What a circuit is made of.
#[derive(Clone, Debug)]
pub(crate) struct Wire {
    conductor: Conductor,
    device: Option<Range<Resistance>>,
    run: Loop,
    runs: f64,
    alone: bool,
    joints: Range<Resistance>,
    extra: Resistance,
    ambient: Temperature,
    coldest: Temperature,
    bundled: u32,
    duty: Duty,
}

/// What drops volts in a circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum DropPart {
    /// Both legs of the conductor.
    Conductor,
    /// The fuse or breaker.
    Device,
    /// Lugs: two on each leg.
    Joints,
    /// Switches and what else the file states.
    Switch,
}

impl DropPart {
    /// All parts, in the order of papers.
    pub const ALL: [Self; 4] = [Self::Conductor, Self::Device, Self::Joints, Self::Switch];
    /// The word in tables.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Conductor => "conductor",
            Self::Device => "device",
            Self::Joints => "joints",
            Self::Switch => "switch",
        }
    }
}

impl Wire {
    /// Every circuit of a boat, in the order of the file.
    pub fn all(boat: &Boat, routes: &Routes, circuits: &[SizedCircuit]) -> Vec<Self> {
        let each = boat.circuits.iter().zip(&routes.circuits).zip(circuits);
        each.map(|((circuit, route), sized)| {
            let stated: &[String] = match &circuit.run {
                Run::OneWay { spaces, .. } => spaces,
                Run::Trunks { .. } | Run::Shortest { .. } => &[],
            };
            let along = route.segments.iter().map(|s| &s.space).chain(stated).chain([&route.space]);
            let winters = along.filter_map(|id| boat.space(id)).filter_map(|s| s.winter);
            Self {
                conductor: sized.conductor.clone(),
                device: sized.device.as_ref().and_then(Device::resistance),
                run: sized.one_way.there_and_back(),
                runs: f64::from(circuit.runs.max(1)),
                alone: circuit.alone,
                joints: Range::new(boat.joint.low() * JOINTS, boat.joint.high() * JOINTS),
                extra: circuit.extra_resistance.unwrap_or_else(|| ohms(0.0)),
                ambient: sized.ambient,
                coldest: winters.reduce(Temperature::min).unwrap_or(WINTER).min(sized.ambient),
                bundled: sized.bundled,
                duty: circuit.duty,
            }
        })
        .collect()
    }

    /// One leg of the conductor of one run.
    pub fn leg_of_conductor(&self, metal: Temperature) -> Resistance {
        self.part(DropPart::Conductor, metal) / 2.0
    }
    /// Least and most of one lug, in ohms.
    pub fn lug(&self) -> (f64, f64) {
        let end = |r: Option<Resistance>| r.map_or(0.0, Quantity::si) / JOINTS;
        (end(self.joints.low()), end(self.joints.high()))
    }
    /// Least and most of the device, in ohms, where a source gives it.
    pub fn device_ends(&self) -> Option<(f64, f64)> {
        let range = self.device?;
        Some((range.low()?.si(), range.high()?.si()))
    }
    /// The switch that the file states, in ohms.
    pub fn stated_switch(&self) -> Option<f64> {
        Some(self.extra.si()).filter(|r| *r > 0.0)
    }
    /// So many of its cables side by side at a joint.
    pub fn cable(&self, metal: Temperature, count: f64) -> Cable {
        Cable {
            resistance: self.conductor.resistance_per_length(metal),
            area: self.conductor.area(),
            outside_diameter: self.conductor.outside_diameter(),
            count: count.round().max(1.0) as u32,
        }
    }

    /// Runs that share the current in service.
    pub fn sharing(&self) -> f64 {
        if self.alone { 1.0 } else { self.runs }
    }
    /// Runs side by side.
    pub fn runs(&self) -> f64 {
        self.runs
    }
    /// Lugs of one run, all together.
    pub fn lugs(&self) -> Range<Resistance> {
        self.joints
    }
    /// The device, from cold to hot; none where there is none or nothing is known of it.
    pub fn device(&self) -> Option<Range<Resistance>> {
        self.device
    }
    pub fn ambient(&self) -> Temperature {
        self.ambient
    }

    /// What one run loses volts in, in service, at a temperature of the metal.
    pub fn part(&self, part: DropPart, metal: Temperature) -> Resistance {
        match part {
            DropPart::Conductor => self.conductor.resistance_per_length(metal) * self.run.0,
            DropPart::Device => self.device.and_then(Range::high).unwrap_or_else(|| ohms(0.0)),
            DropPart::Joints => self.joints.high().unwrap_or_else(|| ohms(0.0)),
            DropPart::Switch => self.extra,
        }
    }

    /// One run in service.
    pub fn resistance(&self, metal: Temperature) -> Resistance {
        let all: f64 = DropPart::ALL.iter().map(|p| self.part(*p, metal).si()).sum();
        ohms(all.max(LEAST))
    }

    /// The positive and the negative leg of one run, each from the least to the most of a sound one: device and switch are in the
    /// positive leg, lugs and conductor half in each.
    pub fn legs(&self, metal: Temperature) -> (Range<Resistance>, Range<Resistance>) {
        let conductor = self.part(DropPart::Conductor, metal) / 2.0;
        let end = |r: Option<Resistance>| r.unwrap_or_else(|| ohms(0.0));
        let device = self.device.map_or((ohms(0.0), ohms(0.0)), |d| (end(d.low()), end(d.high())));
        let low = conductor + end(self.joints.low()) / 2.0;
        let high = conductor + end(self.joints.high()) / 2.0;
        (Range::new(low + device.0 + self.extra, high + device.1 + self.extra), Range::new(low, high))
    }

    /// The whole circuit, in both corners of fault currents: cold and least with every run closed, hot and most with one alone
    /// where one alone must do.
    pub fn bounds(&self) -> Range<Resistance> {
        let device = self.device.and_then(Range::low).unwrap_or_else(|| ohms(0.0));
        let joints = self.joints.low().unwrap_or_else(|| ohms(0.0));
        let cold = self.part(DropPart::Conductor, self.coldest) + device + joints + self.extra;
        let hot = self.hottest() / self.sharing();
        Range::new(ohms((cold.si() / self.runs).max(LEAST)), ohms(hot.si().max(LEAST)))
    }

    /// One run at its highest: the metal at the insulation's rating.
    pub fn hottest(&self) -> Resistance {
        self.resistance(self.conductor.insulation())
    }

    /// Where the metal of one run settles under a current of the whole circuit; its insulation's rating where it would not settle.
    pub fn temperature(&self, current: Current) -> Temperature {
        let own = current / self.sharing();
        if own.si() <= 0.0 {
            return self.ambient;
        }
        let rated = self.conductor.insulation();
        let settled = self.conductor.warming(own, self.ambient, self.bundled, self.duty);
        settled.map_or(rated, |s| s.temperature.min(rated))
    }
}

/// Lugs of a circuit: two on each leg.
const JOINTS: f64 = 4.0;
/// No circuit counts as less: zero would make two nodes one.
const LEAST: f64 = 1e-9;
