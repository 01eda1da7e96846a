//! One published open-circuit curve: voltage by state of charge, at one or several temperatures.

use crate::error::Error;
use crate::range::Range;
use crate::source::Citation;
use crate::tables::{DataFile, file};
use orlop_units::Temperature;

/// A published curve of the voltage of a rested cell.
#[derive(Debug)]
pub struct Curve {
    source: &'static DataFile,
    /// Shares of charge, ascending from 0 to 1.
    soc: Vec<f64>,
    /// Temperatures of the columns in degC, ascending.
    temperatures: Vec<f64>,
    /// Voltages by temperature, then by charge.
    volts: Vec<Vec<f64>>,
    /// How far the source itself doubts its values, V.
    tolerance: f64,
}

impl Curve {
    /// Reads a data file with the columns `soc_percent`, `v_T` for each temperature T and perhaps `tolerance_v`.
    pub(super) fn read(name: &str) -> Self {
        let source = file(name);
        let columns: Vec<&String> = source.columns().iter().filter(|c| c.starts_with("v_")).collect();
        let numbers = |column: &str| source.rows().map(|row| row.number(column)).collect::<Vec<f64>>();
        let tolerance = if source.columns().iter().any(|c| c == "tolerance_v") {
            numbers("tolerance_v").into_iter().fold(0.0, f64::max)
        } else {
            0.0
        };
        Self {
            source,
            soc: numbers("soc_percent").into_iter().map(|s| s / 100.0).collect(),
            temperatures: columns
                .iter()
                .map(|c| c[2..].parse().expect("columns are named by temperature"))
                .collect(),
            volts: columns.iter().map(|c| numbers(c)).collect(),
            tolerance,
        }
    }

    /// Its name.
    #[must_use]
    pub fn id(&self) -> &str {
        &self.source.citation.id
    }
    /// Where it comes from.
    #[must_use]
    pub fn citation(&self) -> &Citation {
        &self.source.citation
    }
    /// Remarks that belong to it.
    #[must_use]
    pub fn notes(&self) -> &[String] {
        &self.source.notes
    }
    /// How far the source itself doubts its values, V; zero where it says nothing.
    #[must_use]
    pub fn tolerance_v(&self) -> f64 {
        self.tolerance
    }
    /// The temperatures it was measured between.
    #[must_use]
    pub fn measured(&self) -> Range<Temperature> {
        let (low, high) = self.ends();
        Range::new(Temperature::celsius(low), Temperature::celsius(high))
    }
    /// Whether it was measured at more than one temperature.
    #[must_use]
    pub fn follows_temperature(&self) -> bool {
        self.temperatures.len() > 1
    }

    pub(super) fn ends(&self) -> (f64, f64) {
        (self.temperatures[0], self.temperatures[self.temperatures.len() - 1])
    }

    /// The curve at a temperature in degC, linear between its columns, held at its ends.
    pub(super) fn at(&self, celsius: f64) -> CurveAt {
        let (low, high) = self.ends();
        let t = celsius.clamp(low, high);
        let above = self.temperatures.partition_point(|x| *x < t).max(1).min(self.temperatures.len() - 1);
        let volts = if self.temperatures.len() == 1 {
            self.volts[0].clone()
        } else {
            let (a, b) = (above - 1, above);
            let w = (t - self.temperatures[a]) / (self.temperatures[b] - self.temperatures[a]);
            self.volts[a].iter().zip(&self.volts[b]).map(|(x, y)| x + w * (y - x)).collect()
        };
        CurveAt { soc: self.soc.clone(), volts }
    }
}

/// A curve at one temperature, straight between its points: the kernel of everything that runs over time.
///
/// Plain numbers: share of charge from 0 to 1, volts. Beyond its ends the voltage stays.
#[derive(Clone, Debug, PartialEq)]
pub struct CurveAt {
    soc: Vec<f64>,
    volts: Vec<f64>,
}

