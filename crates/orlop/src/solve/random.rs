//! Random numbers that are counted, not drawn from a hidden state: the same seed, row and draw always give the same number,
//! on any machine, in any order, with any number of threads.
//!
//! The generator is Philox 4x32 with ten rounds (Salmon, Moraes, Dror and Shaw, "Parallel random numbers: as easy as 1, 2, 3",
//! 2011): a bijection of a 128-bit counter under a 64-bit key. Here the key is the seed, the upper half of the counter
//! the row (which boat, which trial), the lower half the draw.

use crate::source::{Citation, Confidence};

pub(crate) static PHILOX: Citation = Citation::fixed(
    "philox-4x32-10",
    "Salmon, Moraes, Dror and Shaw, Parallel random numbers: as easy as 1, 2, 3",
    "2011",
    "section 4",
    "counter-based random numbers, four words of 32 bits, ten rounds",
    Confidence::Published,
    "recalled; the published known-answer vectors come out",
);

/// The four words of one counter under one key: Philox 4x32-10.
///
/// ```
/// use orlop::solve::philox;
/// assert_eq!(philox([0; 4], [0; 2]), [0x6627_e8d5, 0xe169_c58d, 0xbc57_ac4c, 0x9b00_dbd8]);
/// ```
#[must_use]
#[allow(clippy::cast_possible_truncation)]
pub fn philox(mut counter: [u32; 4], mut key: [u32; 2]) -> [u32; 4] {
    let split = |product: u64| ((product >> 32) as u32, product as u32);
    for round in 0..10 {
        if round > 0 {
            key = [key[0].wrapping_add(0x9e37_79b9), key[1].wrapping_add(0xbb67_ae85)];
        }
        let (high_0, low_0) = split(0xd251_1f53 * u64::from(counter[0]));
        let (high_1, low_1) = split(0xcd9e_8d57 * u64::from(counter[2]));
        counter = [high_1 ^ counter[1] ^ key[0], low_1, high_0 ^ counter[3] ^ key[1], low_0];
    }
    counter
}

/// The random numbers of one row: a sequence that nothing but seed and row decides.
///
/// ```
/// use orlop::solve::Draws;
/// let (mut first, mut again) = (Draws::new(1, 7), Draws::new(1, 7));
/// assert_eq!(first.uniform(), again.uniform());
/// assert_ne!(first.uniform(), Draws::new(1, 8).uniform());
/// ```
#[derive(Clone, Copy, Debug)]
pub struct Draws {
    key: [u32; 2],
    row: [u32; 2],
    block: u64,
    words: [u32; 4],
    left: usize,
}

#[allow(clippy::cast_possible_truncation)]
fn halves(x: u64) -> [u32; 2] {
    [x as u32, (x >> 32) as u32]
}

impl Draws {
    /// The sequence of a row under a seed.
    #[must_use]
    pub fn new(seed: u64, row: u64) -> Self {
        Self { key: halves(seed), row: halves(row), block: 0, words: [0; 4], left: 0 }
    }

    /// The next 32 bits.
    pub fn bits(&mut self) -> u32 {
        if self.left == 0 {
            let [low, high] = halves(self.block);
            self.words = philox([low, high, self.row[0], self.row[1]], self.key);
            self.block += 1;
            self.left = 4;
        }
        self.left -= 1;
        self.words[3 - self.left]
    }

    /// A number above 0 and below 1, evenly spread: the middle of one of 2^52 steps.
    pub fn uniform(&mut self) -> f64 {
        let bits = (u64::from(self.bits()) << 32 | u64::from(self.bits())) >> 12;
        (bits as f64 + 0.5) / (1_u64 << 52) as f64
    }

    /// A whole number below `n`, each equally likely; 0 when `n` is 0.
    ///
    /// The product method of Lemire (2019); what would favour some numbers is drawn again.
    #[allow(clippy::cast_possible_truncation)]
    pub fn below(&mut self, n: u32) -> u32 {
        let mut product = u64::from(self.bits()) * u64::from(n);
        if (product as u32) < n {
            let unfair = n.wrapping_neg() % n;
            while (product as u32) < unfair {
                product = u64::from(self.bits()) * u64::from(n);
            }
        }
        (product >> 32) as u32
    }

    /// A number of the normal distribution with mean 0 and standard deviation 1, after Box and Muller (1958).
    pub fn normal(&mut self) -> f64 {
        let (radius, angle) = (self.uniform(), self.uniform());
        (-2.0 * radius.ln()).sqrt() * (std::f64::consts::TAU * angle).cos()
    }

    /// Puts things into a random order, each order equally likely: Fisher and Yates.
    ///
    /// # Panics
    /// With more than 2^32 things.
    pub fn shuffle<T>(&mut self, things: &mut [T]) {
        for last in (1..things.len()).rev() {
            let other = self.below(u32::try_from(last + 1).expect("fewer than 2^32 things"));
            things.swap(last, other as usize);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // The known-answer vectors that the authors publish with the paper (kat_vectors, philox4x32, 10 rounds).
    #[test]
    fn the_known_answers_come_out() {
        let known = [
            ([0; 4], [0; 2], [0x6627_e8d5, 0xe169_c58d, 0xbc57_ac4c, 0x9b00_dbd8]),
            ([u32::MAX; 4], [u32::MAX; 2], [0x408f_276d, 0x41c8_3b0e, 0xa20b_c7c6, 0x6d54_51fd]),
            (
                [0x243f_6a88, 0x85a3_08d3, 0x1319_8a2e, 0x0370_7344],
                [0xa409_3822, 0x299f_31d0],
                [0xd16c_fe09, 0x94fd_cceb, 0x5001_e420, 0x2412_6ea1],
            ),
        ];
        for (counter, key, words) in known {
            assert_eq!(philox(counter, key), words);
        }
    }

    // Moments of the distributions; limits at five standard errors of 100,000 draws.
    #[test]
    fn moments_are_those_of_the_distributions() {
        let n = 100_000;
        let mut draws = Draws::new(3, 0);
        let (mut u, mut z, mut zz, mut hits) = (0.0, 0.0, 0.0, [0_u32; 6]);
        for _ in 0..n {
            let x = draws.uniform();
            assert!(x > 0.0 && x < 1.0);
            u += x;
            let y = draws.normal();
            z += y;
            zz += y * y;
            hits[draws.below(6) as usize] += 1;
        }
        let n = f64::from(n);
        assert!((u / n - 0.5).abs() < 5.0 * (1.0 / 12.0 / n).sqrt());
        assert!((z / n).abs() < 5.0 / n.sqrt());
        assert!((zz / n - 1.0).abs() < 5.0 * (2.0 / n).sqrt());
        // Chi-square with five degrees of freedom: 20.5 is exceeded once in a thousand (statistical tables).
        let chi: f64 = hits.iter().map(|h| (f64::from(*h) - n / 6.0).powi(2) / (n / 6.0)).sum();
        assert!(chi < 20.5, "{hits:?}");
        assert_eq!(draws.below(0), 0);
        assert_eq!(draws.below(1), 0);
    }

    #[test]
    fn a_shuffle_loses_nothing_and_prefers_no_order() {
        let mut seen = std::collections::BTreeMap::new();
        for row in 0..6000 {
            let mut things = [0, 1, 2];
            Draws::new(9, row).shuffle(&mut things);
            *seen.entry(things).or_insert(0_i32) += 1;
        }
        assert_eq!(seen.len(), 6);
        // Five standard deviations of a count with mean 1000.
        assert!(seen.values().all(|n| (n - 1000).abs() < 145), "{seen:?}");
    }
}
