//! The boat as a validated model: what the boat file says, read, cross-checked, in quantities.
//!
//! Everything here is plain data. [`crate::document`] makes it; the later stages only read it.

mod disconnect;

pub use disconnect::{Disconnect, Warming};

use orlop::cell::{FaultConditions, StateOfCharge};
use orlop::conductor::{Duty, Material, SpaceKind};
use orlop::network::ground::{Carries, PathKind, ReturnSystem, Role};
use orlop::pack::Pack;
use orlop::pack::assign::Delivery;
use orlop::pack::manager::Manager;
use orlop::pack::threshold::Ladder;
pub use orlop::rules::DropClass;
use orlop::rules::{RuleOptions, RuleSetId};
use orlop_units::{
    AnyQuantity, Capacitance, Charge, ConductorSize, Current, Energy, Fraction, Length, OneWay, Power,
    Quantity, Resistance, SizeSystem, Temperature, Time, Voltage,
};

/// How a value is known.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Known {
    /// Written in the file without saying how it is known.
    #[default]
    Stated,
    /// Read from a label or a maker's sheet.
    Label,
    /// Measured on board.
    Measured,
    /// Guessed; stays marked to the last page.
    Guess,
}

/// A value with how it is known and, for guesses, its range.
#[derive(Clone, Debug, PartialEq)]
pub struct Value<Q> {
    /// The value to compute with.
    pub q: Q,
    /// How it is known.
    pub known: Known,
    /// Lower and upper end, when given.
    pub range: Option<(Q, Q)>,
}

impl<Q: Quantity> Value<Q> {
    /// A value stated plainly.
    #[must_use]
    pub fn stated(q: Q) -> Self {
        Self { q, known: Known::Stated, range: None }
    }
    /// The upper end: the range's when there is one, else the value.
    #[must_use]
    pub fn high(&self) -> Q {
        self.range.map_or(self.q, |r| r.1)
    }
    /// The lower end: the range's when there is one, else the value.
    #[must_use]
    pub fn low(&self) -> Q {
        self.range.map_or(self.q, |r| r.0)
    }
}

/// What a load draws in one of its states.
#[derive(Clone, Debug, PartialEq)]
pub enum Demand {
    /// The same power at any voltage: electronics, converters, motors under load.
    Power(Value<Power>),
    /// The same current at any voltage.
    Current(Value<Current>),
    /// A resistor: filament lamps, heaters.
    Resistance(Value<Resistance>),
}

/// Which state a load is in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum LoadState {
    /// Switched on, doing nothing.
    Idle,
    /// Its ordinary work.
    Run,
    /// The most it draws while working, for a stated time.
    Peak,
    /// Inrush at switching on.
    Start,
    /// A motor held still.
    Stall,
}

impl LoadState {
    /// All states, the order of the file's keys.
    pub const ALL: [Self; 5] = [Self::Idle, Self::Run, Self::Peak, Self::Start, Self::Stall];
    /// The word in boat files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Idle => "idle",
            Self::Run => "run",
            Self::Peak => "peak",
            Self::Start => "start",
            Self::Stall => "stall",
        }
    }
}

/// A point in the boat: x forward of the transom, y to starboard, z above the waterline, in metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Forward of the transom, m.
    pub x: f64,
    /// To starboard of the centre line, m.
    pub y: f64,
    /// Above the waterline, m.
    pub z: f64,
}

impl Point {
    /// Straight distance to another point.
    #[must_use]
    pub fn distance(self, other: Self) -> Length {
        let (dx, dy, dz) = (self.x - other.x, self.y - other.y, self.z - other.z);
        orlop_units::metres(dx.mul_add(dx, dy.mul_add(dy, dz * dz)).sqrt())
    }
}

/// A box with its sides along the axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Block {
    /// Lowest x, y, z.
    pub low: Point,
    /// Highest x, y, z.
    pub high: Point,
}

/// A part of the boat with its own temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct Space {
    /// Its id.
    pub id: String,
    /// Its name for people.
    pub name: String,
    /// The boxes that make it up.
    pub boxes: Vec<Block>,
    /// Design ambient temperature.
    pub ambient: Temperature,
    /// Lowest winter temperature.
    pub winter: Option<Temperature>,
    /// Whether the rule set's engine-space factors apply.
    pub kind: SpaceKind,
    /// Damp or wet.
    pub damp: bool,
    /// Petrol or gas vapour can collect here.
    pub vapour: bool,
}

