//! The quantities: aliases where the dimension is the meaning, types of their own where it is not.

use crate::Kind;
use uom::si::f64 as si;

pub use si::{Area, Capacitance, Energy, Force, Length, Mass, Power, Pressure, Time, Torque, Volume};

/// Electric current.
pub type Current = si::ElectricCurrent;
/// Electric potential difference.
pub type Voltage = si::ElectricPotential;
/// Electrical resistance.
pub type Resistance = si::ElectricalResistance;
/// Electric charge; battery capacity in ampere-hours.
pub type Charge = si::ElectricCharge;
/// Mass of a metre of something.
pub type MassPerLength = si::LinearMassDensity;

/// A physical value that can be read, printed and tabled.
///
/// Implemented once, by one list, for every quantity of the house.
pub trait Quantity: Copy + PartialOrd + std::fmt::Debug {
    /// Which kind it is.
    const KIND: Kind;
    /// From a number in the kind's base unit ([`Kind::base`]).
    fn from_si(value: f64) -> Self;
    /// The number in the kind's base unit.
    fn si(self) -> f64;
    /// The number in the kind's output unit ([`Kind::output`]).
    fn out(self) -> f64 {
        Self::KIND.output().from_base(self.si())
    }
}

macro_rules! from_uom {
    ($($name:ident, $unit:path, $make:ident, $doc:literal;)*) => {$(
        impl Quantity for $name {
            const KIND: Kind = Kind::$name;
            fn from_si(value: f64) -> Self { Self::new::<$unit>(value) }
            fn si(self) -> f64 { self.get::<$unit>() }
        }
        #[doc = $doc]
        #[must_use]
        pub fn $make(value: f64) -> $name { $name::from_si(value) }
    )*};
}

from_uom! {
    Length, uom::si::length::meter, metres, "A length in metres.";
    Area, uom::si::area::square_meter, square_metres, "An area in square metres.";
    Volume, uom::si::volume::cubic_meter, cubic_metres, "A volume in cubic metres.";
    Mass, uom::si::mass::kilogram, kilograms, "A mass in kilograms.";
    Time, uom::si::time::second, seconds, "A time in seconds.";
    Current, uom::si::electric_current::ampere, amperes, "A current in amperes.";
    Voltage, uom::si::electric_potential::volt, volts, "A voltage in volts.";
    Resistance, uom::si::electrical_resistance::ohm, ohms, "A resistance in ohms.";
    Power, uom::si::power::watt, watts, "A power in watts.";
    Energy, uom::si::energy::joule, joules, "An energy in joules.";
    Charge, uom::si::electric_charge::coulomb, coulombs, "A charge in coulombs.";
    Capacitance, uom::si::capacitance::farad, farads, "A capacitance in farads.";
    Force, uom::si::force::newton, newtons, "A force in newtons.";
    Pressure, uom::si::pressure::pascal, pascals, "A pressure in pascals.";
    Torque, uom::si::torque::newton_meter, newton_metres, "A torque in newton metres.";
    MassPerLength, uom::si::linear_mass_density::kilogram_per_meter, kilograms_per_metre, "A mass per length in kilograms per metre.";
}

/// A cross-section in square millimetres.
#[must_use]
pub fn square_millimetres(value: f64) -> Area {
    square_metres(value * 1e-6)
}
/// A length in millimetres.
#[must_use]
pub fn millimetres(value: f64) -> Length {
    metres(value * 1e-3)
}
/// A charge in ampere-hours.
#[must_use]
pub fn ampere_hours(value: f64) -> Charge {
    coulombs(value * 3600.0)
}

