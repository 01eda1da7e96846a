//! Why no device fits, and what would help.

use super::device::Device;
use super::family::Family;
use super::judge::{BREAKING, CARRIES, CLEARS, HOLDS, PROTECTS, VOLTAGE, WITHSTAND};
use super::need::{Need, Window};
use crate::error::Error;
use crate::judgement::Judgement;
use orlop_units::{ConductorSize, Current, LetThrough, Quantity, Resistance, Voltage, show};

/// One thing that would make a device fit.
#[derive(Clone, Debug, PartialEq)]
pub enum Remedy {
    /// The least upper limit must allow this rating.
    RaiseLimit {
        /// The reason of the limit: `conductor`, or another one's.
        limit: String,
        /// What it allows now.
        now: Current,
        /// The rating it must allow.
        at_least: Current,
    },
    /// The design current is beyond the family: another family, or parallel runs with a device each.
    LargerFamily {
        /// Lowest rating that is wanted, at the ambient.
        at_least: Current,
    },
    /// A cooler place: the rating would do if it were not derated.
    CoolerPlace {
        /// The rating that would do.
        rating: Current,
    },
    /// A family, or a declared device, for this DC voltage.
    HigherVoltage {
        /// The least DC voltage.
        at_least: Voltage,
    },
    /// A family, or a declared device, with this DC breaking capacity.
    HigherBreaking {
        /// The least DC breaking capacity.
        at_least: Current,
    },
    /// More fault current at the far end: a larger conductor, a shorter run, a source nearby.
    MoreFaultCurrent {
        /// The lowest fault current now.
        now: Current,
        /// What the smallest fitting device needs.
        at_least: Current,
    },
    /// A larger conductor, and the fault current at the far end that it gives.
    LargerConductor {
        /// The size now.
        from: ConductorSize,
        /// The larger size.
        size: ConductorSize,
        /// The lowest fault current now.
        now: Current,
        /// With the larger size.
        then: Current,
        /// What the smallest fitting device needs.
        at_least: Current,
    },
    /// A battery near the load.
    LocalBattery {
        /// Its largest resistance, leads included.
        at_most: Resistance,
        /// The fault current that it then gives at the load.
        gives: Current,
    },
    /// A device of a family that was not asked for.
    OtherFamily {
        /// The device.
        device: Box<Device>,
    },
    /// A device whose standard promises to open in time.
    PromisingFamily,
    /// A slower family, or a larger rating on a conductor that allows it.
    SlowerDevice {
        /// The current that must be held.
        current: Current,
    },
    /// A conductor that bears this let-through.
    MoreWithstand {
        /// What it bears now.
        now: LetThrough,
        /// What it must bear.
        at_least: LetThrough,
    },
}

impl std::fmt::Display for Remedy {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::RaiseLimit { limit, now, at_least } if limit == "conductor" => write!(
                f,
                "a larger conductor: one that allows {} instead of {} ({:.2} times)",
                show(*at_least),
                show(*now),
                at_least.si() / now.si()
            ),
            Self::RaiseLimit { limit, now, at_least } => {
                write!(f, "raise the limit '{limit}' from {} to {}", show(*now), show(*at_least))
            }
            Self::LargerFamily { at_least } => write!(
                f,
                "a family with ratings of {} and more, or parallel runs with a device each",
                show(*at_least)
            ),
            Self::CoolerPlace { rating } => {
                write!(f, "a cooler place, where {} need not be derated", show(*rating))
            }
            Self::HigherVoltage { at_least } => {
                write!(f, "a family or declared device rated for {} DC or more", show(*at_least))
            }
            Self::HigherBreaking { at_least } => {
                write!(f, "a family or declared device that breaks {} DC or more", show(*at_least))
            }
            Self::MoreFaultCurrent { now, at_least } => write!(
                f,
                "{} at the far end instead of {} ({:.2} times): a larger conductor, a shorter run, or a source nearby",
                show(*at_least),
                show(*now),
                at_least.si() / now.si()
            ),
            Self::SlowerDevice { current } => {
                write!(
                    f,
                    "a slower family, or a larger rating on a larger conductor, that holds {}",
                    show(*current)
                )
            }
            Self::LargerConductor { from, size, now, then, at_least } => {
                write!(f, "{size} instead of {from}: {}", super::effect::sentence(*now, *then, *at_least))
            }
            Self::LocalBattery { at_most, gives } => write!(
                f,
                "a battery near the load, of at most {} with its leads, draws {} into a short there, through a device of its own",
                show(*at_most),
                show(*gives)
            ),
            Self::OtherFamily { device } => write!(f, "another family fits: {device}"),
            Self::PromisingFamily => f.write_str("a family whose standard promises to open in time"),
            Self::MoreWithstand { now, at_least } => write!(
                f,
                "a conductor that bears {} instead of {} (about {:.2} times the area)",
                show(*at_least),
                show(*now),
                (at_least.si() / now.si()).sqrt()
            ),
        }
    }
}