/// A named point: a battery, a panel, a load.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// Its id.
    pub id: String,
    /// Its name for people.
    pub name: String,
    /// Where it is.
    pub at: Point,
    /// The space it is in: named in the file or found by volume.
    pub space: String,
}

/// A way for cables from corner to corner.
#[derive(Clone, Debug, PartialEq)]
pub struct Trunk {
    /// Its id.
    pub id: String,
    /// Its name for people.
    pub name: String,
    /// Corner points in order, at least two.
    pub points: Vec<Point>,
    /// The place at each corner, where the corner is a place.
    pub places: Vec<Option<String>>,
    /// A space named for the whole trunk; else spaces are found by volume.
    pub space: Option<String>,
    /// Inner diameter, when it is a conduit.
    pub conduit: Option<Length>,
    /// Whether cables are sheathed or enclosed all the way.
    pub enclosed: bool,
    /// Kept apart from other trunks on the same way: no common bundle.
    pub apart: bool,
    /// Current-carrying conductors in it that are not in this file.
    pub others: u32,
    /// Spacing of supports, when known.
    pub support: Option<Length>,
}

/// A bank of batteries as stated; what is not stated comes from its cells, where they are given.
#[derive(Clone, Debug, PartialEq)]
pub struct Bank {
    /// Its id.
    pub id: String,
    /// Its name for people.
    pub name: String,
    /// Where it is.
    pub place: String,
    /// Nominal voltage of the bank: 25.6 V.
    pub nominal: Voltage,
    /// Capacity of the whole bank.
    pub capacity: Option<Charge>,
    /// Lowest service voltage at its terminals.
    pub lowest: Voltage,
    /// Highest voltage with sources charging.
    pub highest: Voltage,
    /// Open-circuit voltage when full; for the upper fault current the highest voltage counts.
    pub open_circuit: Option<Voltage>,
    /// Strings in parallel.
    pub strings: u32,
    /// Resistance of one string, lowest: warm, new, 1 kHz.
    pub string_low: Option<Resistance>,
    /// Resistance of one string, highest: cold, aged, 10 s.
    pub string_high: Option<Resistance>,
    /// How it is built up from cells, where the file says so.
    pub build: Option<Build>,
}

impl Bank {
    /// Between which conditions its cells live; none where it is not built up from cells.
    #[must_use]
    pub fn conditions(&self) -> Option<FaultConditions> {
        let build = self.build.as_ref()?;
        let cell = |whole: Voltage| Some(whole / f64::from(build.pack.series()));
        Some(FaultConditions {
            warmest: Some(build.warmest),
            coldest: Some(build.coldest),
            least_charge: Some(build.least_charge),
            highest_voltage: cell(self.highest),
            lowest_voltage: cell(self.lowest),
        })
    }
}

/// A bank built up from cells.
#[derive(Clone, Debug, PartialEq)]
pub struct Build {
    /// The section of its cells.
    pub cell: String,
    /// The name of its cells for people.
    pub cell_name: String,
    /// Cells, links and other parts, tied as they are.
    pub pack: Pack,
    /// Coldest design temperature of its cells.
    pub coldest: Temperature,
    /// Warmest design temperature of its cells.
    pub warmest: Temperature,
    /// Least charge with which a fault must still be cleared.
    pub least_charge: StateOfCharge,
    /// What each manager carries.
    pub manager: Option<Manager>,
    /// What disconnects each string, where the file says anything of it.
    pub disconnect: Option<Disconnect>,
    /// Resistor that fills the capacitors of the loads.
    pub precharge: Option<Resistance>,
    /// Energy that the resistor survives.
    pub precharge_survives: Option<Energy>,
    /// Loads that take current while the capacitors fill; none where the file does not say.
    pub standing: Option<Vec<String>>,
    /// Time wanted between warning and cut-off.
    pub alarm_lead: Option<Time>,
    /// The cells that were delivered for it.
    pub delivery: Option<Delivery>,
    /// Cells to leave out, where the file says which.
    pub leave_out: Option<Vec<String>>,
    /// Thresholds of chargers, alarms and cut-offs.
    pub ladder: Option<Ladder>,
    /// Id and name of each threshold.
    pub rung_names: Vec<(String, String)>,
}

