//! A log as bytes, for pickles: numbers as their bits, so that nothing is lost.

use orlop::Error;
use orlop::proving::capacity::{Care, Gap, Log, Point, StepResistance};
use orlop_units::{Quantity, Temperature, amperes, coulombs, joules, ohms, seconds, volts};

#[derive(serde::Serialize, serde::Deserialize)]
struct State {
    care: Care,
    cells: Vec<String>,
    #[serde(default)]
    told: Vec<String>,
    sign: String,
    positive: bool,
    gap_count: u64,
    gap_rows: Vec<u64>,
    steps: Vec<u64>,
    /// Bits of all numbers, in the order of `numbers`; NaN for none.
    bits: Vec<u64>,
}

pub fn write(log: &Log, cells: &[String], told: &[String]) -> Vec<u8> {
    let mut n: Vec<f64> = Vec::new();
    let none = f64::NAN;
    n.extend([
        log.charge.si(),
        log.charged_back.si(),
        log.energy.map_or(none, Quantity::si),
        log.duration.si(),
    ]);
    n.extend([log.mean_current.si(), log.load_current.si(), log.current_deviation.si()]);
    let (low, high) = log.temperatures.map_or((none, none), |t| (t.0.si(), t.1.si()));
    n.extend([log.mean_temperature.map_or(none, Quantity::si), low, high]);
    n.extend([log.usual_step.si(), log.gap_time.si(), log.integration.si(), log.in_gaps.si()]);
    n.push(log.end_voltage.map_or(none, Quantity::si));
    n.extend(log.end_cells.iter().map(|v| v.map_or(none, Quantity::si)));
    let all = || std::iter::once(&log.resistance).chain(&log.cell_resistances);
    for r in all() {
        n.extend(r.map_or([none; 2], |r| [r.resistance.si(), r.standard.si()]));
    }
    n.extend(log.gaps.iter().map(|g| g.seconds));
    for p in &log.course {
        n.extend([p.time_s, p.drawn_c, p.current_a]);
        n.extend([p.voltage_v, p.temperature_c, p.indicated_percent].map(|v| v.unwrap_or(none)));
        n.extend(p.cells_v.iter().map(|v| v.unwrap_or(none)));
    }
    let state = State {
        care: log.care,
        cells: cells.to_vec(),
        told: told.to_vec(),
        sign: log.sign_known_by.clone(),
        positive: log.discharge_positive,
        gap_count: log.gap_count,
        gap_rows: log.gaps.iter().map(|g| g.before_row).collect(),
        steps: all().map(|r| r.map_or(0, |r| r.steps)).collect(),
        bits: n.iter().map(|x| x.to_bits()).collect(),
    };
    serde_json::to_vec(&state).unwrap_or_default()
}

pub fn read(bytes: &[u8]) -> Result<(Log, Vec<String>, Vec<String>), Error> {
    let broken = || Error::input("pickle", "bytes that are no log", "what DischargeLog was pickled to");
    let state: State = serde_json::from_slice(bytes).map_err(|_| broken())?;
    let cells = state.cells.len();
    let fixed = 15 + cells + 2 * (cells + 1) + state.gap_rows.len();
    let per_point = 6 + cells;
    if state.bits.len() < fixed
        || !(state.bits.len() - fixed).is_multiple_of(per_point)
        || state.steps.len() != cells + 1
    {
        return Err(broken());
    }
    let mut numbers = state.bits.iter().map(|b| f64::from_bits(*b));
    let mut next = move || numbers.next().unwrap_or(f64::NAN);
    let there = |x: f64| (!x.is_nan()).then_some(x);
    let points = (state.bits.len() - fixed) / per_point;
    let (charge, charged_back) = (coulombs(next()), coulombs(next()));
    let energy = there(next()).map(joules);
    let duration = seconds(next());
    let (mean_current, load_current, current_deviation) = (amperes(next()), amperes(next()), amperes(next()));
    let mean_temperature = there(next()).map(Temperature::celsius);
    let (low, high) = (there(next()), there(next()));
    let temperatures = low.zip(high).map(|(a, b)| (Temperature::celsius(a), Temperature::celsius(b)));
    let (usual_step, gap_time) = (seconds(next()), seconds(next()));
    let (integration, in_gaps) = (coulombs(next()), coulombs(next()));
    let end_voltage = there(next()).map(volts);
    let end_cells = (0..cells).map(|_| there(next()).map(volts)).collect();
    let mut resistances = state.steps.iter().map(|steps| {
        let (r, s) = (next(), next());
        there(r).map(|r| StepResistance { resistance: ohms(r), standard: ohms(s), steps: *steps })
    });
    let resistance = resistances.next().flatten();
    let cell_resistances = resistances.collect();
    let gaps = state.gap_rows.iter().map(|row| Gap { before_row: *row, seconds: next() }).collect();
    let course = (0..points)
        .map(|_| Point {
            time_s: next(),
            drawn_c: next(),
            current_a: next(),
            voltage_v: there(next()),
            temperature_c: there(next()),
            indicated_percent: there(next()),
            cells_v: (0..cells).map(|_| there(next())).collect(),
        })
        .collect();
    let log = Log {
        charge,
        charged_back,
        energy,
        duration,
        mean_current,
        load_current,
        current_deviation,
        mean_temperature,
        temperatures,
        discharge_positive: state.positive,
        sign_known_by: state.sign,
        usual_step,
        gap_count: state.gap_count,
        gap_time,
        gaps,
        integration,
        in_gaps,
        end_voltage,
        end_cells,
        resistance,
        cell_resistances,
        course,
        care: state.care,
    };
    Ok((log, state.cells, state.told))
}
