//! Areas of conductor sizes, their order, and the sizes that are sold.

use crate::source::{Citation, Confidence};
use crate::tables::wires::{metric_sizes, sae_minimum_area};
use orlop_units::{Area, ConductorSize, SizeSystem, square_millimetres, total_cmp};
use std::cmp::Ordering;
use std::sync::LazyLock;

/// Source of the gauge formula.
pub(crate) static GAUGE: Citation = Citation::fixed(
    "astm-b258-gauge",
    "ASTM B258",
    "",
    "gauge formula",
    "d = 0.005 in x 92^((36 - n)/39)",
    Confidence::Published,
    "several copies",
);

/// Area of an American wire gauge: A = pi/4 (0.127 mm x 92^((36 - n)/39))^2.
pub(crate) fn gauge_area(gauge: i8) -> Area {
    let diameter = 0.127 * 92.0_f64.powf((36.0 - f64::from(gauge)) / 39.0);
    square_millimetres(std::f64::consts::FRAC_PI_4 * diameter * diameter)
}

/// Area of any size; an SAE gauge that is not listed counts as its AWG namesake.
pub(crate) fn area(size: ConductorSize) -> Area {
    match size {
        ConductorSize::Awg(gauge) => gauge_area(gauge),
        ConductorSize::Sae(gauge) => sae_minimum_area(gauge).map_or_else(|| gauge_area(gauge), |(a, _)| a),
        ConductorSize::Metric(hundredths) => square_millimetres(f64::from(hundredths) / 100.0),
    }
}

/// Orders sizes of any series by area.
///
/// ```
/// use orlop::conductor::equivalent_area_order;
/// use orlop::units::ConductorSize::{Awg, Metric, Sae};
/// assert!(equivalent_area_order(&Sae(6), &Awg(6)).is_lt());
/// assert!(equivalent_area_order(&Metric(1600), &Awg(6)).is_gt());
/// ```
#[must_use]
pub fn equivalent_area_order(a: &ConductorSize, b: &ConductorSize) -> Ordering {
    total_cmp(area(*a), area(*b)).then(a.system().cmp(&b.system()))
}

const GAUGES: [i8; 14] = [18, 16, 14, 12, 10, 8, 6, 4, 2, 1, 0, -1, -2, -3];
static AWG: LazyLock<Vec<ConductorSize>> =
    LazyLock::new(|| GAUGES.into_iter().map(ConductorSize::Awg).collect());
static SAE: LazyLock<Vec<ConductorSize>> =
    LazyLock::new(|| GAUGES.into_iter().map(ConductorSize::Sae).collect());
static METRIC: LazyLock<Vec<ConductorSize>> =
    LazyLock::new(|| metric_sizes().filter(|h| *h >= 75).map(ConductorSize::Metric).collect());

/// The sizes a chandler sells, ascending by area.
///
/// Gauges 18 to 4/0 without the odd 5 and 3, which the published drop tables leave out too; metric 0.75
/// to 300 mm2 of IEC 60228 class 5.
#[must_use]
pub fn standard_sizes(system: SizeSystem) -> &'static [ConductorSize] {
    match system {
        SizeSystem::Awg => &AWG,
        SizeSystem::Sae => &SAE,
        SizeSystem::Metric => &METRIC,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use orlop_units::Quantity;

    #[test]
    fn standard_sizes_ascend() {
        for system in [SizeSystem::Awg, SizeSystem::Sae, SizeSystem::Metric] {
            let sizes = standard_sizes(system);
            assert!(sizes.windows(2).all(|w| equivalent_area_order(&w[0], &w[1]).is_lt()));
            assert!(sizes.len() >= 14);
        }
    }

    #[test]
    fn every_standard_sae_size_has_a_listed_area_below_its_namesake() {
        for gauge in GAUGES {
            let (listed, _) = sae_minimum_area(gauge).unwrap();
            assert!(listed.si() < gauge_area(gauge).si(), "{gauge}");
        }
    }
}
