//! Every set of so many cells whose sum lies in a window, found by halves.
//!
//! Cells are bits of a word, ordered by falling weight. Among cells of equal weight only the earlier ones are taken, so that no two
//! sets hold the same weights.

/// Above this many sets the two halves are listed apart and joined (meet in the middle: Horowitz and Sahni 1974).
const DIRECT: u64 = 4096;

/// Roughly the work of one search of a window, in steps of about the cost of one set found.
pub(super) fn effort(items: usize, size: usize) -> u64 {
    if size > items { 1 } else { 1 + (combinations(items, size) / 8).min(1 << items.div_ceil(2)) / 2 }
}

/// Sets of `size` bits of `among` whose weights sum to between two bounds, with their sums; not more than `most` of them.
pub(super) fn sets(
    weights: &[i64],
    among: u32,
    size: usize,
    (low, high): (i64, i64),
    most: usize,
) -> Vec<(i64, u32)> {
    let items: Vec<u32> = (0..32).filter(|i| among & (1 << i) != 0).collect();
    if size > items.len() || low > high {
        return Vec::new();
    }
    let mut found = Vec::new();
    if combinations(items.len(), size) <= DIRECT {
        let tree = Tree { weights, items: &items, low, high, most };
        tree.grow(0, size, 0, 0, &mut found);
        return found;
    }
    let (front, back) = items.split_at(items.len() / 2);
    let (front, mut back) = (by_size(weights, front, size), by_size(weights, back, size));
    back.iter_mut().for_each(|list| list.sort_unstable());
    let twins = twins(weights, &items);
    for (taken, list) in front.iter().enumerate() {
        let Some(rest) = size.checked_sub(taken).and_then(|n| back.get(n)) else { continue };
        for &(sum, bits) in list {
            let from = rest.partition_point(|(s, _)| sum + s < low);
            for &(other, more) in rest[from..].iter().take_while(|(s, _)| sum + s <= high) {
                let set = bits | more;
                if twins.iter().all(|(earlier, later)| set & later == 0 || set & earlier != 0) {
                    found.push((sum + other, set));
                    if found.len() >= most {
                        return found;
                    }
                }
            }
        }
    }
    found
}

/// Neighbours of equal weight, as bits: the earlier and the later.
fn twins(weights: &[i64], items: &[u32]) -> Vec<(u32, u32)> {
    let pairs = items.windows(2).filter(|w| weights[w[0] as usize] == weights[w[1] as usize]);
    pairs.map(|w| (1 << w[0], 1 << w[1])).collect()
}

/// Binomial coefficient, held at a number that no word of 32 bits exceeds.
fn combinations(n: usize, k: usize) -> u64 {
    (0..k.min(n - k) as u64).fold(1, |c, i| c * (n as u64 - i) / (i + 1))
}

/// All sets of up to `most` items, by their number of items.
fn by_size(weights: &[i64], items: &[u32], most: usize) -> Vec<Vec<(i64, u32)>> {
    let mut lists: Vec<Vec<(i64, u32)>> = vec![Vec::new(); most.min(items.len()) + 1];
    lists[0].push((0, 0));
    for &item in items {
        for n in (1..lists.len()).rev() {
            let (below, here) = lists.split_at_mut(n);
            here[0].extend(below[n - 1].iter().map(|(s, b)| (s + weights[item as usize], b | 1 << item)));
        }
    }
    lists
}

struct Tree<'a> {
    weights: &'a [i64],
    items: &'a [u32],
    low: i64,
    high: i64,
    most: usize,
}

impl Tree<'_> {
    fn weight(&self, at: usize) -> i64 {
        self.weights[self.items[at] as usize]
    }

    /// Takes `more` items from place `from` on, where the sum can still end in the window.
    fn grow(&self, from: usize, more: usize, sum: i64, set: u32, found: &mut Vec<(i64, u32)>) {
        if more == 0 {
            if sum >= self.low && sum <= self.high {
                found.push((sum, set));
            }
            return;
        }
        let n = self.items.len();
        let least: i64 = (n - more..n).map(|i| self.weight(i)).sum();
        if sum + least > self.high {
            return;
        }
        for at in from..=n - more {
            let most: i64 = (at..at + more).map(|i| self.weight(i)).sum();
            if sum + most < self.low || found.len() >= self.most {
                return;
            }
            if at > from && self.weight(at) == self.weight(at - 1) {
                continue;
            }
            self.grow(at + 1, more - 1, sum + self.weight(at), set | 1 << self.items[at], found);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_ways_find_the_same_sets() {
        let mut weights: Vec<i64> = (0..20).map(|i| 1000 + (i * i * 37) % 101).collect();
        weights.sort_unstable_by(|a, b| b.cmp(a));
        let among = (1 << 20) - 1;
        let (low, high) = (7200, 7210);
        let items: Vec<u32> = (0..20).collect();
        let mut direct = Vec::new();
        Tree { weights: &weights, items: &items, low, high, most: usize::MAX }.grow(0, 7, 0, 0, &mut direct);
        let mut halves = sets(&weights, among, 7, (low, high), usize::MAX);
        assert!(combinations(20, 7) > DIRECT && direct.len() > 10);
        direct.sort_unstable();
        halves.sort_unstable();
        assert_eq!(direct, halves);
    }

    #[test]
    fn equal_cells_are_not_told_apart() {
        assert_eq!(sets(&[5; 6], 0b11_1111, 3, (15, 15), 9), [(15, 0b111)]);
        assert_eq!(sets(&[5, 4, 4, 3], 0b1111, 2, (8, 9), 9).len(), 3);
        assert!(sets(&[5, 4], 0b11, 3, (0, 99), 9).is_empty());
    }
}
