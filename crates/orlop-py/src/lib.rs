//! The Python face of orlop: thin, one file for each room of the core.

mod asked;
mod assign;
mod bank;
mod boat;
mod cell;
mod circuit;
mod columns;
mod conductor;
mod convert;
mod diagnose;
mod errors;
mod fault;
mod html;
mod judgement;
mod least;
mod network;
mod pack;
mod protection;
mod proving;
mod range;
mod resurvey;
mod run;
mod sources;
mod survey;
mod table;
mod working;

use pyo3::prelude::*;

/// The compiled part of orlop. Use the package ``orlop`` instead.
#[pymodule]
mod _orlop {
    use super::PyResult;
    use pyo3::prelude::*;

    #[pymodule_export]
    use super::asked::again;
    #[pymodule_export]
    use super::assign::{Assignment, assign_cells};
    #[pymodule_export]
    use super::bank::{
        BankAnswer, ThresholdLadder, balance, bench_charge, box_heat, cell_link, clamp_force,
        compare_life_cost, contactor_coil, count_cycles, fit_box, fixture, heel_and_trim, judge_breaking,
        judge_manager, judge_movement, pre_charge, restraint, size_bank, size_bank_by_duty,
        switch_temperature, threshold_ladder, ventilation,
    };
    #[pymodule_export]
    use super::boat::{Boat, Design, rebuild_boat, rebuild_design, schema, stages, starter};
    #[pymodule_export]
    use super::cell::{Cell, CellAnswer};
    #[pymodule_export]
    use super::circuit::{Circuit, size_circuit};
    #[pymodule_export]
    use super::conductor::{Ampacity, Conductor, SteadyState, Withstand, standard_sizes};
    #[pymodule_export]
    use super::diagnose::{Diagnosis, rebuild as rebuild_diagnosis};
    #[pymodule_export]
    use super::fault::{
        Coordination, coordinate, judge_stall, protectable_window, rebuild as rebuild_coordination,
        selectivity,
    };
    #[pymodule_export]
    use super::judgement::{Judgement, rebuild as rebuild_judgement};
    #[pymodule_export]
    use super::least::{LeastCopper, Purchase, least_copper};
    #[pymodule_export]
    use super::network::{Network, OperatingPoint, rebuild as rebuild_network, rebuild_point};
    #[pymodule_export]
    use super::pack::{
        Course, Link, Pack, PackAnswer, PackSharing, Remains, SharedCurrent, SharedPack, Sharing,
        best_takeoff, largest_link, share_current,
    };
    #[pymodule_export]
    use super::protection::{Device, Family, families, family};
    #[pymodule_export]
    use super::proving::change::{ChangePoint, rebuild as rebuild_change};
    #[pymodule_export]
    use super::proving::history::{Forecast, TestHistory};
    #[pymodule_export]
    use super::proving::measured::{Measured, rebuild as rebuild_measured};
    #[pymodule_export]
    use super::proving::monitor::MonitorDrift;
    #[pymodule_export]
    use super::proving::plan::TestPlan;
    #[pymodule_export]
    use super::proving::readings::{
        find_bad_part, judge_drain, judge_insulation, judge_insulation_test, judge_joint, judge_leakage,
        pulse_resistance,
    };
    #[pymodule_export]
    use super::proving::{CapacityTest, DischargeLog, rebuild as rebuild_log};
    #[pymodule_export]
    use super::range::{Range, rebuild as rebuild_range};
    #[pymodule_export]
    use super::resurvey::{Resurvey, rebuild as rebuild_resurvey};
    #[pymodule_export]
    use super::sources::sources;
    #[pymodule_export]
    use super::survey::{Survey, SurveyFinding, rebuild as rebuild_survey, rebuild_finding};
    #[pymodule_export]
    use super::table::{Table, rebuild as rebuild_table};
    #[pymodule_export]
    use super::working::{Step, Working, rebuild as rebuild_working, rebuild_step};

    #[pymodule_init]
    fn init(module: &Bound<'_, PyModule>) -> PyResult<()> {
        module.add("__version__", orlop::VERSION)?;
        module.add("DATA_EDITION", orlop::tables::data_edition())
    }
}
