//! Areas, resistances, tin and walls of conductors.

use super::file;
use crate::source::Confidence;
use orlop_units::{Area, Length, Quantity, ResistancePerLength, SizeSystem, millimetres, square_millimetres};
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// Circular mils to square millimetres: a circle of one thousandth of an inch.
pub const SQUARE_MILLIMETRES_PER_CIRCULAR_MIL: f64 = std::f64::consts::FRAC_PI_4 * 0.0254 * 0.0254;

/// Resistance of one metric copper conductor at 20 degC, IEC 60228.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MetricCopper {
    /// Class 2, plain.
    pub class2_plain: ResistancePerLength,
    /// Class 2, tinned.
    pub class2_tinned: ResistancePerLength,
    /// Class 5, plain.
    pub class5_plain: ResistancePerLength,
    /// Class 5, tinned.
    pub class5_tinned: ResistancePerLength,
}

static METRIC: LazyLock<BTreeMap<u32, MetricCopper>> = LazyLock::new(|| {
    let rows = file("iec60228_2004_copper_resistance").rows();
    rows.map(|row| {
        let per_km = |column| ResistancePerLength::ohms_per_metre(row.number(column) / 1000.0);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let hundredths = (row.number("mm2") * 100.0).round() as u32;
        let copper = MetricCopper {
            class2_plain: per_km("class2_plain"),
            class2_tinned: per_km("class2_tinned"),
            class5_plain: per_km("class5_plain"),
            class5_tinned: per_km("class5_tinned"),
        };
        (hundredths, copper)
    })
    .collect()
});

/// IEC 60228 resistances of a metric size in hundredths of a square millimetre.
#[must_use]
pub fn metric_copper(hundredths: u32) -> Option<MetricCopper> {
    METRIC.get(&hundredths).copied()
}

/// The metric sizes of IEC 60228 that the table holds, in hundredths of a square millimetre, ascending.
pub fn metric_sizes() -> impl Iterator<Item = u32> {
    METRIC.keys().copied()
}

static SAE: LazyLock<BTreeMap<i8, (Area, Confidence)>> = LazyLock::new(|| {
    let rows = file("sae_minimum_areas").rows();
    rows.map(|row| {
        #[allow(clippy::cast_possible_truncation)]
        let gauge = row.number("gauge") as i8;
        let area = square_millimetres(row.number("cmil") * SQUARE_MILLIMETRES_PER_CIRCULAR_MIL);
        (gauge, (area, row.confidence()))
    })
    .collect()
});

/// Minimum area of an SAE gauge, and how far it can be trusted.
#[must_use]
pub fn sae_minimum_area(gauge: i8) -> Option<(Area, Confidence)> {
    SAE.get(&gauge).copied()
}

/// Resistivity of tinned copper strands against plain ones, ASTM B33, by the diameter of a strand.
///
/// Nothing is known outside 0.0030 to 0.460 in.
///
/// ```
/// use orlop::{tables::wires::tin_factor, units::millimetres};
/// let fine = tin_factor(millimetres(0.254)).unwrap();
/// assert!((fine - 1.0735).abs() < 1e-4);
/// ```
#[must_use]
pub fn tin_factor(strand: Length) -> Option<f64> {
    /// Pure annealed copper in the unit of the table, ohm lb/mile2.
    const ANNEALED: f64 = 875.20;
    let inches = strand.si() / 0.0254;
    file("astm_b33_2004_tinned_copper")
        .rows()
        .find(|row| inches >= row.number("thinnest_in") && inches <= row.number("thickest_in"))
        .map(|row| row.number("ohm_lb_per_mile2") / ANNEALED)
}

struct Wall {
    gauge: bool,
    up_to: Area,
    wall: Length,
}

static WALLS: LazyLock<Vec<Wall>> = LazyLock::new(|| {
    let rows = file("cable_walls_typical").rows();
    rows.map(|row| Wall {
        gauge: row.text("series") == "gauge",
        up_to: square_millimetres(row.number("up_to_mm2")),
        wall: millimetres(row.number("wall_mm")),
    })
    .collect()
});

/// Typical insulation wall of a single-core cable.
#[must_use]
pub fn typical_wall(system: SizeSystem, area: Area) -> Option<Length> {
    let gauge = system != SizeSystem::Metric;
    WALLS.iter().find(|w| w.gauge == gauge && area <= w.up_to).map(|w| w.wall)
}
