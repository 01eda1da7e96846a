//! The tables behind the numbers: text in `data/`, read once, checked, with their sources.

pub mod ampacity;
pub mod bars;
mod file;
pub mod thermal;
pub mod wires;

pub use file::{DataFile, Row, file};

macro_rules! data_files {
    ($($name:literal),* $(,)?) => {
        /// Every data file: its name without the ending, and its text.
        pub const FILES: &[(&str, &str)] = &[$(($name, include_str!(concat!("../../data/", $name, ".csv")))),*];
    };
}

data_files! {
    "aluminium_bars_trade",
    "astm_b33_2004_tinned_copper",
    "bank_temperature_ieee485",
    "bank_temperature_worksheet",
    "cable_walls_typical",
    "cell_ageing_models",
    "cell_cycle_life",
    "cell_entropy_lfp",
    "cell_facts",
    "cell_gas",
    "cell_ocv_lead_2000",
    "cell_ocv_lead_2007",
    "cell_ocv_lead_flooded_1280",
    "cell_ocv_lead_flooded_bci",
    "cell_ocv_lfp_18650_half_cells",
    "cell_ocv_lfp_18650_pseudo",
    "cell_ocv_lfp_26650_2018",
    "cell_ocv_lfp_prismatic_2019",
    "cell_ocv_nmc111_2014",
    "cell_ocv_nmc811_2020",
    "cell_ocv_nmc_75ah",
    "cell_ocv_nmc_lto_estimate",
    "cell_resistance_lfp_26650_2018",
    "cell_resistance_lfp_26650_2s",
    "cell_two_rc_lfp_26650_2014",
    "cfr33_183_425_note1_2015",
    "cfr33_183_425_note2_2015",
    "cfr33_183_425_table5_2015",
    "e11_breaker_interrupting",
    "conduit_fill",
    "din43670_2_copper_clad_bars",
    "din43671_1975_copper_bars",
    "heat_capacity_iec60853_2",
    "iec60228_2004_copper_resistance",
    "iec60269_gg_gates",
    "iec60287_2_1_2023_air_constants",
    "iec60287_2_1_2023_insulation",
    "iec60364_5_54_adiabatic",
    "iso13297_2020_bundle",
    "iso13297_2020_engine_space",
    "iso13297_2020_table_a1",
    "iso8820_blade_resistance",
    "lead_emf_bode_1977",
    "protection_families",
    "protection_time_current",
    "joint_streamline",
    "rules_iso_small_craft",
    "rules_us_small_craft",
    "sae_minimum_areas",
    "ul248-15_class_t_clearing",
}

/// Short hash over all data files: a changed table cell changes it.
#[must_use]
pub fn data_edition() -> String {
    // FNV-1a, 64 bit.
    let mut hash: u64 = 0xcbf2_9ce4_8422_2325;
    for (name, text) in FILES {
        for byte in name.bytes().chain([0]).chain(text.bytes()).chain([0]) {
            hash = (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
    }
    format!("{hash:016x}")
}
