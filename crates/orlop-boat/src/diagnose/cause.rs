//! What may be wrong: kinds of causes, how often each is the cause, and how large it may be.

use super::reading::Spot;
use orlop::{Citation, Confidence};

/// How often each kind of thing is the cause: a rank order by trade talk, nothing counted.
pub static FAULT_ODDS: Citation = Citation::fixed(
    "fault-odds",
    "trade practice of fault finding on boats",
    "",
    "",
    "odds of causes against each other: joints, blown fuses, empty banks and dead loads first; broken conductors last",
    Confidence::Memory,
    "recalled rank order; no statistics of causes on boats were found; may be replaced by the asker",
);

macro_rules! kinds {
    ($($(#[$doc:meta])* $variant:ident = $word:literal, $odds:literal, $remedy:literal;)*) => {
        /// A kind of cause.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
        #[serde(rename_all = "kebab-case")]
        pub enum CauseKind { $($(#[$doc])* $variant),* }
        impl CauseKind {
            /// All of them.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];
            /// The word.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),* }
            }
            /// Odds of each place of this kind before anything was seen.
            #[must_use]
            pub fn odds(self) -> f64 {
                match self { $(Self::$variant => $odds),* }
            }
            /// What puts it right.
            #[must_use]
            pub fn remedy(self) -> &'static str {
                match self { $(Self::$variant => $remedy),* }
            }
        }
    };
}
kinds! {
    /// One lug, terminal or connector with too much resistance.
    Joint = "joint", 3.0, "take the joint apart, clean or renew it, tighten to its torque, measure again under load";
    /// Fuse, breaker or holder with too much resistance.
    Device = "device", 4.0, "renew fuse and holder, or the breaker; clean its terminals";
    /// Fuse blown or breaker open.
    DeviceOpen = "device-open", 6.0, "find out why it opened before it is replaced; never fit a larger one";
    /// A device that opens below its rating.
    DeviceWeak = "device-weak", 1.0, "fit a device of the same family and rating";
    /// A switch with too much resistance.
    Switch = "switch", 4.0, "renew the switch";
    /// A conductor that is corroded or partly broken.
    Conductor = "conductor", 1.0, "renew the conductor";
    /// A conductor or joint that is open.
    Open = "open", 1.0, "find the break from joint to joint, renew what is broken";
    /// The conductor is smaller than the boat file says.
    Undersized = "undersized", 1.0, "read size and length on board, then size the circuit again";
    /// Positive and negative swapped.
    Reversed = "reversed", 0.5, "swap the two ends; check the load before it is switched on";
    /// The bank is nearly empty.
    BankLow = "bank-low", 8.0, "charge the bank, then find out why it was empty";
    /// One cell or battery of the series is bad.
    Cell = "cell", 2.0, "test the cells one by one; take the bad one out of service";
    /// One string of several is not connected.
    StringOff = "string-off", 2.0, "find out why the string is off; close it only when its voltage is that of the others";
    /// A post or lug of the bank with too much resistance.
    Terminal = "terminal", 4.0, "clean and tighten the posts of the bank";
    /// A charger gives nothing, so that the bank runs empty.
    ChargerOff = "charger-off", 4.0, "look for its supply, fuse and setting";
    /// A charger stops too early, so that the bank is never full.
    ChargerLow = "charger-low", 2.0, "measure at its terminals and at the bank; set it for this chemistry";
    /// A converter gives nothing.
    ConverterOff = "converter-off", 3.0, "check its input volts and its switch, then replace it";
    /// A converter limits its current below what the loads want.
    ConverterLimit = "converter-limit", 2.0, "add up what it feeds; derate it for its heat";
    /// The load draws nothing.
    LoadDead = "load-dead", 8.0, "repair or replace the load";
    /// The load draws too much: seized, clogged, shorted turns.
    LoadHeavy = "load-heavy", 6.0, "free or repair the load before it is run again";
    /// The load draws too little and does little.
    LoadLight = "load-light", 3.0, "repair the load";
    /// Something draws current that should not.
    Drain = "drain", 3.0, "pull one fuse after the other with an ammeter in the bank's lead";
    /// A second source feeds the circuit.
    SecondFeed = "second-feed", 0.5, "find the other feed, label it, give it a switch and a device of its own";
    /// Positive touches negative or hull.
    Short = "short", 3.0, "isolate, find the fault with an ohmmeter, repair before the device is replaced";
    /// All of the wiring is sound.
    Sound = "sound", 2.0, "look at the use and the settings; watch it again when it happens";
}

impl CauseKind {
    /// Excess ohms at one spot of one circuit.
    #[must_use]
    pub fn is_series(self) -> bool {
        matches!(self, Self::Joint | Self::Device | Self::Switch | Self::Conductor)
    }

    /// Whether it shows with everything off.
    pub(super) fn shows_at_rest(self) -> bool {
        matches!(
            self,
            Self::BankLow
                | Self::Cell
                | Self::StringOff
                | Self::Terminal
                | Self::ChargerOff
                | Self::ChargerLow
        ) || matches!(self, Self::ConverterOff | Self::Drain | Self::Open | Self::DeviceOpen | Self::Short)
    }
}

/// The free magnitude of a cause.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Axis {
    /// None.
    Fixed,
    /// Excess ohms, by their logarithm.
    Ohms(f64, f64),
    /// A factor, by its logarithm.
    Times(f64, f64),
    /// Amperes, by their logarithm.
    Amps(f64, f64),
    /// Volts.
    Volts(f64, f64),
}

impl Axis {
    /// The grid of an excess resistance: from what no joint is noticed by to what lets nothing work.
    pub const EXCESS: Self = Self::Ohms(1e-3, 100.0);

    /// The grid.
    #[must_use]
    pub fn grid(self) -> Vec<f64> {
        let even = |low: f64, high: f64, n: usize| -> Vec<f64> {
            (0..=n).map(|k| low + (high - low) * k as f64 / n as f64).collect()
        };
        match self {
            Self::Fixed => vec![0.0],
            Self::Ohms(low, high) => even(low.ln(), high.ln(), 35),
            Self::Times(low, high) => even(low.ln(), high.ln(), 12),
            Self::Amps(low, high) => even(low.ln(), high.ln(), 16),
            Self::Volts(low, high) => even(low, high, 10),
        }
    }

    /// The magnitude at a place of the grid.
    #[must_use]
    pub fn magnitude(self, at: f64) -> f64 {
        match self {
            Self::Fixed | Self::Volts(..) => at,
            Self::Ohms(..) | Self::Times(..) | Self::Amps(..) => at.exp(),
        }
    }
}

/// What a cause is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Target {
    /// A circuit, by its place in the file.
    Circuit(usize),
    /// A load.
    Load(usize),
    /// The bank.
    Bank(usize),
    /// A converter or charger.
    Source(usize),
    /// A node of the network.
    Node(usize),
    /// Nothing.
    Nothing,
}

/// One cause at one place.
#[derive(Clone, Debug, PartialEq)]
pub struct Cause {
    /// What it is.
    pub kind: CauseKind,
    /// Of what.
    pub target: Target,
    /// Where on a circuit.
    pub spot: Option<Spot>,
    /// Odds before anything was seen.
    pub odds: f64,
    /// How large it may be.
    pub axis: Axis,
}
