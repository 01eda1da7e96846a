//! What a place in a circuit asks of its device, and the window of ratings that follows.

use super::device::Device;
use super::family::Family;
use crate::error::{Error, not_negative, positive};
use crate::range::Range;
use crate::source::{Citation, Confidence};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Current, LetThrough, Quantity, Temperature, Time, Voltage, seconds, show};

/// Rating over continuous design current: a device runs at 80 % of its rating at most.
pub const LOAD_FACTOR: f64 = 1.25;

/// Where the load factor comes from.
pub(crate) const LOAD_PRACTICE: Citation = Citation::fixed(
    "device-load-factor",
    "continuous load at most 80 % of the rating",
    "",
    "",
    "rating at least 1.25 times the continuous current",
    Confidence::CommonPractice,
    "application notes on UL 489 and trade practice",
);

/// Largest share of the ampacity under the next-standard-size option.
const NEXT_STANDARD_MOST: f64 = 1.5;

/// What the place asks.
#[derive(Clone, Debug, PartialEq)]
pub struct Need {
    /// Continuous design current.
    pub design: Current,
    /// Highest rating the conductor allows under the rule set: its ampacity times the rule's share.
    pub conductor_limit: Current,
    /// Other upper limits, each with its reason: bus, switch, terminal, the maker of the load.
    pub other_limits: Vec<(String, Current)>,
    /// Highest voltage while charging.
    pub voltage: Voltage,
    /// Highest fault current through the device; none when not known.
    pub fault_high: Option<Current>,
    /// Lowest fault current that it must clear, without its own resistance unless [`Self::fault_from`] says how to count that;
    /// none when not known.
    pub fault_low: Option<Current>,
    /// Voltage that drives `fault_low`: a device's own resistance then lowers it. None where it is in it already, or where the
    /// source limits its current.
    pub fault_from: Option<Voltage>,
    /// Ambient of the device.
    pub ambient: Temperature,
    /// The conductor's ampacity, when only the next standard rating above it is allowed (and at most 150 %).
    pub next_standard_from: Option<Current>,
    /// `k2 A2` of the conductor; none when not known.
    pub withstand: Option<LetThrough>,
    /// Longest permitted time to clear the lowest fault current.
    pub clear_within: Time,
    /// Short high currents that it must hold: starts, and stalls of a stated brief time.
    pub inrush: Vec<(Current, Time)>,
}

/// The ratings between which a device must lie.
#[derive(Clone, Debug, PartialEq)]
pub struct Window {
    /// The derated rating must be at least this: 1.25 times the design current.
    pub lowest: Current,
    /// The rating must be at most this: the least of the limits.
    pub highest: Current,
    /// Every upper limit with its reason.
    pub limits: Vec<(String, Current)>,
}

impl Window {
    /// The reason of the least upper limit.
    #[must_use]
    pub fn governed_by(&self) -> &str {
        let least = self.limits.iter().min_by(|a, b| orlop_units::total_cmp(a.1, b.1));
        least.map_or("", |l| l.0.as_str())
    }
}

impl Need {
    /// A need without known fault currents, to clear within 5 s.
    #[must_use]
    pub fn new(design: Current, conductor_limit: Current, voltage: Voltage, ambient: Temperature) -> Self {
        Self {
            design,
            conductor_limit,
            other_limits: Vec::new(),
            voltage,
            fault_high: None,
            fault_low: None,
            fault_from: None,
            ambient,
            next_standard_from: None,
            withstand: None,
            clear_within: seconds(5.0),
            inrush: Vec::new(),
        }
    }

    /// The same need with the fault currents through the device: the upper one it must break, the lower one it must clear.
    ///
    /// `through` counts back-feed and leaves the device's own resistance out of the upper bound; a bound that is not
    /// known stays not tested.
    #[must_use]
    pub fn through(self, through: Range<Current>) -> Self {
        Self { fault_low: through.low(), fault_high: through.high(), fault_from: None, ..self }
    }

    /// The lowest fault current through a device, its own resistance at its highest counted: `U/(U/I + R)`.
    #[must_use]
    pub fn fault_low_through(&self, device: &Device) -> Option<Current> {
        let own = device.resistance().and_then(Range::high);
        match (self.fault_low, self.fault_from, own) {
            (Some(current), Some(from), Some(own)) if current.si() > 0.0 => {
                Some(from / (from / current + own))
            }
            (known, ..) => known,
        }
    }

