//! A bank for currents that follow each other, after the sheet of IEEE 485.

use super::rate::RateFactor;
use crate::error::{Error, not_negative, positive};
use crate::range::Range;
use crate::source::{Citation, Confidence};
use crate::table::ColumnType::{Integer, Quantity as Of};
use crate::table::{Schema, Table, quantity, schema};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Charge, Current, Fraction, Kind, Number, Quantity, Time, coulombs, seconds, show};

pub(crate) static SECTIONS_METHOD: Citation = Citation::fixed(
    "ieee485-sections",
    "IEEE 485; DOE-HDBK-1084-95",
    "",
    "cell sizing worksheet; Figure 15",
    "size of a section = sum of (A_p - A_p-1) K(time from the start of p to the end of the section); the largest counts",
    Confidence::Published,
    "a text copy and a sheet that gives the principle; the cycle of the handbook's figure",
);

/// Shortest time that counts, s: a load of less than a minute counts as a minute.
const MINUTE: f64 = 60.0;

/// The table of a duty cycle: every term of every section.
pub const DUTY: Schema = schema!("duty", "one row per period in each section of a duty cycle", [
    "section": Integer, "from the start to the end of the period of that number";
    "period": Integer, "period that begins in it";
    "current_a": Of(Kind::Current), "its current";
    "change_a": Of(Kind::Current), "its current less that of the one before";
    "to_end_s": Of(Kind::Time), "from its start to the end of the section";
    "factor_s": Of(Kind::Time), "rated capacity that each ampere needs for so long";
    "size_ah": Of(Kind::Charge), "their product: below zero where the current fell";
]);

/// A current and how long it flows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Period {
    /// The current.
    pub current: Current,
    /// How long.
    pub time: Time,
}

/// Currents that follow each other from a full bank on.
#[derive(Clone, Debug, PartialEq)]
pub struct DutyCycle {
    periods: Vec<Period>,
    random: Option<Period>,
}

/// One period within a section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Term {
    /// Which, from 0.
    pub period: usize,
    /// Its current.
    pub current: Current,
    /// Its current less that of the one before.
    pub change: Current,
    /// From its start to the end of the section, at least a minute.
    pub to_end: Time,
    /// Capacity that each ampere needs for so long: ampere-hours per ampere.
    pub factor: Time,
    /// Their product.
    pub size: Charge,
}

/// The first periods of a cycle, sized as if it ended there.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Its periods.
    pub terms: Vec<Term>,
    /// Their sum.
    pub size: Charge,
}

/// How large a bank has to be for a cycle.
#[derive(Clone, Debug, PartialEq)]
pub struct DutySize {
    /// Each section.
    pub sections: Vec<Section>,
    /// The one that asks for most, from 0.
    pub governing: usize,
    /// What the load that may come at any time asks for by itself.
    pub random: Charge,
    /// The largest section, at least the charge that is drawn, with it.
    pub uncorrected: Charge,
    /// With cold, margin and age: rated capacity when new, by the mildest and the strictest factor of temperature.
    pub capacity: Range<Charge>,
    /// Charge that flows in all.
    pub drawn: Charge,
    /// What a reader must know.
    pub flags: Vec<String>,
}

impl DutyCycle {
    /// Periods in the order in which they come.
    ///
    /// # Errors
    /// [`Error::Input`] for no period, a negative current, a time not above zero, or no current at all.
    pub fn new(periods: impl IntoIterator<Item = Period>) -> Result<Self, Error> {
        let periods: Vec<Period> = periods.into_iter().collect();
        for (n, p) in periods.iter().enumerate() {
            not_negative(p.current, &format!("current of period {}", n + 1))?;
            positive(p.time, &format!("time of period {}", n + 1))?;
        }
        if !periods.iter().any(|p| p.current.si() > 0.0) {
            let got = if periods.is_empty() { "no period" } else { "no current" };
            return Err(Error::input("duty", got, "at least one period with a current"));
        }
        Ok(Self { periods, random: None })
    }

    /// The same with a load that may come at any time.
    ///
    /// # Errors
    /// [`Error::Input`] for a current or time not above zero.
    pub fn with_random(self, random: Period) -> Result<Self, Error> {
        positive(random.current, "random current")?;
        positive(random.time, "random time")?;
        Ok(Self { random: Some(random), ..self })
    }

