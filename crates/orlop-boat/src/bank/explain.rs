//! Numbers of a bank with their steps.

use super::{Asked, filling, plan};
use crate::demand::Demand;
use crate::model::{Bank, Boat, Build};
use orlop::working::Step;
use orlop::{Error, Range, Recorder};
use orlop_units::{Current, seconds, show};

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

/// What the loads ask of a bank (`demand`), how their capacitors fill (`precharge`), how warm the switch of each manager gets
/// (`switch`), what its coil takes in a day (`coil`), each with its steps. A bank that states no such part has one step that says so.
///
/// # Errors
/// [`Error::NoSolution`] for a pre-charge that cannot bring the bus up, or a switch that runs away.
pub fn explain_part(
    boat: &Boat,
    demand: &Demand,
    bank: &Bank,
    field: &str,
    rec: &mut impl Recorder,
) -> Result<(), Error> {
    let Some(build) = &bank.build else {
        rec.step(|| Step::new(field.to_string(), "", "not known: the bank is not built from cells"));
        return Ok(());
    };
    let asked = Asked::of(boat, demand, bank);
    match field {
        "precharge" => filling::explain(boat, demand, bank, build, rec),
        "switch" => {
            let each = one_lost(&asked, build, rec);
            match build.disconnect.as_ref().and_then(|d| d.warming.as_ref()) {
                Some(w) => {
                    w.switch.under_recorded(each, w.ambient, rec)?;
                    rec.step(|| Step::new("highest temperature permitted", "T_max", w.hottest));
                }
                None => rec.step(|| {
                    Step::new("temperature of the switch", "T", "not known: no switch_resistance is stated")
                }),
            }
            Ok(())
        }
        "coil" => {
            let day = seconds(86_400.0);
            let Some(coil) = build.disconnect.as_ref().and_then(|d| d.coil) else {
                rec.step(|| Step::new("energy of the coil", "E", "not known: no coil_hold is stated"));
                return Ok(());
            };
            let energy = coil.energy_recorded(day, 1, rec)?;
            let managers = f64::from(build.pack.managers());
            rec.step(|| {
                Step::new("energy of all coils in a day", "E_all", energy * managers)
                    .formula("n E")
                    .input("n", managers)
            });
            rec.step(|| {
                Step::new("current of all coils", "I", build.coils() / bank.nominal)
                    .formula("n P_hold/U")
                    .input("U", bank.nominal)
            });
            Ok(())
        }
        _ => {
            one_lost(&asked, build, rec);
            if let Some(moment) = &asked.moment {
                rec.step(|| {
                    Step::new("most for a moment", "I_peak", moment.current)
                        .formula("the short current of one load, all others in the same case")
                        .input("load", moment.load.as_str())
                        .input("state", moment.state.word())
                        .input("t", moment.time)
                });
            }
            Ok(())
        }
    }
}

/// What lasts through each manager with one string lost, where there are several.
fn one_lost(asked: &Asked, build: &Build, rec: &mut impl Recorder) -> Current {
    rec.step(|| {
        Step::new("most that loads take for long", "I_all", asked.continuous)
            .formula("sum of the circuits of the bank in the case that takes most, growth counted")
            .input("case", asked.case.as_str())
    });
    let managers = build.pack.managers();
    let (_, each) = asked.through_each(managers);
    rec.step(|| {
        Step::new("through each manager, one string lost where there are more", "I", each)
            .formula("I_all/(n - 1), at least one")
            .input("n", f64::from(managers))
    });
    each
}
