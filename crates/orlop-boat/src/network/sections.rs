//! A circuit in pieces between which a meter can be held: lugs, device, switch and conductor of each leg.

use super::wire::{AT_RATING, Wire};
use crate::found::{Leg, LegPart};
use orlop::proving::resistance::{Cable, Part, PartKind};
use orlop_units::{Current, Fraction, Quantity, Resistance, Temperature, TemperatureRise, amperes, ohms};

/// Standard uncertainty of a length and a size taken from the boat file, as a share: common practice.
const LENGTH: f64 = 0.06;
/// Change of copper's resistance with temperature, as a share a kelvin, near enough for an uncertainty.
const PER_KELVIN: f64 = 0.004;
/// The coldest that a conductor is expected to be on the day of a test.
const COLD: Temperature = Temperature::celsius(10.0);
/// The most that a sound lug has where the file does not say more: trade practice.
const LUG: f64 = 0.2e-3;
/// The most that a sound switch has where the file does not say more: trade practice.
const SWITCH: f64 = 1e-3;

/// One piece, all runs side by side as one.
#[derive(Clone, Debug)]
pub(crate) struct Section {
    pub leg: Leg,
    pub part: LegPart,
    pub expected: Resistance,
    pub kind: PartKind,
    pub cable: Cable,
}

impl Section {
    /// The most that a sound one has.
    pub fn sound_to(&self) -> Resistance {
        let part = Part { id: String::new(), kind: self.kind, expected: self.expected, design: amperes(1.0) };
        part.sound_to()
    }
}

impl Wire {
    /// The pieces of a circuit, from its source out and back, as they should be at a current of all its runs.
    ///
    /// `rated` is that of the device of one run; a switch is a piece where the file states one or `switch` says that there is one.
    pub fn sections(&self, current: Current, rated: Option<Current>, switch: bool) -> Vec<Section> {
        let runs = self.runs();
        let warm = self.temperature(current).max(COLD);
        let half = warm.minus(COLD).in_kelvins() / 2.0;
        let metal = COLD.plus(TemperatureRise::kelvins(half));
        let within = LENGTH.hypot(PER_KELVIN * half / 3.0_f64.sqrt());
        let cable = |count: f64| self.cable(metal, count * runs);
        let joint = |low: f64, high: f64| {
            (ohms((low + high) / 2.0 / runs), PartKind::Joint { sound_to: ohms(high / runs) })
        };
        let (lug_low, lug_high) = self.lug();
        let mut out = Vec::new();
        for leg in [Leg::Positive, Leg::Negative] {
            for part in LegPart::ALL.iter().copied() {
                let ((expected, kind), count) = match part {
                    LegPart::Start | LegPart::End => (joint(lug_low, lug_high.max(LUG)), 1.0),
                    LegPart::Conductor => {
                        let known_within = Fraction::new(within);
                        let one = self.leg_of_conductor(metal);
                        if one.si() <= 0.0 {
                            continue;
                        }
                        ((one / runs, PartKind::Conductor { known_within }), 2.0)
                    }
                    LegPart::Device if leg == Leg::Positive => match (self.device_ends(), rated) {
                        (Some((low, high)), _) => (joint(low, high), 2.0),
                        (None, Some(rated)) => {
                            (joint(AT_RATING.0 / rated.si(), AT_RATING.1 / rated.si()), 2.0)
                        }
                        (None, None) => continue,
                    },
                    LegPart::Switch if leg == Leg::Positive => match self.stated_switch() {
                        Some(stated) => (joint(0.8 * stated, (1.2 * stated).max(SWITCH)), 2.0),
                        None if switch => (joint(0.0, SWITCH), 2.0),
                        None => continue,
                    },
                    LegPart::Device | LegPart::Switch => continue,
                };
                out.push(Section { leg, part, expected, kind, cable: cable(count) });
            }
        }
        out
    }
}