    /// How large the bank has to be: by temperature factor, margin, and the share that a worn-out bank still has.
    ///
    /// Each section runs from the start of the cycle to the end of one of its periods; its size is the sum of `(A_p - A_p-1) K(t)` with `t` from the
    /// start of period `p` to the end of the section. The largest counts, at least
    /// the charge that is drawn; the load that may come at any time is added.
    /// `C = (largest + random) k_T (1 + margin)/left`.
    ///
    /// # Errors
    /// As [`RateFactor::at`]; [`Error::Input`] for a margin outside 0 to 100 %, a share left outside 0 to 100 %, or a factor of temperature not above
    /// zero.
    ///
    /// ```
    /// use orlop::{Range, energy::{DutyCycle, Period, RateFactor}};
    /// use orlop::units::{Fraction, Number, amperes, seconds, show};
    /// let period = |a: f64, minutes: f64| Period { current: amperes(a), time: seconds(60.0 * minutes) };
    /// // Windlass, then lights and fridge for an evening.
    /// let cycle = DutyCycle::new([period(80.0, 3.0), period(6.0, 300.0)])?;
    /// let rate = RateFactor::peukert(seconds(20.0 * 3600.0), 1.15)?;
    /// let size = cycle.size(&rate, Range::exactly(Number::of(1.0)), Fraction::new(0.1), Fraction::new(0.8))?;
    /// assert_eq!((show(size.drawn), size.governing), ("34 Ah".into(), 1));
    /// assert_eq!(size.capacity.to_string(), "55.2 Ah");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn size(
        &self,
        rate: &RateFactor,
        temperature: Range<Number>,
        margin: Fraction,
        left: Fraction,
    ) -> Result<DutySize, Error> {
        self.size_recorded(rate, temperature, margin, left, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`DutyCycle::size`].
    pub fn size_recorded(
        &self,
        rate: &RateFactor,
        temperature: Range<Number>,
        margin: Fraction,
        left: Fraction,
        rec: &mut impl Recorder,
    ) -> Result<DutySize, Error> {
        if !(0.0..=1.0).contains(&margin.value()) {
            return Err(Error::input("margin", show(margin), "0 % to 100 %"));
        }
        if !(left.value() > 0.0 && left.value() <= 1.0) {
            return Err(Error::input("left", show(left), "above 0 % and at most 100 %"));
        }
        let (Some(mild), Some(strict)) = (temperature.low(), temperature.high()) else {
            return Err(Error::input("temperature_factor", temperature.to_string(), "both bounds"));
        };
        positive(mild, "temperature_factor")?;
        let sections =
            (0..self.periods.len()).map(|last| self.section(last, rate)).collect::<Result<Vec<_>, _>>()?;
        let mut governing = 0;
        for (n, section) in sections.iter().enumerate() {
            if section.size > sections[governing].size {
                governing = n;
            }
            rec.step(|| {
                Step::new(format!("size for the first {} periods", n + 1), "F", section.size)
                    .formula(
                        "sum of (A_p - A_p-1) K(t_p), t_p from the start of period p to the end of the last",
                    )
                    .input("terms", section.terms.iter().map(|t| show(t.size)).collect::<Vec<_>>().join(", "))
                    .source(&SECTIONS_METHOD)
            });
        }
        let random = match self.random {
            Some(p) => coulombs(p.current.si() * rate.at(at_least_a_minute(p.time))?.si()),
            None => coulombs(0.0),
        };
        let drawn = coulombs(self.periods.iter().map(|p| p.current.si() * p.time.si()).sum());
        // Near the rated hours a factor may grow by less than the time itself; no bank gives more than it holds.
        let by_charge = drawn > sections[governing].size;
        let largest = if by_charge { drawn } else { sections[governing].size };
        let uncorrected = largest + random;
        let shares = (1.0 + margin.value()) / left.value();
        let capacity = Range::new(uncorrected * (mild.get() * shares), uncorrected * (strict.get() * shares));
        rec.step(|| {
            Step::new("rated capacity when new", "C", capacity.to_string())
                .formula("(largest section + random load) k_T (1 + margin)/left")
                .input("largest section, at least the charge drawn", largest)
                .input("random load", random)
                .input("k_T", temperature.to_string())
                .input("margin", margin)
                .input("left", left)
                .source(&SECTIONS_METHOD)
        });
        let short = self.periods.iter().chain(&self.random).any(|p| p.time.si() < MINUTE);
        let mut flags = Vec::new();
        if short {
            flags.push("what is over in less than a minute counts as a minute".into());
        }
        if by_charge {
            flags.push("no section asks for as much as the charge that is drawn: that counts".into());
        }
        Ok(DutySize { sections, governing, random, uncorrected, capacity, drawn, flags })
    }

    fn section(&self, last: usize, rate: &RateFactor) -> Result<Section, Error> {
        let mut before = 0.0;
        let mut to_end: f64 = self.periods[..=last].iter().map(|p| p.time.si()).sum();
        let mut terms = Vec::with_capacity(last + 1);
        for (period, p) in self.periods[..=last].iter().enumerate() {
            let change = p.current.si() - before;
            let reach = at_least_a_minute(seconds(to_end));
            // No change asks for nothing, however long.
            let factor = if change == 0.0 { seconds(0.0) } else { rate.at(reach)? };
            terms.push(Term {
                period,
                current: p.current,
                change: Current::from_si(change),
                to_end: reach,
                factor,
                size: coulombs(change * factor.si()),
            });
            before = p.current.si();
            to_end = (to_end - p.time.si()).max(0.0);
        }
        let size = coulombs(terms.iter().map(|t| t.size.si()).sum());
        Ok(Section { terms, size })
    }
}

fn at_least_a_minute(time: Time) -> Time {
    seconds(time.si().max(MINUTE))
}

impl DutySize {
    /// Every term of every section.
    #[must_use]
    pub fn table(&self) -> Table {
        let mut table = Table::new(&DUTY);
        for (n, section) in self.sections.iter().enumerate() {
            for t in &section.terms {
                table.push([
                    (n + 1).into(),
                    (t.period + 1).into(),
                    quantity(Some(t.current)),
                    quantity(Some(t.change)),
                    quantity(Some(t.to_end)),
                    quantity(Some(t.factor)),
                    quantity(Some(t.size)),
                ]);
            }
        }
        table
    }
}
