//! What a log shows, before any judgement.

use super::care::Care;
use super::columns::{FIXED, Layout, LogFormat, Sign, VOLTAGE};
use super::steps::Gap;
use super::sums::{Answers, Sums};
use super::trace::Point;
use crate::error::Error;
use orlop_units::{
    Charge, Current, Energy, Quantity, Resistance, Temperature, Time, Voltage, amperes, coulombs, joules,
    ohms, seconds, show, volts,
};

/// Charging within a discharge up to this share of it is accepted and subtracted.
const MOST_CHARGED_BACK: f64 = 0.02;
/// Steps of current below this number say nothing about a resistance.
const FEWEST_STEPS: u64 = 5;

/// A resistance from how volts answered steps of the load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StepResistance {
    /// The resistance, on the time scale of one row of the log.
    pub resistance: Resistance,
    /// Its standard uncertainty.
    pub standard: Resistance,
    /// Number of steps.
    pub steps: u64,
}

/// What a log shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Log {
    /// Charge drawn, what was charged back in between subtracted.
    pub charge: Charge,
    /// Charge put back in between.
    pub charged_back: Charge,
    /// Energy drawn, net; none without volts.
    pub energy: Option<Energy>,
    /// From the first row to the last.
    pub duration: Time,
    /// Mean current, discharge positive.
    pub mean_current: Current,
    /// Mean current weighted by the charge, so that rests do not count.
    pub load_current: Current,
    /// Standard deviation of the current over time.
    pub current_deviation: Current,
    /// Mean temperature weighted by the size of the current; none without temperatures.
    pub mean_temperature: Option<Temperature>,
    /// Lowest and highest temperature; none without temperatures.
    pub temperatures: Option<(Temperature, Temperature)>,
    /// Whether discharge is positive in the log, and how that is known.
    pub discharge_positive: bool,
    /// How the sign is known: "stated", "the volts fall", ...
    pub sign_known_by: String,
    /// The usual step from row to row.
    pub usual_step: Time,
    /// Steps of more than four times the usual one.
    pub gap_count: u64,
    /// Their time together.
    pub gap_time: Time,
    /// The longest of them, at most eight.
    pub gaps: Vec<Gap>,
    /// Standard uncertainty of the charge because the current between rows is not known.
    pub integration: Charge,
    /// Standard uncertainty of the charge because the current in gaps is not known.
    pub in_gaps: Charge,
    /// The bank's volts in the last row under load; none without volts.
    pub end_voltage: Option<Voltage>,
    /// Each cell's volts in the last row under load; none where missing.
    pub end_cells: Vec<Option<Voltage>>,
    /// Resistance of the bank from steps of the load.
    pub resistance: Option<StepResistance>,
    /// Resistance of each cell from steps of the load.
    pub cell_resistances: Vec<Option<StepResistance>>,
    /// The course of the test in at most 1024 points.
    pub course: Vec<Point>,
    /// What was wrong with the log.
    pub care: Care,
}

impl Log {
    pub(super) fn new(format: LogFormat, layout: Layout, care: Care, sums: &Sums) -> Result<Self, Error> {
        if 2 * care.missing.rows > care.rows {
            let first = care.missing.first.unwrap_or(1);
            let got = format!(
                "{} of {} rows without time or current, the first is row {first}",
                care.missing.rows, care.rows
            );
            return Err(Error::input("log", got, "a time and a current in most rows"));
        }
        if sums.totals.time <= 0.0 {
            let got =
                format!("{} usable row{}", sums.totals.used, if sums.totals.used == 1 { "" } else { "s" });
            return Err(Error::input("log", got, "a log of two rows or more, at different times"));
        }
        let (positive, known_by) = discharge_sign(format.sign, layout, sums)?;
        let (up, down) = sums.totals.ways();
        let (out, back) = (up.charge.get(), -down.charge.get());
        let (energy_out, energy_back) = (up.energy.get(), -down.energy.get());
        let sign = if positive { 1.0 } else { -1.0 };
        let turned = |a: f64, b: f64| if positive { (a, b) } else { (b, a) };
        let ((out, back), (energy_out, energy_back)) = (turned(out, back), turned(energy_out, energy_back));
        if out <= 0.0 || back > MOST_CHARGED_BACK * out {
            let got = format!("{} discharged and {} charged", show(coulombs(out)), show(coulombs(back)));
            return Err(Error::Input {
                field: "log".into(),
                got,
                expected: "a discharge with at most 2 % of charging in it".into(),
                hint: "cut the log to the discharge".into(),
            });
        }
        let steps = sums.steps.sorted();
        let mean = sums.totals.charge() / sums.totals.time;
        let squared = sums.totals.current_squared.get();
        let variance = (squared / sums.totals.time - mean * mean).max(0.0);
        let there = |v: f64| (!v.is_nan()).then(|| volts(v));
        let warmth = (sums.totals.warmth.0.get(), sums.totals.warmth.1.get());
        let warm = warmth.1 > 0.0;
        Ok(Self {
            charge: coulombs(out - back),
            charged_back: coulombs(back),
            energy: layout.voltage.then(|| joules(energy_out - energy_back)).filter(|e| e.si() > 0.0),
            duration: seconds(sums.totals.time),
            mean_current: amperes(sign * mean),
            load_current: amperes((squared / sums.totals.charge()).abs()),
            current_deviation: amperes(variance.sqrt()),
            mean_temperature: warm.then(|| Temperature::celsius(warmth.0 / warmth.1)),
            temperatures: warm.then(|| {
                (Temperature::celsius(sums.totals.coldest), Temperature::celsius(sums.totals.warmest))
            }),
            discharge_positive: positive,
            sign_known_by: known_by.into(),
            usual_step: seconds(steps.usual),
            gap_count: steps.gap_count,
            gap_time: seconds(steps.gap_time),
            gaps: steps.gaps,
            integration: coulombs(steps.between_rows.sqrt()),
            in_gaps: coulombs((steps.gap_time_squared * variance).sqrt()),
            end_voltage: there(sums.last_loaded()[VOLTAGE]),
            end_cells: sums.last_loaded()[FIXED..].iter().map(|v| there(*v)).collect(),
            resistance: from_steps(&sums.answers[0], sign),
            cell_resistances: sums.answers[1..].iter().map(|a| from_steps(a, sign)).collect(),
            course: sums.trace.points(sign),
            care: care.settled(),
        })
    }

