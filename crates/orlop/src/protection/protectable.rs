//! Whether one circuit can be protected at all: everything that bounds its device on one axis of current.
//!
//! From low to high a circuit that can be protected has: the design current, 1.25 times that, the window of ratings up to the
//! conductor's limit, the starts that the device holds, the least current at which it surely opens in time, the lower
//! fault current, the upper fault current, the breaking capacity. Where two of these change places the bar tells which,
//! and by how much.

use super::device::Device;
use super::family::Family;
use super::judge::{BREAKING, CARRIES, CLEARS, HOLDS, PROTECTS, judge};
use super::need::{Need, Window};
use crate::error::Error;
use crate::judgement::{Judgement, Sense, Severity, Verdict, meets};
use orlop_units::{Current, Quantity, Time, amperes, show};

/// Id of the rule of the circuit as a whole.
const WINDOW: &str = "device-window";

/// What a mark on the axis is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Edge {
    /// Continuous design current.
    Design,
    /// 1.25 times the design current: the least rating.
    LeastRating,
    /// What the device carries at the ambient of its place, where that is less than its rating.
    Carries,
    /// The device's rating.
    Rating,
    /// The largest rating that conductor and other limits allow.
    Limit,
    /// A start or brief stall that must be held.
    Held,
    /// What the device surely holds for that long.
    Holds,
    /// Least current at which it surely opens in time.
    Opens,
    /// Lower fault current.
    FaultLow,
    /// Upper fault current.
    FaultHigh,
    /// Breaking capacity; none counts as zero.
    Breaking,
}

impl Edge {
    /// In words.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Design => "design current",
            Self::LeastRating => "1.25 x design current",
            Self::Carries => "carried at its ambient",
            Self::Rating => "rating",
            Self::Limit => "largest rating allowed",
            Self::Held => "start to hold",
            Self::Holds => "held by the device",
            Self::Opens => "opens in time",
            Self::FaultLow => "lower fault current",
            Self::FaultHigh => "upper fault current",
            Self::Breaking => "breaking capacity",
        }
    }
}

/// One mark on the axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// What it is.
    pub edge: Edge,
    /// Where it stands.
    pub at: Current,
    /// The time that belongs to it, of starts.
    pub lasting: Option<Time>,
}

/// Two marks that should stand the other way round.
#[derive(Clone, Debug, PartialEq)]
pub struct Crossing {
    /// The one that should be lower, and where it is.
    pub below: Mark,
    /// The one that should be higher, and where it is.
    pub above: Mark,
    /// How many times the first is above the second; infinite when the second is zero.
    pub ratio: f64,
    /// The rule that it breaks.
    pub rule: &'static str,
}

impl std::fmt::Display for Crossing {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (a, b) = (&self.below, &self.above);
        write!(f, "{} {} is above {} {}", a.edge.word(), show(a.at), b.edge.word(), show(b.at))?;
        if self.ratio.is_finite() { write!(f, " ({:.2} times)", self.ratio) } else { Ok(()) }
    }
}

/// The protectable window of one circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct ProtectableWindow {
    need: Need,
    device: Option<Device>,
    window: Window,
    /// Every mark that is known, from low to high current.
    pub marks: Vec<Mark>,
    /// Marks that should stand the other way round.
    pub crossings: Vec<Crossing>,
}

impl ProtectableWindow {
    /// The bar of a circuit with its device.
    ///
    /// ```
    /// use orlop::protection::{Device, Need, ProtectableWindow};
    /// use orlop::units::{Temperature, amperes, seconds, volts};
    /// // A thruster far from the bank: it stalls at 640 A, and a short at its end draws no more than 700 A.
    /// let need = Need {
    ///     fault_low: Some(amperes(700.0)),
    ///     fault_high: Some(amperes(3600.0)),
    ///     inrush: vec![(amperes(640.0), seconds(2.0))],
    ///     ..Need::new(amperes(160.0), amperes(250.0), volts(28.8), Temperature::celsius(25.0))
    /// };
    /// let fuse = Device::new("iec60269-gg", amperes(200.0))?;
    /// let bar = ProtectableWindow::of_device(&need, &fuse)?;
    /// let told: Vec<_> = bar.crossings.iter().map(|c| c.rule).collect();
    /// assert!(told.contains(&"device-clears"), "{told:?}");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::Input`] for impossible values in the need.
    pub fn of_device(need: &Need, device: &Device) -> Result<Self, Error> {
        Self::new(need, device.family(), Some(device))
    }

