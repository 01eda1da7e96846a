//! Ampacity tables with their engine-space and bundling notes.

use super::{DataFile, file};
use crate::rules::RuleSetId;
use orlop_units::ConductorSize;
use std::sync::LazyLock;

/// One column of an ampacity table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Column {
    /// Lowest insulation temperature it is for, degC.
    pub from: f64,
    /// Highest insulation temperature it is for, degC.
    pub to: f64,
    /// Factor in an engine space, where the rule set has one.
    pub engine: Option<f64>,
}

/// Factor for a number of current-carrying conductors lying together.
#[derive(Clone, Copy, Debug, PartialEq)]
struct BundleStep {
    from: u32,
    factor: f64,
}

/// The ampacity table of a rule set.
#[derive(Debug)]
pub struct AmpacityTable {
    /// The table.
    pub source: &'static DataFile,
    /// Its note on engine spaces.
    pub engine_source: &'static DataFile,
    /// Its note on bundles.
    pub bundle_source: &'static DataFile,
    /// Columns by ascending temperature.
    pub columns: Vec<Column>,
    rows: Vec<(ConductorSize, Vec<f64>)>,
    bundles: Vec<BundleStep>,
}

/// Ambient temperature that both tables are for, degC.
pub const REFERENCE_AMBIENT: f64 = 30.0;

static US: LazyLock<AmpacityTable> = LazyLock::new(|| {
    read("cfr33_183_425_table5_2015", "cfr33_183_425_note1_2015", "cfr33_183_425_note2_2015", "awg", "AWG")
});
static ISO: LazyLock<AmpacityTable> = LazyLock::new(|| {
    read("iso13297_2020_table_a1", "iso13297_2020_engine_space", "iso13297_2020_bundle", "mm2", "mm2")
});

fn read(table: &str, engine: &str, bundle: &str, size: &str, unit: &str) -> AmpacityTable {
    let (source, engine_source, bundle_source) = (file(table), file(engine), file(bundle));
    let names: Vec<&String> = source.columns().iter().filter(|c| c.starts_with('c')).collect();
    let columns = names
        .iter()
        .map(|name| {
            let (from, to) = name[1..].split_once('_').unwrap_or((&name[1..], &name[1..]));
            let temperature = |t: &str| t.parse().expect("columns are named by temperature");
            let from: f64 = temperature(from);
            let row = engine_source.rows().find(|row| row.number("insulation_c") == from);
            Column { from, to: temperature(to), engine: row.map(|row| row.number("factor")) }
        })
        .collect();
    let rows = source
        .rows()
        .map(|row| {
            let name = format!("{} {unit}", row.text(size));
            let size = ConductorSize::parse(&name, "row").expect("rows are sizes");
            (size, names.iter().map(|name| row.number(name)).collect())
        })
        .collect();
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let bundles = bundle_source
        .rows()
        .map(|row| BundleStep { from: row.number("n_min") as u32, factor: row.number("factor") })
        .collect();
    AmpacityTable { source, engine_source, bundle_source, columns, rows, bundles }
}

/// The ampacity table of a rule set.
#[must_use]
pub fn ampacity_table(rules: RuleSetId) -> &'static AmpacityTable {
    match rules {
        RuleSetId::UsSmallCraft => &US,
        RuleSetId::IsoSmallCraft => &ISO,
    }
}

impl AmpacityTable {
    /// The column for an insulation: its own, or the next lower one. None below the lowest.
    #[must_use]
    pub fn column(&self, insulation: f64) -> Option<usize> {
        self.columns.iter().rposition(|c| c.from <= insulation)
    }

    /// Rows in the order of the table, ascending.
    pub fn rows(&self) -> impl Iterator<Item = (ConductorSize, &[f64])> {
        self.rows.iter().map(|(size, cells)| (*size, cells.as_slice()))
    }

    /// Factor for so many current-carrying conductors lying together.
    #[must_use]
    pub fn bundle_factor(&self, conductors: u32) -> f64 {
        self.bundles.iter().rev().find(|b| b.from <= conductors).map_or(1.0, |b| b.factor)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_ascend_and_columns_never_fall() {
        for rules in RuleSetId::ALL {
            let table = ampacity_table(*rules);
            let rows: Vec<_> = table.rows().collect();
            for pair in rows.windows(2) {
                assert!(crate::conductor::equivalent_area_order(&pair[0].0, &pair[1].0).is_lt());
                assert!(pair[0].1.iter().zip(pair[1].1).all(|(a, b)| a < b), "{} {}", pair[0].0, pair[1].0);
            }
            assert!(rows.iter().all(|(_, cells)| cells.windows(2).all(|w| w[0] <= w[1])));
            assert!(rows.iter().all(|(_, cells)| cells.len() == table.columns.len()));
        }
    }

    #[test]
    fn columns_between_take_the_lower() {
        let us = ampacity_table(RuleSetId::UsSmallCraft);
        assert_eq!(us.column(59.9), None);
        assert_eq!(us.columns[us.column(89.0).unwrap()].from, 80.0);
        let iso = ampacity_table(RuleSetId::IsoSmallCraft);
        assert_eq!(iso.columns[iso.column(90.0).unwrap()].from, 85.0);
        assert_eq!(iso.columns[0].engine, None);
    }
}
