//! A bank that is discharged: a flat curve with a knee, cells of their own capacity and resistance.
#![allow(dead_code, reason = "not every runner asks for everything")]

use orlop::proving::capacity::{Chunk, Instrument, Procedure, Stop, TemperatureCorrection};
use orlop::units::{Fraction, TemperatureRise, ampere_hours, amperes, volts};

/// Columns of a log; time in seconds, discharge positive.
#[derive(Clone, Debug, Default)]
pub struct Columns {
    pub time: Vec<f64>,
    pub current: Vec<f64>,
    pub voltage: Vec<f64>,
    pub temperature: Vec<f64>,
    pub indicated: Vec<f64>,
    pub cells: Vec<Vec<f64>>,
}

/// What is simulated.
#[derive(Clone, Debug)]
pub struct Bank {
    /// Ampere-hours of each cell.
    pub capacities: Vec<f64>,
    /// Ohms of each cell.
    pub resistances: Vec<f64>,
    /// Seconds from row to row.
    pub step: f64,
    /// Discharge ends when the first cell is at or below this.
    pub end: f64,
    /// Mean current; five rows of every twenty carry a load half as large again.
    pub current: f64,
    /// Amplitude of a disturbance of the current that changes from row to row.
    pub noise: f64,
}

impl Bank {
    pub fn sound() -> Self {
        Self {
            capacities: vec![236.0, 237.5, 235.0, 238.0],
            resistances: vec![0.5e-3, 0.5e-3, 0.5e-3, 0.8e-3],
            step: 60.0,
            end: 2.8,
            current: 36.0,
            noise: 0.0,
        }
    }

    /// Rest volts of a cell by what is left in it.
    pub fn rest(left: f64) -> f64 {
        3.25 + 0.1 * left - 0.75 * (-left / 0.015).exp()
    }

    pub fn run(&self) -> Columns {
        let mut out = Columns { cells: vec![Vec::new(); self.capacities.len()], ..Columns::default() };
        let (mut drawn, mut before) = (0.0, None);
        for k in 0..1_000_000_u64 {
            let load = if k % 20 >= 15 { 1.5 } else { 1.0 };
            // A fixed scramble of the row number, between -1 and 1.
            let scramble = (k.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407)
                >> 33) as f64;
            let current = self.current * load + self.noise * (scramble / f64::from(1_u32 << 30) - 1.0);
            if let Some(last) = before {
                drawn += 0.5 * (last + current) * self.step / 3600.0;
            }
            before = Some(current);
            let mut bank = 0.0;
            let mut lowest = f64::INFINITY;
            for (c, column) in out.cells.iter_mut().enumerate() {
                let v = Self::rest(1.0 - drawn / self.capacities[c]) - current * self.resistances[c];
                column.push(v);
                bank += v;
                lowest = lowest.min(v);
            }
            out.time.push(k as f64 * self.step);
            out.current.push(current);
            out.voltage.push(bank);
            out.temperature.push(17.0 + 4.0 * drawn / self.capacities[0]);
            out.indicated.push(100.0 * (1.0 - drawn / 230.0));
            if lowest <= self.end {
                return out;
            }
        }
        panic!("the bank never ends");
    }
}

impl Columns {
    pub fn with<T>(&self, read: impl FnOnce(&Chunk<'_>) -> T) -> T {
        self.slice(0, self.time.len(), read)
    }

    pub fn slice<T>(&self, from: usize, to: usize, read: impl FnOnce(&Chunk<'_>) -> T) -> T {
        let cells: Vec<&[f64]> = self.cells.iter().map(|c| &c[from..to]).collect();
        read(&Chunk {
            time: &self.time[from..to],
            current: &self.current[from..to],
            voltage: Some(&self.voltage[from..to]),
            cells: &cells,
            temperature: Some(&self.temperature[from..to]),
            indicated: Some(&self.indicated[from..to]),
        })
    }

    /// Changes every column alike.
    pub fn each(&mut self, change: impl Fn(&mut Vec<f64>)) {
        for column in
            [&mut self.time, &mut self.current, &mut self.voltage, &mut self.temperature, &mut self.indicated]
        {
            change(column);
        }
        self.cells.iter_mut().for_each(change);
    }
}

pub fn instrument() -> Instrument {
    Instrument {
        name: "shunt monitor".into(),
        gain: Fraction::new(0.005),
        offset: amperes(0.05),
        clock: Fraction::new(0.0),
        thermometer: TemperatureRise::kelvins(0.0),
        cell_voltage: volts(0.005),
    }
}

pub fn procedure() -> Procedure {
    Procedure {
        rated: ampere_hours(230.0),
        full: Some(Fraction::new(0.004)),
        empty: None,
        stop: Stop::Cell(volts(2.8)),
        temperature: Some(TemperatureCorrection::lfp()),
        rate: None,
    }
}
