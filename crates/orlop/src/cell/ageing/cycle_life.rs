//! Cycles to the end of life by depth of discharge, from sheets, guides and curves.

use super::law::depth as checked_depth;
use super::rainflow::CountedCycle;
use crate::choice::choice;
use crate::error::Error;
use crate::source::Citation;
use crate::tables::{Row, file};
use orlop_units::{Fraction, show, significant};

choice! {
    /// A kind of battery whose cycle life is written down somewhere.
    CycleLife {
        /// A 12.8 V pack of LFP cells.
        LfpPack = "lfp-pack",
        /// A large LFP cell at 25 degC under a fixture.
        LfpCell25 = "lfp-cell-25c",
        /// A large LFP cell at 45 degC under a fixture.
        LfpCell45 = "lfp-cell-45c",
        /// Flooded lead-acid with pasted plates, for deep cycles.
        FloodedDeepCycle = "flooded-deep-cycle",
        /// Flooded lead-acid with tubular plates.
        FloodedTubular = "flooded-tubular",
        /// Lead-acid with glass mats.
        Agm = "agm",
        /// Lead-acid with gel.
        Gel = "gel",
    }
}

/// How many cycles of one depth.
#[derive(Clone, Debug, PartialEq)]
pub struct Cycles {
    /// The number.
    pub cycles: f64,
    /// The depth they have.
    pub depth: Fraction,
    /// What counts as the end. Reaching the number means that so much is left, not death.
    pub end: &'static str,
    /// What a reader must know.
    pub flags: Vec<String>,
    /// Where it comes from.
    pub citation: Citation,
}

impl CycleLife {
    fn rows(self) -> Vec<Row<'static>> {
        file("cell_cycle_life").rows().filter(|row| row.text("kind") == self.word()).collect()
    }

    /// Cycles of a depth to the end of life.
    ///
    /// Between two depths of the source: N = a depth^-b. Shallower than the shallowest: the same charge in all, which is the
    /// cautious side, and flagged.
    ///
    /// # Errors
    /// [`Error::OutOfTable`] for a depth beyond the deepest of the source; [`Error::Input`] for one that is no depth.
    ///
    /// ```
    /// use orlop::{cell::ageing::CycleLife, units::Fraction};
    /// assert_eq!(CycleLife::LfpPack.cycles(Fraction::new(0.8))?.cycles, 2500.0);
    /// assert_eq!(CycleLife::Agm.cycles(Fraction::new(1.0))?.cycles, 225.0);
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn cycles(self, depth: Fraction) -> Result<Cycles, Error> {
        let d = checked_depth(depth)?;
        let rows = self.rows();
        let points: Vec<(f64, f64)> =
            rows.iter().map(|row| (row.number("depth_percent") / 100.0, row.number("cycles"))).collect();
        let ((first, most), (last, _)) = (points[0], points[points.len() - 1]);
        let slack = 1e-12;
        if d > last + slack {
            return Err(Error::OutOfTable {
                table: format!("cycle life of {}", self.word()),
                asked: format!("a depth of {}", show(depth)),
                range: format!("up to {}", show(Fraction::new(last))),
                hint: "deeper cycles cost more than in proportion".into(),
            });
        }
        let mut flags = Vec::new();
        let cycles = if d < first - slack {
            flags.push(format!(
                "{}: the source begins at {}; the same charge in all is taken for shallower cycles",
                self.word(),
                show(Fraction::new(first))
            ));
            most * first / d
        } else if let Some(point) = points.iter().find(|p| (p.0 - d).abs() <= slack) {
            point.1
        } else {
            match points.windows(2).find(|w| d < w[1].0) {
                Some(w) => {
                    let power = (w[1].1 / w[0].1).ln() / (w[1].0 / w[0].0).ln();
                    w[0].1 * (d / w[0].0).powf(power)
                }
                None => most,
            }
        };
        let row = rows[0];
        let citation = Citation {
            document: row.text("source").to_string().into(),
            edition: "".into(),
            place: "".into(),
            reading: row.text("reading").to_string().into(),
            ..row.citation()
        };
        Ok(Cycles { cycles, depth, end: row.text("end"), flags, citation })
    }

    /// Share of the life that counted cycles use up: the sum of count over cycles to the end at that depth.
    ///
    /// # Errors
    /// As [`CycleLife::cycles`].
    pub fn used(self, cycles: &[CountedCycle]) -> Result<Fraction, Error> {
        let mut used = 0.0;
        for cycle in cycles {
            used += cycle.count / self.cycles(Fraction::new(cycle.range))?.cycles;
        }
        Ok(Fraction::new(used))
    }
}

impl std::fmt::Display for Cycles {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} cycles of {} to {}", significant(self.cycles, 3), show(self.depth), self.end)
    }
}
