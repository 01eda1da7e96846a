//! Sums kept side by side: each row goes to the lane of its place in the log, so that several rows are added at once and the bits do not
//! depend on how many.

/// Rows that are added at once.
pub(super) const LANES: usize = 4;

/// A number of each lane.
pub(super) type Four = [f64; LANES];

/// The lane of the row before which so many have been.
#[inline(always)]
pub(super) fn lane(rows_before: u64) -> usize {
    (rows_before % LANES as u64) as usize
}

/// A plain sum.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Lanes(Four);

impl Lanes {
    #[inline(always)]
    pub fn add(&mut self, lane: usize, x: f64) {
        self.0[lane] += x;
    }

    /// One number to each lane.
    #[inline(always)]
    pub fn add_four(&mut self, x: Four) {
        for (sum, x) in self.0.iter_mut().zip(x) {
            *sum += x;
        }
    }

    pub fn join(&mut self, other: Self) {
        self.add_four(other.0);
    }

    #[inline(always)]
    pub fn get(&self) -> f64 {
        (self.0[0] + self.0[2]) + (self.0[1] + self.0[3])
    }
}

/// A sum and the digits that it lost (Knuth).
#[inline(always)]
fn two_sum(a: f64, b: f64) -> (f64, f64) {
    let total = a + b;
    let part = total - a;
    (total, (a - (total - part)) + (b - part))
}

/// A sum that keeps the digits lost in each addition.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Exact {
    sum: Four,
    lost: Four,
}

impl Exact {
    #[inline(always)]
    pub fn add(&mut self, lane: usize, x: f64) {
        let (total, lost) = two_sum(self.sum[lane], x);
        self.lost[lane] += lost;
        self.sum[lane] = total;
    }

    /// One number to each lane.
    #[inline(always)]
    pub fn add_four(&mut self, x: Four) {
        for (lane, x) in x.into_iter().enumerate() {
            self.add(lane, x);
        }
    }

    #[inline(always)]
    pub fn get(&self) -> f64 {
        let (mut sum, mut lost) = (0.0, 0.0);
        for (s, l) in self.sum.into_iter().zip(self.lost) {
            let (total, now) = two_sum(sum, s);
            lost += l + now;
            sum = total;
        }
        sum + lost
    }
}
