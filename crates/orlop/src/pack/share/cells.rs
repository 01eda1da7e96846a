//! Sharing among cells as they were measured, by both resistances.

use super::{Ladder, LinkLimit, Sharing, TakeOff};
use crate::cell::{Cell, Method, StateOfCharge};
use crate::error::Error;
use crate::range::Range;
use crate::working::{Recorder, Silent};
use orlop_units::{Current, Fraction, Quantity, Resistance, Temperature, amperes, ohms};

/// How cells share a current, by both of their resistances.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedCurrent {
    /// At closing and inrush: resistances at 1 kHz.
    pub closing: Sharing,
    /// What lasts: ten-second resistances.
    pub sustained: Sharing,
    /// What was assumed.
    pub flags: Vec<String>,
}

/// How a row of parallel cells shares a current, by the 1 kHz and by the ten-second resistance.
///
/// Where a resistance is a range its lower bound is taken, and of the links the upper: the least even end.
///
/// # Errors
/// As [`Ladder::new`], [`Ladder::share`] and [`Cell::resistance`]; [`Error::Input`] for links whose upper bound is not known.
///
/// ```
/// use orlop::{Range, cell::{Cell, ChemistryId, StateOfCharge}, pack::{TakeOff, share_current}};
/// use orlop::units::{ampere_hours, amperes, ohms, show, Temperature};
/// let cell = Cell::new(ChemistryId::Lfp, ampere_hours(230.0))?
///     .with_resistance_1khz(Range::exactly(ohms(0.18e-3)))?
///     .with_resistance_dc(Range::exactly(ohms(0.55e-3)))?;
/// let shared = share_current(&[cell; 4], Range::exactly(ohms(0.08e-3)), TakeOff::SameEnd, amperes(200.0),
///                            StateOfCharge::new(0.5)?, Temperature::celsius(25.0))?;
/// let first = |s: &orlop::pack::Sharing| show(s.shares[0].unwrap());
/// assert_eq!((first(&shared.closing), first(&shared.sustained)), ("59.9 %".into(), "42.9 %".into()));
/// # Ok::<(), orlop::Error>(())
/// ```
pub fn share_current(
    cells: &[Cell],
    link: Range<Resistance>,
    take_off: TakeOff,
    current: Current,
    charge: StateOfCharge,
    temperature: Temperature,
) -> Result<SharedCurrent, Error> {
    share_current_recorded(cells, link, take_off, current, (charge, temperature), &mut Silent)
}

/// The same with its steps; charge and temperature come as a pair.
///
/// # Errors
/// As [`share_current`].
pub fn share_current_recorded(
    cells: &[Cell],
    link: Range<Resistance>,
    take_off: TakeOff,
    current: Current,
    (charge, temperature): (StateOfCharge, Temperature),
    rec: &mut impl Recorder,
) -> Result<SharedCurrent, Error> {
    let mut flags: Vec<String> = Vec::new();
    let mut by = |method: Method, rec: &mut _| -> Result<Sharing, Error> {
        row(cells, link, method, (charge, temperature), &mut flags)?.share_recorded(take_off, current, rec)
    };
    let closing = by(Method::OneKilohertz, rec)?;
    let sustained = by(Method::TenSeconds, rec)?;
    let mut seen = Vec::new();
    for flag in flags {
        if !seen.contains(&flag) {
            seen.push(flag);
        }
    }
    Ok(SharedCurrent { closing, sustained, flags: seen })
}

/// The row of cells by one of their resistances: the lower bound of cells, the upper of links.
fn row(
    cells: &[Cell],
    link: Range<Resistance>,
    method: Method,
    (charge, temperature): (StateOfCharge, Temperature),
    flags: &mut Vec<String>,
) -> Result<Ladder, Error> {
    let Some(link) = link.high() else {
        return Err(Error::input("link", link.to_string(), "links whose highest resistance is known"));
    };
    let mut lows = Vec::with_capacity(cells.len());
    for cell in cells {
        let r = cell.resistance(method, charge, temperature)?;
        if r.low() < r.high() {
            flags.push(format!(
                "{} resistance of a cell: {}; the lower bound shares least evenly",
                method.word(),
                r.value
            ));
        }
        flags.extend(r.flags.iter().cloned());
        lows.push(ohms(r.low().si()));
    }
    let links = vec![link; cells.len().saturating_sub(1)];
    Ladder::new(&lows, &links, &links)
}

/// The take-off whose busiest cell carries least of a lasting current, by the ten-second resistances: [`Ladder::best_take_off`].
///
/// # Errors
/// As [`share_current`] and [`Ladder::best_take_off`].
pub fn best_take_off(
    cells: &[Cell],
    link: Range<Resistance>,
    current: Current,
    charge: StateOfCharge,
    temperature: Temperature,
) -> Result<TakeOff, Error> {
    let row = row(cells, link, Method::TenSeconds, (charge, temperature), &mut Vec::new())?;
    Ok(row.best_take_off(current)?.take_off)
}

/// The most that each link of each rail may have for the busiest cell to stay within `permitted` above the mean, by the resistance at 1 kHz:
/// the stricter of the two. See [`Ladder::largest_link`].
///
/// # Errors
/// As [`share_current`] and [`Ladder::largest_link`].
pub fn largest_link(
    cells: &[Cell],
    take_off: TakeOff,
    permitted: Fraction,
    charge: StateOfCharge,
    temperature: Temperature,
) -> Result<LinkLimit, Error> {
    let state = (charge, temperature);
    let row = row(cells, Range::exactly(ohms(0.0)), Method::OneKilohertz, state, &mut Vec::new())?;
    row.largest_link(take_off, amperes(1.0), permitted)
}
