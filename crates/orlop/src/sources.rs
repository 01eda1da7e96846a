//! Every source, in one list: the data files and the formulas.

use crate::source::Citation;

/// Every source that orlop's numbers rest on: the data files and the formulas, ordered by id.
#[must_use]
pub fn sources() -> Vec<Citation> {
    let mut all: Vec<Citation> =
        crate::tables::FILES.iter().map(|(name, _)| crate::tables::file(name).citation.clone()).collect();
    all.extend(FORMULAS.iter().map(|c| (*c).clone()));
    all.extend(crate::protection::standards());
    all.sort_by(|a, b| a.id.cmp(&b.id));
    all
}

/// Sources of formulas and constants, each beside the code that uses it.
const FORMULAS: &[&Citation] = &[
    &crate::cell::ARRHENIUS,
    &crate::cell::KINETIC,
    &crate::cell::PEUKERT,
    &crate::cell::RECOVERY,
    &crate::cell::REVERSIBLE,
    &crate::cell::THEVENIN,
    &crate::cell::ageing::RAINFLOW,
    &crate::conductor::ampacity::AREA_SCALING,
    &crate::conductor::ampacity::SQUARE_ROOT_LAW,
    &crate::conductor::busbar::FLAT_BAR,
    &crate::conductor::heat::AIR,
    &crate::conductor::heat::CYLINDER,
    &crate::conductor::resistance::LAY_OF_STRANDS,
    &crate::conductor::resistance::RESISTIVITY,
    &crate::conductor::resistance::TEMPERATURE,
    &crate::conductor::size::GAUGE,
    &crate::conductor::warming::FIRST_ORDER,
    &crate::conductor::wire::CONSTRUCTION,
    &crate::conductor::withstand::ADIABATIC,
    &crate::network::least::feed::NON_DOMINATED,
    &crate::network::ground::GREEDY,
    &crate::network::ground::ONE_NEGATIVE,
    &crate::network::ground::TWO_WIRE,
    &crate::network::fault::IEC_61660,
    &crate::network::fault::THEVENIN,
    &crate::protection::LOAD_PRACTICE,
    &crate::protection::PRELOAD,
    &crate::protection::ignition::IGNITION,
];
