//! Breaking capacity that follows from the battery alone, by a voluntary standard's table.

use crate::error::{Error, positive};
use crate::source::Citation;
use crate::tables::file;
use orlop_units::{Current, Quantity, Voltage, amperes, show};

/// Which breaker is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Position {
    /// The first one in series with the battery.
    Main,
    /// Any other one.
    Branch,
}

/// DC breaking capacity that a circuit breaker needs at least, by the cold-cranking amperes connected.
///
/// Table V-A of the North American voluntary small-craft standard E-11: 12 V to 24 V and 32 V systems, up to 2200 A
/// cold cranking. A computed fault current is the better answer where the battery's resistance is known.
///
/// ```
/// use orlop::protection::battery::{Position, breaking_by_cranking};
/// use orlop::units::{amperes, volts};
/// let (main, _) = breaking_by_cranking(volts(12.0), amperes(800.0), Position::Main).unwrap();
/// assert_eq!(main, amperes(3000.0));
/// ```
///
/// # Errors
/// [`Error::OutOfTable`] beyond the table; [`Error::Input`] for values not above zero.
pub fn breaking_by_cranking(
    system: Voltage,
    cranking: Current,
    position: Position,
) -> Result<(Current, Citation), Error> {
    let (volts, amps) = (positive(system, "system")?.si(), positive(cranking, "cranking")?.si());
    let table = file("e11_breaker_interrupting");
    let row = table.rows().find(|r| {
        (r.number("system_from_v")..=r.number("system_to_v")).contains(&volts)
            && r.number("cca_above_a") < amps
            && amps <= r.number("cca_to_a")
    });
    let row = row.ok_or_else(|| Error::OutOfTable {
        table: table.citation.short(),
        asked: format!("{} with {} cold cranking", show(system), show(cranking)),
        range: "12 V to 24 V or 32 V, up to 2200 A".into(),
        hint: "compute the fault current from the battery's resistance, or take the maker's short-circuit current"
            .into(),
    })?;
    let column = match position {
        Position::Main => "main_a",
        Position::Branch => "branch_a",
    };
    Ok((amperes(row.number(column)), row.citation()))
}
