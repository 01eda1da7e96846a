//! Continuous and peak current against what the manager carries, with every string and with one lost.

use super::MANAGER_MARGIN;
use crate::error::{Error, positive};
use crate::judgement::{Judgement, Sense, Severity, Verdict};
use crate::source::Confidence;
use orlop_units::{Current, Quantity, Time, amperes, show};

/// Rating over continuous current.
const MARGIN: f64 = 1.25;

/// What a manager carries: for ever, and for a short time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Manager {
    continuous: Current,
    peak: Option<(Current, Time)>,
}

/// What the whole bank is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Demand {
    continuous: Current,
    peak: Option<(Current, Time)>,
    strings: u32,
}

fn short(peak: Current, time: Time, continuous: Current) -> Result<(Current, Time), Error> {
    let (peak, time) = (positive(peak, "peak")?, positive(time, "peak_time")?);
    if peak < continuous {
        return Err(Error::input(
            "peak",
            show(peak),
            format!("at least the continuous current of {}", show(continuous)),
        ));
    }
    Ok((peak, time))
}

impl Manager {
    /// A manager by its continuous current at its own temperature.
    ///
    /// # Errors
    /// [`Error::Input`] for a current not above zero.
    pub fn new(continuous: Current) -> Result<Self, Error> {
        Ok(Self { continuous: positive(continuous, "continuous")?, peak: None })
    }

    /// The same with what it carries for a short time.
    ///
    /// # Errors
    /// [`Error::Input`] for a peak below the continuous current, or no time.
    pub fn with_peak(self, peak: Current, time: Time) -> Result<Self, Error> {
        Ok(Self { peak: Some(short(peak, time, self.continuous)?), ..self })
    }

    /// What it carries for ever.
    #[must_use]
    pub fn continuous(&self) -> Current {
        self.continuous
    }
    /// What it carries for a short time, and how long, where that is stated.
    #[must_use]
    pub fn peak(&self) -> Option<(Current, Time)> {
        self.peak
    }
}

impl Demand {
    /// The largest credible continuous current of the bank, and the strings that share it, each with a manager of its own.
    ///
    /// # Errors
    /// [`Error::Input`] for a current not above zero or no string.
    pub fn new(continuous: Current, strings: u32) -> Result<Self, Error> {
        if strings == 0 {
            return Err(Error::input("strings", "0", "one or more"));
        }
        Ok(Self { continuous: positive(continuous, "continuous")?, peak: None, strings })
    }

    /// The same with the largest short current, such as a motor that starts.
    ///
    /// # Errors
    /// [`Error::Input`] for a peak below the continuous current, or no time.
    pub fn with_peak(self, peak: Current, time: Time) -> Result<Self, Error> {
        Ok(Self { peak: Some(short(peak, time, self.continuous)?), ..self })
    }

    /// What each manager carries when one string is lost: all of it over one string less; all of it over one where there is only
    /// one, which then cannot be lost without losing the bank.
    #[must_use]
    pub fn each_after_a_loss(&self) -> Current {
        self.continuous / f64::from(self.strings.max(2) - 1)
    }

    fn peak_after_a_loss(&self) -> Option<(Current, Time)> {
        self.peak.map(|(i, t)| (i / f64::from(self.strings.max(2) - 1), t))
    }
}

impl Manager {
    /// Judges the manager of every string: rules `manager-continuous`, `manager-peak`, `manager-redundancy`.
    ///
    /// ```
    /// use orlop::{pack::manager::{Demand, Manager}, units::amperes};
    /// // 2 kW at 12.0 V and 90 percent are 185 A: too much for 100 A, and for two of them once one is lost.
    /// let small = Manager::new(amperes(100.0))?;
    /// assert!(small.judge(&Demand::new(amperes(185.0), 2)?).iter().any(|j| j.is_finding()));
    /// # Ok::<(), orlop::Error>(())
    /// ```
    #[must_use]
    pub fn judge(&self, demand: &Demand) -> Vec<Judgement> {
        let each = demand.each_after_a_loss();
        let lost = if demand.strings > 1 { "with one string lost" } else { "with its one string" };
        let continuous = Judgement::compare(
            "manager-continuous",
            "bank.manager",
            Severity::B,
            self.continuous,
            Sense::AtLeast,
            amperes(MARGIN * each.si()),
        )
        .clause(MANAGER_MARGIN.short(), MANAGER_MARGIN.confidence)
        .what(format!("{lost} each manager carries {}; it is rated {}", show(each), show(self.continuous)))
        .to_do("choose a larger manager, add a string, or shed loads when a string is lost");
        vec![continuous, self.judge_peak(demand, lost), redundancy(demand)]
    }

    fn judge_peak(&self, demand: &Demand, lost: &str) -> Judgement {
        let bare = |verdict, what: &str| {
            Judgement::bare("manager-peak", "bank.manager", Severity::B, verdict)
                .clause(MANAGER_MARGIN.short(), MANAGER_MARGIN.confidence)
                .what(what)
        };
        let Some((peak, time)) = demand.peak_after_a_loss() else {
            return bare(Verdict::NotTested, "no peak of the loads is given")
                .to_do("give the largest inrush or motor start with its time");
        };
        let (carried, held) = match self.peak {
            Some((carried, held)) if held >= time => (carried, held),
            _ if peak <= self.continuous => (self.continuous, time),
            Some((_, held)) => {
                return bare(
                    Verdict::Undecided,
                    &format!(
                        "{lost} each manager carries {} for {}; its peak is stated for {} only",
                        show(peak),
                        show(time),
                        show(held)
                    ),
                )
                .to_do("ask the maker for its current over that time");
            }
            None => {
                return bare(
                    Verdict::NotTested,
                    "no peak of the manager is stated, and its continuous current is less",
                )
                .to_do("ask the maker for its current over that time");
            }
        };
        Judgement::compare("manager-peak", "bank.manager", Severity::B, carried, Sense::AtLeast, peak)
            .clause(MANAGER_MARGIN.short(), MANAGER_MARGIN.confidence)
            .what(format!(
                "{lost} each manager carries {} for {}; it carries {} for {}",
                show(peak),
                show(time),
                show(carried),
                show(held)
            ))
            .to_do("limit the inrush (pre-charge, soft start), or choose a larger manager")
    }
}

fn redundancy(demand: &Demand) -> Judgement {
    let verdict = if demand.strings > 1 { Verdict::Pass } else { Verdict::Fail };
    Judgement::bare("manager-redundancy", "bank.manager", Severity::C, verdict)
        .clause("common practice: essential loads outlive one manager", Confidence::CommonPractice)
        .what(if demand.strings > 1 {
            format!("{} strings with a manager each: one can open and the bank lives on", demand.strings)
        } else {
            "one manager carries everything: when it opens, everything is dark".to_string()
        })
        .to_do("feed what is essential from a second source, or part the bank into strings")
}