/// What a source is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum SourceKind {
    /// Driven by an engine.
    Alternator,
    /// Sun.
    Solar,
    /// From shore or generator.
    Charger,
    /// From one direct voltage to another; feeds circuits of its own.
    Converter,
}

impl Build {
    /// What all coils together take while every string is closed; zero where none is stated.
    #[must_use]
    pub fn coils(&self) -> Power {
        let hold = self.disconnect.as_ref().and_then(|d| d.coil).map_or(0.0, |c| c.hold().si());
        Power::from_si(hold * f64::from(self.pack.managers()))
    }
}

/// A source besides the bank.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    /// Its id.
    pub id: String,
    /// Its name for people.
    pub name: String,
    /// What it is.
    pub kind: SourceKind,
    /// Where it is.
    pub place: Option<String>,
    /// Output voltage (converters).
    pub nominal: Option<Voltage>,
    /// Continuous output current.
    pub rating: Current,
    /// Output over input power (converters).
    pub efficiency: Fraction,
    /// Lowest input voltage it works at (converters).
    pub minimum: Option<Voltage>,
    /// Limits its own output current.
    pub self_limiting: bool,
    /// A device inside it protects its own output.
    pub protected: bool,
}

/// A panel or bus: where circuits begin.
#[derive(Clone, Debug, PartialEq)]
pub struct Panel {
    /// Its id.
    pub id: String,
    /// Its name for people.
    pub name: String,
    /// Where it is.
    pub place: Option<String>,
    /// Current its bus or main switch carries.
    pub rating: Option<Current>,
    /// Stays live with the master switch off.
    pub always_on: bool,
}

/// Something that uses current.
#[derive(Clone, Debug, PartialEq)]
pub struct Load {
    /// Its id.
    pub id: String,
    /// Its name for people.
    pub name: String,
    /// Where it is.
    pub place: Option<String>,
    /// What it draws in each state; `Run` is always there.
    pub demand: Vec<(LoadState, Demand)>,
    /// How long each short state lasts.
    pub lasts: Vec<(LoadState, Time)>,
    /// Whether the drop to it is critical.
    pub drop_class: DropClass,
    /// A drop limit of its own.
    pub max_drop: Option<Fraction>,
    /// Lowest voltage it works at.
    pub minimum: Option<Voltage>,
    /// Needed for safety: pumps, radio, lights, alarms.
    pub essential: bool,
    /// The load that is the other supply of the same thing: no single part that fails may leave both dark.
    pub second_source: Option<String>,
    /// Runs with nobody near.
    pub unattended: bool,
    /// Is a motor, so that it feeds a fault while it runs on.
    pub motor: bool,
    /// How long the motor bears a stall, from warm.
    pub stall_withstand: Option<Time>,
    /// It opens its own circuit when it gets too hot, as declared by its maker.
    pub thermal_protection: bool,
    /// Capacitance at its input.
    pub capacitance: Option<Capacitance>,
    /// Largest device its maker allows.
    pub max_device: Option<Current>,
    /// Can make a spark in use.
    pub spark: bool,
    /// Declared ignition protected.
    pub ignition_protected: bool,
    /// Hours of work a day, by day profile.
    pub hours: Vec<(String, Time)>,
    /// Hours idle a day, by day profile.
    pub idle_hours: Vec<(String, Time)>,
    /// Hours at the peak a day, by day profile.
    pub peak_hours: Vec<(String, Time)>,
}

impl Load {
    /// Whether it is a motor: the file says so, or gives what it draws held still.
    #[must_use]
    pub fn is_motor(&self) -> bool {
        self.motor || self.demand.iter().any(|(state, _)| *state == LoadState::Stall)
    }
    /// What it draws in a state; a state the file does not give falls back to `run`.
    #[must_use]
    pub fn demand_in(&self, state: LoadState) -> &Demand {
        let find = |s| self.demand.iter().find(|(k, _)| *k == s).map(|(_, d)| d);
        find(state).or_else(|| find(LoadState::Run)).expect("run is always there")
    }
}

