//! Whether the stated interval holds the truth as often as it says: ten thousand simulated tests of a bank whose capacity is known.
//!
//! The simulator knows nothing of the evaluation: it has a cell with a curve, a meter with gain, offset, noise and steps of a
//! tenth of an ampere, a slow clock, a wrong thermometer, a bank that was not quite full, and a load that comes and goes between rows.

use orlop::proving::capacity::{
    CapacityTest, Chunk, Instrument, LogFormat, Procedure, Stop, TemperatureCorrection, evaluate_log,
};
use orlop::units::{Fraction, Quantity, TemperatureRise, ampere_hours, amperes, volts};

const TESTS: u32 = 10_000;
const P95: Fraction = Fraction::new(0.95);
const END: f64 = 2.80;

/// splitmix64: numbers that look random and are the same on every run.
struct Lots(u64);

impl Lots {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }
    /// Anywhere from minus to plus this.
    fn within(&mut self, half: f64) -> f64 {
        half * (2.0 * self.unit() - 1.0)
    }
    fn noise(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }
}

/// What the tester knows: limits of error.
struct Limits {
    gain: f64,
    offset: f64,
    clock: f64,
    thermometer: f64,
    cell: f64,
    full: f64,
    coefficient: f64,
}

fn rest(left: f64) -> f64 {
    3.25 + 0.1 * left - 0.75 * (-left / 0.015).exp()
}

/// One test: whether the interval holds the truth, and its half-width over the capacity.
fn one(lots: &mut Lots, limits: &Limits) -> (bool, f64) {
    let truth = 220.0 + 30.0 * lots.unit();
    let k = 0.0025 + lots.within(limits.coefficient);
    let (gain, offset, clock) =
        (lots.within(limits.gain), lots.within(limits.offset), lots.within(limits.clock));
    let (warm, cell) = (lots.within(limits.thermometer), lots.within(limits.cell));
    let temperature = 14.0 + 8.0 * lots.unit();
    // What "to the end voltage" means for this cell: where it stands at the end under the mean load.
    let held = truth * (1.0 + k * (temperature - 25.0));
    let full = 1.0 + lots.within(limits.full);
    let (mut time, mut drawn, mut load, mut until) = (0.0, 0.0, 36.0, 0.0);
    let (mut times, mut currents, mut cells, mut degrees) = (vec![], vec![], vec![], vec![]);
    // At 2.80 V under 36 A this much is left, which the capacity counts as empty.
    let sag = 36.0 * 0.6e-3;
    let left_at_end = -0.015 * ((3.25 - END - sag) / 0.75_f64).ln();
    loop {
        if time >= until {
            load = if load < 40.0 && lots.unit() < 0.4 { 45.0 } else { 36.0 };
            until = time + 300.0 + 1500.0 * lots.unit();
        }
        // Near the end the load is steady, so that the end is one thing.
        let left = (held * full - drawn) / held;
        let current: f64 = if left < 0.06 { 36.0 } else { load };
        let seen = rest(left + left_at_end) - current * 0.6e-3 + cell;
        let done = seen <= END;
        if times.is_empty() || time - times.len() as f64 * 60.0 >= -1e-6 || done {
            times.push(time);
            let read = current * (1.0 + gain) + offset + 0.2 * lots.noise();
            currents.push((10.0 * read).round() / 10.0);
            cells.push(seen);
            degrees.push(temperature + warm);
        }
        if done {
            break;
        }
        drawn += current * 10.0 / 3600.0;
        time += 10.0;
    }
    times.iter_mut().for_each(|t| *t *= 1.0 + clock);
    let log = Chunk {
        time: &times,
        current: &currents,
        cells: &[&cells],
        temperature: Some(&degrees),
        ..Chunk::default()
    };
    let instrument = Instrument {
        name: "meter".into(),
        gain: Fraction::new(limits.gain),
        offset: amperes(limits.offset),
        clock: Fraction::new(limits.clock),
        thermometer: TemperatureRise::kelvins(limits.thermometer),
        cell_voltage: volts(limits.cell),
    };
    let procedure = Procedure {
        rated: ampere_hours(230.0),
        full: Some(Fraction::new(limits.full)),
        empty: None,
        stop: Stop::Cell(volts(END)),
        temperature: Some(TemperatureCorrection {
            half_width: limits.coefficient,
            ..TemperatureCorrection::lfp()
        }),
        rate: None,
    };
    let log = evaluate_log(&log, LogFormat::default()).unwrap();
    let test = CapacityTest::new(log, instrument, procedure).unwrap();
    let bounds = test.bounds(P95).unwrap();
    let capacity = test.capacity().unwrap();
    let inside =
        bounds.low().unwrap() <= ampere_hours(truth) && ampere_hours(truth) <= bounds.high().unwrap();
    (inside, capacity.half_width(P95).unwrap().out() / truth)
}

/// Share of intervals that hold the truth, in percent.
fn coverage(name: &str, limits: &Limits) -> f64 {
    let mut lots = Lots(2024);
    let (mut inside, mut width) = (0, 0.0);
    for _ in 0..TESTS {
        let (holds, half) = one(&mut lots, limits);
        inside += u32::from(holds);
        width += half / f64::from(TESTS);
    }
    let percent = 100.0 * f64::from(inside) / f64::from(TESTS);
    println!(
        "{name}: {percent:.2} % of {TESTS} intervals hold the truth; half-width {:.2} % in the mean",
        100.0 * width
    );
    percent
}

#[test]
fn the_interval_holds_the_truth_as_often_as_it_says() {
    let all = Limits {
        gain: 0.005,
        offset: 0.05,
        clock: 0.0005,
        thermometer: 1.0,
        cell: 0.005,
        full: 0.004,
        coefficient: 0.001,
    };
    let covered = coverage("all errors", &all);
    assert!((94.0..=96.0).contains(&covered), "{covered}");
    // One rectangle rules: a fixed factor of two would hold the truth always.
    let gain = Limits {
        gain: 0.01,
        offset: 0.01,
        clock: 0.0,
        thermometer: 0.1,
        cell: 0.001,
        full: 0.0005,
        coefficient: 0.0,
    };
    let covered = coverage("gain alone", &gain);
    assert!((94.0..=96.0).contains(&covered), "{covered}");
}
