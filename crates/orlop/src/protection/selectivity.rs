//! Selectivity of a whole system: every device against every one upstream of it.

use super::coordination::{Coordination, coordinate_shared};
use super::device::Device;
use crate::error::{Error, not_negative};
use crate::judgement::{Judgement, Severity, Verdict};
use crate::range::Range;
use crate::source::Confidence;
use orlop_units::{Current, Fraction, show};

/// Id of the rule.
const SELECTIVE: &str = "device-selective";

/// A device in its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// What it is called: the branch in which it stands.
    pub id: String,
    /// The device.
    pub device: Device,
    /// Steady current through it before a fault.
    pub load: Current,
}

/// Two devices in series, by index.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InSeries {
    /// The one nearer to the source.
    pub upstream: usize,
    /// The one nearer to the fault.
    pub downstream: usize,
    /// Current through the downstream one for a fault at its load side.
    pub fault: Range<Current>,
    /// Largest share of that current which the upstream one carries.
    pub share: Fraction,
}

/// How two devices in series behave.
#[derive(Clone, Debug, PartialEq)]
pub struct Selectivity {
    /// The one nearer to the source.
    pub upstream: String,
    /// The one nearer to the fault.
    pub downstream: String,
    /// Current through the downstream one for a fault at its load side.
    pub fault: Range<Current>,
    /// Share of it which the upstream one carries.
    pub share: Fraction,
    /// Only the downstream one opens at any current up to the lower fault current; none when that is not known, or when only an arc
    /// of direct current, which no standard here limits, is in question.
    pub at_low: Option<bool>,
    /// The same up to the upper fault current.
    pub at_high: Option<bool>,
    /// Selective up to this current through the downstream device, at most the largest one asked; none when at no overcurrent.
    pub up_to: Option<Current>,
    /// The reason, in one sentence.
    pub why: String,
    /// The weaker confidence of the two bands.
    pub confidence: Confidence,
}

/// The matrix of upstream against downstream devices.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SelectivityMatrix {
    /// The devices, in the order given.
    pub ids: Vec<String>,
    /// One for each pair in series, in order of downstream, then upstream device.
    pub pairs: Vec<Selectivity>,
}

impl SelectivityMatrix {
    /// The pair of two devices; none when they are not in series.
    #[must_use]
    pub fn pair(&self, upstream: &str, downstream: &str) -> Option<&Selectivity> {
        self.pairs.iter().find(|p| p.upstream == upstream && p.downstream == downstream)
    }

    /// One judgement for each pair: undecided where a fault current is not known.
    #[must_use]
    pub fn judge(&self) -> Vec<Judgement> {
        self.pairs.iter().map(Selectivity::judge).collect()
    }
}

impl Selectivity {
    /// Selective up to the upper fault current: severity C, for a fault is cleared either way.
    #[must_use]
    pub fn judge(&self) -> Judgement {
        let verdict = match (self.at_low, self.at_high) {
            (_, Some(true)) => Verdict::Pass,
            (Some(false), _) | (_, Some(false)) => Verdict::Fail,
            (_, None) => Verdict::NotTested,
        };
        Judgement {
            value: self.up_to.map(Into::into),
            limit: self.fault.high().map(Into::into),
            sense: crate::Sense::AtLeast,
            ..Judgement::bare(SELECTIVE, self.downstream.clone(), Severity::C, verdict)
        }
        .clause(
            "slowest total clearing downstream, cold, before the fastest opening upstream, preloaded",
            self.confidence,
        )
        .what(format!("against {}: {}", self.upstream, self.why))
        .to_do("a larger or slower device upstream, or a smaller or faster one downstream, where their conductors allow it")
    }
}