/// How the length of a run is known.
#[derive(Clone, Debug, PartialEq)]
pub enum Run {
    /// Measured or estimated wire length, with the spaces it goes through.
    OneWay {
        /// Length of one leg.
        length: Value<OneWay>,
        /// The spaces it goes through; the hottest counts.
        spaces: Vec<String>,
    },
    /// Along trunks in order, with a free tail.
    Trunks {
        /// Trunks in order.
        path: Vec<String>,
        /// What lies outside the trunks.
        tail: Option<Length>,
    },
    /// From place to place by the shortest way along trunks.
    Shortest {
        /// Place where it begins.
        from: String,
        /// Place where it ends.
        to: String,
        /// What lies outside the trunks.
        tail: Option<Length>,
    },
}

/// What a circuit feeds.
#[derive(Clone, Debug, PartialEq)]
pub enum Feeds {
    /// One or more loads.
    Loads(Vec<String>),
    /// A panel or bus.
    Panel(String),
    /// The input of a converter.
    Converter(String),
    /// Brings a charging source to the panel or bank it starts from.
    Source(String),
}

impl Feeds {
    /// The ids of what is fed, in words.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Loads(ids) => ids.join(", "),
            Self::Panel(id) | Self::Converter(id) | Self::Source(id) => id.clone(),
        }
    }
}

/// One run of wire with one device.
#[derive(Clone, Debug, PartialEq)]
pub struct Circuit {
    /// Its id.
    pub id: String,
    /// Its name for people.
    pub name: String,
    /// The bank, panel or converter it starts from.
    pub from: String,
    /// Where its negative ends, when that is not the negative of where it starts.
    pub negative: Option<String>,
    /// What it feeds.
    pub feeds: Feeds,
    /// Its way.
    pub run: Run,
    /// The string of the bank it starts from, counted from 1, when each string has its own terminals.
    pub string: Option<u32>,
    /// Identical runs side by side, each with its own device.
    pub runs: u32,
    /// With several runs: each must carry the whole current alone.
    pub alone: bool,
    /// The conductor, when it is given.
    pub size: Option<ConductorSize>,
    /// Smallest conductor that may be chosen.
    pub minimum_size: Option<ConductorSize>,
    /// Insulation rating, when it is not the boat's.
    pub insulation: Option<Temperature>,
    /// Material, when it is not the boat's.
    pub material: Option<Material>,
    /// The conductors lie in a common sheath.
    pub sheathed: bool,
    /// The device, when it is given: family and rating.
    pub device: Option<(Option<String>, Current)>,
    /// Families to choose from, when they are not the boat's.
    pub families: Option<Vec<String>>,
    /// Length along the conductor from the source's terminal to the device.
    pub device_distance: Option<Length>,
    /// That length is sheathed or enclosed all the way.
    pub device_enclosed: bool,
    /// Carries a starter motor: exempt from protection and ampacity clauses.
    pub cranking: bool,
    /// Its device is declared ignition protected.
    pub ignition_protected: bool,
    /// The space its device stands in, when that is not the space of where it starts.
    pub device_space: Option<String>,
    /// Current-carrying conductors bundled together, when the file says so.
    pub bundled: Option<u32>,
    /// How long its current flows at a stretch.
    pub duty: Duty,
    /// Drop limit of its own, as a share of nominal.
    pub max_drop: Option<Fraction>,
    /// Resistance of a switch or breaker in the circuit, when known.
    pub extra_resistance: Option<Resistance>,
}

/// Engine, hull, bonding, shore earth, or a negative that no circuit shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Ground {
    /// Its id.
    pub id: String,
    /// Its name for people.
    pub name: String,
    /// What it is.
    pub role: Role,
    /// Where it is.
    pub place: Option<String>,
    /// Must hang on the one negative and bonding system.
    pub hangs: bool,
    /// Current of its starter (engines).
    pub starter: Option<Value<Current>>,
    /// The battery whose negative the starter's current returns to.
    pub starter_battery: Option<String>,
}

/// What joins two grounds or negatives.
#[derive(Clone, Debug, PartialEq)]
pub struct Bond {
    /// Its id.
    pub id: String,
    /// Its name for people.
    pub name: String,
    /// One end: a ground, or the negative of a bank, panel, source or load.
    pub from: String,
    /// The other end.
    pub to: String,
    /// What it is.
    pub kind: PathKind,
    /// Its conductor, when it is known.
    pub size: Option<ConductorSize>,
    /// Length of its one leg.
    pub piece: Option<Value<Length>>,
    /// Resistance from end to end, when it is given.
    pub resistance: Option<Value<Resistance>>,
    /// Which current it may carry.
    pub carries: Carries,
    /// May be taken out.
    pub may_cut: bool,
    /// How much work that is, against the others.
    pub effort: u32,
    /// What need not pass this shunt.
    pub bypass: Vec<String>,
}

