//! The course of a test in at most a thousand points, whatever the length of the log.

use super::columns::{CURRENT, Chunk, FIXED, INDICATED, TEMPERATURE, VOLTAGE};
use super::lanes::{LANES, Lanes, lane};
use std::ops::Range;

const MOST: usize = 1024;

/// Means over blocks of rows. When there are too many blocks, neighbours are joined.
#[derive(Clone, Debug)]
pub(super) struct Trace {
    /// Rows that go into a block.
    per_block: u64,
    blocks: Vec<Block>,
    /// The block that is being filled.
    open: Block,
}

/// Sums of one block.
#[derive(Clone, Debug)]
struct Block {
    rows: u64,
    /// Seconds and coulombs (signed as in the log) at its last row.
    end: (f64, f64),
    /// Current, volts, degrees and percent.
    fixed: [Mean; 4],
    cells: Vec<Mean>,
}

/// A sum of values that may be missing.
#[derive(Clone, Copy, Debug, Default)]
struct Mean {
    sum: Lanes,
    count: Lanes,
}

impl Mean {
    #[inline]
    fn add(&mut self, lane: usize, value: f64) {
        if !value.is_nan() {
            self.sum.add(lane, value);
            self.count.add(lane, 1.0);
        }
    }

    /// Values one after the other, with so many rows of the block before the first.
    fn add_all(&mut self, values: &[f64], rows_before: u64) {
        let first = lane(rows_before);
        let (head, body) = values.split_at(((LANES - first) % LANES).min(values.len()));
        let (fours, tail) = body.as_chunks::<LANES>();
        head.iter().enumerate().for_each(|(k, v)| self.add(first + k, *v));
        for four in fours {
            let (mut there, mut one) = ([0.0; LANES], [0.0; LANES]);
            for l in 0..LANES {
                there[l] = if four[l].is_nan() { 0.0 } else { four[l] };
                one[l] = if four[l].is_nan() { 0.0 } else { 1.0 };
            }
            self.sum.add_four(there);
            self.count.add_four(one);
        }
        tail.iter().enumerate().for_each(|(k, v)| self.add(k, *v));
    }

    fn join(&mut self, other: &Self) {
        self.sum.join(other.sum);
        self.count.join(other.count);
    }

    fn get(self) -> Option<f64> {
        let count = self.count.get();
        (count > 0.0).then(|| self.sum.get() / count)
    }
}

impl Block {
    fn new(cells: usize) -> Self {
        let none = Mean::default();
        Self { rows: 0, end: (0.0, 0.0), fixed: [none; 4], cells: vec![none; cells] }
    }

    /// With the block after it.
    fn join(&mut self, next: &Self) {
        self.rows += next.rows;
        self.end = next.end;
        self.fixed.iter_mut().zip(&next.fixed).for_each(|(a, b)| a.join(b));
        self.cells.iter_mut().zip(&next.cells).for_each(|(a, b)| a.join(b));
    }
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
    pub fn new(cells: usize) -> Self {
        Self { per_block: 1, blocks: Vec::new(), open: Block::new(cells) }
    }

    /// How many rows the next point takes at most.
    pub fn room(&mut self) -> usize {
        if self.open.rows >= self.per_block {
            self.close();
        }
        usize::try_from(self.per_block - self.open.rows).unwrap_or(usize::MAX)
    }

    /// The next rows, as many as there is room for at most, with the seconds and coulombs at the last of them.
    pub fn add_columns(&mut self, chunk: &Chunk<'_>, rows: Range<usize>, end: (f64, f64)) {
        let before = self.open.rows;
        let fixed = [Some(chunk.current), chunk.voltage, chunk.temperature, chunk.indicated];
        for (mean, column) in self.open.fixed.iter_mut().zip(fixed) {
            column.into_iter().for_each(|c| mean.add_all(&c[rows.clone()], before));
        }
        for (mean, column) in self.open.cells.iter_mut().zip(chunk.cells) {
            mean.add_all(&column[rows.clone()], before);
        }
        self.open.rows += rows.len() as u64;
        self.open.end = end;
    }

    /// The next row, as it was held.
    pub fn add_held(&mut self, row: &[f64], end: (f64, f64)) {
        let lane = lane(self.open.rows);
        let fixed = [CURRENT, VOLTAGE, TEMPERATURE, INDICATED].map(|k| row[k]);
        self.open.fixed.iter_mut().zip(fixed).for_each(|(mean, v)| mean.add(lane, v));
        self.open.cells.iter_mut().zip(&row[FIXED..]).for_each(|(mean, v)| mean.add(lane, *v));
        self.open.rows += 1;
        self.open.end = end;
    }

    /// Begins a block; joins blocks when there are too many, and then goes on with the last where it has room.
    #[cold]
    fn close(&mut self) {
        let fresh = Block::new(self.open.cells.len());
        self.blocks.push(std::mem::replace(&mut self.open, fresh));
        if self.blocks.len() < MOST {
            return;
        }
        self.per_block *= 2;
        let mut joined = Vec::with_capacity(MOST);
        let mut blocks = std::mem::take(&mut self.blocks).into_iter();
        while let Some(mut block) = blocks.next() {
            if let Some(next) = blocks.next() {
                block.join(&next);
            }
            joined.push(block);
        }
        if let Some(last) = joined.pop_if(|b| b.rows < self.per_block) {
            self.open = last;
        }
        self.blocks = joined;
    }

    /// The points, with the sign of a discharge in the log.
    pub fn points(&self, sign: f64) -> Vec<Point> {
        let open = (self.open.rows > 0).then_some(&self.open);
        self.blocks
            .iter()
            .chain(open)
            .map(|b| {
                let [current, voltage, temperature, indicated] = b.fixed.map(Mean::get);
                Point {
                    time_s: b.end.0,
                    drawn_c: sign * b.end.1,
                    current_a: sign * current.unwrap_or(0.0),
                    voltage_v: voltage,
                    temperature_c: temperature,
                    indicated_percent: indicated,
                    cells_v: b.cells.iter().copied().map(Mean::get).collect(),
                }
            })
            .collect()
    }
}
