//! The answer: causes in their order, what to measure next, and what that would mean.

use super::cause::{Cause, CauseKind};
use super::reading::{Spot, What, Where};
use orlop::Working;
use orlop_units::{AnyQuantity, Power};

/// One cause with its probability.
#[derive(Clone, Debug, PartialEq)]
pub struct RankedCause {
    /// Its place in the order, from 1.
    pub rank: usize,
    /// What it is.
    pub kind: CauseKind,
    /// Address of what it is about.
    pub at: String,
    /// Where on a circuit.
    pub spot: Option<Spot>,
    /// In words.
    pub what: String,
    /// Probability before anything was seen.
    pub prior: f64,
    /// Probability after it.
    pub probability: f64,
    /// What its magnitude is: "excess resistance"; empty without one.
    pub magnitude: &'static str,
    /// Its magnitude if it is the cause: median, and the bounds that hold it with 95 %.
    pub size: Option<[AnyQuantity; 3]>,
    /// Heat in it now, with what is on; none where it heats nothing.
    pub heat_now: Option<Power>,
    /// Heat in it at the design current of its circuit.
    pub heat_full: Option<Power>,
    /// Probability of a misfit at least as large as that of the readings, were it the cause.
    pub fit: f64,
    /// What puts it right.
    pub remedy: &'static str,
}

/// One outcome of a measurement.
#[derive(Clone, Debug, PartialEq)]
pub struct OutcomeMeans {
    /// The outcome: "above 0.31 V".
    pub outcome: String,
    /// How probable it is.
    pub chance: f64,
    /// What leads then.
    pub means: String,
    /// How probable that is then.
    pub probability: f64,
}

/// One thing to measure or try next.
#[derive(Clone, Debug, PartialEq)]
pub struct NextMeasurement {
    /// The left side of the reading that answers it: `drop circuit.F1 negative`.
    pub ask: String,
    /// What to do, in words.
    pub how: String,
    /// Bits that it is expected to tell about the cause.
    pub bits: f64,
    /// How long it takes.
    pub minutes: f64,
    /// What each outcome would mean.
    pub outcomes: Vec<OutcomeMeans>,
}

impl NextMeasurement {
    /// Bits per minute, by which measurements are ordered.
    #[must_use]
    pub fn bits_per_minute(&self) -> f64 {
        self.bits / self.minutes
    }
}

/// What is the matter, as far as it can be told.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnosis {
    /// Symptoms as they were read.
    pub symptoms: Vec<String>,
    /// Readings as they were read.
    pub readings: Vec<String>,
    /// What is to be switched on for readings that say `on`.
    pub switched_on: String,
    /// In one or two sentences.
    pub verdict: String,
    /// Whether one cause has at least [`DECIDED`] and explains the readings.
    pub decided: bool,
    /// Probability of a misfit at least as large as that of the cause that explains the readings best; 1 when nothing was read.
    pub explained: f64,
    /// Bits that are still missing to know the cause.
    pub missing_bits: f64,
    /// Causes, the most probable first.
    pub causes: Vec<RankedCause>,
    /// What to measure or try next, the most bits per minute first; empty when decided, or when nothing would tell more.
    pub next: Vec<NextMeasurement>,
    /// What to know before probes are held anywhere.
    pub cautions: Vec<&'static str>,
    /// How the probabilities were found.
    pub working: Working,
}

impl Diagnosis {
    /// Whether the best cause leaves a misfit that chance would leave less often than one time in a thousand.
    #[must_use]
    pub fn unexplained(&self) -> bool {
        self.explained < UNEXPLAINED
    }
}

/// Probability at which a cause counts as found.
pub const DECIDED: f64 = 0.95;
/// Below this [`Diagnosis::explained`], no cause explains the readings.
pub const UNEXPLAINED: f64 = 1e-3;

/// What to know before probes are held anywhere.
pub(super) const CAUTIONS: &[&str] = &[
    "A battery cannot be switched off. Take off rings and watch; cover every post you are not touching.",
    "Measure volts under load with fused leads. Never measure ohms on a live circuit: stop every source (shore, inverter, solar, alternator), isolate, prove dead with a tested meter. Expect a second feed.",
    "A blown fuse is evidence: find the fault before it is replaced, and never fit a larger one to stop it blowing.",
    "Petrol or gas smell: leave, ventilate, no switching. Heat, smell, hiss or swelling at a battery: people out, isolate, ventilate, call.",
    "A calculation from the data you gave. Rules, makers' instructions and a competent person's inspection come first; mains is for the qualified.",
];

