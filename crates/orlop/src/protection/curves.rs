//! Reads the points of a device's band from the tables.

use super::band::{ARCING, Edge, Join, Point, Tail};
use super::family::DeviceKind;
use crate::source::Confidence;
use crate::tables::file;

/// Both edges and the weakest confidence among their points.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Band {
    pub fastest: Edge,
    pub slowest: Edge,
    pub confidence: Confidence,
}

/// Points while they are gathered.
struct Gather {
    carries: Option<f64>,
    fast: Vec<Point>,
    slow: Vec<Point>,
    confidence: Confidence,
}

impl Gather {
    fn add(list: &mut Vec<Point>, amps: f64, seconds: f64, join: Join) {
        list.push(Point { amps, seconds, join });
    }

    fn relative(&mut self, family: &str, rating: f64) {
        for row in file("protection_time_current").rows() {
            let meant = row.text("family").split_whitespace().any(|f| f == family)
                && (row.number("rating_from_a")..=row.number("rating_to_a")).contains(&rating);
            if !meant {
                continue;
            }
            let amps = row.number("multiple") * rating;
            let join = if row.text("join") == "step" { Join::Step } else { Join::Line };
            if row.text("fastest_s") == "hold" {
                self.carries = Some(amps);
            } else if let Some(time) = row.optional("fastest_s") {
                Self::add(&mut self.fast, amps, time, join);
            }
            if let Some(time) = row.optional("slowest_s") {
                Self::add(&mut self.slow, amps, time, join);
            }
            self.confidence = self.confidence.weaker(row.confidence());
        }
    }

    /// gG: currents for 10 s, 5 s and 0.1 s, and for 10 ms by `I = sqrt(I2t / t)`.
    fn gates(&mut self, rating: f64) {
        let row = file("iec60269_gg_gates").rows().find(|r| r.number("rating_a") == rating);
        let row = row.expect("a row of gates for each gG rating");
        let at = |column| row.number(column);
        for (amps, time) in [
            (at("imin_10s_a"), 10.0),
            (at("imin_0p1s_a"), 0.1),
            ((at("i2t_min_a2s") / ARCING).sqrt(), ARCING),
        ] {
            Self::add(&mut self.fast, amps, time, Join::Line);
        }
        for (amps, time) in
            [(at("imax_5s_a"), 5.0), (at("imax_0p1s_a"), 0.1), ((at("i2t_max_a2s") / ARCING).sqrt(), ARCING)]
        {
            Self::add(&mut self.slow, amps, time, Join::Line);
        }
        self.confidence = self.confidence.weaker(row.confidence());
    }

    /// Class T: the current at which the largest clearing `I2t` of the body size is spent in 10 ms.
    fn clearing(&mut self, rating: f64) {
        let row = file("ul248-15_class_t_clearing").rows().find(|r| rating <= r.number("size_a"));
        let row = row.expect("a body size for each class T rating");
        let amps = (row.number("clearing_i2t_a2s") / ARCING).sqrt();
        Self::add(&mut self.slow, amps, ARCING, Join::Line);
        self.confidence = self.confidence.weaker(row.confidence());
    }
}

/// The band of one rating of a family.
pub(super) fn band(family: &str, kind: DeviceKind, rating: f64) -> Band {
    let mut all =
        Gather { carries: None, fast: Vec::new(), slow: Vec::new(), confidence: Confidence::Published };
    all.relative(family, rating);
    match family {
        "iec60269-gg" => all.gates(rating),
        "ul248-15-class-t" => all.clearing(rating),
        _ => {}
    }
    all.fast.sort_by(|a, b| a.amps.total_cmp(&b.amps));
    all.slow.sort_by(|a, b| a.amps.total_cmp(&b.amps));
    let (after_fast, after_slow) = match kind {
        DeviceKind::Fuse => (Tail::Adiabatic { floor: 0.0 }, Tail::Adiabatic { floor: ARCING }),
        DeviceKind::Breaker => (Tail::AtOnce, Tail::Hold),
    };
    Band {
        fastest: Edge { carries: all.carries, points: all.fast, tail: after_fast },
        slowest: Edge { carries: None, points: all.slow, tail: after_slow },
        confidence: all.confidence,
    }
}

#[cfg(test)]
mod tests {
    use super::super::families;
    use super::*;
    use orlop_units::Quantity as _;

    #[test]
    fn every_row_belongs_to_a_family() {
        for row in file("protection_time_current").rows() {
            for id in row.text("family").split_whitespace() {
                assert!(families().iter().any(|f| f.id == id), "{id}");
            }
            assert!(matches!(row.text("join"), "line" | "step"));
        }
    }

    #[test]
    fn edges_fall_and_keep_their_order() {
        for family in families() {
            for (rating, band) in family.ratings.iter().zip(&family.bands) {
                for edge in [&band.fastest, &band.slowest] {
                    for w in edge.points.windows(2) {
                        let falls = w[0].amps < w[1].amps && w[0].seconds >= w[1].seconds;
                        assert!(falls, "{} {rating:?}: {w:?}", family.id);
                    }
                }
                let says = band.fastest.carries.is_some() || !band.fastest.points.is_empty();
                assert!(says, "{}: carries its rating", family.id);
                for step in 0..2000 {
                    let amps = rating.si() * 1.005_f64.powi(step);
                    let fast = band.fastest.at(amps, true).0.unwrap_or(f64::INFINITY);
                    let slow = band.slowest.at(amps, false).0.unwrap_or(f64::INFINITY);
                    assert!(fast <= slow, "{} {rating:?} at {amps} A: {fast} s, {slow} s", family.id);
                }
            }
        }
    }
}
