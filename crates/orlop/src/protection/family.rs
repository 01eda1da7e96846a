//! Families of devices, one per standard and curve.

use super::curves::{Band, band};
use crate::choice::choice;
use crate::error::Error;
use crate::range::Range;
use crate::source::{Citation, Confidence};
use crate::tables::{Row, file};
use orlop_units::{Current, Quantity, Resistance, Temperature, Voltage, amperes, ohms, volts};
use std::sync::LazyLock;

choice! {
    /// How a device interrupts.
    DeviceKind {
        /// By melting, once.
        Fuse = "fuse",
        /// By opening contacts, and it can be closed again.
        Breaker = "breaker",
    }
}

/// One family: all devices of one standard and shape of curve.
#[derive(Debug, PartialEq)]
pub struct Family {
    /// Its id in boat files: `iso8820-3-blade`.
    pub id: String,
    /// Its name for people.
    pub name: String,
    /// The standard.
    pub standard: String,
    /// Fuse or breaker.
    pub kind: DeviceKind,
    /// Its ratings, ascending.
    pub ratings: Vec<Current>,
    /// Where the list of ratings comes from.
    pub ratings_source: String,
    /// Highest DC voltage by the standard; none when it states none.
    pub voltage: Option<Voltage>,
    /// Another DC voltage for which the same shape is made; never assumed, see [`Device::declared`](super::Device::declared).
    pub other_voltage: Option<Voltage>,
    /// DC breaking capacity at that voltage; none when none is stated, and none counts as zero.
    pub breaking: Option<Current>,
    /// How that breaking capacity is meant.
    pub breaking_note: String,
    /// Up to this ambient it carries its rating.
    pub reference_ambient: Temperature,
    /// Share of the rating lost for each kelvin above it.
    pub derating_per_kelvin: f64,
    /// How far reference ambient and derating can be trusted.
    pub derating_confidence: Confidence,
    /// Largest ratio of hot to cold resistance, where known.
    pub hot_resistance_ratio: Option<f64>,
    /// The standard and how far voltage and breaking capacity can be trusted.
    pub citation: Citation,
    /// One for each rating.
    pub(super) bands: Vec<Band>,
    /// From cold to hot, one for each rating; none where no source gives it.
    pub(super) resistances: Vec<Option<Range<Resistance>>>,
}

static FAMILIES: LazyLock<Vec<Family>> =
    LazyLock::new(|| file("protection_families").rows().map(Family::read).collect());

/// All families, in the order of the data file.
#[must_use]
pub fn families() -> &'static [Family] {
    &FAMILIES
}

/// The family of an id.
///
/// ```
/// let strip = orlop::protection::family("iso8820-5-strip").unwrap();
/// assert_eq!(strip.breaking, Some(orlop::units::amperes(2000.0)));
/// assert!(orlop::protection::family("strip").unwrap_err().to_string().contains("iso8820-5-strip"));
/// ```
///
/// # Errors
/// [`Error::Input`] with all ids.
pub fn family(id: &str) -> Result<&'static Family, Error> {
    families().iter().find(|f| f.id == id.trim()).ok_or_else(|| {
        let ids: Vec<_> = families().iter().map(|f| f.id.as_str()).collect();
        Error::input("family", format!("'{}'", id.trim()), format!("one of {}", ids.join(", ")))
    })
}

/// The standard behind each family, with how far its voltage and breaking capacity can be trusted.
#[must_use]
pub fn standards() -> Vec<Citation> {
    families().iter().map(|f| f.citation.clone()).collect()
}

impl Family {
    fn read(row: Row<'_>) -> Self {
        let own = |column: &str| row.text(column).to_string();
        let kind = DeviceKind::parse(row.text("kind"), "kind").expect("kind of a family");
        let word = row.text("derating_confidence");
        let ratings: Vec<f64> =
            row.text("ratings_a").split_whitespace().map(|r| r.parse().expect("a rating")).collect();
        Self {
            id: own("id"),
            name: own("name"),
            standard: own("standard"),
            kind,
            resistances: ratings
                .iter()
                .map(|r| resistance(*r, row.optional("hot_resistance_ratio")))
                .collect(),
            bands: ratings.iter().map(|r| band(row.text("id"), kind, *r)).collect(),
            ratings: ratings.into_iter().map(amperes).collect(),
            ratings_source: own("ratings_source"),
            voltage: row.optional("voltage_v").map(volts),
            other_voltage: row.optional("other_voltage_v").map(volts),
            breaking: row.optional("breaking_a").map(amperes),
            breaking_note: own("breaking_note"),
            reference_ambient: Temperature::celsius(row.number("reference_ambient_c")),
            derating_per_kelvin: row.number("derating_percent_per_k") / 100.0,
            derating_confidence: Confidence::parse(word).expect("confidence of a derating"),
            hot_resistance_ratio: row.optional("hot_resistance_ratio"),
            citation: Citation {
                id: own("id").into(),
                document: own("standard").into(),
                edition: own("edition").into(),
                place: own("place").into(),
                title: own("name").into(),
                confidence: row.confidence(),
                reading: own("reading").into(),
            },
        }
    }

    /// The smallest rating of the family at or above a current.
    #[must_use]
    pub fn next_rating(&self, current: Current) -> Option<Current> {
        self.ratings.iter().copied().find(|r| crate::meets(r.si(), crate::Sense::AtLeast, current.si()))
    }
}

/// Between the ratings of the table interpolated on double-logarithmic paper; `hot` is the ratio to cold, where the table is for a
/// family at all.
fn resistance(rating: f64, hot: Option<f64>) -> Option<Range<Resistance>> {
    let hot = hot?;
    let rows: Vec<(f64, f64)> = file("iso8820_blade_resistance")
        .rows()
        .map(|r| (r.number("rating_a"), r.number("cold_mohm") * 1e-3))
        .collect();
    let cold = rows.windows(2).find(|w| (w[0].0..=w[1].0).contains(&rating)).map(|w| {
        let ((i1, r1), (i2, r2)) = (w[0], w[1]);
        r1 * (rating / i1).powf((r2 / r1).ln() / (i2 / i1).ln())
    })?;
    Some(Range::new(ohms(cold), ohms(cold * hot)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_family_is_whole() {
        for f in families() {
            assert!(f.ratings.windows(2).all(|w| w[0] < w[1]), "{}: ratings ascend", f.id);
            assert!(!f.ratings.is_empty() && f.ratings[0].si() > 0.0, "{}", f.id);
            assert!((0.0..0.02).contains(&f.derating_per_kelvin), "{}", f.id);
            assert_eq!(
                f.breaking.is_some(),
                f.voltage.is_some(),
                "{}: a breaking capacity holds at a voltage",
                f.id
            );
            assert!(!f.breaking_note.is_empty(), "{}", f.id);
        }
    }

    #[test]
    fn next_rating_takes_an_equal_one() {
        let f = family("iso8820-3-blade").unwrap();
        assert_eq!(f.next_rating(amperes(10.0)), Some(amperes(10.0)));
        assert_eq!(f.next_rating(amperes(10.1)), Some(amperes(15.0)));
        assert_eq!(f.next_rating(amperes(41.0)), None);
    }
}
