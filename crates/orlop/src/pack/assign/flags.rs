//! Which cells stand out from their fellows.
//!
//! z = 0.6745 (x - median)/MAD, MAD the median of |x - median|; beyond 3.5 a value stands out (Iglewicz and Hoaglin 1993). Where
//! more than half of the values are the same and MAD is zero, z = (x - median)/(1.2533 mean |x - median|).

use super::{Delivered, Delivery};
use crate::cell::Chemistry;
use crate::choice::choice;
use crate::judgement::{Judgement, Sense, Severity, Verdict};
use crate::source::{Citation, Confidence};
use orlop_units::{AnyQuantity, Number, show};

pub(crate) static MODIFIED_Z: Citation = Citation::fixed(
    "modified-z-score",
    "Iglewicz and Hoaglin, How to Detect and Handle Outliers",
    "1993",
    "",
    "0.6745 (x - median)/MAD, labelled beyond 3.5",
    Confidence::Memory,
    "recalled; handbooks of statistics repeat it",
);

/// A value beyond this many robust standard deviations stands out.
pub const STANDS_OUT: f64 = 3.5;
/// With fewer values there is no talk of fellows.
const FEWEST: usize = 5;

choice! {
    /// What was measured on a cell.
    Measure {
        /// Capacity.
        Capacity = "capacity",
        /// Resistance after ten seconds of direct current.
        ResistanceDc = "resistance-dc",
        /// Resistance at 1 kHz.
        Resistance1khz = "resistance-1khz",
        /// Voltage on arrival.
        ArrivalVoltage = "arrival-voltage",
        /// Fall of the rest voltage over the days of the test.
        SelfDischarge = "self-discharge",
        /// Mass.
        Mass = "mass",
    }
}

choice! {
    /// What a flag advises.
    Advice {
        /// Leave the cell out: it loses charge by itself.
        Reject = "reject",
        /// Leave it out where the order does not forgive it and a better cell is there.
        Weigh = "weigh",
    }
}

impl Measure {
    fn of(self, cell: &Delivered) -> Option<AnyQuantity> {
        match self {
            Self::Capacity => Some(cell.capacity().into()),
            Self::ResistanceDc => cell.resistance_dc().map(Into::into),
            Self::Resistance1khz => cell.resistance_1khz().map(Into::into),
            Self::ArrivalVoltage => cell.arrival_voltage().map(Into::into),
            Self::SelfDischarge => cell.self_discharge().map(Into::into),
            Self::Mass => cell.mass().map(Into::into),
        }
    }

    /// How far a score lies on the side that matters: low capacity, high resistance, a voltage or mass on either.
    fn badness(self, z: f64) -> f64 {
        match self {
            Self::Capacity => -z,
            Self::ResistanceDc | Self::Resistance1khz | Self::SelfDischarge => z,
            Self::ArrivalVoltage | Self::Mass => z.abs(),
        }
    }

    fn advice(self, z: f64) -> Advice {
        match self {
            Self::SelfDischarge => Advice::Reject,
            Self::ArrivalVoltage if z < 0.0 => Advice::Reject,
            _ => Advice::Weigh,
        }
    }
}

/// A value that stands out.
#[derive(Clone, Debug, PartialEq)]
pub struct Flag {
    /// The serial of the cell.
    pub cell: String,
    /// What was measured.
    pub measure: Measure,
    /// The value.
    pub value: AnyQuantity,
    /// The median of all cells.
    pub median: AnyQuantity,
    /// Robust standard deviations above the median.
    pub z: f64,
    /// What to do.
    pub advice: Advice,
}

fn median(sorted: &[f64]) -> f64 {
    let half = sorted.len() / 2;
    if sorted.len().is_multiple_of(2) { 0.5 * (sorted[half - 1] + sorted[half]) } else { sorted[half] }
}

/// The median and the robust score of each value; no score where all are the same or there are fewer than five.
fn scores(values: &[f64]) -> Option<(f64, Vec<f64>)> {
    if values.len() < FEWEST {
        return None;
    }
    let sort = |mut v: Vec<f64>| {
        v.sort_by(f64::total_cmp);
        v
    };
    let middle = median(&sort(values.to_vec()));
    let away = sort(values.iter().map(|x| (x - middle).abs()).collect());
    let spread = match median(&away) {
        // Rounding of the values themselves is no spread.
        mad if mad > 1e-12 * middle.abs() => mad / 0.6745,
        _ => 1.2533 * away.iter().sum::<f64>() / away.len() as f64,
    };
    (spread > 1e-12 * middle.abs()).then(|| (middle, values.iter().map(|x| (x - middle) / spread).collect()))
}

