//! One circuit as it was sized: conductor, device, and what they were judged by.

use orlop::circuit::Criterion;
use orlop::conductor::Conductor;
use orlop::protection::{Device, Need};
use orlop::{Confidence, Range};
use orlop_units::{ConductorSize, Current, Mass, OneWay, Resistance, Temperature, Voltage};

/// How close a circuit is to one of the limits that size it.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Margin {
    /// Which criterion.
    pub criterion: Criterion,
    /// The smallest size that this criterion alone asks for; none when no standard size meets it.
    pub asks_for: Option<ConductorSize>,
    /// Room left over the limit for the size taken, as a share of it; negative means short of it.
    pub margin: Option<f64>,
}

/// Whether something stood in the file or was chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Origin {
    /// In the file.
    Given,
    /// Chosen here.
    Chosen,
}

/// One circuit with its conductor and device.
#[derive(Clone, Debug)]
pub struct SizedCircuit {
    /// Its id.
    pub id: String,
    /// The conductor of each leg.
    pub conductor: Conductor,
    /// Where the conductor comes from.
    pub conductor_origin: Origin,
    /// The device; none when none fits or none is needed.
    pub device: Option<Device>,
    /// Where the device comes from.
    pub device_origin: Origin,
    /// What the place asks of a device; none where no clause binds or the conductor has no ampacity.
    pub need: Option<Need>,
    /// Why there is no device, one line for each family or limit; empty when there is one.
    pub device_problems: Vec<String>,
    /// Lowest and highest rating that would do: 1.25 x design current, and what the conductor and others allow.
    pub device_window: (Current, Current),
    /// Length of one leg.
    pub one_way: OneWay,
    /// Continuous current it is sized for (of each run).
    pub design_current: Current,
    /// The case that gives it: `scenario@corner`.
    pub case: String,
    /// Hottest ambient on its way.
    pub ambient: Temperature,
    /// Current-carrying conductors that lie together.
    pub bundled: u32,
    /// Ampacity after all factors, when the rule set has one.
    pub ampacity: Option<Current>,
    /// Temperature the conductor settles at, upper end; none when it would not settle.
    pub temperature: Option<Temperature>,
    /// Resistance of both legs, device and joints, warm.
    pub resistance: Resistance,
    /// Drop in this circuit alone at its design current.
    pub drop: Voltage,
    /// Mass of both legs of all runs.
    pub mass: Mass,
    /// Fault current through its device for a fault just behind it: high with all sources, conductors cold; low with one string and
    /// all resistances at their highest.
    pub fault_start: Range<Current>,
    /// Lowest fault current through its device for a fault at its far end.
    pub fault_end: Option<Current>,
    /// What asks for the largest conductor.
    pub governed_by: Criterion,
    /// Every criterion with its margin.
    pub margins: Vec<Margin>,
    /// Weakest source the choice rests on.
    pub confidence: Confidence,
    /// Remarks: values between table cells, models outside published constants.
    pub flags: Vec<String>,
}
