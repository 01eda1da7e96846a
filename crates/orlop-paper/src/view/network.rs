//! The boat as one network, ready to print: volts, dips, fault currents, coordination, single failures, copper.

use super::Trust;
use serde::Serialize;

/// Everything that the network of the boat tells.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Network {
    /// Banks, panels, converters and charging sources with their volts.
    pub places: Vec<PlaceVolts>,
    /// Loads with their volts.
    pub loads: Vec<LoadVolts>,
    /// The way to the loads that use most of what they may.
    pub waterfalls: Vec<Waterfall>,
    /// What each start, stall or short peak does to others.
    pub dips: Vec<Dip>,
    /// Fault currents.
    pub faults: Faults,
    /// Which device opens, and whether it can.
    pub coordination: Coordination,
    /// What goes dark when one part fails.
    pub failures: Failures,
    /// What choosing all conductors together saves.
    pub copper: Option<Copper>,
}

/// Volts at a bank, panel, converter or charging source.
#[derive(Clone, Debug, Serialize)]
pub struct PlaceVolts {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Bank, panel or source, where its name does not say so.
    pub kind: &'static str,
    /// Lowest volts; "dark" where it never has any.
    pub lowest: String,
    /// When that is.
    pub lowest_when: String,
    /// Highest volts.
    pub highest: String,
    /// When that is.
    pub highest_when: String,
}

/// Volts at a load while it is on.
#[derive(Clone, Debug, Serialize)]
pub struct LoadVolts {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Lowest volts, or why there are none.
    pub lowest: String,
    /// When that is.
    pub lowest_when: String,
    /// Highest volts.
    pub highest: Option<String>,
    /// The lowest voltage that it works at, when stated.
    pub minimum: Option<String>,
    /// Volts above it.
    pub margin: Option<String>,
    /// Whether it does not get what it needs.
    pub short: bool,
}

/// The way from the source to one load, in the case of its lowest voltage; volts.
#[derive(Clone, Debug, Serialize)]
pub struct Waterfall {
    /// Id of the load.
    pub load: String,
    /// Its name.
    pub name: String,
    /// The case.
    pub case: String,
    /// Id of where the way begins.
    pub root: String,
    /// Its name.
    pub root_name: String,
    /// Volts there.
    pub from: f64,
    /// Volts at the load.
    pub at_load: f64,
    /// Volts that the limit of the drop leaves.
    pub limit: Option<f64>,
    /// Lowest volts at which the load works.
    pub minimum: Option<f64>,
    /// Its steps, from the source to the load.
    pub steps: Vec<DropStep>,
}

/// One step of a way; volts.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DropStep {
    /// The circuit.
    pub circuit: String,
    /// Conductor, device, joints, switch.
    pub part: String,
    /// Volts lost.
    pub drop: f64,
    /// Volts left behind it.
    pub left: f64,
}

/// What one moment of one load does to the worst hit of the others.
#[derive(Clone, Debug, Serialize)]
pub struct Dip {
    /// The load that starts, stalls or peaks.
    pub cause: String,
    /// Its name.
    pub cause_name: String,
    /// Start, stall, peak.
    pub state: String,
    /// The load that is hit worst.
    pub victim: String,
    /// Its name.
    pub victim_name: String,
    /// When.
    pub case: String,
    /// Volts at it before.
    pub before: String,
    /// Volts in the moment; none when the network cannot carry it.
    pub during: Option<String>,
    /// What of the dip the bank's own resistance takes.
    pub in_bank: Option<String>,
    /// The lowest volts that it works at, when stated.
    pub minimum: Option<String>,
    /// What that means.
    pub verdict: String,
    /// Whether it drops out.
    pub short: bool,
    /// The deepest dip of all where it is at another load.
    pub deepest: Option<String>,
}

/// Fault currents at places and through devices.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Faults {
    /// At places.
    pub nodes: Vec<NodeFault>,
    /// Through devices.
    pub devices: Vec<DeviceFault>,
    /// Notes on both; their numbers count from 1.
    pub notes: Vec<String>,
}

/// Current into a bolted fault at one place.
#[derive(Clone, Debug, Serialize)]
pub struct NodeFault {
    /// Its id; for a far end that of its circuit.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Bank, panel, source, far end, where its name does not say so.
    pub kind: &'static str,
    /// Least.
    pub low: String,
    /// Most.
    pub high: String,
    /// What capacitors add in the first instant.
    pub pulse: Option<String>,
    /// Numbers of the notes on it.
    pub notes: Vec<usize>,
}

