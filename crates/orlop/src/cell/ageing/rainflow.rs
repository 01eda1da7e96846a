//! Rainflow counting: which cycles are in a record, however they are nested. ASTM E1049, 5.4.4.

use crate::error::Error;
use crate::source::{Citation, Confidence};
use crate::table::ColumnType::{Number, Quantity as Of};
use crate::table::{Schema, Table, schema};
use crate::working::{Recorder, Silent, Step};
use orlop_units::Kind;

pub(crate) static RAINFLOW: Citation = Citation::fixed(
    "astm-e1049-rainflow",
    "ASTM E1049-85",
    "",
    "5.4.4",
    "rainflow counting of cycles",
    Confidence::Published,
    "the rule recalled; its example in several copies",
);

/// A cycle, or half a one, that rainflow counting found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CountedCycle {
    /// Distance between its two turning points.
    pub range: f64,
    /// Middle between them.
    pub mean: f64,
    /// 1 for a whole cycle, 0.5 for half a one.
    pub count: f64,
}

impl CountedCycle {
    fn between(a: f64, b: f64, count: f64) -> Self {
        Self { range: (b - a).abs(), mean: 0.5 * (a + b), count }
    }
}

/// The cycles of a record in the order in which they close; what never closes counts half. Linear in its length.
///
/// Both ends of the record count as turning points. A record that never changes has no cycle.
///
/// # Errors
/// [`Error::Input`] for a value that is no number, named by its place.
///
/// ```
/// use orlop::cell::ageing::{by_range, rainflow};
/// let record = [-2.0, 1.0, -3.0, 5.0, -1.0, 3.0, -4.0, 4.0, -2.0]; // the example of ASTM E1049
/// let counted = by_range(&rainflow(&record)?);
/// assert_eq!(counted, [(3.0, 0.5), (4.0, 1.5), (6.0, 0.5), (8.0, 1.0), (9.0, 0.5)]);
/// # Ok::<(), orlop::Error>(())
/// ```
pub fn rainflow(record: &[f64]) -> Result<Vec<CountedCycle>, Error> {
    rainflow_recorded(record, &mut Silent)
}

/// The same with its steps.
///
/// # Errors
/// As [`rainflow`].
pub fn rainflow_recorded(record: &[f64], rec: &mut impl Recorder) -> Result<Vec<CountedCycle>, Error> {
    if let Some(bad) = record.iter().position(|x| !x.is_finite()) {
        return Err(Error::input("record", format!("{} at place {bad}", record[bad]), "numbers only"));
    }
    let mut cycles = Vec::new();
    // Turning points that no cycle has used up. Each enters once and leaves once.
    let mut points: Vec<f64> = Vec::new();
    for turn in turning_points(record) {
        points.push(turn);
        while let [.., a, b, c] = points[..] {
            if (c - b).abs() < (b - a).abs() {
                break;
            }
            if points.len() == 3 {
                cycles.push(CountedCycle::between(a, b, 0.5));
                points.remove(0);
            } else {
                cycles.push(CountedCycle::between(a, b, 1.0));
                points.truncate(points.len() - 3);
                points.push(c);
            }
        }
    }
    let open = points.len().saturating_sub(1);
    cycles.extend(points.windows(2).map(|w| CountedCycle::between(w[0], w[1], 0.5)));
    rec.step(|| {
        Step::new(
            "cycles, those that never close as halves",
            "n",
            cycles.iter().map(|c| c.count).sum::<f64>(),
        )
        .formula("a range that the next one reaches or exceeds is a cycle; what is left over are halves")
        .input("values", record.len() as f64)
        .input("halves left over", open as f64)
        .source(&RAINFLOW)
    });
    rec.step(|| {
        Step::new("full equivalent cycles of a share of charge", "N", full_cycles(&cycles))
            .formula("sum of count x range")
    });
    Ok(cycles)
}

/// First and last value, and every value between at which the record turns.
fn turning_points(record: &[f64]) -> Vec<f64> {
    let mut turns: Vec<f64> = Vec::new();
    for &x in record {
        match turns[..] {
            [.., last] if x == last => {}
            // Still the same way: the point before was no turn.
            [.., before, last] if (x > last) == (last > before) => {
                let end = turns.len() - 1;
                turns[end] = x;
            }
            _ => turns.push(x),
        }
    }
    turns
}

/// Counts by range, ascending.
#[must_use]
pub fn by_range(cycles: &[CountedCycle]) -> Vec<(f64, f64)> {
    let mut sorted: Vec<(f64, f64)> = cycles.iter().map(|c| (c.range, c.count)).collect();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut counted: Vec<(f64, f64)> = Vec::new();
    for (range, count) in sorted {
        match counted.last_mut() {
            Some(last) if last.0 == range => last.1 += count,
            _ => counted.push((range, count)),
        }
    }
    counted
}

const CYCLES: Schema = schema!("counted_cycles", "one row per cycle in a record of charge, the deepest first", [
    "depth_percent": Of(Kind::Fraction), "charge between its two turning points";
    "middle_percent": Of(Kind::Fraction), "middle between them";
    "count": Number, "1 for a whole cycle, 0.5 for one that never closes";
]);

/// The cycles of a record of charge (shares of one) as a table, the deepest first.
#[must_use]
pub fn cycles_table(cycles: &[CountedCycle]) -> Table {
    let mut sorted = cycles.to_vec();
    sorted.sort_by(|a, b| b.range.total_cmp(&a.range));
    let mut table = Table::new(&CYCLES);
    // Without the last digits, which the way from percents to shares and back leaves.
    let percent = |share: f64| (share * 1e11).round() / 1e9;
    for cycle in sorted {
        table.push([percent(cycle.range).into(), percent(cycle.mean).into(), cycle.count.into()]);
    }
    table
}

/// Full equivalent cycles, when the record is the share of charge.
#[must_use]
pub fn full_cycles(cycles: &[CountedCycle]) -> f64 {
    cycles.iter().map(|c| c.count * c.range).sum()
}