/// What the magnitude of a cause is called.
pub(super) fn magnitude_word(kind: CauseKind) -> &'static str {
    match kind {
        k if k.is_series() => "excess resistance",
        CauseKind::Terminal => "excess resistance",
        CauseKind::Short => "resistance of the fault",
        CauseKind::Undersized => "resistance of the conductor, times what it should be",
        CauseKind::BankLow | CauseKind::ChargerOff | CauseKind::ChargerLow => "volts of the bank at rest",
        CauseKind::Cell => "volts missing",
        CauseKind::ConverterLimit => "limit, times its rating",
        CauseKind::LoadHeavy | CauseKind::LoadLight => "current, times what it should be",
        CauseKind::Drain => "current",
        _ => "",
    }
}

/// A cause in words.
pub(super) fn describe(cause: &Cause, name: &str) -> String {
    let leg = match cause.spot {
        Some(Spot::Negative | Spot::StartNegative | Spot::EndNegative) => "negative",
        _ => "positive",
    };
    match cause.kind {
        CauseKind::Joint => {
            let end = match cause.spot {
                Some(Spot::StartPositive | Spot::StartNegative) => "at the supply end",
                _ => "at the far end",
            };
            format!("{leg} joint {end} of {name}")
        }
        CauseKind::Device => format!("fuse, breaker or holder of {name}, high in resistance"),
        CauseKind::DeviceOpen => format!("fuse or breaker of {name}, open"),
        CauseKind::DeviceWeak => format!("fuse or breaker of {name}, opens too early"),
        CauseKind::Switch => format!("switch of {name}, high in resistance"),
        CauseKind::Conductor => format!("{leg} conductor of {name}, corroded or partly broken"),
        CauseKind::Open => format!("{leg} leg of {name}, open"),
        CauseKind::Undersized => format!("conductor of {name}, too small"),
        CauseKind::Reversed => format!("positive and negative swapped at {name}"),
        CauseKind::BankLow => format!("{name}, nearly empty"),
        CauseKind::Cell => format!("one cell or battery of {name}"),
        CauseKind::StringOff => format!("one string of {name}, not connected"),
        CauseKind::Terminal => format!("a post or lug of {name}"),
        CauseKind::ChargerOff => format!("{name} gives nothing, the bank is empty"),
        CauseKind::ChargerLow => format!("{name} stops too early, the bank is never full"),
        CauseKind::ConverterOff => format!("{name} gives nothing"),
        CauseKind::ConverterLimit => format!("{name} limits its current"),
        CauseKind::LoadDead => format!("{name} itself, draws nothing"),
        CauseKind::LoadHeavy => format!("{name} itself, draws too much"),
        CauseKind::LoadLight => format!("{name} itself, draws too little"),
        CauseKind::Drain => format!("something draws current at {name}"),
        CauseKind::SecondFeed => "a second source feeds the circuit".into(),
        CauseKind::Short => format!("positive touches negative or hull behind {name}"),
        CauseKind::Sound => "all of the wiring is sound".into(),
    }
}

/// What to do for a measurement, in words.
pub(super) fn how(place: &Where, name: &str) -> String {
    use super::reading::When;
    let when = match place.when {
        When::On => "switched on",
        When::Off => "everything off, no charger",
        When::Charging => "everything off, chargers on",
        When::Isolated => "every source isolated, proven dead",
        When::Before => "before the other starts",
    };
    let part = |spot: Spot| match spot {
        Spot::Positive => "the positive leg, from where it begins to its end",
        Spot::Negative => "the negative leg, from its end to where it begins",
        Spot::Supply => "the beginning of the positive leg, from where it begins to behind fuse and switch",
        Spot::Device => "the fuse or breaker and its holder",
        Spot::Switch => "the switch",
        Spot::StartPositive => "the positive joint at the supply end",
        Spot::EndPositive => "the positive joint at the far end",
        Spot::StartNegative => "the negative joint at the supply end",
        Spot::EndNegative => "the negative joint at the far end",
    };
    match (place.what, place.spot) {
        (What::Voltage, _) => format!("volts at {name}, {when}"),
        (What::Drop, None) => format!("volts lost on {name}, {when}"),
        (What::Drop, Some(s)) => format!("volts across {} of {name}, {when}", part(s)),
        (What::Current, _) => format!("amperes of {name}, {when}"),
        (What::Rise, s) => {
            let what = s.map_or("it", part);
            format!("how much warmer than its cable {what} of {name} is after some minutes, {when}")
        }
        (What::Resistance, Some(s)) => format!("ohms of {} of {name}, {when}", part(s)),
        (What::Resistance, None) => format!("ohms across {name}, {when}"),
        (What::RestDifference, _) => {
            format!("largest difference in volts between the cells or batteries of {name}, {when}")
        }
        (What::Look, _) => format!("look whether the fuse or breaker of {name} is open"),
        (What::Swap, _) => format!("put another fuse or breaker of the same rating into {name}"),
        (What::Direct, _) => format!("feed {name} straight from the bank with a fused test lead"),
        (What::Try, _) => format!("switch on {name}: does it work?"),
    }
}
