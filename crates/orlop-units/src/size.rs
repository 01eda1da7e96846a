//! Names of conductor sizes, exact: never a float that was converted.

use crate::{Area, Quantity, UnitError, parse, square_millimetres};

/// Which series a conductor size belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum SizeSystem {
    /// American wire gauge, ASTM B258.
    Awg,
    /// The smaller minimum areas of SAE conductors.
    Sae,
    /// Square millimetres, IEC 60228.
    Metric,
}

impl SizeSystem {
    /// The word used in boat files: `awg`, `sae`, `metric`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Awg => "awg",
            Self::Sae => "sae",
            Self::Metric => "metric",
        }
    }

    /// Reads the word.
    ///
    /// # Errors
    /// [`UnitError::Unreadable`] with the three choices.
    pub fn parse(text: &str, field: &str) -> Result<Self, UnitError> {
        match text.trim() {
            "awg" => Ok(Self::Awg),
            "sae" => Ok(Self::Sae),
            "metric" => Ok(Self::Metric),
            other => Err(UnitError::Unreadable {
                field: field.into(),
                what: "one of awg, sae, metric".into(),
                got: other.into(),
                hint: String::new(),
            }),
        }
    }
}

/// The exact name of a conductor size.
///
/// `"6 AWG"` is the ASTM gauge, `"SAE 6"` the smaller SAE minimum of the same number, `"16 mm2"` the metric size.
///
/// ```
/// use orlop_units::ConductorSize;
/// let size = ConductorSize::parse("0000 AWG", "size").unwrap();
/// assert_eq!(size.to_string(), "4/0 AWG");
/// assert_eq!(ConductorSize::parse("2.5mm²", "size").unwrap().to_string(), "2.5 mm2");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ConductorSize {
    /// Gauge number; 0 is 1/0, -3 is 4/0.
    Awg(i8),
    /// Gauge number of the SAE series; 0 is 1/0, -3 is 4/0.
    Sae(i8),
    /// Hundredths of a square millimetre: 250 is 2.5 mm2.
    Metric(u32),
}

impl ConductorSize {
    /// The series.
    #[must_use]
    pub fn system(self) -> SizeSystem {
        match self {
            Self::Awg(_) => SizeSystem::Awg,
            Self::Sae(_) => SizeSystem::Sae,
            Self::Metric(_) => SizeSystem::Metric,
        }
    }

    /// Nominal area of a metric size.
    #[must_use]
    pub fn metric_area(self) -> Option<Area> {
        match self {
            Self::Metric(hundredths) => Some(square_millimetres(f64::from(hundredths) / 100.0)),
            _ => None,
        }
    }

    /// Reads a size.
    ///
    /// # Errors
    /// [`UnitError`] with the three ways of writing one.
    pub fn parse(text: &str, field: &str) -> Result<Self, UnitError> {
        let text = text.trim();
        let unreadable = |hint: &str| UnitError::Unreadable {
            field: field.into(),
            what: "a conductor size such as '6 AWG', '2/0 AWG', 'SAE 6' or '16 mm2'".into(),
            got: text.chars().take(60).collect(),
            hint: hint.into(),
        };
        let upper = text.to_ascii_uppercase();
        for (word, make) in [("AWG", Self::Awg as fn(i8) -> Self), ("SAE", Self::Sae as fn(i8) -> Self)] {
            let number = upper.strip_suffix(word).or_else(|| upper.strip_prefix(word));
            if let Some(number) = number {
                return gauge(number.trim().trim_start_matches('#'))
                    .map(make)
                    .ok_or_else(|| unreadable("; gauges go from 4/0 to 40"));
            }
        }
        if text.parse::<f64>().is_ok() {
            return Err(unreadable("; write the unit, mm2 or AWG"));
        }
        let area: Area = parse(text, field).map_err(|error| match error {
            UnitError::Unreadable { hint, .. } => unreadable(&hint),
            other => other,
        })?;
        let hundredths = area.si() * 1e8;
        if !(1.0..=1e7).contains(&hundredths) || (hundredths - hundredths.round()).abs() > 1e-6 * hundredths {
            return Err(unreadable("; metric sizes are whole hundredths of a square millimetre above zero"));
        }
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        Ok(Self::Metric(hundredths.round() as u32))
    }
}

fn gauge(text: &str) -> Option<i8> {
    if let Some(zeros) = text.strip_suffix("/0") {
        let n: i8 = zeros.parse().ok()?;
        return (1..=4).contains(&n).then_some(1 - n);
    }
    if (1..=4).contains(&text.len()) && text.bytes().all(|b| b == b'0') {
        return i8::try_from(text.len()).ok().map(|n| 1 - n);
    }
    let n: i8 = text.parse().ok()?;
    (1..=40).contains(&n).then_some(n)
}

impl std::fmt::Display for ConductorSize {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let number = |n: i8| if n <= 0 { format!("{}/0", 1 - n) } else { n.to_string() };
        match *self {
            Self::Awg(n) => write!(f, "{} AWG", number(n)),
            Self::Sae(n) => write!(f, "SAE {}", number(n)),
            Self::Metric(hundredths) => write!(f, "{} mm2", f64::from(hundredths) / 100.0),
        }
    }
}

impl serde::Serialize for ConductorSize {
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

impl<'de> serde::Deserialize<'de> for ConductorSize {
    fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let text = <String as serde::Deserialize>::deserialize(d)?;
        Self::parse(&text, "size").map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_the_ways_people_write_gauges() {
        for (text, printed) in [
            ("6 AWG", "6 AWG"),
            ("AWG 6", "6 AWG"),
            ("6awg", "6 AWG"),
            ("#6 AWG", "6 AWG"),
            ("4/0 AWG", "4/0 AWG"),
            ("0000 AWG", "4/0 AWG"),
            ("0 AWG", "1/0 AWG"),
            ("SAE 2/0", "SAE 2/0"),
            ("16 mm2", "16 mm2"),
            ("0.75 mm²", "0.75 mm2"),
        ] {
            assert_eq!(ConductorSize::parse(text, "s").unwrap().to_string(), printed);
        }
    }

    #[test]
    fn refuses_the_rest() {
        for text in ["6", "6 gauge", "-2 AWG", "5/0 AWG", "41 AWG", "0 mm2", "-4 mm2", "NaN mm2", "12 V", ""]
        {
            assert!(ConductorSize::parse(text, "size").is_err(), "{text}");
        }
    }

    #[test]
    fn printed_name_reads_back() {
        for n in -3..=40 {
            for size in [ConductorSize::Awg(n), ConductorSize::Sae(n)] {
                assert_eq!(ConductorSize::parse(&size.to_string(), "s"), Ok(size));
            }
        }
        for hundredths in [5, 75, 100, 250, 600, 1600, 12000, 30000] {
            let size = ConductorSize::Metric(hundredths);
            assert_eq!(ConductorSize::parse(&size.to_string(), "s"), Ok(size));
        }
    }
}
