//! Selectivity: whether of two devices in series only the nearer one to the fault opens.

use super::band::Edge;
use super::device::Device;
use crate::error::{Error, not_negative, positive};
use crate::source::{Citation, Confidence};
use orlop_units::{Current, Fraction, Quantity, amperes, show};

/// How a loaded device melts sooner than a cold one.
pub(crate) const PRELOAD: Citation = Citation::fixed(
    "preload-one-body",
    "one-body heating of a melting element or bimetal",
    "",
    "",
    "share of the cold time left after a steady load: 1 - (I/Inf)^2",
    Confidence::CommonPractice,
    "computed: temperature rise goes with the square of the current, and Inf just does not open",
);

/// How far two devices in series are selective.
#[derive(Clone, Debug, PartialEq)]
pub struct Coordination {
    /// Up to the fault current asked for, only the downstream device opens.
    pub selective: bool,
    /// Up to this current they are selective; none when they are not at any overcurrent.
    pub selective_up_to: Option<Current>,
    /// Whether the standards decide it. False where above `selective_up_to` the downstream fuse still melts first, and only its arc,
    /// which no standard here limits for direct current, is in question; or where nothing is said of how soon the upstream device may
    /// open.
    pub decided: bool,
    /// Share of the upstream device's cold opening time that its load leaves.
    pub preload_factor: f64,
    /// The reason, in one sentence.
    pub why: String,
    /// The weaker confidence of the two bands.
    pub confidence: Confidence,
}

/// Whether only the downstream device opens, for every current up to a fault current.
///
/// Selective at a current where the slowest total clearing of the downstream device, cold, is not later than the fastest
/// opening of the upstream device, preloaded: `t slowest(down) <= (1 - (I load / Inf)^2) t fastest(up)`. `load` is the
/// steady current of the upstream device before the fault, `Inf` its conventional non-operating current.
///
/// ```
/// use orlop::protection::{Device, coordinate};
/// use orlop::units::amperes;
/// let branch = Device::new("iso8820-3-blade", amperes(10.0)).unwrap();
/// let feeder = Device::new("iec60269-gg", amperes(100.0)).unwrap();
/// assert!(coordinate(&feeder, &branch, amperes(500.0), amperes(60.0)).unwrap().selective);
/// let twin = Device::new("iso8820-3-blade", amperes(10.0)).unwrap();
/// assert!(!coordinate(&twin, &branch, amperes(500.0), amperes(5.0)).unwrap().selective);
/// ```
///
/// # Errors
/// [`Error::Input`] when the fault current is not above zero or the load is negative.
pub fn coordinate(
    upstream: &Device,
    downstream: &Device,
    fault: Current,
    load: Current,
) -> Result<Coordination, Error> {
    coordinate_shared(upstream, downstream, fault, load, Fraction::new(1.0))
}

/// [`coordinate`] where the upstream device carries only a share of the downstream device's fault current: one string of several,
/// one of two feeders. In a ring it may carry more.
///
/// # Errors
/// As there, and for a share that is not above zero.
pub fn coordinate_shared(
    upstream: &Device,
    downstream: &Device,
    fault: Current,
    load: Current,
    share: Fraction,
) -> Result<Coordination, Error> {
    let fault = positive(fault, "fault")?.si();
    let load = not_negative(load, "load")?.si();
    let share = positive(share, "share")?.si();
    let (up, down) = (&upstream.band().fastest, &downstream.band().slowest);
    let carries = |edge: &Edge| edge.breaks().fold(f64::INFINITY, f64::min);
    let factor = (1.0 - (load / carries(up)).powi(2)).max(0.0);
    let holds = |amps: f64| {
        let clears = down.at(amps, false).0.unwrap_or(f64::INFINITY);
        up.at(share * amps, true).0.is_none_or(|fastest| clears <= factor * fastest)
    };
    // Without the arc: what melts first.
    let melts = |amps: f64| {
        let melted = down.melted(amps).unwrap_or(f64::INFINITY);
        up.at(share * amps, true).0.is_none_or(|fastest| melted <= factor * fastest)
    };
    // Between two breaks both edges are power laws, so their ratio is monotone there.
    let start = carries(&downstream.band().fastest).min(fault);
    let mut breaks: Vec<f64> =
        up.breaks().map(|a| a / share).chain(down.breaks()).filter(|a| *a > start && *a < fault).collect();
    breaks.extend([start, fault]);
    breaks.sort_by(f64::total_cmp);
    let mut limit = None;
    for pair in breaks.windows(2) {
        let (a, b) = (pair[0] * (1.0 + 1e-8), pair[1] * (1.0 - 1e-8));
        if !holds(a) {
            limit = Some(pair[0]);
        } else if a < b && !holds(b) {
            limit = Some(crossing(a, b, &holds));
        }
        if limit.is_some() {
            break;
        }
    }
    let limit = limit.or_else(|| (!holds(fault)).then_some(fault));
    // Both edges are power laws from one break to the next: what holds at all breaks holds between them.
    let arc_alone = |l: f64| {
        let beyond =
            breaks.iter().copied().filter(|a| *a > l * (1.0 + 1e-7)).chain([l * (1.0 + 1e-6), fault]);
        beyond.flat_map(|a| [a * (1.0 - 1e-8), a * (1.0 + 1e-8)]).all(|a| a <= l || melts(a))
    };
    let silent = up.points.is_empty();
    let decided = limit.is_none_or(|l| !silent && !arc_alone(l));
    let confidence = upstream.confidence().weaker(downstream.confidence());
    let why = match limit {
        None => format!("{downstream} clears before {upstream} can open, up to {}", show(amperes(fault))),
        Some(amps) if silent => {
            format!("above {} no standard here says how soon {upstream} may open", show(amperes(amps)))
        }
        Some(amps) if !decided => format!(
            "{downstream} clears before {upstream} can open, up to {}; above that it melts first, but no standard here says how long its \
             arc of direct current lasts",
            show(amperes(amps))
        ),
        Some(amps) => format!(
            "above {} {upstream}, loaded with {}{}, may open before {downstream} has cleared",
            show(amperes(amps)),
            show(amperes(load)),
            if (share - 1.0).abs() < 1e-9 {
                String::new()
            } else {
                format!(" and carrying {share:.2} of it")
            }
        ),
    };
    let up_to = limit.map_or(Some(fault), |l| (l > start).then_some(l));
    Ok(Coordination {
        selective: limit.is_none(),
        selective_up_to: up_to.map(amperes),
        decided,
        preload_factor: factor,
        why,
        confidence,
    })
}

/// The last current that holds, between one that does and one that does not.
fn crossing(mut good: f64, mut bad: f64, holds: &impl Fn(f64) -> bool) -> f64 {
    for _ in 0..60 {
        let middle = (good * bad).sqrt();
        if holds(middle) { good = middle } else { bad = middle }
    }
    good
}