/// Fault currents through one device.
#[derive(Clone, Debug, Serialize)]
pub struct DeviceFault {
    /// The circuit.
    pub id: String,
    /// Its name.
    pub name: String,
    /// The device.
    pub device: String,
    /// Whether there is none though one is needed.
    pub missing: bool,
    /// What it must open on.
    pub opens_on: String,
    /// What it must break.
    pub breaks: String,
    /// What flows backward through it.
    pub back: Option<String>,
    /// What it can break.
    pub capacity: String,
    /// Whether that is enough; none where one of both is not known.
    pub enough: Option<bool>,
    /// Numbers of the notes on it.
    pub notes: Vec<usize>,
}

/// Which device opens, and whether it can.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Coordination {
    /// One time-current chart for each device that feeds others.
    pub charts: Vec<Chart>,
    /// One bar for each circuit.
    pub bars: Vec<Bar>,
    /// Devices in series.
    pub pairs: Vec<Pair>,
}

/// A time-current chart: devices in series, from the bank on.
#[derive(Clone, Debug, Serialize)]
pub struct Chart {
    /// What it shows.
    pub title: String,
    /// The bands, the one nearest the bank first.
    pub bands: Vec<Band>,
    /// Least fault current through the last device, in amperes.
    pub low: Option<f64>,
    /// Most fault current through it, in amperes.
    pub high: Option<f64>,
    /// How the last two devices behave.
    pub verdict: String,
}

/// The time-current band of one device; amperes and seconds.
#[derive(Clone, Debug, Serialize)]
pub struct Band {
    /// The circuit.
    pub id: String,
    /// Its name.
    pub name: String,
    /// The device.
    pub device: String,
    /// How far its band can be trusted.
    pub trust: Trust,
    /// The fastest edge.
    pub fastest: Vec<(f64, f64)>,
    /// The slowest edge; empty where the standard promises nothing.
    pub slowest: Vec<(f64, f64)>,
}

/// What bounds the device of one circuit, in amperes.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Bar {
    /// The circuit.
    pub id: String,
    /// Its name.
    pub name: String,
    /// The device.
    pub device: String,
    /// Design current.
    pub design: Option<f64>,
    /// Ratings that fit, from the least to the largest.
    pub fits: Option<(f64, f64)>,
    /// The rating.
    pub rating: Option<f64>,
    /// Starts that must be held.
    pub held: Vec<f64>,
    /// Least current at which it surely opens in time.
    pub opens: Option<f64>,
    /// Lower fault current.
    pub low: Option<f64>,
    /// Upper fault current.
    pub high: Option<f64>,
    /// Breaking capacity.
    pub breaking: Option<f64>,
    /// What stands the wrong way round, in words.
    pub wrong: Vec<String>,
}

/// Devices behind one other device that behave alike.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Pair {
    /// The circuit nearer to the bank.
    pub upstream: String,
    /// The circuits behind it.
    pub downstream: Vec<String>,
    /// Upper fault current, from the least to the most of them.
    pub fault: String,
    /// Selective up to this current.
    pub up_to: String,
    /// Selective, not decided, not selective, not known.
    pub verdict: &'static str,
    /// Whether it is known to fail.
    pub fails: bool,
    /// The reason.
    pub why: String,
    /// How far the bands can be trusted.
    pub trust: Trust,
}

/// What goes dark when one part fails.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Failures {
    /// Parts that take loads needed for safety with them.
    pub rows: Vec<FailureRow>,
    /// Parts that take nothing with them, because others carry on.
    pub harmless: Vec<String>,
    /// Number of parts that take only other loads with them.
    pub others: usize,
    /// Whether any load is marked as needed for safety.
    pub any_essential: bool,
}

/// One part that takes loads needed for safety with it.
#[derive(Clone, Debug, Serialize)]
pub struct FailureRow {
    /// The part.
    pub part: String,
    /// What it is.
    pub kind: &'static str,
    /// Loads needed for safety that go dark.
    pub essential: Vec<String>,
    /// Number of other loads that go dark.
    pub others: usize,
}

/// What choosing all conductors together saves.
#[derive(Clone, Debug, Serialize)]
pub struct Copper {
    /// Mass when drops are shared out.
    pub by_split: String,
    /// Mass when all are chosen together.
    pub by_least: String,
    /// The difference.
    pub saved: String,
    /// How sure it is that there is no lighter choice, as a sentence.
    pub proof: String,
    /// Which of both this report is about, as a sentence.
    pub used: String,
    /// Circuits whose conductors differ.
    pub rows: Vec<CopperRow>,
    /// What 0.1 V more at loads would save, the most first: circuit, its name, mass.
    pub prices: Vec<(String, String, String)>,
}

/// A circuit whose conductors differ.
#[derive(Clone, Debug, Serialize)]
pub struct CopperRow {
    /// The circuit.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Conductor when drops are shared out.
    pub split: String,
    /// Conductor when all are chosen together.
    pub least: String,
    /// What that saves; below zero where it costs.
    pub saved: String,
}