impl CurveAt {
    /// A curve of one's own from shares of charge and volts.
    ///
    /// # Errors
    /// [`Error::Input`] for fewer than two points, shares that do not rise from 0 to 1, or volts that are not above zero or fall.
    ///
    /// ```
    /// use orlop::cell::CurveAt;
    /// let curve = CurveAt::from_points(&[(0.0, 3.0), (0.1, 3.2), (1.0, 3.4)])?;
    /// assert!((curve.voltage(0.55) - 3.3).abs() < 1e-12);
    /// let falls = CurveAt::from_points(&[(0.0, 3.0), (0.5, 3.3), (1.0, 3.2)]).unwrap_err();
    /// assert!(falls.to_string().contains("3.2 V after 3.3 V"));
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn from_points(points: &[(f64, f64)]) -> Result<Self, Error> {
        let refuse = |got: String| {
            Error::input(
                "points",
                got,
                "two or more points whose shares of charge rise from 0 to 1 and whose volts never fall",
            )
        };
        let (Some(first), Some(last)) = (points.first(), points.last()) else {
            return Err(refuse("no point".into()));
        };
        if let Some((s, v)) = points.iter().find(|(s, v)| !(s.is_finite() && v.is_finite() && *v > 0.0)) {
            return Err(refuse(format!("{v} V at a share of {s}")));
        }
        if first.0 != 0.0 || last.0 != 1.0 {
            return Err(refuse(format!("shares from {} to {}", first.0, last.0)));
        }
        for pair in points.windows(2) {
            let ((s, v), (next_s, next_v)) = (pair[0], pair[1]);
            if next_s <= s {
                return Err(refuse(format!("a share of {next_s} after {s}")));
            }
            if next_v < v {
                return Err(refuse(format!("{next_v} V after {v} V")));
            }
        }
        let (soc, volts) = points.iter().copied().unzip();
        Ok(Self { soc, volts })
    }

    fn piece(&self, soc: f64) -> usize {
        self.soc.partition_point(|x| *x <= soc).clamp(1, self.soc.len() - 1)
    }

    /// Volts at a share of charge.
    #[must_use]
    pub fn voltage(&self, soc: f64) -> f64 {
        let b = self.piece(soc);
        let w = ((soc - self.soc[b - 1]) / (self.soc[b] - self.soc[b - 1])).clamp(0.0, 1.0);
        self.volts[b - 1] + w * (self.volts[b] - self.volts[b - 1])
    }

    /// Volts per whole charge at a share of charge: the slope of the piece above it.
    #[must_use]
    pub fn slope(&self, soc: f64) -> f64 {
        let b = self.piece(soc);
        (self.volts[b] - self.volts[b - 1]) / (self.soc[b] - self.soc[b - 1])
    }

    /// Mean volts between empty and a share of charge, times that share: the energy below it for a charge of one.
    #[must_use]
    pub fn integral(&self, soc: f64) -> f64 {
        let soc = soc.clamp(0.0, 1.0);
        let mut sum = 0.0;
        for k in 1..self.soc.len() {
            let end = self.soc[k].min(soc);
            if end <= self.soc[k - 1] {
                break;
            }
            sum += 0.5 * (self.volts[k - 1] + self.voltage(end)) * (end - self.soc[k - 1]);
        }
        sum
    }

    /// The lowest and the highest share of charge whose voltage lies between two; none when the curve stays outside.
    pub(super) fn charge_between(&self, low: f64, high: f64) -> Option<(f64, f64)> {
        let last = self.volts.len() - 1;
        if self.volts[last] < low || self.volts[0] > high {
            return None;
        }
        let cross = |k: usize, v: f64| {
            let rise = self.volts[k] - self.volts[k - 1];
            self.soc[k - 1] + (self.soc[k] - self.soc[k - 1]) * (v - self.volts[k - 1]) / rise
        };
        let from = match self.volts.iter().position(|v| *v >= low) {
            Some(0) | None => 0.0,
            Some(k) => cross(k, low),
        };
        let to = match self.volts.iter().rposition(|v| *v <= high) {
            Some(k) if k < last => cross(k + 1, high),
            _ => 1.0,
        };
        Some((from, to))
    }

    /// Its points: share of charge and volts.
    pub fn points(&self) -> impl Iterator<Item = (f64, f64)> {
        self.soc.iter().copied().zip(self.volts.iter().copied())
    }
}
