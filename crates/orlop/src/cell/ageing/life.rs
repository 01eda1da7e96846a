//! How long cells last under a duty, and whether the calendar or the cycles decide.

use super::law::{Cycling, Law, Storage, lost_share};
use super::models::AgeingModel;
use super::rainflow::{full_cycles, rainflow};
use crate::cell::{Rate, StateOfCharge};
use crate::conductor::bracketed;
use crate::error::{Error, not_negative, positive};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Fraction, Number, Quantity, Temperature, TemperatureRise, Time, seconds, significant};

const DAYS_A_YEAR: f64 = 365.25;
/// Years beyond which a life is flagged: common practice, several times the two to four years that ageing tests run.
const LONGEST_BELIEVED: f64 = 15.0;
pub(super) const YEAR_S: f64 = DAYS_A_YEAR * 86400.0;

/// What is asked of the cells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Duty {
    /// How they are kept, on the mean of the year.
    pub storage: Storage,
    /// How they are cycled.
    pub cycling: Cycling,
    /// Full equivalent cycles in a year.
    pub full_cycles_a_year: f64,
}

/// What ends the life.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decides {
    /// More is lost on the calendar.
    Calendar,
    /// More is lost by cycles.
    Cycles,
}

impl Decides {
    /// The word for people.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Calendar => "the calendar",
            Self::Cycles => "the cycles",
        }
    }
}

/// How long cells last.
#[derive(Clone, Debug, PartialEq)]
pub struct Life {
    /// Until the loss is reached, both causes together.
    pub time: Time,
    /// What decides.
    pub decides: Decides,
    /// Part of the loss that came on the calendar.
    pub calendar_share: Fraction,
    /// Life if there were no cycles; none when the loss is never reached.
    pub by_calendar: Option<Time>,
    /// Life if there were no calendar; none when the loss is never reached.
    pub by_cycles: Option<Time>,
    /// Life of cells that stand twice the cycles.
    pub twice_the_cycles: Time,
    /// Life ten kelvins cooler.
    pub ten_kelvins_cooler: Time,
    /// What a reader must know.
    pub flags: Vec<String>,
}

impl Duty {
    /// From a record of charge: shares from 0 to 1 at even steps over a span of time.
    ///
    /// Rainflow counting gives the cycles; their depth is the mean weighted by the charge they move.
    ///
    /// # Errors
    /// [`Error::Input`] for a record of less than two values, with a value outside 0 to 1 or no change at all, or a span not
    /// above zero.
    pub fn from_record(
        charge: &[f64],
        span: Time,
        rate: Rate,
        temperature: Temperature,
    ) -> Result<Self, Error> {
        let span = positive(span, "span")?.si();
        if charge.len() < 2 {
            return Err(Error::input("charge", format!("{} values", charge.len()), "two values or more"));
        }
        for (k, c) in charge.iter().enumerate() {
            StateOfCharge::from_si(*c).checked(&format!("charge at place {k}"))?;
        }
        let cycles = rainflow(charge)?;
        let moved = full_cycles(&cycles);
        if moved <= 0.0 {
            return Err(Error::input("charge", "a record that never changes", "a record with cycles"));
        }
        let by_charge = |f: fn(&super::CountedCycle) -> f64| {
            cycles.iter().map(|c| c.count * c.range * f(c)).sum::<f64>() / moved
        };
        let mean = charge.iter().sum::<f64>() / charge.len() as f64;
        Ok(Self {
            storage: Storage { charge: StateOfCharge::new(mean.clamp(0.0, 1.0))?, temperature },
            cycling: Cycling {
                depth: Fraction::new(by_charge(|c| c.range).min(1.0)),
                rate,
                middle: StateOfCharge::new(by_charge(|c| c.mean).clamp(0.0, 1.0))?,
                temperature,
            },
            full_cycles_a_year: moved * YEAR_S / span,
        })
    }

    fn cooler(&self, by: f64) -> Self {
        let cool = |t: Temperature| t.plus(TemperatureRise::kelvins(-by));
        Self {
            storage: Storage { temperature: cool(self.storage.temperature), ..self.storage },
            cycling: Cycling { temperature: cool(self.cycling.temperature), ..self.cycling },
            ..*self
        }
    }
}

/// How long cells last until a share of their capacity is lost, by one model for the calendar and one for the cycles.
///
/// The losses are added: q(t) = q_calendar(t) + q_cycles(n t). What brings more of the loss decides.
///
/// # Errors
/// As [`AgeingModel::calendar`] and [`AgeingModel::cycling`]; [`Error::Input`] for a loss not between 0 and 1 or a negative
/// number of cycles; [`Error::NoSolution`] when the loss is never reached.
///
/// ```
/// use orlop::cell::ageing::{life, AgeingModel, Cycling, Decides, Duty, Storage};
/// use orlop::{cell::{Rate, StateOfCharge}, units::{Fraction, Temperature}};
/// let (half, mild) = (StateOfCharge::new(0.5)?, Temperature::celsius(20.0));
/// let duty = Duty {
///     storage: Storage { charge: half, temperature: mild },
///     cycling: Cycling { depth: Fraction::new(0.8), rate: Rate::new(0.2)?, middle: half, temperature: mild },
///     full_cycles_a_year: 41.0,
/// };
/// let model = AgeingModel::Naumann;
/// let answer = life(model, model, &duty, Fraction::new(0.2))?;
/// assert_eq!(answer.decides, Decides::Calendar);
/// # Ok::<(), orlop::Error>(())
/// ```
pub fn life(calendar: AgeingModel, cycles: AgeingModel, duty: &Duty, lost: Fraction) -> Result<Life, Error> {
    life_recorded(calendar, cycles, duty, lost, &mut Silent)
}