/// Why one family was passed over.
#[derive(Clone, Debug, PartialEq)]
pub struct Refusal {
    /// The family's id.
    pub family: String,
    /// The device that came nearest, when any rating came into question.
    pub nearest: Option<Device>,
    /// The rule that failed first.
    pub rule: &'static str,
    /// The reason, in one sentence.
    pub why: String,
    /// What would help.
    pub remedies: Vec<Remedy>,
}

impl Refusal {
    /// No rating of the family lies in the window.
    pub(super) fn window(family: &'static Family, need: &Need, window: &Window) -> Self {
        let carried =
            |r: &Current| Device::of(family, *r).is_ok_and(|d| d.rating_at(need.ambient) >= window.lowest);
        let least = family.ratings.iter().copied().find(carried);
        let limit = window.governed_by().to_string();
        let largest = family.ratings.last().copied().unwrap_or(window.lowest);
        let (rule, why, remedies) = match least {
            Some(rating) => {
                let mut remedies =
                    vec![Remedy::RaiseLimit { limit: limit.clone(), now: window.highest, at_least: rating }];
                let cooler =
                    family.next_rating(window.lowest).filter(|r| *r < rating && *r <= window.highest);
                remedies.extend(cooler.map(|rating| Remedy::CoolerPlace { rating }));
                let why = format!(
                    "the design current of {} asks for {} at {}, so for the rating {}; {limit} allows {}",
                    show(need.design),
                    show(window.lowest),
                    show(need.ambient),
                    show(rating),
                    show(window.highest)
                );
                (PROTECTS, why, remedies)
            }
            None => {
                let why = format!(
                    "the largest rating, {}, does not carry {} at {}",
                    show(largest),
                    show(window.lowest),
                    show(need.ambient)
                );
                (CARRIES, why, vec![Remedy::LargerFamily { at_least: window.lowest }])
            }
        };
        Self { family: family.id.clone(), nearest: None, rule, why, remedies }
    }

    /// The nearest device fails a criterion.
    pub(super) fn criterion(device: &Device, need: &Need, failed: &Judgement) -> Self {
        let remedy = match failed.rule {
            VOLTAGE => Some(Remedy::HigherVoltage { at_least: need.voltage }),
            BREAKING => need.fault_high.map(|at_least| Remedy::HigherBreaking { at_least }),
            CLEARS => Some(match (need.fault_low_through(device), device.opens_within(need.clear_within)) {
                (Some(now), Some(at_least)) if now.si() > 0.0 => Remedy::MoreFaultCurrent { now, at_least },
                _ => Remedy::PromisingFamily,
            }),
            WITHSTAND => {
                let through = need.fault_low_through(device).and_then(|f| device.let_through(f).ok()?.high());
                need.withstand.zip(through).map(|(now, at_least)| Remedy::MoreWithstand { now, at_least })
            }
            HOLDS => need
                .inrush
                .iter()
                .map(|i| i.0)
                .reduce(Current::max)
                .map(|current| Remedy::SlowerDevice { current }),
            _ => None,
        };
        Self {
            family: device.family().id.clone(),
            nearest: Some(device.clone()),
            rule: failed.rule,
            why: failed.what.clone(),
            remedies: remedy.into_iter().collect(),
        }
    }
}

/// No device was chosen.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoDevice {
    /// The question itself cannot be answered.
    #[error(transparent)]
    Question(#[from] Error),
    /// No family fits; one refusal for each, in order of preference.
    #[error("no device fits: {}; what would help: {}", whys(.0), helps(.0))]
    NoneFits(Vec<Refusal>),
}

fn whys(refusals: &[Refusal]) -> String {
    let all: Vec<_> = refusals.iter().map(|r| format!("{}: {}", r.family, r.why)).collect();
    all.join("; ")
}

fn remedies_of(refusals: &[Refusal]) -> Vec<Remedy> {
    let mut all: Vec<Remedy> = Vec::new();
    for remedy in refusals.iter().flat_map(|r| &r.remedies) {
        if !all.contains(remedy) {
            all.push(remedy.clone());
        }
    }
    all
}

fn helps(refusals: &[Refusal]) -> String {
    let all: Vec<_> = remedies_of(refusals).iter().map(ToString::to_string).collect();
    all.join("; or ")
}

impl NoDevice {
    /// Why each family was passed over.
    #[must_use]
    pub fn refusals(&self) -> &[Refusal] {
        match self {
            Self::Question(_) => &[],
            Self::NoneFits(all) => all,
        }
    }

    /// All remedies, each once, in the order of the families.
    #[must_use]
    pub fn remedies(&self) -> Vec<Remedy> {
        remedies_of(self.refusals())
    }
}

impl From<NoDevice> for Error {
    fn from(none: NoDevice) -> Self {
        match none {
            NoDevice::Question(error) => error,
            NoDevice::NoneFits(all) => {
                Self::NoSolution { what: format!("no device fits: {}", whys(&all)), hint: helps(&all) }
            }
        }
    }
}
