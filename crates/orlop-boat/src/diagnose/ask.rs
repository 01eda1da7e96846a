//! What could be read or tried on this boat: with which meter, in how many minutes.

use super::reading::{Spot, What, When, Where};
use super::scene::Scene;
use orlop::{Citation, Confidence};

/// Meters and minutes that are assumed where the asker states no uncertainty.
pub static METERS: Citation = Citation::fixed(
    "fault-meters",
    "trade practice of fault finding on boats",
    "",
    "",
    "hand-held meters: gain within 0.5 % and common to all volts, 1 mV and 0.1 % each; clamp 2 % and 50 mA; ohms 0.1 ohm; rise 2 K",
    Confidence::CommonPractice,
    "usual data sheets of hand-held meters recalled; minutes are guesses",
);

/// Standard deviation of the gain of a voltmeter, common to all its readings: limits of 0.5 %, taken as two standard deviations.
pub(super) const GAIN: f64 = 0.0025;
/// Ohms of test leads, and the least that an ohmmeter tells apart.
const LEADS: f64 = 0.1;

/// One thing to read.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Probe {
    pub place: Where,
    /// Standard uncertainty: share of the reading, and the least.
    pub relative: f64,
    pub least: f64,
    /// How long it takes.
    pub minutes: f64,
}

/// One thing to try.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Trial {
    pub place: Where,
    pub minutes: f64,
}

/// A value as the model counts it: ohms by their logarithm, all else as it is.
pub(super) fn counted(what: What, value: f64) -> f64 {
    if what == What::Resistance { (value + LEADS).ln() } else { value }
}

/// Back again.
pub(super) fn uncounted(what: What, value: f64) -> f64 {
    if what == What::Resistance { (value.exp() - LEADS).max(0.0) } else { value }
}

/// Standard uncertainty of a reading as the model counts it.
pub(super) fn standard(probe: &Probe, value: f64, stated: Option<f64>) -> f64 {
    if probe.place.what == What::Resistance {
        let own = stated.unwrap_or(LEADS.hypot(0.01 * value));
        return own / (value + LEADS);
    }
    stated.unwrap_or((probe.relative * value.abs()).hypot(probe.least))
}

impl Scene<'_> {
    /// Every value that could be read.
    pub fn probes(&self) -> Vec<Probe> {
        let mut out = Vec::new();
        let mut add = |what, at: &str, spot, when, relative, least, minutes| {
            let place = Where { what, at: at.into(), spot, when };
            out.push(Probe { place, relative, least, minutes });
        };
        let bank = self.anatomy.nodes[self.bank_node].clone();
        for node in &self.nodes {
            let at = self.address(*node);
            let minutes = if at == bank { 3.0 } else { 4.0 };
            add(What::Voltage, &at, None, When::On, 0.001, 1e-3, minutes);
            if self.before.is_some() {
                add(What::Voltage, &at, None, When::Before, 0.001, 1e-3, minutes);
            }
            if at != bank {
                add(What::Voltage, &at, None, When::Off, 0.001, 1e-3, minutes);
                add(What::Voltage, &at, None, When::Isolated, 0.001, 1e-3, 6.0);
            }
        }
        add(What::Voltage, &bank, None, When::Off, 0.001, 1e-3, 3.5);
        add(What::RestDifference, &bank, None, When::Off, 0.001, 1e-3, 8.0);
        add(What::Current, &bank, None, When::Off, 0.02, 0.02, 5.0);
        if !self.chargers.is_empty() {
            add(What::Voltage, &bank, None, When::Charging, 0.001, 1e-3, 8.0);
        }
        for (_, c) in &self.chargers {
            let at = format!("circuit.{}", self.boat.circuits[*c].id);
            add(What::Current, &at, None, When::Charging, 0.02, 0.05, 8.0);
        }
        for load in &self.complained {
            let at = format!("load.{}", self.boat.loads[*load].id);
            add(What::Drop, &at, None, When::On, 0.001, 1e-3, 6.0);
            add(What::Resistance, &at, None, When::Isolated, 0.01, LEADS, 8.0);
        }
        for c in &self.blamed {
            let at = format!("circuit.{}", self.boat.circuits[*c].id);
            add(What::Drop, &at, None, When::On, 0.001, 1e-3, 6.0);
            add(What::Current, &at, None, When::On, 0.02, 0.05, 4.0);
            for spot in [Spot::Positive, Spot::Negative] {
                add(What::Drop, &at, Some(spot), When::On, 0.001, 1e-3, 5.0);
                add(What::Resistance, &at, Some(spot), When::Isolated, 0.01, LEADS, 10.0);
            }
            if self.has_device(*c) || self.anatomy.parts[*c].switch > 0.0 {
                add(What::Drop, &at, Some(Spot::Supply), When::On, 0.001, 1e-3, 5.0);
            }
            for spot in self.spots(*c) {
                add(What::Drop, &at, Some(spot), When::On, 0.001, 1e-3, 5.0);
                add(What::Rise, &at, Some(spot), When::On, 0.0, 2.0, 5.0);
            }
        }
        out
    }

    /// Joints, device and switch of a circuit.
    pub fn spots(&self, c: usize) -> Vec<Spot> {
        let mut spots = vec![Spot::StartPositive, Spot::EndPositive, Spot::StartNegative, Spot::EndNegative];
        if self.has_device(c) {
            spots.push(Spot::Device);
        }
        if self.anatomy.parts[c].switch > 0.0 {
            spots.push(Spot::Switch);
        }
        spots
    }

    pub fn has_device(&self, c: usize) -> bool {
        self.design.circuits[c].device.is_some()
    }

    /// Everything that could be tried.
    pub fn trials(&self) -> Vec<Trial> {
        let mut out = Vec::new();
        let mut add = |what, at: String, minutes| {
            out.push(Trial { place: Where { what, at, spot: None, when: When::On }, minutes });
        };
        for c in self.blamed.iter().filter(|c| self.has_device(**c)) {
            let at = format!("circuit.{}", self.boat.circuits[*c].id);
            add(What::Look, at.clone(), 3.0);
            add(What::Swap, at, 6.0);
        }
        for load in &self.complained {
            add(What::Direct, format!("load.{}", self.boat.loads[*load].id), 12.0);
        }
        for load in &self.others {
            add(What::Try, format!("load.{}", self.boat.loads[*load].id), 3.0);
        }
        out
    }
}
