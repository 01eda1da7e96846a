//! The one grammar: a number and its unit, or several of them for lengths and times.

use crate::{AnyQuantity, Kind, Quantity, Unit, UnitError};

/// Reads text as one quantity.
///
/// Accepted: `35 mm2`, `35 mm²`, `35mm2`, `12 ft 6 in`, `1.6 mΩ`, `45 °C`, `3 %`, `2 h 30 min`, `230 Ah`.
///
/// # Errors
/// [`UnitError`] names the field, what was expected and what was found. A bare number is refused.
///
/// ```
/// use orlop_units::{parse, amperes, Current};
/// assert_eq!(parse::<Current>("250 mA", "current").unwrap(), amperes(0.25));
/// assert_eq!(
///     parse::<Current>("25", "current").unwrap_err().to_string(),
///     "current: expected a current (A, mA, kA), got the bare number '25'; write the unit, for example '25 A'"
/// );
/// ```
pub fn parse<Q: Quantity>(text: &str, field: &str) -> Result<Q, UnitError> {
    read(text, field, Some(Q::KIND)).map(|any| Q::from_si(any.si))
}

/// Reads a plain number; exponents are accepted, infinities and words are not.
///
/// # Errors
/// [`UnitError::Unreadable`] or [`UnitError::Impossible`].
pub fn parse_number(text: &str, field: &str) -> Result<f64, UnitError> {
    read(text, field, Some(Kind::Number)).map(|any| any.si)
}

pub(crate) fn read(text: &str, field: &str, wanted: Option<Kind>) -> Result<AnyQuantity, UnitError> {
    let got = shorten(text.trim());
    let unreadable = |hint: String| UnitError::Unreadable {
        field: field.into(),
        what: wanted.map_or_else(
            || "a value with its unit, such as '25 A', '300 W' or '20 ft'".to_string(),
            Kind::with_units,
        ),
        got: got.clone(),
        hint,
    };
    let terms = split(text.trim()).ok_or_else(|| unreadable(hint_for(text.trim())))?;
    let mut total = 0.0;
    let mut kind = None;
    for (number, spelling) in &terms {
        if spelling.is_empty() && wanted != Some(Kind::Number) {
            let Some(expected) = wanted else {
                return Err(unreadable("; a bare number does not say what it is".into()));
            };
            return Err(UnitError::Bare { field: field.into(), expected, got });
        }
        let (found, unit) =
            find(spelling, wanted).ok_or_else(|| unreadable(hint_for_unit(spelling, wanted)))?;
        if let Some(expected) = wanted.filter(|w| *w != found) {
            return Err(UnitError::WrongKind { field: field.into(), expected, got, found });
        }
        if kind.is_some_and(|k| k != found) {
            return Err(unreadable("; the parts are of different kinds".into()));
        }
        kind = Some(found);
        total += unit.to_base(*number);
    }
    let kind = kind.ok_or_else(|| unreadable(String::new()))?;
    if terms.len() > 1 && !matches!(kind, Kind::Length | Kind::Time) {
        return Err(unreadable("; only lengths and times may have several parts".into()));
    }
    let impossible =
        |why: &str| UnitError::Impossible { field: field.into(), got: got.clone(), why: why.into() };
    if !total.is_finite() {
        return Err(impossible("is not a finite number"));
    }
    if kind == Kind::Temperature && total < -273.15 {
        return Err(impossible("is below absolute zero"));
    }
    Ok(AnyQuantity { kind, si: total, as_written: Some(text.trim().to_string()) })
}

/// Long nonsense is quoted by its beginning only.
fn shorten(text: &str) -> String {
    const MOST: usize = 60;
    if text.chars().count() <= MOST {
        return text.to_string();
    }
    text.chars().take(MOST).chain("...".chars()).collect()
}

fn find(spelling: &str, wanted: Option<Kind>) -> Option<(Kind, &'static Unit)> {
    let of = |kind: Kind| kind.unit(spelling).map(|unit| (kind, unit));
    wanted.and_then(of).or_else(|| Kind::ALL.iter().copied().find_map(of))
}

/// Cuts "12 ft 6 in" into (12, "ft"), (6, "in").
fn split(mut text: &str) -> Option<Vec<(f64, &str)>> {
    let mut terms = Vec::new();
    while !text.is_empty() {
        if terms.len() == 4 {
            return None;
        }
        let (number, rest) = leading_number(text)?;
        let rest = rest.trim_start();
        let end = next_term(rest);
        terms.push((number, rest[..end].trim_end()));
        text = rest[end..].trim_start();
    }
    (!terms.is_empty()).then_some(terms)
}

/// Where the unit ends and the next number begins: white space, then a digit.
fn next_term(text: &str) -> usize {
    let mut blank = None;
    for (at, c) in text.char_indices() {
        match blank {
            Some(start) if c.is_ascii_digit() => return start,
            _ if c.is_whitespace() => blank = blank.or(Some(at)),
            _ => blank = None,
        }
    }
    text.len()
}

fn leading_number(text: &str) -> Option<(f64, &str)> {
    let bytes = text.as_bytes();
    let mut at = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    let digits_from = at;
    while at < bytes.len() && (bytes[at].is_ascii_digit() || bytes[at] == b'.') {
        at += 1;
    }
    if at == digits_from {
        return None;
    }
    if at < bytes.len() && matches!(bytes[at], b'e' | b'E') {
        let mut exponent = at + 1;
        exponent += usize::from(matches!(bytes.get(exponent), Some(b'+' | b'-')));
        let first = exponent;
        while bytes.get(exponent).is_some_and(u8::is_ascii_digit) {
            exponent += 1;
        }
        if exponent > first {
            at = exponent;
        }
    }
    text[..at].parse().ok().map(|number| (number, &text[at..]))
}