    /// The bar of a circuit for which no device was found, by the ratings of a family.
    ///
    /// # Errors
    /// As [`ProtectableWindow::of_device`].
    pub fn of_family(need: &Need, family: &Family) -> Result<Self, Error> {
        Self::new(need, family, None)
    }

    fn new(need: &Need, family: &Family, device: Option<&Device>) -> Result<Self, Error> {
        let window = need.window(family)?;
        let mut bar = Self {
            need: need.clone(),
            device: device.cloned(),
            window,
            marks: Vec::new(),
            crossings: Vec::new(),
        };
        bar.mark();
        bar.cross();
        bar.marks.sort_by(|a, b| a.at.si().total_cmp(&b.at.si()).then(a.edge.cmp(&b.edge)));
        Ok(bar)
    }

    fn put(&mut self, edge: Edge, at: Option<Current>, lasting: Option<Time>) {
        self.marks.extend(at.map(|at| Mark { edge, at, lasting }));
    }

    fn mark(&mut self) {
        let need = self.need.clone();
        self.put(Edge::Design, Some(need.design), None);
        self.put(Edge::LeastRating, Some(self.window.lowest), None);
        self.put(Edge::Limit, Some(self.window.highest), None);
        self.put(Edge::FaultLow, self.fault_low(), None);
        self.put(Edge::FaultHigh, need.fault_high, None);
        for (current, time) in &need.inrush {
            self.put(Edge::Held, Some(*current), Some(*time));
        }
        let Some(device) = self.device.clone() else { return };
        self.put(Edge::Rating, Some(device.rating()), None);
        let carried = device.rating_at(need.ambient);
        self.put(Edge::Carries, Some(carried).filter(|c| *c < device.rating()), None);
        self.put(Edge::Opens, device.opens_within(need.clear_within), None);
        self.put(Edge::Breaking, Some(device.breaking_capacity().unwrap_or(amperes(0.0))), None);
        for (_, time) in &need.inrush {
            self.put(Edge::Holds, device.holds_for(*time), Some(*time));
        }
    }

    fn fault_low(&self) -> Option<Current> {
        self.device.as_ref().map_or(self.need.fault_low, |device| self.need.fault_low_through(device))
    }

    fn at(&self, edge: Edge) -> impl Iterator<Item = &Mark> {
        self.marks.iter().filter(move |m| m.edge == edge)
    }

    fn cross(&mut self) {
        let mut found = Vec::new();
        for (below, above, rule) in [
            (Edge::LeastRating, Edge::Limit, PROTECTS),
            (Edge::LeastRating, Edge::Rating, CARRIES),
            (Edge::LeastRating, Edge::Carries, CARRIES),
            (Edge::Rating, Edge::Limit, PROTECTS),
            (Edge::Opens, Edge::FaultLow, CLEARS),
            (Edge::FaultHigh, Edge::Breaking, BREAKING),
            // No device can both hold a start and open on a fault that draws no more.
            (Edge::Held, Edge::FaultLow, WINDOW),
        ] {
            for a in self.at(below) {
                found.extend(self.at(above).filter_map(|b| crossing(a, b, rule)));
            }
        }
        for a in self.at(Edge::Held) {
            let same = self.at(Edge::Holds).filter(|b| b.lasting == a.lasting);
            found.extend(same.filter_map(|b| crossing(a, b, HOLDS)));
        }
        self.crossings = found;
    }

