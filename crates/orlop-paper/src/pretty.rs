//! Numbers and units as people print them: "16 mm²", "60 °C", "1.9 mΩ".

use orlop_units::{AnyQuantity, ConductorSize, Kind, Quantity};

/// Units as typed, and as printed.
const UNITS: &[(&str, &str)] = &[
    ("mm2", "mm²"),
    ("cm2", "cm²"),
    ("m2", "m²"),
    ("m3", "m³"),
    ("degC", "°C"),
    ("ohm", "Ω"),
    ("mohm", "mΩ"),
    ("uohm", "µΩ"),
    ("kohm", "kΩ"),
    ("Mohm", "MΩ"),
    ("ohm/m", "Ω/m"),
    ("mohm/m", "mΩ/m"),
    ("A2s", "A²s"),
    ("kA2s", "kA²s"),
    ("MA2s", "MA²s"),
    ("uF", "µF"),
];

/// Units that keep to their number on the same line.
const PLAIN: &[&str] = &[
    "A", "mA", "kA", "V", "mV", "W", "mW", "kW", "Wh", "kWh", "Ah", "m", "mm", "kg", "s", "h", "min", "K",
    "%", "AWG",
];

/// No-break space: keeps a number and its unit on one line.
const NBSP: char = '\u{a0}';

/// A quantity with three significant digits.
#[must_use]
pub fn show<Q: Quantity>(q: Q) -> String {
    units(&orlop_units::show(q))
}

/// A quantity whose kind is known at run time.
#[must_use]
pub fn any(q: &AnyQuantity) -> String {
    // A percentage below one loses its meaning with three digits of noise: two decimals are enough.
    if q.kind == Kind::Fraction {
        return percent(q.si);
    }
    units(&q.to_string())
}

/// A value with half the width of its 95 % interval, that with two significant digits.
#[must_use]
pub fn with_width(value: &AnyQuantity, half: Option<&AnyQuantity>) -> String {
    let shown = any(value);
    half.map_or(shown.clone(), |u| {
        let u = AnyQuantity { si: orlop_boat::survey::two_digits(u.si), as_written: None, ..u.clone() };
        format!("{shown} \u{b1} {}", any(&u))
    })
}

/// A share as a percentage with sensible digits.
#[must_use]
pub fn percent(share: f64) -> String {
    let number = share * 100.0;
    let text = if number.abs() >= 99.5 { format!("{number:.0}") } else { format!("{number:.1}") };
    let text = text.strip_suffix(".0").unwrap_or(&text);
    format!("{}{NBSP}%", if text == "-0" { "0" } else { text })
}

/// Volts to a hundredth.
///
/// ```
/// use orlop_paper::pretty::volts;
/// assert_eq!(volts(23.8756), "23.88\u{a0}V");
/// assert_eq!(volts(-0.001), "0.00\u{a0}V");
/// ```
#[must_use]
pub fn volts(volts: f64) -> String {
    let text = format!("{volts:.2}");
    format!("{}{NBSP}V", if text == "-0.00" { "0.00" } else { &text })
}

/// Volts lost: whole millivolts below one volt, and no digits below a millivolt.
///
/// ```
/// use orlop_paper::pretty::lost;
/// assert_eq!(lost(0.0314), "31\u{a0}mV");
/// assert_eq!(lost(0.0004), "< 1\u{a0}mV");
/// assert_eq!(lost(1.234), "1.23\u{a0}V");
/// ```
#[must_use]
pub fn lost(volts: f64) -> String {
    match volts.abs() {
        below if below < 1e-3 => format!("< 1{NBSP}mV"),
        below if below < 0.9995 => format!("{:.0}{NBSP}mV", volts * 1e3),
        _ => self::volts(volts),
    }
}

/// A quantity, or that it is not known.
#[must_use]
pub fn known<Q: Quantity>(q: Option<Q>) -> String {
    q.map_or_else(|| "not known".into(), show)
}

/// The name of a conductor size.
#[must_use]
pub fn size(size: ConductorSize) -> String {
    units(&size.to_string())
}

/// Replaces typed units behind numbers by printed ones, anywhere in a text.
///
/// ```
/// use orlop_paper::pretty::units;
/// assert_eq!(units("2.5 mm2 at 60 degC, 1.9 mohm."), "2.5\u{a0}mm² at 60\u{a0}°C, 1.9\u{a0}mΩ.");
/// assert_eq!(units("ohm and mm2 alone stay"), "ohm and mm2 alone stay");
/// ```
#[must_use]
pub fn units(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    let mut after_number = false;
    for (at, word) in text.split(' ').enumerate() {
        let core = word.trim_end_matches(['.', ',', ';', ':', ')', ']']);
        let tail = &word[core.len()..];
        let typed = UNITS.iter().find(|(typed, _)| *typed == core).map(|(_, printed)| *printed);
        let printed = typed.or_else(|| PLAIN.iter().copied().find(|u| *u == core));
        match printed.filter(|_| after_number) {
            Some(unit) => {
                out.push(NBSP);
                out += unit;
                out += tail;
            }
            None => {
                if at > 0 {
                    out.push(' ');
                }
                out += word;
            }
        }
        let digits = core.trim_start_matches(['(', '[', '-', '+']);
        after_number = tail.is_empty() && digits.starts_with(|c: char| c.is_ascii_digit());
    }
    out
}

/// How far a value is from its limit, in words: "12 % to spare", "17 % over".
#[must_use]
pub fn margin(margin: f64, at_most: bool) -> String {
    if margin >= 0.0 {
        return format!("{} to spare", percent(margin));
    }
    format!("{} {}", percent(-margin), if at_most { "over" } else { "short" })
}

#[cfg(test)]
mod tests {
    use super::*;
    use orlop_units::{metres, ohms};

    #[test]
    fn quantities() {
        assert_eq!(show(ohms(0.0019)), "1.9\u{a0}mΩ");
        assert_eq!(show(metres(8.7133)), "8.71\u{a0}m");
        assert_eq!(size(ConductorSize::Metric(250)), "2.5\u{a0}mm²");
        assert_eq!(size(ConductorSize::Awg(-1)), "2/0\u{a0}AWG");
    }

    #[test]
    fn shares() {
        assert_eq!(percent(0.03), "3\u{a0}%");
        assert_eq!(percent(0.0545), "5.5\u{a0}%");
        assert_eq!(percent(-0.0001), "0\u{a0}%");
        assert_eq!(percent(1.5), "150\u{a0}%");
        assert_eq!(margin(0.12, true), "12\u{a0}% to spare");
        assert_eq!(margin(-0.2, true), "20\u{a0}% over");
        assert_eq!(margin(-0.2, false), "20\u{a0}% short");
    }
}
