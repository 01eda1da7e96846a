//! Resistance and capacity of a bank with their steps.

use super::plan;
use crate::model::Bank;
use orlop::working::Step;
use orlop::{Error, Range, Recorder};
use orlop_units::show;

/// Resistance of one string of a bank, with its steps.
///
/// # Errors
/// As [`orlop::pack::Pack::fault_current`].
pub fn resistance_recorded(bank: &Bank, rec: &mut impl Recorder) -> Result<(), Error> {
    if let (Some(build), Some(conditions)) = (&bank.build, bank.conditions()) {
        let cells = build.pack.fault_current_recorded(conditions, rec)?.string_resistance;
        rec.step(|| {
            Step::new("resistance of one string by its cells", "R", cells.to_string())
                .formula("low: 1 kHz, warmest, new; high: ten seconds, coldest, least charge, aged; with links and parts")
                .input("coldest", build.coldest)
                .input("warmest", build.warmest)
                .input("links", build.pack.link().to_string())
                .input("parts", build.pack.parts().to_string())
        });
    }
    rec.step(|| {
        let counts = Range::from_bounds(bank.string_low, bank.string_high);
        Step::new("resistance of one string that counts", "R", counts.to_string())
            .formula("as stated in the file; where nothing is stated, by its cells")
            .input("strings", f64::from(bank.strings))
    });
    Ok(())
}

/// Capacity of a bank, with its steps: as stated, by the sheet of its cells, by the tests of those that were delivered.
///
/// # Errors
/// As [`orlop::pack::assign::Delivery::assign`].
pub fn capacity_recorded(bank: &Bank, rec: &mut impl Recorder) -> Result<(), Error> {
    if let Some(build) = &bank.build {
        rec.step(|| {
            Step::new("capacity of equal cells", "Q", build.pack.capacity())
                .formula("capacity of a cell x cells side by side")
                .input("cell", build.pack.cell().capacity())
                .input("parallel", f64::from(build.pack.parallel()))
        });
        if let Some(delivery) = &build.delivery {
            delivery.assign_recorded(&plan(build, &build.pack)?, rec)?;
        }
    }
    rec.step(|| {
        Step::new("capacity that counts", "Q", bank.capacity.map_or_else(|| "not known".into(), show))
            .formula("as stated in the file; where nothing is stated, of equal cells")
    });
    Ok(())
}
