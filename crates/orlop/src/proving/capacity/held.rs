//! The last few rows, held back so that rows a little out of order find their place.

use super::care::Care;
use super::columns::{CURRENT, ROW, TIME, WEIGHT};
use crate::error::Error;
use orlop_units::significant;

/// Rows held back.
pub(super) const HELD_ROWS: usize = 256;

/// A ring of rows in the order of time.
#[derive(Clone, Debug)]
pub(super) struct Held {
    width: usize,
    rows: Vec<f64>,
    first: usize,
    count: usize,
    /// Time of the last row that was let go.
    released: f64,
}

impl Held {
    pub fn new(width: usize) -> Self {
        Self { width, rows: vec![0.0; width * HELD_ROWS], first: 0, count: 0, released: f64::NEG_INFINITY }
    }

    /// Takes a row in. When the ring is full, the earliest row is handed to `release` first.
    pub fn insert(
        &mut self,
        row: &[f64],
        care: &mut Care,
        mut release: impl FnMut(&[f64]),
    ) -> Result<(), Error> {
        let time = row[TIME];
        if self.count > 0 && time <= self.slot(self.count - 1)[TIME] {
            return self.insert_late(row, care, release);
        }
        if time <= self.released {
            return Err(too_late(row, self.released));
        }
        if self.count == HELD_ROWS {
            self.released = self.slot(0)[TIME];
            release(self.slot(0));
            self.first = (self.first + 1) % HELD_ROWS;
            self.count -= 1;
        }
        self.count += 1;
        self.slot_mut(self.count - 1).copy_from_slice(row);
        Ok(())
    }

    /// Hands out all rows that are left, in the order of time.
    pub fn flush(&mut self, mut release: impl FnMut(&[f64])) {
        for k in 0..self.count {
            release(self.slot(k));
        }
        if let Some(last) = self.count.checked_sub(1) {
            self.released = self.slot(last)[TIME];
        }
        self.count = 0;
    }

    /// Time of the latest row that came.
    pub fn latest(&self) -> f64 {
        self.count.checked_sub(1).map_or(self.released, |last| self.slot(last)[TIME])
    }

    /// Told of rows that went by while none was held: the time of the last.
    pub fn went_by(&mut self, time: f64) {
        debug_assert!(self.count == 0 && time >= self.released);
        self.released = time;
    }

    fn insert_late(
        &mut self,
        row: &[f64],
        care: &mut Care,
        mut release: impl FnMut(&[f64]),
    ) -> Result<(), Error> {
        let (time, number) = (row[TIME], row[ROW] as u64);
        if time <= self.released {
            return Err(too_late(row, self.released));
        }
        let before = (0..self.count).rev().find(|k| self.slot(*k)[TIME] <= time);
        if let Some(k) = before.filter(|k| self.slot(*k)[TIME] == time) {
            let there = self.slot_mut(k);
            let same = |(a, b): (&f64, &f64)| a == b || (a.is_nan() && b.is_nan());
            if there[CURRENT..].iter().zip(&row[CURRENT..]).all(same) {
                care.repeated.add(number);
                return Ok(());
            }
            care.same_time.add(number);
            let n = there[WEIGHT];
            there[WEIGHT] = n + 1.0;
            for (a, b) in there[CURRENT..].iter_mut().zip(&row[CURRENT..]) {
                *a = if a.is_nan() {
                    *b
                } else if b.is_nan() {
                    *a
                } else {
                    (*a * n + b) / (n + 1.0)
                };
            }
            return Ok(());
        }
        care.out_of_order.add(number);
        let mut place = before.map_or(0, |k| k + 1);
        if self.count == HELD_ROWS {
            if place == 0 {
                // It is itself the earliest of all.
                self.released = time;
                release(row);
                return Ok(());
            }
            self.released = self.slot(0)[TIME];
            release(self.slot(0));
            self.first = (self.first + 1) % HELD_ROWS;
            self.count -= 1;
            place -= 1;
        }
        self.count += 1;
        for k in (place + 1..self.count).rev() {
            let (from, to) = (self.start(k - 1), self.start(k));
            self.rows.copy_within(from..from + self.width, to);
        }
        self.slot_mut(place).copy_from_slice(row);
        Ok(())
    }

    fn start(&self, k: usize) -> usize {
        (self.first + k) % HELD_ROWS * self.width
    }
    fn slot(&self, k: usize) -> &[f64] {
        let at = self.start(k);
        &self.rows[at..at + self.width]
    }
    fn slot_mut(&mut self, k: usize) -> &mut [f64] {
        let at = self.start(k);
        &mut self.rows[at..at + self.width]
    }
}

fn too_late(row: &[f64], released: f64) -> Error {
    // All digits, for the two may differ in the last.
    let at = |seconds: f64| format!("{} s", significant(seconds, 12));
    let (number, row, before) = (row[ROW] as u64, at(row[TIME]), at(released));
    Error::Input {
        field: "time".into(),
        got: format!("row {number} at {row}, more than {HELD_ROWS} rows after a row at {before}"),
        expected: "rows in the order of time, but for small disorder".into(),
        hint: "hand in the whole log at once, which sorts it; where the clock was set back or started again, evaluate each part by itself".into(),
    }
}
