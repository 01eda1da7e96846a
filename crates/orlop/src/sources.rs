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
    &crate::energy::COLD_LITHIUM,
    &crate::energy::SECTIONS_METHOD,
    &crate::energy::SIMPLE_FORM,
    &crate::network::least::feed::NON_DOMINATED,
    &crate::network::ground::GREEDY,
    &crate::network::ground::ONE_NEGATIVE,
    &crate::network::ground::TWO_WIRE,
    &crate::network::fault::IEC_61660,
    &crate::network::fault::THEVENIN,
    &crate::pack::assign::DEALING,
    &crate::pack::assign::HALVES,
    &crate::pack::assign::MODIFIED_Z,
    &crate::pack::balance::TAPER,
    &crate::pack::enclosure::HEEL,
    &crate::pack::enclosure::STILL_AIR,
    &crate::pack::fixture::BREATHING,
    &crate::pack::fixture::NUT_FACTOR,
    &crate::pack::link::JOINTS,
    &crate::pack::manager::FILLING,
    &crate::pack::manager::MANAGER_MARGIN,
    &crate::pack::restraint::MOTION,
    &crate::pack::restraint::MOVEMENT,
    &crate::pack::ventilation::AIR_CFR46,
    &crate::pack::ventilation::DISTANCE,
    &crate::pack::ventilation::GAS,
    &crate::pack::COMMON_CAUSE,
    &crate::pack::KIRCHHOFF,
    &crate::protection::LOAD_PRACTICE,
    &crate::protection::PRELOAD,
    &crate::protection::ignition::IGNITION,
    &crate::solve::PHILOX,
    &crate::proving::diagnose::BAYES,
    &crate::proving::diagnose::INFORMATION,
    &crate::proving::capacity::LFP_CORRECTION,
    &crate::proving::capacity::LINEAR_CORRECTION,
    &crate::proving::capacity::RATED_TIME,
    &crate::proving::follow::SYNC,
    &crate::proving::resistance::FIN,
    &crate::proving::resistance::INSULATION,
    &crate::proving::resistance::JOINT_PRACTICE,
    &crate::proving::resistance::RATIO_INTERVAL,
    &crate::proving::resistance::RESISTOR_METHOD,
    &crate::proving::resistance::TESTER,
    &crate::proving::resistance::RESTING,
    &crate::proving::resistance::TWO_STEP,
    &crate::proving::uncertainty::GUM,
];