impl Delivery {
    fn scored(&self, measure: Measure) -> Vec<(&Delivered, AnyQuantity, AnyQuantity, f64)> {
        let known: Vec<(&Delivered, AnyQuantity)> =
            self.cells().iter().filter_map(|c| measure.of(c).map(|q| (c, q))).collect();
        let values: Vec<f64> = known.iter().map(|(_, q)| q.si).collect();
        let Some((middle, z)) = scores(&values) else { return Vec::new() };
        let with_z = known.into_iter().zip(z);
        with_z
            .map(|((cell, q), z)| {
                let median = AnyQuantity { si: middle, as_written: None, kind: q.kind };
                (cell, q, median, z)
            })
            .collect()
    }

    /// The values that stand out, by measure and then in the order of delivery. See the [module](self) for the formula.
    ///
    /// Only the side that matters is flagged: low capacity, high resistance, much self-discharge; voltage and mass either way.
    /// A measure that fewer than five cells have is not judged.
    #[must_use]
    pub fn flags(&self) -> Vec<Flag> {
        let mut flags = Vec::new();
        for &measure in Measure::ALL {
            for (cell, value, median, z) in self.scored(measure) {
                if measure.badness(z) > STANDS_OUT {
                    let advice = measure.advice(z);
                    flags.push(Flag { cell: cell.id().into(), measure, value, median, z, advice });
                }
            }
        }
        flags
    }

    /// Serials that flags advise to reject, the worst first.
    #[must_use]
    pub fn rejects(&self) -> Vec<String> {
        let mut worst: Vec<(f64, String)> = Vec::new();
        for flag in self.flags().into_iter().filter(|f| f.advice == Advice::Reject) {
            match worst.iter_mut().find(|(_, id)| *id == flag.cell) {
                Some((z, _)) => *z = z.max(flag.z.abs()),
                None => worst.push((flag.z.abs(), flag.cell)),
            }
        }
        worst.sort_by(|a, b| b.0.total_cmp(&a.0));
        worst.into_iter().map(|(_, id)| id).collect()
    }

    /// Acceptance of each cell, passes as well as failures: rules `cell-outlier` for every measure and `cell-arrival-voltage`
    /// against the end of discharge of the chemistry.
    #[must_use]
    pub fn acceptance(&self, chemistry: &Chemistry) -> Vec<Judgement> {
        let mut all = Vec::new();
        for &measure in Measure::ALL {
            for (cell, value, median, z) in self.scored(measure) {
                let severity = if measure.advice(z) == Advice::Reject { Severity::B } else { Severity::C };
                let off = Number::of(measure.badness(z).max(0.0));
                let judgement = Judgement::compare(
                    "cell-outlier",
                    format!("cell.{}.{}", cell.id(), measure.word()),
                    severity,
                    off,
                    Sense::AtMost,
                    Number::of(STANDS_OUT),
                );
                let to_do = match measure.advice(z) {
                    Advice::Reject => "leave the cell out and return it",
                    Advice::Weigh => "measure again; use it where the order forgives it, or leave it out",
                };
                all.push(
                    judgement
                        .clause(MODIFIED_Z.short(), MODIFIED_Z.confidence)
                        .what(format!(
                            "{} {value} against a median of {median}: {z:.1} robust standard deviations",
                            measure.word()
                        ))
                        .to_do(to_do),
                );
            }
        }
        let lowest = chemistry.lowest_voltage.low();
        for cell in self.cells() {
            let subject = format!("cell.{}.arrival-voltage", cell.id());
            let judgement = match cell.arrival_voltage() {
                Some(v) => Judgement::compare(
                    "cell-arrival-voltage",
                    subject,
                    Severity::A,
                    v,
                    Sense::AtLeast,
                    lowest,
                )
                .what(format!("arrived with {}; discharge ends at {}", show(v), show(lowest)))
                .to_do("reject it, take it outdoors; it is not to be revived"),
                None => Judgement::bare("cell-arrival-voltage", subject, Severity::A, Verdict::NotTested)
                    .what("the voltage on arrival was not measured")
                    .to_do("measure it before the cell is charged"),
            };
            let source = &chemistry.lowest_voltage.citation;
            all.push(judgement.clause(source.short(), source.confidence));
        }
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_or_equal_values_have_no_score() {
        assert!(scores(&[1.0, 2.0, 3.0, 9.0]).is_none());
        assert!(scores(&[2.0; 9]).is_none());
        let (_, z) = scores(&[2.0, 2.0, 2.0, 2.0, 2.0, 3.0]).unwrap();
        // Mean of |x - median| is 1/6.
        assert!((z[5] - 6.0 / 1.2533).abs() < 1e-12 && z[0] == 0.0);
    }
}
