//! Printing: sensible digits and a chosen unit for people, exact text for files.

use crate::{Kind, Quantity, Unit};

/// Text for people: three significant digits, the unit chosen so that the number is handy.
///
/// ```
/// use orlop_units::{show, ohms, amperes, metres};
/// assert_eq!(show(ohms(0.001_94)), "1.94 mohm");
/// assert_eq!(show(amperes(10_634.9)), "10.6 kA");
/// assert_eq!(show(metres(8.7133)), "8.71 m");
/// ```
#[must_use]
pub fn show<Q: Quantity>(q: Q) -> String {
    show_si(Q::KIND, q.si())
}

/// The same for a kind known at run time; `si` is in the kind's base unit.
#[must_use]
pub fn show_si(kind: Kind, si: f64) -> String {
    show_in(handy(kind, si), si)
}

fn show_in(unit: &Unit, si: f64) -> String {
    let number = significant(unit.from_base(si), 3);
    match unit.symbol {
        "" => number,
        symbol @ ("year" | "month") if number != "1" => format!("{number} {symbol}s"),
        symbol => format!("{number} {symbol}"),
    }
}

/// Two ends of a range, where known, in one unit where that reads well: "23.8 years to 55.9 years", "45 min to 90 min".
///
/// Times whose ends are within a factor of twenty are both given in the unit of the lower; other kinds each in its own unit.
///
/// ```
/// use orlop_units::{show_range, Kind};
/// assert_eq!(show_range(Kind::Time, Some(2700.0), Some(5400.0)), "45 min to 90 min");
/// assert_eq!(show_range(Kind::Time, None, Some(7.0e8)), "not known to 22.2 years");
/// ```
#[must_use]
pub fn show_range(kind: Kind, low: Option<f64>, high: Option<f64>) -> String {
    const FAR_APART: f64 = 20.0;
    let text = |si: Option<f64>| si.map_or_else(|| "not known".into(), |si| show_si(kind, si));
    match (low, high) {
        (Some(a), Some(b)) if text(low) == text(high) || a == b => text(low),
        (Some(a), Some(b)) if kind == Kind::Time && a > 0.0 && b < FAR_APART * a => {
            let unit = handy(kind, a);
            format!("{} to {}", show_in(unit, a), show_in(unit, b))
        }
        _ => format!("{} to {}", text(low), text(high)),
    }
}

/// Text that [`crate::parse`] reads back to the same bits.
///
/// The output unit is used where it can carry the value exactly, else another unit of the kind.
#[must_use]
pub fn exact(kind: Kind, si: f64) -> String {
    let output = kind.output();
    std::iter::once(output)
        .chain(kind.units())
        .filter_map(|unit| {
            let number = unit.from_base(si);
            let text = plain_number(number);
            let back: f64 = text.parse().ok()?;
            (unit.to_base(back).to_bits() == si.to_bits()).then_some((text, unit))
        })
        .map(|(text, unit)| format!("{text} {}", unit.symbol).trim_end().to_string())
        .next()
        .unwrap_or_else(|| format!("{} {}", output.from_base(si), output.symbol))
}

/// The shortest text of a number that reads back to the same bits.
#[must_use]
pub fn plain_number(number: f64) -> String {
    let text = format!("{number}");
    if text.len() > 20 { format!("{number:e}") } else { text }
}

/// A number with so many significant digits, without trailing zeros and without an exponent.
///
/// ```
/// assert_eq!(orlop_units::significant(0.123456, 3), "0.123");
/// assert_eq!(orlop_units::significant(12345.6, 3), "12346");
/// assert_eq!(orlop_units::significant(2.5, 3), "2.5");
/// ```
#[must_use]
pub fn significant(number: f64, digits: usize) -> String {
    if number == 0.0 {
        return "0".into();
    }
    let magnitude = number.abs().log10().floor();
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let decimals = (digits as f64 - 1.0 - magnitude).clamp(0.0, 12.0) as usize;
    let text = format!("{number:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_string() } else { text }
}

fn handy(kind: Kind, si: f64) -> &'static Unit {
    let output = kind.output();
    let size = |unit: &Unit| unit.from_base(si).abs();
    if kind == Kind::Time {
        let pick = |symbol| kind.unit(symbol).expect("listed");
        return match si.abs() {
            x if x >= 2.0 * 31_556_952.0 => pick("year"),
            x if x >= 60.0 * 86400.0 => pick("month"),
            x if x >= 4.0 * 86400.0 => pick("d"),
            x if x >= 3600.0 => pick("h"),
            x if x >= 60.0 => pick("min"),
            x if x >= 0.1 || x == 0.0 => pick("s"),
            _ => pick("ms"),
        };
    }
    if si == 0.0 || (0.1..1000.0).contains(&size(output)) || kind == Kind::Temperature {
        return output;
    }
    let shown = || kind.units().iter().filter(|unit| unit.shown && unit.symbol != "cm");
    shown().find(|unit| (1.0..1000.0).contains(&size(unit))).unwrap_or_else(|| {
        // Less than one of the smallest unit: that unit still has the fewest zeros.
        shown()
            .max_by(|a, b| size(a).total_cmp(&size(b)))
            .filter(|unit| size(output) < 0.1 && size(unit) < 1.0)
            .unwrap_or(output)
    })
}

#[cfg(test)]
mod tests {
    use super::{show_range, show_si};
    use crate::Kind;

    #[test]
    fn long_times_are_said_as_people_say_them_and_read_back() {
        let day = 86400.0;
        let shown = [
            (90.0, "1.5 min"),
            (3.0 * day, "72 h"),
            (14.0 * day, "14 d"),
            (120.0 * day, "3.94 months"),
            (23.8 * 31_556_952.0, "23.8 years"),
        ];
        for (si, text) in shown {
            assert_eq!(show_si(Kind::Time, si), text);
            let back = crate::AnyQuantity::parse_kind(text, "time", Kind::Time).unwrap().si;
            assert!((back / si - 1.0).abs() < 0.005, "{text}: {back}");
        }
    }

    #[test]
    fn small_values_have_few_zeros() {
        assert_eq!(show_si(Kind::Current, 51.2e-6), "0.0512 mA");
        assert_eq!(show_si(Kind::Current, 0.0512), "51.2 mA");
        assert_eq!(show_si(Kind::Charge, 0.0), "0 Ah");
    }

    #[test]
    fn both_ends_have_one_unit_unless_they_are_far_apart() {
        let range = |a: f64, b: f64| show_range(Kind::Time, Some(a), Some(b));
        assert_eq!(range(23.8 * 31_556_952.0, 55.9 * 31_556_952.0), "23.8 years to 55.9 years");
        assert_eq!(range(50.0 * 3600.0, 120.0 * 3600.0), "50 h to 120 h");
        assert_eq!(range(0.02, 600.0), "20 ms to 10 min");
        assert_eq!(range(60.0, 60.0), "1 min");
        assert_eq!(show_range(Kind::Time, Some(1e9), None), "31.7 years to not known");
        assert_eq!(show_range(Kind::Resistance, Some(9e-4), Some(1.1e-3)), "900 uohm to 1.1 mohm");
    }
}