    /// Refuses what cannot be a need.
    ///
    /// # Errors
    /// [`Error::Input`] naming the field.
    pub fn check(&self) -> Result<(), Error> {
        positive(self.design, "design")?;
        positive(self.conductor_limit, "conductor_limit")?;
        for (reason, limit) in &self.other_limits {
            positive(*limit, reason)?;
        }
        positive(self.voltage, "voltage")?;
        for (fault, field) in [(self.fault_high, "fault_high"), (self.fault_low, "fault_low")] {
            fault.map(|f| not_negative(f, field)).transpose()?;
        }
        if let (Some(low), Some(high)) = (self.fault_low, self.fault_high)
            && low > high
        {
            return Err(Error::input("fault_low", show(low), format!("at most fault_high, {}", show(high))));
        }
        let ambient = self.ambient.si();
        if !(ambient.is_finite() && ambient > -273.15) {
            return Err(Error::input("ambient", show(self.ambient), "a temperature above absolute zero"));
        }
        self.next_standard_from.map(|a| positive(a, "next_standard_from")).transpose()?;
        self.withstand.map(|w| positive(w, "withstand")).transpose()?;
        positive(self.clear_within, "clear_within")?;
        self.fault_from.map(|v| positive(v, "fault_from")).transpose()?;
        for (current, time) in &self.inrush {
            positive(*current, "inrush")?;
            positive(*time, "inrush time")?;
        }
        Ok(())
    }

    /// Between which ratings a device of a family must lie.
    ///
    /// `lowest = 1.25 I`, with `I` the design current; `highest` is the least of the conductor's limit, the other
    /// limits and, under the next-standard option, the family's next rating at or above the ampacity where that
    /// is at most 150 % of it, else the ampacity.
    ///
    /// ```
    /// use orlop::protection::{Need, family};
    /// use orlop::units::{Temperature, amperes, volts};
    /// // 14 AWG, 105 degC, below 50 V: 150 % of 35 A (33 CFR 183.455(c)(1)).
    /// let need = Need::new(amperes(20.0), amperes(52.5), volts(14.4), Temperature::celsius(30.0));
    /// let window = need.window(family("iso8820-3-blade").unwrap()).unwrap();
    /// assert_eq!((window.lowest, window.highest), (amperes(25.0), amperes(52.5)));
    /// ```
    ///
    /// # Errors
    /// [`Error::Input`] for impossible values.
    pub fn window(&self, family: &Family) -> Result<Window, Error> {
        self.window_recorded(family, &mut Silent)
    }

    /// [`window`](Self::window) with its steps.
    ///
    /// # Errors
    /// As there.
    pub fn window_recorded(&self, family: &Family, rec: &mut impl Recorder) -> Result<Window, Error> {
        self.check()?;
        let mut limits = vec![("conductor".to_string(), self.conductor_limit)];
        limits.extend(self.other_limits.iter().cloned());
        if let Some((ampacity, next)) = next_standard(self, family) {
            limits.push((format!("next standard rating above the ampacity of {}", show(ampacity)), next));
        }
        let window = Window { lowest: self.lowest_rating(), highest: highest_rating(self, family), limits };
        rec.step(|| {
            Step::new("lowest rating", "In min", window.lowest)
                .formula("1.25 I")
                .input("I", self.design)
                .source(&LOAD_PRACTICE)
        });
        rec.step(|| {
            let step = Step::new("highest rating", "In max", window.highest);
            let step = step.formula(format!("least of the limits; governed by: {}", window.governed_by()));
            window.limits.iter().fold(step, |s, (reason, limit)| s.input(reason, *limit))
        });
        Ok(window)
    }

    /// 1.25 times the design current.
    pub(super) fn lowest_rating(&self) -> Current {
        self.design * LOAD_FACTOR
    }
}

/// The ampacity and the rating that the next-standard option allows on it.
fn next_standard(need: &Need, family: &Family) -> Option<(Current, Current)> {
    let ampacity = need.next_standard_from?;
    let most = ampacity * NEXT_STANDARD_MOST;
    Some((ampacity, family.next_rating(ampacity).filter(|r| *r <= most).unwrap_or(ampacity)))
}

/// The least of all upper limits for a device of one family.
pub(super) fn highest_rating(need: &Need, family: &Family) -> Current {
    let others = need.other_limits.iter().map(|l| l.1).chain(next_standard(need, family).map(|n| n.1));
    others.fold(need.conductor_limit, Current::min)
}
