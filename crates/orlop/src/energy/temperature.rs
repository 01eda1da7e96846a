//! How much more capacity the cold asks for.

use crate::cell::ChemistryId;
use crate::error::Error;
use crate::range::Range;
use crate::source::{Citation, Confidence};
use crate::tables::file;
use orlop_units::{Number, Temperature, show};

pub(crate) static COLD_LITHIUM: Citation = Citation::fixed(
    "cold-lithium",
    "practice with lithium cells",
    "",
    "",
    "1.05 to 1.15 times the capacity at 0 degC, none more at 25 degC",
    Confidence::Memory,
    "recalled; straight between the two",
);

/// Multiplier on the capacity of a bank for its coldest time.
#[derive(Clone, Debug, PartialEq)]
pub struct TemperatureFactor {
    /// From all tables that reach there.
    pub value: Range<Number>,
    /// Where it comes from.
    pub citations: Vec<Citation>,
}

/// Multiplier on the capacity of a bank whose cells are as cold as this.
///
/// Lead: by the table of IEEE 485 (base 25 degC, -3.9 to 51.7 degC, from memory) and by the one printed in sizing worksheets (base 26.7 degC,
/// -6.7 to 26.7 degC), straight between rows; where both reach, the range holds both. Lithium: 1.05 to 1.15 at 0 degC, 1 from 25 degC on (from
/// memory). It counts capacity that is not there for the moment; what may be charged in the cold is another question.
///
/// # Errors
/// [`Error::OutOfTable`] below or above all of them.
///
/// ```
/// use orlop::{cell::ChemistryId, energy::temperature_factor, units::Temperature};
/// let lead = temperature_factor(ChemistryId::LeadFlooded, Temperature::celsius(4.4))?;
/// assert_eq!(lead.value.to_string(), "1.3"); // the two tables agree here
/// let lithium = temperature_factor(ChemistryId::Lfp, Temperature::celsius(0.0))?;
/// assert_eq!(lithium.value.to_string(), "1.05 to 1.15");
/// # Ok::<(), orlop::Error>(())
/// ```
pub fn temperature_factor(chemistry: ChemistryId, coldest: Temperature) -> Result<TemperatureFactor, Error> {
    let celsius = coldest.degrees_celsius();
    let lead = matches!(chemistry, ChemistryId::LeadFlooded | ChemistryId::LeadAgm | ChemistryId::LeadGel);
    let found: Vec<(f64, Citation)> = if lead {
        ["bank_temperature_ieee485", "bank_temperature_worksheet"]
            .into_iter()
            .filter_map(|name| Some((by_table(name, celsius)?, file(name).citation.clone())))
            .collect()
    } else if celsius >= 0.0 {
        let share = ((25.0 - celsius) / 25.0).clamp(0.0, 1.0);
        [0.05, 0.15].into_iter().map(|more| (1.0 + more * share, COLD_LITHIUM.clone())).collect()
    } else {
        Vec::new()
    };
    if found.is_empty() {
        return Err(Error::OutOfTable {
            table: "factors of temperature".into(),
            asked: format!("capacity of {} cells at {}", chemistry.word(), show(coldest)),
            range: if lead { "-6.7 to 51.7 degC" } else { "0 degC and above" }.into(),
            hint: "state the multiplier from the sheet of the cells, or keep the bank warmer".into(),
        });
    }
    let ends = found.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |e, f| (e.0.min(f.0), e.1.max(f.0)));
    let mut citations: Vec<Citation> = Vec::new();
    for (_, citation) in found {
        if !citations.contains(&citation) {
            citations.push(citation);
        }
    }
    Ok(TemperatureFactor { value: Range::new(Number::of(ends.0), Number::of(ends.1)), citations })
}

/// Straight between the rows; none outside of them.
fn by_table(name: &str, celsius: f64) -> Option<f64> {
    let rows: Vec<(f64, f64)> = file(name)
        .rows()
        .filter_map(|r| Some((r.text("degc").parse().ok()?, r.text("factor").parse().ok()?)))
        .collect();
    let pair = rows.windows(2).find(|w| (w[0].0..=w[1].0).contains(&celsius))?;
    let share = (celsius - pair[0].0) / (pair[1].0 - pair[0].0);
    Some(pair[0].1 + share * (pair[1].1 - pair[0].1))
}