/// The same with its steps.
///
/// # Errors
/// As [`life`].
pub fn life_recorded(
    calendar: AgeingModel,
    cycles: AgeingModel,
    duty: &Duty,
    lost: Fraction,
    rec: &mut impl Recorder,
) -> Result<Life, Error> {
    let share = lost_share(lost)?;
    let a_year = not_negative(Number::of(duty.full_cycles_a_year), "full_cycles_a_year")?.get();
    let on_calendar = calendar.calendar_recorded(&duty.storage, rec)?;
    let by_cycles = cycles.cycling_recorded(&duty.cycling, rec)?;
    let years = both(&on_calendar, &by_cycles, a_year, share)?;
    let calendar_part = on_calendar.at(years * DAYS_A_YEAR);
    let share_of_calendar = (calendar_part / share).clamp(0.0, 1.0);
    let mut flags = on_calendar.flags.clone();
    for flag in by_cycles.flags.iter().filter(|f| !on_calendar.flags.contains(f)) {
        flags.push(flag.clone());
    }
    if years > LONGEST_BELIEVED {
        flags.push(format!(
            "{} years is many times the length of any test behind a model: read it as long, not as a number",
            significant(years, 2)
        ));
    }
    let cool = duty.cooler(10.0);
    let cooler = both(&calendar.calendar(&cool.storage)?, &cycles.cycling(&cool.cycling)?, a_year, share)?;
    let in_years = |y: f64| seconds(y * YEAR_S);
    let alone_cycles = by_cycles.reaches(share).filter(|_| a_year > 0.0).map(|n| in_years(n / a_year));
    let answer = Life {
        time: in_years(years),
        decides: if share_of_calendar >= 0.5 { Decides::Calendar } else { Decides::Cycles },
        calendar_share: Fraction::new(share_of_calendar),
        by_calendar: on_calendar.reaches(share).map(|days| in_years(days / DAYS_A_YEAR)),
        by_cycles: alone_cycles,
        twice_the_cycles: in_years(both(&on_calendar, &by_cycles, 0.5 * a_year, share)?),
        ten_kelvins_cooler: in_years(cooler),
        flags,
    };
    rec.step(|| {
        Step::new("life", "t", format!("{} years", significant(years, 3)))
            .formula("calendar loss(t) + cycle loss(n t) = loss at the end")
            .input("loss", lost)
            .input("n", format!("{} full cycles a year", significant(a_year, 3)))
    });
    rec.step(|| Step::new("part of the loss that came on the calendar", "", answer.calendar_share));
    Ok(answer)
}

/// Years until both losses together reach a share.
fn both(calendar: &Law, cycles: &Law, a_year: f64, share: f64) -> Result<f64, Error> {
    let total = |years: f64| calendar.at(years * DAYS_A_YEAR) + cycles.at(years * a_year) - share;
    let alone = [
        calendar.reaches(share).map(|days| days / DAYS_A_YEAR),
        cycles.reaches(share).filter(|_| a_year > 0.0).map(|n| n / a_year),
    ];
    let latest = alone.into_iter().flatten().fold(f64::INFINITY, f64::min);
    // The one that ends first alone ends it, or the other brings the end forward; an offset may put it back a little.
    let end = bracketed(0.0, latest, total).or_else(|| bracketed(latest, 4.0 * latest, total));
    end.filter(|y| y.is_finite()).ok_or_else(|| Error::NoSolution {
        what: "the loss is never reached".into(),
        hint: "ask for a smaller loss or another model".into(),
    })
}

impl Life {
    /// The life in years.
    #[must_use]
    pub fn years(&self) -> f64 {
        self.time.si() / YEAR_S
    }

    /// The verdict in one sentence, with what it is sensitive to.
    #[must_use]
    pub fn sentence(&self) -> String {
        let years = |t: Time| significant(t.si() / YEAR_S, 2);
        format!(
            "{} years, and {} decide{}: {} of the loss comes on the calendar; cells of twice the cycle life would last {} \
             years, the same cells ten kelvins cooler {}",
            years(self.time),
            self.decides.word(),
            if self.decides == Decides::Calendar { "s" } else { "" },
            orlop_units::show(self.calendar_share),
            years(self.twice_the_cycles),
            years(self.ten_kelvins_cooler)
        )
    }
}
