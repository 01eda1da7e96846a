//! The course of a test in at most a thousand points, whatever the length of the log.

use super::columns::{CURRENT, FIXED, INDICATED, Row, TEMPERATURE, VOLTAGE};

const MOST: usize = 1024;

/// Means over blocks of rows. When there are too many blocks, neighbours are joined.
#[derive(Clone, Debug)]
pub(super) struct Trace {
    width: usize,
    /// Rows that go into a block.
    per_block: u64,
    blocks: Vec<Block>,
}

/// Sums of one block.
#[derive(Clone, Debug)]
struct Block {
    rows: u64,
    /// Seconds and coulombs (signed as in the log) at its last row.
    end: (f64, f64),
    /// Sum of each value from the current on, and how many there were.
    sums: Vec<f64>,
    counts: Vec<f64>,
}

/// One point of the course of a test.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// Seconds since the first row, at the end of the point.
    pub time_s: f64,
    /// Charge drawn until then, in coulombs.
    pub drawn_c: f64,
    /// Mean current, in amperes, discharge positive.
    pub current_a: f64,
    /// Mean volts; none where there are none.
    pub voltage_v: Option<f64>,
    /// Mean temperature in degrees Celsius; none where there is none.
    pub temperature_c: Option<f64>,
    /// Mean indicated charge in percent; none where there is none.
    pub indicated_percent: Option<f64>,
    /// Mean volts of each cell; none where there are none.
    pub cells_v: Vec<Option<f64>>,
}

impl Trace {
    pub fn new(width: usize) -> Self {
        Self { width, per_block: 1, blocks: Vec::new() }
    }

    pub fn add(&mut self, row: &Row<'_>, seconds: f64, coulombs: f64) {
        if self.blocks.last().is_none_or(|b| b.rows >= self.per_block) {
            if self.blocks.len() == MOST {
                self.join();
            }
            if self.blocks.last().is_none_or(|b| b.rows >= self.per_block) {
                let none = vec![0.0; self.width - CURRENT];
                self.blocks.push(Block { rows: 0, end: (0.0, 0.0), sums: none.clone(), counts: none });
            }
        }
        let Some(block) = self.blocks.last_mut() else { return };
        block.rows += 1;
        block.end = (seconds, coulombs);
        let mut add = |place: usize, value: f64| {
            let there = !value.is_nan();
            block.sums[place - CURRENT] += if there { value } else { 0.0 };
            block.counts[place - CURRENT] += if there { 1.0 } else { 0.0 };
        };
        add(CURRENT, row.current);
        add(VOLTAGE, row.voltage);
        add(TEMPERATURE, row.temperature);
        add(INDICATED, row.indicated);
        for k in 0..self.width - FIXED {
            add(FIXED + k, row.cell(k));
        }
    }

    fn join(&mut self) {
        self.per_block *= 2;
        let mut joined = Vec::with_capacity(MOST);
        let mut blocks = std::mem::take(&mut self.blocks).into_iter();
        while let Some(mut a) = blocks.next() {
            if let Some(b) = blocks.next() {
                a.rows += b.rows;
                a.end = b.end;
                a.sums.iter_mut().zip(&b.sums).for_each(|(x, y)| *x += y);
                a.counts.iter_mut().zip(&b.counts).for_each(|(x, y)| *x += y);
            }
            joined.push(a);
        }
        self.blocks = joined;
    }

    /// The points, with the sign of a discharge in the log.
    pub fn points(&self, sign: f64) -> Vec<Point> {
        let mean = |b: &Block, place: usize| {
            let count = b.counts[place - CURRENT];
            (count > 0.0).then(|| b.sums[place - CURRENT] / count)
        };
        self.blocks
            .iter()
            .map(|b| Point {
                time_s: b.end.0,
                drawn_c: sign * b.end.1,
                current_a: sign * mean(b, CURRENT).unwrap_or(0.0),
                voltage_v: mean(b, VOLTAGE),
                temperature_c: mean(b, TEMPERATURE),
                indicated_percent: mean(b, INDICATED),
                cells_v: (FIXED..self.width).map(|c| mean(b, c)).collect(),
            })
            .collect()
    }
}