fn hint_for(text: &str) -> String {
    if text.to_ascii_lowercase().contains("awg") {
        return "; a wire gauge names a conductor size, not a quantity".into();
    }
    String::new()
}

fn hint_for_unit(spelling: &str, wanted: Option<Kind>) -> String {
    match spelling {
        "C" => return "; write degC for a temperature, As for a charge".into(),
        _ if spelling.starts_with(',') => return "; write the decimal point as '.'".into(),
        "F" => return "; write degF for a temperature, mF or uF for a capacitance".into(),
        _ => {}
    }
    let general = hint_for(spelling);
    if !general.is_empty() {
        return general;
    }
    let lower = spelling.to_lowercase();
    let kinds = wanted.map_or(Kind::ALL.to_vec(), |kind| vec![kind]);
    kinds
        .iter()
        .flat_map(|kind| kind.units())
        .find(|unit| {
            !unit.symbol.is_empty()
                && std::iter::once(&unit.symbol).chain(unit.aliases).any(|s| s.to_lowercase() == lower)
        })
        .map_or_else(String::new, |unit| format!("; did you mean '{}'?", unit.symbol))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Area, Charge, Fraction, Length, Resistance, Temperature, Time, strategy::base_of};
    use proptest::prelude::*;

    fn si<Q: Quantity>(text: &str) -> f64 {
        parse::<Q>(text, "x").unwrap_or_else(|e| panic!("{e}")).si()
    }

    #[test]
    fn reads_what_people_write() {
        approx::assert_relative_eq!(si::<Area>("35 mm2"), 35e-6);
        approx::assert_relative_eq!(si::<Area>(" 35mm² "), 35e-6);
        approx::assert_relative_eq!(si::<Length>("12 ft 6 in"), 3.81);
        approx::assert_relative_eq!(si::<Length>("12' 6\""), 3.81);
        approx::assert_relative_eq!(si::<Resistance>("1.6 mΩ"), 0.0016);
        assert_eq!(si::<Temperature>("45 °C"), 45.0);
        approx::assert_relative_eq!(si::<Temperature>("113 degF"), 45.0, max_relative = 1e-12);
        approx::assert_relative_eq!(si::<Fraction>("3 %"), 0.03);
        assert_eq!(si::<Time>("2 h 30 min"), 9000.0);
        assert_eq!(si::<Charge>("230 Ah"), 828_000.0);
        approx::assert_relative_eq!(si::<Length>("-1.5e0 m"), -1.5);
    }

    #[test]
    fn says_what_is_wrong() {
        for (text, message) in [
            ("12 V", "w: expected a length (m, cm, mm, km, ft, in), got '12 V', a voltage"),
            ("", "w: expected a length (m, cm, mm, km, ft, in), got ''"),
            ("long", "w: expected a length (m, cm, mm, km, ft, in), got 'long'"),
            (
                "3,5 m",
                "w: expected a length (m, cm, mm, km, ft, in), got '3,5 m'; write the decimal point as '.'",
            ),
            ("3 MM", "w: expected a length (m, cm, mm, km, ft, in), got '3 MM'; did you mean 'mm'?"),
            ("NaN m", "w: expected a length (m, cm, mm, km, ft, in), got 'NaN m'"),
            ("inf m", "w: expected a length (m, cm, mm, km, ft, in), got 'inf m'"),
            ("1e999 m", "w: '1e999 m' is not a finite number"),
        ] {
            assert_eq!(parse::<Length>(text, "w").unwrap_err().to_string(), message);
        }
        assert!(
            parse::<Temperature>("25 C", "t")
                .unwrap_err()
                .to_string()
                .ends_with("write degC for a temperature, As for a charge")
        );
        assert_eq!(
            parse::<Temperature>("-300 degC", "t").unwrap_err().to_string(),
            "t: '-300 degC' is below absolute zero"
        );
    }

    #[test]
    fn each_spelling_belongs_to_one_kind() {
        let mut seen = std::collections::BTreeMap::new();
        for kind in Kind::ALL {
            for unit in kind.units() {
                for spelling in std::iter::once(&unit.symbol).chain(unit.aliases) {
                    assert!(seen.insert(*spelling, *kind).is_none(), "'{spelling}' twice");
                }
            }
        }
    }

    proptest! {
        #[test]
        fn never_panics(text in "\\PC*") {
            let _ = AnyQuantity::parse(&text, "x");
        }

        #[test]
        fn exact_text_reads_back_to_the_same_bits(index in 0..Kind::ALL.len(), seed in 0.0..1.0f64) {
            let kind = Kind::ALL[index];
            let (low, high) = kind.test_range();
            let si = low + (high - low) * seed;
            let text = crate::exact(kind, si);
            let back = read(&text, "x", Some(kind)).unwrap();
            prop_assert_eq!(back.si.to_bits(), si.to_bits(), "{}", text);
        }

        #[test]
        fn shown_text_reads_back_within_its_digits(
            (kind, si) in (0..Kind::ALL.len()).prop_flat_map(|i| (Just(Kind::ALL[i]), base_of(Kind::ALL[i]))),
        ) {
            let text = crate::show_si(kind, si);
            let back = read(&text, "x", Some(kind)).unwrap();
            prop_assert!((back.si - si).abs() <= 0.006 * si.abs().max(1e-9), "{} {} {}", text, back.si, si);
        }
    }
}