/// A set of things that happen together.
#[derive(Clone, Debug, PartialEq)]
pub struct Scenario {
    /// Its id.
    pub id: String,
    /// Its name for people.
    pub name: String,
    /// The loads that are on, each in one state.
    pub on: Vec<(String, LoadState)>,
}

/// Where a thing stands in the text of the boat file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Position {
    /// Line, from 1.
    pub line: u32,
    /// Column, from 1.
    pub column: u32,
}

/// What the boat is: found, designed, or built.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum State {
    /// As a survey finds it: everything is given.
    AsFound,
    /// A design: what is not given is chosen.
    Design,
    /// As it was built.
    AsBuilt,
}

/// A whole boat.
#[derive(Clone, Debug, PartialEq)]
pub struct Boat {
    /// Its name.
    pub name: String,
    /// What kind of boat, in words.
    pub kind: String,
    /// Hull or register number; empty where it is not stated.
    pub hull: String,
    /// Found, designed, built.
    pub state: State,
    /// Nominal voltage, of which drops are a percentage.
    pub nominal: Voltage,
    /// The rule set.
    pub rules: RuleSetId,
    /// Its switches.
    pub options: RuleOptions,
    /// Drop limits set by the owner: critical, general.
    pub drop_limits: (Option<Fraction>, Option<Fraction>),
    /// Series from which sizes are chosen.
    pub sizes: SizeSystem,
    /// Insulation rating of new conductors.
    pub insulation: Temperature,
    /// Material of new conductors.
    pub material: Material,
    /// New conductors are tinned.
    pub tinned: bool,
    /// Added to lengths along trunks.
    pub slack: Fraction,
    /// Added once to each run along trunks.
    pub termination: Length,
    /// Resistance of one joint or lug.
    pub joint: Value<Resistance>,
    /// How negative and metal shall be joined; stated wherever grounds or bonds are.
    pub negative: Option<ReturnSystem>,
    /// Families of devices to choose from, in order of preference.
    pub families: Vec<String>,
    /// Growth allowance on design currents.
    pub growth: Fraction,
    /// Spaces.
    pub spaces: Vec<Space>,
    /// Places.
    pub places: Vec<Place>,
    /// Trunks.
    pub trunks: Vec<Trunk>,
    /// Banks; the first is the house bank.
    pub banks: Vec<Bank>,
    /// Other sources.
    pub sources: Vec<Source>,
    /// Panels and buses.
    pub panels: Vec<Panel>,
    /// Loads.
    pub loads: Vec<Load>,
    /// Circuits.
    pub circuits: Vec<Circuit>,
    /// Scenarios.
    pub scenarios: Vec<Scenario>,
    /// Grounds.
    pub grounds: Vec<Ground>,
    /// What joins grounds and negatives.
    pub bonds: Vec<Bond>,
    /// The visit on which they were taken.
    pub visit: crate::found::Visit,
    /// Readings and statements of what is there.
    pub found: Vec<crate::found::Reading>,
    /// Guesses in the file: address and what was written.
    pub guesses: Vec<(String, AnyQuantity)>,
    /// Remarks of the reader that are no errors.
    pub remarks: Vec<String>,
}

macro_rules! find {
    ($($name:ident: $list:ident -> $type:ty;)*) => {
        impl Boat {
            $(
                /// Finds one by its id.
                #[must_use]
                pub fn $name(&self, id: &str) -> Option<&$type> {
                    self.$list.iter().find(|x| x.id == id)
                }
            )*
        }
    };
}
find! {
    space: spaces -> Space;
    place: places -> Place;
    trunk: trunks -> Trunk;
    bank: banks -> Bank;
    source: sources -> Source;
    panel: panels -> Panel;
    load: loads -> Load;
    circuit: circuits -> Circuit;
    scenario: scenarios -> Scenario;
    ground: grounds -> Ground;
    bond: bonds -> Bond;
}
