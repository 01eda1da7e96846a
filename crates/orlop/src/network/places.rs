//! Where a name stands in a list: an open-addressed table of hashes and places, without copies of the names.

/// Places in a list of names, found by name.
///
/// The list itself is the caller's. Growing reads no name again, so a million names cost little more each than a thousand.
#[derive(Clone, Debug)]
pub(super) struct Places {
    /// A power of two, at most half of them in use.
    slots: Vec<Slot>,
    used: usize,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Slot {
    hash: u32,
    place: u32,
}

const FREE: Slot = Slot { hash: 0, place: u32::MAX };

impl Places {
    pub fn new() -> Self {
        Self { slots: vec![FREE; 16], used: 0 }
    }

    /// The place of a name; `bears` tells whether the name at a place is the one sought.
    pub fn find(&self, name: &str, bears: impl Fn(usize) -> bool) -> Option<usize> {
        let hash = hash(name);
        let mut at = self.first(hash);
        loop {
            let slot = self.slots[at];
            if slot == FREE {
                return None;
            }
            if slot.hash == hash && bears(slot.place as usize) {
                return Some(slot.place as usize);
            }
            at = (at + 1) & (self.slots.len() - 1);
        }
    }

    /// Notes the place of a name that is not there yet.
    #[allow(clippy::cast_possible_truncation)] // No list has four thousand million names.
    pub fn insert(&mut self, name: &str, place: usize) {
        if 2 * (self.used + 1) > self.slots.len() {
            let wider = vec![FREE; 2 * self.slots.len()];
            for slot in std::mem::replace(&mut self.slots, wider) {
                if slot != FREE {
                    self.put(slot);
                }
            }
        }
        self.used += 1;
        self.put(Slot { hash: hash(name), place: place as u32 });
    }

    fn put(&mut self, slot: Slot) {
        let mut at = self.first(slot.hash);
        while self.slots[at] != FREE {
            at = (at + 1) & (self.slots.len() - 1);
        }
        self.slots[at] = slot;
    }

    fn first(&self, hash: u32) -> usize {
        hash as usize & (self.slots.len() - 1)
    }
}

/// A few multiplications: names are short, and come from the one who asks.
#[allow(clippy::cast_possible_truncation)]
fn hash(name: &str) -> u32 {
    const ODD: u64 = 0x9E37_79B9_7F4A_7C15;
    let mut hash = name.len() as u64;
    for chunk in name.as_bytes().chunks(8) {
        let mut word = [0; 8];
        word[..chunk.len()].copy_from_slice(chunk);
        hash = (hash ^ u64::from_le_bytes(word)).wrapping_mul(ODD);
        hash ^= hash >> 32;
    }
    (hash.wrapping_mul(ODD) >> 32) as u32
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashMap;

    #[test]
    fn it_finds_what_a_map_finds() {
        let names: Vec<String> =
            (0..5000).map(|n| format!("{}{n}", ["n", "branch.", "load.é"][n % 3])).collect();
        let mut places = Places::new();
        let mut map = HashMap::new();
        for (at, name) in names.iter().enumerate() {
            assert_eq!(places.find(name, |p| names[p] == *name), None);
            places.insert(name, at);
            map.insert(name.as_str(), at);
        }
        for name in names.iter().map(String::as_str).chain(["", "n", "n5001", "load.e"]) {
            assert_eq!(places.find(name, |p| names[p] == name), map.get(name).copied(), "{name}");
        }
    }

    #[test]
    fn numbered_names_spread() {
        let mut hashes: Vec<u32> = (0..20_000).map(|n| hash(&format!("branch.{n}")) & 0xFFFF).collect();
        hashes.sort_unstable();
        hashes.dedup();
        // Of 65,536 places 20,000 names at random take 17,240 on average (1 - exp(-20000/65536)); standard deviation below 70.
        assert!(hashes.len() > 16_900, "{}", hashes.len());
    }
}
