//! The one list of kinds: dimension word, units accepted, output unit.

/// A unit of one kind: `value in base unit = number * factor + offset`.
#[derive(Debug, PartialEq)]
pub struct Unit {
    /// The spelling that is printed.
    pub symbol: &'static str,
    /// Other spellings that are read.
    pub aliases: &'static [&'static str],
    /// Base units in one of these.
    pub factor: f64,
    /// Base units at zero of these (temperatures only).
    pub offset: f64,
    /// Whether [`crate::show`] may choose this unit.
    pub shown: bool,
}

macro_rules! unit {
    ($symbol:literal, $factor:expr $(, $alias:literal)*) => {
        Unit { symbol: $symbol, aliases: &[$($alias),*], factor: $factor, offset: 0.0, shown: true }
    };
}
macro_rules! read_only {
    ($symbol:literal, $factor:expr, $offset:expr $(, $alias:literal)*) => {
        Unit { symbol: $symbol, aliases: &[$($alias),*], factor: $factor, offset: $offset, shown: false }
    };
}

macro_rules! kinds {
    ($($kind:ident, $word:literal, $article:literal, $base:literal, $out:literal, $pint:literal,
       $low:literal .. $high:literal, [$($unit:expr),* $(,)?];)*) => {
        /// What sort of physical value something is.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
        #[serde(rename_all = "snake_case")]
        #[allow(missing_docs)]
        pub enum Kind { $($kind),* }

        impl Kind {
            /// Every kind, in the order of the list.
            pub const ALL: &'static [Kind] = &[$(Kind::$kind),*];

            /// The everyday word: "length", "voltage".
            #[must_use]
            pub fn word(self) -> &'static str {
                match self { $(Kind::$kind => $word),* }
            }
            /// The word with its article: "a length".
            #[must_use]
            pub fn with_article(self) -> &'static str {
                match self { $(Kind::$kind => concat!($article, " ", $word)),* }
            }
            /// The base unit that numbers are held in.
            #[must_use]
            pub fn base(self) -> &'static str {
                match self { $(Kind::$kind => $base),* }
            }
            /// The one unit of table columns and of Python quantities.
            #[must_use]
            pub fn output(self) -> &'static Unit {
                let symbol = match self { $(Kind::$kind => $out),* };
                self.units().iter().find(|u| u.symbol == symbol).expect("output unit is in the list")
            }
            /// The output unit as the Python units library spells it.
            #[must_use]
            pub fn pint(self) -> &'static str {
                match self { $(Kind::$kind => $pint),* }
            }
            /// Range, in base units, from which property tests draw.
            #[must_use]
            pub fn test_range(self) -> (f64, f64) {
                match self { $(Kind::$kind => ($low, $high)),* }
            }
            /// Units accepted, the commonest first.
            #[must_use]
            pub fn units(self) -> &'static [Unit] {
                match self { $(Kind::$kind => {
                    const LIST: &[Unit] = &[$($unit),*];
                    LIST
                })* }
            }
        }
    };
}

const INCH: f64 = 0.0254;
const POUND: f64 = 0.453_592_37;
const CIRCULAR_MIL: f64 = std::f64::consts::FRAC_PI_4 * 2.54e-5 * 2.54e-5;