macro_rules! newtypes {
    ($($(#[$meta:meta])* $name:ident, $make:ident, $get:ident, $doc:literal;)*) => {$(
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            #[doc = $doc]
            #[must_use]
            pub const fn $make(value: f64) -> Self { Self(value) }
            #[doc = $doc]
            #[must_use]
            pub const fn $get(self) -> f64 { self.0 }
            /// The larger of two.
            #[must_use]
            pub fn max(self, other: Self) -> Self { if other.0 > self.0 { other } else { self } }
            /// The smaller of two.
            #[must_use]
            pub fn min(self, other: Self) -> Self { if other.0 < self.0 { other } else { self } }
        }
        impl Quantity for $name {
            const KIND: Kind = Kind::$name;
            fn from_si(value: f64) -> Self { Self(value) }
            fn si(self) -> f64 { self.0 }
        }
        #[cfg(any(feature = "approx", test))]
        impl approx::AbsDiffEq for $name {
            type Epsilon = f64;
            fn default_epsilon() -> f64 { f64::default_epsilon() }
            fn abs_diff_eq(&self, other: &Self, epsilon: f64) -> bool { self.0.abs_diff_eq(&other.0, epsilon) }
        }
        #[cfg(any(feature = "approx", test))]
        impl approx::RelativeEq for $name {
            fn default_max_relative() -> f64 { f64::default_max_relative() }
            fn relative_eq(&self, other: &Self, epsilon: f64, max_relative: f64) -> bool {
                self.0.relative_eq(&other.0, epsilon, max_relative)
            }
        }
    )*};
}

newtypes! {
    /// A temperature on a thermometer. It cannot be added to another one.
    Temperature, celsius, degrees_celsius, "Degrees Celsius.";
    /// How much hotter one thing is than another.
    TemperatureRise, kelvins, in_kelvins, "Kelvins.";
    /// A dimensionless share: efficiency, permitted drop, duty, slack. Not a state of charge.
    Fraction, new, value, "As a plain number: 0.03 is three percent.";
    /// Resistance of a metre of conductor.
    ResistancePerLength, ohms_per_metre, in_ohms_per_metre, "Ohms per metre.";
    /// Integral of current squared over time.
    LetThrough, ampere_squared_seconds, in_ampere_squared_seconds, "Ampere squared seconds.";
    /// Thermal resistance of a metre of cable.
    ThermalResistance, kelvin_metres_per_watt, in_kelvin_metres_per_watt, "Kelvin metres per watt.";
    /// Heat given off by a metre of cable.
    PowerPerLength, watts_per_metre, in_watts_per_metre, "Watts per metre.";
    /// Energy held by a kilogram.
    SpecificEnergy, joules_per_kilogram, in_joules_per_kilogram, "Joules per kilogram.";
    /// Heat that warms a kilogram by a kelvin.
    SpecificHeat, joules_per_kilogram_kelvin, in_joules_per_kilogram_kelvin, "Joules per kilogram and kelvin.";
    /// How much a voltage moves with temperature.
    VoltagePerTemperature, volts_per_kelvin, in_volts_per_kelvin, "Volts per kelvin.";
    /// A plain number that stands among quantities: a factor, a count.
    Number, of, get, "The number.";
}

impl Temperature {
    /// How much hotter this is than `other`.
    #[must_use]
    pub fn minus(self, other: Self) -> TemperatureRise {
        TemperatureRise(self.0 - other.0)
    }
    /// The temperature `rise` above this one.
    #[must_use]
    pub fn plus(self, rise: TemperatureRise) -> Self {
        Self(self.0 + rise.0)
    }
}

impl std::ops::Mul<Length> for ResistancePerLength {
    type Output = Resistance;
    fn mul(self, length: Length) -> Resistance {
        ohms(self.0 * length.si())
    }
}

/// Length of a run from one end to the other, counted once.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct OneWay(pub Length);

/// Length of conductor out and back.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Loop(pub Length);

impl OneWay {
    /// Out and back over the same run.
    #[must_use]
    pub fn there_and_back(self) -> Loop {
        Loop(self.0 * 2.0)
    }
}

impl Loop {
    /// The run whose two legs make this loop.
    #[must_use]
    pub fn one_way(self) -> OneWay {
        OneWay(self.0 * 0.5)
    }
}

/// The total order of two quantities; only for values that passed the door, where none is NaN.
#[must_use]
pub fn total_cmp<Q: Quantity>(a: Q, b: Q) -> std::cmp::Ordering {
    a.si().total_cmp(&b.si())
}
