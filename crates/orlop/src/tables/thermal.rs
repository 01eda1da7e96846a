//! Heat: air constants, insulation, heat capacity, final temperatures.

use super::file;
use crate::source::{Citation, Confidence};
use std::sync::LazyLock;

/// One arrangement of cables in air: h = Z/De^g + E in W/m2 K^(5/4), De in metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirConstants {
    /// How the cables lie.
    pub arrangement: &'static str,
    /// How many there are.
    pub cables: u32,
    /// Whether they are fixed to a wall.
    pub on_wall: bool,
    /// Z.
    pub z: f64,
    /// E.
    pub e: f64,
    /// g.
    pub g: f64,
    /// How far the row can be trusted.
    pub confidence: Confidence,
}

static AIR: LazyLock<Vec<AirConstants>> = LazyLock::new(|| {
    let rows = file("iec60287_2_1_2023_air_constants").rows();
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    rows.map(|row| AirConstants {
        arrangement: row.text("arrangement"),
        cables: row.number("cables") as u32,
        on_wall: row.text("place") == "wall",
        z: row.number("z"),
        e: row.number("e"),
        g: row.number("g"),
        confidence: row.confidence(),
    })
    .collect()
});

/// Constants of so many cables, free or on a wall; empty where the document has none.
pub fn air_constants(cables: u32, on_wall: bool) -> impl Iterator<Item = &'static AirConstants> {
    AIR.iter().filter(move |a| a.cables == cables && a.on_wall == on_wall)
}

/// What an insulation is taken for when only its temperature rating is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Insulation {
    /// The material assumed.
    pub assumed: &'static str,
    /// The value: thermal resistivity in K m/W, or final temperature in degC.
    pub value: f64,
    /// Its source.
    pub citation: Citation,
}

/// The rows of one table: the rating up to which each holds, ascending.
type ByRating = LazyLock<Vec<(f64, Insulation)>>;

static RESISTIVITY: ByRating =
    LazyLock::new(|| read("iec60287_2_1_2023_insulation", "resistivity", "insulation"));
static FINAL: ByRating = LazyLock::new(|| read("iec60364_5_54_adiabatic", "final_c", "assumed"));

fn read(name: &str, value: &str, assumed: &str) -> Vec<(f64, Insulation)> {
    file(name)
        .rows()
        .map(|row| {
            let insulation =
                Insulation { assumed: row.text(assumed), value: row.number(value), citation: row.citation() };
            (row.number("up_to_c"), insulation)
        })
        .collect()
}

fn by_rating(table: &'static ByRating, rating: f64) -> Option<&'static Insulation> {
    table.iter().find(|(up_to, _)| rating <= *up_to).map(|(_, insulation)| insulation)
}

/// Thermal resistivity of an insulation by its rating in degC, K m/W.
#[must_use]
pub fn insulation_resistivity(rating: f64) -> Option<&'static Insulation> {
    by_rating(&RESISTIVITY, rating)
}

/// Temperature an insulation survives at the end of a short circuit, by its rating, degC.
#[must_use]
pub fn final_temperature(rating: f64) -> Option<&'static Insulation> {
    by_rating(&FINAL, rating)
}

/// Volumetric heat capacity of a conductor metal by its name, J/(K m3).
#[must_use]
pub fn heat_capacity(metal: &str) -> Option<f64> {
    let table = file("heat_capacity_iec60853_2");
    let found = table.rows().find(|row| row.text("material") == metal);
    found.map(|row| row.number("heat_capacity"))
}