kinds! {
    Length, "length", "a", "m", "m", "m", 0.001 .. 1000.0,
        [unit!("m", 1.0, "metre", "metres", "meter", "meters"), unit!("cm", 0.01), unit!("mm", 0.001), read_only!("km", 1000.0, 0.0),
         read_only!("ft", 12.0 * INCH, 0.0, "'", "foot", "feet"), read_only!("in", INCH, 0.0, "\"", "inch", "inches")];
    Area, "cross-section", "a", "m2", "mm2", "mm**2", 1e-7 .. 1e-3,
        [unit!("mm2", 1e-6, "mm²", "mm^2", "sqmm", "mm**2"), read_only!("cm2", 1e-4, 0.0, "cm²", "cm^2", "cm**2"), read_only!("m2", 1.0, 0.0, "m²", "m^2", "m**2"),
         read_only!("in2", INCH * INCH, 0.0, "in²", "in^2"), read_only!("cmil", CIRCULAR_MIL, 0.0, "circular mil", "circular mils")];
    Volume, "volume", "a", "m3", "l", "l", 1e-5 .. 10.0,
        [unit!("l", 1e-3, "L", "litre", "litres", "liter", "liters"), read_only!("m3", 1.0, 0.0, "m³", "m^3", "m**3"),
         read_only!("ft3", 0.028_316_846_592, 0.0, "ft³", "ft^3")];
    Mass, "mass", "a", "kg", "kg", "kg", 0.001 .. 1000.0,
        [unit!("kg", 1.0), unit!("g", 1e-3), read_only!("t", 1000.0, 0.0), read_only!("lb", POUND, 0.0, "lbs")];
    Time, "time", "a", "s", "s", "s", 1e-4 .. 1e7,
        [unit!("s", 1.0, "sec", "second", "seconds"), unit!("ms", 1e-3), unit!("min", 60.0, "minute", "minutes"), unit!("h", 3600.0, "hr", "hour", "hours"),
         read_only!("d", 86400.0, 0.0, "day", "days"), read_only!("month", 2_629_746.0, 0.0, "months"), read_only!("year", 31_556_952.0, 0.0, "years", "a")];
    Current, "current", "a", "A", "A", "A", 1e-3 .. 1e4,
        [unit!("A", 1.0, "amp", "amps", "ampere", "amperes"), unit!("mA", 1e-3), unit!("kA", 1e3)];
    Voltage, "voltage", "a", "V", "V", "V", 1e-3 .. 1000.0,
        [unit!("V", 1.0, "volt", "volts", "Vdc"), unit!("mV", 1e-3), read_only!("kV", 1e3, 0.0)];
    Resistance, "resistance", "a", "ohm", "ohm", "ohm", 1e-6 .. 1e6,
        [unit!("ohm", 1.0, "\u{3a9}", "\u{2126}", "ohms"), unit!("mohm", 1e-3, "m\u{3a9}", "m\u{2126}", "milliohm"), unit!("uohm", 1e-6, "\u{b5}\u{3a9}", "\u{3bc}\u{3a9}", "\u{b5}\u{2126}", "u\u{3a9}", "\u{b5}ohm", "microohm"),
         unit!("kohm", 1e3, "k\u{3a9}", "k\u{2126}"), unit!("Mohm", 1e6, "M\u{3a9}", "M\u{2126}", "megohm")];
    Power, "power", "a", "W", "W", "W", 1e-3 .. 1e5,
        [unit!("W", 1.0, "watt", "watts"), unit!("kW", 1e3), unit!("mW", 1e-3)];
    Energy, "energy", "an", "J", "Wh", "W*h", 1.0 .. 1e9,
        [unit!("Wh", 3600.0, "W*h", "W h", "W·h"), unit!("kWh", 3.6e6, "kW*h", "kW h"), read_only!("J", 1.0, 0.0), read_only!("kJ", 1e3, 0.0), read_only!("MJ", 1e6, 0.0)];
    Charge, "charge", "a", "C", "Ah", "A*h", 1.0 .. 1e7,
        [unit!("Ah", 3600.0, "A*h", "A h", "A·h"), unit!("mAh", 3.6, "mA*h"), read_only!("As", 1.0, 0.0, "A*s", "A s", "coulomb")];
    Capacitance, "capacitance", "a", "F", "mF", "mF", 1e-6 .. 10.0,
        [unit!("mF", 1e-3), unit!("uF", 1e-6, "\u{b5}F", "\u{3bc}F"), read_only!("F", 1.0, 0.0, "farad")];
    Force, "force", "a", "N", "N", "N", 0.1 .. 1e5,
        [unit!("N", 1.0), unit!("kN", 1e3), read_only!("kgf", 9.806_65, 0.0), read_only!("lbf", POUND * 9.806_65, 0.0)];
    Pressure, "pressure", "a", "Pa", "kPa", "kPa", 1.0 .. 1e7,
        [unit!("kPa", 1e3), unit!("Pa", 1.0), read_only!("MPa", 1e6, 0.0), read_only!("bar", 1e5, 0.0), read_only!("psi", POUND * 9.806_65 / (INCH * INCH), 0.0)];
    Torque, "torque", "a", "N m", "Nm", "N*m", 0.1 .. 200.0,
        [unit!("Nm", 1.0, "N m", "N*m", "N·m"), read_only!("lbf in", POUND * 9.806_65 * INCH, 0.0, "in lbf"), read_only!("lbf ft", POUND * 9.806_65 * 12.0 * INCH, 0.0, "ft lbf")];
    Temperature, "temperature", "a", "degC", "degC", "degC", -50.0 .. 400.0,
        [unit!("degC", 1.0, "°C", "celsius", "deg C"), read_only!("degF", 5.0 / 9.0, -160.0 / 9.0, "°F", "fahrenheit", "deg F"), read_only!("kelvin", 1.0, -273.15)];
    TemperatureRise, "temperature rise", "a", "K", "K", "delta_degC", 0.01 .. 300.0,
        [unit!("K", 1.0, "delta_degC", "kelvins"), read_only!("delta_degF", 5.0 / 9.0, 0.0)];
    Fraction, "percentage", "a", "1", "%", "percent", 0.0 .. 1.0,
        [unit!("%", 0.01, "percent", "pct", "per cent"), read_only!("pu", 1.0, 0.0, "per unit")];
    ResistancePerLength, "resistance per length", "a", "ohm/m", "mohm/m", "mohm/m", 1e-5 .. 1.0,
        [unit!("mohm/m", 1e-3, "m\u{3a9}/m", "m\u{2126}/m"), read_only!("ohm/km", 1e-3, 0.0, "\u{3a9}/km", "\u{2126}/km"), read_only!("ohm/m", 1.0, 0.0, "\u{3a9}/m", "\u{2126}/m"),
         read_only!("ohm/kft", 1.0 / 304.8, 0.0, "Ω/kft")];
    MassPerLength, "mass per length", "a", "kg/m", "kg/m", "kg/m", 1e-4 .. 20.0,
        [unit!("kg/m", 1.0), unit!("g/m", 1e-3), read_only!("lb/ft", POUND / 0.3048, 0.0)];
    LetThrough, "let-through", "a", "A2s", "A2s", "A**2*s", 1.0 .. 1e9,
        [unit!("A2s", 1.0, "A²s", "A^2 s", "A**2*s", "A2 s"), unit!("kA2s", 1e3, "kA²s", "kA^2 s", "kA2 s"), unit!("MA2s", 1e6, "MA²s", "MA^2 s", "MA2 s")];
    ThermalResistance, "thermal resistance", "a", "K m/W", "K m/W", "K*m/W", 1e-3 .. 100.0,
        [unit!("K m/W", 1.0, "K·m/W", "Km/W", "K*m/W")];
    PowerPerLength, "power per length", "a", "W/m", "W/m", "W/m", 1e-4 .. 1e3,
        [unit!("W/m", 1.0)];
    SpecificEnergy, "energy per mass", "an", "J/kg", "Wh/kg", "W*h/kg", 1e3 .. 1e6,
        [unit!("Wh/kg", 3600.0, "W*h/kg"), read_only!("J/kg", 1.0, 0.0), read_only!("kJ/kg", 1e3, 0.0)];
    SpecificHeat, "specific heat", "a", "J/(kg K)", "J/(kg K)", "J/(kg*K)", 100.0 .. 5000.0,
        [unit!("J/(kg K)", 1.0, "J/kg/K", "J/(kg*K)"), read_only!("kJ/(kg K)", 1e3, 0.0)];
    VoltagePerTemperature, "voltage per temperature", "a", "V/K", "mV/K", "mV/K", 1e-6 .. 0.1,
        [unit!("mV/K", 1e-3, "mV/degC"), read_only!("V/K", 1.0, 0.0)];
    Number, "plain number", "a", "1", "", "dimensionless", 1e-3 .. 1e3,
        [unit!("", 1.0)];
}

impl Kind {
    /// The word with the units accepted: "a length (m, cm, mm, km, ft, in)".
    #[must_use]
    pub fn with_units(self) -> String {
        let units: Vec<_> = self.units().iter().map(|u| u.symbol).filter(|s| !s.is_empty()).collect();
        if units.is_empty() {
            return self.with_article().to_string();
        }
        format!("{} ({})", self.with_article(), units.join(", "))
    }

    /// Finds a unit of this kind by any of its spellings.
    #[must_use]
    pub fn unit(self, spelling: &str) -> Option<&'static Unit> {
        self.units().iter().find(|u| u.symbol == spelling || u.aliases.contains(&spelling))
    }
}

impl Unit {
    /// From a number in this unit to the base unit.
    #[must_use]
    pub fn to_base(&self, number: f64) -> f64 {
        number * self.factor + self.offset
    }

    /// From the base unit to a number in this unit.
    #[must_use]
    pub fn from_base(&self, base: f64) -> f64 {
        (base - self.offset) / self.factor
    }
}
