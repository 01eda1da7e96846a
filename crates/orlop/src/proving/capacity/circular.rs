//! Whether an indicated percentage says anything, or only repeats the capacity typed into the monitor.

use super::log::Log;
use crate::solve::LeastSquares;
use orlop_units::{Charge, Quantity, coulombs};

/// A percentage that follows the counted charge within this, as a share of the whole, is computed from it.
const REPEATS: f64 = 0.005;

/// What an indicated percentage follows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Indicated {
    /// Charge that stands for 100 % by its slope: the capacity that was typed in.
    pub implied: Charge,
    /// Root mean square of its distance from a straight line in the charge drawn, as a share of the whole.
    pub scatter: f64,
    /// Whether it is computed from the counted charge, and so cannot test a capacity.
    pub repeats_setting: bool,
}

impl Indicated {
    /// From the course of a log; none without a percentage that falls.
    #[must_use]
    pub fn of(log: &Log) -> Option<Self> {
        let points: Vec<(f64, f64)> =
            log.course.iter().filter_map(|p| Some((p.drawn_c, p.indicated_percent? / 100.0))).collect();
        if points.len() < 3 {
            return None;
        }
        let x: Vec<f64> = points.iter().flat_map(|p| [1.0, p.0]).collect();
        let y: Vec<f64> = points.iter().map(|p| p.1).collect();
        let fit = LeastSquares::new(&x, 2, &y).ok()?;
        let slope = -fit.coefficients[1];
        let scatter = (fit.residual_sum() / points.len() as f64).sqrt();
        (slope > 0.0 && slope * log.charge.si() > 10.0 * REPEATS).then(|| Self {
            implied: coulombs(1.0 / slope),
            scatter,
            repeats_setting: scatter < REPEATS,
        })
    }
}