/// How every two devices in series behave at their fault currents.
///
/// For each pair the slowest total clearing of the downstream device, cold, is compared with the fastest opening of the upstream one,
/// preloaded with its own load and hot, at every current up to both bounds of the fault current (see
/// [`coordinate`](super::coordinate)). The order in which devices and pairs are given changes nothing but the order of the answer.
///
/// ```
/// use orlop::Range;
/// use orlop::protection::{Device, InSeries, Placed, selectivity_matrix};
/// use orlop::units::{Fraction, amperes};
/// let place = |id: &str, family, rating, load| -> Result<Placed, orlop::Error> {
///     Ok(Placed { id: id.into(), device: Device::new(family, amperes(rating))?, load: amperes(load) })
/// };
/// let devices = [place("feeder", "iec60269-gg", 100.0, 60.0)?, place("F5", "iso8820-3-blade", 10.0, 5.0)?];
/// let fault = Range::new(amperes(131.0), amperes(500.0));
/// let pair = InSeries { upstream: 0, downstream: 1, fault, share: Fraction::new(1.0) };
/// let matrix = selectivity_matrix(&devices, &[pair])?;
/// assert_eq!(matrix.pair("feeder", "F5").unwrap().at_high, Some(true));
/// # Ok::<(), orlop::Error>(())
/// ```
///
/// # Errors
/// [`Error::Input`] for a pair of the same device or of one that is not there, a negative load, a share that is not above zero.
pub fn selectivity_matrix(devices: &[Placed], pairs: &[InSeries]) -> Result<SelectivityMatrix, Error> {
    for placed in devices {
        not_negative(placed.load, &format!("load of {}", placed.id))?;
    }
    let mut order: Vec<&InSeries> = pairs.iter().collect();
    order.sort_by_key(|p| (p.downstream, p.upstream));
    let pairs = order.into_iter().map(|p| one(devices, p)).collect::<Result<_, _>>()?;
    Ok(SelectivityMatrix { ids: devices.iter().map(|d| d.id.clone()).collect(), pairs })
}

fn one(devices: &[Placed], pair: &InSeries) -> Result<Selectivity, Error> {
    let (up, down) = match (devices.get(pair.upstream), devices.get(pair.downstream)) {
        (Some(up), Some(down)) if pair.upstream != pair.downstream => (up, down),
        _ => {
            let got = format!("{} above {} of {} devices", pair.upstream, pair.downstream, devices.len());
            return Err(Error::input("pair", got, "the indices of two different devices"));
        }
    };
    let ask = |fault: Option<Current>| -> Result<Option<Coordination>, Error> {
        let flows = fault.filter(|f| *f > orlop_units::amperes(0.0));
        flows.map(|f| coordinate_shared(&up.device, &down.device, f, up.load, pair.share)).transpose()
    };
    for end in [pair.fault.low(), pair.fault.high()].into_iter().flatten() {
        not_negative(end, "fault")?;
    }
    let (low, high) = (ask(pair.fault.low())?, ask(pair.fault.high())?);
    let selective = |end: &Option<Coordination>, fault: Option<Current>| {
        // At no current at all nothing opens.
        end.as_ref()
            .map_or_else(|| fault.map(|_| true), |c| (c.selective || c.decided).then_some(c.selective))
    };
    let (at_low, at_high) = (selective(&low, pair.fault.low()), selective(&high, pair.fault.high()));
    let told = high.or(low);
    let why = match (&told, pair.fault.high()) {
        (Some(c), Some(_)) => c.why.clone(),
        (Some(c), None) => format!("{}; the highest fault current is not known", c.why),
        (None, Some(most)) => format!("{} flows through it into a fault", show(most)),
        (None, None) => "the fault current is not known".into(),
    };
    Ok(Selectivity {
        upstream: up.id.clone(),
        downstream: down.id.clone(),
        fault: pair.fault,
        share: pair.share,
        at_low,
        at_high,
        up_to: told.as_ref().and_then(|c| c.selective_up_to),
        why,
        confidence: up.device.confidence().weaker(down.device.confidence()),
    })
}
