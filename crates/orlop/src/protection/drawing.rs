//! A device's band as lines to draw on double-logarithmic paper.

use super::band::{Edge, Join, Tail};
use super::device::Device;
use crate::error::{Error, positive};
use orlop_units::{Current, Quantity, Time, amperes, seconds};

/// A corner of an edge.
pub type Corner = (Current, Time);

/// Both edges as polylines, from low to high current.
///
/// On double-logarithmic paper the lines between the corners are straight; a step is two corners at one current.
#[derive(Clone, Debug, PartialEq)]
pub struct BandPoints {
    /// The fastest edge. Where the device may open at once it ends in a time of zero.
    pub fastest: Vec<Corner>,
    /// The slowest edge; empty when the standard promises nothing.
    pub slowest: Vec<Corner>,
    /// A current that it carries for good: left of it nothing opens. None where the standard says no such thing.
    pub carries: Option<Current>,
}

impl Device {
    /// Its time-current band as lines, up to a current.
    ///
    /// ```
    /// use orlop::protection::Device;
    /// use orlop::units::{amperes, seconds};
    /// let band = Device::new("iso8820-3-blade", amperes(10.0))?.band_points(amperes(1000.0))?;
    /// assert!(band.slowest.contains(&(amperes(20.0), seconds(5.0))));
    /// assert_eq!(band.slowest.last().unwrap().0, amperes(1000.0));
    /// # Ok::<(), orlop::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::Input`] when the current is not above zero.
    pub fn band_points(&self, up_to: Current) -> Result<BandPoints, Error> {
        let end = positive(up_to, "up_to")?.si();
        let band = self.band();
        let list = |edge: &Edge, fastest| {
            corners(edge, fastest, end).into_iter().map(|(i, t)| (amperes(i), seconds(t))).collect()
        };
        Ok(BandPoints {
            fastest: list(&band.fastest, true),
            slowest: list(&band.slowest, false),
            carries: band.fastest.carries.map(amperes),
        })
    }
}

fn corners(edge: &Edge, fastest: bool, end: f64) -> Vec<(f64, f64)> {
    let mut list: Vec<(f64, f64)> = Vec::new();
    match (edge.carries, edge.points.first()) {
        // Between what it carries and the first point the time of the first point is the best that is known.
        (Some(carried), Some(first)) if carried < first.amps => list.push((carried, first.seconds)),
        (Some(carried), None) => list.push((carried, 0.0)),
        _ => {}
    }
    for p in &edge.points {
        if let (Join::Step, Some((_, before))) = (p.join, list.last().copied()) {
            // The faster edge may be fast from the point before on; the slower one is slow up to this point.
            let at = if fastest { list.last().map_or(p.amps, |l| l.0) } else { p.amps };
            list.push((at, if fastest { p.seconds } else { before }));
        }
        list.push((p.amps, p.seconds));
    }
    if let Some(last) = edge.points.last() {
        match edge.tail {
            Tail::AtOnce => list.push((last.amps, 0.0)),
            Tail::Hold => list.push((end, last.seconds)),
            Tail::Adiabatic { floor } => {
                let floor = floor.min(last.seconds);
                let knee = if floor > 0.0 { last.amps * (last.seconds / floor).sqrt() } else { end };
                if knee < end && knee > last.amps {
                    list.push((knee, floor));
                }
                list.push((end, (last.seconds * (last.amps / end).powi(2)).max(floor)));
            }
        }
    }
    cut(list, end)
}

/// Ends a polyline at a current.
fn cut(list: Vec<(f64, f64)>, end: f64) -> Vec<(f64, f64)> {
    let mut kept: Vec<(f64, f64)> = Vec::new();
    for (amps, time) in list {
        if amps <= end {
            kept.push((amps, time));
        } else if let Some((a, t)) = kept.last().copied()
            && a < end
        {
            let slope = if time > 0.0 && t > 0.0 { (time / t).ln() / (amps / a).ln() } else { 0.0 };
            kept.push((end, t * (end / a).powf(slope)));
        }
    }
    kept.dedup();
    kept
}

#[cfg(test)]
mod tests {
    use super::super::families;
    use super::*;

    #[test]
    fn corners_lie_on_the_edges() {
        for family in families() {
            for rating in &family.ratings {
                let device = Device::new(&family.id, *rating).unwrap();
                let end = *rating * 1000.0;
                let band = device.band_points(end).unwrap();
                for (list, slow) in [(&band.fastest, false), (&band.slowest, true)] {
                    assert!(
                        list.windows(2).all(|w| w[0].0 <= w[1].0 && w[0].1 >= w[1].1),
                        "{device}: {list:?}"
                    );
                    // Where the line is not a step, its middle is what the device says there.
                    for w in list.windows(2).filter(|w| w[0].0 < w[1].0) {
                        let middle = (w[0].0.si() * w[1].0.si()).sqrt();
                        let drawn = (w[0].1.si() * w[1].1.si()).sqrt();
                        let time = device.opening_time(amperes(middle)).unwrap();
                        let said = if slow { time.high() } else { time.low() };
                        let said = said.unwrap_or_else(|| panic!("{device} at {middle}")).si();
                        assert!(
                            (said / drawn - 1.0).abs() < 1e-6,
                            "{device} at {middle}: {said} s, drawn {drawn} s"
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn a_band_is_cut_where_asked() {
        let device = Device::new("iso8820-3-blade", amperes(10.0)).unwrap();
        let band = device.band_points(amperes(15.0)).unwrap();
        assert!(band.slowest.iter().all(|c| c.0 <= amperes(15.0)));
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(device.band_points(amperes(bad)).is_err());
        }
    }
}
