//! Points, straight lines and boxes: distances, clipping, what lies beside what. All in metres.

use crate::model::{Block, Point};
use orlop_units::Quantity;

/// Lines this near to a face of a box count as inside, against rounding.
const ROUNDING: f64 = 1e-9;

/// Distance of two points.
pub(super) fn distance(a: Point, b: Point) -> f64 {
    a.distance(b).si()
}

/// The point at a share of the way from a to b.
pub(super) fn between(a: Point, b: Point, share: f64) -> Point {
    let at = |p: f64, q: f64| (q - p).mul_add(share, p);
    Point { x: at(a.x, b.x), y: at(a.y, b.y), z: at(a.z, b.z) }
}

fn minus(a: Point, b: Point) -> [f64; 3] {
    [a.x - b.x, a.y - b.y, a.z - b.z]
}
fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0].mul_add(b[0], a[1].mul_add(b[1], a[2] * b[2]))
}

/// The nearest point of the line from a to b: its share of the way, and how far it is.
pub(super) fn nearest_on(a: Point, b: Point, p: Point) -> (f64, f64) {
    let along = minus(b, a);
    let length_squared = dot(along, along);
    let share =
        if length_squared > 0.0 { (dot(minus(p, a), along) / length_squared).clamp(0.0, 1.0) } else { 0.0 };
    (share, distance(between(a, b, share), p))
}

/// The part of the line from a to b inside a box, as shares of the way; a touch counts.
pub(super) fn clip(a: Point, b: Point, block: &Block) -> Option<(f64, f64)> {
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    let axes = [
        (a.x, b.x, block.low.x, block.high.x),
        (a.y, b.y, block.low.y, block.high.y),
        (a.z, b.z, block.low.z, block.high.z),
    ];
    for (from, to, low, high) in axes {
        let (low, high) = (low - ROUNDING, high + ROUNDING);
        let step = to - from;
        if step == 0.0 {
            if from < low || from > high {
                return None;
            }
            continue;
        }
        let (first, second) = ((low - from) / step, (high - from) / step);
        enter = enter.max(first.min(second));
        leave = leave.min(first.max(second));
    }
    (enter <= leave).then_some((enter, leave))
}

/// How far a point is outside a box; zero inside and on its faces.
pub(super) fn outside(p: Point, block: &Block) -> f64 {
    let out = |v: f64, low: f64, high: f64| (low - v).max(v - high).max(0.0);
    let gap = [
        out(p.x, block.low.x, block.high.x),
        out(p.y, block.low.y, block.high.y),
        out(p.z, block.low.z, block.high.z),
    ];
    dot(gap, gap).sqrt()
}

