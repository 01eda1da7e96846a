//! Before a test: how long it takes, how sure it will be, what to reduce, what to watch.

use super::columns::{Chunk, LogFormat};
use super::correct::corrected;
use super::evaluation::evaluate_log;
use super::plan::{Instrument, Procedure, Stop};
use crate::error::{Error, positive};
use crate::proving::uncertainty::Budget;
use crate::range::Range;
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Charge, Current, Quantity, Temperature, Time, seconds, show};

/// How much more or less than rated a sound bank may hold: common practice for new cells and for those due for replacement.
const HOLDS: (f64, f64) = (0.8, 1.1);

/// A capacity test before it is made.
#[derive(Clone, Debug, PartialEq)]
pub struct TestPlan {
    /// The load.
    pub load: Current,
    /// How long it will take, for 80 % to 110 % of the rated capacity.
    pub hours: Range<Time>,
    /// What the result of a bank of just the rated capacity would look like.
    pub expected: Budget<Charge>,
    /// What to do about the largest cause of error.
    pub advice: &'static str,
    /// What the people at the test watch for.
    pub watch: Vec<String>,
}

impl TestPlan {
    /// A test with a constant load at a temperature.
    ///
    /// # Errors
    /// [`Error::Input`] for a load that is not above zero, a temperature that is not finite, a stop that tests nothing, no definition of full, and as
    /// [`super::CapacityTest::new`].
    ///
    /// ```
    /// use orlop::proving::capacity::{Instrument, Procedure, Stop, TemperatureCorrection, TestPlan};
    /// use orlop::units::{ampere_hours, amperes, show, volts, Fraction, Temperature, TemperatureRise};
    /// let meter = Instrument {
    ///     name: "shunt monitor".into(),
    ///     gain: Fraction::new(0.005),
    ///     offset: amperes(0.05),
    ///     clock: Fraction::new(0.0),
    ///     thermometer: TemperatureRise::kelvins(1.0),
    ///     cell_voltage: volts(0.005),
    /// };
    /// let procedure = Procedure {
    ///     rated: ampere_hours(230.0),
    ///     full: Some(Fraction::new(0.004)),
    ///     empty: Some(Fraction::new(0.0015)),
    ///     stop: Stop::Cell(volts(2.8)),
    ///     temperature: Some(TemperatureCorrection::lfp()),
    ///     rate: None,
    /// };
    /// let plan = TestPlan::new(amperes(36.0), Temperature::celsius(15.0), &meter, &procedure)?;
    /// assert_eq!(plan.hours.to_string(), "5.11 h to 7.03 h");
    /// assert!(plan.advice.starts_with("test nearer to the reference temperature"));
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn new(
        load: Current,
        at: Temperature,
        instrument: &Instrument,
        procedure: &Procedure,
    ) -> Result<Self, Error> {
        Self::new_recorded(load, at, instrument, procedure, &mut Silent)
    }

    /// The same with its steps: the time, then the budget of a bank of just the rated capacity.
    ///
    /// # Errors
    /// As [`TestPlan::new`].
    pub fn new_recorded(
        load: Current,
        at: Temperature,
        instrument: &Instrument,
        procedure: &Procedure,
        rec: &mut impl Recorder,
    ) -> Result<Self, Error> {
        instrument.checked()?;
        procedure.checked()?;
        let amperes = positive(load, "load")?.si();
        if !at.si().is_finite() {
            return Err(Error::input("temperature", at.si().to_string(), "a finite temperature"));
        }
        let stop = match procedure.stop {
            Stop::Cell(v) => format!("stop when the first cell is at {} under load", show(v)),
            Stop::Bank(v) => format!("stop when the bank is at {} under load", show(v)),
            Stop::Indicated(_) | Stop::Unknown => {
                let got = "a stop that is no voltage";
                return Err(Error::input(
                    "stop",
                    got,
                    "a cell's or the bank's end voltage: a percentage repeats the monitor's setting",
                ));
            }
        };
        if procedure.full.is_none() {
            let expected =
                "how full the bank will be: by cell volts and tail current, within a share of the capacity";
            return Err(Error::input("full", "no definition of full", expected));
        }
        let rated = procedure.rated.si();
        let (end, degrees) = (rated / amperes, at.degrees_celsius());
        let course = Chunk {
            time: &[0.0, end],
            current: &[amperes, amperes],
            temperature: Some(&[degrees, degrees]),
            ..Chunk::default()
        };
        let log = evaluate_log(&course, LogFormat::default())?;
        let hours = Range::new(seconds(HOLDS.0 * end), seconds(HOLDS.1 * end));
        rec.step(|| {
            Step::new("how long it will take", "t", hours.to_string())
                .formula("0.8 C/I to 1.1 C/I: what sound banks hold, common practice")
                .input("C", procedure.rated)
                .input("I", load)
        });
        let expected = corrected(&log, instrument, procedure, rec)?;
        let advice = advice(expected.largest().map_or("", |(t, _)| t.name.as_str()));
        let watch = vec![
            "charge to full by cell volts and tail current, then rest an hour".to_string(),
            "log time, current, bank and cell volts and the temperature of the cells, at least once a minute near the end".to_string(),
            stop,
            "somebody stands at the disconnect all the time; never alone, never at night".to_string(),
            "stop at once for a hot joint, a smell or a swelling cell".to_string(),
        ];
        Ok(Self { load, hours, expected, advice, watch })
    }
}

/// What to do about a cause of error.
fn advice(largest: &str) -> &'static str {
    match largest {
        "gain" => "calibrate the shunt against a better one, or use the same one in every test",
        "offset" => {
            "read the current with everything off before and after, and subtract it; or test with a larger load"
        }
        "clock" => "set the clock of the logger",
        "definition of full" => "charge to a lower tail current and rest longer, the same way every time",
        "definition of empty" => "read cell volts with a better meter, or end lower on the knee",
        "thermometer" => "measure the temperature at the cells, in the middle of the bank",
        "temperature coefficient" => "test nearer to the reference temperature, or always at the same one",
        "rate exponent" => "test at the reference current",
        "current between rows" => "log more often, or keep the load steady",
        "current in gaps" => "log without gaps",
        _ => "nothing stands out",
    }
}
