//! Logarithmic axes, and what is cut off at the edge of a plot.

use super::Canvas;
use super::canvas::{Anchor, POINT, Type};
use super::glyphs::wrap;

/// A logarithmic axis on the paper: from one value at one place to another elsewhere.
#[derive(Clone, Copy, Debug)]
pub(super) struct Log {
    low: f64,
    high: f64,
    from: f64,
    to: f64,
}

impl Log {
    /// An axis that holds two values and at least two decades; places in millimetres.
    pub fn new(low: f64, high: f64, from: f64, to: f64) -> Self {
        // Nothing on a boat is outside of these.
        let (low, high) = (low.clamp(1e-3, 1e6).log10(), high.clamp(1e-3, 1e6).log10());
        let missing = (2.0 - (high - low)).max(0.0) / 2.0;
        Self { low: low - missing, high: high + missing, from, to }
    }

    /// Where a value is; below zero and zero are far off the lower end.
    pub fn at(&self, value: f64) -> f64 {
        let exponent = if value > 0.0 { value.log10() } else { self.low - 10.0 };
        self.from + (exponent - self.low) / (self.high - self.low) * (self.to - self.from)
    }

    /// Whether a value is on it.
    pub fn holds(&self, value: f64) -> bool {
        let (a, b) = (self.from.min(self.to), self.from.max(self.to));
        (a..=b).contains(&self.at(value))
    }

    /// Values for lines, and whether each begins a decade.
    pub fn lines(&self) -> Vec<(f64, bool)> {
        #[allow(clippy::cast_possible_truncation)]
        let (first, last) = (self.low.floor() as i32, self.high.ceil() as i32);
        let all = (first..=last).flat_map(|e| (1..10).map(move |m| (f64::from(m) * 10f64.powi(e), m == 1)));
        all.filter(|(v, _)| self.holds(*v)).collect()
    }

    /// Values for labels that stand at least so far apart: the beginnings of decades.
    pub fn labels(&self, apart: f64) -> Vec<f64> {
        let mut kept: Vec<f64> = Vec::new();
        for (value, _) in self.lines().into_iter().filter(|(_, decade)| *decade) {
            let far = |last: &f64| (self.at(value) - self.at(*last)).abs() >= apart;
            if kept.last().is_none_or(far) {
                kept.push(value);
            }
        }
        kept
    }
}

/// Left, top, right and bottom of a plot.
pub(super) type Frame = [f64; 4];

/// The part of a line inside a frame.
pub(super) fn cut(from: (f64, f64), to: (f64, f64), frame: Frame) -> Option<((f64, f64), (f64, f64))> {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let (mut first, mut last) = (0.0_f64, 1.0_f64);
    for (step, room) in
        [(-dx, from.0 - frame[0]), (dx, frame[2] - from.0), (-dy, from.1 - frame[1]), (dy, frame[3] - from.1)]
    {
        if step == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if step < 0.0 {
            first = first.max(room / step);
        } else {
            last = last.min(room / step);
        }
    }
    let at = |share: f64| (from.0 + dx * share, from.1 + dy * share);
    (first <= last).then(|| (at(first), at(last)))
}

/// The part of a closed shape inside a frame.
pub(super) fn cut_shape(points: &[(f64, f64)], frame: Frame) -> Vec<(f64, f64)> {
    let mut shape = points.to_vec();
    for side in 0..4 {
        // How far a point is inside this side.
        let inside = |p: (f64, f64)| match side {
            0 => p.0 - frame[0],
            1 => p.1 - frame[1],
            2 => frame[2] - p.0,
            _ => frame[3] - p.1,
        };
        let mut kept = Vec::with_capacity(shape.len() + 4);
        for (at, &here) in shape.iter().enumerate() {
            let before = shape[(at + shape.len() - 1) % shape.len()];
            let (a, b) = (inside(before), inside(here));
            if (a < 0.0) != (b < 0.0) {
                let share = a / (a - b);
                kept.push((before.0 + (here.0 - before.0) * share, before.1 + (here.1 - before.1) * share));
            }
            if b >= 0.0 {
                kept.push(here);
            }
        }
        shape = kept;
    }
    shape
}

/// A text at a place of an axis, moved so that it stays between two places; gives its own ends.
pub(super) fn flag(
    c: &mut Canvas,
    x: f64,
    y: f64,
    [left, right]: [f64; 2],
    style: Type,
    text: &str,
) -> [f64; 2] {
    let text = wrap(text, right - left, style.points * POINT, style.bold, 1);
    let text = text.first().map_or("", String::as_str);
    let w = style.width(text);
    let start = (x - w / 2.0).clamp(left, (right - w).max(left));
    c.text(start, y, style.anchor(Anchor::Start), text);
    [start, start + w]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_on_an_axis() {
        let axis = Log::new(1.0, 1000.0, 10.0, 40.0);
        assert!((axis.at(10.0) - 20.0).abs() < 1e-9);
        assert!(axis.holds(999.0) && !axis.holds(1100.0) && !axis.holds(0.0));
        assert_eq!(axis.lines().len(), 28);
        assert_eq!(axis.labels(15.0), [1.0, 100.0]);
        // One value alone still makes an axis.
        let narrow = Log::new(5.0, 5.0, 0.0, 10.0);
        assert!((narrow.at(5.0) - 5.0).abs() < 1e-9 && narrow.holds(0.6) && narrow.holds(49.0));
    }

    #[test]
    fn nothing_is_left_outside() {
        let frame = [0.0, 0.0, 10.0, 10.0];
        assert_eq!(cut((-5.0, 5.0), (15.0, 5.0), frame), Some(((0.0, 5.0), (10.0, 5.0))));
        assert_eq!(cut((-5.0, 5.0), (-1.0, 5.0), frame), None);
        assert_eq!(cut((3.0, 2.0), (4.0, 3.0), frame), Some(((3.0, 2.0), (4.0, 3.0))));
        let square = [(5.0, 5.0), (15.0, 5.0), (15.0, 15.0), (5.0, 15.0)];
        let mut left = cut_shape(&square, frame);
        left.sort_by(|a, b| a.partial_cmp(b).unwrap());
        assert_eq!(left, [(5.0, 5.0), (5.0, 10.0), (10.0, 5.0), (10.0, 10.0)]);
        assert!(cut_shape(&square, [20.0, 20.0, 30.0, 30.0]).is_empty());
    }
}
