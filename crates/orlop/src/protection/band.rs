//! The time-current band of one device: a fastest and a slowest edge through the points of its standard.
//!
//! Between two points an edge is a straight line on double-logarithmic paper, or a step where the standard
//! promises nothing in between (magnetic release). Below and above the points:
//!
//! * fastest edge, below its first point: never opens; above its last point: a fuse keeps `I2 t` (melting without
//!   time to lose heat), a breaker may open at once.
//! * slowest edge, below its first point: need not open; above its last point: a breaker keeps the last time; a fuse
//!   keeps `I2 t`, because the `I2 t` to melt never grows with current, but never promises less than [`ARCING`].

use crate::working::Step;
use orlop_units::{Current, Time, amperes, seconds, show};

/// The shortest clearing time that is ever promised: below 10 ms the arc counts, and no standard here limits it
/// for direct current.
pub(super) const ARCING: f64 = 0.01;

/// How an edge reaches a point from the one before.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Join {
    Line,
    Step,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Point {
    pub amps: f64,
    pub seconds: f64,
    pub join: Join,
}

/// What follows after the last point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Tail {
    /// `I2 t` stays, the time is never below a floor in seconds.
    Adiabatic { floor: f64 },
    /// The last time stays.
    Hold,
    /// May open at once.
    AtOnce,
}

/// One edge of a band.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Edge {
    /// A current it carries for good, where the standard gives no time with it.
    pub carries: Option<f64>,
    /// In order of rising current and not rising time.
    pub points: Vec<Point>,
    pub tail: Tail,
}

/// How a time was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum How {
    Below(f64),
    NothingSaid,
    At(Point),
    Line(Point, Point),
    Step(Point),
    Tail(Point, Tail),
}

/// Whether a current is that of a point, but for rounding.
fn same(amps: f64, point: f64) -> bool {
    (amps - point).abs() <= crate::judgement::TOLERANCE * point
}

fn line(a: Point, b: Point) -> f64 {
    (b.seconds / a.seconds).ln() / (b.amps / a.amps).ln()
}

/// `I2 t` of a point, carried to another current.
fn adiabatic(from: Point, amps: f64) -> f64 {
    let ratio = from.amps / amps;
    from.seconds * ratio * ratio
}

impl Edge {
    /// Time at a current; for the fastest edge `None` means never, for the slowest that nothing is promised.
    pub fn at(&self, amps: f64, fastest: bool) -> (Option<f64>, How) {
        if let Some(carried) = self.carries.filter(|c| amps <= *c || same(amps, *c)) {
            return (None, How::Below(carried));
        }
        let Some(first) = self.points.first() else {
            return (fastest.then_some(0.0), How::NothingSaid);
        };
        if let Some(p) = self.points.iter().find(|p| same(amps, p.amps)) {
            return (Some(p.seconds), How::At(*p));
        }
        let next = self.points.partition_point(|p| p.amps < amps);
        if next == self.points.len() {
            let last = self.points[next - 1];
            let time = match self.tail {
                Tail::Adiabatic { floor } => adiabatic(last, amps).max(floor.min(last.seconds)),
                Tail::Hold => last.seconds,
                Tail::AtOnce => 0.0,
            };
            return (Some(time), How::Tail(last, self.tail));
        }
        let b = self.points[next];
        if next == 0 {
            return match (self.carries, fastest) {
                // Between what it carries for good and the first point: not sooner than at that point.
                (Some(_), true) => (Some(first.seconds), How::Step(*first)),
                _ => (None, How::Below(first.amps)),
            };
        }
        let a = self.points[next - 1];
        match b.join {
            Join::Line => (Some(a.seconds * (amps / a.amps).powf(line(a, b))), How::Line(a, b)),
            Join::Step if fastest => (Some(b.seconds), How::Step(b)),
            Join::Step => (Some(a.seconds), How::Step(a)),
        }
    }

    /// Slowest time to melt, its arc left out: as [`Self::at`], but `I2 t` is kept without end.
    pub fn melted(&self, amps: f64) -> Option<f64> {
        match self.at(amps, false) {
            (_, How::Tail(last, Tail::Adiabatic { .. })) => Some(adiabatic(last, amps)),
            (time, _) => time,
        }
    }

    /// Currents at which the law of the edge changes.
    pub fn breaks(&self) -> impl Iterator<Item = f64> {
        let floor = match (self.tail, self.points.last()) {
            (Tail::Adiabatic { floor }, Some(p)) if floor > 0.0 && floor < p.seconds => {
                Some(p.amps * (p.seconds / floor).sqrt())
            }
            _ => None,
        };
        self.carries.into_iter().chain(self.points.iter().map(|p| p.amps)).chain(floor)
    }