/// The part of the line from a to b that lies beside the line from c to d, in metres from a.
///
/// Beside: the directions (either way round) differ by no more than `sine` says, and the part, seen square to
/// c-d, falls on it and is no farther away than `gap`.
pub(super) fn beside(a: Point, b: Point, c: Point, d: Point, gap: f64, sine: f64) -> Option<(f64, f64)> {
    let (length, other) = (distance(a, b), distance(c, d));
    if length == 0.0 || other == 0.0 {
        return None;
    }
    let u = minus(b, a).map(|v| v / length);
    let v = minus(d, c).map(|v| v / other);
    let cosine = dot(u, v);
    // The part of u square to v; its length is the sine of the angle.
    let across = [0, 1, 2].map(|i| cosine.mul_add(-v[i], u[i]));
    let slope = dot(across, across);
    if slope > sine * sine {
        return None;
    }
    let start = minus(a, c);
    let along = dot(start, v);
    let away = [0, 1, 2].map(|i| along.mul_add(-v[i], start[i]));
    // Seen on c-d: 0 <= along + t cosine <= other; cosine is not zero, the angle is small.
    let (first, second) = (-along / cosine, (other - along) / cosine);
    let (mut low, mut high) = (first.min(second).max(0.0), first.max(second).min(length));
    // Distance from the line c-d: |away + t across|^2 <= gap^2, a parabola in t.
    let (half, rest) = (dot(away, across), gap.mul_add(-gap, dot(away, away)));
    if slope > 1e-18 {
        let root = half.mul_add(half, -slope * rest);
        if root < 0.0 {
            return None;
        }
        low = low.max((-half - root.sqrt()) / slope);
        high = high.min((-half + root.sqrt()) / slope);
    } else if rest > 0.0 {
        return None;
    }
    (high > low).then_some((low, high))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn p(x: f64, y: f64, z: f64) -> Point {
        Point { x, y, z }
    }
    const UNIT: Block =
        Block { low: Point { x: 0.0, y: 0.0, z: 0.0 }, high: Point { x: 1.0, y: 1.0, z: 1.0 } };

    #[test]
    fn a_diagonal_is_clipped_where_it_enters_and_leaves() {
        let (enter, leave) = clip(p(-1.0, -1.0, -1.0), p(2.0, 2.0, 2.0), &UNIT).unwrap();
        assert!((enter - 1.0 / 3.0).abs() < 1e-9 && (leave - 2.0 / 3.0).abs() < 1e-9);
        assert!(clip(p(-1.0, 2.0, 0.5), p(2.0, 2.0, 0.5), &UNIT).is_none());
    }

    #[test]
    fn a_line_in_a_face_is_inside_and_a_point_can_be_clipped() {
        assert_eq!(clip(p(0.2, 0.2, 1.0), p(0.8, 0.2, 1.0), &UNIT), Some((0.0, 1.0)));
        assert_eq!(clip(p(0.5, 0.5, 0.5), p(0.5, 0.5, 0.5), &UNIT), Some((0.0, 1.0)));
        assert_eq!(clip(p(0.5, 0.5, 1.5), p(0.5, 0.5, 1.5), &UNIT), None);
    }

    #[test]
    fn the_nearest_point_may_be_an_end() {
        let (share, far) = nearest_on(p(0.0, 0.0, 0.0), p(2.0, 0.0, 0.0), p(0.5, 0.3, 0.4));
        assert!((share - 0.25).abs() < 1e-12 && (far - 0.5).abs() < 1e-12);
        assert_eq!(nearest_on(p(0.0, 0.0, 0.0), p(2.0, 0.0, 0.0), p(5.0, 4.0, 0.0)), (1.0, 5.0));
        assert_eq!(nearest_on(p(1.0, 0.0, 0.0), p(1.0, 0.0, 0.0), p(1.0, 2.0, 0.0)), (0.0, 2.0));
    }

    #[test]
    fn lines_lie_beside_each_other_only_where_they_overlap() {
        let (a, b) = (p(0.0, 0.0, 0.0), p(4.0, 0.0, 0.0));
        // Parallel, 30 mm away, from x = 1 to x = 3, the other way round.
        let (low, high) = beside(a, b, p(3.0, 0.03, 0.0), p(1.0, 0.03, 0.0), 0.05, 0.09).unwrap();
        assert!((low - 1.0).abs() < 1e-12 && (high - 3.0).abs() < 1e-12);
        // End to end.
        assert_eq!(beside(a, b, p(4.0, 0.0, 0.0), p(6.0, 0.0, 0.0), 0.05, 0.09), None);
        // Too far, and crossing.
        assert_eq!(beside(a, b, p(0.0, 0.06, 0.0), p(4.0, 0.06, 0.0), 0.05, 0.09), None);
        assert_eq!(beside(a, b, p(2.0, -1.0, 0.0), p(2.0, 1.0, 0.0), 0.05, 0.09), None);
        // Leaving at a small angle: 100 mm in 4 m, so within 50 mm for the first 2 m.
        let (low, high) = beside(a, b, a, p(4.0, 0.1, 0.0), 0.05, 0.09).unwrap();
        assert!(low == 0.0 && (high - 2.0).abs() < 2e-3, "{low} {high}");
    }
}