    /// The lowest cell in the last row under load: its place and volts; none without cells.
    #[must_use]
    pub fn lowest_at_end(&self) -> Option<(usize, Voltage)> {
        let cells = self.end_cells.iter().enumerate().filter_map(|(k, v)| Some((k, (*v)?)));
        cells.min_by(|a, b| orlop_units::total_cmp(a.1, b.1))
    }
}

/// The sign of a discharge in the log, and how it is known.
fn discharge_sign(stated: Sign, layout: Layout, sums: &Sums) -> Result<(bool, &'static str), Error> {
    let net_positive = sums.totals.charge() >= 0.0;
    let seen = seen_sign(layout, sums, net_positive);
    let claimed = match stated {
        Sign::Detect => {
            return Ok(
                seen.unwrap_or((net_positive, "no volts tell: the larger part is taken for the discharge"))
            );
        }
        Sign::DischargePositive => true,
        Sign::ChargePositive => false,
    };
    match seen {
        Some((positive, how)) if positive != claimed => Err(Error::Input {
            field: "current".into(),
            got: format!(
                "a log in which discharge is {}: {how}",
                if positive { "positive" } else { "negative" }
            ),
            expected: format!("discharge {}, as stated", if claimed { "positive" } else { "negative" }),
            hint: "turn the sign convention round, or let it be detected".into(),
        }),
        _ => Ok((claimed, "stated")),
    }
}

fn seen_sign(layout: Layout, sums: &Sums, net_positive: bool) -> Option<(bool, &'static str)> {
    // How volts answer steps of the load is the surest sign; of bank and cells, the one that correlates best.
    let strength = |a: &Answers| a.product * a.product / (a.current_squared * a.volts_squared);
    let best = sums
        .answers
        .iter()
        .filter(|a| a.count >= FEWEST_STEPS && a.volts_squared > 0.0)
        .max_by(|a, b| strength(a).total_cmp(&strength(b)));
    if let Some(a) = best.filter(|a| strength(a) > 0.5) {
        return Some((a.product < 0.0, "the volts fall when it steps up"));
    }
    let mean_volts = |row: &[f64]| {
        if layout.voltage && !row[VOLTAGE].is_nan() {
            return row[VOLTAGE];
        }
        let cells: Vec<f64> = row[FIXED..].iter().copied().filter(|v| !v.is_nan()).collect();
        cells.iter().sum::<f64>() / cells.len() as f64
    };
    let (first, last) = (mean_volts(&sums.first), mean_volts(sums.last_loaded()));
    let falls = (first - last) / first;
    if falls.abs() < 0.002 || falls.is_nan() {
        return None;
    }
    Some((
        net_positive == (falls > 0.0),
        if falls > 0.0 { "the volts fall over the log" } else { "the volts rise over the log" },
    ))
}

fn from_steps(a: &Answers, sign: f64) -> Option<StepResistance> {
    if a.count < FEWEST_STEPS || a.current_squared <= 0.0 {
        return None;
    }
    let slope = a.product / a.current_squared;
    let left = (a.volts_squared - slope * a.product).max(0.0) / (a.count - 1) as f64;
    let resistance = -sign * slope;
    (resistance > 0.0).then(|| StepResistance {
        resistance: ohms(resistance),
        standard: ohms((left / a.current_squared).sqrt()),
        steps: a.count,
    })
}