    /// Least current at which the slowest edge is within a time.
    pub fn within(&self, time: f64) -> Option<f64> {
        if time.is_nan() {
            return None;
        }
        let guess = match self.points.iter().position(|p| p.seconds <= time) {
            Some(0) => self.points[0].amps,
            Some(k) => {
                let (a, b) = (self.points[k - 1], self.points[k]);
                match b.join {
                    Join::Step => b.amps,
                    Join::Line => (a.amps * (time / a.seconds).powf(1.0 / line(a, b))).clamp(a.amps, b.amps),
                }
            }
            None => {
                let last = *self.points.last()?;
                let Tail::Adiabatic { floor } = self.tail else { return None };
                if time < floor.min(last.seconds) {
                    return None;
                }
                last.amps * (last.seconds / time).sqrt()
            }
        };
        // Rounding may leave the guess a hair short; the promise is exact.
        let mut amps = guess;
        let mut nudge = f64::EPSILON;
        while self.at(amps, false).0.is_none_or(|t| t > time) {
            amps = guess * (1.0 + nudge);
            nudge *= 2.0;
        }
        Some(amps)
    }
}

fn point(p: Point) -> String {
    format!("({}, {})", show(amperes(p.amps)), show(seconds(p.seconds)))
}

/// The step of a working that says how a time was found.
pub(super) fn step(
    what: &str,
    symbol: &str,
    current: Current,
    found: (Option<Time>, How),
    none: &str,
) -> Step {
    let (time, how) = found;
    let text = time.map_or_else(|| none.to_string(), show);
    let formula = match how {
        How::Below(amps) => format!("I is below the first point of this edge, {}", show(amperes(amps))),
        How::NothingSaid => "the standard gives no point for this edge".into(),
        How::At(p) => format!("point {} of the standard", point(p)),
        How::Line(a, b) => {
            format!("t = t1 (I/I1)^(ln(t2/t1)/ln(I2/I1)), line between {} and {}", point(a), point(b))
        }
        How::Step(p) => format!("step: nothing better than {} is promised here", point(p)),
        How::Tail(p, Tail::Adiabatic { floor }) if floor > 0.0 => format!(
            "t = t1 (I1/I)^2 beyond the last point {}, not below {}",
            point(p),
            show(seconds(floor.min(p.seconds)))
        ),
        How::Tail(p, Tail::Adiabatic { .. }) => format!("t = t1 (I1/I)^2 beyond the last point {}", point(p)),
        How::Tail(p, Tail::Hold) => format!("the time of the last point {} is kept", point(p)),
        How::Tail(p, Tail::AtOnce) => format!("beyond the last point {} it may open at once", point(p)),
    };
    Step::new(what, symbol, text).formula(formula).input("I", current)
}

#[cfg(test)]
mod tests {
    use super::*;
    use Join::{Line, Step};

    fn p(amps: f64, seconds: f64, join: Join) -> Point {
        Point { amps, seconds, join }
    }

    #[test]
    fn slowest_edge_between_and_beyond() {
        let edge = Edge {
            carries: None,
            points: vec![p(10.0, 100.0, Line), p(100.0, 1.0, Line)],
            tail: Tail::Adiabatic { floor: ARCING },
        };
        assert_eq!(edge.at(9.9, false).0, None);
        assert_eq!(edge.at(10.0, false).0, Some(100.0));
        // Slope -2 by construction: t = 10^4 / I^2.
        approx::assert_relative_eq!(edge.at(50.0, false).0.unwrap(), 4.0, max_relative = 1e-12);
        approx::assert_relative_eq!(edge.at(200.0, false).0.unwrap(), 0.25, max_relative = 1e-12);
        assert_eq!(edge.at(1e6, false).0, Some(ARCING));
        approx::assert_relative_eq!(edge.within(4.0).unwrap(), 50.0, max_relative = 1e-12);
        approx::assert_relative_eq!(edge.within(0.25).unwrap(), 200.0, max_relative = 1e-12);
        assert_eq!(edge.within(0.009), None);
        assert_eq!(edge.within(1000.0), Some(10.0));
    }

    #[test]
    fn a_magnetic_release_promises_nothing_before_its_limit() {
        let edge =
            Edge { carries: None, points: vec![p(2.55, 60.0, Line), p(5.0, 0.1, Step)], tail: Tail::Hold };
        assert_eq!(edge.at(4.99, false).0, Some(60.0));
        assert_eq!(edge.at(5.0, false).0, Some(0.1));
        assert_eq!(edge.at(500.0, false).0, Some(0.1));
        assert_eq!(edge.within(59.0), Some(5.0));
        assert_eq!(edge.within(0.05), None);
    }

    #[test]
    fn fastest_edge_never_opens_below_what_it_carries() {
        let edge = Edge { carries: Some(10.0), points: vec![p(20.0, 3.0, Line)], tail: Tail::AtOnce };
        assert_eq!(edge.at(10.0, true).0, None);
        assert_eq!(edge.at(15.0, true).0, Some(3.0));
        assert_eq!(edge.at(21.0, true).0, Some(0.0));
        let silent = Edge { carries: Some(10.0), points: vec![], tail: Tail::AtOnce };
        assert_eq!(silent.at(10.1, true).0, Some(0.0));
    }
}