    /// The ratings between which a device must lie.
    #[must_use]
    pub fn window(&self) -> &Window {
        &self.window
    }

    /// The judgements of the circuit: those of its device where there is one, and whether starts and the lower fault current leave
    /// room for any device at all.
    ///
    /// # Errors
    /// As [`judge`].
    pub fn judge(&self, subject: &str) -> Result<Vec<Judgement>, Error> {
        let mut all = match &self.device {
            Some(device) => judge(subject, device, &self.need)?,
            None => vec![
                Judgement::compare(
                    PROTECTS,
                    subject,
                    Severity::A,
                    self.window.lowest,
                    Sense::AtMost,
                    self.window.highest,
                )
                .what(format!(
                    "the design current of {} asks for a rating of {}; {} allows {}",
                    show(self.need.design),
                    show(self.window.lowest),
                    self.window.governed_by(),
                    show(self.window.highest)
                ))
                .to_do("a larger conductor, or raise that limit"),
            ],
        };
        all.extend(self.room(subject));
        Ok(all)
    }

    /// `device-window`: whether starts and the lower fault current leave room for any device; none where nothing short and high is to be
    /// held.
    #[must_use]
    pub fn room(&self, subject: &str) -> Option<Judgement> {
        let held = self.at(Edge::Held).map(|m| m.at).reduce(Current::max)?;
        let Some(fault) = self.fault_low() else {
            let bare = Judgement::bare(WINDOW, subject, Severity::B, Verdict::NotTested);
            return Some(bare.what("the lowest fault current is not known"));
        };
        Some(
            Judgement::compare(WINDOW, subject, Severity::B, held, Sense::AtMost, fault)
                .what(format!(
                    "it must hold {} and open on {}, the lowest fault current at its end",
                    show(held),
                    show(fault)
                ))
                .to_do("a larger conductor, a local battery, thermal protection at the motor: no device can do both"),
        )
    }
}

fn crossing(below: &Mark, above: &Mark, rule: &'static str) -> Option<Crossing> {
    let (a, b) = (below.at.si(), above.at.si());
    let ratio = if b > 0.0 { a / b } else { f64::INFINITY };
    (!meets(a, Sense::AtMost, b)).then(|| Crossing {
        below: below.clone(),
        above: above.clone(),
        ratio,
        rule,
    })
}

impl Device {
    /// The largest current that it surely holds for a time, from cold; none when its standard does not say how soon it may open.
    ///
    /// ```
    /// use orlop::protection::Device;
    /// use orlop::units::{amperes, seconds, show};
    /// let fuse = Device::new("iso8820-3-high-current", amperes(60.0))?;
    /// assert_eq!(show(fuse.holds_for(seconds(2.0)).unwrap()), "120 A");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    #[must_use]
    pub fn holds_for(&self, time: Time) -> Option<Current> {
        let fastest = &self.band().fastest;
        let wanted = time.si();
        let holds = |amps: f64| fastest.at(amps, true).0.is_none_or(|t| t >= wanted);
        let carried = fastest.breaks().fold(f64::INFINITY, f64::min);
        let asked = wanted > 0.0 && wanted.is_finite();
        if !(asked && carried.is_finite() && holds(carried)) {
            return None;
        }
        // The edge falls with current: between two of its corners it is one power law.
        let mut corners: Vec<f64> = fastest.breaks().collect();
        corners.sort_by(f64::total_cmp);
        let last = corners.last().copied()?;
        let (mut good, mut bad) = (carried, last.max(carried) * 1e6);
        for corner in corners {
            if holds(corner) {
                good = good.max(corner);
            } else {
                bad = bad.min(corner);
            }
        }
        if holds(bad) {
            return None;
        }
        for _ in 0..80 {
            let middle = (good * bad).sqrt();
            if holds(middle) { good = middle } else { bad = middle }
        }
        Some(amperes(good))
    }
}
